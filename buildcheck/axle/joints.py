"""Misalignment of the joints at the ends of links.

A joint sits on a part, the frame or the axle; its misalignment depends on the link's attitude relative to that part.
Directions and axes are (3, ...), of any length; an attitude is a rotation matrix (3, 3, ...) from the part's axes at
ride height to vehicle axes, as `rotation.attitude` gives it for the axle; omit it for the frame. Angles are radians,
arrays (...). NaN in, NaN out. Vehicle axes (x forward, y left, z up).

A joint with a bolt (rod end, bushing) turns freely about it. The line of the link can turn relative to the part in two
ways only: about the bolt, which is oscillation and not misalignment, and out of the plane square to the bolt, which is
tilt and counts against the joint's rating. The direction of the line does not include the link's spin about its own
axis; see `clocking` and `kindest_spin`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit


def against_part(vector: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """Direction relative to a part: (3, ...), R^T v, in the part's ride-height axes, from one in vehicle axes."""
    vector = np.asarray(vector, np.float64)
    if attitude is None:
        return vector
    turned = np.asarray(attitude, np.float64)
    # Rows of R^T are columns of R; `aligned` matches the axes of poses and broadcasts a fixed vector over them.
    return np.stack([dot(*aligned(turned[:, column], vector)) for column in range(3)])


def angle_between(first: ArrayLike, second: ArrayLike) -> Array:
    """Angle between two directions, rad, 0 to half a turn, shape (...): atan2(|a x b|, a.b)."""
    a, b = aligned(first, second)
    a, b = unit(a), unit(b)
    angle: Array = np.arctan2(size(cross(a, b)), dot(a, b))
    return angle


