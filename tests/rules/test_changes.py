"""Printed changes are true: when made, they put their reading right and break nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, partial
from typing import Any

import pytest
from buildcheck_rules import buildcheck_rules
from edges import EXAMPLES, SOUND, THREE_LINK, example_data, with_data
from harsh_builds import harsh
from made_changes import BROKEN, check_made
from sampling import sampled

from buildcheck.build import Build, Stage, read_build
from buildcheck.checks import readings as taking
from buildcheck.checks.engine import worse_in
from buildcheck.checks.inspection import inspect
from buildcheck.checks.rule import Reading
from buildcheck.job import Cure, Job
from buildcheck.spec.quantity import System

RULES = {rule.name: rule for rule in buildcheck_rules()}

# Harshly spoiled builds, and how many of them are one test.
HARSH = 120
AT_ONCE = 10

# Builds that are wrong in two ways at once, so that what cures the one way might harm the other.
CROSSED: dict[str, tuple[str, str, Mapping[str, Any]]] = {
    "an arm too steep at both ends": (
        "link-flatness",
        SOUND,
        {"links.arm.both.frame": [-30, 16.5, 17], "travel.bump": 10, "travel.droop": 10},
    ),
    "an upper link too steep at both ends": (
        "link-flatness",
        THREE_LINK,
        {"links.upper.right.frame": [-300, -185, 560]},
    ),
    "arms written apart, both too high": (
        "link-flatness",
        SOUND,
        {"links.arm.left.frame": [-37, 16.5, 23], "links.arm.right.frame": [-37, -16.5, 23]},
    ),
    "one arm too high": ("link-flatness", SOUND, {"links.arm.left.frame": [-37, 16.5, 23]}),
    "joints too small for straight travel and for articulation": (
        "joint-misalignment",
        SOUND,
        {"links.arm.both.joints.frame.misalignment": 1, "lateral_bar.joints.frame.misalignment": 1},
    ),
    "a driveshaft too long and too stiff": (
        "driveshaft-travel",
        SOUND,
        {"driveshaft.shortest_length": 33, "driveshaft.pinion_joint.largest_angle": 1},
    ),
    "a stop that is solid at full bump, and a coilover that bottoms there": (
        "bump-stop-engagement",
        SOUND,
        {"bump_stops.stop.both.base": [0.5, 16.5, 25.6], "coilovers.coilover.both.compressed_length": "23 1/2 in"},
    ),
    "stops written apart, both too high": (
        "bump-stop-engagement",
        SOUND,
        {"bump_stops.stop.left.base": [0.5, 16.5, 28], "bump_stops.stop.right.base": [0.5, -16.5, 28]},
    ),
    "one stop too high": ("bump-stop-engagement", SOUND, {"bump_stops.stop.right.base": [0.5, -16.5, 27.2]}),
    "a coilover that bottoms in articulation": ("bump-stop-engagement", SOUND, {"travel.articulation": 20}),
    "a hose too short either way": ("limit-strap-length", SOUND, {"brake_lines.line.both.free_length": 19}),
    "straps written apart, both too long": (
        "limit-strap-length",
        SOUND,
        {"limit_straps.strap.left.length": "21 3/4 in", "limit_straps.strap.right.length": "21 3/4 in"},
    ),
    "one strap too short": (
        "limit-strap-length",
        SOUND,
        {"limit_straps.strap.left.length": 17.5, "brake_lines.line.both.free_length": 25},
    ),
    "one strap too long": ("limit-strap-length", SOUND, {"limit_straps.strap.right.length": 20.5}),
    "a strap that takes droop, beside a coilover without any more of it": (
        "limit-strap-length",
        SOUND,
        {"limit_straps.strap.both.length": "18 1/2 in", "coilovers.coilover.both.extended_length": 33.2},
    ),
    "a strap that takes droop, beside a hose without any more of it": (
        "limit-strap-length",
        SOUND,
        {"limit_straps.strap.both.length": "18 1/2 in", "brake_lines.line.both.free_length": 21.4},
    ),
    "springs too soft, with little room": ("spring-support", SOUND, {"vehicle.axle_load": "3400 lb"}),
    "springs that are loose in droop": ("spring-support", SOUND, {"coilovers.coilover.both.extended_length": 33}),
    "both coils short": (
        "spring-support",
        SOUND,
        {"coilovers.coilover.both.springs[0].free_length": 11, "coilovers.coilover.both.springs[1].free_length": 11},
    ),
    "a mount out in one direction": ("side-symmetry", SOUND, {"links.arm.right.frame": [-37, -16.5, 20.4]}),
    "a mount out in two directions": ("side-symmetry", SOUND, {"links.arm.right.frame": [-37.5, -16.5, 20.2]}),
    "arms as long as their mounts are apart, one's a quarter of an inch forward": (
        "side-symmetry",
        SOUND,
        {
            "links.arm.left.length": "37 1/8 in",
            "links.arm.right.length": "37 3/8 in",
            "links.arm.right.axle_upper": [3.25, -17.5, 18.4],
            "links.arm.right.axle_lower": [-2.75, -17.5, 15.2],
        },
    ),
    "stops too high, of which a target packed out takes up one": (
        "side-symmetry",
        SOUND,
        {
            "bump_stops.stop.left.base": [0.5, 16.5, 28],
            "bump_stops.stop.right.base": [0.5, -16.5, 28],
            "bump_stops.stop.right.target": [0.5, -16.5, 20.8],
        },
    ),
    "a pan that the axle hits, below stops of which one is lower": (
        "bump-stop-engagement",
        SOUND,
        {
            "vehicle.obstacles.oil_pan.lower": [-14, 0, 24.2],
            "bump_stops.stop.left.base": [0.5, 16.5, 27],
            "bump_stops.stop.right.base": [0.5, -16.5, 26.6],
        },
    ),
    "a bar that is short beside its drag link": ("lateral-bar-parallel", SOUND, {"lateral_bar.frame": [5.5, 4, 21.9]}),
    "a bar out in plan, in front view and in length": (
        "lateral-bar-parallel",
        SOUND,
        {"lateral_bar.frame": [3, 6, 22.75]},
    ),
    "articulation that a link does not follow": ("axle-location", THREE_LINK, {"travel.droop": 600}),
}

EXAMPLE_NAMES = sorted(path.relative_to(EXAMPLES).as_posix() for path in EXAMPLES.rglob("*.buildcheck.yaml"))
SAMPLES = {
    f"{rule.name}: {sample.says}": (rule.name, SOUND, sample.change)
    for rule in RULES.values()
    for sample in rule.samples
    if sample.finds
}


@cache
def readings_of(build: Build) -> tuple[Reading, ...]:
    return inspect(build, RULES.values(), stage=Stage.DRIVEN).readings


def readings_after(build: Build, cure: Cure) -> tuple[Reading, ...]:
    """The readings with a change made, without what to change then, which takes longest."""
    return tuple(taking.readings_of(RULES.values(), Job(build).changed_by(cure), changes=False))


@cache
def readings_with_changes_of(build: Build, rule: str) -> tuple[Reading, ...]:
    """The readings of a build, of which those of one rule say what to change; to search for all changes takes long."""
    job = Job(build)
    told = inspect(build, RULES.values(), stage=Stage.DRIVEN, only=[rule], job=job).readings
    others = inspect(build, RULES.values(), stage=Stage.DRIVEN, changes=False, job=job).readings
    return (*told, *(each for each in others if each.rule != rule))


def check_changes(build: Build, rule: str = "") -> None:
    """Every change in numbers of a build's broken readings, of one rule where it is named, is made and looked at."""
    readings = readings_with_changes_of(build, rule) if rule else readings_of(build)
    check_made(readings, partial(readings_after, build), build.units, rule)


