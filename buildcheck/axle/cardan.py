"""Speed fluctuation of universal (Cardan) joints, alone and two in series.

Two shafts are at an angle b. The driving one has turned by t from where the pins of its yoke lie in the plane of the
shafts, the driven one by u from where its own pins are square to that plane:

    tan u = tan t / cos b,    du/dt = cos b / (1 - sin^2 b cos^2 t)

(any textbook of mechanisms, e.g. R. S. Khurmi, J. K. Gupta, Theory of Machines; from memory). Angles are radians,
0 <= b < a right angle, else NaN. Speeds are given as a ratio to the speed of the driving shaft, which turns evenly. All
arguments broadcast, so one call covers all poses.
"""

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.spans import driveshaft_angles
from buildcheck.axle.vectors import Array, aligned, cross, dot


def _joint(angle: ArrayLike) -> Array:
    """Angle of a joint, NaN where no joint could turn."""
    angle = np.asarray(angle, np.float64)
    sound: Array = np.where((angle >= 0) & (angle < np.pi / 2), angle, np.nan)
    return sound


def fluctuation(angle: ArrayLike) -> Array:
    """Largest minus smallest speed ratio over a turn, shape (...): 1 / cos b - cos b = tan b sin b; the mean is 1.

    ``angle`` b of the joint, (...) rad.
    """
    angle = _joint(angle)
    spread: Array = np.tan(angle) * np.sin(angle)
    return spread


def pair_fluctuation(first: ArrayLike, second: ArrayLike, plane: ArrayLike = 0.0) -> Array:
    """Largest minus smallest speed ratio of the last of three shafts to the first, shape (...): two joints in series.

    Args:
        first, second: angles a and b of the two joints, (...) rad.
        plane: angle d about the middle shaft from the plane of the first joint to that of the second, as `plane_phase`.

    The yokes of the middle shaft are in phase, as is usual. Written as maps of exp(2i t), each joint is an automorphism
    of the unit disc, and so are two in series: apart from a phase shift, the two are equivalent to exactly one joint.
    Its angle e follows from the extremes of the ratio, which are each other's inverse:

        cos e + 1 / cos e = (cos^2 a + cos^2 b + sin^2 a sin^2 b sin^2 d) / (cos a cos b)

    Derived here. For small angles, e^4 = a^4 + b^4 - 2 a^2 b^2 cos 2d; in one plane e^2 = |a^2 - b^2|, and with planes
    square to each other e^2 = a^2 + b^2 (SAE AE-7, Universal Joint and Driveshaft Design Manual, from memory). With
    equal angles in one plane the last shaft turns evenly. The middle shaft still has the full fluctuation of the first
    joint.
    """
    first, second = _joint(first), _joint(second)
    apart = 2 * np.sin((first + second) / 2) * np.sin((first - second) / 2)
    twisted = np.sin(first) * np.sin(second) * np.sin(np.asarray(plane, np.float64))
    # (1 - cos e)^2 / cos e, without subtracting nearly equal numbers; the fluctuation is 1 / cos e - cos e.
    excess = (apart**2 + twisted**2) / (np.cos(first) * np.cos(second))
    spread: Array = np.sqrt(excess * (excess + 4))
    return spread


def equal_joint(ripple: ArrayLike) -> Array:
    """Angle of the one joint that would turn as unevenly, shape (...) rad: e with 1 / cos e - cos e = `ripple`.

    `ripple` is largest minus smallest speed ratio, 0 or more.
    """
    ripple = np.asarray(ripple, np.float64)
    angle: Array = np.arccos((np.sqrt(ripple**2 + 4) - ripple) / 2)
    return angle


def plane_phase(first: ArrayLike, middle: ArrayLike, last: ArrayLike) -> Array:
    """Angle about the middle shaft from the plane of the first joint to that of the second: rad, shape (...).

    A joint's plane is that of its two shafts. The three directions (3, ...), of any length, follow each other from one
    end of the driveline to the other, all in the same sense. Right-handed about ``middle``, within half a turn. 0 where
    a joint is straight and so has no plane.
    """
    first, middle, last = aligned(first, middle, last)
    one, other = cross(first, middle), cross(middle, last)
    across = dot(cross(one, other), middle) / np.sqrt(dot(middle, middle))
    phase: Array = np.arctan2(across, dot(one, other))
    return phase


def driveshaft_ripple(
    output: ArrayLike, output_direction: ArrayLike, pinion: ArrayLike, pinion_direction: ArrayLike
) -> Array:
    """Largest minus smallest speed of the pinion over a turn, relative to its mean, shape (...): two Cardan joints.

    Joint centres (3, ...) m and directions (3, ...) as for `spans.driveshaft_angles`. Exact, whether or not the shafts
    lie in one plane. The sense of the pinion shaft's direction does not matter. NaN where a joint is at a right angle.
    """
    first, second = driveshaft_angles(output, output_direction, pinion, pinion_direction)
    start, end = aligned(output, pinion)
    return pair_fluctuation(first, second, plane_phase(output_direction, end - start, pinion_direction))
