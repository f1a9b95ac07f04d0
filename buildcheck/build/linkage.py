"""Parts that locate and steer the axle: links, lateral bar, drag link and tie rod."""

from collections.abc import Mapping
from typing import Any, Self

from buildcheck.build.bolts import Bolt
from buildcheck.build.field import field
from buildcheck.build.part import (
    Angle,
    Force,
    Length,
    MetalName,
    Part,
    Point,
    Pressure,
    Side,
    Sides,
    Stiffness,
    TapedLength,
    TorsionalStiffness,
    Unit,
    Vector,
)


class Tube(Part):
    """A round tube or bar."""

    outside_diameter: Length = field("Outside diameter.", between=("8 mm", "200 mm"), example="2 in")
    wall: Length = field(
        "Wall thickness; half the diameter for solid bar.", between=("0.5 mm", "100 mm"), example="1/4 in"
    )
    material: MetalName
    grade: str = field(
        "Grade or specification, as on the mill certificate.", for_people=True, example="1020 drawn over mandrel"
    )
    yield_strength: Pressure = field(
        "Yield strength, from the mill certificate.", between=("50 MPa", "2000 MPa"), example="60 ksi"
    )
    youngs_modulus: Pressure = field(
        "Young's modulus, where it is not that of its metal.", between=("40000 MPa", "250000 MPa"), example="29000 ksi"
    )


class Section(Part):
    """Cross-section of a link that is not a round tube."""

    shape: str = field(
        "`rectangular-tube`, `boxed-plate` (plates welded to a box), `plate` (solid, `wall` left out), or `forged`.",
        one_of=("rectangular-tube", "boxed-plate", "plate", "forged"),
        example="boxed-plate",
    )
    height: Length = field("Outside height, in the side view.", between=("8 mm", "300 mm"), example="3 in")
    width: Length = field("Outside width, seen from above.", between=("8 mm", "300 mm"), example="2 in")
    wall: Length = field("Wall thickness.", between=("0.5 mm", "150 mm"), example="3/16 in")
    material: MetalName
    grade: str = field(
        "Grade or specification, as on the mill certificate.", for_people=True, example="1020 drawn over mandrel"
    )
    yield_strength: Pressure = field(
        "Yield strength, from the mill certificate.", between=("50 MPa", "2000 MPa"), example="60 ksi"
    )
    youngs_modulus: Pressure = field(
        "Young's modulus, where it is not that of its metal.", between=("40000 MPa", "250000 MPa"), example="29000 ksi"
    )


class JointBolt(Bolt):
    """The bolt through a joint."""

    grip: Length = field(
        "Total thickness that it clamps: the ball or sleeve of the joint, spacers and ears. A bolt in single shear is "
        "also bent over half of it.",
        between=("5 mm", "400 mm"),
        example="2 3/8 in",
    )

    shear_planes: int = field(
        "1 where the bolt hangs from one ear (single shear), 2 where the joint sits between two (double shear).",
        between=(1, 2),
        example=2,
    )


class Joint(Part):
    """A joint at one end of a link or bar."""

    kind: str = field(
        "Kind of joint.",
        plugins_add="joint_kinds",
        one_of=("rod-end", "spherical", "polyurethane", "rubber", "clevis"),
    )
    radial_stiffness: Stiffness = field(
        "Stiffness along the link. Matters where the links over-constrain the axle; where left "
        "out, a value for its kind is assumed and reported.",
        between=("50 N/mm", "2000000 N/mm"),
        example="110000 lb/in",
    )
    torsional_stiffness: TorsionalStiffness = field(
        "Stiffness against being turned, assumed the same in every direction. Counts at the joints of "
        "radius arms, where the links over-constrain the axle; where left out, the joint turns freely.",
        between=("0 N·m/deg", "5000 N·m/deg"),
        example="10 lb-ft/deg",
    )
    misalignment: Angle = field(
        "How far it can tilt to each side before it binds, as rated by its maker.",
        between=("0 deg", "60 deg"),
        example="16 deg",
    )
    shank_length: Length = field(
        "From its centre to the end of its threaded shank.", between=("10 mm", "500 mm"), example="4 1/8 in"
    )
    insert_shoulder: Length = field(
        "How far the threaded insert that it screws into sticks out of the tube; 0 for a thread in the tube itself.",
        between=("0 mm", "100 mm"),
        example="1/4 in",
    )
    centre_to_tube: Length = field(
        "From its centre to the end of the tube, for a joint that is welded or pressed on and has no shank.",
        between=("0 mm", "300 mm"),
        example="1 1/8 in",
    )
    load_rating: Force = field("Its static radial load rating.", between=("1 kN", "1000 kN"), example="28000 lbf")
    thread: str = field("Thread of its shank, where it screws into the part.", form="thread", example="7/8-14")
    thread_engaged: Length = field(
        "Length of the joint's thread inside the tube or boss; a jam nut does not count.",
        between=("3 mm", "300 mm"),
        example="1 1/2 in",
    )
    thread_hand: str = field("Hand of that thread.", one_of=("right", "left"))
    axis: Vector = field("Direction of the bolt through it.", example=(0, 1, 0))
    bolt: JointBolt

    @classmethod
    def read(cls, data: Mapping[str, Any], path: str, label: str, side: Side, unit: Unit) -> Self:
        """Read a joint: its label is `lateral bar frame joint`, without the key of the group that it is in."""
        return super().read(data, path, f"{label.replace(' joints ', ' ')} joint", side, unit)


