"""Subjects: the objects of a build that a check is made on, and the keys that find them again on a changed build.

A subject is named by its class. `Link` is every link, `Link | LateralBar` every link and the bar, `Pair[Link]` every
link that is on both sides, `Build` the whole build, `each(Joint, of=Link)` every joint of a link. Objects are found
anywhere in the build. For a part that the truck always has but the spec does not describe, the subject is `Absent`, so
that there is a reading `not checked`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import UnionType
from typing import Any, NamedTuple, NoReturn, Union, get_args, get_origin

from buildcheck.build import Build, Missing, Part, Side, Sides
from buildcheck.build.part import fields, words
from buildcheck.job import Job, Line, Unreached
from buildcheck.job.subjects import Pair
from buildcheck.spec.arguments import FUNCTION, NONE, TRUE_OR_FALSE, WORDS, refuse_any
from buildcheck.spec.guard import Unusable

# A function that makes more than this for one owner has an error.
MOST_MADE = 500


class Key(NamedTuple):
    """The identity of a subject on every version of a build: its class, spec path and side, and `which` of several it
    is; never its label."""

    kind: str
    path: str
    side: str
    which: str


@dataclass(frozen=True)
class Absent:
    """A part that the truck has and the spec does not describe; `path` is its place in a spec. Where nothing is missing
    and the part still cannot be made, `why` gives the reason in words."""

    path: str
    label: str
    side: Side = Side.CENTRE
    why: str = ""

    @property
    def which(self) -> str:
        """Its label, with the reason where there is one."""
        return f"{self.label}: {self.why}" if self.why else self.label


class NoneThere(Exception):
    """The spec states that the truck has no objects of an optional kind; the message says so."""


class Held(NamedTuple):
    """A part of the build and the part that owns it."""

    part: Part
    owner: Part


class Subject:
    """The objects of a job that a check is made on. `noun` is the word for one of them."""

    noun: str

    def find(self, job: Job) -> list[Any]:
        """The objects, in an order that does not depend on the file's; empty where the build has objects of the kind
        and the check accepts none of them. Raises Missing where the spec has no section for them; where that section
        is empty, raises Unreached, or NoneThere for an optional kind."""
        raise NotImplementedError


class Whole(Subject):
    """The whole build, once."""

    noun = "build"

    def find(self, job: Job) -> list[Any]:
        return [job.build]


@dataclass(frozen=True)
class Each(Subject):
    """Every object of some classes; with `of`, those owned by an object of these classes; with `where`, those that the
    function accepts. With `may_be_none`, an empty section of the spec says that there are none."""

    kinds: tuple[type[Part], ...]
    of: tuple[type[Part], ...] = ()
    where: Callable[[Job, Any], bool] | None = None
    may_be_none: bool = False

    @property
    def noun(self) -> str:  # type: ignore[override]
        return " or ".join(_noun(kind) for kind in self.kinds)

    def find(self, job: Job) -> list[Any]:
        held = index(job)
        found: list[Any] = []
        for kind in self.kinds:
            parts = held.get(kind, [])
            if not self.of:
                found.extend(each.part for each in parts)
                continue
            found.extend(each.part for each in parts if isinstance(each.owner, self.of))
            found.extend(_absent(held, self.of, kind))
        if not found:
            _refuse_none(self.noun, self.of or self.kinds, job.build, may_be_none=self.may_be_none)
        return [each for each in found if isinstance(each, Absent) or self._wanted(job, each)]

    def _wanted(self, job: Job, part: Part) -> bool:
        if self.where is None:
            return True
        try:
            return self.where(job, part)
        except Missing:
            return True  # the check itself then reports the missing data


@dataclass(frozen=True)
class EachPair(Subject):
    """Every part of some classes that is on both sides, and that `where` accepts."""

    kinds: tuple[type[Part], ...]
    where: Callable[[Job, Any], bool] | None = None

    @property
    def noun(self) -> str:  # type: ignore[override]
        return f"pair of {' or '.join(_noun(kind) for kind in self.kinds)}s"

    def find(self, job: Job) -> list[Any]:
        found = [pair for pair in job.keep(Pair, lambda: _pairs(job.build)) if isinstance(pair.left, self.kinds)]
        if not found:
            sections = [name for kind in self.kinds for name in _sections(kind)]
            if not any(job.build.has(name) for name in sections):
                raise Missing(sections[0])
        return [pair for pair in found if self.where is None or self.where(job, pair)]


@dataclass(frozen=True)
class Made(Subject):
    """Objects that the job makes for each owner: gaps, strokes, load cases. `make` is called owner by owner, so missing
    data of one does not affect the others; each object has a `path`, a `label` and a `side`."""

    name: str
    make: Callable[[Job, Any], Iterable[Any]]
    owner: Subject

    @property
    def noun(self) -> str:  # type: ignore[override]
        return self.name

    def find(self, job: Job) -> list[Any]:
        found: list[Any] = []
        for owner in self.owner.find(job):
            if isinstance(owner, Absent):
                found.append(owner)
                continue
            side = getattr(owner, "side", Side.CENTRE)
            try:
                for number, each in enumerate(self._made(job, owner), start=1):
                    if number > MOST_MADE:
                        raise Unusable(f"it makes more than {MOST_MADE} of the kind {self.name} for one part")
                    _refuse_nameless(each, self.name)
                    key_of(each)
                    found.append(each)  # objects made before data is missing are kept
            except Missing as missing:
                found.append(Absent(missing.path, owner.label, side))
            except Unreached as none:
                found.append(Absent("", owner.label, side, str(none)))
        return found

    def _made(self, job: Job, owner: Any) -> Iterable[Any]:
        returned: object = self.make(job, owner)
        if not isinstance(returned, Iterable) or isinstance(returned, str | bytes):
            raise Unusable(
                f"the function that makes each {self.name} returns {returned!r}; yield them, or return a list"
            )
        return returned


@dataclass(frozen=True)
class AnyOf(Subject):
    """The objects of several subjects. Where those of one are missing, the others are still found."""

    subjects: tuple[Subject, ...]

    @property
    def noun(self) -> str:  # type: ignore[override]
        return " or ".join(each.noun for each in self.subjects)

    def find(self, job: Job) -> list[Any]:
        found: list[Any] = []
        for each in self.subjects:
            try:
                found.extend(each.find(job))
            except Missing as missing:
                found.append(Absent(missing.path, each.noun))
            except Unreached as none:
                found.append(Absent("", each.noun, why=str(none)))
            except NoneThere:
                continue  # the truck may be without these
        return found


def _refuse_nameless(subject: Any, noun: str) -> None:
    """Raise Unusable for a subject whose path or label is not a text."""
    for field in ("path", "label"):
        if not isinstance(getattr(subject, field, ""), str):
            raise Unusable(f"the {field} of a {noun} needs a text, got {getattr(subject, field)!r}")


def each(
    kind: Any, *, of: Any = None, where: Callable[[Job, Any], bool] | None = None, may_be_none: bool = False
) -> Subject:
    """Every object of a class (or of several: `Link | LateralBar`); with `of`, only those owned by an object of that
    class; with `where`, only those that `where(job, part)` accepts.

    An empty section of the spec makes the check `not checked`; with `may_be_none`, as for obstacles, the check then
    does not apply.
    """
    refuse_any((("where=", where, FUNCTION | NONE), ("may_be_none=", may_be_none, TRUE_OR_FALSE)))
    if get_origin(kind) is Pair:
        return EachPair(_classes(get_args(kind)[0]), where)
    return Each(_classes(kind), () if of is None else _classes(of), where, may_be_none)


def made(name: str, make: Callable[[Job, Any], Iterable[Any]], *, of: Any = Build) -> Subject:
    """Objects that a function `(job, owner)` makes for each owner of the class `of`; `name` is the noun for one."""
    refuse_any((("made() for its name", name, WORDS), ("made()", make, FUNCTION)))
    return Made(name, make, as_subject(of))


def any_of(*kinds: Any) -> Subject:
    """The objects of several classes or subjects, each found separately: a missing section makes its own objects `not
    checked` and leaves the others. `Link | LateralBar` is every link and the bar, where there is one;
    `any_of(Link, LateralBar)` reports a bar that the spec does not have as missing."""
    if not kinds:
        raise TypeError("any_of() takes at least one class of the build")
    return AnyOf(tuple(map(as_subject, kinds)))


@dataclass(frozen=True)
class OfPart:
    """One of several subjects of a part, such as each of its sizes, with the part's path, label and side. A subclass
    adds `which`, which differs for each."""

    part: Part

    @property
    def path(self) -> str:
        return self.part.path

    @property
    def label(self) -> str:
        return self.part.label

    @property
    def side(self) -> Side:
        return self.part.side


class Stroke(NamedTuple):
    """The motion from ride height to full bump or to full droop; `which` is its name, and `line` has its poses."""

    which: str
    line: Line
    path: str
    label: str = ""
    side: Side = Side.CENTRE


def _strokes(job: Job, build: Build) -> Iterator[Stroke]:
    for name in ("bump", "droop"):
        yield Stroke(name, getattr(job.lines, name), f"travel.{name}")


def as_subject(kind: Any) -> Subject:
    """The subject that a rule names: a class, a union of classes, `Pair[...]`, or what `each` or `made` returned.

    Raises TypeError for anything else.
    """
    if isinstance(kind, Subject):
        return kind
    if kind is Build:
        return Whole()
    if get_origin(kind) is Pair:
        return EachPair(_classes(get_args(kind)[0]))
    return Each(_classes(kind))


def key_of(subject: Any) -> Key:
    """The key of a subject, which finds it on a changed build."""
    if isinstance(subject, Part):  # most are; reading an absent field of a part is slow
        return Key(type(subject).__name__, subject.path, str(subject.side), "")
    kind = "Absent" if isinstance(subject, Absent) else type(subject).__name__
    side, which = getattr(subject, "side", ""), getattr(subject, "which", "")
    return Key(kind, getattr(subject, "path", ""), str(side), str(which))


def same_on(key: Key, side: Side) -> Key:
    """The key of the twin of a subject on another side."""
    steps = [side if step == key.side else step for step in key.path.split(".")]
    return key._replace(path=".".join(steps), side=str(side))


def index(job: Job) -> Mapping[type, list[Held]]:
    """Every part of a job's build by its class, in the order of the classes' fields, names sorted; made once a job."""
    return job.keep(index, lambda: _index(job.build))


def _index(build: Build) -> dict[type, list[Held]]:
    found: dict[type, list[Held]] = {}
    for part, owner in _walk(build, build):
        found.setdefault(type(part), []).append(Held(part, owner))
    return found


def _walk(part: Part, owner: Part) -> Iterator[tuple[Part, Part]]:
    for value in part.parts_within():
        yield from _walk_value(value, part, owner if _is_container(part) else part)


def _walk_value(value: Any, holder: Part, owner: Part) -> Iterator[tuple[Part, Part]]:
    if isinstance(value, Part):
        yield value, owner
        yield from _walk(value, owner)
    elif isinstance(value, Mapping):
        for name in sorted(value):
            yield from _walk_value(value[name], holder, owner)
    elif isinstance(value, tuple | Sides):
        for item in value:
            if isinstance(item, Part | Sides | Mapping):
                yield from _walk_value(item, holder, owner)


def _is_container(part: Part) -> bool:
    """Whether a part only groups others (`joints`, `steering`), so that the part above it owns them."""
    return bool(getattr(type(part), "GROUPS", False))


def _absent(held: Mapping[type, list[Held]], owners: tuple[type[Part], ...], kind: type[Part]) -> Iterator[Absent]:
    """The parts of a class that these owners always have and the spec does not describe."""
    for owner_kind in owners:
        for owner, _ in held.get(owner_kind, []):
            for path in owner.expects(kind):
                if not _stated(owner, path):
                    yield Absent(
                        owner.path_of(*path.split(".")), f"{owner.label} {words(path.split('.')[-1])}", owner.side
                    )


def _stated(part: Part, path: str) -> bool:
    found: Any = part
    for name in path.split("."):
        if not found.has(name):
            return False
        found = getattr(found, name)
    return True


def _pairs(build: Build) -> list[Pair[Any]]:
    groups = [
        named[name]
        for named in (
            getattr(build, field) for field, kind in fields(Build).items() if _is_named(kind) and build.has(field)
        )
        for name in sorted(named)
    ]
    if build.has("steering") and build.steering.has("kingpins"):
        groups.append(build.steering.kingpins)
    return [Pair(sides.left.label.split(" ", 1)[1], sides) for sides in groups if sides.is_pair]


def _is_named(kind: Any) -> bool:
    return get_origin(kind) is dict and get_origin(get_args(kind)[1]) is Sides


def _refuse_none(noun: str, kinds: tuple[type[Part], ...], build: Build, *, may_be_none: bool) -> NoReturn:
    """Raise the reason why a build has no object of some classes: their section is missing or empty."""
    for kind in kinds:
        path = _first_missing(build, kind)
        if path:
            raise Missing(path)
    if may_be_none:
        raise NoneThere(f"the spec says that there is no {noun}")
    raise Unreached(f"no {noun} to check")


def _first_missing(part: Part, kind: type[Part]) -> str:
    """The first field on the path to objects of a class that the spec does not state; "" where all are stated."""
    for name, declared in fields(type(part)).items():
        if kind not in _declared(declared):
            continue
        if not part.has(name):
            return part.path_of(name)
        value = getattr(part, name)
        return _first_missing(value, kind) if isinstance(value, Part) else ""
    return ""


def _sections(kind: type[Part]) -> list[str]:
    """The top-level keys of a spec that hold parts of a class, nearest first."""
    return [name for name, declared in fields(Build).items() if kind in _declared(declared)]


@cache
def _declared(kind: Any) -> frozenset[type[Part]]:
    """Every class of part that a field's annotation can hold, at any depth."""
    if isinstance(kind, type) and issubclass(kind, Part):
        return frozenset({kind}).union(*map(_declared, fields(kind).values()))
    return frozenset().union(*map(_declared, get_args(kind)))


