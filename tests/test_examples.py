"""What the examples show, exactly; and the way that a sloped link moves the axle, from a spec to its reading."""

import math
from functools import cache
from pathlib import Path

import pytest
from buildcheck_rules import buildcheck_rules
from buildcheck_rules.link_flatness import rule as link_flatness
from sampling import draws

from buildcheck.build import Stage, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Cure, Job
from buildcheck.job.steps import nearest
from buildcheck.spec.document import read_file, read_text
from buildcheck.spec.schema import problems_in

EXAMPLES = Path(__file__).parent.parent / "examples"
ALL = sorted(path.relative_to(EXAMPLES).as_posix() for path in EXAMPLES.rglob("*.buildcheck.yaml"))
SOUND = "tamarack/proposal.buildcheck.yaml"
FAULTY = "tamarack/proposal-with-faults.buildcheck.yaml"
MINIMAL = "minimal.buildcheck.yaml"

RULES = {rule.name: rule for rule in buildcheck_rules()}
INCH = 0.0254

# (verdict, rule, subject, quantity, place), in the order in which they are shown.
Shown = tuple[str, str, str, str, str]

NOT_OK: dict[str, list[Shown]] = {
    "four-link-rear.buildcheck.yaml": [],
    MINIMAL: [
        ("not checked", "joint-misalignment", "left arm", "", "links.arm.both.joints.frame.misalignment"),
        ("not checked", "joint-misalignment", "left arm", "", "links.arm.both.joints.axle_upper.misalignment"),
        ("not checked", "joint-misalignment", "left arm", "", "links.arm.both.joints.axle_lower.misalignment"),
        ("not checked", "joint-misalignment", "right arm", "", "links.arm.both.joints.frame.misalignment"),
        ("not checked", "joint-misalignment", "right arm", "", "links.arm.both.joints.axle_upper.misalignment"),
        ("not checked", "joint-misalignment", "right arm", "", "links.arm.both.joints.axle_lower.misalignment"),
        ("not checked", "joint-misalignment", "lateral bar", "", "lateral_bar.joints.frame.misalignment"),
        ("not checked", "joint-misalignment", "lateral bar", "", "lateral_bar.joints.axle.misalignment"),
        ("not checked", "link-flatness", "left arm", "", "travel.bump"),
        ("not checked", "link-flatness", "right arm", "", "travel.bump"),
        ("not checked", "link-flatness", "whole build", "", "travel.bump"),
        ("not checked", "link-material", "left arm", "", "links.arm.both.tube.material"),
        ("not checked", "link-material", "right arm", "", "links.arm.both.tube.material"),
        ("not checked", "link-material", "lateral bar", "", "lateral_bar.tube.material"),
        ("not checked", "link-material", "drag link or tie rod", "", "steering.drag_link.tube.material"),
        ("not checked", "link-strength", "left arm", "", "links.arm.both.joints.frame.load_rating"),
        ("not checked", "link-strength", "left arm", "", "links.arm.both.joints.axle_upper.load_rating"),
        ("not checked", "link-strength", "left arm", "", "links.arm.both.joints.axle_lower.load_rating"),
        ("not checked", "link-strength", "right arm", "", "links.arm.both.joints.frame.load_rating"),
        ("not checked", "link-strength", "right arm", "", "links.arm.both.joints.axle_upper.load_rating"),
        ("not checked", "link-strength", "right arm", "", "links.arm.both.joints.axle_lower.load_rating"),
        ("not checked", "link-strength", "lateral bar", "", "lateral_bar.joints.frame.load_rating"),
        ("not checked", "link-strength", "lateral bar", "", "lateral_bar.joints.axle.load_rating"),
        ("not checked", "link-strength", "left arm", "", "coilovers"),
        ("not checked", "link-strength", "right arm", "", "coilovers"),
        ("not checked", "link-strength", "lateral bar", "", "coilovers"),
        ("not checked", "link-strength", "limit strap", "", "limit_straps"),
        ("not checked", "side-symmetry", "mount", "", "coilovers"),
        ("not checked", "side-symmetry", "pair of attachments", "", "attachments"),
        ("not checked", "side-symmetry", "whole build", "", "vehicle.track"),
        ("not checked", "side-symmetry", "whole build", "", "travel.bump"),
        ("not checked", "axle-location", "whole build", "", "travel.droop"),
        ("not checked", "axle-location", "whole build", "", "travel.bump"),
        ("not checked", "axle-location", "whole build", "", "travel.articulation"),
        ("not checked", "clearance", "left tyre", "", "travel.bump"),
        ("not checked", "clearance", "right tyre", "", "travel.bump"),
        ("not checked", "clearance", "left steering arm", "", "travel.bump"),
        ("not checked", "clearance", "right steering arm", "", "travel.bump"),
        ("not checked", "clearance", "axle", "", "travel.bump"),
        ("not checked", "clearance", "lateral bar", "", "travel.bump"),
        ("not checked", "clearance", "drag link", "", "travel.bump"),
        ("not checked", "clearance", "tie rod", "", "travel.bump"),
        ("not checked", "clearance", "driveshaft", "", "travel.bump"),
        ("not checked", "clearance", "left arm", "", "travel.bump"),
        ("not checked", "clearance", "right arm", "", "travel.bump"),
        ("not checked", "clearance", "coilover", "", "coilovers"),
        ("not checked", "clearance", "bump stop", "", "bump_stops"),
        ("not checked", "clearance", "obstacle", "", "vehicle.obstacles"),
        ("not checked", "lateral-bar-parallel", "whole build", "", "steering.drag_link.pitman"),
        ("not checked", "lateral-bar-parallel", "whole build", "", "steering.drag_link.knuckle"),
        ("not checked", "lateral-bar-parallel", "whole build", "", "travel.bump"),
        ("not checked", "steering-lock", "whole build", "", "steering.lock_angle"),
        ("not checked", "steering-parts", "brake line", "", "brake_lines"),
        ("not checked", "spring-support", "coilover", "", "coilovers"),
        ("not checked", "spring-support", "coilover", "", "coilovers"),
        ("not checked", "spring-support", "coilover", "", "coilovers"),
        ("not checked", "bump-stop-engagement", "bump stop", "", "bump_stops"),
        ("not checked", "bump-stop-engagement", "bump stop", "", "bump_stops"),
        ("not checked", "bump-stop-engagement", "pair of bump stops", "", "bump_stops"),
        ("not checked", "bump-stop-engagement", "coilover", "", "coilovers"),
        ("not checked", "bump-stop-engagement", "obstacle", "", "vehicle.obstacles"),
        ("not checked", "limit-strap-length", "limit strap", "", "limit_straps"),
        ("not checked", "limit-strap-length", "pair of limit straps", "", "limit_straps"),
        ("not checked", "limit-strap-length", "coilover", "", "coilovers"),
        ("not checked", "limit-strap-length", "brake line", "", "brake_lines"),
        ("not checked", "limit-strap-length", "driveshaft", "", "travel.droop"),
        ("not checked", "limit-strap-length", "shaft joint", "", "travel.droop"),
        ("not checked", "stated-travel", "whole build", "", "travel.bump"),
        ("not checked", "driveshaft-travel", "driveshaft", "", "travel.bump"),
        ("not checked", "driveshaft-travel", "driveshaft", "", "travel.bump"),
        ("not checked", "driveshaft-travel", "shaft joint", "", "travel.bump"),
        ("not checked", "cast-iron-attachment", "casting", "", "attachments"),
        ("not checked", "cast-iron-attachment", "attachment", "", "attachments"),
        ("not checked", "cast-iron-attachment", "welded iron", "", "attachments"),
        ("not checked", "cast-iron-attachment", "weld on iron", "", "attachments"),
        ("not checked", "weld-procedure", "attachment", "", "attachments"),
        ("not checked", "weld-procedure", "attachment", "", "attachments"),
        ("not checked", "weld-size", "attachment", "", "attachments"),
        ("not checked", "weld-size", "attachment", "", "attachments"),
        ("not checked", "bolted-bracket", "attachment", "", "attachments"),
        ("not checked", "bolted-bracket", "attachment", "", "attachments"),
        ("not checked", "bolted-bracket", "attachment", "", "attachments"),
        ("not checked", "bracket-at-every-end", "frame end of the left arm", "", "attachments"),
        ("not checked", "bracket-at-every-end", "axle end of the left arm", "", "attachments"),
        ("not checked", "bracket-at-every-end", "frame end of the right arm", "", "attachments"),
        ("not checked", "bracket-at-every-end", "axle end of the right arm", "", "attachments"),
        ("not checked", "bracket-at-every-end", "frame end of the lateral bar", "", "attachments"),
        ("not checked", "bracket-at-every-end", "axle end of the lateral bar", "", "attachments"),
        ("not checked", "wheel-contact", "whole build", "", "vehicle.axle_load"),
        ("not checked", "joint-bolt", "left arm", "", "coilovers"),
        ("not checked", "joint-bolt", "left arm", "", "coilovers"),
        ("not checked", "joint-bolt", "left arm", "", "coilovers"),
        ("not checked", "joint-bolt", "right arm", "", "coilovers"),
        ("not checked", "joint-bolt", "right arm", "", "coilovers"),
        ("not checked", "joint-bolt", "right arm", "", "coilovers"),
        ("not checked", "joint-bolt", "lateral bar", "", "coilovers"),
        ("not checked", "joint-bolt", "lateral bar", "", "coilovers"),
        ("not checked", "joint-bolt", "joint of a coilover", "", "coilovers"),
        ("not checked", "joint-bolt", "joint of a limit strap", "", "limit_straps"),
        ("not checked", "bolt-tightening", "bolts", "", "attachments"),
        ("not checked", "screwed-joint", "whole build", "", ""),
        ("not checked", "steering-strength", "drag link or tie rod", "", "steering.drag_link.knuckle"),
        ("not checked", "steering-strength", "steering joint", "", "steering.drag_link.joints.pitman.load_rating"),
        ("not checked", "steering-strength", "bolted steering joint", "", "steering.drag_link"),
        ("not checked", "steering-strength", "stud of a steering joint", "", "steering.drag_link.knuckle"),
        ("not checked", "steering-strength", "pitman arm", "", "steering.pitman_arm.root.yield_strength"),
        ("not checked", "bracket-plate", "attachment", "", "attachments"),
        ("not checked", "bracket-plate", "hole of a joint", "", "attachments"),
        ("not checked", "bracket-stiffeners", "attachment", "", "attachments"),
        ("not checked", "bracket-stiffeners", "attachment", "", "attachments"),
        ("not checked", "clearance", "whole build", "", "travel.bump"),
        ("not checked", "driveshaft-strength", "driveshaft", "", "driveshaft.tube.material"),
        ("not checked", "driveshaft-strength", "driveshaft", "", "vehicle.top_speed"),
        ("not checked", "driveshaft-strength", "driveshaft", "", "driveshaft.output_joint"),
        ("not checked", "driveshaft-strength", "shaft joint", "", "driveshaft.output_joint"),
    ],
    FAULTY: [
        ("error", "joint-misalignment", "lateral bar", "misalignment-left", "lateral_bar.joints.frame.misalignment"),
        ("error", "link-flatness", "left arm", "slope-at-ride", "links.arm.left.frame"),
        ("error", "link-flatness", "right arm", "slope-at-ride", "links.arm.right.frame"),
        (
            "warning",
            "bracket-sizes",
            "right arm axle bracket",
            "gussets-to-height",
            "attachments.arm_axle_bracket.right.gussets.height",
        ),
        (
            "warning",
            "bracket-sizes",
            "left arm frame bracket",
            "gussets-to-height",
            "attachments.arm_frame_bracket.both.gussets.height",
        ),
        (
            "warning",
            "bracket-sizes",
            "right arm frame bracket",
            "gussets-to-height",
            "attachments.arm_frame_bracket.both.gussets.height",
        ),
        ("warning", "link-flatness", "left arm", "slope-in-travel", "links.arm.left.frame"),
        ("warning", "link-flatness", "right arm", "slope-in-travel", "links.arm.right.frame"),
        ("error", "link-flatness", "whole build", "fore-and-aft", "links.arm.left.frame"),
        ("error", "link-flatness", "whole build", "roll-steer", "links.arm.left.frame"),
        ("error", "link-strength", "lateral bar", "joint-load", "lateral_bar.joints.axle.load_rating"),
        ("error", "side-symmetry", "arm", "length-difference", "links.arm.right.length"),
        ("error", "side-symmetry", "whole build", "yaw-at-ride", "links.arm.right.length"),
        ("error", "side-symmetry", "whole build", "wheelbase-difference", "links.arm.right.length"),
        ("error", "clearance", "drag link", "part-gap", "vehicle.obstacles.crossmember"),
        ("error", "lateral-bar-parallel", "whole build", "front-view-angle", "lateral_bar.frame"),
        ("error", "lateral-bar-parallel", "whole build", "bump-steer-rate", "lateral_bar.frame"),
        ("error", "lateral-bar-parallel", "whole build", "bump-steer-total", "lateral_bar.frame"),
        ("warning", "spring-support", "left coilover", "coil-bind", "coilovers.coilover.both.springs[0].free_length"),
        ("error", "spring-support", "right coilover", "coil-bind", "coilovers.coilover.both.springs[0].free_length"),
        ("error", "bump-stop-engagement", "left bump stop", "share-of-travel", "bump_stops.stop.both.base"),
        ("error", "bump-stop-engagement", "right bump stop", "share-of-travel", "bump_stops.stop.both.base"),
        ("error", "bump-stop-engagement", "left coilover", "coilover-left", "bump_stops.stop.both.base"),
        ("error", "bump-stop-engagement", "right coilover", "coilover-left", "bump_stops.stop.both.base"),
        ("error", "bump-stop-engagement", "oil pan", "gap-above", "bump_stops.stop.both.base"),
        ("error", "limit-strap-length", "left coilover", "coilover-left", "limit_straps.strap.both.length"),
        ("error", "limit-strap-length", "right coilover", "coilover-left", "limit_straps.strap.both.length"),
        ("error", "limit-strap-length", "left brake line", "brake-line-slack", "brake_lines.line.both.free_length"),
        ("warning", "limit-strap-length", "right brake line", "brake-line-slack", "brake_lines.line.both.free_length"),
        ("error", "stated-travel", "whole build", "travel-allowed", "lateral_bar"),
        ("error", "stated-travel", "whole build", "travel-allowed", "lateral_bar"),
        ("error", "stated-travel", "whole build", "travel-allowed", "lateral_bar"),
        ("error", "stated-travel", "whole build", "travel-allowed", "vehicle.obstacles.crossmember"),
        ("error", "stated-travel", "whole build", "travel-allowed", "driveshaft"),
        ("error", "stated-travel", "whole build", "travel-allowed", "driveshaft"),
        ("error", "driveshaft-travel", "driveshaft", "slip-left-to-go-in", "driveshaft.shortest_length"),
        (
            "error",
            "cast-iron-attachment",
            "right arm axle bracket weld",
            "preheat",
            "attachments.arm_axle_bracket.right.weld.preheat",
        ),
        (
            "error",
            "cast-iron-attachment",
            "right arm axle bracket weld",
            "filler",
            "attachments.arm_axle_bracket.right.weld.filler",
        ),
        (
            "error",
            "cast-iron-attachment",
            "right arm axle bracket weld",
            "cooling",
            "attachments.arm_axle_bracket.right.weld.cooling",
        ),
        (
            "error",
            "cast-iron-attachment",
            "right arm axle bracket weld",
            "peening",
            "attachments.arm_axle_bracket.right.weld.peened",
        ),
        ("not checked", "weld-size", "right arm axle bracket", "", ""),
        ("error", "weld-size", "left arm frame bracket", "least-leg", "attachments.arm_frame_bracket.both.weld.leg"),
        ("error", "weld-size", "right arm frame bracket", "least-leg", "attachments.arm_frame_bracket.both.weld.leg"),
        (
            "error",
            "weld-size",
            "left arm frame bracket",
            "throat-stress",
            "attachments.arm_frame_bracket.both.weld.length",
        ),
        (
            "error",
            "weld-size",
            "right arm frame bracket",
            "throat-stress",
            "attachments.arm_frame_bracket.both.weld.length",
        ),
        (
            "not checked",
            "weld-size",
            "left lateral bar frame bracket",
            "throat-stress",
            "attachments.lateral_bar_frame_bracket.left.weld.length",
        ),
        ("not checked", "bracket-at-every-end", "frame end of the lateral bar", "", ""),
        (
            "error",
            "bracket-at-every-end",
            "axle end of the lateral bar",
            "on-its-side",
            "attachments.lateral_bar_axle_bracket.left.holds",
        ),
        ("error", "load-cases", "whole build", "stated-load-case", "load_cases.friction"),
        (
            "error",
            "spec-consistency",
            "left lateral bar frame bracket",
            "holds",
            "attachments.lateral_bar_frame_bracket.left.holds",
        ),
        (
            "error",
            "statements-agree",
            "right arm axle bracket",
            "parent-material",
            "attachments.arm_axle_bracket.right.parent_material",
        ),
        ("error", "link-strength", "left arm", "stress", "links.arm.left.tube.yield_strength"),
        ("error", "link-strength", "right arm", "stress", "links.arm.right.tube.yield_strength"),
        (
            "error",
            "bolt-tightening",
            "left lateral bar axle bracket bolts",
            "preload",
            "attachments.lateral_bar_axle_bracket.left.bolts.torque",
        ),
        (
            "error",
            "bolt-tightening",
            "left lateral bar axle bracket bolts",
            "least-preload",
            "attachments.lateral_bar_axle_bracket.left.bolts.torque",
        ),
        (
            "error",
            "bolted-bracket",
            "left lateral bar axle bracket",
            "edge-distance",
            "attachments.lateral_bar_axle_bracket.left.bolts.edge_distance",
        ),
        ("error", "joint-bolt", "lateral bar", "strength", "lateral_bar.joints.axle.bolt"),
        (
            "error",
            "bolted-bracket",
            "left lateral bar axle bracket",
            "bolts-carry",
            "attachments.lateral_bar_axle_bracket.left.bolts",
        ),
        (
            "error",
            "bolted-bracket",
            "left lateral bar axle bracket",
            "thread-engaged",
            "attachments.lateral_bar_axle_bracket.left.bolts.thread_engaged",
        ),
        ("error", "screwed-joint", "lateral bar", "engaged", "lateral_bar.joints.frame.thread_engaged"),
        ("error", "steering-damper", "steering stabiliser", "stroke-to-close", "steering.stabiliser.compressed_length"),
        ("error", "steering-strength", "steering pitman arm", "pitman-root", "steering.pitman_arm.root"),
        ("error", "weld-size", "left arm frame bracket", "base-metal", "attachments.arm_frame_bracket.both.weld.leg"),
        ("error", "weld-size", "right arm frame bracket", "base-metal", "attachments.arm_frame_bracket.both.weld.leg"),
        (
            "not checked",
            "weld-size",
            "left lateral bar frame bracket",
            "base-metal",
            "attachments.lateral_bar_frame_bracket.left.weld.leg",
        ),
        ("not checked", "bracket-at-every-end", "fixed end of the steering stabiliser", "", ""),
        ("not checked", "bracket-plate", "left lateral bar frame bracket", "", ""),
        ("not checked", "bracket-stiffeners", "left lateral bar frame bracket", "", ""),
        (
            "error",
            "bracket-stiffeners",
            "left lateral bar axle bracket",
            "brace-buckling",
            "attachments.lateral_bar_axle_bracket.left.brace.tube.outside_diameter",
        ),
        (
            "warning",
            "bracket-stiffeners",
            "left lateral bar axle bracket",
            "brace-stress",
            "attachments.lateral_bar_axle_bracket.left.brace.tube",
        ),
        ("error", "bracket-plate", "left arm frame bracket", "hole", "attachments.arm_frame_bracket.both.hole_edge"),
        ("error", "bracket-plate", "right arm frame bracket", "hole", "attachments.arm_frame_bracket.both.hole_edge"),
        (
            "error",
            "bracket-plate",
            "left lateral bar axle bracket",
            "hole",
            "attachments.lateral_bar_axle_bracket.left.hole_edge",
        ),
        ("warning", "clearance", "lateral bar", "part-gap", "steering.stabiliser"),
    ],
    SOUND: [
        ("warning", "link-flatness", "whole build", "fore-and-aft", "links.arm.both.frame"),
        ("warning", "limit-strap-length", "left brake line", "brake-line-slack", "brake_lines.line.both.free_length"),
    ],
    "three-link-metric.buildcheck.yaml": [],
}


