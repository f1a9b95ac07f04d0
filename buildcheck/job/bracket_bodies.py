"""Brackets as bodies: a bar from the foot to each joint that the bracket holds, as thick as two of its plates."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from buildcheck.build import Build, Missing, Point
from buildcheck.build.attachment import Attachment
from buildcheck.clearance.solids import Capsule, Solid
from buildcheck.job.body import AXLE, Body
from buildcheck.job.curve import Array
from buildcheck.job.held_ends import HeldEnd, held_by
from buildcheck.job.load_rows import FRAME_SIDE
from buildcheck.job.loaded_parts import parts_of
from buildcheck.job.moving import MovingAxle

ON_AXLE = ("axle-tube", "centre-section", "axle-end")


def bracket_bodies(build: Build, moving: MovingAxle) -> Iterator[tuple[str, Callable[[], Body]]]:
    """Yield the name of each bracket that has a place, and a function that makes its body: one whose spec gives the
    point of its foot, on the frame or on the axle. One on a knuckle, or with a height alone, has none."""
    if not build.has("attachments"):
        return
    try:
        held = held_by(build)
    except Missing:
        return
    for bracket in parts_of(build.attachments):
        if not (bracket.has("point") and bracket.has("holds") and bracket.has("parent")):
            continue
        if bracket.parent not in (*FRAME_SIDE, *ON_AXLE):
            continue
        if ends := held.get((bracket.path, bracket.side)):
            yield bracket.label, partial(_body, moving, bracket, ends)


def _body(moving: MovingAxle, bracket: Attachment, held: list[HeldEnd]) -> Body:
    """It is joined to what it holds and to what it is fixed to, and to other brackets there."""
    on_frame = bracket.parent in FRAME_SIDE
    member = "frame bracket" if on_frame else "axle bracket"

    def place(point: Point) -> Array:
        return np.array(point)[:, None, None] if on_frame else moving.point(point)[:, :, None]

    solids: list[Solid] = [Capsule(place(bracket.point), place(end.point), bracket.bracket_thickness) for end in held]
    fixed_to = {"obstacle"} if on_frame else {AXLE}
    holds = frozenset({*(end.part.label for end in held), member, *fixed_to})
    return Body(bracket.label, bracket.label, member, bracket.path, tuple(solids), holds)