def line_turn(ride: ArrayLike, now: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """Angle that a link's line has turned since ride height, relative to the part of one of its joints: rad, (...).

    Args:
        ride: the link's direction at ride height, (3, ...), from this joint to the other.
        now: the same in each pose.
        attitude: of the part that the joint sits on.
    """
    return angle_between(ride, against_part(now, attitude))


def bolt_tilt(line: ArrayLike, bolt: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """Angle of a link's line out of the plane square to the bolt of a joint: rad, shape (...), + towards the bolt.

    tilt = atan2(r.b, |r x b|), b being the bolt's direction and r the link's, both of length 1, relative to the part.
    At ride height it is set by how the bracket was welded on. Its magnitude is the misalignment of a rod end whose link
    may spin, and the cone angle of a bushing, which was pressed in square.

    Args:
        line: the link's direction in each pose, (3, ...), from this joint to the other.
        bolt: direction of the bolt at ride height, (3, ...).
        attitude: of the part that the joint sits on.
    """
    along, axis = aligned(against_part(line, attitude), bolt)
    along, axis = unit(along), unit(axis)
    tilt: Array = np.arctan2(dot(along, axis), size(cross(along, axis)))
    return tilt


def clocking(line: ArrayLike, first_bolt: ArrayLike, second_bolt: ArrayLike) -> Array:
    """Spin about a link's line from the ideal position for its first bolt to that for its second: rad, shape (...).

    The ideal position for a bolt has the bore of the rod end as near to the bolt's direction as the line allows.
    Right-handed about ``line``, and within a quarter turn, because a bore has no sense. All directions are in vehicle
    axes (3, ...) in the pose: a bolt on the axle moves with it. NaN where a bolt lies along the line.

    The jam nuts of the link were tightened at ride height. The twist of the link is therefore the clocking in a pose
    minus that at ride height, brought within a quarter turn by `within_quarter`.
    """
    line, first, second = aligned(line, first_bolt, second_bolt)
    line = unit(line)
    first, second = (unit(bolt - line * dot(line, bolt)) for bolt in (first, second))
    angle: Array = np.arctan2(dot(line, cross(first, second)), dot(first, second))
    return within_quarter(angle)


def within_quarter(angle: ArrayLike) -> Array:
    """Angle between lines that have no sense, brought within +- a quarter turn by half turns: rad, shape (...)."""
    turned: Array = (np.asarray(angle, np.float64) + np.pi / 2) % np.pi - np.pi / 2
    return turned


def misalignment(tilt: ArrayLike, spin: ArrayLike = 0.0) -> Array:
    """Angle between a joint's bolt and its bore: rad, shape (...); cos m = cos tilt cos spin.

    ``tilt`` is from `bolt_tilt`; ``spin`` is that of the link about its line, from the ideal position for this bolt.
    For one ball joint or rod end that is free to spin, or one at each end of a link with one of them a plain ball, use
    a spin of 0: the link turns about its own line before a joint binds. Written with sines, to stay accurate when
    small.
    """
    leaned, spun = np.sin(np.asarray(tilt, np.float64)), np.sin(np.asarray(spin, np.float64))
    sine_squared = leaned**2 + spun**2 * (1 - leaned**2)
    cosine = np.cos(np.asarray(tilt, np.float64)) * np.cos(np.asarray(spin, np.float64))
    angle: Array = np.arctan2(np.sqrt(sine_squared), cosine)
    return angle


def kindest_spin(first_tilt: ArrayLike, second_tilt: ArrayLike, twist: ArrayLike) -> tuple[Array, Array]:
    """Misalignment of both rod ends of a link, spun so that the larger of the two is least: rad, (...) each.

    When the link spins by e from the ideal position for the first bolt, ``twist`` - e remains for the second. The two
    misalignments are equal at tan e = (cos first - cos second cos twist) / (cos second sin twist), unless one is larger
    at every spin between.

    Assumed: only the two rod ends limit the link's spin, and the link rests at the most favourable spin. It can also
    flop to either end of its play; the joint at that end then has at most ``misalignment(tilt, twist)``. Derived here.
    A bushing at one end fixes the spin: the whole ``twist`` then falls on the other.

    Args:
        first_tilt, second_tilt: from `bolt_tilt` of each end.
        twist: `clocking` in the pose minus that at ride height, within a quarter turn.
    """
    first, second, twist = (np.asarray(angle, np.float64) for angle in (first_tilt, second_tilt, twist))
    whole = np.abs(twist)
    # cos first - cos second cos whole, written to avoid subtracting nearly equal numbers
    apart = 2 * np.sin((second + first) / 2) * np.sin((second - first) / 2)
    apart = apart + 2 * np.cos(second) * np.sin(whole / 2) ** 2
    level = np.arctan2(apart, np.cos(second) * np.sin(whole))
    spin = np.clip(level, 0.0, whole)
    return misalignment(first, spin), misalignment(second, whole - spin)


def triangle_attitude(
    frame: ArrayLike, upper: ArrayLike, lower: ArrayLike, ride: tuple[ArrayLike, ArrayLike, ArrayLike]
) -> Array:
    """Attitude of a radius arm from its frame joint and its two axle joints: a rotation (3, 3, ...) from ride height.

    The line from the frame joint to the middle of the two axle joints turns with the arm exactly, and the two axle
    joints define its spin about that line. The arm is rigid; deflection of its axle joints is thereby shared evenly by
    the two.

    Args:
        frame, upper, lower: positions of the three joint centres in each pose, (3, ...) m.
        ride: the same three at ride height.

    NaN where the three lie in one line.
    """
    now, before = _triad(frame, upper, lower), _triad(*ride)
    # R = now before^T, column by column
    columns = [
        sum(axis * reference[row] for axis, reference in (aligned(a, b) for a, b in zip(now, before, strict=True)))
        for row in range(3)
    ]
    return np.stack([np.asarray(column) for column in columns], axis=1)


def _triad(frame: ArrayLike, upper: ArrayLike, lower: ArrayLike) -> tuple[Array, Array, Array]:
    """Three unit vectors of an arm: along it, up from its lower axle joint and square to it, and square to both."""
    frame, upper, lower = aligned(frame, upper, lower)
    along = unit((upper + lower) / 2 - frame)
    rise = upper - lower
    up = unit(rise - along * dot(along, rise))
    return along, up, cross(along, up)


def whole_turn(arm: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """Angle of the single rotation that takes an arm from ride height to the pose, relative to a part: rad, (...).

    0 to half a turn: atan2(|axial(Q - Q^T)|, trace Q - 1) with Q = R^T A, the rotation relative to the part.

    Args:
        arm: attitude of the arm, (3, 3, ...), from `triangle_attitude`.
        attitude: of the part. The axle's for the axle joints, omitted for the frame joint.
    """
    turned = np.asarray(arm, np.float64)
    one, two, three = (against_part(turned[:, column], attitude) for column in range(3))
    axial = np.stack([two[2] - three[1], three[0] - one[2], one[1] - two[0]])
    angle: Array = np.arctan2(size(axial), one[0] + two[1] + three[2] - 1)
    return angle


def cone_angle(arm: ArrayLike, bolt: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """Angle between the bolt of a joint and its bore in a rigid arm: rad, shape (...), 0 to half a turn.

    Between b and Q b with Q = R^T A, the rotation of the arm A relative to the part R. This angle counts against the
    joint's rating. A rotation about the bolt, which winds up a bushing, is not included.

    Args:
        arm: attitude of the arm, (3, 3, ...), from `triangle_attitude`.
        bolt: direction at ride height, (3, ...).
        attitude: of the part. The axle's for the axle joints, omitted for the frame joint.
    """
    turned = np.asarray(arm, np.float64)
    columns = [aligned(turned[:, column], bolt) for column in range(3)]
    bore = sum(column * axis[row] for row, (column, axis) in enumerate(columns))
    return angle_between(bolt, against_part(np.asarray(bore), attitude))
