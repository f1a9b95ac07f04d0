"""The braces of brackets as bodies: a tube from the bracket to the frame or the axle."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial

import numpy as np

from buildcheck.build import Build, Missing, Point
from buildcheck.build.attachment import Attachment
from buildcheck.clearance.solid_gaps import gap
from buildcheck.clearance.solids import Capsule
from buildcheck.job.body import AXLE, Body
from buildcheck.job.bracket_bodies import ON_AXLE
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.held_ends import held_by
from buildcheck.job.load_rows import FRAME_SIDE
from buildcheck.job.loaded_parts import parts_of
from buildcheck.job.moving import MovingAxle
from buildcheck.job.solids import obstacle_solid


def brace_bodies(build: Build, moving: MovingAxle) -> Iterator[tuple[str, Callable[[], Body]]]:
    """Yield the name of each brace of a bracket on the frame or on the axle, and a function that makes its body."""
    if not build.has("attachments"):
        return
    braced = [bracket for bracket in parts_of(build.attachments) if bracket.has("brace") and bracket.has("parent")]
    for bracket in braced:
        if bracket.parent in (*FRAME_SIDE, *ON_AXLE):
            yield f"{bracket.label} brace", partial(_body, moving, bracket)


def _body(moving: MovingAxle, bracket: Attachment) -> Body:
    """It is joined to its bracket and to what that holds, which it is set near on purpose; to the brackets beside it;
    and to the axle, or the obstacles at its two ends: a rail, a crossmember."""
    brace, on_frame = bracket.brace, bracket.parent in FRAME_SIDE
    name, member = f"{bracket.label} brace", "frame bracket" if on_frame else "axle bracket"
    ends, thickness = (brace.bracket_end, brace.far_end), brace.tube.outside_diameter

    def place(point: Point) -> Array:
        return np.array(point)[:, None, None] if on_frame else moving.point(point)[:, :, None]

    held = held_by(moving.build).get((bracket.path, bracket.side), [])
    joined = {bracket.label, member, *(end.part.label for end in held)}
    joined |= _obstacles_at(moving.build, ends, thickness) if on_frame else {AXLE}
    solid = Capsule(place(brace.bracket_end), place(brace.far_end), thickness / 2)
    return Body(name, name, member, brace.path, (solid,), frozenset(joined))


def _obstacles_at(build: Build, ends: tuple[Point, ...], thickness: float) -> set[str]:
    """The names of the obstacles that are no farther from one of the ends of a tube than it is thick."""
    if not (build.has("vehicle") and build.vehicle.has("obstacles")):
        return set()
    found = set()
    for obstacle in build.vehicle.obstacles.values():
        with suppress(Missing, Unreached):  # the obstacle itself reports it
            solid = obstacle_solid(obstacle)
            if any(gap(Capsule(np.array(end), np.array(end), thickness / 2), solid) <= thickness for end in ends):
                found.add(obstacle.path)
    return found
