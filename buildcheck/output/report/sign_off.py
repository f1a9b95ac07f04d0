"""Sign-off as the report shows it: each hold point of the job, whether the one that this inspection is for can be
signed off, and what is said beneath that. The judgement is made in `buildcheck.checks.hold_points`."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC
from typing import NamedTuple

from buildcheck.build import Stage
from buildcheck.checks.hold_points import HoldPoint
from buildcheck.checks.limit import Verdict
from buildcheck.output import words
from buildcheck.output.outcome import Inspected
from buildcheck.output.sheet import line_of, stated
from buildcheck.output.signed_text import reasons
from buildcheck.output.words import printable
from buildcheck.shop.standing import Standing

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
    record: Signed | None


class Signed(NamedTuple):
    """The newest record of a stage: its file, who signed it and when, whether it holds today, and what says otherwise;
    with no name where the file is no record."""

    file: str
    by: str
    day: str
    holds: bool
    says: tuple[str, ...]


def signed(spec: Inspected, file: str, found: Standing) -> Signed:
    """A record as it is shown, held against the spec of today."""
    sign_off = found.record.sign_off
    by = printable(sign_off.signed_by) + (
        f", checked by {printable(sign_off.checked_by)}" if sign_off.checked_by else ""
    )
    changed = len(found.changed)
    says = [*(f"overturned: {printable(each)}" for each in reasons(spec, found))]
    if changed and found.holds:
        says.append(f"{words.count(changed, 'value')} of the spec changed since, which overturns nothing")
    if sign_off.note:
        says.append(f"note: {printable(sign_off.note)}")
    day = f"{sign_off.signed_at.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
    return Signed(printable(file), by, day, found.holds, tuple(says))


def no_record(file: str, why: str) -> Signed:
    """A file in the place of a record that is none."""
    return Signed(printable(file), "", "", holds=False, says=(f"cannot be read: {printable(why)}",))


def rows(spec: Inspected, records: Mapping[Stage, Signed] | None = None) -> tuple[Row, ...]:
    """The hold points in the order of the job, each with the newest record of it; of the one that this inspection is
    for, whether it can be signed off."""
    return tuple(_row(spec, point, (records or {}).get(point.stage)) for point in spec.hold_points)


def _row(spec: Inspected, point: HoldPoint, record: Signed | None) -> Row:
    beneath = (*point.blocking, *point.accepted, *point.recorded)
    if point.now:
        state = words.state(point)
    elif point.stage.number < spec.inspection.stage.number:
        state, beneath = "earlier in the job", (*point.lacking, *point.recorded)
    else:
        state = "to come"
    if record is not None:
        state = "signed" if record.holds else "signed, and does not hold any more" if record.by else state
    return Row(point.stage.value, point.signed_for, point.now, state, beneath, record)


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
