"""Rotations of the axle and of the parts on it.

Axes are those of ISO 8855: x forward, y left, z up. Positive roll lifts the left side, positive pitch drops
the nose, positive yaw turns the nose left. Vectors hold (x, y, z) on their first axis.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, cross, dot, unit

if TYPE_CHECKING:
    from buildcheck.axle.poses import Poses


def rotation(yaw: ArrayLike, pitch: ArrayLike, roll: ArrayLike) -> Array:
    """Rotation matrix Rz(yaw) Ry(pitch) Rx(roll), from axle axes to vehicle axes.

    Angles in radians, any shapes that broadcast together; the matrix has shape (3, 3, ...).
    Source: ISO 8855:2011, yaw, pitch and roll as intrinsic rotations in that order.
    """
    yaw, pitch, roll = np.broadcast_arrays(
        np.asarray(yaw, dtype=np.float64),
        np.asarray(pitch, dtype=np.float64),
        np.asarray(roll, dtype=np.float64),
    )
    cos_yaw, sin_yaw = np.cos(yaw), np.sin(yaw)
    cos_pitch, sin_pitch = np.cos(pitch), np.sin(pitch)
    cos_roll, sin_roll = np.cos(roll), np.sin(roll)
    matrix = np.empty((3, 3, *yaw.shape))
    matrix[0, 0] = cos_yaw * cos_pitch
    matrix[1, 0] = sin_yaw * cos_pitch
    matrix[2, 0] = -sin_pitch
    matrix[0, 1] = cos_yaw * sin_pitch * sin_roll - sin_yaw * cos_roll
    matrix[1, 1] = sin_yaw * sin_pitch * sin_roll + cos_yaw * cos_roll
    matrix[2, 1] = cos_pitch * sin_roll
    matrix[0, 2] = cos_yaw * sin_pitch * cos_roll + sin_yaw * sin_roll
    matrix[1, 2] = sin_yaw * sin_pitch * cos_roll - cos_yaw * sin_roll
    matrix[2, 2] = cos_pitch * cos_roll
    return matrix


def attitude(poses: Poses) -> Array:
    """Rotation of the axle in each pose, (3, 3, ..., poses); NaN where a pose is not solved."""
    return rotation(poses.yaw, poses.pitch, poses.roll)


def carry(poses: Poses, point: ArrayLike, turned: Array | None = None) -> Array:
    """Position of a point fixed to the axle in each pose.

    `point` is its position at ride height in vehicle axes, metres: shape (3,), or (3, builds) with poses of shape
    (builds, poses), or (3, points) with poses of shape (poses,), or (3, points, builds) with both. Returns vehicle
    axes, metres, shape (3, ..., poses). Poses that are not solved give NaN. `turned` is the poses' `attitude`, for a
    caller that carries many points.
    """
    turned = attitude(poses) if turned is None else turned
    place, centre = aligned(point, poses.centre)
    # The arm is fixed in a build, so it gets a last axis of length one to broadcast over the poses.
    arm_x, arm_y, arm_z = (place - centre)[..., np.newaxis]
    moved = np.stack([poses.x, poses.y, poses.heave])
    columns = (turned[:, 0], turned[:, 1], turned[:, 2])
    fixed, moved, forward, left, up = aligned(centre[..., np.newaxis], moved, *columns)
    carried: Array = fixed + moved + forward * arm_x + left * arm_y + up * arm_z
    return carried


def carry_direction(poses: Poses, direction: ArrayLike, turned: Array | None = None) -> Array:
    """Direction in each pose of a direction fixed to the axle (the pinion's, a kingpin axis).

    `direction` is that at ride height, of any length: shape (3,) or (3, builds) or (3, directions), as for `carry`, and
    so is `turned`. Returns vehicle axes, of the same length, shape (3, ..., poses). Poses that are not solved give NaN.
    """
    turned = attitude(poses) if turned is None else turned
    fixed = np.asarray(direction, dtype=np.float64)[..., np.newaxis]
    aimed: Array = np.einsum("ij...,j...->i...", turned, fixed)
    return aimed


def turn(vector: ArrayLike, axis: ArrayLike, angle: ArrayLike) -> Array:
    """Turn vectors about an axis through the origin by an angle, right-handed: shape (3, ...).

    `vector` (3, ...) in any unit, `axis` (3, ...) of any length but zero (NaN then), `angle` (...) in
    radians; the axes after the first broadcast from the right. Source: Rodrigues' rotation formula, v
    cos(angle) + (a x v) sin(angle) + a (a.v) (1 - cos(angle)).
    """
    vector, axis, angle = aligned(vector, axis, np.asarray(angle, dtype=np.float64)[np.newaxis])
    axis = unit(axis)
    cosine, sine = np.cos(angle), np.sin(angle)
    turned: Array = vector * cosine + cross(axis, vector) * sine + axis * (dot(axis, vector) * (1 - cosine))
    return turned
