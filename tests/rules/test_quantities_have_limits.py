"""Every quantity of the moving axle is compared with a limit by a built-in rule, or says that it is for information.

What computes a quantity is disturbed: where a rule compares it, a reading with a limit has another value then. So a
quantity cannot say that it is compared where it is not, nor that it is for information where a rule uses it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple
from unittest.mock import patch

import pytest
from buildcheck_rules import buildcheck_rules
from known_exactly import known_exactly
from sampling import sampled
from whole_specs import WHOLE

from buildcheck.build import Build, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.job import Job
from buildcheck.job.built_in_quantities import DRIVELINE, FAMILIES, WHOLE_AXLE
from buildcheck.job.handling import Handling
from buildcheck.job.knuckle_motion import Knuckle, OtherKnuckle
from buildcheck.job.moving import MovingAxle
from buildcheck.job.quantities import quantities, values_or_absent

Compared = dict[tuple[str, str, str], float]
QUANTITIES = {each.name: each for each in (*WHOLE_AXLE, *DRIVELINE)} | {each.family: each for each in FAMILIES}
RULES = tuple(buildcheck_rules())


class Disturbed(NamedTuple):
    """What computes a quantity, and how the outcome is disturbed."""

    owner: type
    name: str
    disturb: Callable[[Any], Any]


def more(value: Any) -> Any:
    return value * 1.25 + 0.01


def field(name: str) -> Callable[[Any], Any]:
    return lambda found: replace(found, **{name: more(getattr(found, name))})


def at_output(found: tuple[Any, Any]) -> tuple[Any, Any]:
    return more(found[0]), found[1]


def at_pinion(found: tuple[Any, Any]) -> tuple[Any, Any]:
    return found[0], more(found[1])


LENGTH = (Disturbed(MovingAxle, "length", more),)
WHEELBASE = (Disturbed(Handling, "wheelbase_change", more),)
BIND_OF_PART = (Disturbed(Handling, "bind_of", more),)
COMPUTED_BY = {
    "axle-forward": (Disturbed(MovingAxle, "forward", more),),
    "axle-left": (Disturbed(MovingAxle, "left", more),),
    "axle-yaw": (Disturbed(MovingAxle, "yaw", more),),
    "caster": (Disturbed(MovingAxle, "pitch", more),),
    "pinion-up": (Disturbed(MovingAxle, "pinion_up", more),),
    "roll-centre-height": (Disturbed(Handling, "roll_centre", field("height")),),
    "roll-axis-slope": (Disturbed(Handling, "roll_centre", field("axis_slope")),),
    # The rule on it needs no travel, and takes it at ride height alone.
    "roll-steer": (
        Disturbed(Handling, "roll_centre", field("roll_steer")),
        Disturbed(Job, "roll_steer", field("value")),
    ),
    "swing-arm-length": (Disturbed(Handling, "instant_centre", field("length")),),
    "instant-centre-forward": (Disturbed(Handling, "instant_centre", field("x")),),
    "instant-centre-height": (Disturbed(Handling, "instant_centre", field("height")),),
    "anti-dive": (Disturbed(Handling, "anti_dive", more),),
    "anti-lift": (Disturbed(Handling, "anti_lift", more),),
    "left-wheelbase-change": WHEELBASE,
    "right-wheelbase-change": WHEELBASE,
    "bind": (Disturbed(Handling, "bind", more),),
    "lateral-bar-bind": BIND_OF_PART,
    "twist-moment": (Disturbed(Handling, "twist_moment", more),),
    "steer": (Disturbed(Knuckle, "steer", more),),
    "other-wheel-steer": (Disturbed(OtherKnuckle, "steer", more),),
    "link-bind": BIND_OF_PART,
    "link-stretch": (Disturbed(Handling, "stretch_of", more),),
    "coilover-length": LENGTH,
    "coilover-bump-to-spare": LENGTH,
    "coilover-droop-to-spare": LENGTH,
    "coilover-motion-ratio": (Disturbed(Handling, "motion_ratio", more),),
    "limit-strap-slack": LENGTH,
    "bump-stop-gap": (Disturbed(MovingAxle, "stop_height", more),),
    "brake-line-slack": (Disturbed(MovingAxle, "brake_line_length", more),),
    "driveshaft-length": (Disturbed(MovingAxle, "driveshaft_length", more),),
    "output-joint-angle": (Disturbed(MovingAxle, "driveshaft_angles", at_output),),
    "pinion-joint-angle": (Disturbed(MovingAxle, "driveshaft_angles", at_pinion),),
    "driveshaft-ripple": (Disturbed(MovingAxle, "driveshaft_ripple", more),),
    **{
        name: (Disturbed(Handling, "bind_at" if name.endswith("bind") else "give_at", more),)
        for name in QUANTITIES
        if name.endswith(("joint-bind", "joint-stretch"))
    },
}
# The turn of a joint has no limit: how far it can turn about its bolt is not limited, and what tilts it is compared.
TURNS = {"frame-joint-turn", "axle-joint-turn"}


@contextmanager
def disturbed(ways: tuple[Disturbed, ...]) -> Iterator[list[str]]:
    """What computes a quantity is disturbed; yields the names of those that were asked for."""
    asked: list[str] = []

    def replaced(way: Disturbed) -> Any:
        plain = vars(way.owner)[way.name]

        def of(*args: Any) -> Any:
            asked.append(way.name)
            return way.disturb(plain(*args) if callable(plain) else plain.__get__(*args, way.owner))

        return of if callable(plain) else property(of)

    with ExitStack() as stack:
        for way in ways:
            stack.enter_context(patch.object(way.owner, way.name, replaced(way)))
        yield asked


@cache
def build(name: str) -> Build:
    return read_build(WHOLE[name]())


def compared(name: str) -> Compared:
    """The value of every reading with a limit, by its rule, limit and subject."""
    with known_exactly():
        readings = inspect(build(name), RULES, changes=False).readings
    return {(each.rule, each.quantity, each.subject): each.value for each in readings if each.value is not None}


as_it_is = cache(compared)


def test_every_quantity_is_disturbed_here_or_named() -> None:
    assert COMPUTED_BY.keys() | TURNS == QUANTITIES.keys()
    assert not any(QUANTITIES[name].compared for name in TURNS)


def test_the_turns_of_joints_are_used_by_no_rule() -> None:
    with patch("buildcheck.job.joints.most_turned", side_effect=AssertionError):
        assert compared("tamarack") == as_it_is("tamarack")


@sampled(12)
@pytest.mark.parametrize("name", COMPUTED_BY)
def test_a_quantity_is_compared_with_a_limit_or_says_that_it_is_for_information(name: str) -> None:
    ways, changes = COMPUTED_BY[name], False
    specs = {spec: as_it_is(spec) for spec in ("tamarack", "three-link")}
    with disturbed(ways) as asked:
        moving = Job(build("tamarack")).moving
        for way in ways[:1]:
            _ask(moving, name)
            assert way.name in asked, "the quantity is computed by something else"
        for spec, undisturbed in specs.items():
            changes = changes or compared(spec) != undisturbed
    assert changes is QUANTITIES[name].compared


def _ask(moving: MovingAxle, name: str) -> None:
    """Compute a quantity of the build, of the first of its parts that has it."""
    found = next(each for each in quantities(moving.build) if name in (each.name, each.family))
    values_or_absent(found, moving)
