"""Records of what was done and seen on the truck at each stage of the job, after the baseline."""

from buildcheck.build.field import field
from buildcheck.build.part import Angle, Length, Part, Sides, Temperature


class FitUp(Part):
    """How a bracket fits before it is welded."""

    gap: Length = field(
        "Largest gap between the bracket and what it is welded to, by feeler.",
        between=("0 mm", "25 mm"),
        example="1/32 in",
    )
    bare_metal: bool = field("Whether paint, plating, rust and old weld are off where it is welded.")
    tacks_in_reach: bool = field("Whether a cutting wheel reaches every tack, should the bracket have to come off.")


class AsWelded(Part):
    """How a bracket was welded for good."""

    order: int = field("Its place in the order of welding, from 1.", between=(1, 500), example=3)
    preheat: Temperature = field(
        "Temperature of the parts, measured before the first bead.",
        between=("-40 degC", "800 degC"),
        example="260 degF",
    )
    cooled: bool = field("Whether the parts cooled until a hand can stay on them before the next weld near it.")
    welded_by: str = field("Who welded it.", for_people=True, example="A. Welder")
    qualification: str = field(
        "What qualifies them for it: a test, a certificate, a trial weld that was cut and etched.",
        for_people=True,
        example="fillet break test of the same joint",
    )
    looked_at: bool = field("Whether every bead was looked at: no crack, no undercut, full leg, ends filled.")


class AsBolted(Part):
    """How a bolted bracket was tightened for good."""

    new_fasteners: bool = field("Whether bolts, lock nuts and washers are new.")
    marked: bool = field("Whether each bolt was marked after it was tightened to its torque.")


STATES = ("fitted", "removed", "shielded", "none-there")


class NearWelds(Part):
    """Each kind of part that heat, sparks or current spoil, and what was done with it before anything is welded:
    `none-there` where the truck has none of it near a weld."""

    outer_joints: str = field("The outer joints of the axle shafts, with boot and grease.", one_of=STATES)
    kingpin_bushings: str = field("The bushings or bearings of the kingpins, or the ball joints.", one_of=STATES)
    seals: str = field("The seals of axle shafts, hubs, pinion and steering knuckles.", one_of=STATES)
    sensors: str = field("The sensors of wheel speed, ride height and locker.", one_of=STATES)
    wiring: str = field("Wiring, brake hoses and air lines on axle and frame.", one_of=STATES)
    vents: str = field("The vent of the axle, with its hose.", one_of=STATES)
    gas_charged_dampers: str = field(
        "Dampers, steering dampers and coilovers with a gas charge, which heat can burst.", one_of=STATES
    )
    rubber_bushings: str = field("Bushings of rubber or plastic in links, bars and springs.", one_of=STATES)


class Tacked(Part):
    """Work done before the brackets were tacked."""

    old_mounts_removed: bool = field("Whether the old mounts are cut off, and the tube and the frame ground smooth.")
    rotation_set_from: str = field(
        "The bracket whose rotation was set first; the others follow from it.",
        one_of=("differential-side", "other-side"),
    )
    jam_nuts_fitted: bool = field(
        "Whether every joint with a shank is screwed in as far as planned, and its jam nut turns home against the tube."
    )
    near_welds: NearWelds


TOUCHED = ("tyre", "link", "lateral-bar", "steering-rod", "driveshaft", "coilover", "other-part")
"""Parts that touch another one at full lock."""

_BOTH_WAYS = ("coilover", "brake-line", "driveshaft", "link", "lateral-bar", "steering-rod", "tyre", "other-part")
MET_FIRST_UP = ("bump-stop", *_BOTH_WAYS)
MET_FIRST_DOWN = ("limit-strap", *_BOTH_WAYS)
MET_FIRST = ("bump-stop", "limit-strap", *_BOTH_WAYS)
"""The parts that the axle meets first: a stop that touches, a strap that is tight, a damper at its end, a hose or slip
that runs out, a link or rod whose joint binds or that touches something."""


class CycledSide(Part):
    """Positions read on one side as the axle was moved by hand in straight bump and droop."""

    stop_touches_at: Length = field(
        "Rise of the axle above ride height at which the bump stop touches.", between=("-300 mm", "1 m"), example="2 in"
    )
    strap_tight_at: Length = field(
        "Drop of the axle below ride height at which the limit strap is tight.",
        between=("-300 mm", "1 m"),
        example="5 1/2 in",
    )
    coilover_left_in_bump: Length = field(
        "Stroke left in the coilover before it bottoms, with the axle at full bump.",
        between=("-100 mm", "600 mm"),
        example="3/4 in",
    )
    coilover_left_in_droop: Length = field(
        "Stroke left in the coilover before it tops out, with the axle at full droop.",
        between=("-100 mm", "600 mm"),
        example="1/2 in",
    )
    brake_line_slack: Length = field(
        "Slack of the brake line with the axle at full droop, at the worse lock.",
        between=("-100 mm", "600 mm"),
        example="1 1/4 in",
    )


