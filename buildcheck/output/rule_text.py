"""Rules as text: the list of all, and the page of one, both derived from the rules themselves."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

from buildcheck.checks.limit import Limit, Requirement
from buildcheck.checks.rule import Area, Rule, Sample
from buildcheck.checks.standard import Standard
from buildcheck.output.cautions import IN_SHORT
from buildcheck.output.limits import bounds
from buildcheck.output.text_layout import Page
from buildcheck.output.words import printable
from buildcheck.spec.quantity import System
from buildcheck.spec.yaml_value import flow

_COLUMN = 14


def catalogue(
    rules: Iterable[Rule],
    system: System,
    *,
    width: int | None = None,
    colour: bool = False,
    standard: Standard | None = None,
) -> str:
    """All rules by area, each with its limits and their basis; by a shop's standard, where there is one."""
    page = Page(width, colour=colour)
    if standard is not None:
        page.text(f"By the {printable(standard.title)}.")
    offered = sorted(rules, key=lambda rule: rule.name)
    for area in Area:
        here = [rule for rule in offered if rule.area is area]
        if here:
            page.heading(area.value.upper())
        for rule in here:
            page.blank()
            page.text(printable(f"{rule.name}: {rule.title} ({_stage(rule)})"), 2, 4)
            for demand in _demands(rule, standard):
                page.text(demand, 4, 6)
            for limit in rule.limits:
                page.text(f"{printable(limit.name)}: {'; '.join(bounds(limit, system))}", 4, 6)
                page.text(f"basis: {_basis(limit, system)}", 6, 8)
                _by_use(page, rule, limit, system, standard, 6)
    _switched_off(page, standard)
    return str(page)


def _demands(rule: Rule, standard: Standard | None) -> list[str]:
    """The demands of a shop's standard on a rule as a whole."""
    if standard is None:
        return []
    demands = []
    ban = standard.ban_on_waiving(rule.name)
    uses = next((own.uses for own in standard.own if own.rule.name == rule.name), frozenset())
    if uses:
        demands.append(f"only for {', '.join(sorted(uses))}")
    for required in standard.requirements_of(rule.name):
        when = f"{_for(required.uses)}required from stage {required.from_stage.value} on"
        demands.append(f"{when}: {printable(str(required.basis))}")
    if ban is not None:
        demands.append(f"never waived: {printable(str(ban.basis))}")
    return demands


def _by_use(
    page: Page, rule: Rule, limit: Limit | Requirement, system: System, standard: Standard | None, indent: int
) -> None:
    """The limit for each use that the rule itself, and then a shop's standard, gives one of their own."""
    if isinstance(limit, Limit):
        for use, _ in limit.uses:
            page.text(f"for {use}: {'; '.join(bounds(limit.for_use(use), system))}", indent, indent + 2)
    for change in () if standard is None else standard.by_use(rule.name, limit.name):
        text = "; ".join(bounds(change.limit, system))
        page.text(f"for {', '.join(sorted(change.uses))}: {text}", indent, indent + 2)
        page.text(f"basis: {_basis(change.limit, system)}", indent + 2, indent + 4)


def _switched_off(page: Page, standard: Standard | None) -> None:
    if standard is None or not standard.switched_off:
        return
    page.heading("SWITCHED OFF BY THE SHOP STANDARD")
    for off in standard.switched_off:
        page.text(printable(f"{off.name}: {_for(off.uses)}{off.reason}"), 2, 4)


def _for(uses: Iterable[str]) -> str:
    """The intended uses that something is for, as the start of a sentence; "" for all."""
    named = ", ".join(sorted(uses))
    return f"for {named}: " if named else ""


def page_of(
    rule: Rule,
    system: System,
    *,
    width: int | None = None,
    colour: bool = False,
    standard: Standard | None = None,
) -> str:
    """The page of one rule: its text, its limits with their basis, and its samples."""
    page = Page(width, colour=colour)
    page.heading(printable(rule.title).upper())
    page.field("rule", printable(rule.name), indent=2, column=_COLUMN)
    page.field("area", rule.area.value, indent=2, column=_COLUMN)
    page.field("applies", _stage(rule), indent=2, column=_COLUMN)
    kinds = dict.fromkeys(check.noun for check in rule.checks)
    if kinds:
        page.field("looks at", printable(", ".join(kinds)), indent=2, column=_COLUMN)
    for demand in _demands(rule, standard):
        page.field("standard", demand, indent=2, column=_COLUMN)
    for paragraph in paragraphs(rule.page):
        page.blank()
        page.text(printable(paragraph), 2)
    page.heading("LIMITS")
    for limit in rule.limits:
        page.text(f"{printable(limit.name)}: {printable(limit.meaning)}", 2, 4)
        for text in bounds(limit, system):
            page.text(text, 6, 8)
        page.text(f"basis: {_basis(limit, system)}", 6, 8)
        _by_use(page, rule, limit, system, standard, 6)
        page.blank()
    if rule.samples:
        changed = any(limit.built_in is not None for limit in rule.limits)
        page.heading(f"SAMPLES: CHANGES TO A SOUND BUILD{', BY THE BUILT-IN LIMITS' if changed else ''}")
    for sample in rule.samples:
        _sample(page, sample)
    page.heading("CAUTIONS")
    for caution in IN_SHORT:
        page.text(caution, 2, 4)
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


def _basis(limit: Limit | Requirement, system: System) -> str:
    text = str(limit.basis)
    if isinstance(limit, Limit) and limit.error_basis is not None and limit.error_basis != limit.basis:
        text = f"{text}; for the error: {limit.error_basis}"
    if limit.built_in is not None:
        built_in = "; ".join(bounds(limit.built_in, system))
        return f"{printable(text)}; built in: {built_in}, {_basis(limit.built_in, system)}"
    return printable(text)


def _sample(page: Page, sample: Sample) -> None:
    says = f"{printable(sample.says)}: {'passes' if sample.passes else 'does not pass'}"
    page.text(says, 2, 4)
    for path, value in sample.change.items():
        page.text(printable(f"{path}: {flow(value)}"), 6, 8)
    for limit, verdict in sample.finds.items():
        page.text(printable(f"gives {limit}: {verdict.value}"), 6, 8)
    page.blank()