@cache
def readings(name: str) -> tuple[Reading, ...]:
    """All readings of an example."""
    return inspect(read_build(read_file(EXAMPLES / name).data), RULES.values()).readings


def shown(reading: Reading) -> Shown:
    return reading.verdict.value, reading.rule, reading.subject, reading.quantity, reading.place


def test_every_example_is_told_here() -> None:
    assert sorted(NOT_OK) == ALL


@pytest.mark.parametrize("name", ALL)
def test_the_schema_accepts_it(name: str) -> None:
    assert problems_in(read_file(EXAMPLES / name)) == ()


@pytest.mark.parametrize("name", ALL)
def test_all_that_is_not_ok(name: str) -> None:
    found = [shown(reading) for reading in readings(name) if reading.verdict is not Verdict.OK]
    assert sorted(found) == sorted(NOT_OK[name])
    assert not any(reading.failure for reading in readings(name))


OF_A_LATER_STAGE = {name for name, rule in RULES.items() if rule.from_stage is not Stage.PROPOSAL}


def test_the_sound_build_is_sound() -> None:
    """Nothing is an error, and nothing is left that is not checked."""
    assert {reading.verdict for reading in readings(SOUND)} == {Verdict.OK, Verdict.WARNING}
    assert {reading.rule for reading in readings(SOUND)} == set(RULES) - OF_A_LATER_STAGE