class TwoJoints(Part):
    """The joints at the two ends."""

    GROUPS = True

    frame: Joint = field("At the frame end.")
    axle: Joint = field("At the axle end.")


class LinkJoints(TwoJoints):
    """The joints of a link: `frame` and `axle`, or for a radius arm `frame`, `axle_upper` and `axle_lower`."""

    axle: Joint = field("At the axle end of a two-point link.", only_for="two-point")
    axle_upper: Joint = field("At the upper axle end of a radius arm.", only_for="radius-arm")
    axle_lower: Joint = field("At the lower axle end of a radius arm.", only_for="radius-arm")


class Link(Part):
    """A control link: `two-point`, or a `radius-arm` that holds the axle at two joints."""

    VARIES_BY = "kind"

    kind: str = field(
        "`two-point` holds the axle at one joint; `radius-arm` is rigid, and holds it at two.",
        one_of=("two-point", "radius-arm"),
        needed=True,
    )
    frame: Point = field("Centre of the joint at the frame.", example=(-34, 17.5, 20.5))
    axle: Point = field(
        "Centre of the joint at the axle, for a two-point link.", only_for="two-point", example=(2, 18, 18)
    )
    axle_upper: Point = field(
        "Centre of the upper joint at the axle, for a radius arm.", only_for="radius-arm", example=(0.5, 18, 21)
    )
    axle_lower: Point = field(
        "Centre of the lower joint at the axle, for a radius arm.", only_for="radius-arm", example=(0, 18, 13.5)
    )
    length: TapedLength = field(
        "Length it is made to, joint centre to joint centre; for a radius arm from the frame joint to the middle "
        "of its axle joints. Where left out, it follows from its points.",
        between=("100 mm", "2.5 m"),
        example="36 1/4 in",
    )
    tube: Tube
    section: Section
    joints: LinkJoints

    @property
    def at_axle(self) -> Point:
        """Where it holds the axle: its axle joint, or the point midway between a radius arm's two; m, as drawn."""
        if self.kind != "radius-arm":
            return self.axle
        return Point(*((one + other) / 2 for one, other in zip(self.axle_upper, self.axle_lower, strict=True)))

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """A link has a joint at either end; a radius arm has two at the axle."""
        if kind is not Joint:
            return ()
        arm = self.has("kind") and self.kind == "radius-arm"
        return ("joints.frame", "joints.axle_upper", "joints.axle_lower") if arm else ("joints.frame", "joints.axle")

    @classmethod
    def called(cls, name: str, data: Mapping[str, Any]) -> str:
        """`lower` is a `lower link`; a radius arm is an `arm`, whatever the spec's key."""
        noun = "arm" if data.get("kind") == "radius-arm" else "link"
        return name if noun in name.split() else f"{name} {noun}"


class LateralBar(Part):
    """The bar that holds the axle sideways."""

    frame: Point = field("Centre of the joint at the frame.", example=(5, 17, 21))
    axle: Point = field("Centre of the joint at the axle.", example=(5, -16, 20))
    length: TapedLength = field(
        "Length it is made to, joint centre to joint centre; where left out, it follows from its points.",
        between=("200 mm", "2 m"),
        example="33 in",
    )
    tube: Tube
    joints: TwoJoints

    @property
    def at_axle(self) -> Point:
        """Where it holds the axle: its axle joint; m, as drawn."""
        return self.axle

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """The bar has a joint at either end."""
        return ("joints.frame", "joints.axle") if kind is Joint else ()


class PitmanRoot(Part):
    """The pitman arm beside the boss on the sector shaft, as a rectangle."""

    width: Length = field("Width, square to the sector shaft.", between=("8 mm", "150 mm"), example="1 3/4 in")
    thickness: Length = field("Thickness, along the sector shaft.", between=("5 mm", "100 mm"), example="1 1/4 in")
    yield_strength: Pressure = field("Yield strength of its steel.", between=("50 MPa", "2000 MPa"), example="90 ksi")


class PitmanArm(Part):
    """The arm on the shaft of the steering box."""

    pivot: Point = field("Centre of the sector shaft at the arm.", example=(10, 15, 24))
    axis: Vector = field("Direction of the sector shaft.", example=(0, 0, 1))
    root: PitmanRoot


