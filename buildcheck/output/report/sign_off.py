"""Sign-off as the report shows it: each hold point of the job, whether the one that this inspection is for can be
signed off, and what is said beneath that. The judgement is made in `buildcheck.checks.hold_points`."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.checks.hold_points import HoldPoint
from buildcheck.checks.limit import Verdict
from buildcheck.output import words
from buildcheck.output.outcome import Inspected
from buildcheck.output.sheet import line_of, stated
from buildcheck.output.words import printable

WHEN = (
    f"{words.SIGNING_OFF} The command's exit status says something else: 0 means no error, and warnings may be "
    "left; with --hold-point it is 5 where the stage cannot be signed off."
)
"""When a hold point can be signed off; and why the exit status may be 0 where it cannot."""


class Row(NamedTuple):
    """A hold point in the table: whether this inspection is for it, its state, and what is said beneath that."""

    name: str
    signed_for: str
    now: bool
    state: str
    beneath: tuple[str, ...]


def rows(spec: Inspected) -> tuple[Row, ...]:
    """The hold points in the order of the job; of the one that this inspection is for, whether it can be signed off."""
    return tuple(_row(spec, point) for point in spec.hold_points)


def _row(spec: Inspected, point: HoldPoint) -> Row:
    beneath = (*point.blocking, *point.accepted, *point.recorded)
    if point.now:
        state = words.state(point)
    elif point.stage.number < spec.inspection.stage.number:
        state, beneath = "earlier in the job", (*point.lacking, *point.recorded)
    else:
        state = "to come"
    return Row(point.stage.value, point.signed_for, point.now, state, beneath)


def loosened(spec: Inspected) -> tuple[str, ...]:
    """The readings that pass only by a looser limit of the shop's standard, each with both limits and its place."""
    system = spec.build.units
    return tuple(
        f"{words.title(reading)}: {words.found(reading, system)}; {words.loosened(reading, system)}"
        + (f" ({line_of(spec, reading.place)})" if reading.place else "")
        for reading in spec.loosened
    )


def too_near(spec: Inspected) -> tuple[str, ...]:
    """The readings within limits that are too near to them to be sure, each with its place in the spec."""
    return tuple(
        f"{printable(reading.subject)}, {printable(reading.meaning)}"
        + (f" ({line_of(spec, reading.place)})" if reading.place else "")
        for reading in spec.with_verdict(Verdict.OK)
        if reading.too_near_to_tell
    )


def whose_stage(spec: Inspected) -> str:
    """The stage by the spec, compared with the stage that this inspection is for."""
    now, own = spec.inspection.stage.value, stated(spec, "stage")
    if not own:
        return f"This inspection is for the stage {now}; the spec does not say how far the job is."
    if own != now:
        return f"This inspection is for the stage {now}, though the spec says that the job is at {own}."
    return f"The spec says that the job is at {own}, and this inspection is for that stage."
