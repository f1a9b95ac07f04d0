"""What the bind of a rolled axle puts on the joints of radius arms, against arms that are bodies of their own.

Each arm is a rigid body with six unknowns on three joints that give alike in every direction; axle and arms stand where
the elastic energy of all joints is least, found by scipy in all unknowns at once. The tool has that energy of an arm in
closed form. Where the axle joints lie along the arm, bodies give in the arm's plane alone.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from buildcheck.axle.handling import slopes_over
from buildcheck.build import Build, Point, read_build
from buildcheck.job import Job
from buildcheck.spec.document import read_file

Array = NDArray[np.float64]
EXAMPLE = Path(__file__).parents[2] / "examples" / "tamarack" / "proposal.buildcheck.yaml"
JOINTS = ("frame", "axle_upper", "axle_lower")


def build_with(arms: dict[str, tuple[float, ...]], stiffness: tuple[float, ...]) -> Build:
    """The example with other points (m) and joint stiffness (N/m) of both of its arms, mirror images."""
    build = read_build(read_file(EXAMPLE).data)
    for name, point in arms.items():
        build = build.with_value(f"links.arm.both.{name}", Point(*map(float, point)))
    for name, rate in zip(JOINTS, stiffness, strict=True):
        build = build.with_value(f"links.arm.both.joints.{name}.radial_stiffness", float(rate))
    return build


def bodies(build: Build, roll: float, *, planar: bool) -> tuple[dict[tuple[str, str], float], float]:
    """Size of the force on each joint of the arms, N, and of that in the lateral bar, of an axle rolled by `roll`."""
    forces, bar, _ = solved(build, roll, planar=planar)
    return forces, bar


def solved(
    build: Build, roll: float, heave: float = 0.0, *, planar: bool = False
) -> tuple[dict[tuple[str, str], float], float, Array]:
    """The same, and x, y, pitch and yaw of the axle, also raised by `heave`."""
    centre, bar = np.array(build.axle.centre), build.lateral_bar
    arms = list(build.links["arm"])
    points = [np.array([getattr(arm, name) for name in JOINTS]) for arm in arms]
    rates = [np.array([getattr(arm.joints, name).radial_stiffness for name in JOINTS]) for arm in arms]
    ends = np.array([bar.frame, bar.axle])
    bar_rate = 1 / sum(1 / getattr(bar.joints, name).radial_stiffness for name in ("frame", "axle"))
    stiffest = max(bar_rate, *(each.max() for each in rates))

    def strains(unknown: Array) -> tuple[list[Array], float]:
        """How far apart the two sides of each arm's joints are, (3 joints, 3) m; by how much the bar is longer."""
        x, y, pitch, yaw = unknown[:4]
        axle, shifted = Rotation.from_euler("ZYX", [yaw, pitch, roll]), centre + np.array([x, y, heave])
        found = []
        for number, each in enumerate(points):
            own = unknown[4 + 6 * number : 10 + 6 * number]
            turn = Rotation.from_rotvec(own[3:])
            there = each[0] + own[:3] + turn.apply(each - each[0])
            held = np.vstack([each[:1], shifted + axle.apply(each[1:] - centre)])
            found.append((there - held) * ([1.0, 0.0, 1.0] if planar else 1.0))
        end = shifted + axle.apply(ends[1] - centre)
        return found, float(np.linalg.norm(end - ends[0]) - np.linalg.norm(ends[1] - ends[0]))

    def energy(unknown: Array) -> Array:
        arm_strains, bar_strain = strains(unknown)
        weighted = [np.sqrt(rate[:, None] / stiffest) * each for rate, each in zip(rates, arm_strains, strict=True)]
        loose: list[Array] = [] if not planar else [1e-3 * unknown[[5, 7, 9, 11, 13, 15]]]  # what the plane leaves free
        return np.concatenate(
            [*(each.ravel() for each in weighted), [np.sqrt(bar_rate / stiffest) * bar_strain], *loose]
        )

    found = least_squares(energy, np.zeros(16), jac="3-point", method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    arm_strains, bar_strain = strains(found)
    forces = {
        (arm.label, name): float(rate * np.linalg.norm(strain))
        for arm, own_rates, own in zip(arms, rates, arm_strains, strict=True)
        for name, rate, strain in zip(JOINTS, own_rates, own, strict=True)
    }
    return forces, bar_rate * bar_strain, found[:4]


def held_to(build: Build, roll: float, *, planar: bool, near: float) -> None:
    wanted, in_bar = bodies(build, roll, planar=planar)
    handling = Job(build).moved(np.zeros(1), np.array([roll])).handling
    scale = max(wanted.values())
    assert scale > 1.0
    for arm in build.links["arm"]:
        for name in JOINTS:
            assert handling.bind_at(arm, name)[0] == pytest.approx(wanted[arm.label, name], abs=near * scale)
            rate = getattr(arm.joints, name).radial_stiffness
            assert handling.give_at(arm, name)[0] == pytest.approx(handling.bind_at(arm, name)[0] / rate)
    assert handling.bind_of(build.lateral_bar)[0] == pytest.approx(abs(in_bar), abs=near * scale)


@pytest.mark.parametrize("seed", range(20))
def test_bind_at_the_joints_of_arms_at_a_small_roll(seed: int) -> None:
    random = np.random.default_rng(seed)
    aside = lambda *point: np.array(point) + random.uniform(-0.03, 0.03, 3)  # noqa: E731
    arms = {
        "frame": aside(-0.94, 0.42, 0.50),
        "axle_upper": aside(0.05, 0.44, 0.50),
        "axle_lower": aside(-0.06, 0.44, 0.37),
    }
    build = build_with({name: tuple(point) for name, point in arms.items()}, tuple(10.0 ** random.uniform(5.7, 7.5, 3)))
    held_to(build, random.choice([-1.0, 1.0]) * 2e-4, planar=False, near=2e-3)


@pytest.mark.parametrize("lift", [0.0, 1e-9, 0.001, 0.01])
@pytest.mark.parametrize("seed", range(5))
def test_bind_with_one_bushing_ahead_of_the_tube_and_one_behind(seed: int, lift: float) -> None:
    random = np.random.default_rng(seed)
    frame, upper = np.array([-0.94, 0.44, 0.50]), np.array([0.08, 0.44, 0.43])
    lower = upper - random.uniform(0.13, 0.2) * (upper - frame) - [0.0, 0.0, lift]
    arms = {"frame": tuple(frame), "axle_upper": tuple(upper), "axle_lower": tuple(lower)}
    build = build_with(arms, tuple(10.0 ** random.uniform(5.7, 7.5, 3)))
    held_to(build, random.choice([-1.0, 1.0]) * 2e-4, planar=True, near=2e-3)


@pytest.mark.parametrize("lift", [0.0, 0.01, 0.06])
def test_the_energy_of_the_joints_is_the_work_of_rolling_the_axle(lift: float) -> None:
    """What is stored in all joints, sum of F^2 / 2 k joint by joint, grows by the work of the moment that rolls the
    axle: roll times what the lines and the bar hold against it."""
    arms = {"frame": (-0.94, 0.42, 0.50), "axle_upper": (0.08, 0.44, 0.43 + lift), "axle_lower": (-0.08, 0.44, 0.43)}
    build = build_with(arms, (8e7, 2.5e6, 1.5e6))
    rolls = np.array([0.02, 0.0201, 0.0202])
    moving = Job(build).moved(np.zeros(3), rolls)
    stored = np.zeros(3)
    for part, names in (*((arm, JOINTS) for arm in build.links["arm"]), (build.lateral_bar, ("frame", "axle"))):
        for name in names:
            stored += moving.handling.bind_at(part, name) ** 2 / getattr(part.joints, name).radial_stiffness / 2
    linkage = moving.resting.linkage
    loads = linkage.layout.stiffness[:, None] * moving.poses.stretch
    # About the axle centre, which only moves sideways and forward with the axle; at the middle roll.
    centre = np.array(build.axle.centre) + np.array([moving.poses.x[1], moving.poses.y[1], 0.0])
    moment = 0.0
    for bar, load in zip(linkage.bars, loads[:, 1], strict=True):
        end = moving.point(bar.axle)[:, 1]
        line = np.array(bar.frame) - end
        turned = np.cross(end - centre, load * line / np.linalg.norm(line))
        pitch, yaw = moving.poses.pitch[1], moving.poses.yaw[1]
        moment -= turned @ [np.cos(pitch) * np.cos(yaw), np.cos(pitch) * np.sin(yaw), -np.sin(pitch)]
    assert (stored[2] - stored[0]) / (rolls[2] - rolls[0]) == pytest.approx(moment, rel=2e-3)


@pytest.mark.parametrize("roll", [-12.0, 6.0, 12.0])
@pytest.mark.parametrize("heave", [-0.10, 0.0, 0.08])
def test_the_axle_at_full_articulation(roll: float, heave: float) -> None:
    """The example, whose bushings then turn by five degrees: pose, bind of the bar and of each joint."""
    build, tilt = read_build(read_file(EXAMPLE).data), np.radians(roll)
    forces, bar, place = solved(build, tilt, heave)
    moving = Job(build).moved(np.array([heave]), np.array([tilt]))
    poses, handling = moving.poses, moving.handling
    found = [float(each[0]) for each in (poses.x, poses.y, poses.pitch, poses.yaw)]
    np.testing.assert_allclose(found, place, atol=2e-7)
    assert handling.bind_of(build.lateral_bar)[0] == pytest.approx(abs(bar), rel=1e-3, abs=1.0)
    for arm in build.links["arm"]:
        assert handling.bind_at(arm, "frame")[0] == pytest.approx(forces[arm.label, "frame"], rel=1e-4)
        for name in ("axle_upper", "axle_lower"):
            assert handling.bind_at(arm, name)[0] == pytest.approx(forces[arm.label, name], rel=1e-2)


@pytest.mark.parametrize("roll", [6.0, 12.0])
def test_the_side_view_in_roll(roll: float) -> None:
    """Forward motion of the axle centre and pitch per metre of heave, by differences of the full model."""
    build, tilt, step = read_build(read_file(EXAMPLE).data), np.radians(roll), 2e-3
    up, down = (solved(build, tilt, way * step)[2] for way in (1.0, -1.0))
    wanted = (up - down) / (2 * step)
    moving = Job(build).moved(np.zeros(1), np.array([tilt]))
    rates = slopes_over(moving.poses, moving.resting.rest.layout).heave
    found = [float(each[0]) for each in (rates.x, rates.y, rates.pitch, rates.yaw)]
    scale = np.abs(wanted).max()
    np.testing.assert_allclose(found, wanted, atol=1e-3 * scale)
    assert found[0] == pytest.approx(wanted[0], rel=1e-2)
    assert found[2] == pytest.approx(wanted[2], rel=1e-2)