def test_the_faults_reach_every_rule_that_the_job_lives_by() -> None:
    broken = {reading.rule for reading in readings(FAULTY) if reading.verdict is Verdict.ERROR}
    # Those that remain would need a truck that cannot be built, belong to a later stage, or look for contradictions and
    # omissions of the spec that this one does not have.
    assert broken == set(RULES) - OF_A_LATER_STAGE - {
        "axle-location",
        "axle-setting",
        "bracket-sizes",
        "changed-from-baseline",
        "claimed-values",
        "driveshaft-strength",
        "frame-parts",
        "joint-sizes",
        "link-material",
        "may-move",
        "measuring",
        "part-ends",
        "parts-arrived",
        "parts-in-place",
        "rod-parts",
        "spec-sizes",
        "stated-values",
        "steering-lock",
        "steering-parts",
        "tube-length",
        "vehicle-proportions",
        "weld-procedure",
        "wheel-contact",
    }


def test_what_is_not_checked_names_what_is_missing() -> None:
    document = read_file(EXAMPLES / MINIMAL)
    unchecked = [reading for reading in readings(MINIMAL) if reading.verdict is Verdict.NOT_CHECKED]
    # No joint of it states a thread, and none is of a kind that always has one.
    assert [reading.rule for reading in unchecked if not reading.missing] == ["screwed-joint"]
    for reading in (each for each in unchecked if each.missing):
        assert reading.missing[0] == reading.place
        assert reading.reason
        for path in reading.missing:
            held: object = document.data
            for step in path.split("."):
                held = held.get(step) if isinstance(held, dict) else None
            assert held is None


