"""Ackermann geometry and turning circle from the angles of the two wheels.

All for slow turning without side force, the rear wheels straight, so that the vehicle turns about a point in line with
the rear axle (T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992; from memory). Angles are radians, both given
as magnitudes in one turn: ``inner`` and ``outer`` above 0. Lengths in m. All arguments broadcast.
"""

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array


def ideal_outer(inner: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Angle of the outer wheel at which both front wheels roll about one point: rad, shape (...).

    cot outer = cot inner + w / L, w being the distance between the kingpins (where their axes meet the floor) and L
    the wheelbase. NaN unless ``inner`` is above 0 and less than a right angle.
    """
    inner, w, wheelbase = (np.asarray(value, np.float64) for value in (inner, kingpins, wheelbase))
    tangent = np.tan(_within_a_right_angle(inner))
    outer: Array = np.arctan2(wheelbase * tangent, wheelbase + w * tangent)
    return outer


def ackermann_share(inner: ArrayLike, outer: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Difference of the two wheels' angles as a share of the ideal difference, shape (...), no unit.

    1 is the ideal, 0 is parallel steer; below 0 the outer wheel is turned further than the inner. Often quoted in
    percent. NaN as for `ideal_outer`.
    """
    inner = np.asarray(inner, np.float64)
    share: Array = (inner - np.asarray(outer, np.float64)) / (inner - ideal_outer(inner, kingpins, wheelbase))
    return share


def centre_by_both(inner: ArrayLike, outer: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Lateral distance of the turning centre from the vehicle's middle plane, by both wheels: m, shape (...).

    The inner wheel alone would roll about a point at L cot inner + w / 2, the outer alone about one at L cot outer - w
    / 2 (`centre_by_inner`, `centre_by_outer`). Where these differ, both wheels slip. On an axle with equal tyres and no
    net side force, the slips are equal and opposite. If the slip of a wheel is proportional to the distance of the
    common centre from the wheel's own, the common centre is midway:

        R = L (cot inner + cot outer) / 2

    as for a bicycle whose front wheel has the angle with the mean cotangent (R. N. Jazar, Vehicle Dynamics:
    Theory and Application, Springer 2008, section 7.1; from memory). Exact for ideal Ackermann steering. NaN for angles
    that are not those of a turn.
    """
    inner, outer = (_within_a_right_angle(np.asarray(angle, np.float64)) for angle in (inner, outer))
    return np.asarray(np.asarray(wheelbase, np.float64) * (1 / np.tan(inner) + 1 / np.tan(outer)) / 2)


def centre_by_inner(inner: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Lateral distance of the turning centre by the inner wheel alone: m, shape (...). ``kingpins`` as for
    `ideal_outer`."""
    cotangent = 1 / np.tan(_within_a_right_angle(np.asarray(inner, np.float64)))
    return np.asarray(np.asarray(wheelbase, np.float64) * cotangent + np.asarray(kingpins, np.float64) / 2)


def centre_by_outer(outer: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Lateral distance of the turning centre by the outer wheel alone: m, shape (...). ``kingpins`` as for
    `ideal_outer`."""
    return centre_by_inner(outer, -np.asarray(kingpins, np.float64), wheelbase)


def outer_tyre_radius(
    centre: ArrayLike, outer: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike, offset: ArrayLike
) -> Array:
    """Radius of the path of the middle of the outer front tyre: m, shape (...).

    The tyre is ``offset`` outboard of the kingpin axis at the floor, along a line turned by ``outer``. The vehicle
    turns about a point at the distance ``centre`` from its middle plane, in line with the rear axle. The kerb-to-kerb
    turning circle is twice this radius plus a tyre's width.
    """
    centre, outer, kingpins, wheelbase, offset = (
        np.asarray(value, np.float64) for value in (centre, outer, kingpins, wheelbase, offset)
    )
    ahead = wheelbase + offset * np.sin(outer)
    aside = centre + kingpins / 2 + offset * np.cos(outer)
    return np.asarray(np.hypot(ahead, aside))


def _within_a_right_angle(angle: Array) -> Array:
    """Return the angle, or NaN where it is not above 0, or is a right angle or more."""
    return np.where((angle > 0) & (angle < np.pi / 2), angle, np.nan)
