"""The page, the limits and the checks of a rule."""

from __future__ import annotations

from typing import Any

import pytest

from buildcheck.api import (
    Answer,
    Area,
    Build,
    Coilover,
    Dimension,
    Job,
    Link,
    Pair,
    PoseName,
    Rule,
    Spot,
    Stage,
    Words,
    at_least,
    common_practice,
    inspect,
    met,
)
from buildcheck.checks.limit import Limit
from buildcheck.testing import sound_build

PRACTICE, NOTHING = common_practice("as it is done"), Words("nothing to change")
PAGE = """The hose is long enough.

Checked: the hose.
Risk: brakes.
"""


def a_rule(value: Any = 1.0) -> Rule:
    rule = Rule("hose-slack", area=Area.SAFETY, page=PAGE, from_stage=Stage.TACKED)

    @rule.check(Build, at_least(error="0 in"), basis=PRACTICE, change=NOTHING, place="brake_lines")
    def slack(job: Job, build: Build) -> Any:
        """Slack of the hose
        at full droop; negative where it is too short.

        What follows the first paragraph is for who reads the code.
        """
        return value

    @rule.must(Pair[Link], wanted="a clip", basis=PRACTICE, change=NOTHING)
    def is_fixed(job: Job, pair: Pair[Link]) -> Answer:
        """It is fixed."""
        return met(True, "fixed", otherwise="loose")

    return rule


def test_the_first_line_of_the_page_is_the_title() -> None:
    rule = a_rule()
    assert rule.title == "The hose is long enough"
    assert rule.page == "Checked: the hose.\nRisk: brakes."
    assert (rule.name, rule.area, rule.from_stage) == ("hose-slack", Area.SAFETY, Stage.TACKED)


def test_a_check_has_the_name_of_its_function_and_the_meaning_of_its_docstring() -> None:
    slack, fixed = a_rule().limits
    assert isinstance(slack, Limit)
    assert (slack.name, slack.dimension) == ("slack", Dimension.LENGTH)
    assert slack.meaning == "slack of the hose at full droop; negative where it is too short"
    assert (fixed.name, fixed.meaning) == ("is-fixed", "it is fixed")
    assert [(check.name, check.noun) for check in a_rule().checks] == [
        ("slack", "build"),
        ("is-fixed", "pair of links"),
    ]


def test_a_limit_is_asked_for_by_name() -> None:
    assert a_rule().limit("is-fixed").meaning == "it is fixed"
    with pytest.raises(LookupError, match="rule hose-slack has no limit 'slak'; it has slack, is-fixed"):
        a_rule().limit("slak")
    with pytest.raises(LookupError, match="rule hose-slack has no check 'slak'"):
        a_rule().named("slak")


def test_with_limits_is_a_rule_of_its_own() -> None:
    rule = a_rule()
    stricter = Limit("slack", "slack", Dimension.LENGTH, at_least(error="1 in"), common_practice("our shop"))
    changed = rule.with_limits((stricter,))
    assert changed.limit("slack") is stricter
    assert isinstance(rule.limit("slack"), Limit)
    assert rule.limit("slack") != stricter
    assert (changed.title, changed.checks) == (rule.title, rule.checks)


def test_a_check_function_can_be_called_like_any_other() -> None:
    rule = Rule("x", area=Area.SPRINGS, page=PAGE)

    @rule.check(Coilover, at_least(error="1 in"), basis=PRACTICE, change=NOTHING)
    def stroke(job: Job, coilover: Coilover) -> float:
        """Stroke."""
        return coilover.extended_length - coilover.compressed_length

    coilover = sound_build().coilovers["coilover"].left
    assert stroke(None, coilover) == pytest.approx(14 * 0.0254)  # type: ignore[arg-type]


def test_a_reading_has_the_pose_of_a_spot_and_a_number_has_none() -> None:
    pose = PoseName(0.1, 0.0, "full bump")
    for value, wanted in ((Spot(2.0, pose), pose), (3, None)):
        reading = inspect(sound_build(), [a_rule(value)], stage=Stage.TACKED).readings[0]
        assert (reading.quantity, reading.pose, reading.place, type(reading.value)) == (
            "slack",
            wanted,
            "brake_lines",
            float,
        )
