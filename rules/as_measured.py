"""Measured values agree with the spec.

Checked: every measurement in the records against the number in the spec that it measures; and, where one place was
measured more than once at its last stage and day, the readings against each other.

Risk: everything else is computed for the truck in the spec. A bracket that is tacked somewhere else moves differently,
and the time to notice is before the final weld.

Worked out: for a point, the distance between the measured place and the place in the spec; for a length or an
angle, the difference; for anything else (a weight, a rate), the difference as a share of the number in the spec. Of
several readings of one place the mean counts. A reading of an earlier stage or day does not count: the part may have
been moved since.
spec-consistency reports a measurement that cannot be read.

Remedy: move the bracket, or write the measured value into the spec and inspect it again. It may be just as
good.
"""

from collections.abc import Callable, Iterator
from typing import Any

from buildcheck.api import (
    Area,
    Build,
    CannotTell,
    Dimension,
    Job,
    KnownBy,
    MeasuredPlace,
    Measurement,
    Point,
    Rule,
    Sample,
    Spot,
    Stage,
    Verdict,
    Words,
    at_most,
    common_practice,
    each,
    made,
)

rule = Rule(
    "as-measured",
    area=Area.RECORDS,
    page=__doc__,
    from_stage=Stage.TACKED,
    entries=True,
    samples=(
        Sample(
            "a bracket a sixteenth too high",
            {"records.measured": [{"of": "lateral_bar.frame.z", "value": "22 13/16 in", "tolerance": "1/32 in"}]},
        ),
        Sample(
            "a bracket half an inch too low",
            {"records.measured": [{"of": "lateral_bar.frame.z", "value": "22 1/4 in", "tolerance": "1/32 in"}]},
            {"length-off": Verdict.ERROR},
        ),
        Sample(
            "two readings of one bracket that are far apart, and of one angle",
            {
                "records.measured": [
                    {"of": "lateral_bar.frame.z", "value": "22 3/4 in", "stage": "tacked"},
                    {"of": "lateral_bar.frame.z", "value": "23 1/8 in", "stage": "tacked"},
                    {"of": "axle.caster", "value": "6 deg", "stage": "tacked"},
                    {"of": "axle.caster", "value": "7.4 deg", "stage": "tacked"},
                ]
            },
            {
                "length-off": Verdict.ERROR,
                "angle-off": Verdict.WARNING,
                "length-spread": Verdict.ERROR,
                "angle-spread": Verdict.ERROR,
            },
        ),
    ),
)

move_or_inspect_again = Words(
    "move it to its place in the spec, or write the measured value into the spec and inspect it again"
)
FOR_ANOTHER_TRUCK = "the results were computed for another truck"


def measures(*dimensions: Dimension) -> Callable[[Job, Measurement], bool]:
    """Whether a measurement has one of these dimensions; one that cannot be read may have any."""

    def fits(job: Job, measurement: Measurement) -> bool:
        if job.unreadable(measurement):
            return True
        return job.counts(measurement) and job.measured(measurement).dimension in dimensions

    return fits


others = tuple(dimension for dimension in Dimension if dimension not in (Dimension.LENGTH, Dimension.ANGLE))


def off(job: Job, measurement: Measurement) -> float:
    problem = job.unreadable(measurement)
    if problem:
        raise CannotTell(problem)
    return job.measured(measurement).off


def where(job: Job, measurement: Measurement) -> str:
    return measurement.of


@rule.check(
    each(Measurement, where=measures(Dimension.LENGTH)),
    at_most(warning="1/8 in", error="1/4 in"),
    basis=common_practice("a tacked bracket can be tapped over by an eighth; beyond that it is another design"),
    change=move_or_inspect_again,
    effect=FOR_ANOTHER_TRUCK,
    place=where,
)
def length_off(job: Job, measurement: Measurement) -> float:
    """Distance between the measured value and the one in the spec."""
    return off(job, measurement)


@rule.check(
    each(Measurement, where=measures(Dimension.ANGLE)),
    at_most(warning="0.5 deg", error="1.5 deg"),
    basis=common_practice("a gauge shows half a degree; caster that is one and a half degrees off is felt"),
    change=move_or_inspect_again,
    effect=FOR_ANOTHER_TRUCK,
    place=where,
)
def angle_off(job: Job, measurement: Measurement) -> float:
    """Difference between the measured angle and the one in the spec."""
    return off(job, measurement)


@rule.check(
    each(Measurement, where=measures(*others)),
    at_most(warning="5 %", error="15 %"),
    basis=common_practice("springs and loads are chosen to a twentieth"),
    change=move_or_inspect_again,
    effect=FOR_ANOTHER_TRUCK,
    place=where,
)
def share_off(job: Job, measurement: Measurement) -> float:
    """Difference between the measured value and the one in the spec, as a share of the one in the spec."""
    difference, planned = off(job, measurement), job.measured(measurement).planned
    return difference if isinstance(planned, Point) or planned == 0.0 else difference / abs(planned)


measure_again = Words("measure it a third time, and find out which reading is wrong")


def again(*dimensions: Dimension) -> Any:
    """The places of these dimensions that were measured more than once."""

    def places(job: Job, build: Build) -> Iterator[MeasuredPlace]:
        return (place for place in job.measured_again() if place.dimension in dimensions)

    return made("place measured again", places)


@rule.check(
    again(Dimension.LENGTH),
    at_most(warning="1/16 in", error="1/4 in"),
    basis=common_practice("two readings of one place by one tape agree to a sixteenth, or one of them is a slip"),
    change=measure_again,
    effect="one of the two is wrong, and the mean of both is too",
    place=lambda job, place: place.path,
)
def length_spread(job: Job, place: MeasuredPlace) -> Spot:
    """Largest difference between the readings of one place."""
    return Spot(place.spread).within(job.tolerance(KnownBy.TAPE))


@rule.check(
    again(Dimension.ANGLE),
    at_most(warning="0.3 deg", error="1 deg"),
    basis=common_practice("two readings of one angle by one gauge agree to a few tenths, or one of them is a slip"),
    change=measure_again,
    effect="one of the two is wrong, and the mean of both is too",
    place=lambda job, place: place.path,
)
def angle_spread(job: Job, place: MeasuredPlace) -> Spot:
    """Largest difference between the readings of one angle."""
    return Spot(place.spread).within(job.tolerance(KnownBy.GAUGE))
