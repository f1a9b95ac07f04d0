"""Laws that forces in links and springs obey: equilibrium, least energy, virtual work, and the symmetries of both."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from sampling import draws

from buildcheck.axle.handling import slopes_over
from buildcheck.axle.poses import Layout, solve
from buildcheck.axle.rotation import carry
from buildcheck.strength.statics import (
    Load,
    Supports,
    UnheldAxle,
    axial_forces,
    combined,
    side_by_side,
    together,
)

Array = NDArray[np.float64]

KINDS = {
    "three-link": (
        [[0.03, 0.43, -0.095], [0.03, -0.43, -0.095], [0.06, -0.18, 0.15], [0.045, -0.42, 0.07]],
        [[-0.87, 0.40, -0.035], [-0.87, -0.40, -0.035], [-0.56, -0.20, 0.185], [0.055, 0.41, 0.115]],
    ),
    "triangulated four-link": (
        [[0.0, 0.48, -0.10], [0.0, -0.48, -0.10], [0.0, 0.12, 0.16], [0.0, -0.12, 0.16]],
        [[-0.95, 0.36, -0.04], [-0.95, -0.36, -0.04], [-0.70, 0.45, 0.17], [-0.70, -0.45, 0.17]],
    ),
    "radius arms": (
        [[0.08, 0.42, 0.0], [-0.08, 0.42, -0.09], [0.08, -0.42, 0.0], [-0.08, -0.42, -0.09], [0.06, -0.42, 0.07]],
        [[-0.95, 0.38, 0.0], [-0.95, 0.38, 0.0], [-0.95, -0.38, 0.0], [-0.95, -0.38, 0.0], [0.06, 0.41, 0.11]],
    ),
    "four parallel links": (
        [[0.03, 0.43, -0.1], [0.03, -0.43, -0.1], [0.03, 0.43, 0.14], [0.03, -0.43, 0.14], [0.045, -0.42, 0.07]],
        [[-0.87, 0.43, -0.04], [-0.87, -0.43, -0.04], [-0.87, 0.43, 0.2], [-0.87, -0.43, 0.2], [0.055, 0.41, 0.115]],
    ),
}
SPRING_AXLE = np.array([[-0.05, 0.47, 0.06], [-0.05, -0.47, 0.06]]).T
SPRING_FRAME = np.array([[-0.10, 0.39, 0.55], [-0.10, -0.39, 0.55]]).T
EXACT = ("three-link", "triangulated four-link")
MORE = ("radius arms", "four parallel links")


def held(kind: str, seed: int) -> tuple[Layout, Supports]:
    """Links of a kind with every joint moved by up to 30 mm, as a layout and, with two springs, as supports."""
    random = np.random.default_rng(seed)
    axle, frame = (np.array(ends).T for ends in KINDS[kind])
    centre = random.normal(0.0, 0.3, 3)
    axle, frame = (ends + random.uniform(-0.03, 0.03, ends.shape) + centre[:, None] for ends in (axle, frame))
    stiffness = random.uniform(2e6, 2e7, axle.shape[1:])
    layout = Layout(centre, frame, axle, stiffness)
    springs = Supports.between(centre, SPRING_AXLE + centre[:, None], SPRING_FRAME + centre[:, None], [3e4, 4e4])
    return layout, together(Supports.between(centre, axle, frame, layout.stiffness), springs)


def some_load(seed: int, *cases: int) -> Load:
    random = np.random.default_rng(seed)
    return Load(random.normal(0.0, 5e3, (3, *cases)), random.normal(0.0, 2e3, (3, *cases)))


def lines(supports: Supports) -> Array:
    """The equations of equilibrium about the axle centre, (6, n), typed out anew."""
    arms = supports.axle - supports.centre[:, None]
    return np.concatenate([supports.direction, np.cross(arms, supports.direction, axis=0)])


def six(load: Load) -> Array:
    return np.concatenate([load.force, load.moment])


kinds = st.sampled_from(sorted(KINDS))
seeds = st.integers(0, 2**32 - 1)


@given(kinds, seeds)
@draws(60)
def test_the_axle_is_in_equilibrium_in_every_case(kind: str, seed: int) -> None:
    _, supports = held(kind, seed)
    load = some_load(seed, 5)
    tension = axial_forces(supports, load)
    assert tension.shape == (supports.axle.shape[1], 5)
    left_over = np.abs(lines(supports) @ tension + six(load)).max(axis=0)
    assert (left_over <= 1e-9 * np.abs(six(load)).max(axis=0)).all()


@given(st.sampled_from(MORE), seeds)
@draws(60)
def test_no_other_equilibrium_has_less_energy(kind: str, seed: int) -> None:
    _, supports = held(kind, seed)
    load = some_load(seed)
    tension = axial_forces(supports, load)
    among_themselves = np.linalg.svd(lines(supports))[2][6]
    slope = among_themselves * tension / supports.stiffness
    assert abs(slope.sum()) <= 1e-9 * np.abs(slope).sum()
    energy = (tension**2 / supports.stiffness).sum()
    for more in (1.0, -1.0, 1000.0, -1000.0):
        assert ((tension + more * among_themselves) ** 2 / supports.stiffness).sum() > energy


@given(st.sampled_from(EXACT), seeds)
@draws(30)
def test_stiffness_has_no_say_where_equilibrium_leaves_one_answer(kind: str, seed: int) -> None:
    _, supports = held(kind, seed)
    tension = axial_forces(supports, some_load(seed))
    other = replace(supports, stiffness=np.array([1e3, 1e9, np.inf, 7e5, 2e4, np.inf]))
    np.testing.assert_array_equal(axial_forces(other, some_load(seed)), tension)


@given(kinds, seeds)
@draws(30)
def test_small_displacements_stretch_every_support_by_its_force_over_its_stiffness(kind: str, seed: int) -> None:
    """Displace the axle as a rigid body; the load that this takes must come back as the forces of the stretches."""
    _, supports = held(kind, seed)
    displaced = np.random.default_rng(seed).normal(0.0, 1e-3, 6)
    forces = supports.stiffness * (lines(supports).T @ displaced)  # towards the frame is shorter: less tension
    needed = lines(supports) @ forces
    tension = axial_forces(supports, Load(needed[:3], needed[3:]))
    np.testing.assert_allclose(tension, -forces, rtol=0.0, atol=1e-8 * np.abs(forces).max())


@given(st.sampled_from(EXACT), seeds, st.floats(-0.08, 0.08), st.floats(-0.1, 0.1))
@draws(40)
def test_virtual_work_with_the_slopes_of_the_pose_solver(kind: str, seed: int, heave: float, roll: float) -> None:
    """Along the motions that the links allow only springs and load do work, and together none."""
    layout, supports = held(kind, seed)
    poses = solve(layout, [heave], [roll])
    assert poses.solved.all()
    centre = carry(poses, layout.centre)
    ends = carry(poses, supports.axle)
    frame = np.concatenate([layout.frame, SPRING_FRAME + layout.centre[:, None]], axis=1)[..., None]
    posed = Supports.between(centre, ends, frame, supports.stiffness)
    load = some_load(seed)
    tension = axial_forces(posed, load)
    assert tension.shape == (6, 1)
    pitch, yaw = poses.pitch[0], poses.yaw[0]
    yaw_axis = np.array([0.0, 0.0, 1.0])
    pitch_axis = np.array([-np.sin(yaw), np.cos(yaw), 0.0])
    roll_axis = np.array([np.cos(yaw) * np.cos(pitch), np.sin(yaw) * np.cos(pitch), -np.sin(pitch)])
    found = slopes_over(poses, layout)
    for rates, up, rolling in ((found.heave, 1.0, 0.0), (found.roll, 0.0, 1.0)):
        moving = np.array([rates.x[0], rates.y[0], up])
        turning = rates.yaw[0] * yaw_axis + rates.pitch[0] * pitch_axis + rolling * roll_axis
        work = [load.force @ moving, load.moment @ turning]
        for spring in (4, 5):
            speed = moving + np.cross(turning, ends[:, spring, 0] - centre[:, 0])
            work.append(tension[spring, 0] * posed.direction[:, spring, 0] @ speed)
        assert abs(sum(work)) <= 1e-8 * np.abs(work).sum()


@given(st.sampled_from(MORE), seeds)
@draws(20)
def test_bind_of_the_pose_solver_is_the_answer_to_the_load_that_holds_the_pose(kind: str, seed: int) -> None:
    """Rolled a little, the links bind by stiffness times stretch: the forces that answer what holds the axle there."""
    layout, supports = held(kind, seed)
    roll = 1e-5
    poses = solve(layout, [0.0], [roll])
    assert poses.solved.all()
    bind = layout.stiffness * poses.stretch[:, 0]
    moved = carry(poses, SPRING_AXLE + layout.centre[:, None])[..., 0] - (SPRING_AXLE + layout.centre[:, None])
    springs = -supports.stiffness[-2:] * (supports.direction[:, -2:] * moved).sum(axis=0)
    forces = np.concatenate([bind, springs])
    needed = -lines(supports) @ forces
    tension = axial_forces(supports, Load(needed[:3], needed[3:]))
    np.testing.assert_allclose(tension, forces, rtol=0.0, atol=1e-4 * np.abs(forces).max())
    # The energy wound up in the links rises with roll by the roll moment that they put up.
    further = solve(layout, [0.0, 0.0], [roll + 1e-7, roll - 1e-7])
    energy = 0.5 * (layout.stiffness[:, None] * further.stretch**2).sum(axis=0)
    moment = -(lines(supports)[3, :-2] @ bind)
    assert (energy[0] - energy[1]) / 2e-7 == pytest.approx(moment, rel=1e-3, abs=1e-6)


@given(kinds, seeds)
@draws(30)
def test_the_mirror_image_has_the_same_forces(kind: str, seed: int) -> None:
    _, supports = held(kind, seed)
    load = some_load(seed)
    flip = np.array([1.0, -1.0, 1.0])
    mirrored = replace(
        supports,
        centre=supports.centre * flip,
        axle=supports.axle * flip[:, None],
        direction=supports.direction * flip[:, None],
    )
    reflected = Load(load.force * flip, -load.moment * flip)
    tension = axial_forces(supports, load)
    np.testing.assert_allclose(axial_forces(mirrored, reflected), tension, atol=1e-9 * np.abs(tension).max())


@given(kinds, seeds, st.floats(0.01, 100.0), st.floats(0.01, 100.0))
@draws(30)
def test_a_model_of_another_size_has_forces_in_scale(kind: str, seed: int, length: float, stiffness: float) -> None:
    _, supports = held(kind, seed)
    load = some_load(seed)
    model = replace(
        supports,
        centre=supports.centre * length,
        axle=supports.axle * length,
        stiffness=supports.stiffness * stiffness,
    )
    tension = axial_forces(supports, load)
    scaled = axial_forces(model, Load(load.force, load.moment * length))
    np.testing.assert_allclose(scaled, tension, atol=1e-8 * np.abs(tension).max())


@given(kinds, seeds)
@draws(30)
def test_the_answer_does_not_depend_on_where_moments_are_taken(kind: str, seed: int) -> None:
    _, supports = held(kind, seed)
    point, force = np.random.default_rng(seed).normal(0.0, 1.0, (2, 3))
    elsewhere = supports.centre + np.array([0.3, -0.2, 0.5])
    tension = axial_forces(supports, Load.at(supports.centre, point, force))
    other = axial_forces(replace(supports, centre=elsewhere), Load.at(elsewhere, point, force))
    np.testing.assert_allclose(other, tension, atol=1e-8 * np.abs(tension).max())


@given(kinds, seeds)
@draws(30)
def test_forces_of_cases_add_up(kind: str, seed: int) -> None:
    _, supports = held(kind, seed)
    first, second = some_load(seed), some_load(seed + 1)
    apart = axial_forces(supports, side_by_side(first, second))
    at_once = axial_forces(supports, combined(2.0 * first, second * -0.5))
    np.testing.assert_allclose(at_once, 2.0 * apart[:, 0] - 0.5 * apart[:, 1], atol=1e-9 * np.abs(apart).max())


@given(kinds, seeds)
@draws(30)
def test_reciprocity(kind: str, seed: int) -> None:
    """Maxwell and Betti: a load here moves there as a load there moves here.

    The displacement is that of a rigid axle whose supports have stretched; that one exists is part of the test.
    """
    _, supports = held(kind, seed)
    loads = some_load(seed, 2)
    stretch = axial_forces(supports, loads) / supports.stiffness[:, None]
    displaced, *_ = np.linalg.lstsq(lines(supports).T, -stretch, rcond=None)
    np.testing.assert_allclose(lines(supports).T @ displaced, -stretch, atol=1e-7 * np.abs(stretch).max())
    here, there = six(loads).T
    work = (here @ displaced[:, 1], there @ displaced[:, 0])
    assert work[0] == pytest.approx(work[1], rel=1e-7, abs=1e-8 * np.abs(here).max() * np.abs(displaced).max())


@pytest.mark.parametrize("kind", KINDS)
def test_many_poses_and_cases_at_once_are_one_at_a_time(kind: str) -> None:
    layout, supports = held(kind, 7)
    poses = solve(layout, np.linspace(-0.05, 0.05, 4), np.linspace(0.05, -0.05, 4))
    assert poses.solved.all()
    centre, ends = carry(poses, layout.centre), carry(poses, layout.axle)
    spring_ends = carry(poses, SPRING_AXLE + layout.centre[:, None])
    ends[:, :, 2] = np.nan  # as if that pose had not been solved
    links = Supports.between(centre, ends, layout.frame[..., None], layout.stiffness)
    springs = Supports.between(
        centre, spring_ends, (SPRING_FRAME + layout.centre[:, None])[..., None], supports.stiffness[-2:]
    )
    posed = together(links, springs)
    loads = some_load(3, 5)
    tension = axial_forces(posed, Load(loads.force[..., None], loads.moment[..., None]))
    assert tension.shape == (ends.shape[1] + 2, 5, 4)
    assert posed.forces_on_axle(tension).shape == (3, *tension.shape)
    assert np.isnan(tension[..., 2]).all()
    for pose in (0, 1, 3):
        one = Supports(centre[:, pose], posed.axle[..., pose], posed.direction[..., pose], posed.stiffness[..., pose])
        for case in range(5):
            load = Load(loads.force[:, case], loads.moment[:, case])
            np.testing.assert_allclose(tension[:, case, pose], axial_forces(one, load), rtol=1e-9, atol=1e-7)
            pull = posed.forces_on_axle(tension)[:, :, case, pose]
            np.testing.assert_allclose(pull, one.direction * tension[:, case, pose])


def test_springs_that_do_not_give_leave_the_links_the_least_energy() -> None:
    """Both springs rigid: heave and roll are held, and only the links' energy counts."""
    _, supports = held("radius arms", 3)
    rigid = replace(supports, stiffness=np.concatenate([supports.stiffness[:5], [np.inf, np.inf]]))
    load = some_load(3)
    tension = axial_forces(rigid, load)
    nearly = replace(supports, stiffness=np.concatenate([supports.stiffness[:5], [1e18, 1e18]]))
    np.testing.assert_allclose(tension, axial_forces(nearly, load), rtol=1e-7)

    def energy_of_links(forces: Array) -> float:
        return float((forces[:5] ** 2 / supports.stiffness[:5]).sum())

    assert energy_of_links(tension) < energy_of_links(axial_forces(supports, load))


