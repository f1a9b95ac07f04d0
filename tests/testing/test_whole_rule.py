"""The kit finds a rule that is wrong: each way of spoiling the guide's example by hand is noticed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from sampling import sampled

from buildcheck.api import at_least
from buildcheck.testing import check_rule, rules_in

GUIDE = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
BOUNDS = {"bar-length": at_least(warning="30 in", error="24 in")}
RETURN = "    return job.made_length(bar)"

# What is written in the guide, and what a slip makes of it.
MUTANTS = {
    "a warning that is an inch too high": ('warning="30 in"', 'warning="31 in"'),
    "a warning that is an inch too low": ('warning="30 in"', 'warning="29 in"'),
    "an error that is an inch too high": ('error="24 in"', 'error="25 in"'),
    "an error that is an inch too low": ('error="24 in"', 'error="23 in"'),
    "no warning": ('warning="30 in", ', ""),
    "no error": (', error="24 in"', ""),
    "the wrong way round": ("at_least(", "at_most("),
    "metric bounds": ('warning="30 in", error="24 in"', 'warning="30 mm", error="24 mm"'),
    "only how far it is across": (RETURN, "    return abs(bar.frame.y - bar.axle.y)"),
    "where it is and not how long": (RETURN, "    return bar.frame.y"),
    "in inches": (RETURN, f"{RETURN} / 0.0254"),
    "in millimetres": (RETURN, f"{RETURN} * 1000"),
    "an inch too long": (RETURN, f"{RETURN} + 0.0254"),
    "of the wrong side": (RETURN, "    return bar.frame.y + 0.42"),
    "a typo for rear axles": (
        RETURN,
        f'    if job.build.axle.position == "rear":\n        return bar.lenght\n{RETURN}',
    ),
    "a typo for metric specs": (RETURN, f'    if job.build.units == "metric":\n        return bar.lenght\n{RETURN}'),
    "another number for metric specs": (RETURN, f'    if job.build.units == "metric":\n        return 0.7\n{RETURN}'),
    "a typo for a spec with shop fields": (
        RETURN,
        f'    if job.build.has("shop"):\n        return bar.lenght\n{RETURN}',
    ),
    "a value that is always good": (RETURN, "    return 1.0"),
    "a sample that finds an error and says a warning": (
        '{"bar-length": Verdict.ERROR}',
        '{"bar-length": Verdict.WARNING}',
    ),
}


def check(text: str, folder: Path) -> None:
    file = folder / "bar_length.py"
    file.write_text(text, encoding="utf-8")
    (rule,) = rules_in(file).rules
    check_rule(rule, bounds=BOUNDS)


@pytest.fixture(scope="module")
def written() -> str:
    found = re.search(r"<!-- shop rule: bar_length.py -->\n```python\n(.*?)```", GUIDE, re.DOTALL)
    assert found is not None
    return found[1]


@sampled(4)
@pytest.mark.parametrize("what", MUTANTS)
def test_a_slip_in_the_guides_rule_is_noticed(what: str, written: str, tmp_path: Path) -> None:
    old, new = MUTANTS[what]
    assert written.count(old) == 1
    with pytest.raises(AssertionError):
        check(written.replace(old, new), tmp_path)


def test_a_rule_without_a_value_worked_out_by_hand_is_refused(written: str, tmp_path: Path) -> None:
    without = re.sub(r"            # 26.5 in across.*\n            values=.*\n", "", written)
    assert without != written
    with pytest.raises(AssertionError, match="no sample has a value of bar-length; compute one by hand"):
        check(without, tmp_path)


def test_a_bound_that_no_two_samples_lie_around_is_refused(written: str, tmp_path: Path) -> None:
    without = written.replace(
        '{"lateral_bar.frame": [5.5, 0, 22.75]}', '{"lateral_bar.frame": [5.5, 9, 22.75]}'
    ).replace("Verdict.ERROR", "Verdict.WARNING")
    assert without != written
    with pytest.raises(
        AssertionError, match="no two samples have bar-length on both sides of the bound: an error below"
    ):
        check(without, tmp_path)


def test_the_test_names_every_limit_and_no_other(written: str, tmp_path: Path) -> None:
    file = tmp_path / "bar_length.py"
    file.write_text(written, encoding="utf-8")
    (rule,) = rules_in(file).rules
    with pytest.raises(AssertionError, match=r"bar-length has the limits bar-length; bounds= names none"):
        check_rule(rule, bounds={})
