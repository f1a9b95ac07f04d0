"""Read a shop's standard from its file, and report every unknown name and unreadable amount with its place."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from buildcheck.build import Stage
from buildcheck.checks.changes import Change as BuilderChange
from buildcheck.checks.limit import Basis, Bounds, Limit, Range, Requirement, Verdict
from buildcheck.checks.rule import Area, Rule
from buildcheck.checks.shop_limits import Held, called, change_of, known, own_rule
from buildcheck.checks.standard import (
    FROM_A_STANDARD,
    Change,
    NeverWaived,
    OwnLimit,
    Required,
    SecondSigner,
    Standard,
    SwitchedOff,
    WaiverTerms,
    title_of,
)
from buildcheck.checks.standard_chain import NotUsable, is_file, problems_of_base, valid
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.document import Document
from buildcheck.spec.names import no_such
from buildcheck.spec.place import Problem, join, visible
from buildcheck.spec.quantity import Dimension, QuantityError, System, default_unit, parse, show

NO_BOUND = "none"
"""The word in place of an amount that removes a bound."""


def read_standard(
    document: Document,
    rules: Iterable[Rule],
    taken: Iterable[str] = (),
    additions: Additions = NOTHING_ADDED,
    bases: Sequence[Document] = (),
) -> Standard:
    """The standard in a document, for these rules and the additions of plugins; `taken` are other names that no limit
    of the shop may have, and `bases` the standards that it is based on, the nearest first (see `standard_chain`).

    Raises NotUsable, with one sentence and one place for each mistake: every breach of the schema, or, without any,
    every unknown rule, limit, quantity or unit, each with the nearest name.
    """
    by_name, taken = {rule.name: rule for rule in rules}, frozenset(taken)
    data, base = valid(document), None
    if bases:
        try:
            base = read_standard(bases[0], by_name.values(), taken, additions, bases[1:])
        except NotUsable as refused:
            raise NotUsable(problems_of_base(document, bases[0].name, refused.problems)) from refused
    return _Reader(document, data, by_name, taken, additions, base).standard()


Decision = Change | Required | SwitchedOff | NeverWaived


class _Reader:
    """The reader of one document, which collects its problems."""

    def __init__(
        self,
        document: Document,
        data: Mapping[str, Any],
        rules: Mapping[str, Rule],
        taken: frozenset[str],
        additions: Additions,
        base: Standard | None,
    ) -> None:
        self._document = document
        self._data = data
        self._rules = rules
        self._taken = set(taken)
        self._additions = additions
        self._base = base
        # The names of the shop's own limits, which every section but those of limits may name as well.
        self._own_names = set() if base is None else {own.rule.name for own in base.own}
        self._system = System(data["units"])
        self._source = title_of(data["shop"], data.get("edition", ""))
        self._problems: list[Problem] = []

    def standard(self) -> Standard:
        own = self._each("own_limits", self._own)
        sections = {
            "limits": self._limit,
            "counts_as": self._counts_as,
            "required": self._required,
            "switched_off": self._switched_off,
            "never_waived": self._never_waived,
        }
        entries = {section: self._each(section, read) for section, read in sections.items()}
        changes = [*entries["limits"], *entries["counts_as"]]
        for alike in (changes, entries["required"], entries["switched_off"], entries["never_waived"]):
            self._refuse_two_of_one(alike)
        second, terms = self._data.get("second_signer"), self._data.get("waivers")
        standard = Standard(
            shop=self._data["shop"],
            edition=self._data.get("edition", ""),
            changes=tuple(change for _, change in changes),
            own=tuple(each for _, each in own),
            required=tuple(each for _, each in entries["required"]),
            switched_off=tuple(each for _, each in entries["switched_off"]),
            never_waived=tuple(each for _, each in entries["never_waived"]),
            second_signer=second and SecondSigner(Stage(second["from_stage"]), self._basis(second)),
            waivers=terms and WaiverTerms(terms.get("longest_days"), tuple(terms.get("who", ())), self._basis(terms)),
            plugins=tuple(each for each in self._data.get("plugins", ()) if not is_file(each)),
        )
        self._refuse_switched_off([*changes, *entries["required"], *entries["never_waived"]], standard)
        if self._problems:
            raise NotUsable(self._problems)
        return standard if self._base is None else standard.built_on(self._base)

    def _refuse_switched_off(self, entries: Iterable[tuple[str, Decision]], standard: Standard) -> None:
        """Refuse a decision on a rule, or on one limit of it, that is switched off for all its uses."""
        before = () if self._base is None else self._base.switched_off
        here = [(off, "in this same standard") for off in standard.switched_off]
        for path, entry in entries:
            rule, limit = entry.decides
            for off, where in (*here, *((off, "in the standard that this one is based on") for off in before)):
                covered = not off.uses or (bool(entry.uses) and entry.uses <= off.uses)
                if off.rule == rule and off.limit in ("", limit) and covered:
                    what = f'"{limit}" of {rule}' if off.limit else f'"{rule}"'
                    self._refuse(join(path, "rule"), f"{what} is switched off {where}")
                    break

    def _each(self, section: str, read: Any) -> list[tuple[str, Any]]:
        """The result of every entry of a section, with its path; refused entries are left out."""
        found = ((f"{section}[{index}]", entry) for index, entry in enumerate(self._data.get(section, ())))
        return [(path, made) for path, entry in found if (made := read(path, entry)) is not None]

    def _required(self, path: str, entry: Any) -> Required | None:
        if not self._known_rule(path, entry):
            return None
        return Required(entry["rule"], Stage(entry["from_stage"]), self._basis(entry), _uses(entry))

    def _switched_off(self, path: str, entry: Any) -> SwitchedOff | None:
        if not self._known_rule(path, entry):
            return None
        rule, limit = self._rules.get(entry["rule"]), entry.get("limit", "")
        names = [entry["rule"]] if rule is None else [each.name for each in rule.limits]
        if limit and limit not in names:
            self._refuse(join(path, "limit"), no_such(f"limit of {entry['rule']} called", limit, names))
            return None
        return SwitchedOff(entry["rule"], entry["reason"], limit, _uses(entry))

    def _never_waived(self, path: str, entry: Any) -> NeverWaived | None:
        return NeverWaived(entry["rule"], self._basis(entry)) if self._known_rule(path, entry) else None

    def _known_rule(self, path: str, entry: Any) -> bool:
        """Whether an entry names a rule, or a limit of the shop's own; refused where it does not."""
        if entry["rule"] in self._own_names:
            return True
        return self._rule(path, entry) is not None

    def _limit(self, path: str, entry: Any) -> Change | None:
        limit = self._part(path, entry, "limit", Limit, "limit", "counts_as")
        if limit is None or not self._says_something(path, entry):
            return None
        written = self._range(path, entry, limit.dimension, limit.range)
        if written is None or not self._can_be_kept(path, entry, written.bounds(limit.dimension)):
            return None
        changed = self._changed(limit, written, entry)
        self._refuse_past_the_possible(path, entry, changed)
        return Change(entry["rule"], changed, _uses(entry))

    def _refuse_past_the_possible(self, path: str, entry: Any, limit: Limit) -> None:
        """Refuse a limit past its physical end that does not say so, and one that says so and is not."""
        end, said = limit.past_the_possible, entry.get("beyond_physical", False)
        if end is not None and not said:
            amount = show(end, limit.dimension, self._system)
            past = f"{path} leaves values past {amount} without an error, and past that parts touch, bind or break"
            self._refuse(path, f"{past}; stay within it, or write beyond_physical: true and why in the basis")
        if end is None and said:
            self._refuse(join(path, "beyond_physical"), "this limit is not past a physical end; leave it out")

    def _changed(self, limit: Limit, written: Range, entry: Any) -> Limit:
        """The limit with another range. A changed bound gets the shop's basis, an unchanged one keeps its own."""
        basis = self._basis(entry)
        bounds = written.bounds(limit.dimension)
        fine_as_before = bounds.wanted(Verdict.OK) == limit.bounds.wanted(Verdict.OK)
        return Limit(
            limit.name,
            limit.meaning,
            limit.dimension,
            written,
            basis=limit.basis if "warning" not in entry and fine_as_before else basis,
            error_basis=basis if "error" in entry else limit.basis_of(Verdict.ERROR),
            built_in=limit,
            possible=limit.possible,
        )

    def _counts_as(self, path: str, entry: Any) -> Change | None:
        requirement = self._part(path, entry, "requirement", Requirement, "requirement", "limits")
        if requirement is None:
            return None
        changed = requirement._replace(
            if_not=Verdict(entry["if_not"]), basis=self._basis(entry), built_in=requirement
        )  # fmt: skip
        return Change(entry["rule"], changed, _uses(entry))

    def _own(self, path: str, entry: Any) -> OwnLimit | None:
        held = self._quantity(path, entry["quantity"])
        if entry["name"] in self._rules or entry["name"] in self._taken:
            self._refuse(join(path, "name"), f'there is a rule "{entry["name"]}" already; choose another name')
        self._taken.add(entry["name"])
        self._own_names.add(entry["name"])
        if held is None or not self._says_something(path, entry):
            return None
        dimension = held.of.dimension
        written = self._range(path, entry, dimension, Range((None, None), (None, None)))
        if written is None or not self._can_be_kept(path, entry, written.bounds(dimension)):
            return None
        where, message, value = entry["where"], entry["message"], entry.get("value", "")
        if where == "ride" and value:
            self._refuse(join(path, "value"), "at ride height there is only one value; leave it out")
        changes = [
            self._change(f"{path}.changes[{at}]", each, held) for at, each in enumerate(entry.get("changes", ()))
        ]
        meaning, possible = f"{called(where, value)}: {held.meaning}", (held.of.least, None)
        limit = Limit(held.name, meaning, dimension, written, self._basis(entry), possible=possible)
        if value != "change":  # the change of a quantity has no physical end
            self._refuse_past_the_possible(path, entry, limit)
        stage, area = Stage(entry.get("from_stage", Stage.PROPOSAL)), Area(entry["area"])
        tried = [change for change in changes if change is not None]
        rule = own_rule(entry["name"], held, where, limit, message, area, stage, value, tried)
        return OwnLimit(rule, _uses(entry))

    def _change(self, path: str, entry: Any, held: Held) -> BuilderChange | None:
        """One change of a limit of the shop's own; None, with the mistake recorded, where it cannot be made."""
        kinds = [kind for kind in ("move", "resize", "set") if kind in entry]
        if len(kinds) != 1 or ("axis" in entry) != (kinds == ["move"]):
            self._refuse(path, f"{path} needs one of move with its axis, resize, or set")
            return None
        try:
            return change_of(held, kinds[0], entry[kinds[0]], entry.get("axis", ""))
        except (LookupError, ValueError) as unfit:
            self._refuse(join(path, kinds[0]), str(unfit.args[0]))
            return None

    def _quantity(self, path: str, name: str) -> Held | None:
        try:
            return known(name, self._additions)
        except LookupError as unknown:
            self._refuse(join(path, "quantity"), str(unknown.args[0]))
            return None

    def _rule(self, path: str, entry: Any) -> Rule | None:
        name = entry["rule"]
        if name not in self._rules:
            self._refuse(join(path, "rule"), no_such("rule", name, (*self._rules, *self._own_names)))
            return None
        return self._rules[name]

    def _part(self, path: str, entry: Any, key: str, kind: type[Any], what: str, elsewhere: str) -> Any:
        """The limit or requirement that an entry names; None, with the mistake recorded, where there is none."""
        rule = self._rule(path, entry)
        if rule is None:
            return None
        found = next((limit for limit in rule.limits if limit.name == entry[key]), None)
        if isinstance(found, kind):
            return found
        if found is not None:
            sentence = f'"{entry[key]}" of {rule.name} is not a {what}; write it under {elsewhere}'
            self._refuse(join(path, key), sentence)
            return None
        names = [limit.name for limit in rule.limits if isinstance(limit, kind)]
        self._refuse(join(path, key), no_such(f"{what} of {rule.name} called", entry[key], names))
        return None

    def _range(self, path: str, entry: Any, dimension: Dimension, otherwise: Range) -> Range | None:
        """The range of an entry, completed from `otherwise`; None where it cannot be read."""
        ends: dict[str, tuple[str | None, str | None]] = {}
        before = len(self._problems)
        for key, old in (("warning", otherwise.warning), ("error", otherwise.error)):
            new = list(old)
            for position, end in enumerate(("below", "above")):
                if end in entry.get(key, ()):
                    new[position] = self._amount(join(join(path, key), end), entry[key][end], dimension)
            ends[key] = (new[0], new[1])
        return None if len(self._problems) > before else Range(ends["warning"], ends["error"])

    def _amount(self, path: str, value: Any, dimension: Dimension) -> str | None:
        """An amount as text with its unit; None for no bound, and for one that cannot be read."""
        if value == NO_BOUND:
            return None
        try:
            amount = parse(value, dimension, self._system)
        except QuantityError as error:
            self._refuse(path, str(error))
            return None
        same = parse(value, dimension, System.METRIC) == amount  # a range reads a bare number in metric units
        return str(value) if same else f"{value} {default_unit(dimension, self._system)}"

    def _says_something(self, path: str, entry: Any) -> bool:
        if "warning" in entry or "error" in entry:
            return True
        self._refuse(path, f'{path} has no bound; write "warning" or "error"')
        return False

    def _can_be_kept(self, path: str, entry: Any, bounds: Bounds) -> bool:
        lowest, highest = bounds.wanted(Verdict.OK)
        if bounds == Bounds():
            self._refuse(path, f"{path} bounds nothing; give it a bound, or switch the rule off")
            return False
        if lowest > highest or bounds.fail_below > bounds.fail_above:
            self._refuse(path, f"{path} leaves no value that is within limits; look at below and above")
            return False
        return all(self._warns_first(path, entry, end, bounds) for end in ("below", "above"))

    def _warns_first(self, path: str, entry: Any, end: str, bounds: Bounds) -> bool:
        """Whether a warning in the entry comes before the error, at one end; refused where it does not. A built-in
        warning may come after a stricter error of the shop."""
        warns, fails = (getattr(bounds, f"{verdict}_{end}") for verdict in ("warn", "fail"))
        never_given = warns >= fails if end == "above" else warns <= fails
        if end not in entry.get("warning", ()) or not never_given or not math.isfinite(warns):
            return True
        never = f"this warning can never be given, since the error {end} comes first"
        self._refuse(join(join(path, "warning"), end), f"{never}; write one that comes before it, or none")
        return False

    def _refuse_two_of_one(self, entries: Iterable[tuple[str, Decision]]) -> None:
        """Refuse two decisions on one limit or rule for one use, since only one can apply."""
        seen: set[tuple[str, str, str]] = set()
        for path, entry in entries:
            rule, limit = entry.decides
            for use in sorted(entry.uses) or [""]:
                if (rule, limit, use) in seen:
                    what = f'"{limit}" of {rule}' if limit else f'"{rule}"'
                    again = f"for {use} a second time" if use else "a second time"
                    self._refuse(path, f"{what} is here {again}; keep one of them")
                    break
                seen.add((rule, limit, use))

    def _basis(self, entry: Any) -> Basis:
        return Basis(entry["basis"], self._source, FROM_A_STANDARD)

    def _refuse(self, path: str, sentence: str) -> None:
        position = self._document.position(path)
        self._problems.append(Problem(visible(sentence), path, position.line, position.column))


def _uses(entry: Any) -> frozenset[str]:
    return frozenset(entry.get("uses", ()))
