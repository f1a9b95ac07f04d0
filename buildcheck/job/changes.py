"""How far to move or resize something for a quantity to come to its target: asked of jobs of changed builds."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from typing import Any, Self, TypeVar

from buildcheck.build import Build
from buildcheck.job.cure import Cure, Edit, solve_change
from buildcheck.job.curve import Unreached
from buildcheck.quantity import Dimension

Kept = TypeVar("Kept")

WAYS = {"x": ("forward", "rearward"), "y": ("to the left", "to the right"), "z": ("up", "down")}


class Changes:
    """A job of a build that can be asked for changes of it, which are jobs of the same kind."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self._made: dict[tuple[tuple[Edit, ...], float], Self] = {}
        self._edited: dict[tuple[tuple[str, Any], ...], Self] = {}
        self._kept: dict[Hashable, Any] = {}

    def of(self, build: Build) -> Self:
        """The job of a changed build."""
        raise NotImplementedError

    def keep(self, what: Hashable, compute: Callable[[], Kept]) -> Kept:
        """Something that follows from the build, computed once."""
        if what not in self._kept:
            self._kept[what] = compute()
        kept: Kept = self._kept[what]
        return kept

    def move(
        self, path: str | Sequence[str], what: str, quantity: Callable[[Self], float], target: float
    ) -> Cure | None:
        """How far to move a point, along one axis, for a quantity to come to its target.

        `path` ends in the axis (`lateral_bar.frame.z`), `what` is what a person calls the point; of several paths all
        move alike. The quantity is asked of changed builds, so the number is the motion's own; it and `target` are SI.
        None when no move within half a metre does it.
        """
        paths = [path] if isinstance(path, str) else list(path)
        change = self._change(paths, quantity, target)
        if change is None:
            return None
        words = f"move {what} {WAYS[paths[0][-1]][change < 0]} {{amount}}"
        return Cure(words, abs(change), Dimension.LENGTH, paths[0], change, tuple(paths[1:]))

    def resize(
        self, path: str | Sequence[str], what: str, quantity: Callable[[Self], float], target: float
    ) -> Cure | None:
        """How much longer or shorter to make something for a quantity to come to its target; otherwise as `move`."""
        paths = [path] if isinstance(path, str) else list(path)
        change = self._change(paths, quantity, target)
        if change is None:
            return None
        way = "longer" if change > 0 else "shorter"
        return Cure(f"make {what} {{amount}} {way}", abs(change), Dimension.LENGTH, paths[0], change, tuple(paths[1:]))

    def changed_by(self, cure: Cure) -> Self:
        """The job of the build with a change made."""
        return self._changed(cure.edits, cure.size)

    def edited(self, edits: tuple[tuple[str, Any], ...]) -> Self:
        """The job of the build with other values at some spec paths, made once for the same edits."""
        if edits not in self._edited:
            build = self.build
            for path, value in edits:
                build = build.with_value(path, value)
            self._edited[edits] = self.of(build)
        return self._edited[edits]

    def _change(self, paths: Sequence[str], quantity: Callable[[Self], float], target: float) -> float | None:
        def changed(change: float) -> float:
            try:
                # Without a change it is this job, which has its motion solved.
                return quantity(self._changed([Edit(path) for path in paths], change) if change else self)
            except Unreached:
                return math.nan

        return solve_change(changed, target)

    def _changed(self, edits: Sequence[Edit], amount: float) -> Self:
        # A change is looked at by whoever solves for it, and then by whoever asks what else it does.
        key = (tuple(edits), amount)
        if key not in self._made:
            build = self.build
            for edit in edits:
                now = build.value(edit.path) if edit.adds else 0.0
                build = build.with_value(edit.path, now + amount * edit.share)
            self._made[key] = self.of(build)
        return self._made[key]
