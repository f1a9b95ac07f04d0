"""Measured values agree with the spec.

Checked: every measurement in the records against the number in the spec that it measures.

Risk: everything else is computed for the truck in the spec. A bracket that is tacked somewhere else moves differently,
and the time to notice is before the final weld.

Worked out: for a point, the distance between the measured place and the place in the spec; for a length or an
angle, the difference; for anything else (a weight, a rate), the difference as a share of the number in the spec.
spec-consistency reports a measurement that cannot be read.

Remedy: move the bracket, or write the measured value into the spec and inspect it again. It may be just as
good.
"""

from collections.abc import Callable

from buildcheck.api import (
    Area,
    CannotTell,
    Dimension,
    Job,
    Measurement,
    Point,
    Rule,
    Sample,
    Stage,
    Verdict,
    Words,
    at_most,
    common_practice,
    each,
)

rule = Rule(
    "as-measured",
    area=Area.RECORDS,
    page=__doc__,
    from_stage=Stage.TACKED,
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
    ),
)

move_or_inspect_again = Words(
    "move it to its place in the spec, or write the measured value into the spec and inspect it again"
)
FOR_ANOTHER_TRUCK = "the results were computed for another truck"


def measures(*dimensions: Dimension) -> Callable[[Job, Measurement], bool]:
    """Whether a measurement has one of these dimensions; one that cannot be read may have any."""

    def fits(job: Job, measurement: Measurement) -> bool:
        return bool(job.unreadable(measurement)) or job.measured(measurement).dimension in dimensions

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
