"""The inspection record as text: what a shop would clip to the fender, with a box to tick for each item."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import groupby

from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Area, Reading
from buildcheck.output import words
from buildcheck.output.cautions import cautions
from buildcheck.output.items import Item, items
from buildcheck.output.limits import looser, looser_tally
from buildcheck.output.outcome import Inspected, Outcome
from buildcheck.output.parts_text import parts
from buildcheck.output.sheet import build_head, head, place, place_of, plugins_head, refusal, spec_head, stated
from buildcheck.output.text_layout import Page
from buildcheck.output.unchecked import in_words, lacks_of
from buildcheck.output.words import count, printable
from buildcheck.spec.quantity import System

_LABEL_WIDTH = 9
_INDENT = 7


def record(outcome: Outcome, *, width: int | None = None, colour: bool = False, everything: bool = False) -> str:
    """The record of all specs of a call, ended by the cautions that apply to any of them.

    `width` is the number of columns to wrap to, None for no wrapping. `everything` gives each passed
    reading with its numbers, in place of a count.
    """
    page = Page(width, colour=colour)
    for spec in outcome.specs:
        page.blank()
        if isinstance(spec, Inspected):
            _inspected(page, spec, everything)
        else:
            refusal(page, spec, "INSPECTION RECORD: NOT INSPECTED")
    if outcome.plugin_failures:
        page.heading("PLUGINS THAT FAILED")
        for failure in outcome.plugin_failures:
            page.text(f"{printable(failure.plugin)}: {printable(failure.sentence)}", 2, 4)
        page.text("What failed was not used; the rest went on.", 2)
    if len(outcome.specs) > 1:
        page.heading("ALL SPECS")
        page.text(_overall(outcome), 2)
    if outcome.inspected:
        page.heading("CAUTIONS")
        chosen = [caution for spec in outcome.inspected for caution in _cautions(spec)]
        last = chosen[-1]
        for caution in [*dict.fromkeys(caution for caution in chosen if caution != last), last]:
            page.text(caution, 2, 4)
    return str(page)


def _cautions(spec: Inspected) -> tuple[str, ...]:
    return cautions(spec.build, spec.inspection.stage)


def _inspected(page: Page, spec: Inspected, everything: bool) -> None:
    page.heading("INSPECTION RECORD")
    _header(page, spec)
    numbered = items(spec)
    _outcome(page, spec, numbered, everything)
    for area, group in groupby(spec.readings, key=lambda reading: reading.area):
        readings = tuple(group)
        if everything or any(item.reading.area is area for item in numbered):
            _area(page, spec, area, readings, numbered, everything)
    _looser(page, spec)
    _loosened(page, spec)
    _waived(page, spec)
    _failed(page, spec)
    _too_near(page, spec)
    _not_checked(page, spec, everything)
    if everything:
        _assumed(page, spec)
        _later(page, spec)
    _switched_off(page, spec)
    if everything:
        parts(page, spec.build)
    if spec.signing:
        _hold_point(page, spec)


def _outcome(page: Page, spec: Inspected, numbered: tuple[Item, ...], everything: bool) -> None:
    """The count, what was not checked first, and where to find what this page leaves out."""
    page.heading("OUTCOME")
    page.text(tally(spec, numbered), 2, 4)
    if numbered:
        page.text("The few changes that mend it together: buildcheck work-order SPEC", 2, 4)
        page.text("What a rule checks, and why: buildcheck rules NAME", 2, 4)
    left_out = [
        words.count(number, *named)
        for number, named in (
            (len(spec.with_verdict(Verdict.OK)), ("reading within limits", "readings within limits")),
            (len(spec.inspection.assumptions), ("assumption",)),
            (
                sum(not reading.applies for reading in spec.readings),
                ("reading that does not apply", "readings that do not apply"),
            ),
            (len(spec.later), ("rule of later stages", "rules of later stages")),
        )
        if number
    ]
    if left_out and not everything:
        *others, last = left_out
        page.text(f"--all also lists {', '.join(others)}{' and ' if others else ''}{last}.", 2, 4)


def _hold_point(page: Page, spec: Inspected) -> None:
    """Whether the stage can be signed off, with what blocks it and what a signature accepts."""
    point = spec.hold_point
    page.heading("HOLD POINT")
    page.text(f"{point.stage.value} {words.state(point)}: {point.signed_for}", 2, 4)
    for label, sentences in (
        ("blocked", point.blocking),
        ("accepted", point.accepted),
        ("recorded", point.recorded),
    ):
        for sentence in sentences:
            page.field(label, sentence, indent=2, column=12)
    page.text(words.SIGNING_OFF, 2, 4)


def _header(page: Page, spec: Inspected) -> None:
    build_head(page, spec)
    stage, said = spec.inspection.stage.value, stated(spec, "stage")
    asked = f" (as asked; the spec says {said})" if said not in ("", stage) else ""
    head(page, "stage", f"{stage}{asked}")
    spec_head(page, spec)
    if spec.used is not None:
        head(page, "standard", printable(spec.used.words))
    plugins_head(page, spec.plugins)


def _area(
    page: Page,
    spec: Inspected,
    area: Area,
    readings: tuple[Reading, ...],
    numbered: tuple[Item, ...],
    everything: bool,
) -> None:
    passed = [reading for reading in readings if reading.verdict is Verdict.OK and reading.applies]
    aside: dict[tuple[str, str], dict[str, None]] = {}
    for reading in readings:
        if not reading.applies:
            aside.setdefault((reading.rule, reading.reason), {})[reading.subject] = None
    here = [item for item in numbered if item.reading.area is area]
    if not everything:
        aside = {}
    if not passed and not here and not aside:
        return
    page.heading(area.value.upper())
    for item in here:
        _item(page, spec, item, _same_basis(numbered, item, spec.build.units))
        page.blank()
    if everything:
        _passed_in_full(page, spec, passed)
    for (rule, reason), subjects in aside.items():
        which = f" ({_some(subjects)})" if list(subjects) != ["whole build"] else ""
        page.text(printable(f"{rule} does not apply{which}: {reason}"), _INDENT, _INDENT + 2)


def _same_basis(numbered: tuple[Item, ...], item: Item, system: System) -> int | None:
    """The number of the first item that has the same basis, where that is an earlier one."""
    basis = words.whole_basis(item.reading, system)
    first = next(other.number for other in numbered if words.whole_basis(other.reading, system) == basis)
    return first if first != item.number else None


def _item(page: Page, spec: Inspected, item: Item, same_basis: int | None) -> None:
    reading, system = item.reading, spec.build.units
    indent = max(_INDENT, len(f"[ ] {item.number} "))
    column = indent + _LABEL_WIDTH
    page.field(
        reading.verdict.value.upper(),
        words.title(reading),
        before=f"[ ] {item.number}",
        indent=indent,
        column=column,
        bold=True,
    )
    wanted = "; ".join(part for part in (words.wanted(reading, system), words.margin(reading, system)) if part)
    fields = {
        "also": "" if item.twin is None else f"{words.subject(item.twin)}, as its mirror image",
        "found": words.found(reading, system),
        "wanted": wanted,
        "known to": words.how_sure(item.less_sure, system),
        "change": "" if reading.cure is None else words.change(reading.cure, system),
        "effect": words.effect(reading),
        "in spec": place_of(spec, reading.place),
        "basis": words.whole_basis(reading, system) if same_basis is None else f"as for item {same_basis}",
    }
    _fields(page, fields, words.rule_and_quantity(reading), indent)


def _fields(page: Page, fields: dict[str, str], rule: str, indent: int) -> None:
    """The fields that have a text, each on its line; the rule follows the basis."""
    basis = fields.pop("basis")
    last = {"basis": f"{basis} (rule {rule})"} if basis else {"rule": rule}
    for label, text in {**fields, **last}.items():
        if text:
            page.field(label, text, indent=indent, column=indent + _LABEL_WIDTH)


def _passed_in_full(page: Page, spec: Inspected, passed: Iterable[Reading]) -> None:
    """Passed readings under their limit, so that the limit is printed once."""
    system = spec.build.units

    def limit(reading: Reading) -> tuple[str, ...]:
        return (
            printable(reading.meaning),
            words.rule_and_quantity(reading),
            words.wanted(reading, system),
            words.whole_basis(reading, system),
        )

    column = _INDENT + _LABEL_WIDTH
    limits: dict[tuple[str, ...], list[Reading]] = {}
    for reading in passed:
        limits.setdefault(limit(reading), []).append(reading)
    for (meaning, rule, wanted, basis), group in limits.items():
        page.text(f"within limits: {meaning}", _INDENT, _INDENT + 2)
        _fields(page, {"wanted": wanted, "basis": basis}, rule, _INDENT)
        for reading in group:
            parts = (
                words.found(reading, system),
                words.margin(reading, system),
                words.how_sure(reading, system),
                place_of(spec, reading.place),
            )
            shown = "; ".join(part for part in parts if part)
            page.text(f"{words.subject(reading)}: {shown}", column, column + 2)
        page.blank()


def _waived(page: Page, spec: Inspected) -> None:
    """The waived readings in full, with who accepted each."""
    found = spec.with_verdict(Verdict.WAIVED)
    if not found:
        return
    page.heading("WAIVED")
    column, system = _INDENT + _LABEL_WIDTH, spec.build.units
    for reading in found:
        waived = reading.waived
        page.field("waived", words.title(reading), indent=_INDENT, column=column, bold=True)
        wanted = "; ".join(part for part in (words.wanted(reading, system), words.margin(reading, system)) if part)
        fields = {
            "found": words.found(reading, system),
            "wanted": wanted,
            "known to": words.how_sure(reading, system),
            "would be": "" if waived is None else waived.instead_of.value,
            "why": "" if waived is None else printable(waived.reason),
            "accepts": "" if waived is None else printable(waived.size),
            "by": words.waived_by(reading),
            "until": "" if waived is None else printable(waived.until),
            "waiver": "" if waived is None else place_of(spec, waived.place),
            "effect": words.effect(reading),
            "in spec": place_of(spec, reading.place),
            "basis": words.whole_basis(reading, system),
        }
        _fields(page, fields, words.rule_and_quantity(reading), _INDENT)
        page.blank()


def _looser(page: Page, spec: Inspected) -> None:
    """The limits of the shop's standard that are looser than those built in, with both."""
    found = looser(spec)
    if found:
        page.heading("LIMITS OF THE SHOP STANDARD THAT ARE LOOSER THAN BUILT IN")
    for each in found:
        page.text(each.sentence, 2, 4)


