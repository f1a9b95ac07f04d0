"""Changes that choose an amount: the next size of a series that passes, and the recommended amount."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest

from buildcheck.api import (
    Area,
    Attachment,
    Choose,
    Cure,
    Job,
    NextSize,
    Rule,
    SetTo,
    Words,
    at_least,
    at_most,
    common_practice,
    each,
)
from buildcheck.build import Build, read_build
from buildcheck.checks.changes import Change
from buildcheck.checks.limit import Range
from buildcheck.checks.readings import readings_of
from buildcheck.testing import changed, sound_spec

BASIS = common_practice("a test")
INCH = 0.0254
FRAME = "attachments.arm_frame_bracket"
SIZES = [number * INCH for number in (0.125, 0.25, 0.5, 1.0)]


def a_build(*legs: str) -> Build:
    """The sound build with the weld of the arms' frame brackets of one leg, or left and right of one each."""
    paths = [f"{FRAME}.both.weld.leg"] if len(legs) == 1 else [f"{FRAME}.left.weld.leg", f"{FRAME}.right.weld.leg"]
    return read_build(changed(sound_spec(), dict(zip(paths, legs, strict=True))))


def on_the_frame(job: Job, bracket: Attachment) -> bool:
    return bracket.path.startswith(FRAME)


def cures(change: Change, amount: Callable[[Any, Any], float], limit: Range, build: Build) -> list[Cure]:
    """The changes of the broken readings of one check of the arms' frame brackets."""
    rule = Rule("a-test", area=Area.WELDS, page="A test.\n\nA page.")

    def compute(job: Job, bracket: Attachment) -> float:
        """A value."""
        return amount(job, bracket)

    subject = each(Attachment, where=on_the_frame)
    rule.check(subject, limit, basis=BASIS, change=(change, Words("no size passes")), name="x")(compute)
    return [reading.cure for reading in readings_of([rule], Job(build)) if reading.cure is not None]


def leg(job: Job, bracket: Attachment) -> float:
    return bracket.weld.leg


def next_leg(sizes: Sequence[float] = SIZES) -> NextSize:
    return NextSize("leg", lambda job: sizes, says="make the leg {amount}").of(lambda job, bracket: bracket.weld)


@pytest.mark.parametrize(
    ("now", "limit", "size"),
    [
        ("0.2 in", at_least(error="0.21 in"), 0.25),
        ("1/4 in", at_least(error="0.26 in"), 0.5),
        ("1/4 in", at_least(error="0.51 in"), 1.0),
        ("0.3 in", at_most(error="0.29 in"), 0.25),
        ("1/4 in", at_most(error="0.24 in"), 0.125),
        ("1 in", at_most(error="0.13 in"), 0.125),
    ],
)
def test_the_next_size_is_the_nearest_of_the_series_that_passes(now: str, limit: Range, size: float) -> None:
    found = cures(next_leg(), leg, limit, a_build(now))
    assert [(cure.words, cure.path) for cure in found] == [("make the leg {amount}", f"{FRAME}.both.weld.leg")] * 2
    assert [cure.amount for cure in found] == pytest.approx([size * INCH] * 2)


@pytest.mark.parametrize("hair", [-1e-12, 0.0, 1e-12])
def test_a_size_within_rounding_of_the_series_counts_as_on_it(hair: float) -> None:
    """A size that is in the series gives the one after it, neither itself nor the second."""
    sizes = [size * (1 + hair) for size in SIZES]
    found = cures(next_leg(sizes), leg, at_least(error="0.26 in"), a_build("1/4 in"))
    assert [cure.amount for cure in found] == pytest.approx([0.5 * INCH] * 2)


@pytest.mark.parametrize("limit", [at_least(error="1.1 in"), at_most(error="0.1 in")])
def test_where_no_size_of_the_series_passes_there_is_no_amount(limit: Range) -> None:
    found = cures(next_leg(), leg, limit, a_build("1/4 in"))
    assert [(cure.words, cure.amount) for cure in found] == [("no size passes", None)] * 2


def test_a_size_that_is_written_once_passes_on_both_sides() -> None:
    def needed(job: Job, bracket: Attachment) -> float:
        return bracket.weld.leg / (0.3 if bracket.side == "left" else 0.6) / INCH

    written_once = cures(next_leg(), needed, at_least(error="100 %"), a_build("1/4 in"))
    assert [cure.amount for cure in written_once] == pytest.approx([INCH, INCH])


def test_sizes_stated_separately_change_separately() -> None:
    found = cures(next_leg(), leg, at_least(error="0.3 in"), a_build("1/4 in", "1/8 in"))
    assert [(cure.path, cure.also) for cure in found] == [
        (f"{FRAME}.left.weld.leg", ()),
        (f"{FRAME}.right.weld.leg", ()),
    ]
    assert [cure.amount for cure in found] == pytest.approx([0.5 * INCH] * 2)


def test_the_words_may_depend_on_the_case_and_nothing_is_offered_for_a_part_that_is_not_there() -> None:
    change = NextSize("leg", lambda job: SIZES, says=lambda job, bracket: f"{bracket.side}: {{amount}}")
    limit = at_least(error="0.26 in")
    found = cures(change.of(lambda job, bracket: bracket.weld), leg, limit, a_build("1/4 in", "1/4 in"))
    assert [cure.words for cure in found] == ["left: {amount}", "right: {amount}"]
    found = cures(change.of(lambda job, bracket: None), leg, limit, a_build("1/4 in"))
    assert [cure.words for cure in found] == ["no size passes"] * 2


@pytest.mark.parametrize(("recommended", "words"), [(0.777, "make the leg {amount}"), (0.4, "no size passes")])
def test_a_recommended_amount_is_to_the_nearest_step_and_offered_only_where_it_passes(
    recommended: float, words: str
) -> None:
    """0.777 in is nearest to 12 of the sixteenths that a length goes in, 3/4 in."""
    change = SetTo("leg", lambda job, weld: recommended * INCH, says="make the leg {amount}")
    found = cures(change.of(lambda job, bracket: bracket.weld), leg, at_least(error="0.5 in"), a_build("1/4 in"))
    assert [cure.words for cure in found] == [words] * 2
    if words != "no size passes":
        assert [cure.amount for cure in found] == pytest.approx([0.75 * INCH] * 2)


def test_a_value_that_passes_is_chosen_from_a_list_and_the_present_one_is_not_among_them() -> None:
    chosen = Choose("leg", (0.25 * INCH, 0.3125 * INCH, 0.5 * INCH), says="write {value}").of(
        lambda job, bracket: bracket.weld
    )
    build = a_build("1/4 in")
    limit = at_least(error="1/2 in")
    (first, second) = cures(chosen, leg, limit, build)
    assert first.words == second.words == f"write {0.5 * INCH}"
    assert [cure.words for cure in cures(chosen, leg, at_least(error="1 in"), build)] == ["no size passes"] * 2
