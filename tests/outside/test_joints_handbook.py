"""Rod ends against makers' engineering references, and joint angles against scipy's rotations."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buildcheck.motion.joints import bolt_turn, cone_turn, line_turn, misalignment
from buildcheck.motion.rod_ends import (
    ULTIMATE_OVER_LIMIT,
    limit_against_face,
    limit_by_stud,
    radial_rating,
)


def test_limit_against_a_face_flush_with_the_ball() -> None:
    """Boston Gear, general catalogue, spherical bearing misalignment: formula read, numbers from it by arithmetic."""
    inch = np.degrees(float(limit_against_face(0.75, 0.5625, 1.125)))
    assert inch == pytest.approx(11.810314895779, abs=1e-9)
    assert inch == pytest.approx(12, abs=0.5)  # the catalogue's own figure for the size of 5/8 in bore
    metric = np.degrees(float(limit_against_face(22.0, 16.0, 34.9)))
    assert metric == pytest.approx(11.790300260181, abs=1e-9)


def test_limit_by_a_stud_of_the_bore() -> None:
    """From geometry; the printed asin(bore / ball) gives 3.75 degrees against the catalogue's own 23 to 34."""
    limit = np.degrees(float(limit_by_stud(0.625, 0.5625, 1.125)))
    assert limit == pytest.approx(26.251011404111, abs=1e-9)
    assert 23 < limit < 34
    misprinted = np.degrees(np.arcsin(0.625 / 1.125) - np.arcsin(0.5625 / 1.125))
    assert misprinted == pytest.approx(3.75, abs=0.01)


def test_limit_by_a_stud_is_where_it_touches_the_housing() -> None:
    """In the plane through both axes: the stud's edge, turned by the limit, meets the housing's edge on the ball."""
    ball, bore, width = 1.125, 0.625, 0.5625
    limit = float(limit_by_stud(bore, width, ball))
    stud = np.array([np.sqrt(ball**2 - bore**2), bore]) / 2  # along the bolt, out from it
    cosine, sine = np.cos(-limit), np.sin(-limit)
    turned = np.array([[sine, cosine], [cosine, -sine]]) @ stud
    housing = np.array([np.sqrt(ball**2 - width**2), width]) / 2  # out from the bore, along it
    np.testing.assert_allclose(np.hypot(*turned), ball / 2, rtol=1e-12)
    out, along = stud[1], stud[0]
    angle_of_stud, angle_of_housing = np.arctan2(along, out), np.arctan2(housing[1], housing[0])
    assert angle_of_stud - angle_of_housing == pytest.approx(limit, abs=1e-14)


def test_order_of_a_catalogue_s_limits() -> None:
    """Boston Gear lists 8, 12 and 23 degrees for one size: a stud of the bore leaves more room than a wide face."""
    assert float(limit_against_face(0.75, 0.5625, 1.125)) < float(limit_by_stud(0.625, 0.5625, 1.125))


@pytest.mark.parametrize("sizes", [(1.2, 0.5, 1.1), (0.5, 0.6, 1.1), (0.5, 0.0, 1.1), (np.nan, 0.5, 1.1)])
def test_sizes_that_cannot_be_have_no_limit(sizes: tuple[float, float, float]) -> None:
    assert np.isnan(limit_against_face(*sizes))


@pytest.mark.parametrize("sizes", [(1.1, 0.5, 1.0), (0.9, 0.9, 1.0), (0.0, 0.5, 1.0), (0.5, np.nan, 1.0)])
def test_stud_that_cannot_be_has_no_limit(sizes: tuple[float, float, float]) -> None:
    assert np.isnan(limit_by_stud(*sizes))


def test_radial_rating_of_a_ball() -> None:
    """NHBB engineering reference, rod ends and spherical bearings: 0.5 in, 0.9 in, 75 000 psi and 112 500 psi."""
    limit = float(radial_rating(0.5, 0.9, 75_000))
    assert limit == pytest.approx(30_712.5, abs=1e-9)
    ultimate = float(radial_rating(0.5, 0.9, 112_500))
    assert ultimate == pytest.approx(46_068.75, abs=1e-9)
    assert ultimate / limit == pytest.approx(ULTIMATE_OVER_LIMIT, rel=1e-12)
    assert np.all(np.isnan(radial_rating([0.0, 0.5, 0.5], [0.9, -0.9, 0.9], [75_000, 75_000, np.nan])))


def test_joint_angles_by_scipy_s_rotations() -> None:
    """Turns composed by scipy of a bolt's turn and a swing, its own quaternions taken apart by hand."""
    random = np.random.default_rng(3)
    for _ in range(40):
        bolt = random.normal(size=3)
        bolt /= np.linalg.norm(bolt)
        part, between = Rotation.random(random_state=random), Rotation.from_rotvec(random.uniform(-0.6, 0.6, 3))
        arm = part * between
        found = cone_turn(arm.as_matrix(), bolt, part.as_matrix())
        *vector, scalar = between.as_quat()
        assert float(found.twist) == pytest.approx(2 * np.arctan(np.dot(vector, bolt) / scalar), abs=1e-12)
        assert float(found.cone) == pytest.approx(np.arccos(bolt @ between.apply(bolt)), abs=1e-9)
        ride = random.normal(size=3)
        ride /= np.linalg.norm(ride)
        seen = between.apply(ride)
        assert float(line_turn(ride, arm.apply(ride), part.as_matrix())) == pytest.approx(
            np.arccos(np.clip(ride @ seen, -1, 1)), abs=1e-7
        )
        tilt = bolt_turn(ride, arm.apply(ride), bolt, part.as_matrix()).tilt
        assert float(tilt) == pytest.approx(np.arcsin(seen @ bolt), abs=1e-9)


def test_misalignment_of_a_tilt_alone_is_the_tilt() -> None:
    np.testing.assert_allclose(misalignment([-0.4, 0.0, 1e-9]), [0.4, 0.0, 1e-9], rtol=1e-12)
