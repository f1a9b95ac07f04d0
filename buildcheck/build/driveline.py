"""Parts that move with the axle: driveshaft and brake lines."""

from buildcheck.build.field import field
from buildcheck.build.linkage import Tube
from buildcheck.build.part import Angle, GaugedAngle, NamedPart, Part, Point, TapedLength


class ShaftEnd(Part):
    """The joint at the transfer case or gearbox, on the sprung side, and where its shaft points."""

    point: Point = field("Centre of the joint.", example=(-40, 4, 21))
    up: GaugedAngle = field(
        "How far the shaft of the output points up along its way to the driveshaft, as seen from the side; "
        "negative for down.",
        between=("-45 deg", "45 deg"),
        example="-2 deg",
    )
    left: GaugedAngle = field(
        "How far it points to the left on the same way, as seen from above.",
        between=("-45 deg", "45 deg"),
        example="0 deg",
    )


class CarrierBearing(Part):
    """The bearing that carries a shaft of two pieces. `output` is then the joint behind it, from which the piece
    that moves goes to the pinion."""

    point: Point = field("Centre of the bearing.", example=(-60, -4, 21))
    gearbox_point: Point = field(
        "Centre of the joint at the transfer case or gearbox, ahead of the bearing.", example=(-84, -4, 22)
    )


class ShaftJoint(Part):
    """A joint at one end of the driveshaft."""

    kind: str = field(
        "Kind of joint.",
        one_of=("single-cardan", "double-cardan", "constant-velocity"),
        example="double-cardan",
    )
    largest_angle: Angle = field(
        "The largest angle it works at before it binds.", between=("1 deg", "60 deg"), example="28 deg"
    )


class Driveshaft(Part):
    """The driveshaft to this axle. Lengths are from joint centre to joint centre, with the slip at its two ends."""

    output: ShaftEnd
    carrier_bearing: CarrierBearing
    output_joint: ShaftJoint = field("The joint at the output.")
    pinion_joint: ShaftJoint = field("The joint at the pinion.")
    shortest_length: TapedLength = field("Length with the slip fully in.", between=("150 mm", "3 m"), example="33 in")
    longest_length: TapedLength = field(
        "Length with the slip as far out as allowed.", between=("150 mm", "3 m"), example="39 in"
    )
    tube: Tube

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """A driveshaft always has a joint at either end."""
        return ("output_joint", "pinion_joint") if kind is ShaftJoint else ()


class BrakeLine(NamedPart):
    """A flexible line to the axle."""

    NOUN = "brake line"

    frame: Point = field("Its fixed end at the frame.", example=(-6, 17, 28))
    axle: Point = field("Its fixed end at the axle or the caliper.", example=(-3, 26, 19))
    free_length: TapedLength = field(
        "Straight length between its two fixed ends.", between=("100 mm", "2 m"), example="24 in"
    )
    moves_with: str = field(
        "Whether its lower end is fixed to the axle, or to the knuckle and turns with it.",
        one_of=("axle", "knuckle"),
        example="knuckle",
    )