def _loosened(page: Page, spec: Inspected) -> None:
    """The readings that pass only by a looser limit of the shop's standard, with that and the built-in limit."""
    if not spec.loosened:
        return
    page.heading("ONLY BY A LOOSER LIMIT OF THE SHOP STANDARD")
    system = spec.build.units
    for reading in spec.loosened:
        parts = (words.found(reading, system), words.loosened(reading, system), place_of(spec, reading.place))
        page.text(f"{words.title(reading)}: {'; '.join(part for part in parts if part)}", 2, 4)


def _failed(page: Page, spec: Inspected) -> None:
    if not spec.failed:
        return
    page.heading("RULES THAT FAILED")
    for reading in spec.failed:
        page.text(printable(f"{reading.rule} on {reading.subject}: {reading.failure}"), 2, 4)
    page.text("The fault is in the rule, not in the build; report it to the author of the rule.", 2)


def _too_near(page: Page, spec: Inspected) -> None:
    """The readings within limits by less than their uncertainty, which a count of passed readings would hide."""
    near = [reading for reading in spec.with_verdict(Verdict.OK) if reading.too_near_to_tell]
    if not near:
        return
    page.heading("WITHIN LIMITS, BUT TOO NEAR TO BE SURE")
    system = spec.build.units
    for reading in near:
        parts = (
            f"{words.found(reading, system)}, {words.wanted(reading, system)}",
            f"plus or minus {words.plus_or_minus(reading, system)}",
            place_of(spec, reading.place),
        )
        page.text(f"{words.title(reading)}: {'; '.join(parts)}", 2, 4)


