"""What a rule, a limit, a basis and a reading are.

A rule is a plain function. It asks the job for quantities, and yields what it found: `hold` for a number that a
limit applies to, `require` for something that must be so. It knows no units, no severities and no printing.
"""

from __future__ import annotations

import inspect as _inspect
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from enum import StrEnum
from numbers import Real
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from buildcheck.build import Missing, Stage
from buildcheck.checks.changes import Change, place_of, refuse_list
from buildcheck.checks.check import Check
from buildcheck.checks.subjects import as_subject
from buildcheck.job import Cure, PoseName, Spot, Unreached
from buildcheck.limit import Basis, Bounds, Limit, Range, Requirement, Verdict
from buildcheck.mishap import place_of as place_of_code
from buildcheck.mishap import plain_text
from buildcheck.quantity import Dimension

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


# What to change, in words; or how to work it out from the nearest value that is good.
HowToCure = str | Callable[[float], Cure | None]


class Held(NamedTuple):
    """A quantity held to one of the rule's limits; made by `hold`."""

    limit: Limit
    value: float
    place: str
    pose: PoseName | None
    effect: str
    cure: HowToCure
    of: str = ""
    unsolved: str = ""
    without: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()

    def checked(self) -> Held:
        """The same in plain data. Raises TypeError for a field that is not what it should be."""
        limit, value, place, pose, effect, cure, of, unsolved, without, missing = self
        if not isinstance(limit, Limit):
            raise TypeError(f"{_named(limit)} is no limit; hold() takes one of the rule's limits, require() the others")
        if isinstance(value, bool) or not isinstance(value, Real):
            raise TypeError(f"{limit.name} needs a number, got {value!r}")
        if not isinstance(cure, str) and not callable(cure):
            raise TypeError(f"the cure of {limit.name} is {cure!r}; it needs a text or a function")
        return Held(
            limit,
            float(value),
            _text(place, f"the place of {limit.name}"),
            None if pose is None else _pose(pose, limit.name),
            _text(effect, f"the effect of {limit.name}"),
            _text(cure, "the cure") if isinstance(cure, str) else cure,
            _text(of, f"the `of` of {limit.name}"),
            _text(unsolved, "what could not be solved"),
            tuple(_text(each, "what is left out") for each in without),
            tuple(_text(path, "a spec path that is missing") for path in missing),
        )


class Required(NamedTuple):
    """Something that a requirement applies to; made by `require`."""

    requirement: Requirement
    met: bool
    found: str
    place: str
    wanted: str
    effect: str
    cure: str

    def checked(self) -> Required:
        """The same in plain data. Raises TypeError for a field that is not what it should be."""
        requirement, met, *texts = self
        if not isinstance(requirement, Requirement):
            raise TypeError(
                f"{_named(requirement)} is no requirement; require() takes one of the rule's, hold() its limits"
            )
        # An array's own True and False will do; a count, of which 1 equals True, will not.
        if (isinstance(met, Real) and not isinstance(met, bool)) or met not in (True, False):
            raise TypeError(f"{requirement.name} is met or not: `met` needs True or False, got {met!r}")
        names = Required._fields[2:]
        plain = (_text(text, f"the {name} of {requirement.name}") for name, text in zip(names, texts, strict=True))
        return Required(requirement, bool(met), *plain)


class NotApplicable(NamedTuple):
    """Why a rule asks nothing of a subject; made by `does_not_apply`."""

    why: str

    def checked(self) -> NotApplicable:
        """The same in plain data. Raises TypeError for a reason that is no text."""
        (why,) = self
        return NotApplicable(_text(why, "the reason"))


def _text(words: object, what: str) -> str:
    if not isinstance(words, str):
        raise TypeError(f"{what} needs a text, got {words!r}")
    return plain_text(words)


def _pose(pose: object, name: str) -> PoseName:
    if not isinstance(pose, PoseName):
        raise TypeError(f"the pose of {name} is {pose!r}; take it from a spot of a curve")
    heave, roll, called, lock = pose
    return PoseName(float(heave), float(roll), _text(called, f"the name of the pose of {name}"), float(lock))


