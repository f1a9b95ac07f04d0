"""What to change: the steps of a change, and what is changed together."""

import pytest

from buildcheck.build import read_build
from buildcheck.job import Cure, Edit, Job
from buildcheck.quantity import Dimension
from buildcheck.testing import changed, sound_build, sound_spec

LONGER = Cure("make it {amount} longer", 0.01, Dimension.LENGTH, "lateral_bar.length", 0.01)


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        (("first this",), "first this first; then make it {amount} longer"),
        (("this", "that", "this"), "this and that first; then make it {amount} longer"),
        (("one", "two", "three"), "one, two and three first; then make it {amount} longer"),
    ],
)
def test_a_last_step_is_told_after_the_others_and_no_longer_as_a_change_of_its_own(
    steps: tuple[str, ...], words: str
) -> None:
    assert LONGER.after(*steps) == Cure(words, 0.01, Dimension.LENGTH, makes=(Edit("lateral_bar.length"),))


def test_after_nothing_a_change_is_itself() -> None:
    assert LONGER.after() is LONGER


@pytest.mark.parametrize(
    ("others", "named"),
    [
        (("this",), "this"),
        (("this", "that", "this"), "this and that"),
        (("one", "two", "three", "four"), "one, two and 2 more"),
    ],
)
def test_what_a_change_would_break_alone_is_told_with_it_and_it_is_no_longer_a_change_of_its_own(
    others: tuple[str, ...], named: str
) -> None:
    words = f"make it {{amount}} longer; see to {named} with it, for that change alone would make an error there"
    assert LONGER.beside(*others) == Cure(words, 0.01, Dimension.LENGTH, makes=(Edit("lateral_bar.length"),))


def test_beside_nothing_a_change_is_itself() -> None:
    assert LONGER.beside() is LONGER


def test_a_changed_build_is_made_once_and_this_one_stays_as_it_is() -> None:
    job = Job(sound_build())
    strap = "limit_straps.strap.both.length"
    shorter, longer = (Cure("", path=strap, change=change) for change in (-0.01, 0.01))
    made = job.changed_by(shorter)
    assert job.changed_by(shorter) is made
    lengths = [each.build.value(strap) for each in (made, job, job.changed_by(longer))]
    assert lengths == pytest.approx([lengths[1] - 0.01, sound_build().value(strap), lengths[1] + 0.01], abs=1e-12)
    assert (made.keep("what", lambda: 1), made.keep("what", lambda: 2), job.keep("what", lambda: 3)) == (1, 1, 3)


@pytest.mark.parametrize(
    ("right", "paths", "label"),
    [
        ([-37, -16.5, 19.7], ["links.arm.left.frame.z", "links.arm.right.frame.z"], "left and right arm"),
        ([-37, -16.5, 19.8], ["links.arm.left.frame.z", "links.arm.right.frame.z"], "left and right arm"),
        ([-37, -16.5, 19.9], ["links.arm.left.frame.z"], "left arm"),
        ([-37, 16.5, 19.7], ["links.arm.left.frame.z"], "left arm"),
    ],
)
def test_left_and_right_are_changed_together_where_they_mirror_each_other(
    right: list[float], paths: list[str], label: str
) -> None:
    """To an eighth of an inch; a right mount that stands on the left side is no image."""
    job = Job(read_build(changed(sound_spec(), {"links.arm.right.frame": right})))
    found = job.together(job.build.links["arm"].left, "frame")
    assert (found.paths("frame", "z"), found.label) == (paths, label)


def test_what_is_written_once_is_changed_in_one_place() -> None:
    job = Job(sound_build())
    found = job.together(job.build.limit_straps["strap"].right, "length")
    assert found.paths("length") == ["limit_straps.strap.both.length"]
    assert [part.label for part in found.parts] == ["right limit strap", "left limit strap"]
    assert found.label == "left and right limit strap"


def test_what_has_no_other_side_is_changed_alone() -> None:
    job = Job(sound_build())
    found = job.together(job.build.lateral_bar, "frame")
    assert (found.paths("frame", "z"), found.label) == (["lateral_bar.frame.z"], "lateral bar")
