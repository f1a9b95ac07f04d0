"""Records of the job: the baseline, measurements, the packing list, the support stands, and accepted deviations."""

from enum import StrEnum
from typing import Any

from buildcheck.build.field import field
from buildcheck.build.part import Angle, Length, Mass, Part, Sides
from buildcheck.build.stage_records import Aligned, Cycled, Driven, Reassembled, Tacked, Welded


class Stage(StrEnum):
    """How far the job is, in the order of the job."""

    PROPOSAL = "proposal"
    TEARDOWN = "teardown"
    TACKED = "tacked"
    CYCLED = "cycled"
    FINAL_WELD = "final-weld"
    REASSEMBLED = "reassembled"
    ALIGNED = "aligned"
    DRIVEN = "driven"

    @property
    def number(self) -> int:
        """Its place in the order of the job, from 0."""
        return list(Stage).index(self)


class BaselineSide(Part):
    """One side of the vehicle before anything is taken apart."""

    wheelbase: Length = field("Front to rear wheel centre, on this side.", between=("1.5 m", "8 m"), example="108 in")
    ride_height: Length = field(
        "From the upper side of the axle tube to the lower face of the rail.", between=("0 mm", "1.2 m"), example="8 in"
    )
    fender_height: Length = field("Wheel centre to fender lip.", between=("0 mm", "1.5 m"), example="19 in")
    tyre_to_frame: Length = field("Inside of the tyre to the frame.", between=("0 mm", "1 m"), example="9 in")
    caster: Angle = field("Caster.", between=("-20 deg", "30 deg"), example="6 deg")
    camber: Angle = field("Camber.", between=("-15 deg", "15 deg"), example="0.25 deg")


class Baseline(Part):
    """Where everything was, before anything is taken apart."""

    taken_on: str = field("Day it was taken.", form="date", for_people=True)
    taken_by: str = field("Who took it.", for_people=True, example="shop foreman")
    photographs: bool = field("Whether photographs were taken.")
    steering_centred: bool = field("Whether the steering was centred, with the pitman arm straight.")
    rails_marked: bool = field("Whether the axle's centre line is marked on both frame rails.")
    instructions_at_hand: bool = field("Whether the instructions of the makers of the new parts are at hand.")
    sides: Sides[BaselineSide] = field("Measurements of each side.")
    diagonal_left: Length = field(
        "From a mark on the left of the frame to the right wheel centre.", between=("300 mm", "10 m"), example="60 in"
    )
    diagonal_right: Length = field(
        "From a mark on the right of the frame to the left wheel centre.", between=("300 mm", "10 m"), example="60 in"
    )
    axle_offset: Length = field(
        "Offset of the axle's middle to the left of the frame's middle.",
        between=("-300 mm", "300 mm"),
        example="1/8 in",
    )
    toe_in: Angle = field("Total toe-in.", between=("-5 deg", "5 deg"), example="0.1 deg")
    toe_in_by_tape: Length = field(
        "Total toe-in as a tape reads it: between the tyres behind the axle less in front of it.",
        between=("-75 mm", "75 mm"),
        example="1/8 in",
    )
    pinion_up: Angle = field("How far the pinion points up.", between=("-45 deg", "45 deg"), example="6 deg")
    output_up: Angle = field(
        "How far the output points up; negative for down.", between=("-45 deg", "45 deg"), example="-3 deg"
    )
    driveshaft_length: Length = field(
        "Driveshaft, joint centre to joint centre.", between=("150 mm", "3 m"), example="39 in"
    )
    bumper_height: Length = field("Floor to bumper.", between=("100 mm", "2.5 m"), example="28 in")
    tape_tolerance: Length = field("Plus or minus of the tape as used.", between=("0 mm", "50 mm"), example="1/16 in")
    gauge_tolerance: Angle = field(
        "Plus or minus of the angle gauge as used.", between=("0 deg", "5 deg"), example="0.2 deg"
    )


class Measurement(Part):
    """A value measured on the vehicle."""

    stage: str = field(
        "Stage at which it was measured.",
        one_of=tuple(Stage),
        example="tacked",
    )
    of: str = field("Spec path of what was measured.", needed=True, example="links.arm.left.frame")
    value: Any = field(
        "Measured value: an amount as for the field it belongs to, or a point.",
        as_written="amount or point",
        needed=True,
        example="36 3/16 in",
    )
    tolerance: Any = field(
        "Plus or minus of the tape or gauge as used.",
        as_written="amount",
        example="1/16 in",
    )
    tool: str = field(
        "Tool used to measure it.",
        one_of=("tape", "rule", "plumb-bob", "angle-gauge", "calipers", "square", "scales"),
    )
    measured_on: str = field("Day it was measured.", form="date", for_people=True)
    measured_by: str = field("Who measured it.", for_people=True, example="shop foreman")


