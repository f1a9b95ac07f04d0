"""The limits of what curves show, each from the check that holds it, as ranges of the curve itself.

The report and the cycling sheet hatch them from here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.checks.inspection import rules_in_use
from buildcheck.checks.limit import Bounds, Limit
from buildcheck.checks.rule import Rule
from buildcheck.job.curve import Array
from buildcheck.output import words
from buildcheck.spec.quantity import Dimension

Range = tuple[float, float]
AsRanges = Callable[[Build, Bounds, Array, int], tuple[Range, Range]]


class Allowed(NamedTuple):
    """The ranges of a curve outside which its check gives a warning, and an error (SI; infinite where it gives none),
    and the words for both."""

    warning: Range
    error: Range
    says: str

    @property
    def ends(self) -> list[float]:
        """The finite ends of both ranges."""
        return [end for end in (*self.warning, *self.error) if math.isfinite(end)]


class Held(NamedTuple):
    """A check that holds what a curve shows: `rule/limit`, and how its bounds become ranges of the curve."""

    check: str
    as_ranges: AsRanges
    of: str
    """The quantity that the bounds are on, in a few words."""

    def allowed(
        self, build: Build, bounds: Mapping[str, Bounds], curve: Array, ride: int, dimension: Dimension
    ) -> Allowed | None:
        """The ranges for a curve (poses,) that has ride height at index `ride`; None where the check was not applied or
        the spec lacks a number for it."""
        if self.check not in bounds:
            return None
        held = bounds[self.check]
        try:
            warning, error = self.as_ranges(build, held, curve, ride)
        except (Missing, ValueError):
            return None
        return Allowed(warning, error, f"{_says(held, build, dimension)} {self.of} ({self.check})")


def _says(held: Bounds, build: Build, dimension: Dimension) -> str:
    """The bounds in words: `warning beyond 2.00 deg, error beyond 4.00 deg`."""
    said = []
    for name, low, high in (("warning", held.warn_below, held.warn_above), ("error", held.fail_below, held.fail_above)):
        shown = [words.limit_amount(end, dimension, build.units) for end in (low, high) if math.isfinite(end)]
        if shown:
            under = "below" if math.isinf(high) else "outside" if len(shown) > 1 else "above"
            said.append(f"{name} {under} {' to '.join(shown)}")
    return ", ".join(said)


def spread(build: Build, held: Bounds, curve: Array, ride: int) -> tuple[Range, Range]:
    """Bounds on the largest less the smallest value: a band of that height about the middle of the curve."""
    known = curve[np.isfinite(curve)]
    middle = (float(known.max()) + float(known.min())) / 2

    def about(height: float) -> Range:
        return middle - height / 2, middle + height / 2

    return about(held.warn_above), about(held.fail_above)


def from_ride(build: Build, held: Bounds, curve: Array, ride: int) -> tuple[Range, Range]:
    """Bounds on the change from ride height; one end alone bounds both ways."""
    start = float(curve[ride])

    def about(low: float, high: float) -> Range:
        return start + (-high if math.isinf(low) else low), start + high

    return about(held.warn_below, held.warn_above), about(held.fail_below, held.fail_above)


def left_of_joint(name: str) -> AsRanges:
    """Bounds on what a joint of the driveshaft has left to the largest angle that the spec states for it."""

    def as_ranges(build: Build, held: Bounds, curve: Array, ride: int) -> tuple[Range, Range]:
        largest = float(getattr(build.driveshaft, name).largest_angle)
        return (-math.inf, largest - held.warn_below), (-math.inf, largest - held.fail_below)

    return as_ranges


HELD = {
    "steer": Held("lateral-bar-parallel/bump-steer-total", spread, "from droop to bump"),
    "axle-forward": Held("link-flatness/fore-and-aft", from_ride, "from ride height"),
    "axle-yaw": Held("side-symmetry/yaw-over-travel", from_ride, "from ride height"),
    "output-joint-angle": Held(
        "driveshaft-travel/joint-angle-left", left_of_joint("output_joint"), "left to its largest angle"
    ),
    "pinion-joint-angle": Held(
        "driveshaft-travel/joint-angle-left", left_of_joint("pinion_joint"), "left to its largest angle"
    ),
}
"""The check that holds a quantity of the moving axle over straight travel, by the name of the quantity."""


def bounds_in_use(build: Build, rules: Iterable[Rule]) -> dict[str, Bounds]:
    """The built-in bounds for the use and the stage that a spec states, by `rule/limit`."""
    return {
        f"{rule.name}/{limit.name}": limit.bounds
        for rule in rules_in_use(build, rules).applied
        for limit in rule.limits
        if isinstance(limit, Limit)
    }
