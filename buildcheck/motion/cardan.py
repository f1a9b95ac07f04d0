"""Universal (Cardan) joints: how unevenly they turn, alone and two in a row; and how fast their shaft may turn.

Two shafts at an angle b, the driving one turned by t from where the pins of its yoke lie in the plane of the shafts,
the driven one by u from where its own pins stand square to that plane:

    tan u = tan t / cos b,    du/dt = cos b / (1 - sin^2 b cos^2 t)

(any textbook of mechanisms, e.g. R. S. Khurmi, J. K. Gupta, Theory of Machines; from memory). Angles are radians,
0 <= b < a right angle, else NaN. Speeds are given as a ratio to the speed of the driving shaft, which turns evenly, and
angular accelerations as a ratio to the square of it. All arguments broadcast, so all answers come for all poses at
once.
"""

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.spans import driveshaft_angles
from buildcheck.motion.vectors import Array, aligned, cross, dot


def _joint(angle: ArrayLike) -> Array:
    """A joint's angle, NaN where no joint could turn."""
    angle = np.asarray(angle, np.float64)
    sound: Array = np.where((angle >= 0) & (angle < np.pi / 2), angle, np.nan)
    return sound


def speed_ratio(angle: ArrayLike, turned: ArrayLike) -> Array:
    """Speed of the driven shaft over that of the driving one, shape (...): see the module's head.

    ``angle`` of the joint and ``turned``, of the driving shaft, both (...) rad.
    """
    angle = _joint(angle)
    ratio: Array = np.cos(angle) / (1 - (np.sin(angle) * np.cos(turned)) ** 2)
    return ratio


def speed_extremes(angle: ArrayLike) -> tuple[Array, Array]:
    """Least and greatest speed ratio over a turn: cos b and 1 / cos b, shape (...) each."""
    cosine = np.cos(_joint(angle))
    return cosine, 1 / cosine


def fluctuation(angle: ArrayLike) -> Array:
    """Greatest less least speed ratio, shape (...): 1 / cos b - cos b = tan b sin b; the mean is 1."""
    angle = _joint(angle)
    spread: Array = np.tan(angle) * np.sin(angle)
    return spread


def angle_of_fluctuation(spread: ArrayLike) -> Array:
    """Angle of the joint that has a given `fluctuation`: rad, shape (...).

    1 - cos b = 2 spread / (2 + spread + sqrt(spread^2 + 4)). NaN for a spread below 0.
    """
    spread = np.asarray(spread, np.float64)
    spread = np.where(spread >= 0, spread, np.nan)
    versed = 2 * spread / (2 + spread + np.hypot(spread, 2.0))  # 1 - cos b, not as a difference of near equals
    angle: Array = 2 * np.arcsin(np.sqrt(versed / 2))
    return angle


def lead(angle: ArrayLike, turned: ArrayLike) -> Array:
    """How far the driven shaft is ahead of the driving one, u - t, + ahead: rad, shape (...).

    tan(u - t) = (1 - cos b) sin t cos t / (cos b cos^2 t + sin^2 t), from tan u = tan t / cos b. Arguments as for
    `speed_ratio`.
    """
    angle, turned = _joint(angle), np.asarray(turned, np.float64)
    cosine, sine = np.cos(turned), np.sin(turned)
    versed = 2 * np.sin(angle / 2) ** 2
    ahead: Array = np.arctan2(versed * sine * cosine, np.cos(angle) * cosine**2 + sine**2)
    return ahead


def largest_lead(angle: ArrayLike) -> Array:
    """Largest `lead` over a turn, as much ahead as behind: rad, shape (...); asin((1 - cos b) / (1 + cos b))."""
    largest: Array = np.arcsin(np.tan(_joint(angle) / 2) ** 2)
    return largest


def acceleration(angle: ArrayLike, turned: ArrayLike) -> Array:
    """Angular acceleration of the driven shaft over the square of the driving one's speed, shape (...).

    -cos b sin^2 b sin 2t / (1 - sin^2 b cos^2 t)^2, the derivative of `speed_ratio`; arguments as there.
    """
    angle, turned = _joint(angle), np.asarray(turned, np.float64)
    square = np.sin(angle) ** 2
    rate: Array = -np.cos(angle) * square * np.sin(2 * turned) / (1 - square * np.cos(turned) ** 2) ** 2
    return rate


