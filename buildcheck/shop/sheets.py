"""Contents of a sheet on the bench: places to measure, bolts to tighten, and what is looked at after the drives.

Everything follows from the rules and the spec: the measuring list is that of `needs`, so that a rule which is added
asks for its fields on paper by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from buildcheck.build import Build, Missing, Part, Point
from buildcheck.build.part import words
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.rule import Rule
from buildcheck.job import Job, PoseName, Unreached
from buildcheck.job.gaps import Gap
from buildcheck.job.parts_list import Fact, parts_list
from buildcheck.shop.needs import Need, needs
from buildcheck.shop.walk import value_at, where
from buildcheck.spec.place import split
from buildcheck.spec.quantity import Dimension

AFTER_THE_DRIVE = ("records.driven", "records.aligned")
"""The sections whose fields belong on a follow-up sheet."""

DONE = ("as_welded", "as_bolted")
"""Groups of a bracket whose names only repeat what their fields say."""


SEEN_GAPS = "records.cycled.gaps"
HOW_MANY_GAPS = 5
"""So many gaps of those that the spec has are named where gaps are read by feeler."""


def smallest_gaps(job: Job) -> tuple[Gap, ...]:
    """The pairs of parts that come nearest to each other by the spec, smallest gap first; empty where that cannot be
    computed."""
    try:
        return tuple(sorted(job.gaps.all, key=lambda gap: gap.smallest.value)[:HOW_MANY_GAPS])
    except (Missing, Unreached):
        return ()


class Blank(NamedTuple):
    """A box for one number: its name, and the value that is proposed, SI; None where there is none. `pose` is where in
    the travel it is read, where that matters."""

    name: str
    proposed: float | None
    dimension: Dimension | None
    pose: PoseName | None = None


class Entry(NamedTuple):
    """One thing that a sheet asks for.

    `part` and `field` name it, and `words` say what it is. `at` is where it is on the truck, m, vehicle axes: two
    places for what a spec writes once for both sides, none for what has no one place. `blanks` are boxes to write into
    and `choices` boxes to tick. `rules` are those that ask for it; empty for a hold point.
    """

    part: str
    field: str
    words: str
    path: str
    measured: bool
    at: tuple[Point, ...]
    blanks: tuple[Blank, ...]
    choices: tuple[str, ...]
    rules: tuple[str, ...]


class Tightening(NamedTuple):
    """Bolts of one kind in one place: how many, what they are by their facts, and where they are; `unknown` are the
    spec paths of what the spec does not say of them."""

    label: str
    number: int
    facts: tuple[Fact, ...]
    at: tuple[Point, ...]
    unknown: tuple[str, ...]


def measuring(job: Job, inspection: Inspection, rules: Iterable[Rule] = ()) -> tuple[Entry, ...]:
    """Everything that the stage of an inspection still asks for; `job` and `rules` are as in `needs`."""
    return tuple(_entry(job, need) for need in needs(job, inspection, rules))


def following_up(job: Job, inspection: Inspection, rules: Iterable[Rule] = ()) -> tuple[Entry, ...]:
    """The checks after the first drives; `inspection` is as at the last stage."""
    every = (_entry(job, need) for need in needs(job, inspection, rules))
    return tuple(entry for entry in every if entry.path.startswith(AFTER_THE_DRIVE))


def torque_distances(build: Build) -> tuple[float, ...]:
    """The distances (m) after which the shop checks the torque again; empty where the spec states none."""
    records = build.records if build.has("records") else None
    driven = records.driven if records is not None and records.has("driven") else None
    checks = driven.torque_checks if driven is not None and driven.has("torque_checks") else ()
    return tuple(check.planned_after for check in checks)


def tightenings(build: Build) -> tuple[Tightening, ...]:
    """Every bolt of the build, through the joints and of the brackets, and the nut on each stud of the steering."""
    return tuple(_tightenings(build))


def _tightenings(build: Build) -> Iterator[Tightening]:
    for part in parts_list(build).parts:
        for piece in part.pieces:
            if piece.kind not in ("bolt", "bolts", "stud"):
                continue
            count = next((fact.value for fact in piece.facts if fact.name == "count"), 1)
            number = count if isinstance(count, int) else 1
            facts = tuple(fact for fact in piece.facts if fact.name not in ("count", "grip"))
            unknown = (*(fact.path for fact in facts if fact.value is None), *(() if piece.stated else (piece.path,)))
            name = piece.name.removesuffix(", bolt").replace(",", "")
            label = part.label if name == "bolts" else f"{part.label} {name}"
            yield Tightening(label, number, facts, where(build, piece.path), unknown)


def _entry(job: Job, need: Need) -> Entry:
    build = job.build
    choices = {"yes-no": ("yes", "no"), "word": need.choices, "list": ("none",), "group": ("none",)}.get(need.kind, ())
    part, field = named(build, need.path)
    at = where(build, need.path)
    return Entry(part, field, need.words, need.path, need.measured, at, tuple(_blanks(job, need)), choices, need.rules)


def _blanks(job: Job, need: Need) -> Iterator[Blank]:
    """The boxes to write into: one for each coordinate of a point, and for each of the gaps that are the smallest by
    the spec; none for what is ticked."""
    planned = need.planned
    if need.path == SEEN_GAPS:
        for gap in smallest_gaps(job):
            name = f"{gap.first.label} to {gap.second.label}"
            yield Blank(name, gap.smallest.value, Dimension.LENGTH, gap.smallest.pose)
    elif need.kind == "point":
        axes = planned if isinstance(planned, Point) else (None, None, None)
        for name, value in zip(("x, forward", "y, left", "z, up"), axes, strict=True):
            yield Blank(name, value, need.dimension)
    elif need.kind not in ("yes-no", "word"):
        yield Blank("", planned if isinstance(planned, float) else None, need.dimension)


def named(build: Build, path: str) -> tuple[str, str]:
    """A spec path in words: the part that it is of, and the field: `left arm`, `frame`."""
    steps = split(path)
    for length in range(len(steps), 0, -1):
        part = value_at(build, steps[:length])
        if isinstance(part, Part) and not part.path.startswith("records"):
            left = [step for step in steps[length:] if step not in DONE]
            return part.as_written if "both" in steps else part.label, _said(left)
    shown = [step for step in steps if step not in ("records", "sides", "both")]
    return _said(shown[:-1]) or _said(shown), _said(shown[-1:])


def _said(steps: list[str | int]) -> str:
    return " ".join(words(str(step)) for step in steps)
