"""Torsional stiffness of the joints of a radius arm, as part of the elastic equations of the axle.

A radius arm is one rigid piece with a joint to the frame and two, close together, to the axle. The positions of these
three define the arm's attitude (as in `joints.triangle_attitude`: along the line from the frame joint to the middle of
the two axle joints exactly, and about that line by the line through the two; for compliant joints, the middle is their
stiffness centre, and where they lie along the arm, `rigid_arm.swing` gives another line). So in each pose the arm has
turned relative to the axle, by the same rotation at both of its axle joints, and relative to the frame.

Each joint has one isotropic stiffness: it resists the total angle by which its two parts have turned relative to each
other since ride height, about any axis, with energy = k angle^2 / 2 and moment = k angle about that axis. Assumed: the
joints were clamped at ride height; a bushing has the same stiffness in wind-up about its own axis as in coning. In a
real bushing these differ.

Seen from the axle, the line `rise` through the two axle joints is fixed. So the arm turns relative to the axle as in a
universal joint: it leans about its side, then swings about `rise`. With t the rotation vector (axis times angle),

    d(k t.t / 2) = k t . d(turn)

exactly, for a rotation of any size: only the component of d(turn) about the axis changes the angle. Hence the moment M
of its joints on an arm is balanced by a force at its frame joint and the opposite force at the axle, and the
derivatives of the energy are plain statics. Rotations are composed with Rodrigues' vectors, axis times tan(angle / 2):
a, then b, is (a + b + b x a) / (1 - a.b) (O. Rodrigues 1840; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.vectors import Array, cross, dot, size, unit

COORDINATES = 6
"""Forward, lateral, pitch and yaw, as in `constraints`, then heave and roll."""

ANGLES = (2, 3, 5)
"""Indices of pitch, yaw and roll among the coordinates."""

STEP = 1e-30
"""Size of the complex step: its square is lost in rounding and nothing is subtracted, so it can be this small."""

NOUGHT = 1e-40
"""Added to a square before its root is a divisor: far below any square of a real angle, above the step's square."""

IN_LINE = 1e-9
"""Sine of the angle between an arm and the line through its axle joints below which its attitude is undefined."""

Field = NDArray[Any]
"""Real, or complex in a complex step."""


@dataclass(frozen=True, slots=True)
class TwistedArms:
    """Radius arms whose joints resist rotation. An arm is two constraints of a layout that share their frame end.

    upper:     (arms,) index, from 0, of the constraint that runs to one of the arm's axle joints
    lower:     (arms,) index of the constraint that runs to the other
    stiffness: (3, arms) or (3, arms, builds) torsional stiffness, N m/rad: of the frame joint, the upper and the lower
               axle joint; 0 for a joint that turns freely
    swings:    (3, arms) or (3, arms, builds) direction of the line through the axle joints, about which the arm swings
               on the axle; None to use the line through the axle ends of the two constraints
    """

    upper: NDArray[np.intp]
    lower: NDArray[np.intp]
    stiffness: Array
    swings: Array | None = None


@dataclass(frozen=True, slots=True)
class Arms:
    """Radius arms in coordinates about the axle centre at ride height.

    joint:     (3, arms, ...) frame joint, m
    middle:    (3, arms, ...) middle of the two axle ends, m
    rise:      (3, arms, ...) direction of the line about which the arm swings, from the lower to the upper axle joint
    out:       (3, arms, ...) direction of the part of the arm, from frame joint to axle, that is square to `rise`
    side:      (3, arms, ...) direction of `out` x `rise`
    lean:      (2, arms, ...) cosine and sine of the arm's angle to `out`, + towards `rise`
    stiffness: (2, arms, ...) against the axle (both joints) and against the frame, over the stiffness of the stiffest
               constraint, m m
    """

    joint: Array
    middle: Array
    rise: Array
    out: Array
    side: Array
    lean: Array
    stiffness: Array

    def at(self, each: tuple[Any, ...]) -> Arms:
        """Index the arms; `each` indexes the axis of arms and all axes after it."""
        fields = (self.joint, self.middle, self.rise, self.out, self.side, self.lean, self.stiffness)
        return Arms(*(field[(slice(None), *each)] for field in fields))