def test_a_stiffer_link_of_two_side_by_side_takes_its_share() -> None:
    """Two links on the same line carry what one would, as their stiffnesses."""
    _, supports = held("three-link", 5)
    one = axial_forces(supports, some_load(5))
    twice = together(supports, replace(
        supports, axle=supports.axle[:, :1], direction=supports.direction[:, :1], stiffness=supports.stiffness[:1] / 3
    ))  # fmt: skip
    shared = axial_forces(twice, some_load(5))
    np.testing.assert_allclose(shared[[0, 6]], one[0] * np.array([0.75, 0.25]), rtol=1e-9)
    np.testing.assert_allclose(shared[1:6], one[1:], rtol=1e-9)


@pytest.mark.parametrize(
    ("left_out", "motion"),
    [
        ([3], "move sideways"),
        ([4, 5], "move up and down"),
        ([0, 1, 2], "move fore and aft and pitch and yaw"),
        (list(range(6)), "move sideways"),
    ],
)
def test_an_axle_that_is_not_held_says_how_it_moves(left_out: list[int], motion: str) -> None:
    axle = np.array([[0, 0.4, -0.1], [0, -0.4, -0.1], [0, 0, 0.1], [0, -0.4, 0], [0, 0.45, 0], [0, -0.45, 0]]).T
    along = np.array([[-1, 0, 0], [-1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 1]], dtype=float).T
    kept = [support for support in range(6) if support not in left_out]
    supports = Supports.along(np.zeros(3), axle[:, kept], along[:, kept], np.full(len(kept), 1e6))
    with pytest.raises(UnheldAxle, match=motion):
        axial_forces(supports, some_load(1))


