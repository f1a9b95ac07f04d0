"""The smallest gaps of a build: what is a pair, where it stands, and how much a finer look would find."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import buildcheck.job.envelope as grid
from buildcheck.build import Build, Missing, Side, read_build
from buildcheck.clearance.nearest import nearest
from buildcheck.job import Job
from buildcheck.job.bodies import bodies_of
from buildcheck.job.envelope import LOCKS, envelope
from buildcheck.job.steered_parts import Turned
from buildcheck.spec.document import read_file
from buildcheck.testing import build_of, changed, sound_spec

EXAMPLES = Path(__file__).parents[2] / "examples"
ALL = ["tamarack/proposal", "three-link-metric", "four-link-rear"]
INCH = 0.0254


def example(name: str) -> Build:
    return read_build(read_file(EXAMPLES / f"{name}.buildcheck.yaml").data)


@pytest.mark.parametrize("name", ALL)
def test_every_gap_is_that_of_its_two_points(name: str) -> None:
    for gap in Job(example(name)).gaps.all:
        apart = np.linalg.norm(np.subtract(*gap.points))
        assert apart == pytest.approx(abs(gap.smallest.value), abs=1e-6)


@pytest.mark.parametrize("name", ALL)
def test_a_finer_look_finds_little_that_is_nearer(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times as many heights, rolls and places of the steering: no gap is less by more than 3 mm."""
    build = example(name)
    coarse = {(gap.first.name, gap.second.name): gap.smallest.value for gap in Job(build).gaps.all}
    monkeypatch.setattr(grid, "HEIGHTS", 17)
    monkeypatch.setattr(grid, "ROLLS", 17)
    moving = Job(build).moved(*envelope(build))
    bodies = bodies_of(build, moving, np.linspace(-1, 1, 17))
    solids = {name: body.solids for name, body in bodies.found.items()}
    less = [
        coarse[found.first, found.second] - found.gap
        for found in nearest(solids, list(coarse), beyond=0.1)
        if found.at is not None
    ]
    assert len(less) == len(coarse) > 5
    assert min(less) > -1e-9
    assert max(less) < 0.003


def test_what_is_joined_is_no_pair() -> None:
    pairs = Job(example("tamarack/proposal")).gaps.bodies.pairs()
    joined = {
        ("axle", "left arm"), ("axle", "lateral bar"), ("axle", "driveshaft"), ("axle", "left coilover"),
        ("axle", "left bump stop"), ("left tyre", "axle"), ("left tyre", "tie rod"), ("right tyre", "drag link"),
        ("left arm", "left bump stop"), ("vehicle.obstacles.oil_pan", "vehicle.obstacles.crossmember"),
    }  # fmt: skip
    assert not joined & {tuple(sorted(pair)) for pair in pairs} | joined & set(pairs)
    for pair in (
        ("left tyre", "drag link"),
        ("axle", "tie rod"),
        ("lateral bar", "drag link"),
        ("left tyre", "left arm"),
    ):
        assert pair in pairs


def test_a_coilover_of_no_length_divides_by_nothing() -> None:
    """Both eyes in one place at ride height, and apart elsewhere: its gaps are numbers, without a warning."""
    one_place = {"coilovers.coilover.both.frame": [-108, 24, 18.5], "coilovers.coilover.both.axle": [-108, 24, 18.5]}
    gaps = Job(build_of(changed(sound_spec("four-link-rear.buildcheck.yaml"), one_place))).gaps.all
    found = [gap.smallest.value for gap in gaps if "left coilover" in (gap.first.name, gap.second.name)]
    assert len(found) == 3
    assert np.isfinite(found).all()


def test_the_knuckle_of_the_inner_wheel_is_at_its_lock() -> None:
    """The wheel's axis of spin, as the knuckle turns it at ride height: its trace on the floor is the steer."""
    build = example("tamarack/proposal")
    moving = Job(build).moved(np.zeros(1), np.zeros(1))
    turned = Turned(build, moving, np.array(LOCKS))
    for side, column, sign in ((Side.LEFT, 4, 1.0), (Side.RIGHT, 0, -1.0)):
        x, y, _ = turned.direction(np.array([0.0, 1.0, 0.0]), side)[:, 0, column]
        assert np.arctan2(-x, y) == pytest.approx(sign * build.steering.lock_angle, abs=1e-12)


@pytest.mark.parametrize("name", ALL[:2])
def test_drag_link_and_tie_rod_keep_their_lengths(name: str) -> None:
    build = example(name)
    turned = Turned(build, Job(build).moving_about, np.array(LOCKS))
    steering = build.steering
    link = np.linalg.norm(turned.arm_end - turned.pitman_end, axis=0)
    rod = turned.point(steering.tie_rod.left, Side.LEFT) - turned.point(steering.tie_rod.right, Side.RIGHT)
    drawn = np.linalg.norm(np.subtract(steering.drag_link.arm, steering.drag_link.pitman))
    np.testing.assert_allclose(link, drawn, rtol=0, atol=1e-12)
    across = np.linalg.norm(np.subtract(steering.tie_rod.left, steering.tie_rod.right))
    np.testing.assert_allclose(np.linalg.norm(rod, axis=0), across, rtol=0, atol=1e-12)
    pivot, shaft = np.array(steering.pitman_arm.pivot), np.array(steering.pitman_arm.axis)
    shaft = shaft / np.linalg.norm(shaft)
    swept = turned.pitman_end - pivot[:, None, None]
    height = np.einsum("i,ijk->jk", shaft, swept)
    np.testing.assert_allclose(height, shaft @ (np.array(steering.drag_link.pitman) - pivot), rtol=0, atol=1e-12)


def test_the_envelope_holds_the_ends_of_travel_and_articulation_and_ends_at_the_stops() -> None:
    build = example("tamarack/proposal")
    heave, roll = envelope(build)
    poses = {(round(h / INCH, 9), round(float(np.degrees(r)), 9)) for h, r in zip(heave, roll, strict=True)}
    assert {(5.0, 0.0), (-6.0, 0.0)} <= poses
    stop, strap = 16.5 * INCH, 15.25 * INCH
    assert heave.max() == pytest.approx(5 * INCH)
    assert np.max(heave + stop * np.abs(np.sin(roll))) == pytest.approx(5 * INCH)
    assert np.min(heave - strap * np.abs(np.sin(roll))) == pytest.approx(-6 * INCH)
    assert np.max(np.abs(roll)) == pytest.approx(np.radians(12))


def test_without_stops_and_straps_nothing_but_the_stated_travel_ends_it() -> None:
    build = example("tamarack/proposal")
    kept = {key: value for key, value in build.given().items() if key not in ("bump_stops", "limit_straps")}
    heave, roll = envelope(Build("", "", Side.CENTRE, kept))
    rolled = np.abs(roll) > 0.2
    assert (heave[rolled].min(), heave[rolled].max()) == pytest.approx((-6 * INCH, 5 * INCH))


def test_a_body_that_cannot_be_made_says_why() -> None:
    gaps = Job(example("tamarack/proposal-with-faults")).gaps
    assert gaps.bodies.lacking == {}
    build = example("minimal")
    with pytest.raises(Missing, match=r"travel"):
        _ = Job(build).gaps
