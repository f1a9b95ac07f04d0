"""Limits with bounds, requirements without numbers, the basis of each, and their verdicts."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, NamedTuple

from buildcheck.build import INTENDED_USES
from buildcheck.job import Spot
from buildcheck.spec.arguments import FUNCTION, NONE, WORDS, Kind, refuse_any, refuse_unfit
from buildcheck.spec.names import no_such
from buildcheck.spec.quantity import Dimension, QuantityError, System, dimensions_of, parse


class Verdict(StrEnum):
    """The verdict of a reading."""

    OK = "ok"
    WARNING = "warning"
    ERROR = "error"
    NOT_CHECKED = "not checked"
    WAIVED = "waived"  # a warning or an error that the spec has waived; no rule gives it


SEVERITY = (Verdict.OK, Verdict.WARNING, Verdict.ERROR, Verdict.NOT_CHECKED)
"""The verdicts that a rule gives, from the mildest to the worst."""


class Basis(NamedTuple):
    """The source of a limit: a publication, a shop's standard, or common practice.

    `known_from` says how the source is known: "read", "from memory", "shop standard", or "" for common practice.
    """

    text: str
    source: str = ""
    known_from: str = ""

    def __str__(self) -> str:
        if not self.source:
            return f"common practice, no source: {self.text}"
        memory = " (from memory)" if self.known_from == "from memory" else ""
        return f"{self.source}{memory}: {self.text}"


def common_practice(text: str) -> Basis:
    """A basis in common practice, with no published source."""
    refuse_unfit("common_practice()", text, WORDS)
    return Basis(text)


def published(source: str, text: str) -> Basis:
    """A basis in a published source that was read: author or body, title, edition, clause or page."""
    refuse_any((("published() for its source", source, WORDS), ("published() for its text", text, WORDS)))
    return Basis(text, source, "read")


def from_memory(source: str, text: str) -> Basis:
    """A basis in a published source, recalled from memory and not read."""
    refuse_any((("from_memory() for its source", source, WORDS), ("from_memory() for its text", text, WORDS)))
    return Basis(text, source, "from memory")


class Bounds(NamedTuple):
    """The range outside which a quantity is a warning, and the one outside which it is an error; SI, inclusive."""

    warn_below: float = -math.inf
    warn_above: float = math.inf
    fail_below: float = -math.inf
    fail_above: float = math.inf

    def verdict(self, value: float) -> Verdict:
        """The verdict on a value. Raises ValueError for one that is not a finite number."""
        if not math.isfinite(value):
            raise ValueError(f"{value} cannot be compared with a limit: it is not a finite number")
        if not _within(value, self.fail_below, self.fail_above):
            return Verdict.ERROR
        if not _within(value, self.warn_below, self.warn_above):
            return Verdict.WARNING
        return Verdict.OK

    def wanted(self, verdict: Verdict) -> tuple[float, float]:
        """The range that a reading of this verdict is compared with: lowest and highest value."""
        inner = (max(self.warn_below, self.fail_below), min(self.warn_above, self.fail_above))
        return (self.fail_below, self.fail_above) if verdict is Verdict.ERROR else inner

    def margin(self, value: float, verdict: Verdict) -> float:
        """Distance of the value inside (positive) or outside (negative) that range."""
        lowest, highest = self.wanted(verdict)
        inside = min(value - lowest, highest - value)
        return max(inside, 0.0) if verdict is Verdict.OK else inside

    def widened(self, tolerance: float) -> Bounds:
        """The bounds for a comparison of readings that have this tolerance between them, SI."""
        if not tolerance:
            return self
        below, above = (self.warn_below, self.fail_below), (self.warn_above, self.fail_above)
        (warn_below, fail_below), (warn_above, fail_above) = (
            tuple(bound + by for bound in bounds) for bounds, by in ((below, -tolerance), (above, tolerance))
        )
        return Bounds(warn_below, warn_above, fail_below, fail_above)

    def error_margin(self, value: float) -> float | None:
        """Distance of the value inside (positive) or outside (negative) the range of no error; None without one."""
        inside = min(value - self.fail_below, self.fail_above - value)
        return inside if math.isfinite(inside) else None


# A value outside a limit by no more than rounding counts as inside: a share of the limit, and for a limit of zero an
# amount, SI.
ROUNDING, NOTHING = 1e-9, 1e-12


def _within(value: float, lowest: float, highest: float) -> bool:
    """Whether a value is within the bounds or on them, to within rounding."""
    return lowest - ROUNDING * abs(lowest) - NOTHING <= value <= highest + ROUNDING * abs(highest) + NOTHING


class Range(NamedTuple):
    """Bounds as they are written in a rule: amounts with units, to be read in the limit's dimension."""

    warning: tuple[str | None, str | None]
    error: tuple[str | None, str | None]

    @property
    def dimension(self) -> Dimension:
        """The one dimension shared by the units of all its amounts.

        Raises ValueError for an amount without a unit, units of different dimensions, units that two dimensions share
        (lb is a mass and a force), and a range that bounds nothing.
        """
        texts = [text for text in (*self.warning, *self.error) if text is not None]
        bare = [text for text in texts if not isinstance(text, str)]
        if bare:
            raise ValueError(f'the limit {bare[0]!r} is a bare number; write it with its unit, as "6 in"')
        if not texts:
            raise ValueError("the limit bounds nothing: give a warning, an error, or both")
        shared = [dimension for dimension in dimensions_of(texts[0]) if all(_is_of(text, dimension) for text in texts)]
        if len(shared) == 1:
            return shared[0]
        amounts = " and ".join(f'"{text}"' for text in dict.fromkeys(texts))
        if not shared:
            raise ValueError(f"the limit {amounts} needs one kind of unit, such as 5 deg, 1/2 in, 80 % or 200 lbf")
        kinds = " or a ".join(shared)
        raise ValueError(f"the limit {amounts} may be a {kinds}: write a unit of one of them, or say dimension=")

    def refuse_order(self, bounds: Bounds) -> None:
        """Raise ValueError where an error bound is inside the warning bound, so that no warning is ever given."""
        if bounds.fail_above < bounds.warn_above < math.inf or -math.inf < bounds.warn_below < bounds.fail_below:
            raise ValueError("its error bound is inside its warning bound: the two may be swapped")
        if bounds.warn_below > bounds.warn_above or bounds.fail_below > bounds.fail_above:
            raise ValueError("its lower bound is above its upper bound: the two may be swapped")

    def bounds(self, dimension: Dimension) -> Bounds:
        """The bounds in SI units. Raises QuantityError for an amount of another dimension."""

        def amount(text: str | None, otherwise: float) -> float:
            return otherwise if text is None else parse(text, dimension, System.METRIC)

        return Bounds(
            warn_below=amount(self.warning[0], -math.inf),
            warn_above=amount(self.warning[1], math.inf),
            fail_below=amount(self.error[0], -math.inf),
            fail_above=amount(self.error[1], math.inf),
        )

    def possible(self, physical_end: str | None, dimension: Dimension) -> tuple[float | None, float | None]:
        """The lowest and the highest possible value, SI, where a limit's physical end is on the side of its bounds.

        Raises ValueError where it is on neither side.
        """
        if physical_end is None:
            return None, None
        end, bounds = parse(physical_end, dimension, System.METRIC), self.bounds(dimension)
        lowest, highest = (
            outer if math.isfinite(outer) else inner
            for outer, inner in zip(bounds.wanted(Verdict.ERROR), bounds.wanted(Verdict.OK), strict=True)
        )
        if -math.inf < lowest and end <= lowest:
            return end, None
        if highest < math.inf and end >= highest:
            return None, end
        raise ValueError(f"its physical end {physical_end} is inside its bounds")


