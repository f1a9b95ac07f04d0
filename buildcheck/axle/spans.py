"""Lengths and angles of straight lines between frame and axle: links, coilovers, straps, stops, driveshaft.

Points are (3, ...) in metres, vehicle axes (x forward, y left, z up); the axes after the first broadcast from the
right, so a fixed point of shape (3,) can be combined with a moving one of shape (3, poses). Angles are radians. A line
of zero length has no direction, so all its angles are NaN; NaN points give NaN.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit


def span(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Distance between two points, m, shape (...)."""
    frame, axle = aligned(frame_point, axle_point)
    return size(axle - frame)


def direction(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Unit vector from the frame end to the axle end: (3, ...).

    It is also the derivative of the span with respect to the axle end's position: a rise dz of the axle end alone
    changes the span by z dz, z being this vector's third component (negative where the axle end is below the frame
    end).
    """
    frame, axle = aligned(frame_point, axle_point)
    return unit(axle - frame)


def _slope(rise: Array, run: Array) -> Array:
    """Angle of a line from its rise and its run: within +- a right angle, NaN where both are zero."""
    run = np.abs(run)
    angle: Array = np.where((run == 0) & (rise == 0), np.nan, np.arctan2(rise, run))
    return angle


def side_view_angle(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Slope of a line seen from the side, rad, shape (...): + where the frame end is the higher; 0 is level.

    NaN for a line seen end on.
    """
    frame, axle = aligned(frame_point, axle_point)
    x, _, z = frame - axle
    return _slope(z, x)


def front_view_angle(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Slope of a line seen from the front, rad, shape (...): + where the frame end is the higher; 0 is level.

    NaN for a line seen end on.
    """
    frame, axle = aligned(frame_point, axle_point)
    _, y, z = frame - axle
    return _slope(z, y)


def plan_angle(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Angle of a line to the fore-and-aft line seen from above, rad, shape (...).

    + where the frame end is further left than the axle end; 0 is fore and aft, a right angle is straight across. NaN
    for a line seen end on.
    """
    frame, axle = aligned(frame_point, axle_point)
    x, y, _ = frame - axle
    return _slope(y, x)


def across_angle(view: Literal["front", "plan"], first: ArrayLike, second: ArrayLike) -> Array:
    """Angle between a line across the vehicle and the lateral axis, rad, shape (...), within +- a right angle.

    In front view + rises to the left; in plan + runs forward to the left. The order of the two ends does not matter.
    NaN for a line seen end on.
    """
    one, other = aligned(first, second)
    x, y, z = one - other
    away = z if view == "front" else x
    return _slope(np.where(y < 0, -away, away), y)


def joint_angle(first: ArrayLike, second: ArrayLike) -> Array:
    """Acute angle between two lines, rad, 0 to a right angle, shape (...).

    The lines are given by their directions (3, ...), of either sense and any length. The formula is
    atan2(|a x b|, |a.b|), which stays accurate at small angles, where an arccosine loses half its digits.
    """
    a, b = aligned(first, second)
    a, b = unit(a), unit(b)
    angle: Array = np.arctan2(size(cross(a, b)), np.abs(dot(a, b)))
    return angle


def driveshaft_angles(
    output: ArrayLike, output_direction: ArrayLike, pinion: ArrayLike, pinion_direction: ArrayLike
) -> tuple[Array, Array]:
    """Angles of a driveshaft's two universal joints, at the output and at the pinion: rad, shape (...) each.

    ``output`` and ``pinion`` are the joint centres (3, ...), the directions those of the shafts they sit on, of either
    sense and any length. Pass the pinion's point and direction as they move with the axle in each pose.
    """
    output, pinion = aligned(output, pinion)
    shaft = pinion - output
    return joint_angle(output_direction, shaft), joint_angle(pinion_direction, shaft)


def stop_gap(base: ArrayLike, axis: ArrayLike, free_length: ArrayLike, target: ArrayLike) -> tuple[Array, Array]:
    """Gap from a bump stop to its target, and the offset of the strike from the centre: m, shape (...) each.

    Args:
        base: centre of the stop's mounting face, (3, ...) m.
        axis: from the base towards the tip, (3, ...), of any length; fixed to the frame.
        free_length: base to tip, (...) m.
        target: centre of the pad that it meets, moving with the axle, (3, ...) m.

    The pad is assumed square to the stop's axis: its tilt as the axle rolls is left out.  Gap: + clear,
    - compressed by that much. Offset: distance of the pad's centre from the stop's axis, never negative.
    """
    base, axis, target = aligned(base, axis, target)
    axis = unit(axis)
    reach = target - base
    along = dot(reach, axis)
    return along - np.asarray(free_length, np.float64), size(reach - along * axis)


def span_rate(frame_point: ArrayLike, axle_point: ArrayLike, axle_rate: ArrayLike) -> Array:
    """Derivative of a span with respect to a variable, from that of its axle end: shape (...), m per unit.

    `direction` times ``axle_rate``, the derivative of the axle end's position, (3, ...) m per unit of the same
    variable. + grows longer.
    """
    along, rate = aligned(direction(frame_point, axle_point), axle_rate)
    return dot(along, rate)
