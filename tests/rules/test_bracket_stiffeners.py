"""A build that just passes and one that just fails at each limit of bracket-stiffeners."""

import math
from unittest.mock import patch

import numpy as np
import pytest
from buildcheck_rules.bracket_stiffeners import rule as bracket_stiffeners
from edges import (
    INCH,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Job
from buildcheck.spec.written import REMOVED
from buildcheck.strength.sections import column_capacity, round_tube

BAR = "attachments.lateral_bar_frame_bracket.left"
KSI = 6894757.293168361
BRACKET = "left lateral bar frame bracket"
BOLT = {
    "size": "3/4-10", "grade": "sae-8", "proof_strength": "120 ksi", "grip": "1 1/2 in", "shear_planes": 2,
    "threads_in_shear_plane": False, "torque": "100 lb-ft", "thread_condition": "plated",
    "locked_by": "all-metal-lock-nut",
}  # fmt: skip
BOLTED = {f"{BAR}.brace.ends": "bolted", f"{BAR}.brace.bolt": BOLT}
UNBRACED = {f"{BAR}.brace": REMOVED}


def across(limit: str, key: str, good: float, bad: float) -> list[Edge]:
    """Edges of the gussets, on a bracket that its bolt goes through across the truck, without its brace."""
    base = {
        **UNBRACED,
        "lateral_bar.joints.frame.axis": [0, 1, 0],
        f"{BAR}.gussets.width": 4,
        f"{BAR}.gussets.weld_leg": 0.5,
    }
    ends = {"warn_above": (good * INCH, bad * INCH), "fail_above": (good * INCH, bad * INCH)}
    return edges(limit, BRACKET, f"{BAR}.gussets.{key}", f"{BAR}.gussets.{key}", base=base, **ends)


def brace(limit: str, place: str, key: str, good: float, bad: float) -> list[Edge]:
    ends = {"warn_above": (good * INCH, bad * INCH), "fail_above": (good * INCH, bad * INCH)}
    return edges(
        limit, BRACKET, f"{BAR}.brace.{place}", f"{BAR}.brace.{key}", base={f"{BAR}.design_load": "9000 lbf"}, **ends
    )


EDGES = [
    *across("gusset", "width", 8, 0.5),
    *across("gusset-weld", "weld_leg", 1.5, 0.05),
    *edges(
        "gusset-slenderness",
        BRACKET,
        f"{BAR}.gussets.thickness",
        f"{BAR}.gussets.thickness",
        warn_above=(0.25 * INCH, 0.03 * INCH),
    ),
    *brace("brace-stress", "tube", "tube.outside_diameter", 1.5, 0.51),
    *brace("brace-buckling", "tube.outside_diameter", "tube.outside_diameter", 2.5, 0.51),
    *brace("brace-weld", "weld_leg", "weld_leg", 0.5, 0.05),
    *edges(
        "brace-bolt",
        BRACKET,
        f"{BAR}.brace.bolt",
        f"{BAR}.brace.bolt.proof_strength",
        base={**BOLTED, f"{BAR}.design_load": "9000 lbf"},
        warn_above=(900e6, 100e6),
        fail_above=(900e6, 100e6),
    ),
    *edges(
        "brace-off-axle",
        "right lateral bar axle bracket",
        "attachments.lateral_bar_axle_bracket.right.brace.far_end",
        "attachments.lateral_bar_axle_bracket.right.brace.far_end.x",
        warn_above=(4.3 * INCH, 7.3 * INCH),
        fail_above=(7.3 * INCH, 12 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(bracket_stiffeners, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(bracket_stiffeners, EDGES, [])


def found(changes: dict[str, object], quantity: str) -> Reading:
    readings = all_readings(bracket_stiffeners, read_build(with_data(example_data(), changes)))
    of_it = [each for each in readings if each.subject == BRACKET]
    named = [each for each in of_it if each.quantity == quantity or quantity in each.unchecked]
    return next(iter(named or of_it))


@pytest.mark.parametrize(
    ("quantity", "lost"),
    [
        ("gusset", "gussets.width"),
        ("gusset", "gussets.thickness"),
        ("gusset", "gussets.count"),
        ("gusset-weld", "gussets.weld_leg"),
        ("gusset-slenderness", "gussets.kind"),
        ("brace-stress", "brace.far_end"),
        ("brace-stress", "brace.tube.wall"),
        ("brace-weld", "brace.ends"),
        ("brace-weld", "brace.weld_leg"),
        ("brace-weld", "brace.far_material"),
        ("brace-buckling", "height"),
    ],
)
def test_what_is_not_stated_is_named(quantity: str, lost: str) -> None:
    reading = found({f"{BAR}.{lost}": REMOVED}, quantity)
    assert (reading.verdict, reading.missing[0]) == (Verdict.NOT_CHECKED, f"{BAR}.{lost}")


@pytest.mark.parametrize("metal", ["ductile-iron", "alloy-steel", "cast-steel"])
@pytest.mark.parametrize("member", ["brace.far_material", "bracket_material"])
def test_a_weld_to_other_than_carbon_steel_is_left_to_someone_qualified(member: str, metal: str) -> None:
    reading = found({f"{BAR}.{member}": metal}, "brace-weld")
    assert reading.verdict is Verdict.NOT_CHECKED
    assert "someone qualified" in reading.reason


def test_a_bolt_in_single_shear_is_bent_too_and_its_grip_is_asked_for() -> None:
    thick = {**BOLTED, f"{BAR}.brace.bolt.size": "1-8"}
    in_one_ear = {**thick, f"{BAR}.brace.bolt.shear_planes": 1}
    reading = found({**in_one_ear, f"{BAR}.brace.bolt.grip": REMOVED}, "brace-bolt")
    assert reading.without == (f"the spec lacks {BAR}.brace.bolt.grip",)
    assert (found(in_one_ear, "brace-bolt").value or 0.0) > 1.5 * (found(thick, "brace-bolt").value or 0.0)


def test_a_brace_through_its_own_foot_holds_nothing() -> None:
    along = {f"{BAR}.brace.bracket_end": [5.5, 16.5, 24], f"{BAR}.brace.far_end": [5.5, 16.5, 30.5]}
    reading = found(along, "brace-stress")
    assert reading.verdict is Verdict.NOT_CHECKED
    assert "no lever" in reading.reason


def test_the_force_of_a_brace_is_that_of_hand_work() -> None:
    """6000 lbf along the bar, 7 3/4 in below the foot. The brace meets the bracket 5 in below it and 1 in inside,
    and rises 5 1/2 in on 29 in: its lever about the foot is that of the cross product, by hand."""
    reading = found({}, "brace-stress")
    bar = math.hypot(33.0, 2.85)
    sideways = 6000 * 33.0 / bar
    length = math.hypot(29.0, 5.5)
    lever = (5.0 * 29.0 + 1.0 * 5.5) / length
    area = math.pi / 4 * (1.5**2 - 1.0**2)
    assert reading.value == pytest.approx(sideways * 7.75 / lever / area / 60000, rel=0.01)


def test_only_a_push_buckles_a_brace() -> None:
    """By the column formula for the largest push; where all that pushes pulls as much, there is nothing left."""
    job = Job(read_build(with_data(example_data(), {f"{BAR}.design_load": 0})))
    bracket = job.build.attachments["lateral_bar_frame_bracket"].left
    foot = job.loads.on_foot(bracket, bracket.normal)
    assert foot.brace is not None
    tube, length = round_tube(1.5 * INCH, 0.25 * INCH), math.hypot(29.0, 5.5) * INCH
    braced = job.stiffeners_of(bracket)
    share = -float(foot.brace.min()) / column_capacity(tube, length, 60 * KSI)
    assert braced.brace_buckling().value == pytest.approx(share, rel=1e-6)
    pulled = foot._replace(brace=np.abs(foot.brace))
    with patch.object(braced, "_foot", return_value=pulled):
        assert braced.brace_buckling().value == 0.0
        assert braced.brace_stress().value > 0.01


def test_gussets_take_the_whole_moment_across_the_plates() -> None:
    """20 000 lbf along the bar, 7 3/4 in below the rail, across the flat of the plates: two gussets of 1/4 in by
    1 1/2 in bend to 6 M / (n t w^2)."""
    reading = found(
        {**UNBRACED, "lateral_bar.joints.frame.axis": [0, 1, 0], f"{BAR}.design_load": "20000 lbf"}, "gusset"
    )
    moment = 20000 * 33.0 / math.hypot(33.0, 2.85) * 7.75
    assert reading.value == pytest.approx(6 * moment / (2 * 0.25 * 1.5**2) / 36000, rel=0.03)
