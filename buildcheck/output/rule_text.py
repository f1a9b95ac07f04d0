"""Rules as text: the list of all, and the page of one, both derived from the rules themselves."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

from buildcheck.output import words
from buildcheck.output.page import Page
from buildcheck.output.words import printable
from buildcheck.quantity import System
from buildcheck.rule import Area, Limit, Requirement, Rule, Sample

_COLUMN = 14


def catalogue(rules: Iterable[Rule], system: System, *, width: int | None = None, colour: bool = False) -> str:
    """All rules by area, each with its limits and why they stand."""
    page = Page(width, colour=colour)
    offered = sorted(rules, key=lambda rule: rule.name)
    for area in Area:
        here = [rule for rule in offered if rule.area is area]
        if here:
            page.heading(area.value.upper())
        for rule in here:
            page.blank()
            page.text(printable(f"{rule.name}: {rule.title} ({_stage(rule)})"), 2, 4)
            for limit in rule.limits:
                page.text(f"{printable(limit.name)}: {'; '.join(_bounds(limit, system))}", 4, 6)
                page.text(f"basis: {_basis(limit)}", 6, 8)
    return str(page)


def page_of(rule: Rule, system: System, *, width: int | None = None, colour: bool = False) -> str:
    """The page of one rule: its text, its limits with their basis, and its samples."""
    page = Page(width, colour=colour)
    page.heading(printable(rule.title).upper())
    page.field("rule", printable(rule.name), indent=2, column=_COLUMN)
    page.field("area", rule.area.value, indent=2, column=_COLUMN)
    page.field("applies", _stage(rule), indent=2, column=_COLUMN)
    kinds = dict.fromkeys(check.subject.replace("-", " ") for check in rule.checks)
    page.field("looks at", printable(", ".join(kinds)), indent=2, column=_COLUMN)
    for paragraph in paragraphs(rule.page):
        page.blank()
        page.text(printable(paragraph), 2)
    page.heading("LIMITS")
    for limit in rule.limits:
        page.text(f"{printable(limit.name)}: {printable(limit.meaning)}", 2, 4)
        for bounds in _bounds(limit, system):
            page.text(bounds, 6, 8)
        page.text(f"basis: {_basis(limit)}", 6, 8)
        page.blank()
    if rule.samples:
        page.heading("SAMPLES: CHANGES TO A SOUND BUILD")
    for sample in rule.samples:
        _sample(page, sample)
    return str(page)


def paragraphs(text: str) -> list[str]:
    """A page's paragraphs, each on one line; lines that are indented, such as a formula's, stay lines of
    their own."""
    found: list[str] = []
    for block in re.split(r"\n\s*\n", textwrap.dedent(text).strip("\n")):
        running: list[str] = []
        for line in block.splitlines():
            if line.startswith((" ", "- ")) and running:
                found.append(" ".join(running))
                running = []
            running.append(line.strip())
        found.append(" ".join(running))
    return [paragraph for paragraph in found if paragraph]


def _stage(rule: Rule) -> str:
    return f"from stage {rule.from_stage.value} on"


def _bounds(limit: Limit | Requirement, system: System) -> list[str]:
    if isinstance(limit, Requirement):
        return [f"{limit.if_not.value} where it is not so"]
    bounds = limit.bounds
    shown = [
        ("warning", outside(limit, bounds.warn_below, bounds.warn_above, system)),
        ("error", outside(limit, bounds.fail_below, bounds.fail_above, system)),
    ]
    return [f"{verdict} {text}" for verdict, text in shown if text]


def outside(limit: Limit, lowest: float, highest: float, system: System) -> str:
    """The values outside of a range: `above 5.00 deg`, `below 1.00 in or above 2.00 in`; "" where it has
    no end."""
    parts = []
    if lowest != float("-inf"):
        parts.append(f"below {words.limit_amount(lowest, limit.dimension, system)}")
    if highest != float("inf"):
        parts.append(f"above {words.limit_amount(highest, limit.dimension, system)}")
    return " or ".join(parts)


def _basis(limit: Limit | Requirement) -> str:
    text = str(limit.basis)
    if isinstance(limit, Limit) and limit.error_basis is not None:
        text = f"{text}; for the error: {limit.error_basis}"
    return printable(text)


def _sample(page: Page, sample: Sample) -> None:
    says = f"{printable(sample.says)}: {'is found' if sample.finds else 'passes'}"
    page.text(says, 2, 4)
    for path, value in sample.change.items():
        page.text(printable(f"{path}: {value}"), 6, 8)
    for limit, verdict in sample.finds.items():
        page.text(printable(f"gives {limit}: {verdict.value}"), 6, 8)
    page.blank()
