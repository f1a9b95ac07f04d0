"""What a rule and a finding are."""

from __future__ import annotations

from typing import Any

import pytest

from buildcheck.api import (
    Area,
    Dimension,
    Limit,
    PoseName,
    Requirement,
    Rule,
    Spot,
    Stage,
    at_least,
    common_practice,
    hold,
    require,
    rule,
)

PRACTICE = common_practice("as it is done")
SLACK = Limit("slack", "slack", Dimension.LENGTH, at_least(error="0 in"), PRACTICE)
BRACED = Requirement("braced", "it is braced", PRACTICE)


def test_hold_takes_the_pose_from_a_spot() -> None:
    pose = PoseName(0.1, 0.0, "full bump")
    assert hold(SLACK, Spot(2.0, pose), place="travel").pose == pose
    held = hold(SLACK, 3, place="travel", effect="it tears")
    assert (held.value, type(held.value), held.pose, held.place, held.effect) == (
        3.0,
        float,
        None,
        "travel",
        "it tears",
    )


def test_require_says_yes_or_no() -> None:
    required = require(BRACED, met=True, found="braced", wanted="a brace", place="lateral_bar")
    assert (required.requirement, required.met, required.cure) == (BRACED, True, "")


def made() -> Rule:
    limit = Limit("slack", "slack", Dimension.LENGTH, at_least(error="0 in"), PRACTICE)
    need = Requirement("fixed", "it is fixed", PRACTICE)

    @rule("hose-slack", area=Area.SAFETY, subject="build", limits=(limit, need), from_stage=Stage.TACKED)
    def hose_slack(job: object, build: object) -> list[object]:
        """The hose is long enough.

        What it checks: the hose.
        Why: brakes.
        """
        return []

    return hose_slack  # type: ignore[return-value]  # the decorator makes a rule of it


def test_the_docstring_is_the_page() -> None:
    assert made().title == "The hose is long enough"
    assert made().page == "What it checks: the hose.\nWhy: brakes."
    assert (made().name, made().area, made().from_stage) == ("hose-slack", Area.SAFETY, Stage.TACKED)
    assert [check.subject for check in made().checks] == ["build"]


def test_a_limit_is_asked_for_by_name() -> None:
    assert made().limit("fixed").meaning == "it is fixed"
    with pytest.raises(LookupError, match="rule hose-slack has no limit 'slak'; it has slack, fixed"):
        made().limit("slak")


def test_with_limits_is_a_rule_of_its_own() -> None:
    stricter = Limit("slack", "slack", Dimension.LENGTH, at_least(error="1 in"), common_practice("our shop"))
    changed = made().with_limits((stricter,))
    assert changed.limit("slack") is stricter
    assert isinstance(made().limit("slack"), Limit)
    assert made().limit("slack") != stricter
    assert changed.title == made().title


@pytest.mark.parametrize("value", ["5", True, None, [5.0]])
def test_what_is_no_number_is_not_held(value: object) -> None:
    with pytest.raises(TypeError, match="slack needs a number, got "):
        hold(SLACK, value, place="links")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "told", [{"met": "no"}, {"met": None}, {"met": 1}, {"found": 5}, {"wanted": None}, {"cure": 3.0}, {"place": None}]
)
def test_what_is_no_answer_and_no_text_is_not_required(told: dict[str, Any]) -> None:
    said: dict[str, Any] = {"met": True, "found": "a brace", "wanted": "a brace", "place": "lateral_bar", **told}
    with pytest.raises(TypeError, match=r"braced (is met or not|needs a text, got )"):
        require(BRACED, **said)
