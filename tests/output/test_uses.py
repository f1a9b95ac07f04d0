"""Every computed number of the loads and of the record of an inspection is compared with a limit, or the output says
that it is for information only."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import nullcontext
from functools import cache
from typing import Any

import pytest
from buildcheck_rules import buildcheck_rules
from called import called
from known_exactly import known_exactly
from whole_specs import FOUR_LINK, TAMARACK, THREE_LINK, WHOLE

from buildcheck.output.uses import COMPARED, FOR_INFORMATION, Numbers
from buildcheck.testing import sound_spec

COMMANDS = {"loads": "loads", "inspection": "inspect"}

# Numbers that are not computed from the build: counts, places in the text, what the spec states, the limits themselves
# and the reading that is held to them.
NOT_COMPUTED = (
    "format", "exit_status", "line", "column", "count", "facts", "assumptions", "readings", "hold_point",
)  # fmt: skip


def numbers_of(data: Any, at: str = "", section: str = "") -> Iterator[Numbers]:
    """Every number of an output's JSON, with its place and the section of the spec that it is of."""
    if isinstance(data, dict):
        place = data.get("place")
        path = place["path"] if isinstance(place, dict) else data.get("path")
        section = path.split(".")[0] if isinstance(path, str) and path else section
        for key, value in data.items():
            if key not in NOT_COMPUTED:
                yield from numbers_of(value, f"{at}.{key}" if at else key, section)
    elif isinstance(data, list):
        for value in data:
            yield from numbers_of(value, f"{at}[]", section)
    elif isinstance(data, int | float) and not isinstance(data, bool):
        yield Numbers(at, section)


def is_named(number: Numbers, named: Numbers) -> bool:
    """Whether a number is one of some that are named: of that section, at that place or below it."""
    return number.section == named.section and number.place.startswith((f"{named.place}.", f"{named.place}["))


@pytest.fixture(autouse=True)
def exact_in_the_short_tier(long_tier: bool) -> Iterator[None]:
    """How sure the readings are takes most of the time, and is itself compared with nothing."""
    with nullcontext() if long_tier else known_exactly():
        yield


@cache
def output(command: str, name: str) -> Any:
    spec = WHOLE[name]() if name in WHOLE else sound_spec(name)
    found = json.loads(called(COMMANDS[command], "-", "--output", "json", stdin=json.dumps(spec, indent=1)).stdout)
    return found["specs"][0] if command == "inspection" else found


NAMES = (TAMARACK, THREE_LINK, FOUR_LINK, "tamarack", "on-a-damper")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("command", COMMANDS)
def test_every_number_is_compared_or_for_information(command: str, name: str) -> None:
    data = output(command, name)
    named = [*COMPARED[command], *FOR_INFORMATION[command]]
    found = set(numbers_of(data))
    assert found
    assert {number for number in found if not any(is_named(number, each) for each in named)} == set()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("command", COMMANDS)
def test_the_output_says_which_are_for_information(command: str, name: str) -> None:
    data = output(command, name)
    said = (data if command == "loads" else data["parts"])["for_information"]
    listed = {Numbers(each["numbers"], each["section"]) for each in said}
    there = set(numbers_of(data))
    assert (
        {each for each in FOR_INFORMATION[command] if any(is_named(number, each) for number in there)}
        <= listed
        <= set(FOR_INFORMATION[command])
    )


@pytest.mark.parametrize("command", COMMANDS)
def test_what_compares_them_is_there(command: str) -> None:
    limits = {f"{rule.name}/{limit.name}" for rule in buildcheck_rules() for limit in rule.limits}
    assert {name for names in COMPARED[command].values() for name in names} <= limits
    assert set(COMPARED[command]) & set(FOR_INFORMATION[command]) == set()


def test_each_is_seen_in_some_output() -> None:
    """None of the two lists is of numbers that no output has any more."""
    for command in COMMANDS:
        there = {number for name in NAMES for number in numbers_of(output(command, name))}
        named = [*COMPARED[command], *FOR_INFORMATION[command]]
        assert [each for each in named if not any(is_named(number, each) for number in there)] == []


def test_a_new_number_is_found() -> None:
    """One that neither list names."""
    new = {"parts": [{"place": {"path": "links.arm.left"}, "sag": {"si": 1.0, "shown": "1 m"}}]}
    (number,) = numbers_of(new)
    assert number == Numbers("parts[].sag.si", "links")
    assert not any(is_named(number, each) for each in (*COMPARED["loads"], *FOR_INFORMATION["loads"]))
