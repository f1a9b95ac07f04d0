"""Brackets as bodies: bars from the foot to each joint that the bracket holds, as thick as two of its plates.

One bar starts at the middle of the foot. Where the spec gives the width of the plates at their root and the bolt of the
joint, two more start at their edges there: the outline of a plate that tapers to the joint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from buildcheck.axle.vectors import dot, size, unit
from buildcheck.build import Build, Missing, Point, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.clearance.solids import Capsule, Solid
from buildcheck.job.body import ARMS, AXLE, CALIPERS, KNUCKLES, TYRES, Body
from buildcheck.job.curve import Array
from buildcheck.job.held_ends import HeldEnd, held_by, names
from buildcheck.job.load_rows import FRAME_SIDE
from buildcheck.job.loaded_parts import parts_of
from buildcheck.job.moving import MovingAxle
from buildcheck.job.steered_parts import Turned

TUBE, CASTING, KNUCKLE = "axle-tube", "centre-section", "knuckle"
ON_AXLE = (TUBE, CASTING, "axle-end")


def bracket_bodies(build: Build, moving: MovingAxle, wheels: Turned) -> Iterator[tuple[str, Callable[[], Body]]]:
    """Yield the name of each bracket that has a place, and a function that makes its body: one whose spec gives the
    point of its foot, or its height and normal. It stays with the frame, moves with the axle, or turns with the
    knuckle."""
    if not build.has("attachments"):
        return
    try:
        held = held_by(build, hoses=True)
    except Missing:
        return
    for bracket in parts_of(build.attachments):
        ends = held.get((bracket.path, bracket.side))
        if ends and (bracket.has("point") or bracket.has("height")):
            yield bracket.label, partial(_body, moving, wheels, bracket, ends)


def _body(moving: MovingAxle, wheels: Turned, bracket: Attachment, ends: list[HeldEnd]) -> Body:
    """It is joined to what it holds and is fixed to, and to other brackets there; to the bracket at the other end of
    its part, which is as near as the part lets it; and the pad of a bump stop to links, as the stop is. One on a
    knuckle is joined to what turns with it."""
    _ = bracket.holds  # the ends come from it
    foot, solids = _foot(moving.build, bracket, ends), list[Solid]()
    on_frame, turns = bracket.parent in FRAME_SIDE, bracket.parent == KNUCKLE
    member = f"{'frame' if on_frame else 'knuckle' if turns else 'axle'} bracket"
    side = Side.LEFT if foot[1] > 0.0 else Side.RIGHT

    def place(point: Array) -> Array:
        if turns:
            return wheels.point(point, side)
        return point[:, None, None] if on_frame else moving.point(Point(*point.tolist()))[:, :, None]

    for end in ends:
        joint = place(np.array(end.point))
        starts = (foot, *(foot + edge for edge in _edges(bracket, end)))
        solids += [Capsule(place(start), joint, bracket.bracket_thickness) for start in starts]
    parts = {end.part for end in ends}
    far = [HeldEnd(part, "axle" if on_frame else "frame") for part in parts]
    at_other_end = (
        other.label for other in parts_of(moving.build.attachments) if any(names(other, end) for end in far)
    )
    holds = {*(part.label for part in parts), *at_other_end, member, "obstacle" if on_frame else AXLE}
    if turns:
        holds |= {TYRES[side], ARMS[side], KNUCKLES[side], CALIPERS[side]}
    if any(isinstance(part, BumpStop) for part in parts):
        holds.add("link")
    return Body(bracket.label, bracket.label, member, bracket.path, tuple(solids), frozenset(holds), turns)


def _foot(build: Build, bracket: Attachment, held: list[HeldEnd]) -> Array:
    """Centre of the foot, (3,) m. By its height alone: on the axle, where the tube or casting is nearest to the joints;
    on the frame or a knuckle, as far from the joints as the height, against the normal. Raises Missing for what the
    spec lacks."""
    if bracket.has("point"):
        return np.array(bracket.point)
    middle: Array = np.mean([end.point for end in held], axis=0)
    if bracket.parent in (*FRAME_SIDE, KNUCKLE):
        return middle - bracket.height * unit(np.array(bracket.normal))
    if bracket.parent == CASTING:
        inside, radius = np.array(build.axle.centre_section.centre), build.axle.centre_section.radius
    else:
        tube = build.axle.tube
        start, run = np.array(tube.left_end), np.array(tube.right_end) - np.array(tube.left_end)
        inside = start + run * np.clip(dot(middle - start, run) / dot(run, run), 0.0, 1.0)
        radius = tube.outside_diameter / 2
    reach = middle - inside
    foot: Array = inside + reach * min(1.0, radius / max(float(size(reach)), radius))
    return foot


def _edges(bracket: Attachment, end: HeldEnd) -> tuple[Array, ...]:
    """From the centre of the foot to the two edges of the plates at their root, (3,) m each; none where the spec does
    not give where the foot is, its width or how the plates stand: square to the bolt of the joint, and to the foot.
    None on the tube, which the plates go round."""
    if (
        not bracket.has("point")
        or bracket.parent == TUBE
        or not isinstance(end.part, Link | LateralBar | Coilover | LimitStrap)
    ):
        return ()  # a bump stop has no joint
    arm = isinstance(end.part, Link) and end.part.kind == "radius-arm"
    joint = "axle_upper" if arm and end.end == "axle" else end.end
    try:
        across = np.cross(np.array(bracket.normal), np.array(getattr(end.part.joints, joint).axis))
        edge = bracket.root_width / 2 * unit(across)
    except Missing:
        return ()
    return (edge, -edge) if size(across) else ()
