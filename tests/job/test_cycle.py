"""The cycle: what it reads off is what the job and the rules read, whichever way the build is written or stepped."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from buildcheck.build import Build, Missing, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.rule import Reading
from buildcheck.job import Job, Unreached
from buildcheck.job.cycle import Cycle, cycle
from buildcheck.job.quantities import quantities
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file
from buildcheck.testing.rewritten import OTHER, mirror_image, sides_written_out

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
MOVING = [
    path for path in sorted(EXAMPLES.rglob("*.buildcheck.yaml")) if "travel" in read_file(path).data
]  # fmt: skip
DEGREE = math.pi / 180


def build_of(path: Path) -> Build:
    return read_build(read_file(path).data)


def values(found: Cycle) -> dict[str, list[float]]:
    return {column.quantity.name: column.values.tolist() for column in found.columns}


def test_the_heights_are_even_steps_from_full_droop_through_ride_height_to_full_bump() -> None:
    found = cycle(build_of(TAMARACK), steps=2)
    assert found.heave.tolist() == pytest.approx([inches * 0.0254 for inches in (-6, -3, 0, 2.5, 5)], abs=1e-15)
    assert [pose.name for pose in found.poses] == ["full droop", "", "ride height", "", "full bump"]
    assert found.reached.all()
    assert found.unbroken


@pytest.mark.parametrize("path", MOVING, ids=lambda path: path.stem)
def test_every_quantity_is_given_or_listed_as_absent(path: Path) -> None:
    found = cycle(build_of(path), steps=1)
    told = [column.quantity.name for column in found.columns]
    lacking = [absent.name for absent in found.absent]
    assert sorted(told + lacking) == sorted(quantity.name for quantity in quantities(build_of(path)))
    assert len(told) > len(lacking)


def test_the_row_at_ride_height_is_what_the_job_reads_there() -> None:
    build = build_of(TAMARACK)
    job, ride = Job(build), cycle(build, steps=3)
    row = {name: column[3] for name, column in values(ride).items()}
    assert row["caster"] == pytest.approx(build.axle.caster - job.moved(np.zeros(1), np.zeros(1)).pitch[0], abs=1e-12)
    assert row["axle-yaw"] == pytest.approx(job.axle_yaw(job.lines.travel).ride.value, abs=1e-12)
    assert row["steer"] == pytest.approx(job.steer(job.lines.travel).ride.value, abs=1e-12)
    assert row["driveshaft-length"] == pytest.approx(job.driveshaft_length(job.lines.travel).ride.value, abs=1e-12)
    for each in build.coilovers["coilover"]:
        name = f"{each.side}-coilover-length"
        assert row[name] == pytest.approx(job.length(each, job.lines.travel).ride.value, abs=1e-12)
    # Eyes at ride height by Pythagoras from the spec's points, in inches: 1, 2.5 and 27.6 apart.
    assert row["left-coilover-length"] / 0.0254 == pytest.approx(math.hypot(1.0, 2.5, 27.6), abs=1e-9)
    assert row["caster"] / DEGREE == pytest.approx(6.0, abs=1e-9)


def reading_of(readings: tuple[Reading, ...], subject: str, quantity: str) -> Reading:
    found = [each for each in readings if (each.subject, each.quantity) == (subject, quantity)]
    return found[0]


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("example", ["tamarack/proposal", "three-link-metric"])
def test_inspect_values_of_strap_and_stop_are_on_the_curves(example: str, side: str) -> None:
    # Droop enough that both straps come tight on the way, and so little articulation that nothing is worst there.
    build = build_of(EXAMPLES / f"{example}.buildcheck.yaml").with_value("travel.droop", 0.18)
    build = build.with_value("travel.articulation", 0.005)
    found = cycle(build, steps=100)
    curves = values(found)
    rules = [rule for rule in collect().rules if rule.name in ("limit-strap-length", "bump-stop-engagement")]
    readings = inspect(build, rules).readings
    stretch = build.value(f"limit_straps.strap.{side}.stretch")
    # The strap ends the droop when it is stretched as far as it goes, the stop begins to work when its gap is gone.
    for quantity, subject, curve, level in (
        ("droop-lost", f"{side} limit strap", f"{side}-limit-strap-slack", -stretch),
        ("share-of-travel", f"{side} bump stop", f"{side}-bump-stop-gap", 0.0),
    ):
        pose = reading_of(readings, subject, quantity).pose
        assert pose is not None
        assert float(np.interp(pose.heave, found.heave, curves[curve])) == pytest.approx(level, abs=5e-6)
    straps = tuple(reading for reading in readings if reading.rule == "limit-strap-length")
    for quantity, subject, curve in (
        ("coilover-left", f"{side} coilover", f"{side}-coilover-droop-to-spare"),
        ("brake-line-slack", f"{side} brake line", f"{side}-brake-line-slack"),
    ):
        tight = reading_of(straps, subject, quantity)
        assert tight.pose is not None
        assert tight.pose.roll == 0.0
        assert float(np.interp(tight.pose.heave, found.heave, curves[curve])) == pytest.approx(tight.value, abs=5e-6)


@pytest.mark.parametrize("path", MOVING, ids=lambda path: path.stem)
def test_the_mirror_image_rolled_the_other_way_reads_the_same_on_the_other_side(path: Path) -> None:
    spec = sides_written_out(read_file(path).data)
    one = values(cycle(read_build(spec), steps=3, roll=4 * DEGREE, lock=10 * DEGREE))
    image = values(cycle(read_build(mirror_image(spec)), steps=3, roll=-4 * DEGREE, lock=-10 * DEGREE))
    odd = {"axle-left", "axle-yaw", "steer", "other-wheel-steer", "roll-steer"}
    compared = 0
    for name, column in one.items():
        side, dash, rest = name.partition("-")
        other = np.array(image[f"{OTHER[side]}{dash}{rest}" if side in OTHER else name])
        # Roll is positive the other way too, so what is odd for each unit of roll keeps its sign.
        sign = -1 if name in odd - {"roll-steer"} else 1
        np.testing.assert_allclose(sign * other, column, rtol=1e-7, atol=1e-8, err_msg=name)
        compared += 1
    assert compared == len(image) > 10


def test_more_steps_give_the_same_at_the_heights_in_common() -> None:
    build = build_of(TAMARACK)
    coarse, fine = (values(cycle(build, steps=steps, roll=5 * DEGREE)) for steps in (3, 12))
    assert coarse.keys() == fine.keys()
    for name, column in coarse.items():
        np.testing.assert_allclose(fine[name][::4], column, rtol=1e-9, atol=1e-9, err_msg=name)


def test_what_the_axle_cannot_reach_is_no_number() -> None:
    found = cycle(build_of(TAMARACK).with_value("travel.bump", 40 * 0.0254))
    assert found.reached.tolist() == [True] * 9 + [False] * 2
    assert not found.unbroken
    for column in found.columns:
        assert not np.isfinite(column.values[9:]).any(), column.quantity.name


def test_a_wheel_that_the_drag_link_cannot_steer_has_no_steer_and_breaks_the_cycle() -> None:
    """At 46 deg to the left the drag link stands so near its dead point that from some way down it does not reach."""
    found = cycle(build_of(TAMARACK), lock=46 * DEGREE).only({"steer"})
    (steer,) = found.columns
    assert found.without_value(steer).tolist() == [True] * 3 + [False] * 8
    assert not found.unbroken
    assert steer.spread == float(steer.values[3:].max() - steer.values[3:].min())


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_lock_is_that_of_the_inner_wheel_and_the_sheet_says_the_same_of_full_lock(side: str) -> None:
    build = build_of(TAMARACK)
    stated = build.steering.lock_angle
    found = cycle(build, steps=1, lock=stated if side == "left" else -stated)
    near, far = (abs(values(found)[name][1]) for name in ("steer", "other-wheel-steer"))
    assert build.steering.drag_link.knuckle == "right"
    inner, outer = (far, near) if side == "left" else (near, far)
    (at_lock,) = (lock.found for lock in found.locks if lock.side == side)
    assert at_lock is not None
    assert inner == pytest.approx(stated, abs=1e-12)
    assert (at_lock.inner, at_lock.outer) == pytest.approx((inner, outer), abs=1e-12)
    assert outer < inner - 0.5 * DEGREE


def test_it_says_how_far_it_has_come_after_each_quantity() -> None:
    calls: list[None] = []
    cycle(build_of(TAMARACK), steps=1, after_each=lambda: calls.append(None))
    assert len(calls) == len(list(quantities(build_of(TAMARACK))))


def test_what_it_cannot_begin_without() -> None:
    with pytest.raises(ValueError, match="at least one step"):
        cycle(build_of(TAMARACK), steps=0)
    with pytest.raises(Missing, match="the spec lacks travel"):
        cycle(build_of(EXAMPLES / "minimal.buildcheck.yaml"))
    data = {key: value for key, value in read_file(TAMARACK).data.items() if key != "lateral_bar"}
    with pytest.raises(Unreached, match="the axle can move sideways"):
        cycle(read_build({**data, "links": {"arm": {"left": data["links"]["arm"]["both"]}}}))


@pytest.mark.parametrize("lock", [70, -70])
def test_a_lock_beyond_the_dead_point_is_not_come_to(lock: int) -> None:
    """The drag link stands 31 deg short of its dead point at 26 deg: no pitman arm turns the knuckle by 70."""
    side = "left" if lock > 0 else "right"
    with pytest.raises(Unreached, match=f"do not reach that lock to the {side}: the drag link reaches its dead point"):
        cycle(build_of(TAMARACK), steps=1, lock=lock * DEGREE)
