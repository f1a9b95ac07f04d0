"""What the two wheels' angles mean on the road: Ackermann geometry and the turning circle.

All for slow turning without tyre slip, the rear wheels straight and rolling about a point in line with the rear axle
(T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 8; from memory). Angles are radians, both given
as magnitudes of one turn: ``inner`` and ``outer`` above 0. Lengths in m. All arguments broadcast.
"""

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.vectors import Array


def ideal_outer(inner: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Angle of the outer wheel at which both front wheels roll about one point: rad, shape (...).

    cot outer = cot inner + w / L, w being the distance between the kingpins (where their axes meet the floor) and L
    the wheelbase. For ``inner`` above 0 and less than a right angle, else NaN.
    """
    inner, w, wheelbase = (np.asarray(value, np.float64) for value in (inner, kingpins, wheelbase))
    sound = (inner > 0) & (inner < np.pi / 2)
    tangent = np.tan(np.where(sound, inner, np.nan))
    outer: Array = np.arctan2(wheelbase * tangent, wheelbase + w * tangent)
    return outer


def ackermann_error(inner: ArrayLike, outer: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike) -> Array:
    """How much further the outer wheel is turned than it should be for the inner's angle: rad, shape (...).

    + scrubs by toe-in: the linkage is nearer to parallel steer than the ideal. - scrubs by toe-out. NaN as for
    `ideal_outer`.
    """
    error: Array = np.asarray(outer, np.float64) - ideal_outer(inner, kingpins, wheelbase)
    return error


def ackermann_share(inner: ArrayLike, outer: ArrayLike, kingpins: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Difference of the two wheels' angles as a share of the ideal difference, shape (...), no unit.

    1 is the ideal, 0 is parallel steer, less than 0 has the outer wheel turned further than the inner. Common practice
    quotes it in per cent. NaN as for `ideal_outer`.
    """
    inner = np.asarray(inner, np.float64)
    share: Array = (inner - np.asarray(outer, np.float64)) / (inner - ideal_outer(inner, kingpins, wheelbase))
    return share


def turning_radius(outer: ArrayLike, wheelbase: ArrayLike, offset: ArrayLike = 0.0) -> Array:
    """Radius of the circle that the middle of the outer front tyre runs on: m, shape (...).

    L / sin(outer) + offset, L being the wheelbase and ``offset`` how far the tyre's middle stands outboard of the
    kingpin axis on the floor. The turning circle from kerb to kerb is twice that and a tyre's width. For ``outer``
    above 0 and no more than a right angle, else NaN.
    """
    outer = np.asarray(outer, np.float64)
    sine = np.sin(np.where((outer > 0) & (outer <= np.pi / 2), outer, np.nan))
    radius: Array = np.asarray(wheelbase, np.float64) / sine + np.asarray(offset, np.float64)
    return radius
