"""Steering linkage of a build, as drawn in the spec and at rest at ride height."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from buildcheck.build import Build, Side
from buildcheck.build.linkage import Steering
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.layout import made_as_placed, refuse_no_length
from buildcheck.job.resting import RestingAxle
from buildcheck.steering.cranks import Crank
from buildcheck.steering.linkage import Joined, Linkage, Turn, linkage
from buildcheck.steering.lock import at_stop
from buildcheck.steering.swing import kingpin_axis, swing_for_steer

LEFT, RIGHT = Side.LEFT, Side.RIGHT
LATERAL = np.array([0.0, 1.0, 0.0])
UPWARD = np.array([0.0, 0.0, 1.0])


def other(side: Side) -> Side:
    """Return the other side."""
    return RIGHT if side is LEFT else LEFT


def turn_of(side: Side) -> Turn:
    """Convert a side to the name used by `buildcheck.steering`."""
    return "left" if side is LEFT else "right"


def kingpin_of(build: Build, side: Side) -> tuple[Array, Array]:
    """A point (3,) of a kingpin axis at ride height, m, and the axis (3,), pointing up, of length 1."""
    name: Literal["left", "right"] = "left" if side is LEFT else "right"
    axis = kingpin_axis(build.axle.caster, build.axle.kingpin_inclination, name)
    return np.array(build.steering.kingpins[side].centre), axis


def joined_of(steering: Steering) -> Joined:
    """Parts on which the links of a steering end; raises Unreached where each ends on the other."""
    link = steering.drag_link if steering.has("drag_link") else None
    rod = steering.tie_rod if steering.has("tie_rod") else None
    drag_link_on_rod = link is not None and link.has("ends_on") and link.ends_on == "tie-rod"
    rod_on_drag_link = rod is not None and rod.has("joined_to") and rod.joined_to == "drag-link"
    if drag_link_on_rod and rod_on_drag_link:
        raise Unreached("the drag link ends on the tie rod and the tie rod on the drag link, so nothing steers")
    return Joined.LINK_ON_ROD if drag_link_on_rod else Joined.ROD_ON_LINK if rod_on_drag_link else Joined.KNUCKLES


def linkage_at_ride(resting: RestingAxle, *, straight: bool = False) -> Linkage:
    """Make the steering at ride height with the wheels straight ahead.

    Lengths and dead points are as drawn in the spec; the knuckles are where the axle rests. If it stays `straight`, the
    pitman arm does not turn, so the spec need not give its axis. Raises Missing where the spec lacks a part of the
    steering, Unreached as `joined_of` does and for a rod that has no length.
    """
    build = resting.build
    steering = build.steering
    joined = joined_of(steering)
    link, rod = steering.drag_link, steering.tie_rod
    near = Side(link.knuckle)
    ends = {LEFT: rod.left, RIGHT: rod.right}
    if straight and not steering.has("pitman_arm"):
        shaft = np.array(link.pitman), UPWARD
    else:
        shaft = np.array(steering.pitman_arm.pivot), np.array(steering.pitman_arm.axis)
    drawn = linkage(
        shaft=shaft,
        pitman_end=np.array(link.pitman),
        near_kingpin=kingpin_of(build, near),
        arm_end=np.array(link.arm),
        near_rod_end=np.array(ends[near]),
        far_kingpin=kingpin_of(build, other(near)),
        far_rod_end=np.array(ends[other(near)]),
        near_side=turn_of(near),
        joined=joined,
    )
    refuse_no_length(link, link.pitman, link.arm)
    refuse_no_length(rod, rod.left, rod.right)
    if made_as_placed(build):
        return drawn
    rest = resting.rest

    def rested(crank: Crank) -> Crank:
        return Crank(rest.point(crank.pivot), rest.direction(crank.axis), rest.point(crank.end))

    return replace(
        drawn,
        arm=rested(drawn.arm),
        near_rod=rested(drawn.near_rod),
        far_rod=rested(drawn.far_rod),
        near_spin=rest.direction(drawn.near_spin),
        far_spin=rest.direction(drawn.far_spin),
        straight=rest.point(drawn.straight),
    )


def swing_to(build: Build, side: Side, wheel: float) -> float:
    """Swing of a knuckle (rad, to the left positive) that turns its own wheel by `wheel` (rad, to the left positive),
    as seen from above with the axle as drawn.

    Every lock angle, in the spec and in a cycle, has this meaning: the angle of the inner wheel. Its stop is on the
    axle, so a yaw of the axle moves it along. Raises Unreached where the lean of the kingpin keeps the wheel from
    reaching such an angle.
    """
    swing = float(swing_for_steer(wheel, kingpin_of(build, side)[1], LATERAL))
    if not np.isfinite(swing):
        raise Unreached(f"the lean of the {side} kingpin keeps its wheel from reaching that lock")
    return swing


def inner_to(build: Build, side: Side, lock: float) -> float:
    """Swing of the inner knuckle, that of `side`, rad, at a lock (rad, above 0) to its own side; see `swing_to`."""
    return swing_to(build, side, lock if side is LEFT else -lock)


def pitman_at(build: Build, at_ride: Linkage, lock: float) -> float:
    """Angle of the pitman arm, rad, at which the inner wheel is at `lock` (rad, to the left positive; see `swing_to`)
    with the axle at ride height; NaN where the steering does not reach it."""
    side = LEFT if lock > 0 else RIGHT
    return float(at_stop(at_ride, turn_of(side), swing_to(build, side, lock)).pitman)
