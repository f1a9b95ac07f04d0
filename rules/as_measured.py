"""What was measured on the truck is where the spec has it.

Checked: every measurement that the records hold, against the number in the spec that it is of.

Risk: everything else is worked out for the truck in the spec. What is tacked somewhere else moves otherwise, and the
time to see it is before the final weld.

Worked out: of a point, the distance between where it was found and where the spec has it; of a length or an
angle, the difference; of anything else (a weight, a rate), the difference as a share. What cannot be read is told
by spec-consistency.

Remedy: move what is tacked, or write into the spec what was measured and inspect it again: it may do as
well.
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
    "move it to where the spec has it, or write into the spec what was measured and inspect it again"
)
WORKED_OUT = "what was computed is for another truck"


def measures(*dimensions: Dimension) -> Callable[[Job, Measurement], bool]:
    """Whether a measurement is of one of these dimensions; one that cannot be read may be of any."""

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
    basis=common_practice("a tacked bracket is tapped over by an eighth; more than that, and it is another design"),
    change=move_or_inspect_again,
    effect=WORKED_OUT,
    place=where,
)
def length_off(job: Job, measurement: Measurement) -> float:
    """Distance of what was measured from where the spec has it."""
    return off(job, measurement)


@rule.check(
    each(Measurement, where=measures(Dimension.ANGLE)),
    at_most(warning="0.5 deg", error="1.5 deg"),
    basis=common_practice("half a degree is what a gauge shows; caster that is one and a half off is felt"),
    change=move_or_inspect_again,
    effect=WORKED_OUT,
    place=where,
)
def angle_off(job: Job, measurement: Measurement) -> float:
    """Difference of an angle that was measured from the one in the spec."""
    return off(job, measurement)


@rule.check(
    each(Measurement, where=measures(*others)),
    at_most(warning="5 %", error="15 %"),
    basis=common_practice("springs and loads are chosen to a twentieth"),
    change=move_or_inspect_again,
    effect=WORKED_OUT,
    place=where,
)
def share_off(job: Job, measurement: Measurement) -> float:
    """Difference of what was measured from the spec, as a share of it."""
    difference, planned = off(job, measurement), job.measured(measurement).planned
    return difference if isinstance(planned, Point) or planned == 0.0 else difference / abs(planned)