class SeenGap(Part):
    """The smallest gap between two parts that was seen over the whole cycle."""

    first: str = field("One of the two parts, by its name in `buildcheck inspect`.", needed=True, example="left tyre")
    second: str = field("The other one.", needed=True, example="left frame rail")
    gap: Length = field("Smallest gap, by feeler or rule.", between=("0 mm", "1 m"), needed=True, example="1 1/2 in")


class Cycled(Part):
    """Findings as the axle was moved by hand through its travel, with the wheels turned."""

    sides: Sides[CycledSide] = field("What was seen on each side.")
    ended_up_by: str = field(
        "What touched first, or ended the travel, going straight up to full bump.",
        one_of=(*MET_FIRST_UP, "nothing"),
    )
    ended_down_by: str = field(
        "What touched first, or ended the travel, going straight down to full droop.",
        one_of=(*MET_FIRST_DOWN, "nothing"),
    )
    ended_left_up_by: str = field(
        "What touched first, or ended the articulation, with the left wheel up and the right one down.",
        one_of=(*MET_FIRST, "nothing"),
    )
    ended_right_up_by: str = field(
        "What touched first, or ended the articulation, with the right wheel up and the left one down.",
        one_of=(*MET_FIRST, "nothing"),
    )
    touched_at_left_lock: str = field(
        "What touched, at any height, with the wheels at full lock to the left.",
        one_of=("nothing", *TOUCHED),
    )
    touched_at_right_lock: str = field(
        "What touched, at any height, with the wheels at full lock to the right.",
        one_of=("nothing", *TOUCHED),
    )
    both_locks: bool = field(
        "Whether the wheels were turned to both locks at full bump, at ride height, at full droop and on each side up."
    )
    nothing_touched: bool = field("Whether nothing touched in any of these positions but the stops and the straps.")
    gaps: tuple[SeenGap, ...] = field(
        "The smallest gaps that were seen, each with the names of its two parts.",
        how_many=(0, 200),
        example=({"first": "left tyre", "second": "left frame rail", "gap": "1 1/2 in"},),
    )


class Welded(Part):
    """Measurements after the last weld."""

    tube_bow: Length = field(
        "How far the axle tubes are out of straight after welding, by string or straight edge, end to end.",
        between=("0 mm", "50 mm"),
        example="1/64 in",
    )


class RenewedPart(Part):
    """A part that is renewed while the truck is apart."""

    renewed: bool = field("Whether a new one is fitted.", needed=True)
    note: str = field("Anything else.", for_people=True, example="lip greased")


class Reassembled(Part):
    """Work done as the truck was put together."""

    renewed: dict[str, RenewedPart] = field(
        "Parts that are renewed while it is apart, by name: seals, bearings, hoses, cotter pins."
    )
    brakes_bled: bool = field("Whether the brakes were bled until the pedal is firm.")
    no_leaks: bool = field("Whether brakes, axle and steering are dry with the pedal held down and the engine running.")
    fluids_filled: bool = field("Whether axle oil, brake fluid, coolant and steering fluid are at their marks.")
    vent_clear: bool = field("Whether the axle's vent is open, and its hose is long enough at full droop.")
    bolts_tightened: bool = field(
        "Whether every bolt was tightened to its torque, with the truck on its wheels where its bushing is of rubber, "
        "and then marked."
    )
    lines_secured: bool = field("Whether every line and wire is clipped, clear of the cycle and of the exhaust.")


class AlignedSide(Part):
    """The alignment of one wheel."""

    caster: Angle = field("Caster.", between=("-20 deg", "30 deg"), example="6 deg")
    camber: Angle = field("Camber.", between=("-15 deg", "15 deg"), example="0.25 deg")


class Aligned(Part):
    """The alignment as measured on the finished truck, on its wheels."""

    sides: Sides[AlignedSide] = field("Alignment of each wheel.")
    toe_in: Angle = field("Total toe-in.", between=("-5 deg", "5 deg"), example="0.1 deg")
    thrust: Angle = field(
        "Angle of the axle's direction to the vehicle's middle line, to the left positive.",
        between=("-10 deg", "10 deg"),
        example="0.05 deg",
    )
    wheel_centred: bool = field("Whether the steering wheel is straight with the truck running straight.")


class TorqueCheck(Part):
    """One check of the torque of all bolts, after a distance that the shop sets."""

    planned_after: Length = field(
        "Distance after which it is due.", between=("1 km", "50000 km"), needed=True, example="50 mi"
    )
    done_after: Length = field("Distance at which it was done.", between=("0 km", "50000 km"), example="48 mi")
    all_tight: bool = field("Whether every bolt held its torque and no mark had moved.")


class Driven(Part):
    """The first drives."""

    brakes_tested: bool = field("Whether the brakes were tried at walking speed before the road.")
    runs_straight: bool = field("Whether it runs and brakes straight with the hands off the wheel.")
    no_shake: bool = field("Whether the steering is free of shake over a bump under one wheel.")
    nothing_new: bool = field("Whether it was looked over after the drive: no rub, no leak, no crack at a bead.")
    torque_checks: tuple[TorqueCheck, ...] = field(
        "Checks of the torque after the first drives.",
        how_many=(0, 20),
        example=({"planned_after": "50 mi", "done_after": "48 mi", "all_tight": True},),
    )
