"""Rules, their samples, and readings.

A rule is a set of checks. Each check is one quantity of one kind of subject with one limit, or a requirement. It
contains no units, severities or printing.
"""

from __future__ import annotations

import inspect as _inspect
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from buildcheck.build import Missing, Stage
from buildcheck.checks.changes import Change, place_of, refuse_list
from buildcheck.checks.check import Check, Of
from buildcheck.checks.limit import Basis, ByUse, Limit, Range, Requirement, ShareOf, Verdict
from buildcheck.checks.subjects import as_subject
from buildcheck.job import Cure, PoseName
from buildcheck.job.curve import Amounts
from buildcheck.spec.arguments import NONE, TEXT, TRUE_OR_FALSE, WORDS, instance, refuse_any, refuse_unfit, series_of
from buildcheck.spec.guard import place_of as place_of_code
from buildcheck.spec.names import no_such
from buildcheck.spec.quantity import Dimension

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


class Replaced(NamedTuple):
    """The rule's own limit or requirement where a shop standard has changed it: the range (SI) of a limit, or the
    verdict of a requirement that is not met, and its basis. An end of the range without a bound is None."""

    basis: Basis
    lowest: float | None = None
    highest: float | None = None
    if_not: Verdict | None = None


class Loosened(NamedTuple):
    """The built-in verdict and its basis for a reading that a shop standard makes milder. For a limit, also the ranges
    (SI) outside which that verdict is given, by the shop and built in; None where there is no bound."""

    instead_of: Verdict
    basis: Basis
    lowest: float | None = None
    highest: float | None = None
    built_in_lowest: float | None = None
    built_in_highest: float | None = None


class Waived(NamedTuple):
    """The waiver of a reading: the verdict without it, and the waiver's own words. `place` is the waiver's, `size` says
    how far it goes; "" for a waiver that does not say it."""

    instead_of: Verdict
    reason: str
    who: str
    date: str
    until: str
    place: str
    size: str = ""


