"""How far the joints at the ends of links are turned out of their seats, and how far a rod end may be.

A joint sits on a part, the frame or the axle; what counts is the link's attitude against that part. Directions and axes
are (3, ...), of any length; an attitude is a rotation matrix (3, 3, ...) from the part's axes at ride height to vehicle
axes, as `rotation.attitude` gives it for the axle; the frame's is left out. Angles are radians, arrays (...). NaN in,
NaN out. Vehicle axes (x forward, y left, z up).

A joint with a bolt (rod end, bushing) turns freely about it. The line of the link can turn against the part in two ways
only: about the bolt, which is oscillation and no misalignment, and out of the plane square to the bolt, which is tilt
and counts against the joint's rating. What the line does not show is the link's spin about itself; see
`clocking` and `kindest_spin`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.vectors import Array, aligned, cross, dot, size, unit


def against_part(vector: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """A direction in vehicle axes, as one sees it who sits on the part: (3, ...), R^T v, in axes of ride height."""
    vector = np.asarray(vector, np.float64)
    if attitude is None:
        return vector
    turned = np.asarray(attitude, np.float64)
    # Rows of R^T are columns of R; aligned puts poses beside poses, and a fixed vector beside them all.
    return np.stack([dot(*aligned(turned[:, column], vector)) for column in range(3)])


def angle_between(first: ArrayLike, second: ArrayLike) -> Array:
    """Angle between two directions, rad, 0 to half a turn, shape (...): atan2(|a x b|, a.b)."""
    a, b = aligned(first, second)
    a, b = unit(a), unit(b)
    angle: Array = np.arctan2(size(cross(a, b)), dot(a, b))
    return angle


def line_turn(ride: ArrayLike, now: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """Angle that a link's line has turned against the part of one of its joints since ride height: rad, shape (...).

    Args:
        ride: the link's direction at ride height, (3, ...), from this joint to the other.
        now: the same in each pose.
        attitude: of the part that the joint sits on.
    """
    return angle_between(ride, against_part(now, attitude))


class BoltTurn(NamedTuple):
    """How a link's line stands to the bolt of a joint, rad, shape (...) each.

    oscillation: turn about the bolt since ride height, right-handed about the bolt, within half a turn; free
    tilt:        angle out of the plane square to the bolt, + towards the bolt's direction; at ride height it is what
                 the bracket was welded to. Its size is the misalignment of a rod end whose link may spin, and the
                 cone angle of a bushing, which was pressed in square
    """

    oscillation: Array
    tilt: Array


def bolt_turn(ride: ArrayLike, now: ArrayLike, bolt: ArrayLike, attitude: ArrayLike | None = None) -> BoltTurn:
    """Turn of a link's line about the bolt of its joint and tilt out of the plane square to it.

    tilt = atan2(r.b, |r x b|) and oscillation = atan2(b.(r0 x r), r0.r - (r0.b)(r.b)), with b the bolt's direction and
    r the link's, r0 at ride height, all of length 1 and seen from the part.

    Args:
        ride, now, attitude: as for `line_turn`.
        bolt: direction of the bolt at ride height, (3, ...).
    """
    before, after, axis = aligned(ride, against_part(now, attitude), bolt)
    before, after, axis = unit(before), unit(after), unit(axis)
    tilt = np.arctan2(dot(after, axis), size(cross(after, axis)))
    about = np.arctan2(dot(axis, cross(before, after)), dot(before, after) - dot(before, axis) * dot(after, axis))
    return BoltTurn(about, tilt)


def clocking(line: ArrayLike, first_bolt: ArrayLike, second_bolt: ArrayLike) -> Array:
    """Spin about a link's line from where its first bolt wants it to where its second does: rad, shape (...).

    Each bolt wants the bore of its rod end as near to its own direction as the line allows. Right-handed about
    ``line``, and within a quarter turn, as a bore has no sense. All in vehicle axes (3, ...), as they stand in the
    pose: a bolt on the axle is carried by it. NaN where a bolt lies along the line.

    The link was made to fit at ride height, with its jam nuts tightened so. So what twists the link is the clocking in
    a pose less that at ride height, brought within a quarter turn by `within_quarter`.
    """
    line, first, second = aligned(line, first_bolt, second_bolt)
    line = unit(line)
    first, second = (unit(bolt - line * dot(line, bolt)) for bolt in (first, second))
    angle: Array = np.arctan2(dot(line, cross(first, second)), dot(first, second))
    return within_quarter(angle)


def within_quarter(angle: ArrayLike) -> Array:
    """An angle brought within +- a quarter turn by half turns, rad, shape (...): of lines that have no sense."""
    turned: Array = (np.asarray(angle, np.float64) + np.pi / 2) % np.pi - np.pi / 2
    return turned


def misalignment(tilt: ArrayLike, spin: ArrayLike = 0.0) -> Array:
    """Angle between a joint's bolt and its bore: rad, shape (...); cos m = cos tilt cos spin.

    ``tilt`` from `bolt_turn`, ``spin`` of the link about its line away from where this bolt wants it. With one ball
    joint or rod end that is free to spin, or one at each end of a link with one of them a plain ball, the spin is
    taken as 0: the link turns about itself before a joint binds. Written with sines, to keep its digits when small.
    """
    leaned, spun = np.sin(np.asarray(tilt, np.float64)), np.sin(np.asarray(spin, np.float64))
    sine_squared = leaned**2 + spun**2 * (1 - leaned**2)
    cosine = np.cos(np.asarray(tilt, np.float64)) * np.cos(np.asarray(spin, np.float64))
    angle: Array = np.arctan2(np.sqrt(sine_squared), cosine)
    return angle


def kindest_spin(first_tilt: ArrayLike, second_tilt: ArrayLike, twist: ArrayLike) -> tuple[Array, Array]:
    """Misalignment of the rod ends at both ends of a link that spins to where the worse is least: rad, (...) each.

    The link's spin e away from where the first bolt wants it leaves ``twist`` - e for the second. The two are equal at
    tan e = (cos first - cos second cos twist) / (cos second sin twist), unless one is the worse at any spin between.

    Assumed: nothing but the two rod ends holds the link's spin, and it rests where it is best off. A link is free to
    flop to either end of its play instead, where the joint it flops to has no more than ``misalignment(tilt, twist)``.
    Derived here. A bushing at one end holds the spin itself: then the whole ``twist`` falls on the other.

    Args:
        first_tilt, second_tilt: from `bolt_turn` of each end.
        twist: `clocking` in the pose less that at ride height, within a quarter turn.
    """
    first, second, twist = (np.asarray(angle, np.float64) for angle in (first_tilt, second_tilt, twist))
    whole = np.abs(twist)
    # cos first - cos second cos whole, not as a difference of near equals
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
    joints give its spin about that line. The arm is rigid; what its joints give is so shared evenly by the two.

    Args:
        frame, upper, lower: where the three joint centres stand in each pose, (3, ...) m.
        ride: the same three at ride height.

    NaN where the three stand in one line.
    """
    now, before = _triad(frame, upper, lower), _triad(*ride)
    # R = now before^T, column by column
    columns = [
        sum(axis * reference[row] for axis, reference in (aligned(a, b) for a, b in zip(now, before, strict=True)))
        for row in range(3)
    ]
    return np.stack([np.asarray(column) for column in columns], axis=1)


