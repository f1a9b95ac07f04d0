"""All the missing data of a check: everything that the spec must state before the check can be made.

A check stops at its first missing value. So the missing values are filled in, on a temporary build, from the examples
that come with buildcheck, and the check is made again until nothing more is missing. No value computed on such a build
is ever shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, get_origin

from buildcheck.build import Build, Missing, Part, Point, Side, Sides, Vector, read_build
from buildcheck.build.part import fields, words
from buildcheck.build.paths import kind_of
from buildcheck.checks.check import Check, Failed, NoNeed, NotChecked
from buildcheck.checks.engine import Looked, outcome_on, subjects_of
from buildcheck.checks.rule import Rule
from buildcheck.checks.subjects import key_of
from buildcheck.job import Job, Unreached
from buildcheck.job.layout import axle_centre
from buildcheck.spec.place import join, split

EXAMPLES = ("tamarack/proposal.buildcheck.yaml", "four-link-rear.buildcheck.yaml", "three-link-metric.buildcheck.yaml")
"""The builds whose values replace missing ones; the first one that states a value is used."""

# Each round fills in at least one more value; no check needs more rounds than this.
MOST_ROUNDS = 40


class MissingData:
    """The missing data of checks on one build. Checks with the same missing values share one filled build."""

    def __init__(self, job: Job) -> None:
        self._job = job
        # The points of an example keep their distance from the axle.
        self._ahead = _axle_ahead(job)
        self._filled: dict[frozenset[str], Job | None] = {frozenset(): job}

    def of(self, rule: Rule, check: Check, looked: Looked, missing: Iterable[str]) -> tuple[str, ...]:
        """The spec paths of all the missing data of a check on a subject, in the order in which the check reads them.

        `missing` are the paths where it stopped. The path of a whole part is replaced by those read below it, but not
        that of a group whose parts the spec would name: the names of an example are not those of this truck.
        """
        asked = dict.fromkeys(missing)
        if not all(map(_can_be_stated, asked)):
            return tuple(asked)  # a plugin's rule may name a path that no spec has
        if isinstance(looked.outcome, NotChecked) and _is_a_choice(looked.outcome):
            return tuple(asked)  # the choice of an example would ask for data that this build may not need
        job = self._with(frozenset(), asked)
        for _ in range(MOST_ROUNDS):
            found = () if job is None else filter(_can_be_stated, _missing(rule, check, job, looked))
            more = [path for path in found if path not in asked]
            if not more:
                break
            job = self._with(frozenset(asked), more)
            asked.update(dict.fromkeys(more))
        asked = dict.fromkeys(map(self._without_names_of_an_example, asked))
        return tuple(path for path in asked if not any(_is_below(other, path) for other in asked))

    def _without_names_of_an_example(self, path: str) -> str:
        """A path as far as the group whose parts the spec would name and that it lacks; the path itself otherwise."""
        above = ""
        for step in split(path)[:-1]:
            above = join(above, step)
            if not _can_be_stated(above):
                return path
            if get_origin(kind_of(above)) is dict and not _states(self._job.build, above):
                return above
        return path

    def _with(self, before: frozenset[str], more: Iterable[str]) -> Job | None:
        """The job of the build that is filled in at `before`, now filled in at `more` as well."""
        paths = before.union(more)
        if paths not in self._filled:
            job = self._filled[before]
            assert job is not None
            build: Build | None = job.build
            for path in sorted(paths - before, key=lambda path: len(split(path))):
                build = _filled(build, split(path), self._ahead)
                if build is None:
                    break
            self._filled[paths] = None if build is None else job.of(build)
        return self._filled[paths]


def stated_in_an_example(owner: type[Part], name: str) -> bool:
    """Whether one of the examples that come with buildcheck states this field of a class."""
    return any((owner, name) in _values(example) for example in EXAMPLES)


def _states(build: Build, path: str) -> bool:
    try:
        build.value(path)
    except Missing:
        return False
    return True


def _can_be_stated(path: str) -> bool:
    try:
        kind_of(path)
    except ValueError:
        return False
    return True


def _is_below(path: str, other: str) -> bool:
    return len(path) > len(other) and split(path)[: len(split(other))] == split(other)


def _missing(rule: Rule, check: Check, job: Job, before: Looked) -> list[str]:
    """The paths where a check now stops, on the same subject as before; where that is now several, on all of them."""
    found = subjects_of(check, job)
    if isinstance(found, NotChecked):
        return list(found.missing)
    if isinstance(found, NoNeed | Failed):
        return []
    key = key_of(before.subject)
    same = [subject for _, subject in found if key_of(subject) == key]
    # A part that was absent is now filled in, under its own path or below it.
    called = [subject for label, subject in found if label == before.label]
    below = [subject for _, subject in found if key.path and _is_below(key_of(subject).path, key.path)]
    outcomes = [outcome_on(rule, check, job, each) for each in same or called or below or [each for _, each in found]]
    unmade = [outcome for outcome in outcomes if isinstance(outcome, NotChecked) and not _is_a_choice(outcome)]
    return [path for outcome in unmade for path in outcome.missing]


def _is_a_choice(outcome: NotChecked) -> bool:
    """Whether the missing value is the word that decides whether the check applies, such as a bracket's `method`."""
    return outcome.whether and all(kind_of(path) is str for path in outcome.missing)


