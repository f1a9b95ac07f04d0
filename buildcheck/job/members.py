"""Links, bar, springs, stops and straps as what the loads go through, and what each bears of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.part import PartType, Sides
from buildcheck.build.springs import Coilover
from buildcheck.job.curve import Array
from buildcheck.job.layout import Bar
from buildcheck.motion.link_strike import arm_bending
from buildcheck.motion.vectors import dot, unit
from buildcheck.sections import Section, rectangle, round_tube


class Member(NamedTuple):
    """A link, a radius arm or the lateral bar: the numbers of its bars among the supports, and the keys of its axle
    joints, one for each bar."""

    part: Link | LateralBar
    bars: tuple[int, ...]
    axle_joints: tuple[str, ...]

    @property
    def is_arm(self) -> bool:
        """Whether it is a radius arm."""
        return len(self.bars) == 2

    @property
    def can_be_struck(self) -> bool:
        """Links and arms reach out in the way of a rock; the lateral bar lies along the axle and is left out."""
        return isinstance(self.part, Link)


def members_of(bars: Sequence[Bar]) -> list[Member]:
    """The members that the bars stand for, in their order."""
    found: dict[tuple[str, str], Member] = {}
    for number, bar in enumerate(bars):
        key = (bar.path, bar.label)
        before = found[key] if key in found else Member(bar.joints[0][0], (), ())
        found[key] = Member(before.part, (*before.bars, number), (*before.axle_joints, bar.arm or "axle"))
    return list(found.values())


def carrying_coilovers(build: Build) -> list[Coilover]:
    """The coilovers that carry the truck; a damper without a spring carries nothing at rest."""
    return [part for part in standing(build.coilovers) if not part.has("kind") or part.kind == "coilover"]


def standing(named: Mapping[str, Sides[PartType]]) -> list[PartType]:
    """The parts of a section whose parts have names, in an order that does not depend on the file's."""
    return [part for name in sorted(named) for part in named[name]]


@dataclass(frozen=True, slots=True)
class Columns:
    """What everything bears in some cases beside each other, (..., cases).

    on_axle, on_frame: (3, bars, cases) N, the force of each bar on its joint there
    moments, thrusts:  (members, cases) N m and N, as in `Bent`
    springs, stops, straps: (parts, cases) N, tension positive
    spring_pulls, stop_pulls, strap_pulls: (3, parts, cases) N, the force of each on the axle
    corners:           (2, cases) N, weight on the left and the right tyre
    attitude:          (3, 3, cases), turns a direction of the axle as the spec gives it to how it then points
    """

    on_axle: Array
    on_frame: Array
    moments: Array
    thrusts: Array
    springs: Array
    spring_pulls: Array
    stops: Array
    stop_pulls: Array
    straps: Array
    strap_pulls: Array
    corners: Array
    attitude: Array


def beside(columns: Sequence[Columns]) -> Columns:
    """Several sets of cases as one."""
    names = Columns.__slots__
    return Columns(*(np.concatenate([getattr(each, name) for each in columns], axis=-1) for name in names))


def borne_by_links(
    members: Sequence[Member], ends: Array, frames: Array, pull: Array, struck: Array
) -> tuple[Array, Array, Array, Array]:
    """The first four of `Columns`, from the pull (3, bars, cases) of each bar on the axle and the strike on each
    (3, bars, cases), which its two ends share evenly; axle and frame ends (3, bars)."""
    on_axle, on_frame = struck / 2 + pull, struck / 2 - pull
    moments, thrusts = [], []
    for member in members:
        bars = list(member.bars)
        start, end = ends[:, bars].mean(axis=1), frames[:, bars[0]]
        at_axle, at_frame = on_axle[:, bars].sum(axis=1), on_frame[:, bars].sum(axis=1)
        line = unit(end - start)[:, None]
        moments.append(arm_bending(start, end, at_frame, struck[:, bars].sum(axis=1)))
        thrusts.append(_larger(dot(at_axle, line), -dot(at_frame, line)))
    return on_axle, on_frame, np.array(moments), np.array(thrusts)


def _larger(first: Array, second: Array) -> Array:
    return np.where(np.abs(first) >= np.abs(second), first, second)


def section_of(part: Link | LateralBar) -> Section:
    """The section of a link or bar. Missing when the spec does not give it, or gives it by shape alone."""
    if not part.has("tube") and isinstance(part, Link) and part.has("section"):
        given = part.section
        if given.shape == "forged":  # no rectangle; a tube's numbers would have to stand for it
            raise Missing(part.path_of("tube"))
        return rectangle(given.height, given.width, None if given.shape == "plate" else given.wall)
    return round_tube(part.tube.outside_diameter, part.tube.wall)


def yield_strength(part: Link | LateralBar) -> float:
    """The yield strength that the spec states for a link or bar, Pa. Missing when it states none."""
    if not part.has("tube") and isinstance(part, Link) and part.has("section"):
        return part.section.yield_strength
    return part.tube.yield_strength