def _not_checked(page: Page, spec: Inspected, everything: bool) -> None:
    """The list of what each part of the spec lacks, and of the other reasons, with what needs it."""
    lacks = lacks_of(spec)
    if not lacks:
        return
    page.heading("NOT CHECKED")
    for lack in lacks:
        position = spec.position(lack.part) if lack.part else None
        where = "" if position is None else place(spec.file, position.line, position.column, "")
        page.text(in_words(spec, lack, where), 2, 4)
        for path in lack.paths if everything else ():
            page.text(printable(path), 6, 8)
        page.text(f"needed by {_who(lack.readings, everything)}", 6, 8)
    for reading in spec.with_verdict(Verdict.NOT_CHECKED) if everything else ():
        if known := words.known_in_part(reading, spec.build.units):
            page.text(f"{known}; {words.whole_basis(reading, spec.build.units)}", 2, 4)


def _who(readings: Iterable[Reading], everything: bool) -> str:
    """Rules with the subjects that they could not check; more than three subjects as a number, unless all
    are wanted: then with the names of the checks as well."""
    subjects: dict[str, dict[str, None]] = {}
    for reading in readings:
        checks = f" by {' and '.join(reading.unchecked)}" if everything and reading.unchecked else ""
        subjects.setdefault(reading.rule, {})[f"{reading.subject}{checks}"] = None
    needed = []
    for rule, names in subjects.items():
        needed.append(printable(f"{rule} ({', '.join(names) if everything else _some(names)})"))
    return ", ".join(needed)


