"""Steer angles from the drag link and the tie rod, each in closed form.

A knuckle turns about its kingpin axis; the arm end runs on a circle, and must stay a link's length away from the link's
other end. With K a point of the kingpin axis, a its direction, P the arm end unswung and F the far end of the link, let
r = P - K, u = r - (r.a) a, v = a x u, w = K + (r.a) a - F. The swing d then satisfies

    A cos d + B sin d = C,   A = 2 w.u,   B = 2 w.v,   C = L^2 - |w|^2 - |u|^2

(intersection of a circle with a sphere), so d = atan2(B, A) +- acos(C / sqrt(A^2 + B^2)).  At the dead point, where
link and arm are in one plane with the kingpin axis, the two roots meet.

Angles are radians, right-handed about the kingpin axis taken as pointing up, so + turns the wheel to the
left. Points are metres in vehicle axes (x forward, y left, z up), first axis (x, y, z), the others
broadcasting.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.rotation import turn
from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit


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
    """Side of its dead point on which a linkage is with the arm unswung: +1, -1, or 0 at the dead point.

    A linkage cannot change side without passing through the dead point, so the side at ride height applies in every
    pose. Shapes and units as for `swing`; the result has shape (...).
    """
    _, b, _ = _closure(kingpin, axis, arm, pitman, 0.0)
    return np.sign(b)


def swing(
    kingpin: ArrayLike,
    axis: ArrayLike,
    arm: ArrayLike,
    pitman: ArrayLike,
    length: ArrayLike,
    side: ArrayLike,
) -> Array:
    """Swing of a knuckle about its kingpin that lets the drag link keep its length: rad, shape (...).

    Args:
        kingpin: a point of the kingpin axis, (3, ...) m.
        axis: direction of the kingpin axis, (3, ...), pointing up, of any length.
        arm: position of the arm end with the knuckle not swung, (3, ...) m.
        pitman: the other end of the drag link, (3, ...) m.
        length: of the drag link, (...) m.
        side: the side of the dead point the linkage was built on, from `dead_point_side` at ride height.

    The kingpin, axis and arm move with the axle; the pitman is fixed to the frame. The result is right-handed about the
    axis: + turns the wheel left. It is within half a turn of straight ahead. NaN where the link cannot reach (|C| >
    sqrt(A^2 + B^2)), where the arm end lies on the kingpin axis, and where the linkage is exactly at its dead point, so
    that its side is undefined.
    """
    a, b, c = _closure(kingpin, axis, arm, pitman, length)
    return _root(a, b, c, -np.sign(np.asarray(side, np.float64)))


def _root(a: Array, b: Array, c: Array, sign: Array) -> Array:
    """The root d = atan2(b, a) + sign acos(c / sqrt(a^2 + b^2)) of a cos d + b sin d = c, rad, within half a turn.

    NaN where there is none, and for a sign of 0.
    """
    radius = np.hypot(a, b)
    with np.errstate(invalid="ignore"):
        # acos(c / radius), written to stay accurate close to the dead point
        spread = np.arctan2(np.sqrt((radius - c) * (radius + c)), c)
        angle = np.arctan2(b, a) + sign * spread
        exists = (radius > 0) & (np.abs(c) <= radius) & (sign != 0)
    wrapped: Array = np.where(exists, (angle + np.pi) % (2 * np.pi) - np.pi, np.nan)
    return wrapped


def transmission_angle(link: ArrayLike, way: ArrayLike) -> Array:
    """Angle between a link and the plane square to the path of the end that it moves: rad, 0 to a right angle, (...).

    Its sine is the share of the link's force that acts along the path: a right angle is best, 0 is the dead point. For
    a link that turns an arm and is square to the arm's axis it is the transmission angle of a plane four-bar, the acute
    angle between link and arm (J. J. Uicker, G. R. Pennock, J. E. Shigley, Theory of Machines and Mechanisms; from
    memory).

    Args:
        link: from one end of the link to the other, (3, ...), of any length.
        way: direction of motion of the end, (3, ...), of any length; for an arm `cranks.Crank.way`.

    NaN for a link of zero length, and for an end that does not move.
    """
    link, way = aligned(link, way)
    link, way = unit(link), unit(way)
    along = dot(link, way)
    angle: Array = np.arctan2(np.abs(along), size(link - along * way))
    return angle


def swung(kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, angle: ArrayLike) -> Array:
    """Position of a point of the knuckle after the knuckle has swung: (3, ...) m.

    ``arm`` is the point unswung, ``angle`` the swing (...) in rad; the rest as for `swing`.
    """
    kingpin, axis, arm = aligned(kingpin, axis, arm)
    moved = turn(arm - kingpin, axis, angle)
    kingpin, moved = aligned(kingpin, moved)
    return kingpin + moved


def wheel_steer(spin: ArrayLike, axis: ArrayLike, angle: ArrayLike) -> Array:
    """Steer angle of a wheel in plan, after its knuckle has swung: rad, shape (...), + to the left (ISO 8855).

    It is the angle from the x axis to the line in which the wheel's plane intersects the floor.

    Args:
        spin: the wheel's axis of spin with the knuckle not swung, pointing left, (3, ...); includes camber and static
            toe. If it moves with the axle, the steer includes the axle's yaw.
        axis: the kingpin axis, (3, ...), pointing up; it moves with the axle if ``spin`` does.
        angle: swing of the knuckle, (...) rad.
    """
    x, y, _ = turn(spin, axis, angle)
    steer: Array = np.arctan2(-x, y)
    return steer


def swing_for_steer(steer: ArrayLike, axis: ArrayLike, spin: ArrayLike = (0.0, 1.0, 0.0)) -> Array:
    """Swing of a knuckle that steers its wheel by an angle in plan: rad, shape (...).

    It is the inverse of `wheel_steer`. The wheel's axis of spin s, turned by d about the kingpin axis a, must be square
    to n = (cos steer, sin steer, 0):

        (n.s - (n.a)(a.s)) cos d + n.(a x s) sin d = -(n.a)(a.s)

    One of its two roots has the wheel rolling forward.

    Args:
        steer: relative to the axes in which the other two are given, + to the left, (...) rad, within a right angle.
        axis: of the kingpin, (3, ...), pointing up, of any length.
        spin: the wheel's axis of spin with the knuckle not swung, pointing left, (3, ...).

    NaN where the lean of the kingpin keeps the wheel from reaching such an angle.
    """
    steer = np.asarray(steer, np.float64)
    forward = np.stack([np.cos(steer), np.sin(steer), np.zeros_like(steer)])
    forward, axis, spin = aligned(forward, axis, spin)
    axis = unit(axis)
    fixed = dot(forward, axis) * dot(axis, spin)
    a, b, c = np.broadcast_arrays(dot(forward, spin) - fixed, dot(forward, cross(axis, spin)), -fixed)
    return _root(a, b, c, np.ones(()))
