"""What a rule, a limit, a basis and a reading are.

A rule is a plain function. It asks the job for quantities, and yields what it found: `hold` for a number that a
limit applies to, `require` for something that must be so. It knows no units, no severities and no printing.
"""

from __future__ import annotations

import inspect as _inspect
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from buildcheck.build import Stage
from buildcheck.job import Cure, PoseName, Spot
from buildcheck.quantity import Dimension, System, parse

if TYPE_CHECKING:
    from buildcheck.job import Job


class Area(StrEnum):
    """The part of the truck that a rule belongs to, in the order in which readings are shown."""

    LINKS = "links"
    AXLE = "axle"
    BAR_AND_STEERING = "lateral bar and steering"
    SPRINGS = "springs"
    TRAVEL_STOPS = "travel stops"
    DRIVELINE = "driveline"
    WELDS = "welds"
    FASTENERS = "fasteners"
    RECORDS = "records"
    SAFETY = "safety"


class Verdict(StrEnum):
    """What a reading comes to."""

    OK = "ok"
    WARNING = "warning"
    ERROR = "error"
    NOT_CHECKED = "not checked"
    WAIVED = "waived"  # a warning or an error that the spec has waived; no rule gives it


class Basis(NamedTuple):
    """Why a limit stands: a published source, a shop's standard, or common practice.

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
    """A basis in the trade's practice, with no published source."""
    return Basis(text)


def published(source: str, text: str) -> Basis:
    """A basis in a published source that was read: author or body, title, edition, clause or page."""
    return Basis(text, source, "read")


def from_memory(source: str, text: str) -> Basis:
    """A basis in a published source that was recalled and not read."""
    return Basis(text, source, "from memory")


class Bounds(NamedTuple):
    """The range in which a quantity is fine, and the range outside of which it is an error; SI, inclusive."""

    warn_below: float = -math.inf
    warn_above: float = math.inf
    fail_below: float = -math.inf
    fail_above: float = math.inf

    def verdict(self, value: float) -> Verdict:
        """The verdict on a value. Raises ValueError for one that is no finite number."""
        if not math.isfinite(value):
            raise ValueError(f"{value} is no number that can be held to a limit")
        if not self.fail_below <= value <= self.fail_above:
            return Verdict.ERROR
        if not self.warn_below <= value <= self.warn_above:
            return Verdict.WARNING
        return Verdict.OK

    def wanted(self, verdict: Verdict) -> tuple[float, float]:
        """The range that a reading of this verdict is measured against: lowest and highest value."""
        inner = (max(self.warn_below, self.fail_below), min(self.warn_above, self.fail_above))
        return (self.fail_below, self.fail_above) if verdict is Verdict.ERROR else inner

    def margin(self, value: float, verdict: Verdict) -> float:
        """How far inside (positive) or outside (negative) of that range the value is."""
        lowest, highest = self.wanted(verdict)
        return min(value - lowest, highest - value)

    def good(self, value: float) -> float:
        """A value to aim for from a bad one: inside the range that is fine by a twentieth of the way to its edge.

        What is cut to a sixteenth of an inch must still be inside, so the edge itself is no aim.
        """
        lowest, highest = self.wanted(Verdict.OK)
        edge = min(max(value, lowest), highest)
        inside = edge + (edge - value) * INSIDE
        if inside * edge < 0.0:  # a value so far off that a twentieth of the way would change the sign of the aim
            inside = edge + math.copysign(edge, edge - value) * INSIDE
        middle = (lowest + highest) / 2
        return inside if not math.isfinite(middle) or abs(inside - edge) < abs(middle - edge) else middle


INSIDE = 0.05


class Range(NamedTuple):
    """Bounds as they are written in a rule: amounts with units, to be read in the limit's dimension."""

    warning: tuple[str | None, str | None]
    error: tuple[str | None, str | None]

    def bounds(self, dimension: Dimension) -> Bounds:
        """The same in SI units. Raises QuantityError for an amount that is not of the dimension."""

        def amount(text: str | None, otherwise: float) -> float:
            return otherwise if text is None else parse(text, dimension, System.METRIC)

        return Bounds(
            warn_below=amount(self.warning[0], -math.inf),
            warn_above=amount(self.warning[1], math.inf),
            fail_below=amount(self.error[0], -math.inf),
            fail_above=amount(self.error[1], math.inf),
        )


