"""Ends of parts that brackets hold, and the brackets that hold each."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import NamedTuple

from buildcheck.build import Build, Missing, Part, Point, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.driveline import CarrierBearing
from buildcheck.build.linkage import LateralBar, Link, PitmanArm, Stabiliser
from buildcheck.build.springs import BumpStop
from buildcheck.job.layout import held_point
from buildcheck.job.load_rows import END_NAMES, FRAME_SIDE, end_named
from buildcheck.job.loaded_parts import parts_of
from buildcheck.spec.names import nearest

SECTIONS = ("links", "coilovers", "limit_straps", "bump_stops")


class HeldEnd(NamedTuple):
    """One end of a part that a bracket has to hold: `frame`, `axle`, or `fixed` for the end on whichever of the two the
    spec names in `fixed_to`. That of the pitman arm is the steering box."""

    part: Part
    end: str

    @property
    def label(self) -> str:
        """Name of the end in messages."""
        if isinstance(self.part, PitmanArm):
            return "mount of the steering box"
        return f"{self.end} end of the {self.part.label}"

    @property
    def path(self) -> str:
        """Spec path of the part, with its side, as in `holds`."""
        return self.part.own_path_of()

    @property
    def which(self) -> str:
        """Name of the end within its part: both ends of a part have the same path."""
        return self.end

    @property
    def on_frame(self) -> bool:
        """Whether it is on the frame, and not on the axle. Raises Missing where the spec does not say."""
        return bool((self.part.fixed_to if isinstance(self.part, Stabiliser) else self.end) == "frame")

    @property
    def side(self) -> Side:
        """Side of the truck: that of its part or, for a part in the middle, that of its point."""
        if self.part.side is not Side.CENTRE:
            return self.part.side
        try:
            across = self.point.y
        except Missing:  # then the spec contradicts no bracket
            return Side.CENTRE
        return Side.LEFT if across > 0.0 else Side.RIGHT if across < 0.0 else Side.CENTRE

    @property
    def point(self) -> Point:
        part = self.part
        if isinstance(part, CarrierBearing):
            return part.point
        if isinstance(part, PitmanArm):
            return part.pivot
        if isinstance(part, Link | LateralBar) and self.end == "axle":
            return held_point(part)
        if isinstance(part, BumpStop):
            mounted_on = part.mounted_on if part.has("mounted_on") else "frame"
            return part.base if self.end == mounted_on else part.target
        point: Point = getattr(part, self.end)
        return point


def held_ends(build: Build) -> Iterator[HeldEnd]:
    """Both ends of every link, of the lateral bar, and of every coilover, limit strap and bump stop; the fixed end of
    the steering's stabiliser, and the carrier bearing of the driveshaft. Raises Missing where the spec has none."""
    parts: list[Part] = [
        part for section in SECTIONS if build.has(section) for part in parts_of(getattr(build, section))
    ]
    if build.has("lateral_bar"):
        parts.append(build.lateral_bar)
    ends = [HeldEnd(part, end) for part in parts for end in ("frame", "axle")]
    if build.has("steering") and build.steering.has("stabiliser"):
        ends.append(HeldEnd(build.steering.stabiliser, "fixed"))
    if build.has("driveshaft") and build.driveshaft.has("carrier_bearing"):
        ends.append(HeldEnd(build.driveshaft.carrier_bearing, "frame"))
    if not ends:
        raise Missing("links")
    return iter(ends)


def hose_ends(build: Build) -> Iterator[HeldEnd]:
    """Both ends of every brake line: no load is computed for them, but a bracket may hold them. That at the axle may be
    on the axle or on a knuckle."""
    for sides in build.brake_lines.values() if build.has("brake_lines") else ():
        for hose in sides:
            yield from (HeldEnd(hose, "frame"), HeldEnd(hose, "axle"))


def _names(path: str, end: HeldEnd) -> bool:
    """Whether a path in `holds` names an end, or the whole part that it is of."""
    named = end_named(end.part.label, end.part.path, path)
    if not named:
        return named is not None
    if isinstance(end.part, BumpStop) and named in ("base", "target"):
        on = end.part.mounted_on if end.part.has("mounted_on") else "frame"
        return (end.end == on) == (named == "base")
    return end.end in END_NAMES[named]


def holders(build: Build, end: HeldEnd) -> list[Attachment]:
    """Brackets that hold an end according to the spec: those on the same member, frame or axle, that are not on the
    other side of a pair. Raises Missing where the spec has no brackets, or where one that may hold it lacks its parent
    and no other one holds it."""
    found: list[Attachment] = []
    without_parent: list[Attachment] = []
    for bracket in parts_of(build.attachments):
        if not names(bracket, end):
            continue
        if not bracket.has("parent"):
            without_parent.append(bracket)
        elif (bracket.parent in FRAME_SIDE) == end.on_frame:
            found.append(bracket)
    if without_parent and not found:
        raise Missing(without_parent[0].path_of("parent"))
    return found


def names(bracket: Attachment, end: HeldEnd) -> bool:
    """Whether a bracket says that it holds an end, or all of its part, and is not on the other side of a pair."""
    across = Side.CENTRE not in (end.part.side, bracket.side) and end.part.side is not bracket.side
    return not across and bracket.has("holds") and any(_names(path, end) for path in bracket.holds)


def held_by(build: Build, *, hoses: bool = False) -> dict[tuple[str, Side], list[HeldEnd]]:
    """The ends that each bracket holds, by its spec path and side; without those whose bracket is not known, and
    without `hoses` where these are not asked for. Raises Missing where the spec has no ends, or no brackets."""
    found: dict[tuple[str, Side], list[HeldEnd]] = {}
    _ = build.attachments
    for end in (*held_ends(build), *(hose_ends(build) if hoses else ())):
        with suppress(Missing):
            for bracket in holders(build, end):
                found.setdefault((bracket.path, bracket.side), []).append(end)
    return found


def likely_held(build: Build, path: str) -> list[str]:
    """The parts that a path in `holds` may mean which names none: the one whose name is nearest, then those of which no
    bracket holds an end. Raises as `holders` does."""
    ends = list(held_ends(build))
    parts = {end.part.path.removesuffix(".both"): None for end in ends}
    near = nearest(path, parts)
    not_held = [end.part.path.removesuffix(".both") for end in ends if not holders(build, end)]
    return list(dict.fromkeys((*([near] if near else []), *not_held)))
