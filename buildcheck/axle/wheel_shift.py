"""Displacement of the wheels as the axle moves along its path.

Axes are those of ISO 8855 (x forward, y left, z up), fixed to the body. Changes are relative to ride height, where they
are zero; nothing here is linearised.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.poses import Poses
from buildcheck.axle.rotation import carry
from buildcheck.axle.vectors import Array


def wheelbase_change(poses: Poses, wheel_centre: ArrayLike, front: bool = True, turned: Array | None = None) -> Array:
    """Change of the wheelbase on the side of this wheel centre, + longer, m, (..., poses); the axle's yaw included.

    It is the forward displacement of the wheel centre for a front axle, the rearward one for a rear axle; NaN where a
    pose is not solved. `wheel_centre` is its position at ride height, shaped as for `rotation.carry`: (3,) m,
    or (3, builds), (3, points), (3, points, builds). `turned` is the poses' `rotation.attitude`, for a caller that
    already has it.
    """
    at_ride = np.asarray(wheel_centre, dtype=np.float64)[0, ..., np.newaxis]
    forward: Array = carry(poses, wheel_centre, turned)[0] - at_ride
    return forward if front else -forward