def at_most(*, warning: str | None = None, error: str | None = None) -> Range:
    """More than `warning` is a warning, more than `error` an error."""
    return Range((None, warning), (None, error))


def at_least(*, warning: str | None = None, error: str | None = None) -> Range:
    """Less than `warning` is a warning, less than `error` an error."""
    return Range((warning, None), (error, None))


def within(
    *, warning: tuple[str, str] | tuple[None, None] = (None, None), error: tuple[str, str] | None = None
) -> Range:
    """Outside of the `warning` range is a warning, outside of the `error` range an error."""
    return Range(warning, error or (None, None))


@dataclass(frozen=True, slots=True)
class Limit:
    """A number that a rule holds a quantity to. Where the error stands on another basis, it has its own; where a shop
    standard has changed it, `built_in` is the limit as the rule has it.

    Raises QuantityError for a range that is not of the dimension.
    """

    name: str
    meaning: str
    dimension: Dimension
    range: Range
    basis: Basis
    error_basis: Basis | None = None
    built_in: Limit | None = None
    bounds: Bounds = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "bounds", self.range.bounds(self.dimension))

    def basis_of(self, verdict: Verdict) -> Basis:
        """The basis that a reading of this verdict stands on."""
        return self.error_basis or self.basis if verdict is Verdict.ERROR else self.basis


class Requirement(NamedTuple):
    """Something that must be so, without a number. `if_not` is the verdict when it is not; where a shop standard has
    changed that, `built_in` is the requirement as the rule has it."""

    name: str
    meaning: str
    basis: Basis
    if_not: Verdict = Verdict.ERROR
    built_in: Requirement | None = None


# What to change, in words; or how to work it out from the nearest value that is good.
HowToCure = str | Callable[[float], Cure | None]


class Held(NamedTuple):
    """A quantity held to one of the rule's limits; made by `hold`."""

    limit: str
    value: float
    place: str
    pose: PoseName | None
    effect: str
    cure: HowToCure


class Required(NamedTuple):
    """Something that a requirement applies to; made by `require`."""

    requirement: str
    met: bool
    found: str
    place: str
    wanted: str
    effect: str
    cure: str


class NotApplicable(NamedTuple):
    """Why a rule asks nothing of a subject; made by `does_not_apply`."""

    why: str


Finding = Held | Required | NotApplicable


def hold(limit: Limit, value: Spot | float, *, place: str, effect: str = "", cure: HowToCure = "") -> Held:
    """Hold a quantity to one of the rule's limits.

    `value` is a number in SI units, or a spot of a curve, which knows where in the travel it stands. `place` is the
    spec path of the input that one would change. `effect` says in a few words what the number does on the road.
    `cure` says what to change: in words, or as a function, which is called only when the limit is broken, with the
    nearest value that is good. The shop's limit of that name counts, where a shop standard replaces it.
    """
    spot = value if isinstance(value, Spot) else Spot(float(value))
    return Held(limit.name, float(spot.value), place, spot.pose, effect, cure)


def require(
    requirement: Requirement, *, met: bool, found: str, wanted: str, place: str, effect: str = "", cure: str = ""
) -> Required:
    """Hold something to one of the rule's requirements: what was found, what is wanted, and how to put it right."""
    return Required(requirement.name, bool(met), found, place, wanted, effect, cure)


def does_not_apply(why: str) -> NotApplicable:
    """Say why the rule asks nothing of this subject (`nothing steers a rear axle`), so that nobody takes the silence
    for a pass. What the spec lacks is another matter: reading that raises Missing."""
    return NotApplicable(why)


class Replaced(NamedTuple):
    """What a rule has built in where a shop standard has it otherwise: the range (SI) of a limit, or the verdict of a
    requirement that is not met, and its basis. A limit without a number on either side has none built in."""

    basis: Basis
    lowest: float | None = None
    highest: float | None = None
    if_not: Verdict | None = None


class Waived(NamedTuple):
    """By what a reading is waived: the verdict it would have, and the waiver's own words. `place` is the waiver's."""

    instead_of: Verdict
    reason: str
    who: str
    date: str
    until: str
    place: str


