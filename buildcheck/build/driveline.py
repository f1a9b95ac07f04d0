"""What turns and what bends with the axle: driveshaft and brake lines."""

from buildcheck.build.linkage import Tube
from buildcheck.build.part import Angle, GaugedAngle, NamedPart, Part, Point, TapedLength


class ShaftEnd(Part):
    """The centre of a driveshaft joint on the sprung side, and where its shaft points."""

    point: Point
    up: GaugedAngle
    left: GaugedAngle


class CarrierBearing(Part):
    """The bearing of a shaft of two pieces, and the joint ahead of it."""

    point: Point
    gearbox_point: Point


class ShaftJoint(Part):
    """A joint at one end of the driveshaft."""

    kind: str
    largest_angle: Angle


class Driveshaft(Part):
    """Lengths are from joint centre to joint centre, with the slip at its two ends."""

    output: ShaftEnd
    carrier_bearing: CarrierBearing
    output_joint: ShaftJoint
    pinion_joint: ShaftJoint
    shortest_length: TapedLength
    longest_length: TapedLength
    tube: Tube

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """A driveshaft always has a joint at either end."""
        return ("output_joint", "pinion_joint") if kind is ShaftJoint else ()


class BrakeLine(NamedPart):
    """A flexible line; `free_length` is the straight length between its two fixed ends."""

    NOUN = "brake line"

    frame: Point
    axle: Point
    free_length: TapedLength
    moves_with: str
