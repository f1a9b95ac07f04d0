"""Joint angles against scipy's rotations."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buildcheck.axle.joints import bolt_tilt, cone_angle, line_turn, misalignment


def test_joint_angles_by_scipy_s_rotations() -> None:
    """Turns composed by scipy of that of a part and one against it."""
    random = np.random.default_rng(3)
    for _ in range(40):
        bolt = random.normal(size=3)
        bolt /= np.linalg.norm(bolt)
        part, between = Rotation.random(random_state=random), Rotation.from_rotvec(random.uniform(-0.6, 0.6, 3))
        arm = part * between
        cone = float(cone_angle(arm.as_matrix(), bolt, part.as_matrix()))
        assert cone == pytest.approx(np.arccos(bolt @ between.apply(bolt)), abs=1e-9)
        ride = random.normal(size=3)
        ride /= np.linalg.norm(ride)
        seen = between.apply(ride)
        assert float(line_turn(ride, arm.apply(ride), part.as_matrix())) == pytest.approx(
            np.arccos(np.clip(ride @ seen, -1, 1)), abs=1e-7
        )
        tilt = bolt_tilt(arm.apply(ride), bolt, part.as_matrix())
        assert float(tilt) == pytest.approx(np.arcsin(seen @ bolt), abs=1e-9)


def test_misalignment_of_a_tilt_alone_is_the_tilt() -> None:
    np.testing.assert_allclose(misalignment([-0.4, 0.0, 1e-9]), [0.4, 0.0, 1e-9], rtol=1e-12)