# A change is printed in the units of the spec, and rounded to their steps.
in_both_systems = pytest.mark.parametrize("system", System)


@sampled(1)
@in_both_systems
@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_of_the_examples(name: str, system: System) -> None:
    check_changes(read_build(example_data(name)).with_value("units", system))


@sampled(0, each=lambda rule, **_: RULES[rule].area)
@in_both_systems
@pytest.mark.parametrize(("rule", "name", "change"), SAMPLES.values(), ids=SAMPLES)
def test_of_the_samples_that_fail(rule: str, name: str, change: Mapping[str, Any], system: System) -> None:
    check_changes(read_build(with_data(example_data(name), change)).with_value("units", system), rule)


@sampled(0, each=lambda rule, **_: RULES[rule].area)
@pytest.mark.parametrize(("rule", "name", "change"), CROSSED.values(), ids=CROSSED)
def test_a_build_with_two_faults(rule: str, name: str, change: Mapping[str, Any]) -> None:
    build = read_build(with_data(example_data(name), change))
    assert any(each.verdict in BROKEN for each in readings_with_changes_of(build, rule) if each.rule == rule)
    check_changes(build, rule)


# Rules that take the loads, the gaps or the limits of the travel are too slow to be asked of every change of so many
# builds.
SLOW = (
    "bolted-bracket", "bracket-plate", "bracket-stiffeners", "clearance", "joint-bolt", "link-strength",
    "stated-travel", "steering-strength", "weld-size", "wheel-contact",
)  # fmt: skip
QUICK = [rule for rule in RULES.values() if rule.name not in SLOW]


