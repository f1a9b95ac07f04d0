"""Steer angles from the drag link and the tie rod, each in closed form.

A knuckle turns about its kingpin axis; the arm end runs on a circle, and must stay a link's length away
from the link's other end.  With K a point of the kingpin axis, a its direction, P the arm end unswung and F
the far end of the link, let r = P - K, u = r - (r.a) a, v = a x u, w = K + (r.a) a - F.  The swing d then
obeys

    A cos d + B sin d = C,   A = 2 w.u,   B = 2 w.v,   C = L^2 - |w|^2 - |u|^2

(intersection of a circle with a sphere), so d = atan2(B, A) +- acos(C / sqrt(A^2 + B^2)).  At the dead
point, where link and arm lie in one plane with the kingpin axis, the two roots meet.

Angles are radians, right-handed about the kingpin axis taken as pointing up, so + turns the wheel to the
left. Points are metres in vehicle axes (x forward, y left, z up), first axis (x, y, z), the others
broadcasting.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.rotation import rotation, turn
from buildcheck.motion.vectors import Array, aligned, cross, dot, unit


def kingpin_axis(caster: ArrayLike, inclination: ArrayLike, side: Literal["left", "right"]) -> Array:
    """Direction of the kingpin axis of one side: shape (3, ...), of length 1, pointing up.

    Args:
        caster: angle seen from the side, rad; + leans the top rearward (SAE J670, from memory).
        inclination: angle seen from the front, rad; + leans the top inboard.
        side: "left" or "right".

    Raises ValueError for any other side, and for an angle of a right angle or more.
    """
    if side not in ("left", "right"):
        raise ValueError(f'a kingpin is "left" or "right", not {side!r}')
    caster, inclination = np.asarray(caster, np.float64), np.asarray(inclination, np.float64)
    rearward, inboard = np.broadcast_arrays(caster, inclination)
    if np.any(np.abs(rearward) >= np.pi / 2) or np.any(np.abs(inboard) >= np.pi / 2):
        raise ValueError("caster and kingpin inclination must be less than a right angle")
    towards_middle = -1.0 if side == "left" else 1.0
    return unit(np.stack([-np.tan(rearward), towards_middle * np.tan(inboard), np.ones_like(rearward)]))


def _closure(
    kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, far_end: ArrayLike, length: ArrayLike
) -> tuple[Array, Array, Array]:
    """A, B and C of A cos d + B sin d = C (see the module's head), m^2."""
    kingpin, axis, arm, far_end = aligned(kingpin, axis, arm, far_end)
    axis = unit(axis)
    reach = arm - kingpin
    along = axis * dot(reach, axis)
    square = reach - along
    back = kingpin + along - far_end
    constant = np.asarray(length, np.float64) ** 2 - dot(back, back) - dot(square, square)
    a, b, c = np.broadcast_arrays(2 * dot(back, square), 2 * dot(back, cross(axis, square)), constant)
    return a, b, c


def dead_point_side(kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, pitman: ArrayLike) -> Array:
    """Which side of its dead point a linkage stands on with the arm unswung: +1, -1, or 0 at the dead point.

    A linkage cannot change side without passing through the dead point, so the side at ride height holds for
    every pose.  Shapes and units as for `swing`; the answer has shape (...).
    """
    _, b, _ = _closure(kingpin, axis, arm, pitman, 0.0)
    return np.sign(b)


def swing(
    kingpin: ArrayLike,
    axis: ArrayLike,
    arm: ArrayLike,
    pitman: ArrayLike,
    length: ArrayLike,
    side: ArrayLike | None = None,
) -> Array:
    """Swing of a knuckle about its kingpin that lets the drag link keep its length: rad, shape (...).

    Args:
        kingpin: a point of the kingpin axis, (3, ...) m.
        axis: direction of the kingpin axis, (3, ...), pointing up, of any length.
        arm: where the arm end would stand if the knuckle had not swung, (3, ...) m.
        pitman: the other end of the drag link, (3, ...) m.
        length: of the drag link, (...) m.
        side: the side of the dead point the linkage was built on, from `dead_point_side` at ride height.
            Left out, the side is taken from each pose itself, which gives the root nearest to straight
            ahead.

    The kingpin, axis and arm are those carried by the axle; the pitman is fixed to the frame.  The answer
    is right-handed about the axis: + turns the wheel left.  It lies within half a turn of straight ahead.
    NaN where the link cannot reach (|C| > sqrt(A^2 + B^2)), where the arm end lies on the kingpin axis, and
    where the linkage stands exactly on its dead point, so that its side cannot be told.
    """
    a, b, c = _closure(kingpin, axis, arm, pitman, length)
    return _root(a, b, c, -np.sign(b if side is None else np.asarray(side, np.float64)))


def _root(a: Array, b: Array, c: Array, sign: Array) -> Array:
    """The root d = atan2(b, a) + sign acos(c / sqrt(a^2 + b^2)) of a cos d + b sin d = c, rad, within half a turn.

    NaN where there is none, and for a sign of 0.
    """
    radius = np.hypot(a, b)
    with np.errstate(invalid="ignore"):
        # acos(c / radius), written so that it keeps its digits close to the dead point
        spread = np.arctan2(np.sqrt((radius - c) * (radius + c)), c)
        angle = np.arctan2(b, a) + sign * spread
        exists = (radius > 0) & (np.abs(c) <= radius) & (sign != 0)
    wrapped: Array = np.where(exists, (angle + np.pi) % (2 * np.pi) - np.pi, np.nan)
    return wrapped


def dead_point_margin(
    kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, pitman: ArrayLike, length: ArrayLike
) -> Array:
    """How far a linkage is from its dead point: 1 - |C| / sqrt(A^2 + B^2), shape (...), no unit.

    1 with the link square to the arm, 0 at the dead point, less than 0 where the link cannot reach.  NaN with
    the arm end on the kingpin axis.  Arguments as for `swing`.
    """
    a, b, c = _closure(kingpin, axis, arm, pitman, length)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio: Array = np.abs(c) / np.hypot(a, b)
    return np.where(np.isfinite(ratio), 1 - ratio, np.nan)


def transmission_angle(kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, far_end: ArrayLike) -> Array:
    """Angle between a link and the plane of an arm and the axis it turns about: rad, 0 to a right angle, shape (...).

    Its sine is the share of the link's force that turns the arm: a right angle is best, 0 is the dead point. Where
    the link runs square to the axis it is the transmission angle of a plane four-bar, the acute angle between link
    and arm (J. J. Uicker, G. R. Pennock, J. E. Shigley, Theory of Machines and Mechanisms; from memory).

    Args:
        kingpin: a point of the axis, (3, ...) m.
        axis: its direction, (3, ...), of any length.
        arm: where the arm's end stands now, swung, (3, ...) m.
        far_end: the other end of the link, (3, ...) m.

    The same serves at the other end of a drag link, with the sector shaft for the kingpin. NaN for an arm's end on the
    axis, and for a link of no length.
    """
    kingpin, axis, arm, far_end = aligned(kingpin, axis, arm, far_end)
    axis = unit(axis)
    reach = arm - kingpin
    along = unit(reach - axis * dot(reach, axis))
    link = unit(far_end - arm)
    turning = np.abs(dot(link, cross(axis, along)))
    angle: Array = np.arctan2(turning, np.hypot(dot(link, along), dot(link, axis)))
    return angle


def swung(kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, angle: ArrayLike) -> Array:
    """Where a point of the knuckle stands once the knuckle has swung: (3, ...) m.

    ``arm`` is the point unswung, ``angle`` the swing (...) in rad; the rest as for `swing`.
    """
    kingpin, axis, arm = aligned(kingpin, axis, arm)
    moved = turn(arm - kingpin, axis, angle)
    kingpin, moved = aligned(kingpin, moved)
    return kingpin + moved


def tie_rod_swing(
    near_kingpin: ArrayLike,
    near_axis: ArrayLike,
    near_arm: ArrayLike,
    near_angle: ArrayLike,
    kingpin: ArrayLike,
    axis: ArrayLike,
    arm: ArrayLike,
    length: ArrayLike,
    side: ArrayLike | None = None,
) -> Array:
    """Swing of the other knuckle, which the tie rod moves: rad, shape (...), right-handed about its own axis.

    ``near_*`` belong to the knuckle that the drag link moves: its kingpin, axis, tie rod arm end unswung,
    and its swing.  ``kingpin``, ``axis``, ``arm`` are those of the other knuckle, ``length`` the tie rod's.
    Both knuckles ride on the axle, so points at ride height and points carried by the axle give the same
    answer, as long as they are not mixed.  NaN where the tie rod cannot reach, or where ``near_angle`` is
    NaN.
    """
    return swing(kingpin, axis, arm, swung(near_kingpin, near_axis, near_arm, near_angle), length, side)


def road_wheel_steer(
    angle: ArrayLike,
    axis: ArrayLike,
    yaw: ArrayLike = 0.0,
    pitch: ArrayLike = 0.0,
    roll: ArrayLike = 0.0,
    spin: ArrayLike = (0.0, 1.0, 0.0),
) -> Array:
    """Steer angle of a wheel seen from above: rad, shape (...), + to the left (ISO 8855).

    It is the angle from the vehicle's x axis to the line in which the wheel's plane cuts the floor.

    Args:
        angle: swing of the knuckle, (...) rad, from `swing` or `tie_rod_swing`.
        axis: kingpin axis at ride height, (3, ...): fixed to the axle, not yet carried by it.
        yaw, pitch, roll: attitude of the axle, (...) rad.  Left out, the answer is the steer relative to
            the axle.
        spin: the wheel's axis of spin at ride height, pointing left, (3, ...); carries camber and static toe.

    Bump steer is this over the poses, less the same at ride height.
    """
    turned = turn(spin, axis, angle)
    x, y, _ = np.einsum("ij...,j...->i...", rotation(yaw, pitch, roll), turned)
    steer: Array = np.arctan2(-x, y)
    return steer


def swing_for_steer(steer: ArrayLike, axis: ArrayLike, spin: ArrayLike = (0.0, 1.0, 0.0)) -> Array:
    """Swing of a knuckle that steers its wheel by an angle seen from above: rad, shape (...).

    It undoes `road_wheel_steer`. The wheel's axis of spin s, turned by d about the kingpin axis a, must be square to
    n = (cos steer, sin steer, 0):

        (n.s - (n.a)(a.s)) cos d + n.(a x s) sin d = -(n.a)(a.s)

    of whose two roots one has the wheel rolling forward.

    Args:
        steer: against the axes that the other two are given in, + to the left, (...) rad, within a right angle.
        axis: of the kingpin, (3, ...), pointing up, of any length.
        spin: the wheel's axis of spin with the knuckle not swung, pointing left, (3, ...).

    NaN where the lean of the kingpin lets the wheel come to no such angle.
    """
    steer = np.asarray(steer, np.float64)
    forward = np.stack([np.cos(steer), np.sin(steer), np.zeros_like(steer)])
    forward, axis, spin = aligned(forward, axis, spin)
    axis = unit(axis)
    fixed = dot(forward, axis) * dot(axis, spin)
    a, b, c = np.broadcast_arrays(dot(forward, spin) - fixed, dot(forward, cross(axis, spin)), -fixed)
    return _root(a, b, c, np.ones(()))
