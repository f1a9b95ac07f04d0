"""What locates the axle and what steers it: links, lateral bar, drag link and tie rod."""

from collections.abc import Mapping
from typing import Any

from buildcheck.build.part import (
    Angle,
    Force,
    Length,
    MetalName,
    Part,
    Point,
    Pressure,
    Sides,
    Stiffness,
    TapedLength,
    Torque,
    TorsionalStiffness,
    Vector,
)


class Tube(Part):
    outside_diameter: Length
    wall: Length
    material: MetalName
    grade: str
    yield_strength: Pressure


class Section(Part):
    """What a link is made of where that is no round tube."""

    shape: str
    height: Length
    width: Length
    wall: Length
    material: MetalName
    grade: str
    yield_strength: Pressure


class JointBolt(Part):
    """The bolt through a joint."""

    size: str
    grade: str
    shear_planes: int
    threads_in_shear_plane: bool
    torque: Torque
    thread_condition: str
    preload: Force
    locked_by: str
    proof_strength: Pressure


class Joint(Part):
    """A joint at one end of a link or bar."""

    kind: str
    radial_stiffness: Stiffness
    torsional_stiffness: TorsionalStiffness
    misalignment: Angle
    load_rating: Force
    thread: str
    axis: Vector
    bolt: JointBolt


class TwoJoints(Part):
    GROUPS = True

    frame: Joint
    axle: Joint


class LinkJoints(TwoJoints):
    axle_upper: Joint
    axle_lower: Joint


class Link(Part):
    """A control link: `two-point`, or a `radius-arm` that holds the axle at two joints."""

    kind: str
    frame: Point
    axle: Point
    axle_upper: Point
    axle_lower: Point
    length: TapedLength
    tube: Tube
    section: Section
    joints: LinkJoints

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

    frame: Point
    axle: Point
    length: TapedLength
    tube: Tube
    joints: TwoJoints

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """The bar has a joint at either end."""
        return ("joints.frame", "joints.axle") if kind is Joint else ()


class PitmanArm(Part):
    pivot: Point
    axis: Vector


class DragLinkJoints(Part):
    GROUPS = True

    pitman: Joint
    arm: Joint


class DragLink(Part):
    """The link from the pitman arm to a knuckle, or to the tie rod."""

    pitman: Point
    arm: Point
    knuckle: str
    ends_on: str
    tube: Tube
    joints: DragLinkJoints


class TieRodJoints(Part):
    GROUPS = True

    left: Joint
    right: Joint


class TieRod(Part):
    """The rod between the two knuckles."""

    left: Point
    right: Point
    joined_to: str
    tube: Tube
    joints: TieRodJoints


class Stabiliser(Part):
    """The damper of the steering: `fixed` to the axle or the frame, `moving` with what it steadies."""

    fixed: Point
    fixed_to: str
    moving: Point
    steadies: str
    extended_length: TapedLength
    compressed_length: TapedLength


class Kingpin(Part):
    """A point on the steering axis of one knuckle."""

    centre: Point


class Steering(Part):
    """The steering, from the box to the knuckles."""

    GROUPS = True

    layout: str
    box_side: str
    pitman_arm: PitmanArm
    drag_link: DragLink
    tie_rod: TieRod
    kingpins: Sides[Kingpin]
    stabiliser: Stabiliser
    lock_angle: Angle
