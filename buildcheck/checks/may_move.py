"""How far the points and lengths of a spec may be moved, and which are fixed, as it states."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from buildcheck.build import Build, Missing, Point
from buildcheck.build.records import MayMove
from buildcheck.spec.place import split

# A change that is off by no more than this is within its range, m.
HAIR = 1e-6

SIDES = ("left", "right", "both")


class Range(NamedTuple):
    """How far a coordinate or a length may be changed from where the spec has it, m: from `least` to `most`, in
    multiples of `step`, or of any size where that is None."""

    least: float
    most: float
    step: float | None = None

    def holds(self, change: float) -> bool:
        """Whether a change is within the range, and on a step."""
        on_step = self.step is None or abs(change - round(change / self.step) * self.step) <= HAIR
        return self.least - HAIR <= change <= self.most + HAIR and on_step


STAYS = Range(0.0, 0.0)
ANYWHERE = Range(-math.inf, math.inf)


class Moves:
    """The points and lengths of a build that may be moved, as it states."""

    def __init__(self, build: Build) -> None:
        self._build = build
        self._entries = build.may_move if build.has("may_move") else ()

    def range_of(self, path: str) -> Range:
        """How far the number at a spec path may be changed; `path` ends in the axis of a point."""
        steps = split(path)
        axis = str(steps[-1]) if steps[-1] in ("x", "y", "z") else ""
        ranges = list(self._ranges(steps, axis))
        return ranges[0] if ranges else ANYWHERE

    def _ranges(self, steps: list[str | int], axis: str) -> Iterator[Range]:
        """The range of the entry that names the number; no movement where one names only another axis, or fixes it."""
        stays = False
        for each in self._entries:
            named = split(each.of) if each.has("of") else []
            if not named or not _begins(steps, named):
                continue
            if each.has("fixed") and each.fixed:
                yield STAYS
            elif len(named) < len(steps) and not axis:
                continue
            elif (each.axis if each.has("axis") else "") == axis:
                yield _range(each, mirrored=axis == "y" and "right" in steps and "both" in named)
            else:
                stays = True
        if stays:
            yield STAYS

    def allows(self, edits: Iterable[tuple[str, Any]]) -> bool:
        """Whether all values may be written, by what the spec says of them."""
        return not self._entries or all(self._allows(path, value) for path, value in edits)

    def _allows(self, path: str, value: Any) -> bool:
        try:
            now = self._build.value(path)
        except Missing:  # nothing is there that could be fixed
            return True
        if isinstance(now, Point) and isinstance(value, Point):
            return all(self._allows(f"{path}.{axis}", getattr(value, axis)) for axis in "xyz")
        found = self.range_of(path)
        if isinstance(now, float) and isinstance(value, float | int):
            return found.holds(value - now)
        return found is not STAYS or now == value


def _begins(steps: list[str | int], named: list[str | int]) -> bool:
    """Whether a path is another one or below it; a part that is written once is on both sides."""
    pairs = zip(steps, named, strict=False)
    return len(named) <= len(steps) and all(
        one == other or ("both" in (one, other) and one in SIDES and other in SIDES) for one, other in pairs
    )


def _range(each: MayMove, *, mirrored: bool) -> Range:
    least, most = (getattr(each, end) if each.has(end) else 0.0 for end in ("least", "most"))
    step = each.step if each.has("step") else None
    return Range(-most, -least, step) if mirrored else Range(least, most, step)
