"""Feet of brackets on the axle: distance of a point from the axle tube and from the casting."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.build.attachment import Attachment
from buildcheck.build.chassis import Axle
from buildcheck.job.curve import Array
from buildcheck.job.held_ends import HeldEnd

TUBE, CASTING = "axle-tube", "centre-section"


class Foot(NamedTuple):
    """The foot of a bracket on the tube or the casting of the axle, as far as it is known.

    stated: whether the spec gives its point, and not only a height
    short:  distance from the member that the bracket names to the point, or to a foot at the bracket's height from the
            ends that it holds, m, zero or more; None where the spec gives neither
    off:    distance of the point of the foot, or of the ends that the bracket holds, from the bare tube and from the
            casting, m, zero or more, by the name of each
    """

    stated: bool
    short: float | None
    off: dict[str, float]


def foot_of(build: Build, bracket: Attachment, held: Sequence[HeldEnd]) -> Foot | None:
    """Find the foot of a bracket that holds some ends. None for one that is on neither the tube nor the casting, or
    whose place the spec does not give. Raises Missing for what the spec lacks of the axle."""
    if not bracket.has("parent") or bracket.parent not in (TUBE, CASTING):
        return None
    stated = bracket.has("point")
    point = np.array(bracket.point) if stated else _middle_of(held)
    if point is None:
        return None
    known = off_axle(build.axle, point)
    reach = 0.0 if stated else bracket.height if bracket.has("height") else None
    short = None if reach is None or bracket.parent not in known else max(0.0, known[bracket.parent] - reach)
    return Foot(stated, short, known)


def off_axle(axle: Axle, point: Array) -> dict[str, float]:
    """Distance of a point from the bare tube and from the casting, m, zero or more, by the name of each that the spec
    gives."""
    off = {TUBE: _off_tube(axle, point), CASTING: _off_casting(axle, point)}
    return {name: max(0.0, each) for name, each in off.items() if each is not None}


def _middle_of(held: Sequence[HeldEnd]) -> Array | None:
    """Middle of the ends that a bracket on the axle holds: its height is measured from there."""
    try:
        points = [end.point for end in held]
    except Missing:  # then their place is not known
        return None
    return np.mean(points, axis=0) if points else None


def _off_casting(axle: Axle, point: Array) -> float | None:
    """Distance of a point outside the sphere that the spec gives for the casting, m; below zero inside it."""
    if not axle.has("centre_section") or not all(map(axle.centre_section.has, ("centre", "radius"))):
        return None
    casting = axle.centre_section
    return float(np.linalg.norm(point - np.array(casting.centre))) - casting.radius


def _off_tube(axle: Axle, point: Array) -> float | None:
    """Distance of a point outside the tube where the tube is outside the casting, m; below zero inside it."""
    if not axle.has("tube") or not all(map(axle.tube.has, ("left_end", "right_end", "outside_diameter"))):
        return None
    tube = axle.tube
    start = np.array(tube.left_end)
    along = np.array(tube.right_end) - start
    length = float(np.linalg.norm(along))
    if length == 0.0:
        return None
    along = along / length
    bare = [(0.0, length)]
    if _off_casting(axle, start) is not None:
        casting = axle.centre_section
        middle = float((np.array(casting.centre) - start) @ along)
        beside = float(np.linalg.norm(start + middle * along - np.array(casting.centre)))
        half = math.sqrt(max(0.0, casting.radius**2 - beside**2))
        bare = [(0.0, min(middle - half, length)), (max(middle + half, 0.0), length)]
    places = [min(max(float((point - start) @ along), low), high) for low, high in bare if low <= high]
    if not places:
        return None
    return min(float(np.linalg.norm(point - start - place * along)) for place in places) - tube.outside_diameter / 2
