"""Sign-off: which hold point this inspection is for, what still stands against signing it, and what the spec has
written down of the others. It says what may be signed, never that anything is fit for use."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.build import Build, Stage
from buildcheck.limit import Verdict
from buildcheck.output import words
from buildcheck.output.items import items
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.counting import by_the_shop, kinds, nothing_checked
from buildcheck.output.report.record import place
from buildcheck.output.sheet import stated
from buildcheck.output.words import count, printable

SIGNED_FOR = {
    Stage.PROPOSAL: "the plan, before anything is taken apart",
    Stage.TEARDOWN: "the baseline, before anything is cut",
    Stage.TACKED: "brackets tacked and measured, before final welds",
    Stage.CYCLED: "the axle cycled by hand through travel, articulation and lock",
    Stage.FINAL_WELD: "welds and fasteners, before the truck moves",
}
"""What is signed for at each stage."""

MAY = "may be signed"
MAY_IN_PART = "may be signed for what was checked"
NOT_YET = "not to be signed yet"

WHEN = (
    "Before a stage is signed, every error is put right or waived, and every warning is looked at and then put right "
    "or waived too. The command's exit status is another matter: 0 says that it found no error, and warnings may be "
    "left."
)
"""When a hold point may be signed; and why the exit status may be 0 where it may not."""


class HoldPoint(NamedTuple):
    """A stage of the job: whether this inspection is for it, its state, and what is told beneath that."""

    name: str
    signed_for: str
    now: bool
    state: str
    told: tuple[str, ...]


def hold_points(spec: Inspected) -> tuple[HoldPoint, ...]:
    """The hold points in the order of the job; the one that this inspection is for with whether it may be signed."""
    now = spec.inspection.stage
    made = []
    for stage, signed_for in SIGNED_FOR.items():
        if stage is now:
            state, why = verdict(spec)
            told = (*why, *_written(spec, stage))
        else:
            state = "earlier in the job" if stage.number < now.number else "to come"
            told = _written(spec, stage)
        made.append(HoldPoint(stage.value, signed_for, stage is now, state, told))
    return tuple(made)


def verdict(spec: Inspected) -> tuple[str, tuple[str, ...]]:
    """Whether the hold point of this inspection may be signed, and why not, or for what not.

    It may where nothing is left that is neither put right nor waived. What was not checked is not covered by a
    signature, and says so.
    """
    against, left = [], []
    every = {kind.says: kind for kind in kinds(spec, items(spec))}
    failed = every.get("that a rule failed to make")
    if failed:
        against.append(failed.in_words)
    for says in ("to put right", "to look at"):
        if every[says].readings:
            against.append(f"{every[says].in_words}, neither put right nor waived")
    if nothing_checked(spec):
        against.append("nothing was checked")
    if "waived" in every:
        left.append(every["waived"].in_words)
    left.extend(by_the_shop(spec))
    near = len(too_near(spec))
    if near:
        left.append(f"{count(near, 'reading')} too near to their limits to tell, named below")
    unchecked = every["not checked"].readings
    if unchecked:
        left.append(f"{every['not checked'].in_words}, which no signature here covers")
    return (NOT_YET if against else MAY_IN_PART if unchecked else MAY), (*against, *left)


def loosened(spec: Inspected) -> tuple[str, ...]:
    """The readings that pass only by a looser limit of the shop's standard, each with both limits and its place."""
    system = spec.build.units
    return tuple(
        f"{words.title(reading)}: {words.found(reading, system)}; {words.loosened(reading, system)}"
        + (f" ({place(spec, reading.place)})" if reading.place else "")
        for reading in spec.loosened
    )


def too_near(spec: Inspected) -> tuple[str, ...]:
    """The readings within limits that are too near to them to tell, each with where the spec has it."""
    return tuple(
        f"{printable(reading.subject)}, {printable(reading.meaning)}"
        + (f" ({place(spec, reading.place)})" if reading.place else "")
        for reading in spec.with_verdict(Verdict.OK)
        if reading.too_near_to_tell
    )


def whose_stage(spec: Inspected) -> str:
    """What the spec says of its stage, against the stage that this inspection is for."""
    now, own = spec.inspection.stage.value, stated(spec, "stage")
    if not own:
        return f"This inspection is for the stage {now}; the spec does not say how far the job is."
    if own != now:
        return f"This inspection is for the stage {now}, though the spec says that the job is at {own}."
    return f"The spec says that the job is at {own}, and this inspection is for that stage."


def _written(spec: Inspected, stage: Stage) -> tuple[str, ...]:
    """What the spec has written down of a stage."""
    build, told = spec.build, []
    if stage is Stage.TEARDOWN:
        told.append(_baseline(build))
    measured = build.records.measured if build.has("records") and build.records.has("measured") else ()
    days = [each.given().get("measured_on") for each in measured if each.given().get("stage") == stage.value]
    if days:
        last = max((str(day) for day in days if day), default="")
        told.append(f"{count(len(days), 'value')} measured{f', the last on {printable(last)}' if last else ''}")
    elif stage in (Stage.TACKED, Stage.CYCLED) and stage.number <= spec.inspection.stage.number:
        told.append("nothing measured at this stage is in the spec")
    return tuple(told)


def _baseline(build: Build) -> str:
    if not build.has("records") or not build.records.has("baseline"):
        return "no baseline is in the spec"
    given = build.records.baseline.given()
    on, by = (printable(str(given[name])) if name in given else "" for name in ("taken_on", "taken_by"))
    return f"baseline taken{f' on {on}' if on else ', no date'}{f' by {by}' if by else ', by nobody named'}"