def arms_about(twists: TwistedArms, arm: Array, anchor: Array, stiffest: Array) -> Arms:
    """The arms among constraints with these axle and frame ends about the axle centre, (3, n, builds), m.

    Torsional stiffnesses are divided by `stiffest` (builds,), N/m. Raises ValueError for a stiffness that is not a
    finite number or is below zero, for shapes and constraints that do not match, and for an arm whose three joints lie
    in one line.
    """
    try:
        stiffness = np.asarray(twists.stiffness, dtype=np.float64)
        stiffness = stiffness[..., np.newaxis] if stiffness.ndim == 2 else stiffness
        upper, lower, joint = arm[:, twists.upper], arm[:, twists.lower], anchor[:, twists.upper]
        together = np.array_equal(joint, anchor[:, twists.lower])
        stiffness = np.broadcast_to(stiffness, upper.shape)
        rise = upper - lower if twists.swings is None else np.asarray(twists.swings, dtype=np.float64)
        rise = np.broadcast_to(rise[..., np.newaxis] if rise.ndim == 2 else rise, upper.shape)
    except (ValueError, IndexError) as problem:
        raise ValueError(
            "Twisted arms do not match the layout: upper and lower (arms,) must be its constraints, stiffness is "
            "(3, arms) and so is swings, with or without the layout's axis of builds."
        ) from problem
    if not together:
        raise ValueError("The two constraints of a twisted arm must share their frame end.")
    if not (np.isfinite(stiffness) & (stiffness >= 0.0)).all():
        raise ValueError("A torsional stiffness must be a finite number, not below zero.")
    middle, rise = (upper + lower) / 2, unit(rise)
    along = unit(middle - joint)
    out = along - rise * dot(along, rise)
    if not (size(out) > IN_LINE).all():
        raise ValueError("A twisted arm has its three joints in one line, so they do not define its attitude.")
    return Arms(
        joint=joint,
        middle=middle,
        rise=rise,
        out=unit(out),
        side=unit(cross(out, rise)),
        lean=np.stack([size(out), dot(along, rise)]),
        stiffness=np.stack([stiffness[1] + stiffness[2], stiffness[0]]) / stiffest,
    )


def forces(arms: Arms, coordinates: Array) -> Array:
    """Derivatives of the joints' energy with respect to the six coordinates, (6, ...), over the largest stiffness."""
    found: Array = _forces(arms, coordinates[:, np.newaxis, np.newaxis])[:, 0]
    return found


def forces_change(arms: Arms, coordinates: Array, count: int) -> Array:
    """Derivatives of the six `forces` with respect to the first `count` coordinates, (6, count, ...).

    By complex steps, which are exact to rounding: W. Squire, G. Trapp, "Using complex variables to estimate derivatives
    of real functions", SIAM Review 40 (1998) 110-112; from memory.
    """
    steps = 1j * STEP * np.eye(COORDINATES, count)
    steps = steps.reshape(*steps.shape, *(1 for _ in range(coordinates.ndim)))
    change: Array = _forces(arms, coordinates[:, np.newaxis, np.newaxis] + steps).imag / STEP
    return change


def turns(arms: Arms, coordinates: Array) -> Array:
    """Angle by which each arm has turned since ride relative to the axle and to the frame, rad, (2, arms, ...)."""
    positions = _ArmPositions(arms, coordinates[:, np.newaxis, np.newaxis])
    return np.stack([2.0 * np.arctan(size(half)[0]) for half in (positions.on_axle, positions.on_frame)])


