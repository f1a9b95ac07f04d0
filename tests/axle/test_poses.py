"""Laws that every solved pose obeys, and what the solver says when there is no pose."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from buildcheck.axle import continuation
from buildcheck.axle.handling import Rates, slopes, slopes_over
from buildcheck.axle.poses import FreeAxle, Layout, Poses, Status, free_motions, solve
from buildcheck.axle.rotation import carry, rotation

Array = NDArray[np.float64]

THREE_LINK_AXLE = np.array([[30, 430, -95], [30, -430, -95], [60, -180, 150], [45, -420, 70]]).T / 1000
THREE_LINK_FRAME = np.array([[-870, 400, -35], [-870, -400, -35], [-560, -200, 185], [55, 410, 115]]).T / 1000
TRIANGULATED_AXLE = np.array([[0, 480, -100], [0, -480, -100], [0, 120, 160], [0, -120, 160]]).T / 1000
TRIANGULATED_FRAME = np.array([[-950, 360, -40], [-950, -360, -40], [-700, 450, 170], [-700, -450, 170]]).T / 1000
ARMS_AXLE = np.array([[80, 420, 0], [-80, 420, -90], [80, -420, 0], [-80, -420, -90], [60, -420, 70]]).T / 1000
ARMS_FRAME = np.array([[-950, 380, 0]] * 2 + [[-950, -380, 0]] * 2 + [[60, 410, 110]]).T / 1000

KINDS = {
    "three-link": Layout(np.zeros(3), THREE_LINK_FRAME, THREE_LINK_AXLE, np.full(4, 1e7)),
    "triangulated four-link": Layout(np.zeros(3), TRIANGULATED_FRAME, TRIANGULATED_AXLE, np.full(4, 1e7)),
    "radius arms": Layout(np.zeros(3), ARMS_FRAME, ARMS_AXLE, np.array([4e6, 5e6, 4e6, 5e6, 9e6])),
}
RANGE = np.linspace(-0.1, 0.1, 3)


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    """One of the kinds with every joint moved by up to 30 mm and its stiffnesses changed."""
    kind = KINDS[draw(st.sampled_from(sorted(KINDS)))]
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    return replace(
        kind,
        frame=kind.frame + random.uniform(-0.03, 0.03, kind.frame.shape),
        axle=kind.axle + random.uniform(-0.03, 0.03, kind.axle.shape),
        stiffness=kind.stiffness * random.uniform(0.3, 3.0, kind.stiffness.shape),
    )


heaves = st.floats(-0.1, 0.1)
rolls = st.floats(-0.12, 0.12)


def unknowns(poses: Poses) -> Array:
    assert poses.solved.all()
    return np.stack([poses.x, poses.y, poses.pitch, poses.yaw])


def mirrored(points: Array) -> Array:
    return points * np.array([1.0, -1.0, 1.0])[:, np.newaxis]


@given(layouts(), heaves, rolls)
@settings(max_examples=60, deadline=None)
def test_links_keep_their_length_or_share_the_least_energy(layout: Layout, heave: float, roll: float) -> None:
    """Measured from the carried joints, not from the solver's own stretch; and no small push lowers the
    energy.
    """
    poses = solve(layout, heave, roll)
    assert poses.solved.all()
    ends = np.stack([carry(poses, point)[:, 0] for point in layout.axle.T], axis=1)
    at_ride = np.linalg.norm(layout.axle - layout.frame, axis=0)
    stretch = np.linalg.norm(ends - layout.frame, axis=0) - at_ride
    np.testing.assert_allclose(poses.stretch[:, 0], stretch, rtol=0.0, atol=1e-12)
    if len(at_ride) == 4:
        assert np.abs(stretch).max() <= 1e-12
        return
    energy = 0.5 * (layout.stiffness * stretch**2).sum()
    for unknown in ("x", "y", "pitch", "yaw"):
        for push in (1e-6, -1e-6):
            pushed = replace(poses, **{unknown: getattr(poses, unknown) + push})
            ends = np.stack([carry(pushed, point)[:, 0] for point in layout.axle.T], axis=1)
            stretch = np.linalg.norm(ends - layout.frame, axis=0) - at_ride
            assert 0.5 * (layout.stiffness * stretch**2).sum() > energy


@given(layouts(), heaves, rolls)
@settings(max_examples=40, deadline=None)
def test_mirror_image_build_mirrors_the_pose(layout: Layout, heave: float, roll: float) -> None:
    other = replace(layout, frame=mirrored(layout.frame), axle=mirrored(layout.axle))
    x, y, pitch, yaw = unknowns(solve(layout, heave, roll))
    np.testing.assert_allclose(unknowns(solve(other, heave, -roll)), [x, -y, pitch, -yaw], rtol=0.0, atol=1e-10)


@given(layouts(), heaves, rolls, st.tuples(*[st.floats(-3.0, 3.0)] * 3))
@settings(max_examples=40, deadline=None)
def test_place_of_the_origin_does_not_matter(
    layout: Layout, heave: float, roll: float, shift: tuple[float, float, float]
) -> None:
    move = np.array(shift)
    moved = replace(
        layout,
        centre=layout.centre + move,
        frame=layout.frame + move[:, None],
        axle=layout.axle + move[:, None],
    )
    expected = unknowns(solve(layout, heave, roll))
    np.testing.assert_allclose(unknowns(solve(moved, heave, roll)), expected, rtol=0.0, atol=1e-10)


@given(layouts(), heaves, rolls, st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_order_of_constraints_does_not_matter(layout: Layout, heave: float, roll: float, random: object) -> None:
    order = list(range(layout.frame.shape[1]))
    random.shuffle(order)  # type: ignore[attr-defined]
    shuffled = replace(
        layout, frame=layout.frame[:, order], axle=layout.axle[:, order], stiffness=layout.stiffness[order]
    )
    poses, other = solve(layout, heave, roll), solve(shuffled, heave, roll)
    np.testing.assert_allclose(unknowns(other), unknowns(poses), rtol=0.0, atol=1e-10)
    np.testing.assert_allclose(other.stretch, poses.stretch[order], rtol=0.0, atol=1e-10)


@given(layouts(), heaves, rolls, st.floats(0.25, 4.0))
@settings(max_examples=40, deadline=None)
def test_scaled_build_keeps_its_angles(layout: Layout, heave: float, roll: float, scale: float) -> None:
    scaled = replace(layout, frame=layout.frame * scale, axle=layout.axle * scale)
    x, y, pitch, yaw = unknowns(solve(layout, heave, roll))
    found = unknowns(solve(scaled, heave * scale, roll))
    np.testing.assert_allclose(found, [x * scale, y * scale, pitch, yaw], rtol=0.0, atol=1e-10)


@pytest.mark.parametrize("heave", RANGE)
def test_symmetric_build_neither_yaws_nor_shifts_in_heave(heave: float) -> None:
    poses = solve(KINDS["triangulated four-link"], heave, 0.0)
    np.testing.assert_allclose(unknowns(poses)[[1, 3]], 0.0, rtol=0.0, atol=1e-13)


@pytest.mark.parametrize("kind", KINDS)
def test_ride_height_is_zero(kind: str) -> None:
    poses = solve(KINDS[kind], 0.0, 0.0)
    np.testing.assert_allclose(unknowns(poses), 0.0, rtol=0.0, atol=1e-15)
    np.testing.assert_allclose(poses.stretch, 0.0, rtol=0.0, atol=1e-15)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("count", [60, 300, 5000])
def test_size_of_the_batch_does_not_matter(kind: str, count: int) -> None:
    """Large batches are solved another way than small ones."""
    random = np.random.default_rng(count)
    heave, roll = random.uniform(-0.12, 0.12, count), random.uniform(-0.15, 0.15, count)
    together = solve(KINDS[kind], heave, roll)
    some = range(0, count, max(1, count // 40))
    alone = np.concatenate([unknowns(solve(KINDS[kind], heave[i], roll[i])) for i in some], axis=1)
    np.testing.assert_allclose(unknowns(together)[:, list(some)], alone, rtol=0.0, atol=1e-10)
    if len(together.stretch) == 4:
        assert np.abs(together.stretch).max() <= 1e-12


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("count", [3, 70, 2500])
def test_builds_are_solved_as_if_alone(kind: str, count: int) -> None:
    random = np.random.default_rng(7)
    nominal, builds = KINDS[kind], 5
    frame = nominal.frame[..., np.newaxis] + random.normal(0.0, 0.005, (*nominal.frame.shape, builds))
    axle = nominal.axle[..., np.newaxis] + random.normal(0.0, 0.005, (*nominal.axle.shape, builds))
    centre = random.normal(0.0, 0.005, (3, builds))
    heave, roll = random.uniform(-0.1, 0.1, count), random.uniform(-0.12, 0.12, count)
    together = solve(Layout(centre, frame, axle, nominal.stiffness), heave, roll)
    assert together.x.shape == (builds, count)
    assert together.stretch.shape == (frame.shape[1], builds, count)
    for build in range(builds):
        alone = solve(Layout(centre[:, build], frame[..., build], axle[..., build], nominal.stiffness), heave, roll)
        np.testing.assert_allclose(unknowns(together)[:, build], unknowns(alone), rtol=0.0, atol=1e-10)
        np.testing.assert_allclose(
            carry(together, axle[:, 0, :])[:, build], carry(alone, axle[:, 0, build]), rtol=0.0, atol=1e-10
        )


def in_fine_steps(layout: Layout, heave: Array, roll: Array, steps: int) -> tuple[Array, NDArray[np.bool_]]:
    """Poses by many small steps from ride in plain vehicle axes, and whether no dead point lay on the way."""
    arms, frame = layout.axle.T, layout.frame.T
    lengths = np.linalg.norm(arms - frame, axis=1)
    now = np.zeros((4, len(heave)))
    before = now.copy()
    at_ride = None
    alive = np.ones(len(heave), dtype=bool)
    for share in np.arange(1, steps + 1) / steps:
        guess = 2.0 * now - before
        before, now = now, guess
        for _ in range(4):
            x, y, pitch, yaw = now
            ends = np.einsum("ijp,nj->pni", rotation(yaw, pitch, roll * share), arms)
            spans = ends + np.stack([x, y, heave * share], axis=1)[:, np.newaxis] - frame
            now_long = np.linalg.norm(spans, axis=2)
            along = spans / now_long[..., np.newaxis]
            pitch_axis = np.stack([-np.sin(yaw), np.cos(yaw), 0.0 * yaw], axis=1)[:, np.newaxis]
            by_pitch = (along * np.cross(pitch_axis, ends)).sum(axis=2)
            by_yaw = (along * np.cross([0.0, 0.0, 1.0], ends)).sum(axis=2)
            matrix = np.stack([along[..., 0], along[..., 1], by_pitch, by_yaw], axis=2)
            determinant = np.linalg.det(matrix)
            at_ride = determinant if at_ride is None else at_ride
            step = np.linalg.solve(matrix, (now_long - lengths)[..., np.newaxis])[..., 0].T
            now = now - np.where(np.abs(step) < 1.0, step, 0.0)
        alive &= (determinant * at_ride > 0.0) & (np.abs(now - guess).max(axis=0) < 0.02)
    return now, alive


@pytest.mark.parametrize("kind", ["three-link", "triangulated four-link"])
@pytest.mark.parametrize("count", [40, 400])
def test_poses_stay_on_the_branch_of_ride_height(kind: str, count: int) -> None:
    """Over a range so wide that some poses lie past a dead point; small and large batches."""
    random = np.random.default_rng(3)
    heave, roll = random.uniform(-0.35, 0.35, count), random.uniform(-0.6, 0.6, count)
    poses = solve(KINDS[kind], heave, roll)
    expected, alive = in_fine_steps(KINDS[kind], heave[:40], roll[:40], 600)
    np.testing.assert_array_equal(poses.solved[:40], alive)
    found = np.stack([poses.x, poses.y, poses.pitch, poses.yaw])[:, :40]
    np.testing.assert_allclose(found[:, alive], expected[:, alive], rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(8))
def test_poses_along_a_path_follow_each_other(kind: str, seed: int) -> None:
    """Poses solved each for itself, far out to where wound-up joints once threw the search onto another branch."""
    random = np.random.default_rng(seed)
    nominal = KINDS[kind]
    layout = replace(
        nominal,
        frame=nominal.frame + random.uniform(-0.03, 0.03, nominal.frame.shape),
        axle=nominal.axle + random.uniform(-0.03, 0.03, nominal.axle.shape),
    )
    share = np.linspace(0.0, 1.0, 150)
    for _ in range(12):
        heave, roll = random.uniform(-0.2, 0.2), random.uniform(-0.35, 0.35)
        poses = solve(layout, heave * share, roll * share)
        found = np.stack([poses.x, poses.y, poses.pitch, poses.yaw])[:, poses.solved]
        assert poses.solved[:100].all()
        assert np.abs(np.diff(found, axis=1)).max() < 0.02


@pytest.mark.parametrize("count", [4, 100, 3000])
def test_pose_out_of_reach_is_said_so(count: int) -> None:
    """Links 0.87 m long cannot let the axle rise by 1 m; poses within reach beside such a one are solved all
    the same.
    """
    heave = np.linspace(0.0, 0.1, count)
    heave[-1] = 1.0
    poses = solve(KINDS["three-link"], heave, 0.0)
    assert poses.status[-1] == Status.OUT_OF_REACH
    assert (poses.status[:-1] == Status.SOLVED).all()
    assert np.isnan([poses.x[-1], poses.y[-1], poses.pitch[-1], poses.yaw[-1]]).all()
    assert np.isnan(poses.stretch[:, -1]).all()
    assert np.isnan(carry(poses, np.zeros(3))[:, -1]).all()


def test_a_path_of_too_many_strides_is_given_up_and_takes_nothing_from_the_others(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Arms whose frame ends lie between their axle ends wind up within inches, and their paths crawl."""
    frame = ARMS_FRAME.copy()
    frame[0, :4] = 0.0
    arms = replace(KINDS["radius arms"], frame=frame)
    heave = np.linspace(-0.25, 0.2, 50)
    tried = 0
    correct = continuation._correct

    def counted(*asked: Any) -> Any:
        nonlocal tried
        tried += 1
        return correct(*asked)

    monkeypatch.setattr(continuation, "_correct", counted)
    poses = solve(arms, heave, 0.0)
    assert tried == continuation.MOST_STRIDES
    assert 0 < poses.solved.sum() < 50
    assert np.isnan(poses.yaw[~poses.solved]).all()
    assert (poses.status[~poses.solved] == Status.NOT_CONVERGED).all()
    monkeypatch.setattr(continuation, "MOST_STRIDES", 10_000)
    patient = solve(arms, heave, 0.0)
    assert patient.solved.sum() > poses.solved.sum()
    for one, other in ((poses.x, patient.x), (poses.y, patient.y), (poses.pitch, patient.pitch)):
        assert np.array_equal(one[poses.solved], other[poses.solved])