def _noun(kind: type[Part]) -> str:
    noun = getattr(kind, "NOUN", "")
    if noun:
        return str(noun)
    name = kind.__name__
    return "".join(f" {letter.lower()}" if letter.isupper() else letter for letter in name).strip()


def _classes(kind: Any) -> tuple[type[Part], ...]:
    members = get_args(kind) if get_origin(kind) in (Union, UnionType) else (kind,)
    for member in members:
        if not (isinstance(member, type) and issubclass(member, Part)):
            raise TypeError(
                f"a check looks at a class of the build (Link, Coilover, Build, Pair[Link]), not {member!r}"
            )
    return tuple(members)


strokes = made("stroke", _strokes)
"""The two strokes of straight travel, as the subject of a check."""


class OnStroke(NamedTuple):
    """A part on one motion of the axle up or down: `which` names the motion, `line` has its poses."""

    part: Any
    which: str
    line: Line

    @property
    def path(self) -> str:
        return str(self.part.path)

    @property
    def label(self) -> str:
        return str(self.part.label)

    @property
    def side(self) -> Side:
        side: Side = self.part.side
        return side


def rising(kind: Any) -> Subject:
    """Each part of a class on each motion that compresses its side: bump, and articulation with that side up."""
    return made(as_subject(kind).noun, _rising, of=kind)


def falling(kind: Any) -> Subject:
    """Each part of a class on each motion that extends its side: droop, and articulation with that side down."""
    return made(as_subject(kind).noun, _falling, of=kind)


def _rising(job: Job, part: Part) -> Iterator[OnStroke]:
    yield OnStroke(part, "bump", job.lines.bump)
    if part.side is not Side.RIGHT:
        yield OnStroke(part, "left side up", job.lines.left_up)
    if part.side is not Side.LEFT:
        yield OnStroke(part, "right side up", job.lines.right_up)


def _falling(job: Job, part: Part) -> Iterator[OnStroke]:
    yield OnStroke(part, "droop", job.lines.droop)
    if part.side is not Side.RIGHT:
        yield OnStroke(part, "left side down", job.lines.right_up)
    if part.side is not Side.LEFT:
        yield OnStroke(part, "right side down", job.lines.left_up)
