"""A signed stage as text: the record just written, what blocks a signature, and whether a signature still holds."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC

from buildcheck.build import Stage
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.output import words
from buildcheck.output.cautions import cautions
from buildcheck.output.outcome import Inspected, Spec
from buildcheck.output.sheet import build_head, head, place_of, spec_head
from buildcheck.output.stated_words import amount
from buildcheck.output.text_layout import Page
from buildcheck.output.words import count, printable
from buildcheck.shop.sign_off import COVERS, SignOff
from buildcheck.shop.signed_record import Record
from buildcheck.shop.standing import Change, Standing
from buildcheck.spec.quantity import System

MOST_SHOWN = 20
"""The most changed values that are listed; the rest is counted."""


def not_signed(spec: Inspected, blocking: Sequence[str], *, width: int | None, colour: bool) -> str:
    """List everything that blocks the signature of a stage."""
    page = Page(width, colour=colour)
    stage = spec.inspection.stage
    page.heading(f"SIGN-OFF {stage.value.upper()}: NOT SIGNED")
    build_head(page, spec)
    spec_head(page, spec)
    page.blank()
    page.text(f"{count(len(blocking), 'thing blocks', 'things block')} the signature, and no record was written:", 2)
    for sentence in blocking:
        page.text(f"- {printable(sentence)}", 2, 4)
    page.blank()
    for reading in spec.readings:
        if reading.applies and reading.verdict in (Verdict.NOT_CHECKED, Verdict.ERROR, Verdict.WARNING):
            page.text(printable(f"{reading.verdict.value}: {_said(spec, reading)}"), 2, 4)
    page.blank()
    page.text(f"The readings: buildcheck inspect {printable(spec.file)} --hold-point {stage.value}", 2, 4)
    return str(page)


def now_signed(spec: Inspected, sign_off: SignOff, file: str, *, width: int | None, colour: bool) -> str:
    """The record that was written, what it covers, and the cautions for the work that follows."""
    page = Page(width, colour=colour)
    page.heading(f"SIGN-OFF {sign_off.stage.value.upper()}: SIGNED")
    build_head(page, spec)
    spec_head(page, spec)
    _persons(page, sign_off)
    head(page, "record", printable(file))
    page.blank()
    page.text(f"Signed for: {sign_off.signed_for}.", 2)
    page.text(COVERS, 2)
    for accepted in sign_off.accepted:
        page.field("accepted", printable(accepted), indent=2, column=12)
    page.heading("CAUTIONS")
    for caution in cautions(spec.build, _next(sign_off.stage)):
        page.text(caution, 2, 4)
    return str(page)


def held_against(
    spec: Spec, file: str, found: Standing, otherwise: Sequence[str], *, width: int | None, colour: bool
) -> str:
    """A record, held against the spec of today; `otherwise` says what else it was made with."""
    page = Page(width, colour=colour)
    signed = found.record.sign_off
    page.heading(f"SIGN-OFF {signed.stage.value.upper()}: {'HOLDS' if found.holds else 'DOES NOT HOLD'}")
    build_head(page, spec)
    spec_head(page, spec)
    _persons(page, signed)
    head(page, "record", f"{printable(file)}: {_state_of(found.record)}")
    head(page, "made with", _made_with(signed))
    page.blank()
    page.text(f"Signed for: {signed.signed_for}.", 2)
    page.text(COVERS, 2)
    for sentence in reasons(spec, found):
        page.field("overturned", printable(sentence), indent=2, column=14)
    for sentence in otherwise:
        page.field("since then", printable(sentence), indent=2, column=14)
    _changed(page, spec, found.changed)
    return str(page)


def reasons(spec: Spec, found: Standing) -> list[str]:
    """Why a signature does not hold any more, as sentences; empty where it holds."""
    said = []
    if not found.record.intact:
        said.append("the record was changed after it was written")
    if found.forged:
        said.append("its signature was not made with the key that it names")
    if found.without_the_key:
        said.append("it has no signature with the key that is wanted")
    system = spec.build.units
    said.extend(
        f"what was signed as a fact has changed: {_change(change, system)}{_at(spec, change.path)}"
        for change in found.facts
    )
    said.extend(f"{reading.verdict.value} today: {_said(spec, reading)}" for reading in found.broken)
    return said


def _said(spec: Spec, reading: Reading) -> str:
    """A reading in one line: what it is about, what was found or why not, its rule and its place."""
    about = words.title(reading) if reading.quantity else words.subject(reading)
    why = reading.failure or reading.reason or words.found(reading, spec.build.units)
    return f"{about}: {why} (rule {reading.rule}){_at(spec, reading.place)}"


def _changed(page: Page, spec: Spec, changed: Sequence[Change]) -> None:
    if not changed:
        page.text("Nothing in the spec has changed since.", 2)
        return
    page.text(f"{count(len(changed), 'value')} of the spec changed since, which alone overturns nothing:", 2)
    for change in changed[:MOST_SHOWN]:
        page.text(f"- {_change(change, spec.build.units)}{_at(spec, change.path)}", 4, 6)
    if len(changed) > MOST_SHOWN:
        page.text(f"- and {len(changed) - MOST_SHOWN} more", 4, 6)


def _persons(page: Page, signed: SignOff) -> None:
    head(page, "signed", f"{printable(signed.signed_by)}, {signed.signed_at.astimezone(UTC):%Y-%m-%d %H:%M} UTC")
    if signed.checked_by:
        head(page, "checked", printable(signed.checked_by))
    if signed.note:
        head(page, "note", printable(signed.note))


def _state_of(record: Record) -> str:
    as_written = "as it was written" if record.intact else "changed after it was written"
    if record.signature is None:
        return f"{as_written}; no signature with a key"
    return f"{as_written}; signed with the {record.signature.algorithm} key {record.signature.public_key}"


def _made_with(signed: SignOff) -> str:
    made = signed.provenance
    said = [f"buildcheck {made.version}", count(len(made.rules), "rule")]
    if made.standard is not None:
        said.append(f"the standard {made.standard.name} {made.standard.version}".rstrip())
    said.extend(f"the plugin {plugin.name} {plugin.version}".rstrip() for plugin in made.plugins)
    return printable(", ".join(said))


def _change(change: Change, system: System) -> str:
    then, now = (amount(change.path, value, system) for value in (change.then, change.now))
    if change.now is None:
        return f"{change.path} was {then}, and is not in the spec any more"
    if change.then is None:
        return f"{change.path} is new: {now}"
    return f"{change.path} was {then}, and is {now}"


def _at(spec: Spec, path: str) -> str:
    position = spec.position(path)
    return "" if position is None else f"; {place_of(spec, path)}"


def _next(stage: Stage) -> Stage:
    """The stage whose work follows."""
    stages = list(Stage)
    return stages[min(stage.number + 1, len(stages) - 1)]
