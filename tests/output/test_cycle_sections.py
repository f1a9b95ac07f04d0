"""What a cycle tells beside its table, in words and as data."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from buildcheck.build import Build, read_build
from buildcheck.job.cycle import cycle
from buildcheck.output import cycle_json
from buildcheck.output.cycle_sections import at_full_lock, ends_of_travel, smallest_gaps
from buildcheck.output.cycle_text import sheet
from buildcheck.output.outcome import Cycled
from buildcheck.spec.document import Document, read_file

EXAMPLES = Path(__file__).parents[2] / "examples"


def read(name: str) -> tuple[Document, Build]:
    document = read_file(EXAMPLES / f"{name}.buildcheck.yaml")
    return document, read_build(document.data)


def cycled(name: str = "tamarack/proposal", without: str = "") -> Cycled:
    document, _ = read(name)
    data = document.data
    if without:
        *steps, last = without.split(".")
        held = data
        for step in steps:
            held = held[step]
        del held[last]
    build = read_build(data)
    return Cycled("a spec", document, build, cycle(build, steps=1))


def test_full_lock_is_given_for_each_side() -> None:
    spec = cycled()
    left, right = at_full_lock(spec)
    assert left.startswith("to the left: left wheel 25.50 deg, right wheel ")
    assert right.startswith("to the right: right wheel 25.50 deg, left wheel ")
    found = spec.cycle.locks[0].found
    assert found is not None
    circles = [f"{2 * radius / 0.0254:.3f} in" for radius in (found.radius, found.by_inner, found.by_outer)]
    assert (
        f"turning circle {circles[0]} across the middle of the outer front tyre, {circles[1]} by the inner wheel "
        f"alone, {circles[2]} by the outer one; "
    ) in left
    assert f"{np.degrees(found.drag_link):.2f} deg from the drag link's dead point" in left


def test_the_end_of_travel_is_given_each_way_with_the_next_limit() -> None:
    bump, droop, left, right = ends_of_travel(cycled())
    assert bump.startswith("straight bump, 5.000 in stated: the left bump stop is crushed at ")
    assert droop.startswith("straight droop, 6.000 in stated: the left limit strap is stretched to its end at ")
    for line, first in ((left, "the left arm's frame joint binds"), (right, "the right arm's frame joint binds")):
        assert f"12.00 deg stated: {first} at " in line
        assert ", then " in line


def test_wheels_that_roll_about_one_point_have_one_circle_and_wheels_without_a_turn_none() -> None:
    spec = cycled()
    lock = spec.cycle.locks[0]
    assert lock.found is not None
    agreed = lock.found._replace(by_inner=lock.found.radius, by_outer=lock.found.radius)
    none = lock.found._replace(radius=math.nan, by_inner=math.nan, by_outer=math.nan)
    one, no = at_full_lock(
        replace(spec, cycle=spec.cycle._replace(locks=(lock._replace(found=agreed), lock._replace(found=none))))
    )
    assert "across the middle of the outer front tyre; " in one
    assert "; no turning circle; " in no


def test_the_search_range_is_given_whether_or_not_travel_ends() -> None:
    spec = cycled()
    limits = spec.cycle.limits
    assert limits is not None
    bump, droop, left, _ = limits.ways
    assert bump.looked == pytest.approx(8 * 0.0254)
    changed = (
        bump._replace(ends=()),
        droop._replace(ends=(droop.ends[0]._replace(at=0.0),)),
        left._replace(ends=(left.ends[0]._replace(at=0.0), left.ends[1])),
    )
    told = list(ends_of_travel(replace(spec, cycle=spec.cycle._replace(limits=limits._replace(ways=changed)))))
    assert told[0] == ("straight bump, 5.000 in stated: nothing in the spec ends it; looked as far as 8.000 in")
    assert told[1] == (
        "straight droop, 6.000 in stated: the left limit strap is stretched to its end already at ride height; "
        "looked as far as 9.600 in"
    )
    assert ": the left arm's frame joint binds already level at mid-travel, then " in told[2]
    assert told[2].endswith("; looked as far as 19.20 deg")


def test_the_pair_of_a_stop_is_no_second_end_when_it_comes_at_the_same_place() -> None:
    """In the four-link both stops are crushed together; the coilovers come next."""
    bump, *_ = ends_of_travel(cycled("four-link-rear"))
    assert "the left bump stop is crushed" in bump
    assert ", then the left coilover bottoms" in bump


def test_each_part_has_its_smallest_gap_with_its_pose_lock_and_place() -> None:
    spec = cycled()
    told = list(smallest_gaps(spec))
    assert len(told) == len(spec.cycle.gaps) == len({gap.first.name for gap in spec.cycle.gaps})
    sizes = [float(gap) for gap, *_ in told]
    assert sizes == sorted(sizes)
    ((gap, where),) = [(gap, where) for gap, pair, where in told if pair == "left tyre to left arm"]
    smallest = next(each.smallest for each in spec.cycle.gaps if each.first.label == "left tyre")
    assert float(gap) == pytest.approx(smallest.value / 0.0254, abs=0.0005)
    assert ", at full lock to the left, at [" in where
    assert where.endswith("] in")


def test_what_could_not_be_looked_at_is_said() -> None:
    spec = cycled(without="driveshaft.tube")
    (line,) = [line for line in ends_of_travel(spec) if line.startswith("not looked at")]
    assert line.startswith("not looked at: driveshaft.tube is not in the spec; it goes under a spec:")


@pytest.mark.parametrize(
    ("without", "names"),
    [("steering.pitman_arm", ["full lock"]), ("travel.articulation", ["smallest gaps"])],
)
def test_a_section_not_computed_is_absent_with_its_reason(without: str, names: list[str]) -> None:
    absent = [each for each in cycled(without=without).cycle.absent if each.missing == without]
    assert [each.name for each in absent] == names


def test_a_rear_axle_that_nothing_steers_has_no_lock() -> None:
    spec = cycled("four-link-rear")
    assert spec.cycle.locks == ()
    assert "full lock" not in [each.name for each in spec.cycle.absent]


def test_the_sheet_has_the_sections_and_the_data_the_same_numbers() -> None:
    spec = cycled()
    text = sheet(spec)
    told = json.loads(cycle_json.sheet(spec, "0"))
    for heading in ("AT FULL LOCK", "WHAT ENDS THE TRAVEL", "SMALLEST GAPS"):
        assert f"\n{heading}\n" in text
    assert [lock["side"] for lock in told["full_lock"]] == ["left", "right"]
    circle = told["full_lock"][0]
    for key in ("turning_circle", "turning_circle_by_inner", "turning_circle_by_outer"):
        assert circle[key]["shown"] in text
    for way in told["travel_limits"]["ways"]:
        assert f"; looked as far as {way['looked']['shown']}\n" in text
    first = told["travel_limits"]["ways"][0]["ends"][0]
    assert f"{first['what']} at {first['at']['shown']}" in text
    assert told["travel_limits"]["missing"] == told["travel_limits"]["unknown"] == []
    for gap in told["smallest_gaps"]:
        amount = gap["gap"]["shown"].split()[0]
        assert re.search(rf" {re.escape(amount)}  {gap['first']} to {gap['second']}  ", text)
        assert len(gap["point"]) == 3


def test_chosen_quantities_come_without_the_sections() -> None:
    spec = cycled()
    chosen = spec.cycle.only({"caster"})
    assert (chosen.locks, chosen.limits, chosen.gaps) == ((), None, ())


def test_a_smallest_gap_says_which_poses_it_is_without() -> None:
    document = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml")
    build = read_build(document.data).with_value("travel.droop", 0.42)
    spec = Cycled("a spec", document, build, cycle(build, steps=1))
    [bar] = [where for _, pair, where in smallest_gaps(spec) if pair == "lateral bar to drag link"]
    missing = "15 of 130 poses of the axle and the wheels are missing: the links or the steering do not reach there"
    assert bar.endswith(f"; {missing}")
    told = json.loads(cycle_json.sheet(spec, "1"))
    assert missing in {gap["without"] for gap in told["smallest_gaps"]}
    assert all("missing" not in where for _, _, where in smallest_gaps(cycled()))
