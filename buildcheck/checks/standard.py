"""A shop's standard, and its effect on rules and on readings that are not checked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeVar

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

    @property
    def decides(self) -> tuple[str, str]:
        """The rule and the limit that it changes."""
        return self.rule, self.limit.name


class OwnLimit(NamedTuple):
    """A rule that the standard makes for a quantity, for some intended uses or (with none) for all."""

    rule: Rule
    uses: frozenset[str] = frozenset()


class Required(NamedTuple):
    """A rule that must be checked from a stage of the job on, for some intended uses or (with none) for all."""

    rule: str
    from_stage: Stage
    basis: Basis
    uses: frozenset[str] = frozenset()

    @property
    def decides(self) -> tuple[str, str]:
        """The rule that it requires, as a whole."""
        return self.rule, ""


class SwitchedOff(NamedTuple):
    """A rule, or one `limit` of it, that is not applied, and why; for some intended uses or (with none) for all."""

    rule: str
    reason: str
    limit: str = ""
    uses: frozenset[str] = frozenset()

    @property
    def name(self) -> str:
        """Its name in outputs: `link-flatness`, or with one limit `link-flatness/slope-at-ride`."""
        return f"{self.rule}/{self.limit}" if self.limit else self.rule

    @property
    def decides(self) -> tuple[str, str]:
        """The rule, and its limit where it is of one, that it switches off."""
        return self.rule, self.limit


class SecondSigner(NamedTuple):
    """The stage from which a second person has to check before a stage is signed, and why."""

    from_stage: Stage
    basis: Basis


class WaiverTerms(NamedTuple):
    """The longest time of a waiver, in days (None: any), and the people who may agree on one (none: anyone)."""

    longest_days: int | None
    who: tuple[str, ...]
    basis: Basis


class NeverWaived(NamedTuple):
    """A rule that no spec may waive, and why."""

    rule: str
    basis: Basis

    @property
    def uses(self) -> frozenset[str]:
        """Always none: it is for all intended uses."""
        return frozenset()

    @property
    def decides(self) -> tuple[str, str]:
        """The rule that it is about, as a whole."""
        return self.rule, ""


@dataclass(frozen=True, slots=True)
class Standard:
    """A shop's standard whose names are all known and whose amounts are all read. Made by `read_standard`.

    `plugins` are the names of the installed plugins without which nothing may be signed.
    """

    shop: str
    edition: str = ""
    changes: tuple[Change, ...] = ()
    own: tuple[OwnLimit, ...] = ()
    required: tuple[Required, ...] = ()
    switched_off: tuple[SwitchedOff, ...] = ()
    never_waived: tuple[NeverWaived, ...] = ()
    second_signer: SecondSigner | None = None
    waivers: WaiverTerms | None = None
    plugins: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """Its name in readings: `shop standard of an invented shop, March 2026`."""
        return title_of(self.shop, self.edition)

    @property
    def own_rules(self) -> tuple[Rule, ...]:
        """The rules of the shop's own limits, for all uses."""
        return tuple(own.rule for own in self.own)

    def built_on(self, base: Standard) -> Standard:
        """This standard with all of another one that it does not itself decide."""
        names = {own.rule.name for own in self.own}
        return replace(
            self,
            changes=(*_left(base.changes, self.changes), *self.changes),
            own=(*(own for own in base.own if own.rule.name not in names), *self.own),
            required=(*_left(base.required, self.required), *self.required),
            switched_off=(*_left(base.switched_off, self.switched_off), *self.switched_off),
            never_waived=(*_left(base.never_waived, self.never_waived), *self.never_waived),
            second_signer=self.second_signer or base.second_signer,
            waivers=self.waivers or base.waivers,
            plugins=tuple(dict.fromkeys((*base.plugins, *self.plugins))),
        )

    def with_own(self, rules: Iterable[Rule]) -> tuple[Rule, ...]:
        """The rules, with the shop's own after them."""
        return (*rules, *self.own_rules)

    def applied_to(self, rules: Iterable[Rule], use: str | None) -> tuple[Rule, ...]:
        """The rules changed by this standard, and the shop's own, for an intended use (None: not stated)."""
        own = (own.rule for own in self.own if applies(own.uses, use))
        changed = (self._changed(rule, use) for rule in (*rules, *own))
        return tuple(rule for rule in changed if rule is not None)

    def off_for(self, use: str | None) -> tuple[SwitchedOff, ...]:
        """The rules and limits that are switched off for an intended use (None: not stated)."""
        return tuple(each for each in self.switched_off if applies(each.uses, use))

    def as_listed(self, rules: Iterable[Rule]) -> tuple[Rule, ...]:
        """The rules changed by this standard for a build without an intended use, and all of the shop's own."""
        changed = {rule.name: rule for rule in self.applied_to(rules, None)}
        return tuple({**changed, **{rule.name: rule for rule in self.own_rules}}.values())

    def by_use(self, rule: str, limit: str) -> Iterator[Change]:
        """The changes of one limit or requirement that apply to some uses only."""
        return (change for change in self.changes if (change.rule, change.limit.name) == (rule, limit) and change.uses)

    def requirements_of(self, rule: str) -> tuple[Required, ...]:
        """The entries that require the rule, one for each intended use or for all others."""
        return tuple(each for each in self.required if each.rule == rule)

    def requirement_of(self, rule: str, use: str | None) -> Required | None:
        """The entry that requires the rule for an intended use (None: not stated); None where there is none."""
        here = [each for each in self.requirements_of(rule) if applies(each.uses, use)]
        return max(here, key=lambda each: bool(each.uses), default=None)

    def ban_on_waiving(self, rule: str) -> NeverWaived | None:
        """The entry that forbids waiving the rule; None where there is none."""
        return next((each for each in self.never_waived if each.rule == rule), None)

    def reason_off(self, rule: str, use: str | None) -> str:
        """Why the rule, or a limit of it, is switched off for an intended use; empty where it is not."""
        return next((each.reason for each in self.off_for(use) if each.rule == rule), "")

    def demanding(self, reading: Reading, stage: Stage, use: str | None) -> Reading:
        """The reading at a stage: `not checked` becomes an error where the standard requires the rule."""
        required = self.requirement_of(reading.rule, use)
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

    def _changed(self, rule: Rule, use: str | None) -> Rule | None:
        """The rule as this standard has it for an intended use; None where it is switched off."""
        off = {each.limit for each in self.off_for(use) if each.rule == rule.name}
        checks = tuple(each for each in rule.checks if each.name not in off)
        if "" in off or not checks:
            return None
        if len(checks) < len(rule.checks):
            rule = replace(rule, checks=checks)
        required = self.requirement_of(rule.name, use)
        if required is not None and required.from_stage.number < rule.from_stage.number:
            rule = replace(rule, from_stage=required.from_stage)
        here = [change for change in self.changes if change.rule == rule.name and applies(change.uses, use)]
        if not here:
            return rule
        # The changes for all uses first, so that one for this use replaces it.
        changed = {change.limit.name: change.limit for change in sorted(here, key=lambda change: bool(change.uses))}
        return rule.with_limits(changed.get(limit.name, limit) for limit in rule.limits)


Entry = TypeVar("Entry", Change, Required, SwitchedOff, NeverWaived)


def _left(base: Iterable[Entry], own: Iterable[Entry]) -> Iterator[Entry]:
    """The entries of a base that the entries built on it leave in force, each for the uses that those do not decide."""
    decided: dict[tuple[str, str], set[str]] = {}
    for entry in own:
        decided.setdefault(entry.decides, set()).update(entry.uses or {""})
    for entry in base:
        here = decided.get(entry.decides, set())
        if not entry.uses and "" not in here:
            yield entry
        elif not isinstance(entry, NeverWaived) and entry.uses - here:
            yield entry._replace(uses=entry.uses - here)


def applies(uses: frozenset[str], use: str | None) -> bool:
    """Whether an entry for some intended uses, or with none for all, applies to one use (None: not stated)."""
    return not uses or use in uses


def title_of(shop: str, edition: str) -> str:
    """The name of a standard in readings."""
    return f"shop standard of {shop}, {edition}" if edition else f"shop standard of {shop}"
