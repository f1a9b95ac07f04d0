"""One quantity that follows the axle through its travel: name, dimension, meaning and sign, and what computes it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from buildcheck.build import Missing, Part, Side
from buildcheck.job.curve import Array, Curve, Line
from buildcheck.job.moving import MovingAxle
from buildcheck.spec.guard import guarded
from buildcheck.spec.quantity import Dimension

if TYPE_CHECKING:
    from buildcheck.job.job import Job


class Quantity(NamedTuple):
    """One quantity of the moving axle.

    `family` is its name in a shop standard, the same for all parts (`coilover-length`); `name` includes the part
    (`left-coilover-length`). `group` is the part of the truck it belongs to, `heading` a few words for the head of a
    column, `meaning` its description with its sign. `of` computes it, SI, one number per pose; it raises Missing or
    Unreached where the build does not define it. `least` is the lowest value that can be, SI: below it the part is
    pulled apart or crushed. `compared` is whether a rule compares it with a limit; without that it is for information
    only, and the outputs say so. `at_rear` are heading and meaning at a rear axle, where the trade calls it otherwise.
    `steers` marks what a rear axle without steering does not have.
    """

    name: str
    group: str
    heading: str
    meaning: str
    dimension: Dimension
    of: Callable[[MovingAxle], Array]
    part: Part | None = None
    family: str = ""
    least: float | None = None
    compared: bool = False
    at_rear: tuple[str, str] | None = None
    steers: bool = False

    def over(self, job: Job, line: Line) -> Curve:
        """Return the quantity along a line of a job's poses, SI. Raises Missing or Unreached where the build does not
        define it."""
        return Curve(np.asarray(self.of(job.moving), float)[line.picks], line, self.dimension)


class Family(NamedTuple):
    """A quantity of every part of a kind that it `fits`; `meaning` holds `{part}` in place of the part's name. `least`
    and `compared` are as in `Quantity`."""

    kind: str
    noun: str
    name: str
    heading: str
    meaning: str
    dimension: Dimension
    of: Callable[[MovingAxle, Any], Array]
    fits: Callable[[Part], bool] = lambda _: True
    least: float | None = None
    compared: bool = False

    @property
    def family(self) -> str:
        """Name in a shop standard: `coilover-length`."""
        return f"{self.noun.replace(' ', '-')}-{self.name}"

    def suits(self, part: Part) -> bool:
        """Whether the part has this quantity. Raises Mishap where a plugin's function for this fails."""
        with guarded(self.fits):
            return bool(self.fits(part))

    def of_part(self, part: Part) -> Quantity:
        """Make the quantity of one of the parts."""
        return Quantity(
            f"{part.label.replace(' ', '-')}-{self.name}",
            f"{part.side} side" if part.side is not Side.CENTRE else "on neither side",
            self.heading if part.label == f"{part.side} {self.noun}" else f"{part.label} {self.heading}",
            self.meaning.format(part=part.label),
            self.dimension,
            lambda moving: self.of(moving, part),
            part,
            self.family,
            compared=self.compared,
        )

    def without_part(self, missing: str) -> Quantity:
        """Make the quantity for a build that has no such part: reading it raises Missing."""

        def lacking(_: MovingAxle) -> Array:
            raise Missing(missing)

        return Quantity(
            self.family, "either side", self.heading, self.meaning.format(part=self.noun), self.dimension, lacking
        )


class Absent(NamedTuple):
    """A quantity without values, and the reason in words or the spec path that is missing. `failure` is the error of a
    plugin's own quantity."""

    name: str
    heading: str
    missing: str
    reason: str
    failure: str = ""