def turned_at_largest_acceleration(angle: ArrayLike) -> Array:
    """Turn of the driving shaft at which `acceleration` has its largest size: rad, shape (...), up to 45 degrees.

    cos 2t = 4 s^2 / (2 - s^2 + sqrt((2 - s^2)^2 + 8 s^4)) with s = sin b, where the derivative of `acceleration`
    vanishes; textbooks give the first term of it, 2 s^2 / (2 - s^2). Derived here.
    """
    square = np.sin(_joint(angle)) ** 2
    cosine = 4 * square / (2 - square + np.hypot(2 - square, np.sqrt(8) * square))
    turned: Array = np.arccos(cosine) / 2
    return turned


def largest_acceleration(angle: ArrayLike) -> Array:
    """Largest size of `acceleration` over a turn, shape (...): about b^2 while b is small."""
    return np.abs(acceleration(angle, turned_at_largest_acceleration(angle)))


def angle_for_acceleration(limit: ArrayLike, speed: ArrayLike) -> Array:
    """Angle at which a joint's angular acceleration comes to a limit, b^2 speed^2 = limit: rad, shape (...).

    ``limit`` in rad/s^2 and ``speed`` of the driving shaft in rad/s, both above 0, else NaN. For small angles: at
    10 degrees `largest_acceleration` is 0.5 % more. SAE AE-7, Universal Joint and Driveshaft Design Manual, works so;
    from memory.
    """
    limit, speed = np.asarray(limit, np.float64), np.asarray(speed, np.float64)
    angle: Array = np.sqrt(np.where(limit > 0, limit, np.nan)) / np.where(speed > 0, speed, np.nan)
    return angle


def plane_phase(first: ArrayLike, middle: ArrayLike, last: ArrayLike) -> Array:
    """Angle about the middle shaft from the plane of the first joint to that of the second: rad, shape (...).

    A joint's plane is that of its two shafts. The three directions (3, ...) follow each other from one end of the
    driveline to the other, of any length: all in the sense in which the line runs. Right-handed about ``middle``,
    within half a turn. 0, the planes being one, where a joint is straight and so has no plane.
    """
    first, middle, last = aligned(first, middle, last)
    one, other = cross(first, middle), cross(middle, last)
    across = dot(cross(one, other), middle) / np.sqrt(dot(middle, middle))
    phase: Array = np.arctan2(across, dot(one, other))
    return phase


def pair_ratio(
    first: ArrayLike, second: ArrayLike, turned: ArrayLike, plane: ArrayLike = 0.0, yokes: ArrayLike = 0.0
) -> Array:
    """Speed of the last of three shafts over that of the first, shape (...): the two joints one after the other.

    Args:
        first, second: angles of the two joints, (...) rad.
        turned: turn of the first shaft, from where the pins of its yoke lie in the plane of the first joint, (...) rad.
        plane: angle about the middle shaft from the plane of the first joint to that of the second, as `plane_phase`.
        yokes: angle about the middle shaft from the pins of its first yoke to those of its second, in the same sense;
            0 in phase, a right angle for yokes set crosswise.

    The pins of the middle shaft's first yoke stand square to the first plane when u = 0, so those of the second yoke
    are u + 90 degrees + yokes - plane away from the second plane.
    """
    turned = np.asarray(turned, np.float64)
    middle = turned + lead(first, turned)
    driving = middle + np.pi / 2 + np.asarray(yokes, np.float64) - np.asarray(plane, np.float64)
    ratio: Array = speed_ratio(first, turned) * speed_ratio(second, driving)
    return ratio


