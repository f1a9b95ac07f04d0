"""Jobs of changed builds, made from the job of the original build."""

from __future__ import annotations

from typing import Any, Self

from buildcheck.build import Build
from buildcheck.job.cure import Cure
from buildcheck.job.kept import Keeper, Store


class Changes(Keeper):
    """The jobs of changed builds, each made once. `like` is the job of the build that was changed to get this one."""

    def __init__(self, build: Build, like: Changes | None) -> None:
        super().__init__(Store(build, None if like is None else like.store))
        self.build = build
        self._edited: dict[tuple[tuple[str, Any], ...], Self] = {}

    def of(self, build: Build) -> Self:
        """Make the job of a changed build."""
        raise NotImplementedError

    def changed_by(self, cure: Cure) -> Self:
        """Make the job of the build with a change applied."""
        edits = []
        for edit in cure.edits:
            now = self.build.value(edit.path) if edit.adds else 0.0
            edits.append((edit.path, now + cure.size * edit.share))
        return self.edited(tuple(edits))

    def edited(self, edits: tuple[tuple[str, Any], ...]) -> Self:
        """Make the job of the build with other values at some spec paths; the same edits give the same job."""
        if edits not in self._edited:
            build = self.build
            for path, value in edits:
                build = build.with_value(path, value)
            self._edited[edits] = self.of(build)
        return self._edited[edits]
