"""What is recorded was measured with a tool that can, closely enough, and when the job had come to it.

Checked: the tolerances of tape, gauge and scales in the records; for each measurement, its tolerance, that its tool
measures that kind of value, and that it was made at a stage that the job has reached, after the baseline; that no
tolerance is of nothing; and that no record is of a stage that the job has not reached. Values that are not stated are
not compared.

Risk: a length read from a photograph, or a caster read off a phone, looks like any other number. A record of a stage
that is still to come was copied from another truck, or was written before the work.

Worked out: by comparing what the records state.

Remedy: measure again with the right tool; set `build.stage` to where the job is.
"""

from collections.abc import Iterator
from typing import Any, NamedTuple

from buildcheck.api import (
    Aligned,
    Answer,
    Area,
    Build,
    Cycled,
    Dimension,
    Driven,
    Job,
    Measurement,
    Part,
    Point,
    Reassembled,
    Records,
    Rule,
    Sample,
    Stage,
    Tacked,
    Verdict,
    Welded,
    Words,
    at_most,
    common_practice,
    each,
    made,
    met,
)

AT = {"of": "lateral_bar.frame.z", "value": "22 13/16 in"}

rule = Rule(
    "measuring",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("by tape, to a sixteenth", {"records.measured": [AT | {"tool": "tape", "tolerance": "1/16 in"}]}),
        Sample(
            "a height by scales, an inch off, of a stage still to come",
            {"records.measured": [AT | {"tool": "scales", "tolerance": "1 in", "stage": "cycled"}]},
            {"length-tolerance": Verdict.ERROR, "tool": Verdict.ERROR, "stage-reached": Verdict.WARNING},
        ),
    ),
)

finer = Words("measure with a finer tool, or write how closely this one reads")
tolerances: dict[str, Any] = {
    "effect": "the record cannot tell a truck that is right from one that is wrong",
    "change": finer,
    "compares": True,
}
TAPE = common_practice("a steel tape is read to 1/16 in; a bracket is tapped over by 1/8 in")
GAUGE = common_practice("an angle gauge shows 0.1 to 0.2 deg; caster that is 1.5 deg off is felt")


@rule.check(Records, at_most(warning="1/8 in", error="1/4 in"), basis=TAPE, place="tape_tolerance", **tolerances)
def tape(job: Job, records: Records) -> float:
    """How far off the points and lengths of the spec may be."""
    return records.tape_tolerance


@rule.check(Records, at_most(warning="0.5 deg", error="1.5 deg"), basis=GAUGE, place="gauge_tolerance", **tolerances)
def gauge(job: Job, records: Records) -> float:
    """How far off the angles of the spec may be."""
    return records.gauge_tolerance


@rule.check(
    Records,
    at_most(warning="3 %", error="10 %"),
    basis=common_practice("scales under the wheels are right to 1 %; springs are chosen to a twentieth"),
    place="scale_tolerance",
    **tolerances,
)
def scales(job: Job, records: Records) -> float:
    """How far off the weights of the spec may be, as a share of the load on this axle."""
    return records.scale_tolerance / job.build.vehicle.axle_load


def of(*dimensions: Dimension) -> Any:
    def measures(job: Job, measurement: Measurement) -> bool:
        return not job.unreadable(measurement) and job.measured(measurement).dimension in dimensions

    return measures


def tolerance(job: Job, measurement: Measurement) -> float:
    found = job.measured(measurement).tolerance if measurement.has("tolerance") else measurement.tolerance
    assert isinstance(found, float)
    return found


@rule.check(
    each(Measurement, where=of(Dimension.LENGTH)),
    at_most(warning="1/8 in", error="1/4 in"),
    basis=TAPE,
    place="tolerance",
    **tolerances,
)
def length_tolerance(job: Job, measurement: Measurement) -> float:
    """How far off the measured length or point may be."""
    return tolerance(job, measurement)


@rule.check(
    each(Measurement, where=of(Dimension.ANGLE)),
    at_most(warning="0.5 deg", error="1.5 deg"),
    basis=GAUGE,
    place="tolerance",
    **tolerances,
)
def angle_tolerance(job: Job, measurement: Measurement) -> float:
    """How far off the measured angle may be."""
    return tolerance(job, measurement)


@rule.check(
    each(Measurement, where=of(*(each for each in Dimension if each not in (Dimension.LENGTH, Dimension.ANGLE)))),
    at_most(warning="5 %", error="15 %"),
    basis=common_practice("springs and loads are chosen to a twentieth"),
    place="tolerance",
    **tolerances,
)
def share_tolerance(job: Job, measurement: Measurement) -> float:
    """How far off the measured value may be, as a share of the one in the spec."""
    planned = job.measured(measurement).planned
    assert not isinstance(planned, Point)
    return tolerance(job, measurement) / abs(planned)


class Stated(NamedTuple):
    """A tolerance that the records state, by its spec path."""

    path: str
    label: str
    amount: float