class Records(Part):
    """Records of the vehicle itself. The tolerances say, plus or minus, how well the spec's own numbers are known or
    can be kept; the tolerance of a measurement replaces them for the number that it measures."""

    tape_tolerance: Length = field(
        "How well the points and lengths of this spec can be measured or kept on the vehicle, plus or minus. From "
        "it `inspect --how-sure` and the report say how sure each reading is.",
        between=("0 mm", "50 mm"),
        example="1/16 in",
    )
    gauge_tolerance: Angle = field(
        "The same for its caster, kingpin inclination, toe, and the angles of pinion and output.",
        between=("0 deg", "5 deg"),
        example="0.2 deg",
    )
    scale_tolerance: Mass = field("The same for its weights.", between=("0 kg", "500 kg"), example="10 lb")
    baseline: Baseline
    tacked: Tacked
    cycled: Cycled
    welded: Welded
    reassembled: Reassembled
    aligned: Aligned
    driven: Driven
    measured: tuple[Measurement, ...] = field(
        "Values measured on the vehicle, at any stage.",
        how_many=(0, 500),
        example=(
            {
                "stage": "tacked",
                "of": "links.arm.left.frame",
                "value": (-34, 17.5, 20.5),
                "tolerance": "1/16 in",
                "tool": "tape",
            },
        ),
    )


class PackedPart(Part):
    """One kind of part."""

    ordered: int = field("How many were ordered.", between=(0, 1000), example=2)
    arrived: int = field("How many arrived.", between=(0, 1000), example=2)
    inspected: bool = field("Whether they were inspected.")
    note: str = field("Anything else.", for_people=True, example="left-hand thread")


class Stand(Part):
    """Stands of one kind in one place."""

    where: str = field("Part of the vehicle that they support.", for_people=True, example="frame rails behind the cab")
    count: int = field("How many.", between=(1, 20), example=2)
    rating: Mass = field("Rated capacity of each.", between=("200 kg", "20000 kg"), example="12000 lb")


class Support(Part):
    """How the vehicle is held up while people work on it."""

    stands: tuple[Stand, ...] = field(
        "The support stands, by place and kind.",
        how_many=(0, 20),
        example=({"where": "frame rails", "count": 4, "rating": "12000 lb"},),
    )
    wheels_chocked: bool = field("Whether the wheels on the floor are chocked.")
    level_floor: bool = field("Whether the floor is level and hard.")
    stands_clear: bool = field("Whether the stands are clear of the work, and of the axle in its whole cycle.")
    springs_unloaded: bool = field("Whether the load is off each spring before one of its bolts is loosened.")


class MayMove(Part):
    """How far one point may be moved along one axis, or one length changed; or that it stays as it is."""

    of: str = field(
        "Spec path of the point or the length, or of a part of which nothing is changed.",
        needed=True,
        example="links.arm.both.frame",
    )
    axis: str = field(
        "Axis along which the point may be moved, one entry for each; along the others it stays.",
        one_of=("x", "y", "z"),
        example="z",
    )
    least: Length = field(
        "How far it may go rearward, to the right or down, or become shorter: zero or negative.",
        between=("-2 m", "2 m"),
        example="-2 in",
    )
    most: Length = field(
        "How far it may go forward, to the left or up, or become longer: zero or positive.",
        between=("-2 m", "2 m"),
        example="1 in",
    )
    step: Length = field(
        "Distance from one place to the next, such as the pitch of the rail's holes; without it, it stops anywhere.",
        between=("0.5 mm", "1 m"),
        example="1/2 in",
    )
    fixed: bool = field("Whether it stays as it is: welded, or part of the truck.")


class Waiver(Part):
    """One accepted deviation."""

    EXACTLY_ONE = ("until_stage", "until_date")

    rule: str = field("Name of the rule whose readings are waived.", needed=True, example="link-flatness")
    limit: str = field(
        "Name of the limit or requirement of the rule that is waived. A waiver that names none is of the old form, and "
        "covers warnings only.",
        example="slope-at-ride",
    )
    place: str = field(
        "Spec path of the part whose readings are waived, or of a group that contains it; of a value of the whole "
        "build, any path of its record.",
        needed=True,
        example="links.arm.left.frame",
    )
    up_to: Any = field(
        "How far it goes: the value that is accepted, on the side of the limit that was broken. A value beyond it is "
        "an error.",
        as_written="amount",
        example="6.5 deg",
    )
    accepts: str = field(
        "For a requirement, which has no number: what was found and is accepted, as the record words it.",
        example="the casting is not identified",
    )
    reason: str = field("Why it is accepted.", needed=True, for_people=True, example="clears the crossmember")
    who: str = field("Who accepted it.", needed=True, for_people=True, example="shop foreman")
    date: str = field("When it was accepted.", form="date", needed=True, for_people=True)
    covers: str = field(
        "Worst verdict that it covers. A waiver covers an error only where this says `error`; without it, it "
        "covers warnings only.",
        one_of=("warning", "error"),
        example="error",
    )
    until_stage: str = field(
        "Last stage at which it applies; a waiver has this or until_date.",
        one_of=tuple(Stage),
        example="cycled",
    )
    until_date: str = field("Last day on which it applies; a waiver has this or until_stage.", form="date")
