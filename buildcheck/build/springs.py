"""What carries the vehicle and what ends the travel: coilovers, limit straps, bump stops."""

from buildcheck.build.linkage import TwoJoints
from buildcheck.build.part import Force, Length, NamedPart, Part, Point, Pressure, Stiffness, TapedLength, Vector


class CoilSpring(Part):
    """One spring of a coilover."""

    rate: Stiffness
    free_length: TapedLength
    solid_length: Length


class Coilover(NamedPart):
    """A coil spring over a damper, or a `damper` alone; lengths are from eye centre to eye centre."""

    NOUN = "coilover"

    kind: str
    frame: Point
    axle: Point
    extended_length: TapedLength
    compressed_length: TapedLength
    springs: tuple[CoilSpring, ...]
    preload: TapedLength
    upper_spring_stop: TapedLength
    gas_charged: bool
    gas_pressure: Pressure
    body_diameter: Length
    shaft_diameter: Length
    joints: TwoJoints


class LimitStrap(NamedPart):
    """`length` is eye to eye, pulled straight without load; `stretch` what the full load adds to it."""

    NOUN = "limit strap"

    frame: Point
    axle: Point
    length: TapedLength
    stretch: Length
    load_rating: Force


class BumpStop(NamedPart):
    """`base` is the fixed end of the stop, `axis` points from it to the free end, `target` is what it lands on."""

    NOUN = "bump stop"

    kind: str
    mounted_on: str
    base: Point
    axis: Vector
    free_length: TapedLength
    crushed_length: Length
    diameter: Length
    stiffness: Stiffness
    gas_charged: bool
    target: Point
    target_width: Length