def test_six_supports_that_depend_on_each_other_do_not_hold() -> None:
    """Three links on parallel lines in one plane: the axle pitches about it."""
    axle = np.array([[0, 0.4, 0], [0, -0.4, 0], [0, 0.1, 0], [0, -0.4, 0], [0, 0.45, 0], [0, -0.45, 0]]).T
    along = np.array([[-1, 0, 0], [-1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 1]], dtype=float).T
    with pytest.raises(UnheldAxle, match="pitch"):
        axial_forces(Supports.along(np.zeros(3), axle, along, np.full(6, 1e6)), some_load(1))


def test_refuses_what_cannot_be_supports() -> None:
    ends, anchors = np.zeros((3, 2)), np.ones((3, 2))
    with pytest.raises(ValueError, match="needs a direction"):
        Supports.between(np.zeros(3), ends, ends, [1e6, 1e6])
    for stiffness in ([1e6, 0.0], [np.nan, 1e6], [-1.0, 1e6]):
        with pytest.raises(ValueError, match="above zero"):
            Supports.between(np.zeros(3), ends, anchors, stiffness)
    with pytest.raises(ValueError, match="same number of axes"):
        Supports.between(np.zeros(3), np.zeros((3, 2, 2)), anchors, [1e6, 1e6])
    _, supports = held("radius arms", 3)
    with pytest.raises(ValueError, match="infinitely stiff"):
        axial_forces(replace(supports, stiffness=np.full(7, np.inf)), some_load(1))