def _named(limit: object) -> str:
    return repr(limit.name if isinstance(limit, Limit | Requirement) else limit)


Finding = Held | Required | NotApplicable


def hold(
    limit: Limit,
    value: Spot | float,
    *,
    place: str,
    of: str = "",
    effect: str = "",
    cure: HowToCure = "",
    without: Missing | Unreached | tuple[Missing | Unreached | None, ...] | None = None,
) -> Held:
    """Hold a quantity to one of the rule's limits.

    `value` is a number in SI units, or a spot of a curve, which knows where in the travel it stands, and which poses
    it is without: it can then break the limit, but where it does not the limit is not checked. `place` is the
    spec path of the input that one would change. `of` says which of several of the subject it is, where there are
    several: a joint, or the two parts of a gap. `effect` says in a few words what the number does on the road.
    `cure` says what to change: in words, or as a function, which is called only when the limit is broken, with the
    nearest value that is good. The shop's limit of that name counts, where a shop standard replaces it.
    `without` is for a value that leaves something out which can only make it worse: the Missing or Unreached that says
    why, or a tuple of several; None says that nothing of that kind is left out. Such a value can break a limit, and its
    effect then says what is left out; but it is never ok: where it breaks none the limit is `not checked`.

    Raises TypeError for an argument of another kind.
    """
    spot = value if isinstance(value, Spot) else Spot(value)
    left_out = [each for each in (without if isinstance(without, tuple) else (without,)) if each is not None]
    known = spot.leaving_out(*left_out)
    unsolved = "; ".join(spot.without)
    return Held(limit, spot.value, place, spot.pose, effect, cure, of, unsolved, known.without, known.missing).checked()


def require(
    requirement: Requirement, *, met: bool, found: str, wanted: str, place: str, effect: str = "", cure: str = ""
) -> Required:
    """Hold something to one of the rule's requirements: what was found, what is wanted, and how to put it right.

    Raises TypeError for an argument of another kind.
    """
    return Required(requirement, met, found, place, wanted, effect, cure).checked()


def does_not_apply(why: str) -> NotApplicable:
    """Say why the rule asks nothing of this subject (`nothing steers a rear axle`), so that nobody takes the silence
    for a pass. What the spec lacks is another matter: reading that raises Missing.

    Raises TypeError for a reason that is no text."""
    return NotApplicable(why).checked()


class Replaced(NamedTuple):
    """What a rule has built in where a shop standard has it otherwise: the range (SI) of a limit, or the verdict of a
    requirement that is not met, and its basis. A limit without a number on either side has none built in."""

    basis: Basis
    lowest: float | None = None
    highest: float | None = None
    if_not: Verdict | None = None


class Loosened(NamedTuple):
    """The verdict that the built-in limit or requirement gives to a reading that a shop standard makes milder, with
    the built-in basis. Of a limit, the range (SI) outside of which that verdict is given: the shop's and the built-in
    one; None where there is no bound."""

    instead_of: Verdict
    basis: Basis
    lowest: float | None = None
    highest: float | None = None
    built_in_lowest: float | None = None
    built_in_highest: float | None = None


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
    compared: because something is missing (`not checked`), or because the rule does not apply (`ok`). `not checked`
    with a quantity is a value that leaves something out, and `reason` says what; `without` holds each thing that a
    value leaves out, also where it breaks its limit. `of` says which of several of the subject it is. `replaced` is
    what a shop standard has changed, `loosened` is the built-in verdict where the shop standard's is milder, also where
    the value leaves something out and is then `not checked`, and `waived` by what a `waived` reading is waived.
    `plus_or_minus` is how well the value is known, where that was asked for and the spec's tolerances say it; see
    `buildcheck.how_sure`. `unchecked` names the checks of the rule that were not made for this reason.
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
    loosened: Loosened | None = None
    waived: Waived | None = None
    plus_or_minus: float | None = None
    of: str = ""
    without: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()

    @property
    def too_near_to_tell(self) -> bool:
        """Whether the reading lies nearer to its limit than it is known, so that it may be on the other side of it."""
        return self.margin is not None and self.plus_or_minus is not None and abs(self.margin) < self.plus_or_minus

    @property
    def other_reason(self) -> str:
        """What `reason` says beside that the spec lacks what is `missing`."""
        lacking = {str(Missing(path)) for path in self.missing}
        return "; ".join(each for each in self.reason.split("; ") if each not in lacking)

    @property
    def applies(self) -> bool:
        """Whether the rule asks anything of this subject; where it does not, `reason` says why."""
        return not (self.verdict is Verdict.OK and self.reason)