def stated_tolerances(job: Job, build: Build) -> Iterator[Stated]:
    """Every tolerance of the records, of their baseline and of their measurements, that can be read."""
    records = build.records if build.has("records") else None
    holders: list[Part] = [] if records is None else [records]
    if records is not None and records.has("baseline"):
        holders.append(records.baseline)
    for part in holders:
        for name, value in part.given().items():
            if name.endswith("_tolerance"):
                yield Stated(part.path_of(name), part.label, value)
    for measurement in records.measured if records is not None and records.has("measured") else ():
        if measurement.has("tolerance") and not job.unreadable(measurement):
            yield Stated(measurement.path_of("tolerance"), measurement.label, tolerance(job, measurement))


@rule.must(
    made("stated tolerance", stated_tolerances),
    wanted="more than nothing",
    basis=common_practice("no tape, gauge or scale reads without any error"),
    otherwise=Verdict.WARNING,
    change=Words("write how closely the tool reads, such as 1/16 in by tape"),
    effect="every reading that rests on it is called sure",
    compares=True,
)
def not_exact(job: Job, stated: Stated) -> Answer:
    """A tolerance is more than nothing."""
    return met(stated.amount > 0.0, "more than nothing", otherwise="nothing")


# What each tool measures; of a point all but the plumb bob and the tape measure too little.
MEASURES = {
    "tape": (Dimension.LENGTH,),
    "rule": (Dimension.LENGTH,),
    "plumb-bob": (Dimension.LENGTH,),
    "calipers": (Dimension.LENGTH,),
    "square": (Dimension.LENGTH, Dimension.ANGLE),
    "angle-gauge": (Dimension.ANGLE,),
    "scales": (Dimension.MASS, Dimension.FORCE),
}
FOR_A_POINT = ("tape", "plumb-bob", "rule", "square")


@rule.must(
    Measurement,
    wanted="a tool that measures this kind of value",
    basis=common_practice("lengths are measured by tape, angles by gauge, weights by scales"),
    change=Words("measure it with a tool for that kind of value, or write the tool that was used"),
    place="tool",
    effect="the number is not what it says",
    compares=True,
)
def tool(job: Job, measurement: Measurement) -> Answer:
    """The tool measures the kind of value that was measured."""
    used = measurement.tool
    if job.unreadable(measurement):
        return met(True, used, otherwise=used)  # another rule says what is wrong with it
    measured = job.measured(measurement)
    fits = measured.dimension in MEASURES[used]
    if isinstance(measured.planned, Point):
        fits = used in FOR_A_POINT
    return met(fits, used, otherwise=f"{used}, of {measurement.of}")


def stage_of(job: Job) -> Stage:
    return job.build.build.stage


too_early: dict[str, Any] = {
    "basis": common_practice("a record is made when the work is done"),
    "change": Words("set build.stage to where the job is, or look up the stage of the record"),
    "effect": "the record is of work that was not done, or of another truck",
    "otherwise": Verdict.WARNING,
    "compares": True,
}


@rule.must(Measurement, wanted="a stage that the job has reached", place="stage", **too_early)
def stage_reached(job: Job, measurement: Measurement) -> Answer:
    """The job has reached the stage at which the value was measured."""
    at, now = Stage(measurement.stage), stage_of(job)
    return met(at.number <= now.number, f"{at}", otherwise=f"{at}, and the job is at {now}")


STAGE_OF: dict[type[Part], Stage] = {
    Tacked: Stage.TACKED,
    Cycled: Stage.CYCLED,
    Welded: Stage.FINAL_WELD,
    Reassembled: Stage.REASSEMBLED,
    Aligned: Stage.ALIGNED,
    Driven: Stage.DRIVEN,
}


@rule.must(
    Tacked | Cycled | Welded | Reassembled | Aligned | Driven, wanted="a stage that the job has reached", **too_early
)
def record_reached(job: Job, record: Part) -> Answer:
    """The job has reached the stage that the record is of."""
    at, now = STAGE_OF[type(record)], stage_of(job)
    return met(at.number <= now.number, f"{at}", otherwise=f"{at}, and the job is at {now}")


AFTER_BASELINE = (Stage.TACKED, Stage.CYCLED, Stage.FINAL_WELD, Stage.REASSEMBLED, Stage.ALIGNED, Stage.DRIVEN)


def after_teardown(job: Job, measurement: Measurement) -> bool:
    return Stage(measurement.stage) in AFTER_BASELINE


@rule.must(
    each(Measurement, where=after_teardown),
    wanted="after the baseline",
    basis=common_practice("the baseline is taken before anything is cut"),
    otherwise=Verdict.WARNING,
    change=Words("look up both days"),
    place="measured_on",
    effect="the baseline is of a truck that was already changed",
    compares=True,
)
def after_baseline(job: Job, measurement: Measurement) -> Answer:
    """A value that was measured on the new parts was measured after the baseline was taken."""
    taken, day = job.build.records.baseline.taken_on, measurement.measured_on
    return met(taken <= day, day, otherwise=f"{day}, and the baseline is of {taken}")