class Reading(NamedTuple):
    """One comparison made, or the reason why none was made.

    Numbers are SI. `place` is a spec path, `pose` where in the travel the worst case stands. `margin` is how far
    inside (positive) or outside (negative) of the wanted range the value is. For a requirement `found` and
    `required` are words and the numbers are None. `missing` names what the spec lacks; `failure` says how a rule
    failed, which is an error of the rule and not of the build. Without a quantity, `reason` says why nothing was
    compared: because something is missing (`not checked`), or because the rule does not apply (`ok`). `replaced` is
    what a shop standard has changed, `waived` by what a `waived` reading is waived. `plus_or_minus` is how well the
    value is known, where that was asked for and the spec's tolerances tell it; see `buildcheck.how_sure`.
    """

    rule: str
    area: Area
    subject: str
    quantity: str
    meaning: str
    verdict: Verdict
    place: str
    dimension: Dimension | None = None
    value: float | None = None
    lowest: float | None = None
    highest: float | None = None
    margin: float | None = None
    found: str = ""
    required: str = ""
    pose: PoseName | None = None
    effect: str = ""
    basis: Basis | None = None
    cure: Cure | None = None
    missing: tuple[str, ...] = ()
    reason: str = ""
    failure: str = ""
    replaced: Replaced | None = None
    waived: Waived | None = None
    plus_or_minus: float | None = None

    @property
    def too_near_to_tell(self) -> bool:
        """Whether the reading lies nearer to its limit than it is known, so that it may be on the other side of it."""
        return self.margin is not None and self.plus_or_minus is not None and abs(self.margin) < self.plus_or_minus

    @property
    def applies(self) -> bool:
        """Whether the rule asks anything of this subject; where it does not, `reason` says why."""
        return not (self.verdict is Verdict.OK and self.reason)


class Sample(NamedTuple):
    """A change to a sound build, and what the rule then finds.

    `change` maps spec paths to values as a spec would hold them. A path into `left` or `right` of something that the
    sound build writes once under `both` parts it into the two first, the right the mirror image of the left. `finds`
    maps every limit and requirement of this rule that then comes out other than ok, and no other, to its worst
    verdict; it is empty for a sample that passes. A sample leaves nothing of the rule unchecked.
    """

    says: str
    change: Mapping[str, Any]
    finds: Mapping[str, Verdict] = MappingProxyType({})


RuleFunction = Callable[["Job", Any], Iterable[Finding]]


class Check(NamedTuple):
    """One function of a rule and the subject that it is called with."""

    subject: str
    function: RuleFunction


@dataclass(frozen=True)
class Rule:
    """One thing that a careful builder checks."""

    name: str
    area: Area
    title: str
    page: str
    limits: tuple[Limit | Requirement, ...]
    checks: tuple[Check, ...]
    samples: tuple[Sample, ...]
    from_stage: Stage = Stage.PROPOSAL

    def limit(self, name: str) -> Limit | Requirement:
        """The limit or requirement of that name. Raises LookupError, naming those it has."""
        for limit in self.limits:
            if limit.name == name:
                return limit
        known = ", ".join(limit.name for limit in self.limits)
        raise LookupError(f"rule {self.name} has no limit {name!r}; it has {known}")

    def with_limits(self, limits: Iterable[Limit | Requirement]) -> Rule:
        """The same rule with other limits, as a shop standard asks for."""
        return replace(self, limits=tuple(limits))


def rule(
    name: str,
    *,
    area: Area,
    subject: str,
    limits: Iterable[Limit | Requirement],
    samples: Iterable[Sample] = (),
    also: Iterable[tuple[str, RuleFunction]] = (),
    from_stage: Stage = Stage.PROPOSAL,
) -> Callable[[RuleFunction], Rule]:
    """Make a rule of a function `(job, subject)` that yields what it held and required.

    The function's docstring is the rule's page; its first line is the title. `subject` says what the function is
    called with, once for each: see `Job.subjects`. `also` adds functions of the same
    rule, each with its subject: what they cannot check takes nothing from the others. Raises ValueError for a limit
    that bounds nothing.
    """
    limits = tuple(limits)
    for limit in limits:
        if isinstance(limit, Limit) and limit.bounds == Bounds():
            raise ValueError(f"the limit {limit.name!r} bounds nothing")

    def make(function: RuleFunction) -> Rule:
        page = _inspect.getdoc(function) or ""
        checks = [Check(subject, function)]
        checks.extend(Check(other, another) for other, another in also)
        return Rule(
            name=name,
            area=area,
            title=page.partition("\n")[0].rstrip("."),
            page=page.partition("\n")[2].strip(),
            limits=limits,
            checks=tuple(checks),
            samples=tuple(samples),
            from_stage=from_stage,
        )

    return make
