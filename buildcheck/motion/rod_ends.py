"""How far a rod end or spherical bearing may be misaligned before its metal touches, and what its ball carries.

From the plain geometry of a ball of diameter E and width W in a housing of width H: lengths in any one unit, arrays
(...), angles in rad. A size that cannot be (a ball wider than its diameter, a housing wider than the ball) gives NaN.
The makers' own figures go before these. A rod end's shank in bending is rated by none of them (common practice).
"""

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.vectors import Array

ULTIMATE_OVER_LIMIT = 1.5
"""Ultimate static load of a rod end over its limit load, the one borne once without harm to its use.

Usual, by a bearing maker's engineering reference that the outside checks name.
"""


def limit_against_face(ball_width: ArrayLike, housing_width: ArrayLike, ball_diameter: ArrayLike) -> Array:
    """Misalignment at which a flat flush with the ball's face meets the housing: rad, shape (...).

    asin(W / E) - asin(H / E), by plain geometry: for a clevis or spacer that is no smaller than the housing.
    """
    w, h, e = (np.asarray(value, np.float64) for value in (ball_width, housing_width, ball_diameter))
    sound = (h > 0) & (h <= w) & (w <= e)
    e = np.where(sound, e, np.nan)
    limit: Array = np.arcsin(w / e) - np.arcsin(h / e)
    return limit


def limit_by_stud(bore: ArrayLike, housing_width: ArrayLike, ball_diameter: ArrayLike) -> Array:
    """Misalignment at which a stud as thick as the ball's bore B meets the housing: rad, shape (...).

    acos(B / E) - asin(H / E), as where spacers no wider than the bolt stand beside the ball. Derived here: the edge of
    the stud leaves the ball at acos(B / E) from its middle plane, the housing's edge lies at asin(H / E). (A printed
    asin(B / E) for the first term is in circulation and wrong.)
    """
    b, h, e = (np.asarray(value, np.float64) for value in (bore, housing_width, ball_diameter))
    sound = (h > 0) & (b > 0) & (b**2 + h**2 <= e**2)
    e = np.where(sound, e, np.nan)
    limit: Array = np.arccos(b / e) - np.arcsin(h / e)
    return limit


def radial_rating(housing_width: ArrayLike, ball_diameter: ArrayLike, allowable: ArrayLike) -> Array:
    """Radial static load that the ball's race carries: N, shape (...); 0.91 T D p.

    T is the width of the race, D the diameter of the ball, m, and p the allowable bearing pressure, Pa (from a bearing
    maker's engineering reference that the outside checks name). The shank is not part of it.
    """
    t, d, p = (np.asarray(value, np.float64) for value in (housing_width, ball_diameter, allowable))
    rating: Array = 0.91 * np.where(t > 0, t, np.nan) * np.where(d > 0, d, np.nan) * np.where(p > 0, p, np.nan)
    return rating