class Sample(NamedTuple):
    """A change to a sound build, and what the rule then finds.

    `change` maps spec paths to values as a spec would hold them. A path into `left` or `right` of something that the
    sound build writes once under `both` parts it into the two first, the right the mirror image of the left. `finds`
    maps every limit and requirement of this rule that then comes out other than ok, and no other, to its worst
    verdict; it is empty for a sample that passes. A sample leaves nothing of the rule unchecked but a limit that
    `finds` gives as `not checked`, as of a quantity that is known in part (see `hold`).
    """

    says: str
    change: Mapping[str, Any]
    finds: Mapping[str, Verdict] = MappingProxyType({})

    @property
    def passes(self) -> bool:
        """Whether the rule finds nothing wrong in it."""
        return set(self.finds.values()) <= {Verdict.NOT_CHECKED}


RuleFunction = Callable[["Job", Any], Iterable[Finding]]
Compute = TypeVar("Compute", bound=Callable[..., Any])


class Function(NamedTuple):
    """One function of a rule that holds several quantities itself, and the subject that it is called with."""

    subject: str
    function: RuleFunction

    @property
    def code(self) -> Callable[..., Any]:
        """The rule author's function."""
        return self.function

    @property
    def noun(self) -> str:
        """What a person calls the subject."""
        return self.subject.replace("-", " ")