class Stud(Part):
    """The stud of a joint of the steering, in the arm that carries it."""

    diameter: Length = field(
        "Diameter at the face of the arm; of a tapered stud the largest.", between=("6 mm", "60 mm"), example="3/4 in"
    )
    height: Length = field(
        "From the face of the arm to the centre of the ball.", between=("5 mm", "150 mm"), example="7/8 in"
    )
    yield_strength: Pressure = field("Yield strength of its steel.", between=("50 MPa", "2000 MPa"), example="130 ksi")


class SteeringJoint(Joint):
    """A joint at one end of the drag link or the tie rod: on a stud, or on a bolt."""

    stud: Stud


class DragLinkJoints(Part):
    """The joints of the drag link."""

    GROUPS = True

    pitman: SteeringJoint = field("At the pitman arm.")
    arm: SteeringJoint = field("At the steering arm.")


class DragLink(Part):
    """The link from the pitman arm to a knuckle, or to the tie rod."""

    pitman: Point = field("Centre of its joint at the pitman arm, wheels straight ahead.", example=(6, 15, 22))
    arm: Point = field("Centre of its joint at the steering arm, wheels straight ahead.", example=(6, -21, 20))
    knuckle: str = field(
        "The knuckle that it moves; for one that ends on the tie rod, the knuckle whose steer is reported first.",
        one_of=("left", "right"),
        example="right",
    )
    ends_on: str = field(
        "Part that its axle end is fixed to: the steering arm of the `knuckle`, or the `tie-rod`, at the nearest point "
        "on the line between that one's joints. Where left out, the knuckle.",
        one_of=("knuckle", "tie-rod"),
    )
    tube: Tube
    joints: DragLinkJoints


class TieRodJoints(Part):
    """The joints of the tie rod."""

    GROUPS = True

    left: SteeringJoint = field("The left one.")
    right: SteeringJoint = field("The right one.")


class TieRod(Part):
    """The rod between the two knuckles."""

    left: Point = field("Centre of its left joint, wheels straight ahead.", example=(-6, 25, 16))
    right: Point = field("Centre of its right joint, wheels straight ahead.", example=(-6, -25, 16))
    joined_to: str = field(
        "Part that its end on the side of the drag link's `knuckle` is fixed to: that knuckle, or the `drag-link`, at "
        "the nearest point on the line between that one's joints. Where left out, the knuckle.",
        one_of=("knuckle", "drag-link"),
    )
    tube: Tube
    joints: TieRodJoints


class Stabiliser(Part):
    """The damper of the steering: `fixed` to the axle or the frame, `moving` with what it steadies."""

    fixed: Point = field("Centre of its end at the axle or the frame.", example=(5, 0, 15))
    fixed_to: str = field("Part that this end is fixed to.", one_of=("axle", "frame"))
    moving: Point = field("Centre of its end at what it steadies, wheels straight ahead.", example=(6, -16, 15))
    steadies: str = field("Part that it steadies.", one_of=("tie-rod", "drag-link", "steering-arm"))
    extended_length: TapedLength = field("Length fully extended.", between=("100 mm", "1.5 m"), example="24 in")
    compressed_length: TapedLength = field("Length fully compressed.", between=("50 mm", "1.2 m"), example="15 in")
    force: Force = field(
        "Largest force with which it resists being moved.", between=("0 N", "20 kN"), example="250 lbf"
    )
    body_diameter: Length = field("Diameter of its body.", between=("15 mm", "120 mm"), example="1 5/8 in")


class RoundedBar(Part):
    """A part as a bar with rounded ends, given with the wheels straight ahead."""

    start: Point = field("One end of its axis.", example=(3, 27, 20))
    end: Point = field("The other end of its axis.", example=(3, 29, 14))
    radius: Length = field("Its radius.", between=("5 mm", "300 mm"), example="1 1/2 in")


class Kingpin(Part):
    """A point on the steering axis of one knuckle, and what turns with it, for the clearance."""

    centre: Point = field("A point on the steering axis, best midway between its joints.", example=(0, 28, 17))
    knuckle: RoundedBar = field("The knuckle between its two joints.")
    caliper: RoundedBar = field("The brake caliper.")


class Steering(Part):
    """Everything from the steering box to the knuckles."""

    GROUPS = True
    # Each would be fixed to the other, and nothing would steer.
    NEVER_TOGETHER = {"tie_rod.joined_to": "drag-link", "drag_link.ends_on": "tie-rod"}  # noqa: RUF012

    layout: str = field(
        "`crossover`: the drag link runs across the vehicle; `push-pull`: it runs fore and aft.",
        one_of=("crossover", "push-pull"),
    )
    box_side: str = field("Side of the frame that the steering box is on.", one_of=("left", "right"))
    pitman_arm: PitmanArm
    drag_link: DragLink
    tie_rod: TieRod
    kingpins: Sides[Kingpin] = field("The steering axes of the knuckles.")
    stabiliser: Stabiliser
    lock_angle: Angle = field(
        "Angle of the inner wheel at full lock, as seen from above, from straight ahead on the axle as drawn; the "
        "same to either side. The outer wheel follows by the tie rod.",
        between=("5 deg", "60 deg"),
        example="32 deg",
    )