def _some(names: Collection[str]) -> str:
    """The names; of more than three their number."""
    return ", ".join(names) if len(names) <= 3 else f"{len(names)} places"


def _assumed(page: Page, spec: Inspected) -> None:
    assumed: dict[str, list[str]] = {}
    for assumption in spec.inspection.assumptions:
        assumed.setdefault(words.assumption(assumption, spec.build.units), []).append(assumption.path)
    if not assumed:
        return
    page.heading("ASSUMED")
    for sentence, paths in assumed.items():
        page.text(f"{sentence}; to change it, set {', '.join(place_of(spec, path) for path in paths)}", 2, 4)


def _later(page: Page, spec: Inspected) -> None:
    if not spec.later:
        return
    page.heading("LEFT FOR LATER STAGES")
    stages = sorted({rule.from_stage for rule in spec.later}, key=lambda stage: stage.number)
    for stage in stages:
        names = sorted(rule.name for rule in spec.later if rule.from_stage is stage)
        page.text(printable(f"from {stage.value} on: {', '.join(names)}"), 2, 4)


def _switched_off(page: Page, spec: Inspected) -> None:
    if not spec.inspection.switched_off:
        return
    page.heading("SWITCHED OFF BY THE SHOP STANDARD")
    for off in spec.inspection.switched_off:
        page.text(printable(f"{off.name}: {off.reason}"), 2, 4)


def tally(spec: Inspected, numbered: tuple[Item, ...]) -> str:
    """Number of readings of each kind, those not checked first: `6 readings not checked, 2 items to put right, 1 to
    look at; 40 readings within limits.`"""
    errors = sum(item.reading.verdict is Verdict.ERROR for item in numbered)
    failed = f"{count(len(spec.failed), 'reading')} that a rule failed to make, " if spec.failed else ""
    parts = [
        f"{failed}{count(len(spec.with_verdict(Verdict.NOT_CHECKED)), 'reading')} not checked, "
        f"{count(errors, 'item')} to put right, {len(numbered) - errors} to look at; "
        f"{count(len(spec.with_verdict(Verdict.OK)), 'reading')} within limits",
    ]
    waived = len(spec.with_verdict(Verdict.WAIVED))
    if waived:
        parts.append(f"{waived} waived")
    off = words.switched_off_tally([printable(each.name) for each in spec.inspection.switched_off])
    by_the_shop = [each for each in (looser_tally(spec), words.loosened_tally(spec.loosened), off) if each]
    return " ".join((f"{', '.join(parts)}.", *(f"{sentence}." for sentence in by_the_shop))) + _nothing_checked(spec)


def _nothing_checked(spec: Inspected) -> str:
    if not spec.nothing_checked:
        return ""
    why = "the spec lacks what the rules need" if spec.readings else "no rule was applied"
    return f" Nothing was checked: {why}."


def _overall(outcome: Outcome) -> str:
    refused = len(outcome.specs) - len(outcome.inspected)
    with_errors = sum(bool(spec.with_verdict(Verdict.ERROR)) for spec in outcome.inspected)
    return (
        f"{count(len(outcome.specs), 'spec')}: {len(outcome.inspected)} inspected, {with_errors} of them "
        "with something "
        f"to put right; {refused} not inspected."
    )