def has_unit(text: str) -> bool:
    """Whether a text is an amount with its unit."""
    return any(_is_of(text, dimension) for dimension in Dimension)


def _is_of(text: str, dimension: Dimension) -> bool:
    """Whether an amount is written with a unit of a dimension; never so for a bare number."""
    try:
        parse(text, dimension, System.METRIC)
    except QuantityError:
        return False
    return not text.strip()[-1:].isdigit()


class ShareOf(NamedTuple):
    """Bounds on the share of another value of the same subject: `of(job, subject)` computes that value, and `amounts`
    is the dimension of both."""

    otherwise: Range
    of: Callable[[Any, Any], Any]
    amounts: Dimension

    @property
    def dimension(self) -> Dimension:
        """Always a ratio. Raises ValueError where the bounds have another dimension."""
        if self.otherwise.dimension is not Dimension.RATIO:
            raise ValueError("a limit that is a share of another value is written in %")
        return Dimension.RATIO

    def bounds(self, dimension: Dimension) -> Bounds:
        """The bounds of the share. Raises QuantityError for an amount of another dimension."""
        return self.otherwise.bounds(dimension)


def at_most(
    *,
    warning: str | None = None,
    error: str | None = None,
    of: Callable[[Any, Any], Any] | None = None,
    amounts: Dimension | None = None,
) -> Range | ShareOf:
    """More than `warning` is a warning, more than `error` an error.

    With `of`, both are shares, in %, of another value of the same subject, `of(job, subject)`; `amounts` is then the
    dimension of the two values.
    """
    return _share(Range((None, warning), (None, error)), of, amounts)


def at_least(
    *,
    warning: str | None = None,
    error: str | None = None,
    of: Callable[[Any, Any], Any] | None = None,
    amounts: Dimension | None = None,
) -> Range | ShareOf:
    """Less than `warning` is a warning, less than `error` an error; `of` and `amounts` are as in `at_most`."""
    return _share(Range((warning, None), (error, None)), of, amounts)


def _share(bounds: Range, of: Callable[[Any, Any], Any] | None, amounts: Dimension | None) -> Range | ShareOf:
    if of is None and amounts is not None:
        raise ValueError("amounts= goes with of=, the value that the limit is a share of")
    if of is None:
        return bounds
    refuse_unfit("of=", of, FUNCTION)
    if not isinstance(amounts, Dimension):
        raise ValueError("a limit that is a share of another value says what both measure: amounts=Dimension.LENGTH")
    return ShareOf(bounds, of, amounts)


