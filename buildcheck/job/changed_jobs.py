"""A job that can be asked for changes of its build, which are jobs of the same kind."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, Self, TypeVar

from buildcheck.build import Build
from buildcheck.job.cure import Cure

Kept = TypeVar("Kept")


class Changes:
    """The jobs of changed builds, and what follows from a build: each computed once."""

    def __init__(self, build: Build) -> None:
        self.build = build
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

    def changed_by(self, cure: Cure) -> Self:
        """The job of the build with a change made."""
        edits = []
        for edit in cure.edits:
            now = self.build.value(edit.path) if edit.adds else 0.0
            edits.append((edit.path, now + cure.size * edit.share))
        return self.edited(tuple(edits))

    def edited(self, edits: tuple[tuple[str, Any], ...]) -> Self:
        """The job of the build with other values at some spec paths, made once for the same edits."""
        if edits not in self._edited:
            build = self.build
            for path, value in edits:
                build = build.with_value(path, value)
            self._edited[edits] = self.of(build)
        return self._edited[edits]