def equivalent_angle(first: ArrayLike, second: ArrayLike, plane: ArrayLike = 0.0, yokes: ArrayLike = 0.0) -> Array:
    """Angle of the single joint that turns the last shaft just as unevenly as two joints do: rad, shape (...).

    Written as maps of exp(2i t), each joint is an automorphism of the unit disc, and so are two in a row: but for a
    shift of phase the two are exactly one joint. Its angle e follows from the extremes of `pair_ratio`, which are each
    other's inverse:

        cos e + 1 / cos e = (cos^2 a + cos^2 b + sin^2 a sin^2 b sin^2 d) / (cos a cos b),   d = yokes - plane

    with a and b the joints' angles. Derived here. While they are small, e^4 = a^4 + b^4 - 2 a^2 b^2 cos 2d; in phase
    and in one plane e^2 = |a^2 - b^2| and crosswise e^2 = a^2 + b^2 (SAE AE-7, Universal Joint and Driveshaft
    Design Manual, from memory). Equal angles in one plane and in phase give 0. Arguments as for `pair_ratio`.

    `fluctuation`, `largest_acceleration` and `largest_lead` of it hold for the pair. The middle shaft itself turns as
    unevenly as the first joint makes it.
    """
    first, second = _joint(first), _joint(second)
    apart = 2 * np.sin((first + second) / 2) * np.sin((first - second) / 2)
    twisted = np.sin(first) * np.sin(second) * np.sin(np.asarray(yokes, np.float64) - np.asarray(plane, np.float64))
    # (1 - cos e)^2 / cos e, hence the fluctuation sqrt(excess (excess + 4)), without a difference of near equals
    excess = (apart**2 + twisted**2) / (np.cos(first) * np.cos(second))
    return angle_of_fluctuation(np.sqrt(excess * (excess + 4)))


def evened(angle: ArrayLike, largest: ArrayLike) -> Array:
    """Angle to put into `equivalent_angle` for a double Cardan joint with a centring device: rad, shape (...).

    0, as it is taken to turn evenly up to its ``largest`` angle (...), rad; NaN beyond, where it does not turn. That
    it is exactly even holds where its centring keeps both halves at equal angles, which real ones do nearly; common
    practice, no source.
    """
    angle = _joint(angle)
    even: Array = np.where(angle <= np.asarray(largest, np.float64), 0.0, np.nan)
    return even


def driveshaft_ripple(
    output: ArrayLike,
    output_direction: ArrayLike,
    pinion: ArrayLike,
    pinion_direction: ArrayLike,
    yokes: ArrayLike = 0.0,
) -> Array:
    """Greatest less least speed of the pinion over a turn, over its mean, shape (...): two single Cardan joints.

    Joint centres and directions (3, ...) as for `spans.driveshaft_angles`; ``yokes`` as for `pair_ratio`. Exact, for
    shafts that lie in one plane or not. A pinion shaft that points at the joint and one that points away are the same.
    NaN where a joint stands at a right angle.
    """
    first, second = driveshaft_angles(output, output_direction, pinion, pinion_direction)
    start, end = aligned(output, pinion)
    phase = plane_phase(output_direction, end - start, pinion_direction)
    return fluctuation(equivalent_angle(first, second, phase, yokes))


def critical_speed(
    outside: ArrayLike, inside: ArrayLike, length: ArrayLike, modulus: ArrayLike = 207e9, density: ArrayLike = 7850.0
) -> Array:
    """Speed at which a driveshaft's tube whips, its first bending frequency: rad/s, shape (...).

    (pi / L)^2 sqrt(E / rho) sqrt(D^2 + d^2) / 4: Euler and Bernoulli's beam on pinned ends; a yoke's weight and the
    softness of the mounts, which lower it, are left out.

    Args:
        outside, inside: diameters D and d of the tube, m.
        length: L, from joint centre to joint centre, m.
        modulus, density: E in Pa and rho in kg/m^3; those of steel.

    NaN unless outside > inside >= 0 and length > 0.
    """
    outside, inside, length, modulus, density = (
        np.asarray(value, np.float64) for value in (outside, inside, length, modulus, density)
    )
    sound = (outside > inside) & (inside >= 0) & (length > 0)
    length = np.where(sound, length, np.nan)
    speed: Array = (np.pi / length) ** 2 * np.sqrt(modulus / density) * np.hypot(outside, inside) / 4
    return speed
