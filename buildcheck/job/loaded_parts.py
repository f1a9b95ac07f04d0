"""Load paths: links, bar, springs, stops and straps, and the loads of each."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from buildcheck.axle.vectors import dot, unit
from buildcheck.build import Build, Missing, Point
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.part import PartType, Sides
from buildcheck.build.springs import Coilover
from buildcheck.job.curve import Array
from buildcheck.job.layout import Linkage, held_point
from buildcheck.strength.link_strike import arm_bending
from buildcheck.strength.sections import Section, rectangle, round_tube


def carrying_coilovers(build: Build) -> list[Coilover]:
    """Coilovers that carry the truck; a damper without a spring carries nothing at rest."""
    return [part for part in parts_of(build.coilovers) if not part.has("kind") or part.kind == "coilover"]


def parts_of(named: Mapping[str, Sides[PartType]]) -> list[PartType]:
    """Parts of a section with named parts, in an order independent of the file's."""
    return [part for name in sorted(named) for part in named[name]]


@dataclass(frozen=True, slots=True)
class Columns:
    """Loads of all parts in several cases, (..., cases).

    on_axle:  (3, bars, cases) N, the force of each link on its axle joint; of a radius arm on its upper joint, then on
              its lower one
    on_frame: (3, members, cases) N, the force of each link on its frame joint
    moments, thrusts:  (members, cases) N m and N, as in `Bent`
    springs, stops, straps: (parts, cases) N, tension positive
    spring_pulls, stop_pulls, strap_pulls: (3, parts, cases) N, the force of each on the axle
    corners:           (2, cases) N, weight on the left and the right tyre
    attitude:          (3, 3, cases), rotates a direction of the axle from the spec to the pose of the case
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


def joined_columns(columns: Sequence[Columns]) -> Columns:
    """Join several sets of cases into one."""
    names = Columns.__slots__
    return Columns(*(np.concatenate([getattr(each, name) for each in columns], axis=-1) for name in names))


def link_loads(
    linkage: Linkage, place: Callable[[Point], Array], pull: Array, struck: Array
) -> tuple[Array, Array, Array, Array]:
    """Compute the first four fields of `Columns` from the forces of the bars and the strikes.

    `pull` (3, bars, cases) N is the force of each bar on the axle, `struck` (3, members, cases) N the strike on the
    middle of each link; `place` gives the position of a point of the axle, (3,) m. The two ends of a link share a
    strike evenly. The loads of a radius arm's joints are those of `RigidArm`.
    """
    on_axle: list[Array] = []
    on_frame, moments, thrusts = [], [], []
    for number, member in enumerate(linkage.members):
        net, push = pull[:, list(member.bars)].sum(axis=1), struck[:, number]
        frame = np.array(member.part.frame)
        if member.is_arm:
            arm = linkage.placed_arm(member, place)
            at_frame, end = arm.struck(push) - net, arm.centre
            at_axle = list(arm.at_axle_joints(at_frame, push))
        else:
            at_frame, end = push / 2 - net, place(held_point(member.part))
            at_axle = [push / 2 + net]
        line = unit(frame - end)[:, None]
        moments.append(arm_bending(end, frame, at_frame, push))
        thrusts.append(_larger(dot(push - at_frame, line), -dot(at_frame, line)))
        on_axle.extend(at_axle)
        on_frame.append(at_frame)
    return np.stack(on_axle, axis=1), np.stack(on_frame, axis=1), np.array(moments), np.array(thrusts)


def _larger(first: Array, second: Array) -> Array:
    return np.where(np.abs(first) >= np.abs(second), first, second)


def section_of(part: Link | LateralBar) -> Section:
    """Section of a link or bar. Raises Missing when the spec does not give it, or gives only its shape."""
    if not part.has("tube") and isinstance(part, Link) and part.has("section"):
        given = part.section
        if given.shape == "forged":  # not a rectangle; the dimensions of a tube would not describe it
            raise Missing(part.path_of("tube"))
        return rectangle(given.height, given.width, None if given.shape == "plate" else given.wall)
    return round_tube(part.tube.outside_diameter, part.tube.wall)


def yield_strength(part: Link | LateralBar) -> float:
    """Yield strength that the spec states for a link or bar, Pa. Raises Missing when it states none."""
    if not part.has("tube") and isinstance(part, Link) and part.has("section"):
        return part.section.yield_strength
    return part.tube.yield_strength
