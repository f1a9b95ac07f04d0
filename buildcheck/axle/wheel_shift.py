"""What moving along its path does to the place of the wheels.

Axes are those of ISO 8855 (x forward, y left, z up), fixed to the body. The change is against ride height, where it is
zero; nothing here is linearised.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.poses import Poses
from buildcheck.axle.rotation import carry
from buildcheck.axle.vectors import Array


def wheelbase_change(poses: Poses, wheel_centre: ArrayLike, front: bool = True, turned: Array | None = None) -> Array:
    """How much longer the wheelbase is on the side of this wheel centre, m, (..., poses); the axle's yaw included.

    It is the forward displacement of the wheel centre for a front axle, the rearward one for a rear axle; NaN where a
    pose is not solved. `wheel_centre` is where it stands at ride height, shaped as `rotation.carry` takes it: (3,) m,
    or (3, builds), (3, points), (3, points, builds). `turned` is the poses' `rotation.attitude`, for a caller that has
    it.
    """
    at_ride = np.asarray(wheel_centre, dtype=np.float64)[0, ..., np.newaxis]
    forward: Array = carry(poses, wheel_centre, turned)[0] - at_ride
    return forward if front else -forward