@pytest.mark.parametrize(
    ("kept", "motions"),
    [
        (
            [],
            (
                "the axle can move fore and aft",
                "the axle can move sideways",
                "the axle can pitch",
                "the axle can yaw",
            ),
        ),
        ([0, 1, 2], ("the axle can move sideways",)),
        ([0, 1, 3], ("the axle can pitch",)),
        ([0, 1], ("the axle can move sideways", "the axle can pitch")),
        ([3], ("the axle can move fore and aft", "the axle can pitch", "the axle can yaw")),
    ],
)
def test_axle_that_is_not_held(kept: list[int], motions: tuple[str, ...]) -> None:
    whole = KINDS["three-link"]
    part = Layout(whole.centre, whole.frame[:, kept], whole.axle[:, kept], whole.stiffness[kept])
    assert free_motions(part) == motions
    with pytest.raises(FreeAxle, match="do not hold the axle") as caught:
        solve(part, 0.0, 0.0)
    assert caught.value.motions == motions


def test_two_links_in_the_centre_plane_and_a_bar_leave_yaw() -> None:
    axle = np.array([[0, 0, -100], [0, 0, 150], [0, -400, 0]]).T / 1000
    frame = np.array([[-900, 0, -100], [-900, 0, 150], [0, 400, 0]]).T / 1000
    assert free_motions(Layout(np.zeros(3), frame, axle, np.full(3, 1e7))) == ("the axle can yaw",)


