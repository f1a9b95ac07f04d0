"""What moving along its path does to the place of the wheels and to the angles that are set at ride height.

Axes are those of ISO 8855 (x forward, y left, z up), fixed to the body. Every change is against ride height, where it
is zero. Points and directions of the axle are given as they are at ride height, shaped as `rotation.carry` takes
them: (3,), or (3, builds), (3, points), (3, points, builds). Results have the shape (..., poses), in metres or
radians; NaN where a pose is not solved. Nothing here is linearised.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.poses import Poses
from buildcheck.motion.rotation import carry, carry_direction
from buildcheck.motion.vectors import Array


def wheelbase_change(poses: Poses, wheel_centre: ArrayLike, front: bool = True, turned: Array | None = None) -> Array:
    """How much longer the wheelbase is on the side of this wheel centre, m; the axle's yaw included.

    It is the forward displacement of the wheel centre for a front axle, the rearward one for a rear axle. `turned` is
    the poses' `rotation.attitude`, for a caller that has it.
    """
    return (1.0 if front else -1.0) * _displacement(poses, wheel_centre, 0, turned)


def lateral_shift(poses: Poses, point: ArrayLike, turned: Array | None = None) -> Array:
    """How far a point of the axle moves to the left, m.

    Given the axle centre, it is the shift of the axle under the body; `turned` as for `wheelbase_change`.
    """
    return _displacement(poses, point, 1, turned)


def caster_change(poses: Poses, kingpin: ArrayLike, turned: Array | None = None) -> Array:
    """How much caster the axle gains, rad, from the direction of a kingpin axis at ride height, either way up.

    Caster is the angle of the axis to the vertical as seen from the side, + with the top leaning rearward (SAE J670,
    from memory). In pure pitch the gain is minus the pitch, as nose down is positive. `turned` as for
    `wheelbase_change`. Raises ValueError for an axis that has no direction as seen from the side.
    """
    return _nose_up(poses, kingpin, "kingpin axis", turned)


def pinion_change(poses: Poses, pinion: ArrayLike, turned: Array | None = None) -> Array:
    """How much further up the pinion points, rad, from its direction towards the driveshaft at ride height.

    Seen from the side. In pure pitch a pinion that points rearward, that of a front axle, gains the pitch, and one
    that points forward loses it. `turned` as for `wheelbase_change`. Raises ValueError for a pinion that points
    neither forward nor rearward.
    """
    forward = np.asarray(pinion, dtype=np.float64)[0, ..., np.newaxis]
    if not (forward != 0.0).all():
        raise ValueError("The pinion must point forward or rearward.")
    gained: Array = np.sign(forward) * _nose_up(poses, pinion, "pinion", turned)
    return gained


def _displacement(poses: Poses, point: ArrayLike, component: int, turned: Array | None) -> Array:
    at_ride = np.asarray(point, dtype=np.float64)[component, ..., np.newaxis]
    moved: Array = carry(poses, point, turned)[component] - at_ride
    return moved


def _nose_up(poses: Poses, direction: ArrayLike, name: str, turned: Array | None) -> Array:
    """By how much a direction turns in the side view, rad; + as when the nose goes up (from x towards z)."""
    x, _, z = np.asarray(direction, dtype=np.float64)[..., np.newaxis]
    if not (np.hypot(x, z) > 0.0).all():
        raise ValueError(f"The {name} has no direction as seen from the side.")
    now_x, _, now_z = carry_direction(poses, direction, turned)
    angle: Array = np.arctan2(x * now_z - z * now_x, x * now_x + z * now_z)
    return angle
