"""Work orders that choose a part: another damper, a thicker bolt, an obstacle moved as a whole, a usual load case."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import buildcheck
from buildcheck.spec.threads import METRIC_COARSE, UNIFIED_COARSE, thread

ROOT = Path(__file__).parents[3]
SOUND = ROOT / "examples/tamarack/proposal.buildcheck.yaml"
FAULTS = ROOT / "examples/tamarack/proposal-with-faults.buildcheck.yaml"
BOLT = "lateral_bar.joints.axle.bolt"
BRACKET = "attachments.arm_axle_bracket.right"
STROKE = {"extended_length": 20, "compressed_length": 17}
DAMPER = {"fixed": [6, 12.5, 13], "fixed_to": "axle", "moving": [8.5, -5, 14.2], "steadies": "tie-rod", **STROKE}
PIPE = {"shape": "capsule", "start": [9, -13.5, 27.5], "end": [9, 13.5, 27.5], "radius": 1.25}


def order(changes: dict[str, Any], *rules: str) -> buildcheck.Order:
    """The work order of the sound build with some changes, for some rules; nothing is wrong once it is carried out."""
    spec = buildcheck.read(SOUND).changed(changes)
    found = buildcheck.work_order(spec, only=rules)
    assert buildcheck.inspect(spec, only=rules, changes=False).errors
    assert buildcheck.inspect(found.revised(), only=rules, changes=False).errors == ()
    return found


def test_a_load_case_below_the_usual_is_written_as_the_usual_one() -> None:
    assert order({"load_cases": {"friction": 0.2}}, "load-cases").changes() == {"load_cases.friction": 0.9}


def test_the_metal_that_is_on_the_truck_is_not_written_stronger() -> None:
    """Short threads in a casting are made longer; where they may not be, the casting does not become stronger."""
    bolts = "attachments.lateral_bar_axle_bracket.right.bolts"
    spec = buildcheck.read(SOUND).changed({f"{bolts}.thread_engaged": "3/8 in"})
    longer = buildcheck.work_order(spec, only=["bolted-bracket"]).changes()
    assert set(longer) == {f"{bolts}.thread_engaged"}
    kept = buildcheck.work_order(spec, only=["bolted-bracket"], keep=[f"{bolts}.thread_engaged"])
    assert not [path for path in kept.changes() if path.endswith("_strength")]
    assert kept.record.left


def test_a_damper_with_too_little_stroke_is_changed_for_another_in_one_line() -> None:
    found = order({"steering.stabiliser": DAMPER}, "steering-damper")
    (line,) = found.lines
    by = {change.path.rpartition(".")[2]: change.by or 0.0 for change in line.changes}
    assert set(by) == {"compressed_length", "extended_length"}
    assert by["compressed_length"] < 0.0 < by["extended_length"]
    assert found.record.left == ()


def test_a_thin_bolt_on_one_ear_is_changed_for_the_next_thicker_one_that_carries_the_load_between_two() -> None:
    thin = {"size": "3/8-16", "grade": "sae-8", "shear_planes": 1, "torque": "29 lb-ft", "grip": "1 1/2 in"}
    found = order({f"{BOLT}.{field}": value for field, value in thin.items()}, "joint-bolt")
    changes = found.changes()
    assert set(changes) == {f"{BOLT}.size", f"{BOLT}.shear_planes", f"{BOLT}.torque"}
    assert changes[f"{BOLT}.shear_planes"] == 2
    thinner = UNIFIED_COARSE[UNIFIED_COARSE.index(changes[f"{BOLT}.size"]) - 1]
    spec = found.revised().changed({f"{BOLT}.size": thinner})
    thinner_one = buildcheck.inspect(spec, only="joint-bolt", changes=False)
    assert thinner_one.errors or thinner_one.warnings


@pytest.mark.parametrize("series", [UNIFIED_COARSE, METRIC_COARSE])
def test_the_bolts_of_a_series_are_threads_each_thicker_than_the_one_before(series: tuple[str, ...]) -> None:
    diameters = [thread(size).diameter for size in series]
    assert diameters == sorted(set(diameters))


def test_an_obstacle_is_moved_as_a_whole() -> None:
    found = order({"vehicle.obstacles.crossmember": PIPE}, "clearance")
    (line,) = found.lines
    start, end = line.changes
    assert (start.path, end.path) == tuple(f"vehicle.obstacles.crossmember.{point}.z" for point in ("start", "end"))
    assert start.by == pytest.approx(end.by)
    assert (start.by or 0.0) > 0.0


def test_stating_the_metal_of_a_casting_loses_no_reading_of_it() -> None:
    stated = buildcheck.read(SOUND).document.data["attachments"]["arm_axle_bracket"]["right"]
    weld = {
        "process": "gas-metal-arc",
        "filler": "ERNiFeMn-CI",
        "preheat": "550 degF",
        "cooling": "slow",
        "peened": True,
    }
    bracket = {key: value for key, value in stated.items() if key != "bolts"}
    bracket |= {"method": "welded", "weld": {"kind": "fillet", **weld}, "parent_material": "carbon-steel"}
    changes = {BRACKET: bracket}
    found = order(changes, "statements-agree", "cast-iron-attachment")
    assert found.changes()[f"{BRACKET}.parent_material"] == "ductile-iron"
    assert found.record.proven


def test_the_faults_example_is_mended_but_for_two_decisions(long_tier: bool) -> None:
    if not long_tier:
        pytest.skip("the long tier carries it out")
    found = buildcheck.work_order(buildcheck.read(FAULTS))
    left = [(each.quantity, why) for each, why in found.record.left if each.verdict is buildcheck.Verdict.ERROR]
    side, thread = sorted(left)
    assert side[0] == "on-its-side"
    assert side[1].startswith("left to decide: move the bracket to the other side in the spec")
    # The casting is too thin there for as much thread as bolts of that size need.
    assert thread[0] == "stripping"
    assert thread[1].endswith("left to decide: tap deeper and use longer bolts, or use through bolts with nuts")
    assert len(found.lines) <= 13
    after = buildcheck.inspect(found.revised(), changes=False)
    assert sorted(each.limit for each in after.errors) == ["on-its-side", "stripping"]