_BOTH_ENDS = NONE | Kind(
    'its two ends, such as ("1 in", "2 in")', lambda value: isinstance(value, tuple | list) and len(value) == 2
)


def between(*, warning: tuple[str, str] | None = None, error: tuple[str, str] | None = None) -> Range:
    """Outside the `warning` range is a warning, outside the `error` range an error."""
    refuse_any((("warning=", warning, _BOTH_ENDS), ("error=", error, _BOTH_ENDS)))
    return Range(warning or (None, None), error or (None, None))


class ByUse(NamedTuple):
    """Bounds that depend on the truck's intended use; made by `by_use`."""

    otherwise: Range
    uses: tuple[tuple[str, Range], ...]

    @property
    def dimension(self) -> Dimension:
        """The one dimension of all its ranges. Raises ValueError as `Range.dimension` does."""
        ranges = (self.otherwise, *(of_use for _, of_use in self.uses))
        found = {each.dimension for each in ranges}
        if len(found) > 1:
            raise ValueError(f"the limits by use are of different kinds: {' and '.join(sorted(found))}")
        return found.pop()


def by_use(*, otherwise: Range | ShareOf, **uses: Range | ShareOf) -> ByUse:
    """Bounds for some intended uses; `otherwise` is for the others and for a spec that states none.

    A use is written as the spec writes `build.intended_use`, with underscores for hyphens: `street_and_trail=`. Raises
    ValueError for a use that no spec can state.
    """
    named = {use.replace("_", "-"): of_use for use, of_use in uses.items()}
    for use in named:
        if use not in INTENDED_USES:
            raise ValueError(no_such("intended use", use, INTENDED_USES))
    ranges = {use: of_use for use, of_use in named.items() if isinstance(of_use, Range)}
    if not isinstance(otherwise, Range) or len(ranges) < len(named):
        raise ValueError(
            "a limit by use takes bounds for each use, such as at_most(error=...), and no share of another value"
        )
    return ByUse(otherwise, tuple(sorted(ranges.items())))


def _wider(own: tuple[float, float], old: tuple[float, float]) -> bool:
    """Whether a range goes past another one at either end."""
    return not _within(own[0], old[0], math.inf) or not _within(own[1], -math.inf, old[1])


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit with numbers. `error_basis` is the basis of the error where it is another one; `built_in` is the rule's
    own limit where a shop standard has changed it. `uses` are the ranges of intended uses that have their own.
    `possible` are the lowest and the highest value (SI) that can be: past them parts touch, bind or break. An end
    without such a value is None.

    Raises QuantityError for a range of another dimension.
    """

    name: str
    meaning: str
    dimension: Dimension
    range: Range
    basis: Basis
    error_basis: Basis | None = None
    built_in: Limit | None = None
    uses: tuple[tuple[str, Range], ...] = ()
    possible: tuple[float | None, float | None] = (None, None)
    bounds: Bounds = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "bounds", self.range.bounds(self.dimension))

    def bounds_for(self, spot: Spot) -> Bounds:
        """The bounds that a number is held to: wider by the tolerance of the readings that it compares."""
        return self.bounds.widened(spot.tolerance)

    def for_use(self, use: str | None) -> Limit:
        """The limit for a truck of an intended use; None where the spec states none."""
        own = dict(self.uses).get(use or "")
        return self if own is None else replace(self, range=own, uses=())

    @property
    def past_the_possible(self) -> float | None:
        """The end of the possible values, SI, past which a value gives no error; None where there is no such end. A
        limit of the shop's own may bound one end alone, or only warn."""
        own, bounds = self.built_in is None, self.bounds
        lowest, highest = self.possible
        below = bounds.warn_below if own and math.isinf(bounds.fail_below) else bounds.fail_below
        above = bounds.warn_above if own and math.isinf(bounds.fail_above) else bounds.fail_above
        if lowest is not None and not (own and math.isinf(below)) and not _within(below, lowest, math.inf):
            return lowest
        if highest is not None and not (own and math.isinf(above)) and not _within(above, -math.inf, highest):
            return highest
        return None

    @property
    def looser_than_built_in(self) -> bool:
        """Whether a shop's standard has moved one of its bounds outwards, or taken it away."""
        if self.built_in is None:
            return False
        own, old = self.bounds, self.built_in.bounds
        return any(_wider(own.wanted(verdict), old.wanted(verdict)) for verdict in (Verdict.OK, Verdict.ERROR))

    def basis_of(self, verdict: Verdict) -> Basis:
        """The basis of a reading of this verdict."""
        return self.error_basis or self.basis if verdict is Verdict.ERROR else self.basis


class Requirement(NamedTuple):
    """A requirement without a number. `if_not` is the verdict where it is not met; `built_in` is the rule's own
    requirement where a shop standard has changed it."""

    name: str
    meaning: str
    basis: Basis
    if_not: Verdict = Verdict.ERROR
    built_in: Requirement | None = None

    @property
    def looser_than_built_in(self) -> bool:
        """Whether a shop's standard has made it milder."""
        return self.built_in is not None and SEVERITY.index(self.if_not) < SEVERITY.index(self.built_in.if_not)
