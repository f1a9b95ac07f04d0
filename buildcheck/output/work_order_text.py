"""The work order as text to take to the truck, and as rows of a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.checks.limit import Verdict
from buildcheck.checks.work_order import Line, Named, WorkOrder
from buildcheck.output import work_order_words as words
from buildcheck.output.outcome import Spec
from buildcheck.output.sheet import build_head, head, place_of, spec_head
from buildcheck.output.text_layout import Page
from buildcheck.output.words import count, printable

INDENT, COLUMN = 7, 16

LAST_WORDS = (
    "Inspect the revised spec, and measure before you cut. This is not an approval: it compares a spec with limits, "
    "and cannot see what the spec leaves out."
)


def sheet(spec: Spec, order: WorkOrder, *, stage: str, width: int | None = None, colour: bool = False) -> str:
    """The work order of a spec, inspected as at a stage."""
    page = Page(width, colour=colour)
    page.heading("WORK ORDER")
    build_head(page, spec)
    head(page, "stage", stage)
    spec_head(page, spec)
    page.blank()
    page.text(outcome(order), 2, 4)
    for line in order.lines:
        page.blank()
        _line(page, spec, line)
    if order.left:
        page.heading("WHAT REMAINS")
        for named, why in order.left:
            page.text(f"{named.verdict.value}: {words.mended(named)}: {printable(why)}", 2, 4)
    page.heading("CAUTIONS")
    page.text(LAST_WORDS, 2, 4)
    return str(page)


def outcome(order: WorkOrder) -> str:
    """The effect of the lines together, in a sentence."""
    errors = sum(named.verdict is Verdict.ERROR for named, _ in order.left)
    warnings = len(order.left) - errors
    if not order.lines:
        if not order.left:
            return "Nothing to change: there is no error and no warning."
        found = "was found before the search was stopped" if order.stopped else "was found that helps"
        return f"No change {found}: {_left(errors, warnings)}."
    state = "with all lines made" if order.proven else "with all lines made, and not proven"
    put_right = count(len(order.mended), "error or warning", "errors and warnings")
    remains = "no error and no warning remains" if not order.left else f"{_left(errors, warnings)}"
    stopped = "" if order.finished else " The search ended before it was done, so a shorter list may exist."
    if order.stopped:
        stopped = " The search was stopped; this is the best list up to then, and the lines were not tried together."
    return f"{count(len(order.lines), 'line')}, which put right {put_right}; {state}, {remains}.{stopped}"


def _left(errors: int, warnings: int) -> str:
    verb = "remains" if errors + warnings == 1 else "remain"
    parts = [count(number, one) for number, one in ((errors, "error"), (warnings, "warning")) if number]
    return f"{' and '.join(parts) or 'no error and no warning'} {verb}"


def _line(page: Page, spec: Spec, line: Line) -> None:
    page.field(words.line(spec, line), "", before=f"[ ] {line.number}", indent=INDENT, column=INDENT)
    fields = [("write", "; ".join(words.values(spec, line.changes))), ("in spec", place_of(spec, _place(line)))]
    if line.slip:
        fields.append(
            ("check", "this reads as a slip of the pen; look at the drawing or the truck before you write it")
        )
    fields.append(("mends", "; ".join(named(line.mends))))
    fields += [("or", words.alternative(spec, other)) for other in line.alternatives]
    for label, text in fields:
        if text:
            page.field(label, text, indent=INDENT, column=COLUMN)


def named(readings: Sequence[Named]) -> Iterator[str]:
    """Readings by name, of more than four the first three and a count."""
    shown = [words.mended(reading) for reading in readings]
    most = 4 if len(shown) <= 4 else 3
    yield from shown[:most]
    if len(shown) > most:
        yield f"{len(shown) - most} more"


def _place(line: Line) -> str:
    return line.changes[0].path


def csv_rows(spec: Spec, order: WorkOrder) -> Iterator[tuple[str, ...]]:
    """A row for each value that is written: line, what to do, path, from, to, and the readings that it puts right."""
    yield ("line", "change", "path", "from", "to", "puts_right")
    for line in order.lines:
        for change in line.changes:
            yield (
                str(line.number),
                words.line(spec, line),
                printable(change.path),
                words.value(spec, change.was, change.dimension),
                words.value(spec, change.becomes, change.dimension),
                "; ".join(words.mended(each) for each in line.mends),
            )
