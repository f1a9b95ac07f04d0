"""Parts that carry the vehicle or end the travel: coilovers, limit straps, bump stops."""

from buildcheck.build.field import field
from buildcheck.build.linkage import Joint, TwoJoints
from buildcheck.build.part import Force, Length, NamedPart, Part, Point, Pressure, Stiffness, TapedLength, Vector


class CoilSpring(Part):
    """One spring of a coilover."""

    rate: Stiffness = field("Its rate.", between=("2 N/mm", "600 N/mm"), example="250 lb/in")
    free_length: TapedLength = field("Its free length.", between=("20 mm", "1 m"), example="16 in")
    solid_length: Length = field("Its length with the coils touching.", between=("3 mm", "800 mm"), example="6 in")


class Coilover(NamedPart):
    """A coil spring over a damper, or a `damper` alone; lengths are from eye centre to eye centre."""

    NOUN = "coilover"

    kind: str = field(
        "`coilover` carries the truck; a `damper` has no spring. Where left out, a coilover.",
        one_of=("coilover", "damper"),
    )
    frame: Point = field("Centre of its upper, frame-side eye.", example=(-2, 18, 40))
    axle: Point = field("Centre of its lower, axle-side eye.", example=(-3, 21, 17))
    extended_length: TapedLength = field("Length fully extended.", between=("150 mm", "1.6 m"), example="33 1/2 in")
    compressed_length: TapedLength = field(
        "Length fully compressed, without its bump rubber crushed.", between=("75 mm", "1.2 m"), example="21 1/2 in"
    )
    springs: tuple[CoilSpring, ...] = field(
        "Its springs from top to bottom; two or more work in series.",
        how_many=(1, 4),
        example=({"rate": "250 lb/in", "free_length": "16 in"},),
    )
    preload: TapedLength = field(
        "How much the springs are compressed with the damper fully extended.",
        between=("0 mm", "300 mm"),
        example="1 in",
    )
    upper_spring_stop: TapedLength = field(
        "Length of the upper spring at which the stop ring takes it out of action.",
        between=("10 mm", "800 mm"),
        example="4 in",
    )
    gas_charged: bool = field("Whether the damper holds gas under pressure. Never heat, weld on, cut or puncture it.")
    gas_pressure: Pressure = field("Gas pressure, fully extended.", between=("0 MPa", "5 MPa"), example="200 psi")
    body_diameter: Length = field("Outside diameter of the damper body.", between=("20 mm", "150 mm"), example="2.5 in")
    shaft_diameter: Length = field("Diameter of the damper shaft.", between=("5 mm", "80 mm"), example="7/8 in")
    joints: TwoJoints

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """A coilover has a joint at either eye."""
        return ("joints.frame", "joints.axle") if kind is Joint else ()


class LimitStrap(NamedPart):
    """A strap that ends the droop."""

    NOUN = "limit strap"

    frame: Point = field("Centre of its upper, frame-side eye.", example=(-4, 15, 32))
    axle: Point = field("Centre of its lower, axle-side eye.", example=(-4, 16, 20))
    length: TapedLength = field("Eye to eye, pulled straight without load.", between=("100 mm", "2 m"), example="17 in")
    stretch: Length = field("How much longer the full load makes it.", between=("0 mm", "300 mm"), example="1 in")
    load_rating: Force = field("Its load rating.", between=("500 N", "500 kN"), example="6000 lbf")
    joints: TwoJoints

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """A strap has a joint at either eye."""
        return ("joints.frame", "joints.axle") if kind is Joint else ()


class BumpStop(NamedPart):
    """A stop that ends the bump travel."""

    NOUN = "bump stop"

    kind: str = field("Kind of stop.", one_of=("rubber", "polyurethane", "hydraulic"), example="polyurethane")
    mounted_on: str = field(
        "Whether it is fixed to the frame and lands on the axle, or the other way round.", one_of=("frame", "axle")
    )
    base: Point = field("Centre of its fixed end.", example=(0, 17, 30))
    axis: Vector = field("Direction from its fixed end to its free end.", example=(0, 0, -1))
    free_length: TapedLength = field("Length free.", between=("10 mm", "500 mm"), example="4 in")
    crushed_length: Length = field("Length below which it is crushed.", between=("2 mm", "400 mm"), example="1 3/4 in")
    diameter: Length = field("Diameter of its free end.", between=("10 mm", "250 mm"), example="2 1/4 in")
    stiffness: Stiffness = field("Its mean rate over its work.", between=("2 N/mm", "5000 N/mm"), example="900 lb/in")
    gas_charged: bool = field("Whether it holds gas under pressure. Never heat, weld on, cut or puncture it.")
    target: Point = field("Centre of what it lands on, at ride height.", example=(0, 17, 20))
    target_width: Length = field("Smallest width of what it lands on.", between=("10 mm", "600 mm"), example="4 in")
