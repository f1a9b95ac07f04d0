"""What is written down: the baseline, measurements, the packing list, the stands, and accepted deviations."""

from typing import Any

from buildcheck.build.part import Angle, Length, Mass, Part, Sides


class BaselineSide(Part):
    """One side of the vehicle before anything is taken apart."""

    wheelbase: Length
    ride_height: Length
    fender_height: Length
    tyre_to_frame: Length
    caster: Angle
    camber: Angle


class Baseline(Part):
    """Where everything was, before teardown."""

    taken_on: str
    taken_by: str
    photographs: bool
    steering_centred: bool
    sides: Sides[BaselineSide]
    diagonal_left: Length
    diagonal_right: Length
    axle_offset: Length
    toe_in: Angle
    toe_in_by_tape: Length
    pinion_up: Angle
    output_up: Angle
    driveshaft_length: Length
    bumper_height: Length
    tape_tolerance: Length
    gauge_tolerance: Angle


class Measurement(Part):
    """A value measured on the vehicle; `of` is the spec path that it belongs to, `value` stays as written."""

    stage: str
    of: str
    value: Any
    tolerance: Any
    tool: str
    measured_on: str
    measured_by: str


class Records(Part):
    """What is known of the vehicle itself. The tolerances say, plus or minus, how well the spec's own numbers are known
    or can be kept, where no measurement says it of one of them."""

    tape_tolerance: Length
    gauge_tolerance: Angle
    scale_tolerance: Mass
    baseline: Baseline
    measured: tuple[Measurement, ...]


class PackedPart(Part):
    ordered: int
    arrived: int
    inspected: bool
    note: str


class Stand(Part):
    """The stands at one place under the truck."""

    where: str
    count: int
    rating: Mass


class Support(Part):
    """How the truck is held up while somebody works under it."""

    stands: tuple[Stand, ...]
    wheels_chocked: bool
    level_floor: bool


class Waiver(Part):
    rule: str
    place: str
    reason: str
    who: str
    date: str
    covers: str
    until_stage: str
    until_date: str