def _filled(old: Any, steps: list[str | int], ahead: float) -> Any:
    """A piece of a build with the value of an example at a path below it; None where no example has one."""
    if not steps:
        return old
    step, rest = steps[0], steps[1:]
    if isinstance(old, Part):
        inner = getattr(old, str(step)) if old.has(str(step)) else _example(old, str(step), ahead)
        inner = None if inner is None else _filled(inner, rest, ahead)
        return None if inner is None else old.changed(**{str(step): inner})
    if isinstance(old, Sides):
        parts = {part.side: part for part in old}
        for side in (Side.LEFT, Side.RIGHT) if step == "both" else (Side(str(step)),):
            part = _filled(parts[side], rest, ahead) if side in parts else None
            if part is None:
                return None
            parts[side] = part
        return Sides(old.path, parts)
    if isinstance(old, Mapping):
        inner = _filled(old[step], rest, ahead) if step in old else None
        return None if inner is None else MappingProxyType({**old, step: inner})
    if isinstance(old, tuple) and not isinstance(old, Point | Vector) and isinstance(step, int) and step < len(old):
        inner = _filled(old[step], rest, ahead)
        return None if inner is None else tuple(inner if at == step else item for at, item in enumerate(old))
    return None


def _example(owner: Part, name: str, ahead: float) -> Any:
    """A value for a missing field of a part: for a field that holds a part an empty one, whose own fields are then
    missing in turn; for any other the value of an example, and for words that no example states those of the field's
    own description. None where there is none."""
    kind = fields(type(owner)).get(name)
    holders = (values for values in map(_values, EXAMPLES) if (type(owner), name) in values)
    value: Any = next(holders, {}).get((type(owner), name))
    if isinstance(kind, type) and issubclass(kind, Part):
        made = kind if value is None else type(value)
        return made(owner.path_of(name), f"{owner.label} {words(name)}".strip(), owner.side, {})
    if value is None and kind is str and not owner.SAID[name].one_of:
        return owner.SAID[name].example  # a name or a note in the records of a stage that no example has reached
    value = _moved(value, ahead)
    mirrored = owner.side is Side.RIGHT and isinstance(value, Point | Vector)
    return value.mirrored() if mirrored else value


def _axle_ahead(job: Job) -> float:
    """Distance of a build's axle ahead of x = 0, m; zero where it is not known."""
    try:
        return job.axle_centre.x
    except (Missing, Unreached):
        return 0.0


def _moved(value: Any, ahead: float) -> Any:
    """A value of an example with all its points moved forward."""
    if isinstance(value, Point):
        return value._replace(x=value.x + ahead)
    if isinstance(value, Part):
        return value.changed(**{name: _moved(inner, ahead) for name, inner in value.given().items()})
    if isinstance(value, Sides):
        return Sides(value.path, {part.side: _moved(part, ahead) for part in value})
    if isinstance(value, Mapping):
        return MappingProxyType({name: _moved(inner, ahead) for name, inner in value.items()})
    if isinstance(value, tuple) and not isinstance(value, Vector):
        return tuple(_moved(inner, ahead) for inner in value)
    return value


@cache
def _values(name: str) -> Mapping[tuple[type, str], Any]:
    """The values of an example by class and field, with its axle moved to x = 0; of several values the first, which is
    on the left side or in the middle."""
    from buildcheck.spec.document import read_text  # here, so that the YAML reader is loaded only when needed

    text = files("buildcheck_examples").joinpath(*name.split("/")).read_text(encoding="utf-8")
    found: dict[tuple[type, str], Any] = {}
    build = read_build(read_text(text, name).data)
    _collect(_moved(build, -axle_centre(build).x), found)
    return found


def _collect(value: Any, found: dict[tuple[type, str], Any]) -> None:
    if isinstance(value, Part):
        for name, inner in value.given().items():
            found.setdefault((type(value), name), inner)
            _collect(inner, found)
    elif isinstance(value, Mapping):
        for name in sorted(value):
            _collect(value[name], found)
    elif isinstance(value, Sides) or (isinstance(value, tuple) and not isinstance(value, Point | Vector)):
        for inner in value:
            _collect(inner, found)
