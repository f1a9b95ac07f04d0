"""Derivatives of the axle's forward, lateral, pitch and yaw motion with respect to heave and roll.

With the equations of the pose written as E(unknowns, heave, roll) = 0, the slopes are -(dE/d unknowns)^-1
dE/d(heave, roll): derivatives, not differences. Axes and signs are those of ISO 8855 (x forward, y left, z
up).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from buildcheck.axle.constraints import FORWARD, LATERAL, PITCH, UNKNOWNS, YAW, Array, Constraints, along_vehicle
from buildcheck.axle.continuation import newton_step
from buildcheck.axle.equations import equations
from buildcheck.axle.poses import Layout, Poses, holding_constraints


@dataclass(frozen=True, slots=True)
class Rates:
    """Derivatives of the axle centre's x and y, and of pitch and yaw, with respect to heave or roll.

    With respect to heave: m/m and rad/m. With respect to roll: m/rad and rad/rad.
    """

    x: Array
    y: Array
    pitch: Array
    yaw: Array


@dataclass(frozen=True, slots=True)
class Slopes:
    """Rates with respect to heave at constant roll, and with respect to roll at constant heave."""

    heave: Rates
    roll: Rates


def slopes(layout: Layout) -> Slopes:
    """Slopes at ride height, arrays () or (builds,). Raises the errors of `solve` for layouts that it refuses."""
    constraints = holding_constraints(layout)
    builds = constraints.length.shape[-1]
    at_ride = np.zeros(builds)
    found = _slopes(constraints, at_ride, at_ride, np.zeros((UNKNOWNS, builds)))
    shape = np.broadcast_shapes(
        np.shape(layout.centre)[1:],
        np.shape(layout.frame)[2:],
        np.shape(layout.axle)[2:],
        np.shape(layout.stiffness)[1:],
    )
    return _shaped(found, shape)


def slopes_over(poses: Poses, layout: Layout) -> Slopes:
    """Slopes at each of the poses solved from this layout, shaped as the poses; NaN where not solved."""
    constraints = holding_constraints(layout)
    shape = poses.x.shape
    if constraints.length.shape[-1] > 1:
        constraints = constraints.at(np.repeat(np.arange(shape[0]), shape[1]))
    x, y, pitch, yaw, heave, roll = (
        values.ravel() for values in (poses.x, poses.y, poses.pitch, poses.yaw, poses.heave, poses.roll)
    )
    cosine, sine = np.cos(yaw), np.sin(yaw)
    unknowns = np.stack([cosine * x + sine * y, cosine * y - sine * x, pitch, yaw])
    return _shaped(_slopes(constraints, heave, roll, unknowns), shape)


def turning(poses: Poses, rates: Rates, roll: float) -> Array:
    """Angular rate of the axle with heave (`roll` 0) or with roll (`roll` 1): (3, ..., poses), vehicle axes.

    With yaw a, pitch b and roll c of a pose and a', b', c' their derivatives (a' and b' of `rates`, c' = `roll`),

        turning = a' (0, 0, 1) + b' (-sin a, cos a, 0) + c' (cos a cos b, sin a cos b, -sin b),

    in rad/m with respect to heave, rad/rad with respect to roll, right-handed. Each angle turns the axle about its axis
    as turned by the angles before. Source: ISO 8855:2011, intrinsic yaw, pitch and roll; kinematics of a rigid body.
    NaN where a pose is not solved.
    """
    cosine, sine = np.cos(poses.yaw), np.sin(poses.yaw)
    level = roll * np.cos(poses.pitch)
    return np.stack(
        [
            level * cosine - rates.pitch * sine,
            level * sine + rates.pitch * cosine,
            rates.yaw - roll * np.sin(poses.pitch),
        ]
    )


def heading_rate(poses: Poses, rates: Rates, roll: float) -> Array:
    """Rate of the axle's heading in plan, from the line of its wheels, with heave (`roll` 0) or with roll (`roll` 1).

    Shape (..., poses), rad/m or rad/rad; + = nose left.

    With the angles of `turning`, the heading of the axle's lateral axis in plan is a - atan(sin b tan c): a pitched
    axle steers as it rolls, even at constant yaw. NaN where a pose is not solved. Source: the second column of Rz(a)
    Ry(b) Rx(c).
    """
    sine, tangent = np.sin(poses.pitch), np.tan(poses.roll)
    leaned = np.cos(poses.pitch) * tangent * rates.pitch + roll * sine * (1.0 + tangent**2)
    found: Array = rates.yaw - leaned / (1.0 + (sine * tangent) ** 2)
    return found


def _slopes(constraints: Constraints, heave: Array, roll: Array, unknowns: Array) -> Slopes:
    """Slopes at solved unknowns (4, poses), all flat."""
    system = equations(constraints, heave, roll)
    system.place(unknowns)
    table = np.empty((UNKNOWNS + 1, UNKNOWNS, len(heave)))
    system.linearise(table)
    forward, lateral, _, yaw = unknowns
    cosine, sine = np.cos(yaw), np.sin(yaw)
    rates = []
    for driven in system.driven():
        table[UNKNOWNS] = driven
        rate = -newton_step(table)
        along, across = rate[FORWARD] - lateral * rate[YAW], rate[LATERAL] + forward * rate[YAW]
        x, y = along_vehicle(along, across, cosine, sine)
        rates.append(
            Rates(
                x=x,
                y=y,
                pitch=rate[PITCH],
                yaw=rate[YAW],
            )
        )
    return Slopes(heave=rates[0], roll=rates[1])


def _shaped(found: Slopes, shape: tuple[int, ...]) -> Slopes:
    """Reshape the arrays of the slopes."""
    by_heave, by_roll = (
        Rates(*(values.reshape(shape) for values in (rates.x, rates.y, rates.pitch, rates.yaw)))
        for rates in (found.heave, found.roll)
    )
    return Slopes(heave=by_heave, roll=by_roll)