# Cures.

# The quantities that the faulty example has cures in numbers for, and how many cures of one are tried.
IN_NUMBERS = (
    "edge-distance",
    "engaged",
    "least-preload",
    "slope-at-ride",
    "slope-in-travel",
    "fore-and-aft",
    "roll-steer",
    "yaw-at-ride",
    "wheelbase-difference",
    "front-view-angle",
    "bump-steer-rate",
    "bump-steer-total",
    "share-of-travel",
    "coilover-left",
    "gap-above",
    "hole",
    "base-metal",
    "brace-buckling",
    "brace-stress",
    "brake-line-slack",
    "coil-bind",
    "misalignment-left",
    "pitman-root",
    "preload",
    "slip-left-to-go-in",
    "stress",
    "thread-engaged",
    "throat-stress",
    "least-leg",
    "length-difference",
)
TRIED = draws(20).max_examples


@cache
def cures() -> tuple[Reading, ...]:
    """The readings of the faulty example with a cure in numbers."""
    return tuple(reading for reading in readings(FAULTY) if reading.cure is not None and reading.cure.path)


@pytest.mark.parametrize("name", ALL)
def test_whatever_is_found_says_what_to_change(name: str) -> None:
    for reading in readings(name):
        if reading.verdict in (Verdict.WARNING, Verdict.ERROR):
            assert reading.cure is not None, (reading.rule, reading.quantity)
            assert reading.cure.words


