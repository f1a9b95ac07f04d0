"""The order and cut lists as text and as rows of a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.output import order_words as said
from buildcheck.output import parts_words, words
from buildcheck.output.cautions import NO_APPROVAL
from buildcheck.output.outcome import Spec
from buildcheck.output.sheet import build_head, spec_head
from buildcheck.output.text_layout import Page
from buildcheck.output.words import printable
from buildcheck.shop.order_list import Line, OrderList
from buildcheck.spec.quantity import Dimension, System

_INDENT = 8
_COLUMN = 16


def sheet(spec: Spec, listed: OrderList, *, width: int | None = None, colour: bool = False) -> str:
    """The lists of one spec; `width` is the number of columns to keep to, None to leave every line whole."""
    system = spec.build.units
    page = Page(width, colour=colour)
    page.heading("ORDER AND CUT LIST")
    build_head(page, spec)
    spec_head(page, spec)
    page.blank()
    page.text(said.state(listed), 2, 4)
    if listed.cuts:
        page.heading("TO CUT")
        page.text(said.HEADS, 2, 4)
    for cut in listed.cuts:
        _box(page, f"{cut.number:>2}  {printable(cut.label)}")
        _field(page, "cut", said.cut_length(cut, system))
        _field(page, "from", said.how_cut(cut, system))
        _field(page, "lacks", said.lacks(cut.unknown))
        _field(page, "tube", parts_words.facts(cut.tube, system) or "not in the spec")
    if listed.lines:
        page.heading("TO ORDER")
    for line in listed.lines:
        _box(page, f"{line.number:>2}  {line.kind}: {said.of_line(line, system)}")
        _field(page, "for", said.used_for(line))
        _field(page, "lacks", said.lacks(line.unknown))
    if listed.packed or listed.unpacked:
        page.heading("PACKING LIST")
    for packed in listed.packed:
        page.text(printable(f"{packed.name}: {said.packed(packed)}"), 2, 4)
    if listed.unpacked:
        page.text(f"not on it, under `parts`: {', '.join(listed.unpacked)}", 2, 4)
    if listed.renewals:
        page.heading("TO RENEW WHILE IT IS APART")
    for renewal in listed.renewals:
        _box(page, printable(f"{renewal.name}: {renewal.why}"), done=bool(renewal.renewed))
    if listed.absent:
        page.heading("NOT KNOWN")
        page.text(f"The spec lacks these sections, so their parts are not listed: {', '.join(listed.absent)}.", 2, 4)
    page.heading("CAUTIONS")
    page.text(NO_APPROVAL, 2, 4)
    return str(page)


def _box(page: Page, text: str, *, done: bool = False) -> None:
    page.text(f"[{'x' if done else ' '}] {text}", 0, _INDENT)


def _field(page: Page, label: str, text: str) -> None:
    if text:
        page.field(label, text, indent=_INDENT, column=_COLUMN)


def csv_rows(listed: OrderList, system: System) -> Iterator[Sequence[str]]:
    """The lists as rows: a head, then one row for each tube, line of the order, entry of the packing list and part to
    renew."""
    length, torque = (words.unit(each, system) for each in (Dimension.LENGTH, Dimension.TORQUE))
    yield (
        *("list", "count", "kind", "size or thread", f"cut length ({length})", f"joint to joint ({length})"),
        *(f"grip ({length})", f"torque ({torque})", "ordered by", "for", "lacks", "ordered", "arrived", "inspected"),
    )
    packing = ("", "", "")
    for cut in listed.cuts:
        lengths = [_number(each, Dimension.LENGTH, system) for each in (cut.length, cut.joint_to_joint)]
        tube = parts_words.facts(cut.tube, system)
        lacks = said.lacks(cut.unknown) or printable(cut.why)
        yield (
            *("cut", str(cut.number), "tube", "", *lengths, "", "", tube),
            *(printable(cut.label), lacks, *packing),
        )
    for line in listed.lines:
        amounts = [_fact(line, name, system) for name in ("grip", "torque")]
        size = _fact(line, "size", system) or _fact(line, "thread", system)
        yield (
            *("order", str(line.number), line.kind, size, "", "", *amounts, said.of_line(line, system)),
            *(said.used_for(line), said.lacks(line.unknown), *packing),
        )
    for packed in listed.packed:
        needed, ordered, arrived = (
            "" if each is None else str(each) for each in (packed.needed, packed.ordered, packed.arrived)
        )
        inspected = "" if packed.inspected is None else "yes" if packed.inspected else "no"
        left = "; ".join(packed.lacks)
        yield ("packing", needed, printable(packed.name), *[""] * 7, left, ordered, arrived, inspected)
    for kind in listed.unpacked:
        yield ("packing", "", kind, *[""] * 7, "not on the packing list", *packing)
    for renewal in listed.renewals:
        done = "" if renewal.renewed is None else "renewed" if renewal.renewed else "not renewed"
        yield ("renew", "", printable(renewal.name), *[""] * 5, done, printable(renewal.why), "", *packing)
    for section in listed.absent:
        yield ("not known", "", section, *[""] * 7, "the spec lacks this section", *packing)


def _fact(line: Line, name: str, system: System) -> str:
    """One fact of a line as a table has it: the unit is in the head of the column."""
    fact = next((each for each in line.facts if each.name == name), None)
    if fact is None or fact.value is None:
        return ""
    if fact.dimension is None or not isinstance(fact.value, float):
        return parts_words.value(fact, system)
    return words.number(fact.value, fact.dimension, system)


def _number(value: float | None, dimension: Dimension, system: System) -> str:
    return "" if value is None else words.number(value, dimension, system)
