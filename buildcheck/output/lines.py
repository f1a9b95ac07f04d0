"""One short line for each error and warning, mirror images as one; one for the shop's standard and each plugin that
counted, for each limit that the standard has made looser and each reading that passes only by it, for each problem of a
refused spec, and for each failure; one for all that was not checked in a spec, one for all that is waived, one for what
is switched off, one for each thing that blocks the sign-off that was asked for; else nothing."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.output import words
from buildcheck.output.items import Item, items
from buildcheck.output.limits import looser, looser_tally
from buildcheck.output.outcome import Inspected, Outcome, Spec
from buildcheck.output.sheet import place
from buildcheck.output.text_layout import Page
from buildcheck.output.words import printable

_COLUMN = 9


def lines(outcome: Outcome, *, colour: bool = False) -> str:
    """The lines of all specs of a call, in their order, never wrapped; "" where there are none."""
    page = Page(None, colour=colour)
    for spec in outcome.specs:
        if not isinstance(spec, Inspected):
            for problem in spec.problems:
                at = place(spec.problem_file, problem.line, problem.column, problem.path)
                whose = printable(f"{spec.file}, by its standard: ") if spec.standard else ""
                page.field("REFUSED", f"{whose}{printable(problem.sentence)}; {at}", indent=0, column=_COLUMN)
            continue
        if spec.used is not None:
            page.field("STANDARD", printable(f"{spec.used.words}; {spec.file}"), indent=0, column=_COLUMN)
        for plugin in spec.own_plugins:
            page.field("PLUGIN", printable(f"{plugin.words}; {spec.file}"), indent=0, column=_COLUMN)
        for item in items(spec):
            text = "; ".join(_short(spec, item))
            page.field(item.reading.verdict.value.upper(), text, indent=0, column=_COLUMN, bold=True)
        if spec.inspection.looser:
            page.field("LOOSER", f"{looser_tally(spec)}; {printable(spec.file)}", indent=0, column=_COLUMN)
        for each in looser(spec):
            page.field("LOOSER", f"{each.sentence}; {printable(spec.file)}", indent=0, column=_COLUMN)
        if spec.loosened:
            text = printable(f"{words.loosened_tally(spec.loosened)}; {spec.file}")
            page.field("LOOSER", text, indent=0, column=_COLUMN)
        for reading in spec.loosened:
            page.field("LOOSER", "; ".join(_loosened(spec, reading)), indent=0, column=_COLUMN)
        off = [each.name for each in spec.inspection.switched_off]
        if off:
            text = printable(f"{words.switched_off_tally(off)}; {spec.file}")
            page.field("OFF", text, indent=0, column=_COLUMN)
        for sentence in spec.hold_point.blocking if spec.signing else ():
            text = f"{spec.inspection.stage.value} {words.state(spec.hold_point)}: {sentence}; {printable(spec.file)}"
            page.field("BLOCKED", text, indent=0, column=_COLUMN)
        unchecked = len(spec.with_verdict(Verdict.NOT_CHECKED))
        if unchecked or not spec.readings:
            text = words.count(unchecked, "reading") if unchecked else "no rule was applied"
            page.field("NOT CHECKED", f"{text}; {printable(spec.file)}", indent=0, column=_COLUMN)
        waived = len(spec.with_verdict(Verdict.WAIVED))
        if waived:
            page.field("WAIVED", f"{words.count(waived, 'reading')}; {printable(spec.file)}", indent=0, column=_COLUMN)
        for reading in spec.failed:
            text = printable(f"{reading.rule} on {reading.subject}: {reading.failure}; {spec.file}")
            page.field("FAILED", text, indent=0, column=_COLUMN)
    for failure in outcome.plugin_failures:
        text = printable(f"plugin {failure.plugin}: {failure.sentence}")
        page.field("FAILED", text, indent=0, column=_COLUMN)
    return str(page)


def _short(spec: Inspected, item: Item) -> Iterator[str]:
    """An item in a few words: its subject, with that of its mirror image, the limit by name, found, wanted, and the
    line in the file."""
    reading, system = item.reading, spec.build.units
    twin = "" if item.twin is None else f" and {words.subject(item.twin)}"
    yield f"{words.subject(reading)}{twin}, {printable(reading.quantity)}: {words.found(reading, system)}"
    if wanted := words.wanted(reading, system):
        yield f"wanted {wanted}"
    position = spec.position(reading.place)
    yield printable(spec.file) if position is None else f"{printable(spec.file)}:{position.line}:{position.column}"


def parts(spec: Spec, reading: Reading) -> Iterator[str]:
    """The parts of a reading in words: found, wanted, by how much, what to change, and the place."""
    system = spec.build.units
    wanted = words.wanted(reading, system)
    yield f"{words.title(reading)}: {words.found(reading, system)}"
    yield from (part for part in (wanted and f"wanted {wanted}", words.margin(reading, system)) if part)
    if reading.cure is not None:
        yield words.change(reading.cure, system)
    yield _place(spec, reading)


def _loosened(spec: Inspected, reading: Reading) -> Iterator[str]:
    system = spec.build.units
    yield f"{words.title(reading)}: {words.found(reading, system)}"
    yield words.loosened(reading, system)
    yield _place(spec, reading)


def _place(spec: Spec, reading: Reading) -> str:
    position = spec.position(reading.place)
    return printable(spec.file) if position is None else place(spec.file, position.line, position.column, reading.place)
