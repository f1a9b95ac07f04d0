"""Rows of the load table: the results of the load-case columns for each part, joint and bracket."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import cross, size
from buildcheck.build import Missing, Point
from buildcheck.build.attachment import Attachment
from buildcheck.build.linkage import Stabiliser
from buildcheck.build.part import Part
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.layout import Member
from buildcheck.job.load_table import About, Bent, BracketForce, Carried, CornerWeight, JointForce
from buildcheck.job.loaded_parts import Columns, section_of
from buildcheck.strength.sections import stress_within

# The joints of a radius arm as the table names them.
ARM_JOINTS = {"frame": "frame joint", "axle_upper": "upper axle joint", "axle_lower": "lower axle joint"}
FRAME_SIDE = ("frame", "crossmember")


class End(NamedTuple):
    """One end of a part: the key of its joint, and the force (3, columns) N of the part on what it is joined to
    there."""

    part: Part
    joint: str
    force: Array

    @property
    def point(self) -> Point:
        """Position as the spec places it, m."""
        if isinstance(self.part, Stabiliser):
            return self.part.fixed
        if isinstance(self.part, BumpStop):
            on_axle = self.part.has("mounted_on") and self.part.mounted_on == "axle"
            return self.part.base if on_axle == (self.joint == "axle") else self.part.target
        point: Point = getattr(self.part, self.joint)
        return point


@dataclass(frozen=True)
class Rows:
    """Rows of a load table. `groups` are the columns of each case; of several the worst counts. `damper` is the
    steering damper with its force (3, columns) N on what its fixed end is on, or None where that is not known."""

    members: Sequence[Member]
    coilovers: Sequence[Coilover]
    stops: Sequence[BumpStop]
    straps: Sequence[LimitStrap]
    columns: Columns
    groups: tuple[range, ...]
    damper: tuple[Stabiliser, Array | None] | None = None

    def corners(self) -> list[CornerWeight]:
        """Weight on each tyre."""
        return [
            CornerWeight(f"{side} tyre", side, "vehicle.axle_load", worst_of(self.columns.corners[row], self.groups))
            for row, side in enumerate(("left", "right"))
        ]

    def carried(self) -> list[Carried]:
        """Load of each part, in the order of the parts."""
        rows: list[Carried] = []
        for number, member in enumerate(self.members):
            part = member.part
            if not member.is_arm:
                rows.append(Carried(part.label, part.path, "", worst_of(self.columns.thrusts[number], self.groups)))
                continue
            pulls = {
                key: self.columns.on_axle[:, bar] for key, bar in zip(member.axle_joints, member.bars, strict=True)
            }
            pulls["frame"] = self.columns.on_frame[:, number]
            rows.extend(
                Carried(part.label, part.path, name, worst_of(size(pulls[key]), self.groups))
                for key, name in ARM_JOINTS.items()
            )
        hung: list[tuple[Sequence[Part], Array]] = [
            (self.coilovers, self.columns.springs),
            (self.stops, self.columns.stops),
            (self.straps, self.columns.straps),
        ]
        for parts, forces in hung:
            rows.extend(
                Carried(each.label, each.path, "", worst_of(row, self.groups))
                for each, row in zip(parts, forces, strict=True)
            )
        return rows

    def joints(self) -> list[JointForce]:
        """Force at every joint."""
        return [
            JointForce(end.part.label, end.part.path, end.joint, _worst_vectors(end.force, self.groups))
            for end in self._ends
        ]

    @property
    def _ends(self) -> list[End]:
        """Every end of every part."""
        found: list[End] = []
        for number, member in enumerate(self.members):
            found.append(End(member.part, "frame", self.columns.on_frame[:, number]))
            found.extend(
                End(member.part, joint, self.columns.on_axle[:, bar])
                for joint, bar in zip(member.axle_joints, member.bars, strict=True)
            )
        hung: list[tuple[Sequence[Part], Array]] = [
            (self.coilovers, self.columns.spring_pulls),
            (self.stops, self.columns.stop_pulls),
            (self.straps, self.columns.strap_pulls),
        ]
        for parts, pulls in hung:
            for number, part in enumerate(parts):
                found.extend([End(part, "frame", -pulls[:, number]), End(part, "axle", pulls[:, number])])
        if self.damper is not None and self.damper[1] is not None:
            found.append(End(self.damper[0], self.damper[0].fixed_to, self.damper[1]))
        return found

    def bent(self) -> list[Bent]:
        """Internal loads of the links and the bar."""
        rows = []
        for number, member in enumerate(self.members):
            moments = worst_of(self.columns.moments[number], self.groups)
            along = self.columns.thrusts[number]
            thrusts, pressed = worst_of(along, self.groups), worst_of(np.maximum(-along, 0.0), self.groups)
            try:
                section = section_of(member.part)
            except (Missing, ValueError):
                stresses = None
            else:
                stresses = tuple(
                    stress_within(section, moment, thrust) for moment, thrust in zip(moments, thrusts, strict=True)
                )
            rows.append(Bent(member.part.label, member.part.path, moments, thrusts, pressed, stresses))
        return rows

    def bracket(self, bracket: Attachment) -> BracketForce:
        """Load on a bracket from all parts that it holds; see `BracketForce`.

        Raises Missing where the spec does not say what it holds or what it is fixed to; Unreached where it holds
        something whose loads are not known, or a part that no computed case loads.
        """
        ends = self.held(bracket)
        net: Array = np.sum([end.force for end in ends], axis=0)
        apart: Array = np.sum([np.max(sizes, axis=0) for sizes in _by_part(ends).values()], axis=0)
        about = _about(bracket)
        moment = self._moment(bracket, ends, net)
        return BracketForce(
            bracket.label,
            bracket.path,
            _worst_vectors(net, self.groups),
            None if about is About.JOINTS and len(ends) == 1 else worst_of(moment, self.groups),
            about,
            worst_of(np.maximum(size(net), apart), self.groups),
        )

    def held(self, bracket: Attachment) -> list[End]:
        """Ends of parts that a bracket holds. Raises as `bracket` does."""
        everywhere = self._ends
        for path in bracket.holds:
            if not any(is_on(bracket, end, path) for end in everywhere):
                if self.damper is not None and end_named(self.damper[0].label, self.damper[0].path, path) is not None:
                    raise Missing(self.damper[0].path_of("force"))
                raise Unreached(f"no load is known of {path.removesuffix('.both')}")
        ends = [end for end in everywhere if any(is_on(bracket, end, path) for path in bracket.holds)]
        for label, sizes in _by_part(ends).items():
            # For example a strap, where the case that loads it cannot be computed.
            if not np.any(sizes):
                raise Unreached(f"no load case that can be computed loads the {label}")
        return ends

    def axes_of(self, bracket: Attachment) -> Array:
        """Axes of the part to which a bracket is fixed, (3, 3, columns or 1): those of the axle turn with it."""
        return np.eye(3)[:, :, None] if bracket.parent in FRAME_SIDE else self.columns.attitude

    def _moment(self, bracket: Attachment, ends: Sequence[End], net: Array) -> Array:
        """Magnitude of the moment on a bracket in each column, (columns,) N m; see `BracketForce`."""
        axes = self.axes_of(bracket)
        points = np.array([end.point for end in ends])
        middle = points.mean(axis=0)
        levers = np.einsum("ijc,nj->nic", axes, points - middle)
        couple: Array = np.sum([cross(lever, end.force) for lever, end in zip(levers, ends, strict=True)], axis=0)
        if bracket.has("point"):
            lever = np.einsum("ijc,j->ic", axes, middle - np.array(bracket.point))
            return size(couple + cross(lever, net))
        return size(couple) + (bracket.height if bracket.has("height") else 0.0) * size(net)


def _by_part(ends: Sequence[End]) -> dict[str, list[Array]]:
    """Magnitudes of the forces at the ends of each part, by its label."""
    found: dict[str, list[Array]] = {}
    for end in ends:
        found.setdefault(end.part.label, []).append(size(end.force))
    return found


def _about(bracket: Attachment) -> About:
    """Reference of a moment on a bracket: the spec may give the centre of its foot, or only its height."""
    if bracket.has("point"):
        return About.FOOT
    return About.HEIGHT if bracket.has("height") else About.JOINTS


def worst_of(values: Array, groups: Iterable[Sequence[int]]) -> tuple[float, ...]:
    """Value (columns,) of largest magnitude of each case."""
    each: list[float] = values.tolist()
    return tuple(max([each[number] for number in group], key=abs) for group in groups)


def _worst_vectors(vectors: Array, groups: tuple[range, ...]) -> tuple[tuple[float, float, float], ...]:
    """Vector (3, columns) of largest magnitude of each case."""
    sizes: list[float] = size(vectors).tolist()
    picked = [max(group, key=sizes.__getitem__) for group in groups]
    return tuple((x, y, z) for x, y, z in vectors[:, picked].T.tolist())


END_NAMES = {
    "frame": ("frame",),
    "axle": ("axle", "axle_upper", "axle_lower"),
    "axle_upper": ("axle_upper",),
    "axle_lower": ("axle_lower",),
    "base": ("frame", "axle"),
    "target": ("frame", "axle"),
    "fixed": ("fixed",),
    "point": ("frame",),
}
"""The ends that a bracket may name in `holds`, after the part, and the keys of the ends that each may be."""


@cache
def end_named(label: str, at: str, path: str) -> str | None:
    """The end that a path names of the part with this label and spec path: `frame`, or "" where it names the whole
    part; None where it is of another part. The path may omit the side."""
    if _refers(label, at, path):
        return ""
    part, _, end = path.rpartition(".")
    return end if end in END_NAMES and _refers(label, at, part) else None


def _refers(label: str, at: str, path: str) -> bool:
    wanted, place = path.removesuffix(".both"), at.removesuffix(".both")
    side = label.split(" ", 1)[0]
    whole = place.rpartition(".")[0] if place.endswith((".left", ".right")) else place
    return wanted in (place, at, f"{place}.{side}", whole)


def is_on(bracket: Attachment, end: End, path: str) -> bool:
    """Whether a bracket holds an end by this path: it is of that part, on the bracket's parent, and not on the other
    side. Raises Missing where the spec does not say what the bracket is fixed to."""
    across = {"left": "right ", "right": "left "}.get(bracket.side, "")
    named = end_named(end.part.label, end.part.path, path)
    if named is None or (across and end.part.label.startswith(across)):
        return False
    if named and not _is_named(end, named):
        return False
    return (end.joint == "frame") == (bracket.parent in FRAME_SIDE)


def _is_named(end: End, named: str) -> bool:
    """Whether an end is the one of that name: the base and the target of a bump stop may be on either member."""
    if isinstance(end.part, BumpStop) and named in ("base", "target"):
        return end.part.has(named) and end.point == getattr(end.part, named)
    return end.joint in END_NAMES[named]
