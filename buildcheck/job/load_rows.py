"""What the columns of the load cases come to for each part, joint and bracket: the rows of the load table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.build.attachment import Attachment
from buildcheck.build.part import Part
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.curve import Array
from buildcheck.job.load_table import Bent, BracketForce, Carried, CornerWeight, JointForce
from buildcheck.job.members import Columns, Member, section_of, standing
from buildcheck.motion.vectors import size
from buildcheck.sections import stress_within

# The joints of a radius arm as the table names them.
ARM_JOINTS = {"frame": "frame joint", "axle_upper": "upper axle joint", "axle_lower": "lower axle joint"}
FRAME_SIDE = ("frame", "crossmember")


@dataclass(frozen=True)
class Rows:
    """The rows of a load table. `groups` says which columns are each case's; of several the worst counts."""

    build: Build
    members: Sequence[Member]
    coilovers: Sequence[Coilover]
    stops: Sequence[BumpStop]
    straps: Sequence[LimitStrap]
    columns: Columns
    groups: tuple[range, ...]

    def corners(self) -> list[CornerWeight]:
        """The weight on each tyre."""
        return [
            CornerWeight(f"{side} tyre", side, "vehicle.axle_load", _worst(self.columns.corners[row], self.groups))
            for row, side in enumerate(("left", "right"))
        ]

    def carried(self) -> list[Carried]:
        """What each part carries, in the order of the parts."""
        rows: list[Carried] = []
        for number, member in enumerate(self.members):
            part = member.part
            if not member.is_arm:
                rows.append(Carried(part.label, part.path, "", _worst(self.columns.thrusts[number], self.groups)))
                continue
            pulls = {
                key: self.columns.on_axle[:, bar] for key, bar in zip(member.axle_joints, member.bars, strict=True)
            }
            pulls["frame"] = self.columns.on_frame[:, list(member.bars)].sum(axis=1)
            rows.extend(
                Carried(part.label, part.path, name, _worst(size(pulls[key]), self.groups))
                for key, name in ARM_JOINTS.items()
            )
        hung: list[tuple[Sequence[Part], Array]] = [
            (self.coilovers, self.columns.springs),
            (self.stops, self.columns.stops),
            (self.straps, self.columns.straps),
        ]
        for parts, forces in hung:
            rows.extend(
                Carried(each.label, each.path, "", _worst(row, self.groups))
                for each, row in zip(parts, forces, strict=True)
            )
        return rows

    def joints(self) -> list[JointForce]:
        """The force at every joint."""
        return [
            JointForce(part.label, part.path, joint, _worst_vectors(force, self.groups))
            for part, joint, force in self._ends()
        ]

    def _ends(self) -> list[tuple[Part, str, Array]]:
        """Every end of every part, with its key and the force (3, cases) on what it is joined to."""
        found: list[tuple[Part, str, Array]] = []
        for member in self.members:
            found.append((member.part, "frame", self.columns.on_frame[:, list(member.bars)].sum(axis=1)))
            found.extend(
                (member.part, joint, self.columns.on_axle[:, bar])
                for joint, bar in zip(member.axle_joints, member.bars, strict=True)
            )
        hung: list[tuple[Sequence[Part], Array]] = [
            (self.coilovers, self.columns.spring_pulls),
            (self.stops, self.columns.stop_pulls),
            (self.straps, self.columns.strap_pulls),
        ]
        for parts, pulls in hung:
            for number, part in enumerate(parts):
                found.extend([(part, "frame", -pulls[:, number]), (part, "axle", pulls[:, number])])
        return found

    def bent(self) -> list[Bent]:
        """What the links and the bar bear within."""
        rows = []
        for number, member in enumerate(self.members):
            moments = _worst(self.columns.moments[number], self.groups)
            thrusts = _worst(self.columns.thrusts[number], self.groups)
            try:
                section = section_of(member.part)
            except (Missing, ValueError):
                stresses = None
            else:
                stresses = tuple(
                    stress_within(section, moment, thrust) for moment, thrust in zip(moments, thrusts, strict=True)
                )
            rows.append(Bent(member.part.label, member.part.path, moments, thrusts, stresses))
        return rows

    def brackets(self) -> list[BracketForce]:
        """What each bracket carries. One that holds several parts takes the sum of their forces."""
        if not self.build.has("attachments"):
            return []
        ends = self._ends()
        rows = []
        for bracket in standing(self.build.attachments):
            if not (bracket.has("holds") and bracket.has("parent")):
                continue
            held = [
                force
                for part, joint, force in ends
                if any(is_on(bracket, joint, part.label, part.path, path) for path in bracket.holds)
            ]
            if held:
                rows.append(
                    BracketForce(bracket.label, bracket.path, _worst_vectors(np.sum(held, axis=0), self.groups))
                )
        return rows


def _worst(values: Array, groups: tuple[range, ...]) -> tuple[float, ...]:
    """Of each case the value (columns,) that is largest in size."""
    return tuple(float(max((values[number] for number in group), key=abs)) for group in groups)


def _worst_vectors(vectors: Array, groups: tuple[range, ...]) -> tuple[tuple[float, float, float], ...]:
    """Of each case the vector (3, columns) that is largest in size."""
    sizes = size(vectors)
    picked = [max(group, key=lambda number: float(sizes[number])) for group in groups]
    return tuple((float(x), float(y), float(z)) for x, y, z in vectors[:, picked].T)


def is_at(label: str, at: str, path: str) -> bool:
    """Whether the part of this label, written at this spec path, is meant by a path that may leave its side out."""
    wanted, place = path.removesuffix(".both"), at.removesuffix(".both")
    side = label.split(" ", 1)[0]
    whole = place.rpartition(".")[0] if place.endswith((".left", ".right")) else place
    return wanted in (place, at, f"{place}.{side}", whole)


def is_on(bracket: Attachment, joint: str, label: str, at: str, path: str) -> bool:
    """Whether the joint of a part is one that a bracket holds by this path: at its end, and not on the other side."""
    across = {"left": "right ", "right": "left "}.get(bracket.side, "")
    if not is_at(label, at, path) or (across and label.startswith(across)):
        return False
    return not bracket.has("parent") or (joint == "frame") == (bracket.parent in FRAME_SIDE)
