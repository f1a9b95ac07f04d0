"""The kit for plugin writers: its assertions hold what holds, and fail where something does not."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from buildcheck_rules import buildcheck_rules
from buildcheck_rules.lateral_bar_parallel import rule as lateral_bar_parallel
from hypothesis import Phase, find, given, settings
from hypothesis.errors import NoSuchExample
from sampling import draws

from buildcheck.api import (
    Area,
    Build,
    Job,
    Missing,
    Rule,
    Sample,
    Spot,
    Stage,
    Verdict,
    Words,
    at_most,
    common_practice,
    inspect,
    made,
)
from buildcheck.spec.document import read_file
from buildcheck.spec.schema import problems_in
from buildcheck.testing import (
    assert_finds_exactly,
    assert_never_fails,
    build_of,
    changed,
    check_sample,
    check_samples,
    document_of,
    mirrored,
    rules_in,
    sound_build,
    sound_spec,
    worst_by_limit,
)
from buildcheck.testing.strategies import builds, partial_specs, sound_specs

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = sorted(
    path.relative_to(EXAMPLES).as_posix() for path in EXAMPLES.rglob("*.buildcheck.yaml") if "faults" not in path.name
)


def track_rule(*samples: Sample, place: str = "vehicle.track", name: str = "track-fits") -> Rule:
    rule = a_rule(name, *samples)
    rule.check(Build, **AT_THE_DOOR, place=place, name="track")(track)
    return rule


def a_rule(name: str, *samples: Sample) -> Rule:
    return Rule(name, area=Area.SAFETY, page="The track fits the door.\n\nChecked: the track.", samples=samples)


AT_THE_DOOR: dict[str, Any] = {
    "limit": at_most(warning="80 in", error="90 in"),
    "basis": common_practice("a door"),
    "change": Words("take another door"),
}


def track(job: Job, build: Build) -> float:
    """Track."""
    return build.vehicle.track


WIDE = {"vehicle.track": 85}


@pytest.mark.parametrize("name", NAMES)
def test_the_examples_are_the_ones_of_the_folder(name: str) -> None:
    assert sound_spec(name) == read_file(EXAMPLES / name).data
    assert build_of(sound_spec(name)) == sound_build(name)


def test_each_caller_has_a_copy_of_its_own() -> None:
    sound_spec()["vehicle"]["track"] = 1
    spec = sound_spec()
    assert spec["vehicle"]["track"] != 1
    value = [1, 2, 3]
    made = changed(spec, {"links.arm.both.frame": value, "shop.ours.bay": value})
    value.append(4)
    assert (made["links"]["arm"]["both"]["frame"], made["shop"]) == ([1, 2, 3], {"ours": {"bay": [1, 2, 3]}})
    assert spec == sound_spec()


def test_a_change_on_one_side_splits_a_pair_under_both() -> None:
    spec = sound_spec()
    arm = changed(spec, {"links.arm.left.frame": [-40, 16, 20]})["links"]["arm"]
    both = spec["links"]["arm"]["both"]
    assert arm == {"left": {**both, "frame": [-40, 16, 20]}, "right": mirrored(both)}
    assert arm["right"]["frame"] == [-37, -16.5, 19.7]
    assert mirrored({"frame": ["1 in", "-2 1/2 in", 3], "note": ["a", "b", "c"]}) == {
        "frame": ["1 in", "2 1/2 in", 3],
        "note": ["a", "b", "c"],
    }
    with pytest.raises(LookupError, match=r"the spec has no links.upper.both.frame: 'upper' is not there"):
        changed(spec, {"links.upper.both.frame": [0, 0, 0]})


def test_an_invalid_spec_gives_no_build() -> None:
    with pytest.raises(AssertionError, match=r"vehicle\.track must be between"):
        build_of(changed(sound_spec(), {"vehicle.track": -1}))


def test_exactly_the_findings_pass_the_assertion() -> None:
    fits = track_rule()
    assert_finds_exactly(fits, {}, {})
    assert_finds_exactly(fits, WIDE, {"track": Verdict.WARNING}, place="vehicle.track", others=[lateral_bar_parallel])
    assert_finds_exactly(fits, {"vehicle.track": 91}, {"track": Verdict.ERROR}, place=["vehicle.track"])


@pytest.mark.parametrize(
    ("change", "finds", "more", "said"),
    [
        (WIDE, {}, {}, "finds whole build: track warning, value 2.159, at vehicle.track, and not nothing"),
        (WIDE, {"track": Verdict.ERROR}, {}, "and not track error"),
        ({}, {"track": Verdict.WARNING}, {}, "finds nothing, and not track warning"),
        (WIDE, {"track": Verdict.WARNING}, {"place": "vehicle"}, "finds it at vehicle.track"),
        (WIDE, {"track": Verdict.WARNING}, {"place": ["vehicle.track", "axle"]}, "finds it at vehicle.track"),
        (WIDE, {"track": Verdict.WARNING}, {"spec": "wide"}, "finds track warning before anything is changed"),
        (
            WIDE,
            {"track": Verdict.WARNING},
            {"others": [track_rule(name="other")]},
            "the change alters the findings of the rule other",
        ),
    ],
)
def test_any_other_findings_fail_the_assertion(
    change: dict[str, Any], finds: dict[str, Verdict], more: dict[str, Any], said: str
) -> None:
    if "spec" in more:
        more = {"spec": changed(sound_spec(), WIDE)}
    with pytest.raises(AssertionError, match=said):
        assert_finds_exactly(track_rule(), change, finds, **more)


def broken(error: Exception) -> Rule:
    rule = a_rule("broken")

    @rule.check(Build, **AT_THE_DOOR)
    def raises(job: Job, build: Build) -> float:
        """Nothing."""
        raise error

    return rule


def test_a_rule_that_fails_or_leaves_something_unchecked_does_not_pass() -> None:
    with pytest.raises(AssertionError, match=r"broken: whole build: the rule failed: ZeroDivisionError: 0"):
        assert_never_fails(broken(ZeroDivisionError("0")), sound_build())
    with pytest.raises(AssertionError, match="ZeroDivisionError"):
        assert_finds_exactly(broken(ZeroDivisionError("0")), {}, {})
    assert_never_fails(broken(Missing("vehicle")), sound_build())
    with pytest.raises(AssertionError, match="the spec lacks vehicle not checked"):
        assert_finds_exactly(broken(Missing("vehicle")), {}, {})


def test_samples_must_give_their_stated_findings() -> None:
    passes, finds = Sample("narrow", {"vehicle.track": 60}), Sample("wide", WIDE, {"track": Verdict.WARNING})
    check_samples(track_rule(passes, finds))
    wrong = finds._replace(finds={"track": Verdict.ERROR})
    with pytest.raises(AssertionError, match="track-fits, wide: it finds whole build: track warning"):
        check_samples(track_rule(passes, wrong))
    with pytest.raises(AssertionError, match="track-fits needs a sample that passes and one that finds"):
        check_samples(track_rule(passes))
    metric = Sample("narrow", {"vehicle.track": 1524})
    check_sample(track_rule(), metric, sound_spec("three-link-metric.buildcheck.yaml"))


class Door(NamedTuple):
    which: str
    lacks: Missing | None
    path: str = "vehicle.track"
    label: str = "door"


def two_doors(job: Job, build: Build) -> list[Door]:
    return [Door("left", Missing("vehicle.door")), Door("right", None)]


def test_a_limit_that_is_known_in_part_is_named_in_what_a_sample_finds() -> None:
    """Not checked is no pass unless the sample says so; and it hides no error of the same limit."""

    doors = a_rule("tracks-fit")

    @doors.check(made("door", two_doors), **AT_THE_DOOR, place="vehicle.track", name="track")
    def through_the_door(job: Job, door: Door) -> Spot:
        """Track, for two doors, one of them not stated."""
        return Spot(job.build.vehicle.track).leaving_out(door.lacks)

    unchecked = Sample("narrow", {"vehicle.track": 60}, {"track": Verdict.NOT_CHECKED})
    check_sample(doors, unchecked)
    with pytest.raises(AssertionError, match="narrow: it finds door: track not checked"):
        check_sample(doors, unchecked._replace(finds={}))
    wide = Sample("wide", WIDE, {"track": Verdict.WARNING})
    check_sample(doors, wide)
    check_sample(doors, Sample("too wide", {"vehicle.track": 95}, {"track": Verdict.ERROR}))
    assert (unchecked.passes, wide.passes) == (True, False)


def test_the_worst_of_each_limit_counts() -> None:
    assert worst_by_limit([]) == {}


def test_a_rule_file_that_fails_is_an_assertion(tmp_path: Path) -> None:
    (tmp_path / "none.py").write_text("", encoding="utf-8")
    with pytest.raises(AssertionError, match="it does not state BUILDCHECK_INTERFACE"):
        rules_in(tmp_path / "none.py")


@draws(15)
@given(spec=sound_specs())
def test_sound_specs_are_valid_and_near_the_sound_one(spec: dict[str, Any]) -> None:
    assert problems_in(document_of(spec)) == ()
    for side in ("left", "right"):
        moved, still = (build_of(each).coilovers["coilover"] for each in (spec, sound_spec()))
        for one, other in zip(getattr(moved, side).frame, getattr(still, side).frame, strict=True):
            assert abs(one - other) <= 0.1 * 0.0254 + 1e-12


def test_no_coordinate_of_a_sound_spec_is_too_small_to_be_read() -> None:
    tiny = lambda spec: any(0.0 < abs(number) < 1e-6 for number in coordinates(spec))  # noqa: E731
    with pytest.raises(NoSuchExample):
        find(sound_specs(), tiny, settings=settings(max_examples=150, derandomize=True))


def coordinates(data: Any) -> Iterator[float]:
    if isinstance(data, float):
        yield data
    elif isinstance(data, dict | list):
        for each in data.values() if isinstance(data, dict) else data:
            yield from coordinates(each)


@draws(15)
@given(spec=partial_specs())
def test_partial_specs_are_valid(spec: dict[str, Any]) -> None:
    assert problems_in(document_of(spec)) == ()


@pytest.mark.filterwarnings("ignore:Generating overly large repr")  # a whole spec is long
def test_the_strategies_leave_things_out_and_part_the_sides() -> None:
    # To make what is found simpler takes long, and nobody looks at it.
    first = settings(max_examples=100, phases=[Phase.generate])
    sections = set(sound_spec())
    assert set(find(partial_specs(), lambda spec: set(spec) < sections, settings=first)) < sections
    assert "left" in find(sound_specs(), lambda spec: "left" in spec["links"]["arm"], settings=first)["links"]["arm"]


@draws(10)
@given(build=builds())
def test_no_built_in_rule_fails_whatever_the_build(build: Build) -> None:
    readings = inspect(build, buildcheck_rules(), stage=Stage.DRIVEN).readings
    assert [reading.failure for reading in readings if reading.failure] == []


def test_the_kit_needs_neither_pytest_nor_hypothesis_until_builds_are_drawn() -> None:
    code = (
        "import sys, buildcheck.testing as kit; kit.sound_build(); "
        "assert not {'pytest', 'hypothesis'} & set(sys.modules); "
        "import buildcheck.testing.strategies; assert 'hypothesis' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


def test_the_public_names_of_the_kit_are_sorted_and_documented() -> None:
    import buildcheck.testing as kit

    assert list(kit.__all__) == sorted(kit.__all__)
    assert all(getattr(kit, name).__doc__ for name in kit.__all__)


def test_drawn_builds_state_what_is_changed_first_such_as_the_shops_fields() -> None:
    seen: list[bool] = []

    @draws(20)
    @given(build=builds(change={"shop.our_shop.bay": 3}))
    def look(build: Build) -> None:
        seen.append(build.has("shop") and build.value("shop.our_shop.bay") == 3)

    look()
    assert sum(seen) > len(seen) / 2  # of those that lack something, some lack this


def test_a_number_that_no_file_holds_is_refused() -> None:
    with pytest.raises(AssertionError, match=r"not a valid spec: vehicle\.track"):
        build_of(changed(sound_spec(), {"vehicle.track": float("nan")}))