class Reading(NamedTuple):
    """One comparison made, or the reason why none was made.

    Numbers are SI. `place` is a spec path, `pose` the worst position in the travel, `case` the load that decides, in
    words; without one, the value does not come of the load cases. `margin` is the distance of the
    value inside (positive) or outside (negative) the wanted range. For a requirement `found` and `required` are words
    and the numbers are None. `missing` are the spec paths of missing data; `failure` says how a rule failed, which is
    an error of the rule and not of the build. Without a quantity, `reason` says why nothing was
    compared: because something is missing (`not checked`), or because the rule does not apply (`ok`). `not checked`
    with a quantity is a partial value, and `reason` says what it leaves out; `without` lists each thing that a value
    leaves out, also where it breaks its limit. `of` names one of several readings of the subject. `replaced` is the
    rule's own limit where a shop standard has changed it; `loosened` is the built-in verdict where the shop standard's
    is milder, also for a partial value; `waived` is the waiver of a `waived` reading. `plus_or_minus` is the
    uncertainty of the value, where it was requested and the spec states tolerances; see `buildcheck.checks.tolerances`.
    `unchecked` names the checks of the rule that were not made for this reason. A value that is a share has the two
    `amounts` that it is made of. `error_margin` is the distance of the value inside (positive) or outside (negative)
    the range of no error, where its limit has one. `tolerance` is that of the readings that it compares, by which the
    range is wider than the limit. `depends_on` is the spec path of the input that moves the value most, within its
    tolerance, where the value is near its limit. `path` is the spec path of the subject, on its own side; empty for the
    whole build. `from_stage` is set where the check is made from a later stage on, and something that is written
    already breaks its limit.
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
    case: str = ""
    effect: str = ""
    basis: Basis | None = None
    cure: Cure | None = None
    missing: tuple[str, ...] = ()
    reason: str = ""
    failure: str = ""
    replaced: Replaced | None = None
    loosened: Loosened | None = None
    waived: Waived | None = None
    plus_or_minus: float | None = None
    of: str = ""
    amounts: Amounts | None = None
    without: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()
    error_margin: float | None = None
    tolerance: float = 0.0
    depends_on: str = ""
    path: str = ""
    from_stage: Stage | None = None

    @property
    def too_near_to_tell(self) -> bool:
        """Whether the margin is smaller than the plus or minus, so that the true value may be on the other side."""
        return self.margin is not None and self.plus_or_minus is not None and abs(self.margin) < self.plus_or_minus

    @property
    def other_reason(self) -> str:
        """The parts of `reason` that do not repeat what is `missing`."""
        said = tuple(str(Missing(path)) for path in self.missing)
        return "; ".join(each for each in self.reason.split("; ") if not each.endswith(said))

    @property
    def applies(self) -> bool:
        """Whether the rule applies to this subject; where it does not, `reason` says why."""
        return not (self.verdict is Verdict.OK and self.reason)


class Sample(NamedTuple):
    """A change to a sound build, and the verdicts of the rule on it.

    `change` maps spec paths to values as a spec states them. A path into `left` or `right` of a part that the sound
    build states under `both` first splits it into the two, the right the mirror image of the left. `finds` maps exactly
    the limits and requirements of this rule that are then not ok to their worst verdict; it is empty for a sample that
    passes. No limit may be left unchecked unless `finds` gives it as `not checked`, as for a partial value (see
    `Spot.leaving_out`). `values` are values computed by hand, with units, by the name of the limit for all its
    subjects, or of one of them (`most-lean of the left coilover`).
    """

    says: str
    change: Mapping[str, Any]
    finds: Mapping[str, Verdict] = MappingProxyType({})
    values: Mapping[str, str] = MappingProxyType({})

    @property
    def passes(self) -> bool:
        """Whether the rule finds no warning or error."""
        return set(self.finds.values()) <= {Verdict.NOT_CHECKED}


Compute = TypeVar("Compute", bound=Callable[..., Any])


@dataclass(eq=False)
class Rule:
    """A named set of checks with one page of text; the decorators `check` and `must` add the checks.

    The first line of `page` is the title. `from_stage` is the stage of the job from which on it is checked. A rule on
    `entries` looks at what somebody writes down: a wrong one is reported when it is written, also before that stage.
    """

    name: str
    _: KW_ONLY
    area: Area
    page: str
    title: str = ""
    limits: tuple[Limit | Requirement, ...] = ()
    checks: tuple[Check, ...] = ()
    samples: tuple[Sample, ...] = ()
    from_stage: Stage = Stage.PROPOSAL
    entries: bool = False

    def __post_init__(self) -> None:
        if not isinstance(self.page, str):
            raise ValueError(f"the rule {self.name} has no page; write a docstring at the top of its file")
        refuse_any((f"rule {self.name!r}: {name}=", getattr(self, name), kind) for name, kind in _ARGUMENTS.items())
        if not self.title:
            title, _, page = _inspect.cleandoc(self.page).partition("\n")
            self.title, self.page = title.rstrip("."), page.strip()

    def check(
        self,
        subject: Any,
        limit: Range | ByUse | ShareOf,
        *,
        basis: Basis,
        change: Change | Sequence[Change],
        error_basis: Basis | None = None,
        name: str = "",
        dimension: Dimension | None = None,
        physical_end: str | None = None,
        **rest: Any,
    ) -> Callable[[Compute], Compute]:
        """Add a check that compares the value of a function `(job, subject)` with a limit, for every subject of a kind.

        The name of the limit is the function's (`name` gives another), its meaning the function's docstring, its
        dimension that of the units in `limit`. `basis` is for the warning, and for the error unless `error_basis` is
        given. `change` lists the changes that a builder can make, ending in `Words`. `physical_end` is the value past
        which parts touch, bind or break; a shop's standard goes past it only where it says so. The other arguments are
        those of `checks.check.Check`: `place`, `effect`, `when`, `follows`, `compares`, `from_stage`.

        Raises ValueError for a limit that bounds nothing, has no unit, or has warning and error swapped.
        """

        def register(compute: Compute) -> Compute:
            refuse_unfit("name=", name, TEXT)
            called = name or _name_of(compute)
            try:
                refuse_any(
                    (
                        ("it", limit, _LIMIT),
                        ("dimension=", dimension, _DIMENSION | NONE),
                        ("basis=", basis, _BASIS),
                        ("error_basis=", error_basis, _BASIS | NONE),
                        ("physical_end=", physical_end, WORDS | NONE),
                    )
                )
                ranges = limit if isinstance(limit, Range) else limit.otherwise
                uses = limit.uses if isinstance(limit, ByUse) else ()
                share = Of(limit.of, limit.amounts) if isinstance(limit, ShareOf) else None
                of = dimension or limit.dimension
                possible = ranges.possible(physical_end, of)
                held = Limit(called, _meaning(compute), of, ranges, basis, error_basis, uses=uses, possible=possible)
                for each in (ranges, *(of_use for _, of_use in uses)):
                    each.refuse_order(each.bounds(of))
                self._add(subject, held, compute, change, rest, of=share)
            except (TypeError, ValueError) as error:
                raise type(error)(f"check {called}: {error}") from None
            return compute

        return register

    def must(
        self,
        subject: Any,
        *,
        wanted: str,
        basis: Basis,
        change: Change | Sequence[Change],
        name: str = "",
        otherwise: Verdict = Verdict.ERROR,
        **rest: Any,
    ) -> Callable[[Compute], Compute]:
        """Add a requirement that a function `(job, subject)` answers with `met(...)`, for every subject of a kind.

        `wanted` is the requirement in words; `otherwise` is the verdict where it is not met. The other arguments are
        those of `check`.
        """

        def register(compute: Compute) -> Compute:
            refuse_unfit("name=", name, TEXT)
            called = name or _name_of(compute)
            try:
                refuse_any((("wanted=", wanted, WORDS), ("basis=", basis, _BASIS), ("otherwise=", otherwise, _VERDICT)))
                if otherwise in (Verdict.OK, Verdict.WAIVED):
                    raise ValueError(f"a requirement that is not met is never {otherwise}")
                demanded = Requirement(called, _meaning(compute), basis, otherwise)
                self._add(subject, demanded, compute, change, rest, wanted=wanted)
            except (TypeError, ValueError) as error:
                raise type(error)(f"check {called}: {error}") from None
            return compute

        return register

    def _add(
        self,
        subject: Any,
        limit: Limit | Requirement,
        compute: Callable[[Job, Any], Any],
        change: Change | Sequence[Change],
        rest: dict[str, Any],
        *,
        wanted: str = "",
        of: Of | None = None,
    ) -> None:
        known = [other.name for other in self.limits]
        if limit.name in known:
            raise ValueError("the rule has a check of this name already")
        for word in rest:
            if word not in _KEYWORDS:
                raise TypeError(no_such("keyword", word, _KEYWORDS))
        refuse_unfit("change=", change, _CHANGE | series_of(_CHANGE, "a list of them"))
        changes = (change,) if isinstance(change, Change) else tuple(change)
        refuse_list(changes)
        rest.setdefault("place", place_of(changes))
        check = Check(limit.name, as_subject(subject), compute, limit, changes=changes, wanted=wanted, of=of, **rest)
        for before in check.follows:
            if before not in known:
                raise ValueError(f"it follows another: {no_such('check', before, known)}")
        self.checks += (check,)
        self.limits += (limit,)

    def named(self, name: str) -> Check:
        """The check of that name. Raises LookupError where there is none."""
        for check in self.checks:
            if check.name == name:
                return check
        raise LookupError(f"rule {self.name} has no check {name!r}")

    def limit(self, name: str) -> Limit | Requirement:
        """The limit or requirement of that name. Raises LookupError, naming all of them, where there is none."""
        for limit in self.limits:
            if limit.name == name:
                return limit
        known = ", ".join(limit.name for limit in self.limits)
        raise LookupError(f"rule {self.name} has no limit {name!r}; it has {known}")

    @property
    def written(self) -> str:
        """File and line of its first check, `hose.py, line 12`; empty where they are not known."""
        return place_of_code(self.checks[0].code) if self.checks else ""

    def at_stage(self, stage: Stage) -> Rule:
        """The rule with the checks that are made at a stage of the job."""
        made = tuple(each for each in self.checks if self._starts(each) <= stage.number)
        return self if len(made) == len(self.checks) else replace(self, checks=made)

    def of_stage(self, stage: Stage) -> Rule:
        """The rule with the checks that start at a stage of the job."""
        return replace(self, checks=tuple(each for each in self.checks if self._starts(each) == stage.number))

    def _starts(self, check: Check) -> int:
        """The number of the stage at which a check starts; a check may start later than its rule."""
        return max(self.from_stage.number, check.from_stage.number if check.from_stage else 0)

    def for_use(self, use: str | None) -> Rule:
        """The rule with its limits for an intended use; None where the spec states none."""
        if not any(isinstance(limit, Limit) and limit.uses for limit in self.limits):
            return self
        return self.with_limits(limit.for_use(use) if isinstance(limit, Limit) else limit for limit in self.limits)

    def with_limits(self, limits: Iterable[Limit | Requirement]) -> Rule:
        """The same rule with the limits of a shop standard; each has the rule's own as its `built_in`."""
        return replace(self, limits=tuple(limits))


