"""What is computed of a build is carried over to a changed build exactly where it still holds."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest
from sampling import draws, sampled

from buildcheck.build import Build, Missing, Part, Point, Sides, Vector, read_build
from buildcheck.build.field import Field
from buildcheck.build.linkage import Link
from buildcheck.checks.readings import readings_of
from buildcheck.job import Job, Unreached
from buildcheck.job.kept import Keeper, Store, kept
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file

EXAMPLE = "tamarack/proposal.buildcheck.yaml"
EXAMPLES = (
    EXAMPLE,
    "tamarack/proposal-with-faults.buildcheck.yaml",
    "four-link-rear.buildcheck.yaml",
    "three-link-metric.buildcheck.yaml",
    "minimal.buildcheck.yaml",
)
EDITS = draws(100).max_examples


def example(name: str) -> Build:
    return read_build(read_file(Path(__file__).parents[2] / "examples" / name).data)


class Lengths(Keeper):
    """Counts how often each of its values is computed."""

    def __init__(self, build: Build, like: Lengths | None = None) -> None:
        super().__init__(Store(build, None if like is None else like.store), "lengths")
        self.build = build
        self.computed: list[str] = []

    @kept
    def strap(self) -> float:
        self.computed.append("strap")
        return self.build.limit_straps["strap"].left.length

    @kept
    def twice(self) -> float:
        self.computed.append("twice")
        return 2 * self.strap

    @kept
    def bar(self) -> float:
        self.computed.append("bar")
        return self.build.lateral_bar.frame.z

    @kept
    def owner(self) -> tuple[str, Part]:
        self.computed.append("owner")
        return self.build.limit_straps["strap"].left.path, self.build.limit_straps["strap"].left

    @kept
    def closure(self) -> Any:
        self.computed.append("closure")
        return lambda: self.build

    @kept
    def absent(self) -> float:
        self.computed.append("absent")
        return self.build.lateral_bar.length


def changed(lengths: Lengths, path: str, value: Any) -> Lengths:
    return Lengths(lengths.build.with_value(path, value), lengths)


@pytest.fixture
def lengths() -> Lengths:
    return Lengths(example(EXAMPLE))


def test_a_value_is_computed_once(lengths: Lengths) -> None:
    assert lengths.strap == lengths.strap == lengths.twice / 2
    assert lengths.computed == ["strap", "twice"]


def test_a_value_is_carried_over_where_nothing_that_it_read_differs(lengths: Lengths) -> None:
    before = lengths.twice, lengths.bar
    other = changed(lengths, "lateral_bar.frame.z", 0.5)
    assert (other.twice, other.bar) == (before[0], 0.5)
    assert other.computed == ["bar"]


def test_a_value_is_computed_anew_where_one_that_it_was_computed_from_is(lengths: Lengths) -> None:
    assert lengths.twice != 1.0
    other = changed(lengths, "limit_straps.strap.both.length", 0.5)
    assert other.twice == 1.0
    assert sorted(other.computed) == ["strap", "twice"]


def test_a_value_is_carried_over_through_a_build_that_never_asked_for_it(lengths: Lengths) -> None:
    before = lengths.twice
    third = changed(changed(lengths, "lateral_bar.frame.z", 0.5), "lateral_bar.frame.z", 0.6)
    assert (third.twice, third.bar) == (before, 0.6)
    assert third.computed == ["bar"]


def test_a_change_that_is_taken_back_is_no_change_to_what_it_was_before(lengths: Lengths) -> None:
    before = lengths.strap
    there = changed(lengths, "limit_straps.strap.both.length", 0.5)
    assert there.strap == 0.5
    assert changed(there, "limit_straps.strap.both.length", before).strap == before


def test_a_part_in_a_value_that_is_carried_over_is_the_one_of_the_changed_build(lengths: Lengths) -> None:
    assert lengths.owner[1].length != 0.5
    other = changed(lengths, "limit_straps.strap.both.length", 0.5)
    assert other.owner[1].length == 0.5
    assert other.computed == []


def test_a_value_that_cannot_be_looked_into_is_computed_anew(lengths: Lengths) -> None:
    assert lengths.closure() is lengths.build
    other = changed(lengths, "lateral_bar.frame.z", 0.5)
    assert other.closure() is other.build


def test_what_is_missing_is_remembered_until_the_spec_states_it(lengths: Lengths) -> None:
    for _ in range(2):
        with pytest.raises(Missing, match=r"lateral_bar\.length"):
            _ = lengths.absent
    assert lengths.computed == ["absent"]
    assert changed(lengths, "lateral_bar.length", 0.9).absent == 0.9
    with pytest.raises(Missing, match=r"lateral_bar\.length"):
        _ = changed(lengths, "lateral_bar.frame.z", 0.5).absent


# The law: a job of a changed build gives what a job of its own gives.


def inputs(value: Any, path: str, said: Field | None = None) -> Iterator[tuple[str, Any]]:
    """Every number, point, choice and yes/no of a build, by its path, with another value for it."""
    if isinstance(value, Part):
        for name, inner in value.given().items():
            if name != "kind":  # it says which class the part is of
                yield from inputs(inner, value.path_of(name), type(value).SAID.get(name))
    elif isinstance(value, Sides):
        for part in value:
            yield from inputs(part, part.path)
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from inputs(inner, path)
    elif isinstance(value, Vector):
        yield path, value._replace(y=value.y + 0.1)
    elif isinstance(value, Point):
        yield from ((f"{path}.{axis}", number + 0.006) for axis, number in value._asdict().items())
    elif isinstance(value, tuple):
        for number, inner in enumerate(value):
            yield from inputs(inner, f"{path}[{number}]")
    elif isinstance(value, bool):
        yield path, not value
    elif type(value) is str and (other := other_word(said, value)):
        yield path, other
    elif isinstance(value, float):
        yield path, 1.03 * value + 0.001


def other_word(said: Field | None, value: str) -> str | None:
    """Another word that the field may hold."""
    return next((word for word in said.one_of if word != value), None) if said else None


@pytest.mark.parametrize("word", ["left", "right"])
@pytest.mark.parametrize("name", [EXAMPLE, "three-link-metric.buildcheck.yaml"])
def test_what_an_object_reads_as_it_is_made_counts_for_its_values(name: str, word: str) -> None:
    rules, job = collect().rules, Job(example(name))
    readings_of(rules, job, changes=False)
    after = job.edited((("steering.drag_link.knuckle", word),))
    alone = readings_of(rules, Job(after.build), changes=False)
    assert repr(readings_of(rules, after, changes=False)) == repr(alone)


@sampled(1)
@pytest.mark.parametrize("name", EXAMPLES)
def test_a_job_of_a_changed_build_gives_what_a_job_of_its_own_gives(name: str) -> None:
    rules, job = collect().rules, Job(example(name))
    readings_of(rules, job, changes=False)
    every = sorted(dict(inputs(job.build, "")).items())
    picked = random.Random(0).sample(every, min(EDITS, len(every)))
    assert len(picked) >= 10
    for edit in picked:
        after = job.edited((edit,))
        alone = readings_of(rules, Job(after.build), changes=False)
        assert repr(readings_of(rules, after, changes=False)) == repr(alone), edit[0]


def without(build: Build, name: str) -> Build:
    """A build without one of its sections."""
    left = build.changed()
    vars(left).pop(name)
    return left


@sampled(1)
@pytest.mark.parametrize("name", ["travel", "lateral_bar", "attachments", "coilovers", "steering"])
def test_a_section_that_goes_or_comes_is_read_anew(name: str) -> None:
    rules, build = collect().rules, example(EXAMPLE)
    whole, left = Job(build), Job(without(build, name))
    for job, other in ((whole, left.build), (left, build)):
        readings_of(rules, job, changes=False)
        assert repr(readings_of(rules, job.of(other), changes=False)) == repr(
            readings_of(rules, Job(other), changes=False)
        )


def test_a_side_that_is_taken_away_is_missed() -> None:
    rules, build = collect().rules, example("four-link-rear.buildcheck.yaml")
    name, sides = next((name, sides) for name, sides in sorted(build.links.items()) if sides.is_pair)
    left = Sides[Link](sides.path, {part.side: part for part in sides if part.side == "left"})
    other = build.changed(links=MappingProxyType({**build.links, name: left}))
    job = Job(build)
    readings_of(rules, job, changes=False)
    found = readings_of(rules, job.of(other), changes=False)
    assert repr(found) == repr(readings_of(rules, Job(other), changes=False))
    assert repr(found) != repr(readings_of(rules, job, changes=False))


def test_an_unreached_pose_is_kept_like_a_value() -> None:
    job = Job(example("minimal.buildcheck.yaml"))

    def asked() -> float:
        raise Unreached("nowhere")

    for _ in range(2):
        with pytest.raises(Unreached, match="nowhere"):
            job.keep("somewhere", asked)
