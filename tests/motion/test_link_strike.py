"""A strike on a link: statics of the link, the axle that holds it, and the bending of a tube."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildcheck.motion.link_strike import RoundTube, bending_stress, drop_factor, link_strike, stiffness_across
from buildcheck.motion.statics import Supports, axial_forces

TUBE = RoundTube(0.0508, 0.00635)
SPAN, FORCE, STEEL = 0.9, 8000.0, 200e9
AXLE_END, FRAME_END = np.array([0.0, 0.4, 0.3]), np.array([-0.9, 0.4, 0.3])


def test_a_force_across_the_middle_of_a_link() -> None:
    """P L / 4 and half to each joint; the numbers checked with a frame program (PyNite 3.2.0)."""
    strike = link_strike(np.zeros(3), AXLE_END, FRAME_END, [0.0, 0.0, FORCE])
    assert strike.bending_moment == pytest.approx(1800.0, rel=1e-12)
    np.testing.assert_allclose(strike.on_axle, [0, 0, FORCE / 2])
    np.testing.assert_allclose(strike.on_frame, [0, 0, FORCE / 2])
    assert strike.axial == 0.0
    np.testing.assert_allclose(strike.load.moment, np.cross(AXLE_END, [0, 0, FORCE / 2]))
    assert float(bending_stress(strike.bending_moment, TUBE)) == pytest.approx(204.589523337e6, rel=1e-9)


def test_how_far_it_bends_and_what_a_falling_truck_does() -> None:
    """48 E I / L^3 and the factor of a drop (Shigley, from memory)."""
    stiffness = float(stiffness_across(SPAN, TUBE, STEEL))
    assert FORCE / stiffness == pytest.approx(2.718463154575e-3, rel=1e-9)
    assert stiffness == pytest.approx(2942.8392238963e3, rel=1e-9)
    factor = float(drop_factor(500.0, 0.1, stiffness))
    assert factor == pytest.approx(35.3239812603, rel=1e-9)
    assert factor * 500.0 == pytest.approx(17661.9906302, rel=1e-9)
    assert drop_factor(500.0, 0.0, stiffness) == 2.0  # set down at once, not dropped


def test_sections_of_tubes() -> None:
    assert TUBE.second_moment == pytest.approx(223471.85e-12, rel=1e-7)
    assert TUBE.section_modulus == pytest.approx(8798.104e-9, rel=1e-7)
    assert RoundTube(0.04445, 0.003175).second_moment == pytest.approx(88191.57e-12, rel=1e-7)


@given(st.floats(0.05, 0.95), st.floats(0.2, 2.0))
@settings(max_examples=30, deadline=None)
def test_the_stiffness_bends_a_beam_by_its_moments(share: float, span: float) -> None:
    """Energy of the bending moments, integral of M M / (2 E I), is that of the force on its deflection."""
    step = span / 20000
    place = (np.arange(20000) + 0.5) * step
    moment = np.where(place < share * span, (1 - share) * place, share * (span - place))
    energy = (moment**2).sum() * step / (2 * STEEL * TUBE.second_moment)
    assert 0.5 / float(stiffness_across(span, TUBE, STEEL, share)) == pytest.approx(energy, rel=1e-6)


@given(st.integers(0, 2**32 - 1), st.floats(0.0, 1.0))
@settings(max_examples=60, deadline=None)
def test_the_link_is_in_balance(seed: int, share: float) -> None:
    random = np.random.default_rng(seed)
    centre, start, end, force = random.normal(0.0, 1.0, (4, 3))
    strike = link_strike(centre, start, end, force, share)
    np.testing.assert_allclose(strike.on_axle + strike.on_frame, force, atol=1e-12)
    turning = np.cross(share * (end - start), force) - np.cross(end - start, strike.on_frame)
    np.testing.assert_allclose(turning, 0.0, atol=1e-12)
    # The moment at the strike, from the axle joint's share across the link.
    assert strike.bending_moment == pytest.approx(np.linalg.norm(np.cross(share * (end - start), strike.on_axle)))
    assert strike.axial == pytest.approx(force @ (end - start) / np.linalg.norm(end - start))


def test_a_strike_along_a_link_of_an_exact_layout_ends_in_its_frame_joint() -> None:
    """The axle needs nothing of the link, so the whole of it goes to the frame, wherever it strikes."""
    centre = np.zeros(3)
    axle = np.array([[0, 0.4, -0.1], [0, -0.4, -0.1], [0, 0, 0.1], [0, -0.4, 0], [0, 0.45, 0], [0, -0.45, 0]]).T
    along = np.array([[-1, 0, 0.1], [-1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 1]], dtype=float).T
    supports = Supports.along(centre, axle, along, np.full(6, 1e6))
    line = supports.direction[:, 0]
    for share in (0.2, 0.5, 0.9):
        strike = link_strike(centre, axle[:, 0], axle[:, 0] + 0.9 * line, 5000.0 * line, share)
        tension = axial_forces(supports, strike.load)
        np.testing.assert_allclose(tension[1:], 0.0, atol=1e-9)
        np.testing.assert_allclose(strike.on_axle + tension[0] * line, 0.0, atol=1e-9)
        np.testing.assert_allclose(strike.on_frame - tension[0] * line, 5000.0 * line)


def test_a_strike_along_a_link_between_two_held_ends_is_shared_as_springs_share_it() -> None:
    """Two links in line, fore and aft of the axle, each of stiffness k; the first one is struck at s.

    The struck link is two springs, k / s next to the axle and k / (1 - s) beyond; solved as such by hand.
    """
    stiffness, force, share = 1e6, 5000.0, 0.3
    axle = np.array([[0, 0, 0], [0, 0, 0], [0, 0.4, -0.2], [0, -0.4, -0.2], [0, -0.4, 0], [0, 0.45, 0.1],
                     [0, -0.45, 0.1]]).T  # fmt: skip
    along = np.array([[-1, 0, 0], [1, 0, 0], [0, 1, 1], [0, 1, -1], [0, 1, 0], [0.3, 0, 1], [-0.3, 0, 1]], dtype=float)
    # Only the two in line reach along x without turning the axle; the rest are made too soft to matter.
    stiffnesses = np.array([1.0, 1.0, *[1e-9] * 5]) * stiffness
    supports = Supports.along(np.zeros(3), axle, along.T, stiffnesses)
    push = np.array([-force, 0.0, 0.0])
    strike = link_strike(np.zeros(3), [0, 0, 0], [-0.9, 0, 0], push, share)
    tension = axial_forces(supports, strike.load)
    near, far, behind = stiffness / share, stiffness / (1 - share), stiffness
    # Unknown: the axle's and the strike's displacement along -x.
    moved = np.linalg.solve([[near + behind, -near], [-near, near + far]], [0.0, force])
    assert tension[1] == pytest.approx(behind * moved[0], rel=1e-6)
    assert strike.on_axle[0] - tension[0] == pytest.approx(-near * (moved[1] - moved[0]), rel=1e-6)
    assert strike.on_frame[0] + tension[0] == pytest.approx(-far * moved[1], rel=1e-6)


def test_many_strikes_over_many_poses() -> None:
    start = AXLE_END[:, None] + np.zeros((3, 4))
    strike = link_strike(np.zeros(3), start, FRAME_END, [0.0, 0.0, FORCE], np.array([[0.25], [0.5]]))
    assert strike.load.moment.shape == (3, 2, 4)
    np.testing.assert_allclose(strike.bending_moment, [[1350.0] * 4, [1800.0] * 4])


def test_refuses_places_beside_the_link_and_tubes_that_cannot_be() -> None:
    for share in (-0.01, 1.01, float("nan")):
        with pytest.raises(ValueError, match="share of the link"):
            link_strike(np.zeros(3), AXLE_END, FRAME_END, [0.0, 0.0, 1.0], share)
    for wall in (0.0, 0.03, float("nan")):
        with pytest.raises(ValueError, match="wall"):
            RoundTube(0.05, wall)
