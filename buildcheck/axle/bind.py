"""Bind loads of the joints of an over-constrained axle, joint by joint.

Loads are those of `poses.solve`'s elastic energy alone, with the axle assembled free of bind at ride height: no weight,
no springs, no brakes. They add to those of `statics`. Axes: vehicle (x forward, y left, z up). NaN where a pose is not
solved.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from buildcheck.axle.constraints import Array, along_vehicle
from buildcheck.axle.poses import Layout, Poses, constraints_of
from buildcheck.axle.twist import turns


@dataclass(frozen=True, slots=True)
class Bind:
    """Loads and moments of the joints in each pose; `...` are the builds, if the poses have that axis.

    load:   (n, ..., poses) N of each constraint, stiffness times stretch, + = tension; only rounding where four
            constraints hold the axle
    angle:  (3, arms, ..., poses) rad by which each twisted joint has turned since ride height, 0 or more: the frame
            joint, the upper and the lower axle joint of each arm
    moment: (3, arms, ..., poses) N m, torsional stiffness times angle; the forces at the ends of the arm that balance
            it are not in `load`
    """

    load: Array
    angle: Array
    moment: Array


def bind(layout: Layout, poses: Poses) -> Bind:
    """Loads, turns and moments of the joints in poses solved from this layout.

    Sources: see `elastic` for the loads, `twist` for the rotation of a joint. Raises ValueError for an invalid layout.
    """
    arms = constraints_of(layout).twists
    load = _beside_poses(layout.stiffness, 1, poses) * poses.stretch
    if layout.twists is None or arms is None:
        none = np.empty((3, 0, *poses.x.shape))
        return Bind(load, none, none)
    if poses.x.ndim > 1:
        arms = arms.at((slice(None), slice(None), np.newaxis))
    forward, lateral = along_vehicle(poses.x, poses.y, np.cos(poses.yaw), -np.sin(poses.yaw))
    on_axle, on_frame = turns(arms, np.stack([forward, lateral, poses.pitch, poses.yaw, poses.heave, poses.roll]))
    angle = np.stack([on_frame, on_axle, on_axle])
    return Bind(load, angle, _beside_poses(layout.twists.stiffness, 2, poses) * angle)


def _beside_poses(values: Array, own: int, poses: Poses) -> Array:
    """Reshape values with `own` axes, and perhaps an axis of builds, to broadcast with the poses."""
    values = np.asarray(values, dtype=np.float64)
    missing = own + poses.x.ndim - values.ndim
    return values.reshape(*values.shape, *(1,) * missing)
