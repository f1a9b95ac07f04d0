"""Proposed changes: the words, and the edits of the build that they describe."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from buildcheck.build import Point
from buildcheck.spec.quantity import Dimension

# Values that differ between sides by no more than this (1/8 in, m) count as equal. Common practice, no source.
SAME_SIDE_TO_SIDE = 0.0254 / 8


class Edit(NamedTuple):
    """One input of the build that a change acts on. The input becomes the amount times `share`, or with `adds`, its
    current value plus that; the amount is SI."""

    path: str
    share: float = 1.0
    adds: bool = True


def along(point: str, direction: Sequence[float]) -> tuple[Edit, ...]:
    """Return the edits that move a point, given by its spec path, by the amount in a direction."""
    size = math.hypot(*direction)
    return tuple(Edit(f"{point}.{axis}", each / size) for axis, each in zip("xyz", direction, strict=True))


class Cure(NamedTuple):
    """A change. `words` holds `{amount}` where the amount is printed; `amount` is SI and positive.

    `path` is the spec path of the input that changes by `change` (SI, signed), and `also` are others that change by the
    same amount, for example on the other side. Without a `change` the input at `path` becomes the amount. A change
    described only by its words has no `change`; `makes` are then the edits with which its amount is tried. A cure in
    words alone has no amount.

    The engine finds the amount by trying it: see `buildcheck.checks.engine`.
    """

    words: str
    amount: float | None = None
    dimension: Dimension | None = None
    path: str = ""
    change: float | None = None
    also: tuple[str, ...] = ()
    makes: tuple[Edit, ...] = ()

    @property
    def edits(self) -> tuple[Edit, ...]:
        """All edits of the build by the change; empty where the build has no input for it."""
        if self.change is not None:
            return tuple(Edit(path, math.copysign(1.0, self.change)) for path in (self.path, *self.also))
        if self.makes or not self.path or self.amount is None:
            return self.makes
        return (Edit(self.path, adds=False),)

    @property
    def size(self) -> float:
        """Amount used in the edits, SI."""
        return abs(self.change or 0.0) if self.amount is None else self.amount

    def after(self, *steps: str) -> Cure:
        """Return the cure as a last step after others, in words: without these it would fix one limit and break
        another. Without steps it is the cure itself."""
        *others, last = dict.fromkeys(steps) or [""]
        first = f"{', '.join(others)} and {last}" if others else last
        return self._in_words(f"{first} first; then {self.words}") if steps else self

    def beside(self, *others: str) -> Cure:
        """Return the cure with others to fix as well, in words: alone it would break their limits. Without others it is
        the cure itself."""
        if not others:
            return self
        labels = list(dict.fromkeys(others))
        named = " and ".join(labels if len(labels) < 3 else [", ".join(labels[:2]), f"{len(labels) - 2} more"])
        pronoun = "it" if len(labels) == 1 else "them"
        words = f"{self.words}; also fix {named}: this change alone would break {pronoun}"
        return self._in_words(words)

    def leaving_out(self, *left_out: str) -> Cure:
        """Return the cure with words that state what its amount leaves out."""
        return self._replace(words=f"{self.words}; the amount does not count what is left out: {'; '.join(left_out)}")

    def _in_words(self, words: str) -> Cure:
        return Cure(words, self.amount, self.dimension, makes=self.edits)


def is_mirrored(one: Point | float, other: Point | float) -> bool:
    """Whether two points are mirror images, or two amounts are equal, within the tolerance of a shop."""
    if isinstance(one, Point) and isinstance(other, Point):
        return math.dist(one.mirrored(), other) <= SAME_SIDE_TO_SIDE
    return not isinstance(one, Point) and not isinstance(other, Point) and abs(one - other) <= SAME_SIDE_TO_SIDE
