"""Lengths and angles of straight lines between frame and axle: links, coilovers, straps, stops, driveshaft.

Points are (3, ...) in metres, vehicle axes (x forward, y left, z up); the axes after the first broadcast
from the right, so a fixed point of shape (3,) goes with the carried one of shape (3, poses).  Angles are
radians.  A line of no length has no direction, so every angle of it is NaN; NaN points give NaN.
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

    It is also the slope of the span against the axle end's position: a rise dz of the axle end alone
    changes the span by z dz, z being this vector's third part (less than nothing where the axle hangs below
    the frame end).
    """
    frame, axle = aligned(frame_point, axle_point)
    return unit(axle - frame)


def _slope(rise: Array, run: Array) -> Array:
    """Angle of a line from its rise and its run: within +- a right angle, NaN where it shows as a point."""
    run = np.abs(run)
    angle: Array = np.where((run == 0) & (rise == 0), np.nan, np.arctan2(rise, run))
    return angle


def side_view_angle(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Slope of a line seen from the side, rad, shape (...): + with the frame end the higher; 0 is level.

    NaN for a line seen end on.
    """
    frame, axle = aligned(frame_point, axle_point)
    x, _, z = frame - axle
    return _slope(z, x)


def front_view_angle(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Slope of a line seen from the front, rad, shape (...): + with the frame end the higher; 0 is level.

    NaN for a line seen end on.
    """
    frame, axle = aligned(frame_point, axle_point)
    _, y, z = frame - axle
    return _slope(z, y)


def plan_angle(frame_point: ArrayLike, axle_point: ArrayLike) -> Array:
    """Angle of a line to the fore-and-aft line seen from above, rad, shape (...).

    + with the frame end more to the left than the axle end; 0 lies fore and aft, a right angle
    straight across.  NaN for a line seen end on.
    """
    frame, axle = aligned(frame_point, axle_point)
    x, y, _ = frame - axle
    return _slope(y, x)


def across_angle(view: Literal["front", "plan"], first: ArrayLike, second: ArrayLike) -> Array:
    """Angle of a line that runs across the vehicle to the lateral axis, rad, shape (...), between +- a right angle.

    From the front + rises to the left; in plan + runs forward to the left.  It does not matter which end is first.
    NaN for a line seen end on.
    """
    one, other = aligned(first, second)
    x, y, z = one - other
    away = z if view == "front" else x
    return _slope(np.where(y < 0, -away, away), y)


def joint_angle(first: ArrayLike, second: ArrayLike) -> Array:
    """Acute angle between two lines, rad, 0 to a right angle, shape (...).

    The lines are given by their directions (3, ...), of either sense and any length.  The formula is
        atan2(|a x b|, |a.b|), which keeps its digits at small angles where an arccosine loses half of them.
    """
    a, b = aligned(first, second)
    a, b = unit(a), unit(b)
    angle: Array = np.arctan2(size(cross(a, b)), np.abs(dot(a, b)))
    return angle


def driveshaft_angles(
    output: ArrayLike, output_direction: ArrayLike, pinion: ArrayLike, pinion_direction: ArrayLike
) -> tuple[Array, Array]:
    """Angles of a driveshaft's two universal joints, at the output and at the pinion: rad, shape (...) each.

    ``output`` and ``pinion`` are the joint centres (3, ...), the directions those of the shafts they sit
    on, of either sense and any length.  Hand the pinion's point and direction over as carried by the axle,
    pose by pose.
    """
    output, pinion = aligned(output, pinion)
    shaft = pinion - output
    return joint_angle(output_direction, shaft), joint_angle(pinion_direction, shaft)


def stop_gap(base: ArrayLike, axis: ArrayLike, free_length: ArrayLike, target: ArrayLike) -> tuple[Array, Array]:
    """Gap of a bump stop to its target, and how far off centre it strikes: m, shape (...) each.

    Args:
        base: centre of the stop's mounting face, (3, ...) m.
        axis: from the base towards the tip, (3, ...), of any length; fixed to the frame.
        free_length: base to tip, (...) m.
        target: centre of the pad it meets, carried by the axle, (3, ...) m.

    The pad is taken as square to the stop's axis: its tilt with the axle's roll is left out.  Gap: + clear,
    - compressed by that much. Offset: distance of the pad's centre from the stop's axis, never negative.
    """
    base, axis, target = aligned(base, axis, target)
    axis = unit(axis)
    reach = target - base
    along = dot(reach, axis)
    return along - np.asarray(free_length, np.float64), size(reach - along * axis)


def span_rate(frame_point: ArrayLike, axle_point: ArrayLike, axle_rate: ArrayLike) -> Array:
    """Slope of a span against what ``axle_rate`` is the rate of: shape (...), m for each unit of it.

    `direction` times the axle end's rate, (3, ...) m for each unit of it. + grows longer.
    """
    along, rate = aligned(direction(frame_point, axle_point), axle_rate)
    return dot(along, rate)
