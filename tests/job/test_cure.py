"""What to change: the steps of a change, and what is changed together."""

import pytest

from buildcheck.job import Cure, Edit, Job
from buildcheck.spec.quantity import Dimension
from buildcheck.testing import sound_build

LONGER = Cure("make it {amount} longer", 0.01, Dimension.LENGTH, "lateral_bar.length", 0.01)


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        (("first this",), "first this first; then make it {amount} longer"),
        (("this", "that", "this"), "this and that first; then make it {amount} longer"),
        (("one", "two", "three"), "one, two and three first; then make it {amount} longer"),
    ],
)
def test_a_last_step_follows_the_others_and_is_not_a_separate_change(steps: tuple[str, ...], words: str) -> None:
    assert LONGER.after(*steps) == Cure(words, 0.01, Dimension.LENGTH, makes=(Edit("lateral_bar.length"),))


def test_after_nothing_a_change_is_itself() -> None:
    assert LONGER.after() is LONGER


@pytest.mark.parametrize(
    ("others", "named", "pronoun"),
    [
        (("this",), "this", "it"),
        (("this", "that", "this"), "this and that", "them"),
        (("one", "two", "three", "four"), "one, two and 2 more", "them"),
    ],
)
def test_a_change_that_breaks_others_names_them_and_is_not_a_separate_change(
    others: tuple[str, ...], named: str, pronoun: str
) -> None:
    words = f"make it {{amount}} longer; also fix {named}: this change alone would break {pronoun}"
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