@dataclass(eq=False)
class Rule:
    """A named set of checks with one page of text, made empty and filled by its decorators `check` and `must`.

    `page` is the text, of which the first line is the title. A rule that is `heeded` is asked again of every change
    that any rule offers, so that no change breaks it; it has to be quick.
    """

    name: str
    _: KW_ONLY
    area: Area
    page: str
    title: str = ""
    limits: tuple[Limit | Requirement, ...] = ()
    checks: tuple[Check | Function, ...] = ()
    samples: tuple[Sample, ...] = ()
    from_stage: Stage = Stage.PROPOSAL
    heeded: bool = False

    def __post_init__(self) -> None:
        if not self.title:
            title, _, page = _inspect.cleandoc(self.page).partition("\n")
            self.title, self.page = title.rstrip("."), page.strip()

    def check(
        self,
        subject: Any,
        limit: Range,
        *,
        basis: Basis,
        change: Change | Sequence[Change],
        error_basis: Basis | None = None,
        name: str = "",
        dimension: Dimension | None = None,
        **rest: Any,
    ) -> Callable[[Compute], Compute]:
        """Hold what a function `(job, subject)` computes to a limit, for every subject of a kind.

        The limit's name is the function's (`name` gives another), its meaning the function's docstring, its dimension
        that of the units in `limit`. `basis` is for the warning, `error_basis` for the error where that is another.
        `change` lists what a builder can change, ending in `Words`. The rest is as in `checks.check.Check`: `place`,
        `effect`, `when`, `follows`, `compares`.

        Raises ValueError for a limit that bounds nothing, has no unit, or has warning and error swapped.
        """

        def register(compute: Compute) -> Compute:
            called = name or compute.__name__.strip("_").replace("_", "-")
            try:
                held = Limit(called, _meaning(compute), dimension or limit.dimension, limit, basis, error_basis)
                limit.refuse_order(held.bounds)
                self._add(subject, held, compute, change, rest)
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
        """Demand what a function `(job, subject)` answers with `met(...)`, for every subject of a kind.

        `wanted` says in words what must be so; `otherwise` is the verdict where it is not. The rest is as in `check`.
        """

        def register(compute: Compute) -> Compute:
            called = name or compute.__name__.strip("_").replace("_", "-")
            try:
                demanded = Requirement(called, _meaning(compute), basis, otherwise)
                self._add(subject, demanded, compute, change, {**rest, "wanted": wanted})
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
    ) -> None:
        if any(limit.name == other.name for other in self.limits):
            raise ValueError("the rule has a check of this name already")
        changes = (change,) if isinstance(change, Change) else tuple(change)
        refuse_list(changes)
        for before in rest.get("follows", ()):
            self.limit(before)
        rest.setdefault("place", place_of(changes))
        self.checks += (Check(limit.name, as_subject(subject), compute, limit, changes=changes, **rest),)
        self.limits += (limit,)

    def named(self, name: str) -> Check:
        """The check of that name. Raises LookupError for a name that no check has."""
        for check in self.checks:
            if isinstance(check, Check) and check.name == name:
                return check
        raise LookupError(f"rule {self.name} has no check {name!r}")

    def limit(self, name: str) -> Limit | Requirement:
        """The limit or requirement of that name. Raises LookupError, naming those it has."""
        for limit in self.limits:
            if limit.name == name:
                return limit
        known = ", ".join(limit.name for limit in self.limits)
        raise LookupError(f"rule {self.name} has no limit {name!r}; it has {known}")

    @property
    def written(self) -> str:
        """File and line of its function, `hose.py, line 12`; empty where they are not known."""
        return place_of_code(self.checks[0].code) if self.checks else ""

    def with_limits(self, limits: Iterable[Limit | Requirement]) -> Rule:
        """The same rule with other limits, as a shop standard asks for; each has the rule's own as its `built_in`."""
        return replace(self, limits=tuple(limits))


def _meaning(compute: Callable[..., Any]) -> str:
    """What a quantity means: the first paragraph of its function's docstring, as part of a sentence."""
    text = " ".join((_inspect.getdoc(compute) or "").partition("\n\n")[0].split()).rstrip(".")
    if not text:
        raise ValueError("it needs a docstring that says what the number means, and its sign")
    return text[0].lower() + text[1:]


def rule(
    name: str,
    *,
    area: Area,
    subject: str,
    limits: Iterable[Limit | Requirement],
    samples: Iterable[Sample] = (),
    also: Iterable[tuple[str, RuleFunction]] = (),
    from_stage: Stage = Stage.PROPOSAL,
    heeded: bool = False,
) -> Callable[[RuleFunction], Rule]:
    """Make a rule of a function `(job, subject)` that yields what it held and required.

    The function's docstring is the rule's page; its first line is the title. `subject` says what the function is
    called with, once for each: see `Job.subjects`. `also` adds functions of the same
    rule, each with its subject: what they cannot check takes nothing from the others. Of a rule that is `heeded` no
    other one may make an error by the change that it tells, so that it is asked again of each such change and has to be
    quick. Raises ValueError for a limit that bounds nothing.
    """
    limits = tuple(limits)
    for limit in limits:
        if isinstance(limit, Limit) and limit.bounds == Bounds():
            raise ValueError(f"the limit {limit.name!r} bounds nothing")

    def make(function: RuleFunction) -> Rule:
        page = _inspect.getdoc(function) or ""
        checks = [Function(subject, function)]
        checks.extend(Function(other, another) for other, another in also)
        return Rule(
            name=name,
            area=area,
            title=page.partition("\n")[0].rstrip("."),
            page=page.partition("\n")[2].strip(),
            limits=limits,
            checks=tuple(checks),
            samples=tuple(samples),
            from_stage=from_stage,
            heeded=heeded,
        )

    return make
