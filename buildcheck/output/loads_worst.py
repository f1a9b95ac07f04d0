"""The worst case of each joint and part: its load, its rating where the spec has one, and the share that is used."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from buildcheck.build import Build, Missing
from buildcheck.job.load_table import LoadTable, size


class WorstCase(NamedTuple):
    """The largest load of a joint or part, N, of either sign, with its case; and its rating, N, where it has one that
    the spec states. `rated` is whether the spec can state one."""

    label: str
    load: float
    case: str
    rating: float | None
    rated: bool

    @property
    def share(self) -> float | None:
        """Share of the rating that is used; None without a rating."""
        return self.load / self.rating if self.rating else None


RATED_AT_JOINTS = ("links.", "lateral_bar")
"""Sections whose joints have a rating of their own; a strap has one rating for itself."""


def worst_cases(build: Build, table: LoadTable) -> tuple[WorstCase, ...]:
    """The joints of links, bar and rods and the other parts, each in its worst case: what uses most of its rating
    first, then what has no rating, the largest load first."""
    found = list(_worst(build, table))
    return tuple(sorted(found, key=lambda each: (each.share is None, -(each.share or 0.0), -each.load, each.label)))


def _worst(build: Build, table: LoadTable) -> Iterator[WorstCase]:
    joints = [joint for joint in table.joints if joint.path.startswith(RATED_AT_JOINTS)]
    at_joints = {joint.path for joint in joints}

    def row(label: str, loads: Sequence[float], rating: str) -> WorstCase:
        at = max(range(len(loads)), key=lambda case: abs(loads[case]))
        stated = _stated(build, rating) if rating else None
        return WorstCase(label, abs(loads[at]), table.cases[at].name, stated, bool(rating))

    for joint in joints if table.cases else ():
        name = " ".join(reversed(joint.joint.split("_")))
        rating = f"{joint.path}.joints.{joint.joint}.load_rating"
        yield row(f"{joint.label}, {name} joint", [size(force) for force in joint.forces], rating)
    for part in table.carried if table.cases else ():
        if part.path not in at_joints:
            strap = part.path.startswith("limit_straps")
            yield row(part.label, part.forces, f"{part.path}.load_rating" if strap else "")


def _stated(build: Build, path: str) -> float | None:
    try:
        found = build.value(path)
    except Missing:
        return None
    return float(found) if isinstance(found, int | float) else None