# The keywords that `check` and `must` pass on to `Check`.
_KEYWORDS = ("place", "effect", "when", "follows", "compares", "from_stage")

_LIMIT = instance('a limit, such as at_most(error="6 in")', Range, ByUse, ShareOf)
_BASIS = instance("a basis, such as common_practice(...)", Basis)
_DIMENSION = instance("a Dimension of buildcheck.api", Dimension)
_VERDICT = instance("a Verdict of buildcheck.api", Verdict)
_CHANGE = instance("a change of buildcheck.api", Change)
_ARGUMENTS = {
    "name": WORDS,
    "area": instance("an Area of buildcheck.api", Area),
    "title": TEXT,
    "limits": series_of(instance("a limit", Limit, Requirement), "limits; make them with its `check` and `must`"),
    "checks": series_of(instance("a check", Check), "checks; make them with its `check` and `must`"),
    "samples": series_of(instance("a sample", Sample), "samples; make each with Sample"),
    "from_stage": instance("a Stage of buildcheck.api", Stage),
    "entries": TRUE_OR_FALSE,
}


def _name_of(compute: Callable[..., Any]) -> str:
    """The name of a check by its function."""
    written: str = "" if isinstance(compute, type) or not callable(compute) else getattr(compute, "__name__", "")
    if not written.isidentifier():
        raise TypeError("a check is a function with a name and a docstring; write it with `def`")
    return written.strip("_").replace("_", "-")


def _meaning(compute: Callable[..., Any]) -> str:
    """The meaning of a quantity: the first paragraph of its function's docstring, as part of a sentence."""
    text = " ".join((_inspect.getdoc(compute) or "").partition("\n\n")[0].split()).rstrip(".")
    if not text:
        raise ValueError("it needs a docstring that says what the number means, and its sign")
    return text[0].lower() + text[1:]