def _triad(frame: ArrayLike, upper: ArrayLike, lower: ArrayLike) -> tuple[Array, Array, Array]:
    """Three unit vectors of an arm: along it, up from its lower axle joint, and square to both."""
    frame, upper, lower = aligned(frame, upper, lower)
    along = unit((upper + lower) / 2 - frame)
    rise = upper - lower
    up = unit(rise - along * dot(along, rise))
    return along, up, cross(along, up)


def whole_turn(arm: ArrayLike, attitude: ArrayLike | None = None) -> Array:
    """Angle of the one turn that takes an arm from ride height to where it stands, seen from a part: rad, shape (...).

    0 to half a turn: atan2(|axial(Q - Q^T)|, trace Q - 1) with Q = R^T A, the turn seen from the part.

    Args:
        arm: attitude of the arm, (3, 3, ...), from `triangle_attitude`.
        attitude: of the part. The axle's for the axle joints, left out for the frame joint.
    """
    axial, trace = _axial_and_trace(_seen(arm, attitude))
    angle: Array = np.arctan2(size(axial), trace - 1)
    return angle


def _seen(arm: ArrayLike, attitude: ArrayLike | None) -> list[Array]:
    """The columns of an arm's attitude as seen from a part."""
    turned = np.asarray(arm, np.float64)
    return [against_part(turned[:, column], attitude) for column in range(3)]


def _axial_and_trace(seen: list[Array]) -> tuple[Array, Array]:
    """Twice the sine of a turn along its axis, (3, ...), and the trace of its matrix, whose columns are given."""
    axial = np.stack([seen[1][2] - seen[2][1], seen[2][0] - seen[0][2], seen[0][1] - seen[1][0]])
    return axial, seen[0][0] + seen[1][1] + seen[2][2]


class ConeTurn(NamedTuple):
    """Turn of one part against another, taken about a bolt, rad, shape (...) each.

    twist: about the bolt, right-handed, within half a turn: wind-up of a bushing
    cone:  angle between the bolt and where the turn takes it, 0 to half a turn: what counts against the rating
    """

    twist: Array
    cone: Array


def cone_turn(arm: ArrayLike, bolt: ArrayLike, attitude: ArrayLike | None = None) -> ConeTurn:
    """Turn of an arm against the part that it is bolted to, split into twist about the bolt and cone angle.

    With Q = R^T A the turn seen from the part, the cone is the angle between b and Q b. The twist is that of the
    quaternion (w, v) of Q split into swing and twist: 2 atan2(v.b, w), where v / w = axial(Q - Q^T) / (1 + trace Q)
    (P. Dobrowolski, Swing-twist decomposition in Clifford algebra, 2015; from memory).

    Args:
        arm: attitude of the arm, (3, 3, ...), from `triangle_attitude`.
        bolt: direction at ride height, (3, ...).
        attitude: of the part. The axle's for the axle joints, left out for the frame joint.

    NaN where the arm is turned by half a turn, which no joint can be.
    """
    seen = _seen(arm, attitude)
    axial, trace = _axial_and_trace(seen)
    about, axis = aligned(axial, bolt)
    axis = unit(axis)
    scalar = 1 + trace
    twist = np.where(scalar > 1e-12, 2 * np.arctan2(dot(about, axis), scalar), np.nan)
    x, y, z = axis
    aimed = np.stack([seen[0][row] * x + seen[1][row] * y + seen[2][row] * z for row in range(3)])
    return ConeTurn(twist, angle_between(axis, aimed))