@sampled(1)
@pytest.mark.parametrize("first", range(0, HARSH, AT_ONCE))
def test_of_builds_that_are_spoiled_harshly(first: int) -> None:
    made = 0
    for job in (Job(in_other_units(harsh(seed), seed)) for seed in range(first, first + AT_ONCE)):
        listed = tuple(taking.readings_of(QUICK, job, heeding=QUICK))
        made += check_made(
            listed,
            lambda cure, job=job: tuple(taking.readings_of(QUICK, job.changed_by(cure), changes=False)),
            job.build.units,
        )
    assert made > AT_ONCE


def in_other_units(build: Build, seed: int) -> Build:
    """Every fourth build and the one after it in the units that its spec is not written in."""
    (other,) = set(System) - {build.units}
    return build.with_value("units", other) if seed % 4 > 1 else build


def test_a_change_is_the_same_for_any_selection_of_rules() -> None:
    """Rules that are not asked for are heeded all the same."""
    build, _ = crossed("stops too high, of which a target packed out takes up one")
    alone = inspect(build, RULES.values(), only=["side-symmetry"]).readings
    among_all = inspect(build, RULES.values()).readings
    assert [each.cure for each in alone] == [each.cure for each in among_all if each.rule == "side-symmetry"]
    unheeded = taking.readings_of([RULES["side-symmetry"]], Job(build))
    assert [each.cure.path for each in unheeded if each.cure] == ["bump_stops.stop.right.target.z"]


def crossed(name: str) -> tuple[Build, list[Reading]]:
    """A crossed build, and what its rule finds broken."""
    rule, example, change = CROSSED[name]
    build = read_build(with_data(example_data(example), change))
    told = readings_with_changes_of(build, rule)
    return build, [each for each in told if each.rule == rule and each.verdict in BROKEN]


def cures_of(name: str, quantity: str) -> list[Cure]:
    found = [each.cure for each in crossed(name)[1] if each.quantity == quantity]
    assert found
    return [cure for cure in found if cure is not None]


@pytest.mark.parametrize(
    ("name", "quantity", "paths"),
    [
        ("arms written apart, both too high", "slope-at-ride", ["links.arm.left.frame.z", "links.arm.right.frame.z"]),
        (
            "stops written apart, both too high",
            "coilover-left",
            ["bump_stops.stop.left.base.z", "bump_stops.stop.right.base.z"],
        ),
        ("one strap too short", "both-together", ["limit_straps.strap.left.length"]),
        ("one strap too long", "both-together", ["limit_straps.strap.right.length"]),
        ("one stop too high", "both-together", ["bump_stops.stop.right.base.z"]),
        (
            "straps written apart, both too long",
            "coilover-left",
            ["limit_straps.strap.left.length", "limit_straps.strap.right.length"],
        ),
    ],
)
def test_left_and_right_are_changed_together_only_where_they_are_equally_wrong(
    name: str, quantity: str, paths: list[str]
) -> None:
    for cure in cures_of(name, quantity):
        assert sorted([cure.path, *cure.also]) == paths


def test_a_limit_over_straight_travel_and_articulation_gives_one_reading() -> None:
    for name in ("joints too small for straight travel and for articulation", "a driveshaft too long and too stiff"):
        places = [(each.subject, each.quantity, each.place) for each in crossed(name)[1]]
        assert len(places) == len(set(places))


# A stop that never touches has no share of the travel, and no touch together with another stop.
NEVER_TOUCHES = ("touches", "coilover-left", "share-of-travel", "both-together", "gap-above")


@pytest.mark.parametrize(
    ("path", "change", "limits"),
    [
        ("bump_stops.stop.both.base.z", -0.001, ()),
        ("bump_stops.stop.both.base.z", 0.05, ("coilover-left", "share-of-travel", "gap-above")),
        ("bump_stops.stop.both.base.z", -0.02, ("stop-left",)),
        ("bump_stops.stop.both.base.x", 0.05, ("on-target",)),
        ("bump_stops.stop.both.base.z", 0.2, NEVER_TOUCHES),
    ],
)
def test_the_limits_that_a_change_makes_worse_are_named(path: str, change: float, limits: tuple[str, ...]) -> None:
    job = Job(read_build(example_data()))
    harm = worse_in(RULES["bump-stop-engagement"], job, job.changed_by(Cure("", path=path, change=change)))
    assert sorted(harm) == sorted(limits)


def test_an_error_that_grows_by_more_than_a_millimetre_counts_as_harm() -> None:
    build = read_build(with_data(example_data(), {"brake_lines.line.both.free_length": 19}))
    hose, job = "brake_lines.line.both.free_length", Job(build)
    for change, limits in ((-0.0005, ()), (-0.002, ("brake-line-slack",)), (0.002, ())):
        changed = job.changed_by(Cure("", path=hose, change=change))
        assert worse_in(RULES["limit-strap-length"], job, changed) == limits
