"""Laws of radius arms whose joints resist being turned, and of what their joints carry."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from buildcheck.axle.bind import Bind, bind
from buildcheck.axle.handling import slopes_over
from buildcheck.axle.joints import angle_between, cone_angle, triangle_attitude
from buildcheck.axle.poses import Layout, Poses, Status, solve
from buildcheck.axle.rotation import attitude, carry
from buildcheck.axle.twist import TwistedArms

Array = NDArray[np.float64]

AXLE = np.array([[80, 420, 0], [-80, 420, -90], [80, -420, 0], [-80, -420, -90], [60, -420, 70]]).T / 1000
FRAME = np.array([[-950, 380, 0]] * 2 + [[-950, -380, 0]] * 2 + [[60, 410, 110]]).T / 1000
LINKS = Layout(np.zeros(3), FRAME, AXLE, np.array([4e6, 5e6, 4e6, 5e6, 9e6]))
UPPER, LOWER = np.array([0, 2]), np.array([1, 3])
# Frame, upper and lower joint of the left and the right arm, N m/rad.
BUSHINGS = np.array([[900.0, 700.0], [1500.0, 2500.0], [1200.0, 1900.0]])
SEEDS = range(8)


def twisted(stiffness: Array, layout: Layout = LINKS) -> Layout:
    return replace(layout, twists=TwistedArms(UPPER, LOWER, stiffness))


def moved(seed: int) -> Layout:
    """The radius arms with every joint moved by up to 30 mm, and bushings from soft to very stiff."""
    random = np.random.default_rng(seed)
    frame = FRAME + random.uniform(-0.03, 0.03, FRAME.shape)
    frame[:, LOWER] = frame[:, UPPER]
    axle = AXLE + random.uniform(-0.03, 0.03, AXLE.shape)
    return twisted(10.0 ** random.uniform(2.0, 4.5, (3, 2)), replace(LINKS, frame=frame, axle=axle))


def somewhere(seed: int, count: int) -> tuple[Array, Array]:
    random = np.random.default_rng(seed)
    return random.uniform(-0.1, 0.1, count), random.uniform(-0.12, 0.12, count)


def unknowns(poses: Poses) -> Array:
    assert poses.solved.all()
    return np.stack([poses.x, poses.y, poses.pitch, poses.yaw])


def translational(found: Bind, poses: Poses) -> Array:
    energy: Array = 0.5 * (found.load * poses.stretch).sum(axis=0)
    return energy


def energy(layout: Layout, poses: Poses) -> Array:
    """Elastic energy of the joints in each pose, J, (..., poses): what `solve` makes least."""
    found = bind(layout, poses)
    total: Array = translational(found, poses) + 0.5 * (found.moment * found.angle).sum(axis=(0, 1))
    return total


@pytest.mark.parametrize("count", [1, 40, 300, 3000])
def test_joints_that_turn_freely_change_nothing(count: int) -> None:
    heave, roll = somewhere(count, count)
    free, poses = solve(LINKS, heave, roll), solve(twisted(np.zeros((3, 2))), heave, roll)
    np.testing.assert_array_equal(unknowns(poses), unknowns(free))
    np.testing.assert_array_equal(poses.stretch, free.stretch)


def test_joints_that_hardly_resist_hardly_matter() -> None:
    """The change of pose is in proportion to a small stiffness."""
    heave, roll = somewhere(3, 20)
    free = unknowns(solve(LINKS, heave, roll))
    once, twice = (unknowns(solve(twisted(share * BUSHINGS), heave, roll)) - free for share in (1e-3, 2e-3))
    assert np.abs(once).max() > 1e-7
    np.testing.assert_allclose(twice, 2.0 * once, rtol=0.0, atol=2e-3 * np.abs(once).max())


def test_arms_without_spare_constraints_are_only_loaded() -> None:
    """One radius arm, a link and a bar hold the axle exactly: torsion moves nothing."""
    kept = [0, 1, 2, 4]
    four = replace(LINKS, frame=FRAME[:, kept], axle=AXLE[:, kept], stiffness=LINKS.stiffness[kept])
    with_arm = replace(four, twists=TwistedArms(np.array([0]), np.array([1]), BUSHINGS[:, :1]))
    heave, roll = somewhere(5, 30)
    free, poses = solve(four, heave, roll), solve(with_arm, heave, roll)
    np.testing.assert_array_equal(unknowns(poses), unknowns(free))
    found = bind(with_arm, poses)
    assert found.moment.shape == (3, 1, 30)
    assert (found.moment[0] > 1.0).all()
    assert np.abs(found.load).max() < 1e-12 * LINKS.stiffness.max()


@pytest.mark.parametrize("seed", SEEDS)
def test_angles_are_those_of_the_arms_attitude(seed: int) -> None:
    """Against the attitude of an arm and the turn of a joint as `joints` has them, by other formulas."""
    layout = moved(seed)
    heave, roll = somewhere(seed, 25)
    poses = solve(layout, heave, roll)
    found = bind(layout, poses)
    turned = attitude(poses)
    for number, (upper, lower) in enumerate(zip(UPPER, LOWER, strict=True)):
        ride = (layout.frame[:, upper], layout.axle[:, upper], layout.axle[:, lower])
        arm = triangle_attitude(ride[0], carry(poses, ride[1]), carry(poses, ride[2]), ride)
        for part, rows in ((None, slice(0, 1)), (turned, slice(1, 3))):
            relative = arm if part is None else np.einsum("ji...,jk...->ik...", part, arm)
            sine = np.linalg.norm(relative - np.swapaxes(relative, 0, 1), axis=(0, 1)) / np.sqrt(8.0)
            expected = np.arctan2(sine, (np.trace(relative) - 1.0) / 2.0)
            np.testing.assert_allclose(found.angle[rows, number], [expected] * (rows.stop - rows.start), atol=1e-12)
            # No bolt can be coned by more than the whole turn.
            assert (cone_angle(arm, np.array([0.0, 1.0, 0.0]), part) <= expected + 1e-12).all()


def test_arm_in_a_plane_turns_with_its_line() -> None:
    """Heave of arms that lie in planes along the vehicle, the bar too long to push sideways: the axle turns too."""
    frame = np.array([[-0.9, 0.4, 0.0]] * 2 + [[-0.9, -0.4, 0.0]] * 2 + [[0.0, 900.0, 0.0]]).T
    axle = np.array([[0.0, 0.4, 0.05], [0.0, 0.4, -0.05], [0.0, -0.4, 0.05], [0.0, -0.4, -0.05], [0.0, -0.4, 0.0]]).T
    layout = twisted(np.full((3, 2), 800.0), Layout(np.zeros(3), frame, axle, np.full(5, 1e7)))
    heave = np.array([-0.09, -0.04, 0.0, 0.05, 0.1])
    poses = solve(layout, heave, 0.0)
    found = bind(layout, poses)
    line = carry(poses, np.array([0.0, 0.4, 0.0])) - frame[:, :1]
    np.testing.assert_allclose(found.angle[0, 0], angle_between(np.array([1.0, 0.0, 0.0]), line), atol=1e-12)
    # Frame bushings of 2 x 800 N m/rad turn the axle in its arms, which the bars' stretch hardly lets them.
    np.testing.assert_allclose(found.angle[0], np.abs([np.arcsin(heave / 0.9)] * 2), atol=1e-5)
    np.testing.assert_allclose(found.moment[0], 800.0 * np.abs([np.arcsin(heave / 0.9)] * 2), atol=1e-2)
    assert np.abs(found.angle[1:]).max() < 0.01 * np.abs(found.angle[0]).max()


@pytest.mark.parametrize("seed", SEEDS)
def test_mirror_image_build_mirrors_pose_and_joints(seed: int) -> None:
    layout = moved(seed)
    mirror = np.array([1.0, -1.0, 1.0])[:, np.newaxis]
    assert layout.twists is not None
    other = replace(layout, frame=layout.frame * mirror, axle=layout.axle * mirror)
    heave, roll = somewhere(seed, 30)
    poses, image = solve(layout, heave, roll), solve(other, heave, -roll)
    x, y, pitch, yaw = unknowns(poses)
    np.testing.assert_allclose(unknowns(image), [x, -y, pitch, -yaw], rtol=0.0, atol=1e-11)
    np.testing.assert_allclose(bind(other, image).angle, bind(layout, poses).angle, rtol=0.0, atol=1e-11)
    np.testing.assert_allclose(energy(other, image), energy(layout, poses), rtol=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_place_of_the_origin_and_order_of_joints_do_not_matter(seed: int) -> None:
    layout = moved(seed)
    assert layout.twists is not None
    shift = np.random.default_rng(seed).uniform(-3.0, 3.0, (3, 1))
    order = np.array([4, 3, 2, 1, 0])
    other = Layout(
        layout.centre + shift[:, 0],
        (layout.frame + shift)[:, order],
        (layout.axle + shift)[:, order],
        layout.stiffness[order],
        # The right arm first, and each arm's joints the other way round.
        TwistedArms(np.array([1, 3]), np.array([2, 4]), layout.twists.stiffness[[0, 2, 1]][:, ::-1]),
    )
    heave, roll = somewhere(seed, 30)
    poses, found = solve(layout, heave, roll), solve(other, heave, roll)
    np.testing.assert_allclose(unknowns(found), unknowns(poses), rtol=0.0, atol=1e-11)
    expected = bind(layout, poses).moment[[0, 2, 1]][:, ::-1]
    np.testing.assert_allclose(bind(other, found).moment, expected, rtol=0.0, atol=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_stiffer_joints_turn_less_and_stretch_more(seed: int) -> None:
    """Of least energy E + k T, T cannot grow with k nor E fall: true of any sum of two energies."""
    layout = moved(seed)
    heave, roll = somewhere(seed, 20)
    share = 10.0 ** np.linspace(-2.0, 3.0, 11)
    stretched, turned = [], []
    assert layout.twists is not None
    for each in share:
        stiffer = twisted(layout.twists.stiffness * each, layout)
        poses = solve(stiffer, heave, roll)
        assert poses.solved.all()
        found = bind(stiffer, poses)
        stretched.append(translational(found, poses))
        turned.append((energy(stiffer, poses) - stretched[-1]) / each)
    assert (np.diff(turned, axis=0) < 0.0).all()
    assert (np.diff(stretched, axis=0) > -1e-9 * np.max(stretched)).all()
    assert (stretched[-1] > 1.1 * stretched[0]).any()


@pytest.mark.parametrize("seed", SEEDS)
def test_arm_becomes_one_with_the_axle(seed: int) -> None:
    """A joint that no longer gives carries a finite moment, and its turn falls to nothing as moment over stiffness."""
    heave, roll = somewhere(seed, 10)
    moments = []
    for stiffness in (1e9, 1e10):
        layout = twisted(np.array([[0.0, 0.0], [stiffness, 0.0], [0.0, 0.0]]), replace(moved(seed), twists=None))
        poses = solve(layout, heave, roll)
        assert poses.solved.all()
        moments.append(bind(layout, poses).moment[1, 0])
    assert np.max(moments[1]) > 100.0
    np.testing.assert_allclose(moments[1], moments[0], rtol=0.0, atol=0.02 * np.max(moments))


def forces_of_joints(layout: Layout, poses: Poses) -> tuple[Array, Array]:
    """Force, N, that lifts the axle and moment, N m, that rolls it against what its joints carry.

    By virtual work: the axle alone is lifted or rolled a little, its other freedoms held, and each load and moment
    works along its own stretch or turn.
    """
    found, step = bind(layout, poses), 1e-6
    at_ride = np.linalg.norm(layout.axle - layout.frame, axis=0)[:, np.newaxis]

    def stretch_and_angle(pushed: Poses) -> tuple[Array, Array]:
        ends = np.stack([carry(pushed, point) for point in layout.axle.T], axis=1)
        return np.linalg.norm(ends - layout.frame[..., np.newaxis], axis=0) - at_ride, bind(layout, pushed).angle

    forces = []
    for name in ("heave", "roll"):
        more, less = (
            stretch_and_angle(replace(poses, **{name: getattr(poses, name) + push})) for push in (step, -step)
        )
        work = (found.load * (more[0] - less[0])).sum(axis=0)
        work = work + (found.moment * (more[1] - less[1])).sum(axis=(0, 1))
        forces.append(work / (2.0 * step))
    return forces[0], forces[1]


@pytest.mark.parametrize("seed", SEEDS)
def test_energy_grows_by_the_work_of_heave_and_roll(seed: int) -> None:
    """dE/d heave is the force and dE/d roll the moment of the joints, though all other freedoms give as they like."""
    layout, step = moved(seed), 1e-4
    heave, roll = somewhere(seed, 20)
    force, moment = forces_of_joints(layout, solve(layout, heave, roll))

    def slope(by_heave: float, by_roll: float) -> Array:
        more, less = (solve(layout, heave + sign * by_heave, roll + sign * by_roll) for sign in (1.0, -1.0))
        difference: Array = (energy(layout, more) - energy(layout, less)) / (2.0 * step)
        return difference

    np.testing.assert_allclose(slope(step, 0.0), force, rtol=0.0, atol=1e-5 * np.abs(force).max())
    np.testing.assert_allclose(slope(0.0, step), moment, rtol=0.0, atol=1e-5 * np.abs(moment).max())


@pytest.mark.parametrize("seed", SEEDS)
def test_no_work_is_left_after_a_closed_path(seed: int) -> None:
    """Force and moment of the joints along a loop in heave and roll; an even sum over a whole turn loses nothing."""
    layout, count = moved(seed), 96
    along = np.arange(count) * 2.0 * np.pi / count
    centre, reach = np.random.default_rng(seed).uniform(-0.03, 0.03, 2), np.array([0.06, 0.08])
    heave, roll = centre[0] + reach[0] * np.cos(along), centre[1] + reach[1] * np.sin(along)
    poses = solve(layout, heave, roll)
    force, moment = forces_of_joints(layout, poses)
    power = np.stack([-force * reach[0] * np.sin(along), moment * reach[1] * np.cos(along)])
    there_and_back = np.abs(power).sum() * along[1]
    assert there_and_back > 10.0  # joules
    assert abs(power.sum() * along[1]) < 1e-8 * there_and_back
    # Each of the two alone does work on the way round, so that the sum is no empty zero.
    assert abs(power[0].sum()) > 1e-3 * np.abs(power).sum()


@pytest.mark.parametrize("count", [60, 300, 2500])
def test_size_of_the_batch_does_not_matter(count: int) -> None:
    heave, roll = somewhere(count, count)
    together = solve(twisted(10.0 * BUSHINGS), heave, roll)
    some = range(0, count, max(1, count // 30))
    alone = np.concatenate([unknowns(solve(twisted(10.0 * BUSHINGS), heave[i], roll[i])) for i in some], axis=1)
    np.testing.assert_allclose(unknowns(together)[:, list(some)], alone, rtol=0.0, atol=1e-10)


@pytest.mark.parametrize("count", [3, 90])
def test_builds_are_solved_and_loaded_as_if_alone(count: int) -> None:
    builds = 4
    layouts = [moved(seed) for seed in range(builds)]
    stiffness = [layout.twists.stiffness for layout in layouts if layout.twists is not None]
    together = Layout(
        np.zeros(3),
        np.stack([layout.frame for layout in layouts], axis=2),
        np.stack([layout.axle for layout in layouts], axis=2),
        LINKS.stiffness,
        TwistedArms(UPPER, LOWER, np.stack(stiffness, axis=2)),
    )
    heave, roll = somewhere(1, count)
    poses = solve(together, heave, roll)
    found = bind(together, poses)
    assert found.load.shape == (5, builds, count)
    assert found.moment.shape == found.angle.shape == (3, 2, builds, count)
    for build, layout in enumerate(layouts):
        alone = solve(layout, heave, roll)
        expected = bind(layout, alone)
        np.testing.assert_allclose(unknowns(poses)[:, build], unknowns(alone), rtol=0.0, atol=1e-10)
        np.testing.assert_allclose(found.moment[:, :, build], expected.moment, rtol=0.0, atol=1e-5)
        np.testing.assert_allclose(found.load[:, build], expected.load, rtol=0.0, atol=1e-2)
        np.testing.assert_allclose(energy(together, poses)[build], energy(layout, alone), rtol=1e-7)


@pytest.mark.parametrize("seed", SEEDS)
def test_slopes_are_the_limits_of_differences(seed: int) -> None:
    layout, step = moved(seed), 1e-4
    heave, roll = somewhere(seed, 5)
    found = slopes_over(solve(layout, heave, roll), layout)
    for rates, by_heave, by_roll in ((found.heave, step, 0.0), (found.roll, 0.0, step)):
        more, less = (unknowns(solve(layout, heave + s * by_heave, roll + s * by_roll)) for s in (1.0, -1.0))
        difference = (more - less) / (2.0 * step)
        np.testing.assert_allclose([rates.x, rates.y, rates.pitch, rates.yaw], difference, rtol=0.0, atol=1e-6)


def test_poses_out_of_reach_carry_no_numbers() -> None:
    layout = twisted(BUSHINGS)
    poses = solve(layout, np.array([0.0, 0.02, 0.0, 0.0]), np.array([0.02, 0.0, -0.12, 0.3]))
    lost = poses.heave + poses.roll > 0.2  # as `solve` leaves a pose that it cannot reach
    gone = {name: np.where(lost, np.nan, getattr(poses, name)) for name in ("x", "y", "pitch", "yaw", "stretch")}
    poses = replace(poses, status=np.where(lost, Status.OUT_OF_REACH, poses.status).astype(np.int8), **gone)
    found = bind(layout, poses)
    assert np.isnan(found.load[:, 3]).all()
    assert np.isnan(found.moment[..., 3]).all()
    assert np.isfinite(found.load[:, :3]).all()
    assert np.isfinite(found.moment[..., :3]).all()


def test_arms_that_turn_freely_have_no_moment_and_their_loads_are_stiffness_times_stretch() -> None:
    poses = solve(LINKS, [0.0, 0.05], 0.1)
    found = bind(LINKS, poses)
    assert found.moment.shape == found.angle.shape == (3, 0, 2)
    np.testing.assert_array_equal(found.load, LINKS.stiffness[:, np.newaxis] * poses.stretch)


@pytest.mark.parametrize(
    ("twists", "told"),
    [
        (TwistedArms(UPPER, LOWER, -BUSHINGS), "not below zero"),
        (TwistedArms(UPPER, LOWER, BUSHINGS * np.nan), "finite"),
        (TwistedArms(UPPER, np.array([1, 5]), BUSHINGS), "do not match the layout"),
        (TwistedArms(UPPER, LOWER, BUSHINGS[:, :1][:2]), "do not match the layout"),
        (TwistedArms(UPPER, LOWER[::-1], BUSHINGS), "share their frame end"),
        (TwistedArms(UPPER, UPPER, BUSHINGS), "in one line"),
        (TwistedArms(UPPER, LOWER, BUSHINGS, FRAME[:, UPPER] - AXLE[:, UPPER] / 2 - AXLE[:, LOWER] / 2), "in one line"),
        (TwistedArms(UPPER, LOWER, BUSHINGS, np.zeros((3, 2))), "in one line"),
        (TwistedArms(UPPER, LOWER, BUSHINGS, np.ones((2, 2))), "do not match the layout"),
    ],
)
def test_twisted_arms_must_make_sense(twists: TwistedArms, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        solve(replace(LINKS, twists=twists), 0.0, 0.0)


def test_the_line_that_an_arm_swings_about_may_be_told() -> None:
    told = TwistedArms(UPPER, LOWER, BUSHINGS, 3.0 * (AXLE[:, UPPER] - AXLE[:, LOWER]))
    heave, roll = np.array([0.0, 0.05, -0.08]), np.array([0.1, -0.2, 0.0])
    layouts = (twisted(BUSHINGS), replace(LINKS, twists=told))
    taken, given_ = (bind(layout, solve(layout, heave, roll)) for layout in layouts)
    np.testing.assert_allclose(given_.angle, taken.angle, atol=1e-14)
    # Upright, it leaves the arms free to swing another way: their joints turn by other angles.
    upright = replace(LINKS, twists=replace(told, swings=np.array([[0.0] * 2, [0.0] * 2, [1.0] * 2])))
    other = bind(upright, solve(upright, heave, roll))
    assert np.isfinite(other.angle).all()
    assert np.abs(other.angle - taken.angle).max() > 1e-4


def test_arm_in_one_line_is_refused() -> None:
    axle = AXLE.copy()
    axle[:, 1] = FRAME[:, 0] + 0.8 * (AXLE[:, 0] - FRAME[:, 0])
    with pytest.raises(ValueError, match="in one line"):
        solve(twisted(BUSHINGS, replace(LINKS, axle=axle)), 0.0, 0.0)
