"""What to change: words, and the edits of the build that they stand for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from buildcheck.build import Point
from buildcheck.spec.quantity import Dimension

# What differs from side to side by no more than this (1/8 in, m) is built as the same. Common practice, no source.
SAME_SIDE_TO_SIDE = 0.0254 / 8


class Edit(NamedTuple):
    """One input of the build that a change acts on. The input becomes the amount times `share`, or where `adds`, what
    it is now plus that; the amount is SI."""

    path: str
    share: float = 1.0
    adds: bool = True


def along(point: str, direction: Sequence[float]) -> tuple[Edit, ...]:
    """The edits that move a point, which is given by its spec path, by the amount in a direction."""
    size = math.hypot(*direction)
    return tuple(Edit(f"{point}.{axis}", each / size) for axis, each in zip("xyz", direction, strict=True))


class Cure(NamedTuple):
    """A change. `words` holds `{amount}` where the amount is printed; `amount` is SI and positive.

    `path` is the spec path of the input that changes by `change` (SI, signed), and `also` are others that change by the
    same, as on the other side. Without a `change` the input at `path` becomes the amount. A change whose words alone
    say what to do has no `change`; `makes` are then the edits by which its amount is tried out. A cure in words alone
    has no amount.

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
        """Everything that the change does to the build; empty where the build has no input for it."""
        if self.change is not None:
            return tuple(Edit(path, math.copysign(1.0, self.change)) for path in (self.path, *self.also))
        if self.makes or not self.path or self.amount is None:
            return self.makes
        return (Edit(self.path, adds=False),)

    @property
    def size(self) -> float:
        """The amount that the edits are made with."""
        return abs(self.change or 0.0) if self.amount is None else self.amount

    def after(self, *steps: str) -> Cure:
        """The same as a last step, in words, where others must be taken first or it would cure one thing and harm
        another. Without steps it is the cure itself."""
        *others, last = dict.fromkeys(steps) or [""]
        first = f"{', '.join(others)} and {last}" if others else last
        return self._in_words(f"{first} first; then {self.words}") if steps else self

    def beside(self, *others: str) -> Cure:
        """The same, in words, where alone it would make an error of others that must then be seen to as well. Without
        others it is the cure itself."""
        if not others:
            return self
        told = list(dict.fromkeys(others))
        named = " and ".join(told if len(told) < 3 else [", ".join(told[:2]), f"{len(told) - 2} more"])
        words = f"{self.words}; see to {named} with it, for that change alone would make an error there"
        return self._in_words(words)

    def leaving_out(self, *left_out: str) -> Cure:
        """The same, saying what its amount leaves out."""
        return self._replace(words=f"{self.words}; the amount does not count what is left out: {'; '.join(left_out)}")

    def _in_words(self, words: str) -> Cure:
        return Cure(words, self.amount, self.dimension, makes=self.edits)


def is_mirrored(one: Point | float, other: Point | float) -> bool:
    """Whether two points are each other's mirror images, or two amounts equal, to what a shop builds as the same."""
    if isinstance(one, Point) and isinstance(other, Point):
        return math.dist(one.mirrored(), other) <= SAME_SIDE_TO_SIDE
    return not isinstance(one, Point) and not isinstance(other, Point) and abs(one - other) <= SAME_SIDE_TO_SIDE
