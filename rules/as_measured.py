"""What was measured on the truck is where the spec has it."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Dimension,
    Finding,
    Job,
    Limit,
    Measurement,
    Point,
    Sample,
    Stage,
    Unreached,
    Verdict,
    at_most,
    common_practice,
    hold,
    rule,
)

LENGTH_OFF = Limit(
    "length-off",
    "distance of what was measured from where the spec has it",
    Dimension.LENGTH,
    at_most(warning="1/8 in", error="1/4 in"),
    basis=common_practice("a tacked bracket is tapped over by an eighth; more than that, and it is another design"),
)
ANGLE_OFF = Limit(
    "angle-off",
    "difference of an angle that was measured from the one in the spec",
    Dimension.ANGLE,
    at_most(warning="0.5 deg", error="1.5 deg"),
    basis=common_practice("half a degree is what a gauge tells; caster that is one and a half off is felt"),
)
SHARE_OFF = Limit(
    "share-off",
    "difference of what was measured from the spec, as a share of it",
    Dimension.RATIO,
    at_most(warning="5 %", error="15 %"),
    basis=common_practice("springs and loads are chosen to a twentieth"),
)


@rule(
    "as-measured",
    area=Area.RECORDS,
    subject="measurement",
    limits=(LENGTH_OFF, ANGLE_OFF, SHARE_OFF),
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
    from_stage=Stage.TACKED,
)
def as_measured(job: Job, measurement: Measurement) -> Iterator[Finding]:
    """What was measured on the truck is where the spec has it.

    What it checks: every measurement that the records hold, against the number in the spec that it is of.

    Why: everything else is worked out for the truck in the spec. What is tacked somewhere else moves otherwise, and the
    time to see it is before the final weld.

    How it is computed: of a point, the distance between where it was found and where the spec has it; of a length or an
    angle, the difference; of anything else (a weight, a rate), the difference as a share. What cannot be read is told
    by spec-consistency.

    To put it right: move what is tacked, or write into the spec what was measured and inspect it again: it may do as
    well.
    """
    problem = job.unreadable(measurement)
    if problem:
        raise Unreached(problem)
    measured = job.measured(measurement)
    limit, off = SHARE_OFF, measured.off
    if measured.dimension is Dimension.LENGTH:
        limit = LENGTH_OFF
    elif measured.dimension is Dimension.ANGLE:
        limit = ANGLE_OFF
    elif not isinstance(measured.planned, Point) and measured.planned != 0.0:
        off /= abs(measured.planned)
    yield hold(
        limit,
        off,
        place=measurement.of,
        effect="what was worked out is for another truck",
        cure="move it to where the spec has it, or write into the spec what was measured and inspect it again",
    )
