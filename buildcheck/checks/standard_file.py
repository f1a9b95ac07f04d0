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
    Standard,
    SwitchedOff,
    title_of,
)
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.document import Document
from buildcheck.spec.names import no_such
from buildcheck.spec.place import Problem, join, visible
from buildcheck.spec.quantity import Dimension, QuantityError, System, default_unit, parse

NO_BOUND = "none"
"""The word in place of an amount that removes a bound."""

NEW_NAMES = {"severities": "counts_as"}
"""Sections that had another name before, with the name that they have now."""


class NotUsable(Exception):
    """A standard that cannot be used; `problems` are the reasons, in the order of the file, at least one."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(problems[0].sentence)
        self.problems = tuple(sorted(problems, key=lambda problem: (problem.line, problem.column)))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.problems,)


def plugin_files(document: Document) -> tuple[str, ...]:
    """The rule files that a standard names, as paths relative to its own folder.

    Raises NotUsable for a standard that is not valid.
    """
    return tuple(_valid(document).get("plugins", ()))


def read_standard(
    document: Document, rules: Iterable[Rule], taken: Iterable[str] = (), additions: Additions = NOTHING_ADDED
) -> Standard:
    """The standard in a document, for these rules and the additions of plugins; `taken` are other names that no limit
    of the shop may have.

    Raises NotUsable, with one sentence and one place for each mistake: every breach of the schema, or, without any,
    every unknown rule, limit, quantity or unit, each with the nearest name.
    """
    by_name = {rule.name: rule for rule in rules}
    return _Reader(document, _valid(document), by_name, frozenset(taken), additions).standard()


def _valid(document: Document) -> Mapping[str, Any]:
    # With a library that is loaded for those who have a standard.
    from buildcheck.spec.schema import STANDARD_SCHEMA, problems_in

    problems = problems_in(document, STANDARD_SCHEMA)
    if problems:
        raise NotUsable([_with_new_name(problem) for problem in problems])
    return document.data


def _with_new_name(problem: Problem) -> Problem:
    """The problem; where it is the old name of a section, with the sentence that gives the new name."""
    new = NEW_NAMES.get(problem.path)
    return problem if new is None else problem._replace(sentence=f'"{problem.path}" is now called "{new}"; rename it')


class _Reader:
    """The reader of one document, which collects its problems."""

    def __init__(
        self,
        document: Document,
        data: Mapping[str, Any],
        rules: Mapping[str, Rule],
        taken: frozenset[str],
        additions: Additions,
    ) -> None:
        self._document = document
        self._data = data
        self._rules = rules
        self._taken = set(taken)
        self._additions = additions
        self._system = System(data["units"])
        self._source = title_of(data["shop"], data.get("edition", ""))
        self._problems: list[Problem] = []

    def standard(self) -> Standard:
        changes = [*self._each("limits", self._limit), *self._each("counts_as", self._counts_as)]
        self._refuse_two_of_one(changes)
        standard = Standard(
            shop=self._data["shop"],
            edition=self._data.get("edition", ""),
            changes=tuple(change for _, change in changes),
            own=tuple(own for _, own in self._each("own_limits", self._own)),
            required=self._named("required", self._required),
            switched_off=self._named("switched_off", lambda entry: SwitchedOff(entry["rule"], entry["reason"])),
            never_waived=self._named("never_waived", lambda entry: NeverWaived(entry["rule"], self._basis(entry))),
        )
        off = {each.rule for each in standard.switched_off}
        for index, each in enumerate(self._data.get("required", ())):
            if each["rule"] in off:
                self._refuse(f"required[{index}].rule", f'"{each["rule"]}" is switched off in this same standard')
        if self._problems:
            raise NotUsable(self._problems)
        return standard

    def _each(self, section: str, read: Any) -> list[tuple[str, Any]]:
        """The result of every entry of a section, with its path; refused entries are left out."""
        found = ((f"{section}[{index}]", entry) for index, entry in enumerate(self._data.get(section, ())))
        return [(path, made) for path, entry in found if (made := read(path, entry)) is not None]

    def _named(self, section: str, make: Any) -> tuple[Any, ...]:
        """The entries of a section that each name one rule, no rule twice."""
        seen: set[str] = set()

        def read(path: str, entry: Any) -> Any:
            name = entry["rule"]
            if self._rule(path, entry) is None:
                return None
            if name in seen:
                self._refuse(join(path, "rule"), f'"{name}" is here a second time; keep one of them')
                return None
            seen.add(name)
            return make(entry)

        return tuple(made for _, made in self._each(section, read))

    def _required(self, entry: Any) -> Required:
        return Required(entry["rule"], Stage(entry["from_stage"]), self._basis(entry))

    def _limit(self, path: str, entry: Any) -> Change | None:
        limit = self._part(path, entry, "limit", Limit, "limit", "counts_as")
        if limit is None or not self._says_something(path, entry):
            return None
        written = self._range(path, entry, limit.dimension, limit.range)
        if written is None or not self._can_be_kept(path, entry, written.bounds(limit.dimension)):
            return None
        return Change(entry["rule"], self._changed(limit, written, entry), frozenset(entry.get("uses", ())))

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
        )

    def _counts_as(self, path: str, entry: Any) -> Change | None:
        requirement = self._part(path, entry, "requirement", Requirement, "requirement", "limits")
        if requirement is None:
            return None
        changed = requirement._replace(
            if_not=Verdict(entry["if_not"]), basis=self._basis(entry), built_in=requirement
        )  # fmt: skip
        return Change(entry["rule"], changed, frozenset(entry.get("uses", ())))

    def _own(self, path: str, entry: Any) -> OwnLimit | None:
        held = self._quantity(path, entry["quantity"])
        if entry["name"] in self._rules or entry["name"] in self._taken:
            self._refuse(join(path, "name"), f'there is a rule "{entry["name"]}" already; choose another name')
        self._taken.add(entry["name"])
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
        limit = Limit(held.name, f"{called(where, value)}: {held.meaning}", dimension, written, self._basis(entry))
        stage, area = Stage(entry.get("from_stage", Stage.PROPOSAL)), Area(entry["area"])
        tried = [change for change in changes if change is not None]
        rule = own_rule(entry["name"], held, where, limit, message, area, stage, value, tried)
        return OwnLimit(rule, frozenset(entry.get("uses", ())))

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
            self._refuse(join(path, "rule"), no_such("rule", name, self._rules))
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

    def _refuse_two_of_one(self, changes: Iterable[tuple[str, Change]]) -> None:
        """Refuse two changes of one limit for one use, since only one can apply."""
        seen: set[tuple[str, str, str]] = set()
        for path, change in changes:
            for use in sorted(change.uses) or [""]:
                key = (change.rule, change.limit.name, use)
                if key in seen:
                    what = f'"{change.limit.name}" of {change.rule}'
                    again = f"for {use} a second time" if use else "a second time"
                    self._refuse(path, f"{what} is changed here {again}; keep one of them")
                    break
                seen.add(key)

    def _basis(self, entry: Any) -> Basis:
        return Basis(entry["basis"], self._source, FROM_A_STANDARD)

    def _refuse(self, path: str, sentence: str) -> None:
        position = self._document.position(path)
        self._problems.append(Problem(visible(sentence), path, position.line, position.column))