def test_four_parallel_links_without_a_bar_can_move_sideways() -> None:
    axle = np.array([[0, 400, -100], [0, -400, -100], [0, 400, 150], [0, -400, 150]]).T / 1000
    parallel = Layout(np.zeros(3), axle - np.array([[0.9], [0.0], [0.0]]), axle, np.full(4, 1e7))
    assert "the axle can move sideways" in free_motions(parallel)


@pytest.mark.parametrize("bad", [np.nan, np.inf])
@pytest.mark.parametrize("field", ["centre", "frame", "axle", "stiffness"])
def test_layout_must_be_finite(field: str, bad: float) -> None:
    layout = KINDS["three-link"]
    values = getattr(layout, field).copy()
    values.flat[0] = bad
    with pytest.raises(ValueError, match="finite"):
        solve(replace(layout, **{field: values}), 0.0, 0.0)


@pytest.mark.parametrize(("heave", "roll"), [(np.nan, 0.0), (0.0, np.inf)])
def test_asked_pose_must_be_finite(heave: float, roll: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        solve(KINDS["three-link"], heave, roll)


def test_layout_must_make_sense() -> None:
    layout = KINDS["three-link"]
    with pytest.raises(ValueError, match="no length"):
        solve(replace(layout, frame=layout.axle), 0.0, 0.0)
    with pytest.raises(ValueError, match="above zero"):
        solve(replace(layout, stiffness=np.zeros(4)), 0.0, 0.0)
    with pytest.raises(ValueError, match="do not belong together"):
        solve(replace(layout, stiffness=np.ones(3)), 0.0, 0.0)
    with pytest.raises(ValueError, match="broadcast"):
        solve(layout, np.zeros(3), np.zeros(4))


def test_no_poses_asked() -> None:
    poses = solve(KINDS["three-link"], np.zeros(0), 0.0)
    assert poses.x.shape == (0,)
    assert poses.stretch.shape == (4, 0)


@pytest.mark.parametrize("kind", KINDS)
def test_slopes_are_the_limits_of_differences(kind: str) -> None:
    layout, step = KINDS[kind], 1e-5
    heave, roll = np.array([0.0, 0.05, -0.08]), np.array([0.0, 0.1, -0.06])
    found = slopes_over(solve(layout, heave, roll), layout)
    by_heave = unknowns(solve(layout, heave + step, roll)) - unknowns(solve(layout, heave - step, roll))
    by_roll = unknowns(solve(layout, heave, roll + step)) - unknowns(solve(layout, heave, roll - step))

    def rows(rates: Rates) -> Array:
        return np.stack([rates.x, rates.y, rates.pitch, rates.yaw])

    np.testing.assert_allclose(rows(found.heave), by_heave / (2 * step), rtol=0.0, atol=1e-8)
    np.testing.assert_allclose(rows(found.roll), by_roll / (2 * step), rtol=0.0, atol=1e-8)
    at_ride = slopes(layout)
    np.testing.assert_allclose(rows(at_ride.heave), rows(found.heave)[:, 0], rtol=0.0, atol=1e-12)
    np.testing.assert_allclose(rows(at_ride.roll), rows(found.roll)[:, 0], rtol=0.0, atol=1e-12)