class _ArmPositions:
    """Positions of the arms relative to the axle, in axes fixed to it. Array axes: (x y z, steps, arms, ...).

    joint:    frame joint from the axle centre
    along:    from the frame joint to the middle of the axle joints
    side:     direction of `along` x `rise`
    square:   `rise` minus its component along the arm
    swung:    length of the component of `along` that is square to `rise`
    on_axle:  Rodrigues' vector of the arm's rotation relative to the axle
    on_frame: the same relative to the frame
    """

    def __init__(self, arms: Arms, coordinates: Field) -> None:
        """Place the arms at `coordinates` (6, steps, 1, ...)."""
        forward, lateral, pitch, yaw, heave, roll = coordinates
        self.cosines, self.sines = np.cos(coordinates[list(ANGLES)]), np.sin(coordinates[list(ANGLES)])
        x, y, z = arms.joint
        y, x = _turn(y, x, self.cosines[1], self.sines[1])
        x, y, z = x - forward, y - lateral, z - heave
        x, z = _turn(x, z, self.cosines[0], self.sines[0])
        z, y = _turn(z, y, self.cosines[2], self.sines[2])
        self.joint = np.stack([x, y, z])
        self.along = arms.middle[:, np.newaxis] - self.joint
        rise, out, side = (axis[:, np.newaxis] for axis in (arms.rise, arms.out, arms.side))
        outward, sideward, up = dot(self.along, out), dot(self.along, side), dot(self.along, rise)
        square = outward * outward + sideward * sideward
        self.swung, length = np.sqrt(square), np.sqrt(square + up * up)
        cosine, sine = self.swung / length, up / length
        self.side = (side * outward - out * sideward) / self.swung
        self.square = rise - self.along * (sine / length)
        ride_cosine, ride_sine = arms.lean
        swing = -sideward / (self.swung + outward)
        lean = (sine * ride_cosine - cosine * ride_sine) / (1.0 + cosine * ride_cosine + sine * ride_sine)
        self.on_axle = rise * swing + side * lean + out * (swing * lean)
        pitch, yaw, roll = self.sines / (1.0 + self.cosines)
        axle = np.stack([roll - yaw * pitch, pitch + yaw * roll, yaw - pitch * roll]) / (1.0 + roll * pitch * yaw)
        self.on_frame = (self.on_axle + axle + cross(self.on_axle, axle)) / (1.0 - dot(self.on_axle, axle))


def _forces(arms: Arms, coordinates: Field) -> Field:
    """Compute `forces` from coordinates (6, steps, 1, ...); result (6, steps, ...)."""
    positions = _ArmPositions(arms, coordinates)
    rise, side = arms.rise[:, np.newaxis], positions.side
    frame_moment = _rotation_vector(positions.on_frame) * arms.stiffness[1]
    moment = _rotation_vector(positions.on_axle) * arms.stiffness[0] + frame_moment
    # An arm whose axle end moves by v relative to its frame joint leans by v.up / length about its side, and swings by
    # -v.side / swung about `rise`.
    force = (positions.square * dot(moment, side) - side * dot(moment, rise)) / positions.swung
    on_axle = (cross(positions.joint, force) + frame_moment).sum(axis=2)
    force = force.sum(axis=2)
    forward, lateral, *_ = coordinates[:, :, 0]
    (cos_pitch, _, cos_roll), (sin_pitch, _, sin_roll) = positions.cosines[:, :, 0], positions.sines[:, :, 0]
    # From the axle's axes to those that only yaw with it.
    x, y, z = np.stack([force, on_axle], axis=1)
    y, z = _turn(y, z, cos_roll, sin_roll)
    z, x = _turn(z, x, cos_pitch, sin_pitch)
    by_pitch = on_axle[1] * cos_roll - on_axle[2] * sin_roll
    by_yaw = z[1] + forward * y[0] - lateral * x[0]
    return np.stack([x[0], y[0], by_pitch, by_yaw, z[0], on_axle[0]])


def _rotation_vector(half: Field) -> Field:
    """Axis times angle (3, ...) from axis times tan(angle / 2), below half a turn."""
    tangent = np.sqrt(dot(half, half) + NOUGHT)
    return half * (2.0 * np.arctan(tangent) / tangent)


def _turn(first: Field, second: Field, cosine: Field, sine: Field) -> tuple[Field, Field]:
    """Turn two components by an angle: first cos - second sin, and first sin + second cos."""
    return first * cosine - second * sine, first * sine + second * cosine