def test_the_faults_have_cures_in_numbers() -> None:
    assert {reading.quantity for reading in cures()} == set(IN_NUMBERS)


def by_amount(cure: Cure, amount: float) -> Cure:
    return cure._replace(amount=amount, change=None if cure.change is None else math.copysign(amount, cure.change))


@pytest.mark.parametrize("quantity", IN_NUMBERS)
def test_a_cure_cures(quantity: str) -> None:
    """The change made, the same reading is ok; by one step less it is not. Bolts are tightened to what is recommended,
    which is more than the least that passes."""
    found = [reading for reading in cures() if reading.quantity == quantity]
    assert found
    for reading in found[:TRIED]:
        _check_that_it_cures(reading)


def _check_that_it_cures(reading: Reading) -> None:
    cure = reading.cure
    assert cure is not None
    assert cure.amount is not None
    assert cure.dimension is not None
    assert cure.change is None or cure.amount == abs(cure.change)
    build = read_build(read_file(EXAMPLES / FAULTY).data)

    # One change may be of both sides, which it all puts right.
    asked = {(each.subject, each.of) for each in cures() if (each.quantity, each.cure) == (reading.quantity, cure)}

    def verdicts_after(amount: float) -> set[Verdict]:
        changed = Job(build).changed_by(by_amount(cure, amount)).build
        after = inspect(changed, [RULES[reading.rule]], changes=False).readings
        return {
            each.verdict for each in after if each.quantity == reading.quantity and (each.subject, each.of) in asked
        }

    assert verdicts_after(cure.amount) == {Verdict.OK}
    if reading.quantity not in ("preload", "least-preload"):
        # Lengths of weld are given in quarters of an inch, and legs in sixteenths.
        common = {"throat-stress": 1 / 16, "base-metal": 1 / 16, "least-leg": 1 / 16}
        step = (
            common[reading.quantity] * 0.0254
            if reading.quantity in common
            else nearest(1e-9, cure.dimension, build.units, adds=True)[0][0]
        )
        assert verdicts_after(cure.amount - step) & {Verdict.WARNING, Verdict.ERROR}


