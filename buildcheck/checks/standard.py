"""A shop's standard, and its effect on rules and on readings that are not checked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

from buildcheck.build import Stage
from buildcheck.checks.limit import Basis, Limit, Requirement, Verdict
from buildcheck.checks.rule import Reading, Rule
from buildcheck.job import Cure

FROM_A_STANDARD = "shop standard"
"""The `Basis.known_from` of a basis from a shop's standard."""


class Change(NamedTuple):
    """The shop's limit or requirement of a rule, for some intended uses or (with none) for all others."""

    rule: str
    limit: Limit | Requirement
    uses: frozenset[str] = frozenset()


class OwnLimit(NamedTuple):
    """A rule that the standard makes for a quantity, for some intended uses or (with none) for all."""

    rule: Rule
    uses: frozenset[str] = frozenset()


class Required(NamedTuple):
    """A rule that must be checked from a stage of the job on."""

    rule: str
    from_stage: Stage
    basis: Basis


class SwitchedOff(NamedTuple):
    """A rule that is not applied, and why."""

    rule: str
    reason: str


class NeverWaived(NamedTuple):
    """A rule that no spec may waive, and why."""

    rule: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Standard:
    """A shop's standard whose names are all known and whose amounts are all read. Made by `read_standard`."""

    shop: str
    edition: str = ""
    changes: tuple[Change, ...] = ()
    own: tuple[OwnLimit, ...] = ()
    required: tuple[Required, ...] = ()
    switched_off: tuple[SwitchedOff, ...] = ()
    never_waived: tuple[NeverWaived, ...] = ()

    @property
    def title(self) -> str:
        """Its name in readings: `shop standard of an invented shop, March 2026`."""
        return title_of(self.shop, self.edition)

    @property
    def own_rules(self) -> tuple[Rule, ...]:
        """The rules of the shop's own limits, for all uses."""
        return tuple(own.rule for own in self.own)

    def with_own(self, rules: Iterable[Rule]) -> tuple[Rule, ...]:
        """The rules, with the shop's own after them."""
        return (*rules, *self.own_rules)

    def applied_to(self, rules: Iterable[Rule], use: str | None) -> tuple[Rule, ...]:
        """The rules changed by this standard, and the shop's own, for an intended use (None: not stated)."""
        off = {each.rule for each in self.switched_off}
        kept = [self._changed(rule, use) for rule in rules if rule.name not in off]
        kept.extend(own.rule for own in self.own if not own.uses or use in own.uses)
        return tuple(kept)

    def as_listed(self, rules: Iterable[Rule]) -> tuple[Rule, ...]:
        """The rules changed by this standard for a build without an intended use, and all of the shop's own."""
        changed = {rule.name: rule for rule in self.applied_to(rules, None)}
        return tuple({**changed, **{rule.name: rule for rule in self.own_rules}}.values())

    def by_use(self, rule: str, limit: str) -> Iterator[Change]:
        """The changes of one limit or requirement that apply to some uses only."""
        return (change for change in self.changes if (change.rule, change.limit.name) == (rule, limit) and change.uses)

    def requirement_of(self, rule: str) -> Required | None:
        """The entry that requires the rule; None where there is none."""
        return next((each for each in self.required if each.rule == rule), None)

    def ban_on_waiving(self, rule: str) -> NeverWaived | None:
        """The entry that forbids waiving the rule; None where there is none."""
        return next((each for each in self.never_waived if each.rule == rule), None)

    def reason_off(self, rule: str) -> str:
        """Why the rule is switched off; empty where it is not."""
        return next((each.reason for each in self.switched_off if each.rule == rule), "")

    def demanding(self, reading: Reading, stage: Stage) -> Reading:
        """The reading at a stage: `not checked` becomes an error where the standard requires the rule."""
        required = self.requirement_of(reading.rule)
        if reading.verdict is not Verdict.NOT_CHECKED or required is None or required.from_stage.number > stage.number:
            return reading
        missing = " and ".join(reading.missing)
        return reading._replace(
            verdict=Verdict.ERROR,
            found=f"not checked: {reading.reason}",
            required=f"checked, from stage {required.from_stage.value} on",
            effect="a value that is not checked is not known to be right",
            basis=required.basis,
            cure=Cure(
                f"write {missing} into the spec" if missing else "put right the reason why the rule cannot check"
            ),
        )

    def _changed(self, rule: Rule, use: str | None) -> Rule:
        required = self.requirement_of(rule.name)
        if required is not None and required.from_stage.number < rule.from_stage.number:
            rule = replace(rule, from_stage=required.from_stage)
        here = [
            change for change in self.changes if change.rule == rule.name and (not change.uses or use in change.uses)
        ]
        if not here:
            return rule
        # The changes for all uses first, so that one for this use replaces it.
        changed = {change.limit.name: change.limit for change in sorted(here, key=lambda change: bool(change.uses))}
        return rule.with_limits(changed.get(limit.name, limit) for limit in rule.limits)


def title_of(shop: str, edition: str) -> str:
    """The name of a standard in readings."""
    return f"shop standard of {shop}, {edition}" if edition else f"shop standard of {shop}"
