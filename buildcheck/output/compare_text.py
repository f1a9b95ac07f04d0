"""A comparison of two states of a build as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from buildcheck.checks.limit import Verdict
from buildcheck.output import compare_words as said
from buildcheck.output.cautions import NO_APPROVAL
from buildcheck.output.sheet import head
from buildcheck.output.text_layout import Page
from buildcheck.output.words import count, printable
from buildcheck.shop.comparison import Comparison, Turn
from buildcheck.spec.quantity import System

MOST_MOVED = 12
"""The numbers that moved farthest, which are listed; the rest is counted unless all are wanted."""


class Named(NamedTuple):
    """One side of a comparison for its head: the build, the file, and the standard; "" for none."""

    build: str
    file: str
    standard: str


def comparison(
    found: Comparison,
    first: Named,
    second: Named,
    system: System,
    *,
    everything: bool = False,
    width: int | None = None,
    colour: bool = False,
) -> str:
    """The comparison; `everything` lists every number that moved and every
    reading that only one state has, `width` is the number of columns to keep to."""
    page = Page(width, colour=colour)
    page.heading("COMPARISON")
    for label, side, stage in (("first", first, found.before), ("second", second, found.after)):
        standard = f"; {side.standard}" if side.standard else ""
        head(page, label, printable(f"{side.build}; {side.file}, stage {stage.value}{standard}"))
    page.blank()
    page.text(said.tally(found), 2, 4)
    _turned(page, "GOT WORSE", found.worse, system)
    _turned(page, "GOT BETTER", found.better, system)
    for heading, turns in (("ONLY IN THE FIRST", found.vanished), ("ONLY IN THE SECOND", found.appeared)):
        shown = turns if everything else [turn for turn in turns if turn.one.verdict != Verdict.OK.value]
        folded = Counter(turn.one.rule for turn in turns if turn not in shown)
        _turned(page, heading, shown, system, always=bool(folded))
        for rule, number in folded.items():
            page.text(printable(f"{rule}: {count(number, 'reading')} within limits"), 2, 6)
    if found.inputs:
        page.heading("INPUTS")
    for sentence in said.inputs(found.inputs, system):
        page.text(sentence, 2, 6)
    if found.limits:
        page.heading("LIMITS")
    for limit in found.limits:
        page.text(said.limit(limit, system), 2, 6)
    if found.moved:
        page.heading("MOVED")
    shown = found.moved if everything else found.moved[:MOST_MOVED]
    for turn in shown:
        page.text(f"{said.title(turn)}: {said.numbers(turn, system)} (rule {said.rule(turn)})", 2, 6)
    if len(shown) < len(found.moved):
        page.text(f"and {count(len(found.moved) - len(shown), 'number')} that moved less; --all lists them", 2, 6)
    page.heading("CAUTIONS")
    page.text(NO_APPROVAL, 2, 4)
    return str(page)


def _turned(page: Page, heading: str, turns: Sequence[Turn], system: System, *, always: bool = False) -> None:
    if turns or always:
        page.heading(heading)
    for turn in turns:
        page.text(said.title(turn), 2, 6)
        limit = said.wanted(turn, system)
        page.text(f"{said.turned(turn, system)}{f'; wanted {limit}' if limit else ''}", 6, 8)
        place = f"; {printable(turn.one.place)}" if turn.one.place else ""
        page.text(f"rule {said.rule(turn)}{place}", 6, 8)