# The way that the axle moves.

# Four links whose side views are all the same line of 36 in, splayed so that they hold the axle sideways. By symmetry
# the axle moves in the side view alone, and as in a parallelogram it does not turn.
PARALLEL = """\
format: 1
units: inch-pound
axle: {{position: front, centre: [0, 0, 16]}}
vehicle: {{tyre: {{static_radius: 16}}}}
links:
  lower:
    both: {{kind: two-point, frame: [{reach}, 14, {lower}], axle: [0, 20, 14]}}
  upper:
    both: {{kind: two-point, frame: [{reach}, 18, {upper}], axle: [0, 6, 22]}}
travel: {{bump: 4, droop: 4, articulation: 2}}
"""


# Where a link of 36 in comes level on its way, its reach is longest: 36 - sqrt(36^2 - 3^2) in more than at ride height.
LEVEL = 36 - math.sqrt(36**2 - 3**2)


@pytest.mark.parametrize(
    ("axle_end_above", "in_bump", "in_droop", "words"),
    [
        (-3, LEVEL, -0.561895063285044, "bump moves the axle forward"),
        (3, -0.561895063285044, LEVEL, "bump moves the axle rearward"),
        (0, None, None, "bump moves the axle rearward"),
    ],
)
def test_a_sloped_link_moves_the_axle_on_its_arc(
    axle_end_above: float, in_bump: float | None, in_droop: float | None, words: str
) -> None:
    """Closed form of a link of length L that swings in a plane, its axle end h above its frame end: raised by z, its
    reach grows by sqrt(L2 - (h + z)2) - sqrt(L2 - h2). The frame end lies behind the axle, so that is forward. The
    number is that form in fifty digits, for 36 in, 3 in and 4 in; a link that comes level on its way reaches farthest
    there.
    """
    if in_bump is None or in_droop is None:
        in_bump = in_droop = math.sqrt(36**2 - 4**2) - 36
    text = PARALLEL.format(
        reach=repr(-math.sqrt(36**2 - axle_end_above**2)), lower=14 - axle_end_above, upper=22 - axle_end_above
    )
    document = read_text(text, "parallel links")
    assert problems_in(document) == ()
    found = [r for r in inspect(read_build(document.data), [link_flatness]).readings if r.quantity == "fore-and-aft"]
    bump, droop = found
    assert bump.value == pytest.approx(in_bump * INCH, abs=1e-12)
    assert droop.value == pytest.approx(in_droop * INCH, abs=1e-12)
    assert bump.effect.startswith(words)
