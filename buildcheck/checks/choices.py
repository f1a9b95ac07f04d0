"""Changes that choose a value: the next size of a series, a recommended amount, or one of a few words."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from typing import Any, Self

from buildcheck.build import Part
from buildcheck.checks.changes import Change, OutOfReach, Way, Who, changed_part, dimension_of, like_of, refuse_braces
from buildcheck.job import Cure, Job
from buildcheck.job.steps import nearest
from buildcheck.spec.arguments import FUNCTION, NONE, WORDS, Kind, refuse_any, refuse_unfit


@dataclass(frozen=True)
class _Chosen(Change):
    """A field set to a chosen amount.

    `says` are the words, with `{amount}`, or a function of (job, subject) that returns them; `who` is the part to
    change where it is not the subject. Left and right change together where the spec writes them once, under `both`.
    """

    field: str
    _: KW_ONLY
    says: str | Callable[[Job, Any], str]
    who: Who | None = None

    def __post_init__(self) -> None:
        called = type(self).__name__
        refuse_any(
            (
                (f"{called} for its field", self.field, WORDS),
                ("says=", self.says, WORDS | FUNCTION),
                ("of()", self.who, FUNCTION | NONE),
            )
        )
        if isinstance(self.says, str):
            refuse_braces(self.says, "amount")

    def of(self, who: Who) -> Self:
        """The same change of another part: `who(job, subject)` returns it, or None where the change does not apply."""
        refuse_unfit("of()", who, FUNCTION)
        return replace(self, who=who)

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        part = changed_part(job, subject, self.who)
        if part is None:
            return
        amount, most = self._amounts(job, part)
        like, path = like_of(job, part, self.field), part.path_of(self.field)
        parts = (part, like) if like is not None and like.path == part.path else (part,)

        def cure(steps: int) -> Cure:
            text = self.says if isinstance(self.says, str) else self.says(job, subject)
            return Cure(text, amount(steps), dimension_of(part, self.field), path)

        yield Way(parts, lambda steps: ((path, amount(steps)),), cure, most)

    def _amounts(self, job: Job, part: Part) -> tuple[Callable[[int], float], int]:
        """The amount (SI) after a number of steps, and the largest number of steps."""
        raise NotImplementedError


@dataclass(frozen=True)
class NextSize(_Chosen):
    """Take the next size of a series that makes the check pass, larger or smaller: `series(job)` returns the sizes, SI,
    the smallest first."""

    series: Callable[[Job], Sequence[float]]

    def __post_init__(self) -> None:
        super().__post_init__()
        refuse_unfit("series=", self.series, Kind("a function of the job", callable))

    def _amounts(self, job: Job, part: Part) -> tuple[Callable[[int], float], int]:
        sizes, now = self.series(job), float(getattr(part, self.field))
        smaller, larger = bisect_left(sizes, now), bisect_right(sizes, now)

        def amount(steps: int) -> float:
            if steps == 0:
                return now
            number = larger + steps - 1 if steps > 0 else smaller + steps
            if not 0 <= number < len(sizes):
                raise OutOfReach
            return sizes[number]

        return amount, max(smaller, len(sizes) - larger)


@dataclass(frozen=True)
class SetTo(_Chosen):
    """Set an amount to the value that `recommended(job, part)` returns, SI, rounded to the step of its dimension. For a
    check that already passes well short of the recommended value."""

    recommended: Callable[[Job, Any], float]

    def __post_init__(self) -> None:
        super().__post_init__()
        refuse_unfit("recommended=", self.recommended, FUNCTION)

    def _amounts(self, job: Job, part: Part) -> tuple[Callable[[int], float], int]:
        wanted = self.recommended(job, part)
        steps = nearest(wanted, dimension_of(part, self.field), job.build.units, adds=False)[0]
        chosen = min(steps, key=lambda step: abs(step - wanted))
        return lambda _: chosen, 1


@dataclass(frozen=True)
class Choose(Change):
    """Write one of a few values into a field, the likeliest first: a word, yes or no, a list of places, or an amount in
    SI. The spec need not state the field.

    `options` are the values, or a function of (job, subject) that returns them; `says` are the words, with `{value}`;
    `who` is the part to change where it is not the subject.
    """

    field: str
    options: Sequence[Any] | Callable[[Job, Any], Sequence[Any]]
    _: KW_ONLY
    says: str
    who: Who | None = None

    def __post_init__(self) -> None:
        refuse_any(
            (
                ("Choose for its field", self.field, WORDS),
                ("options=", self.options, Kind("some values, or a function", _are_options)),
                ("says=", self.says, WORDS),
                ("of()", self.who, FUNCTION | NONE),
            )
        )
        refuse_braces(self.says, "value")

    def of(self, who: Who) -> Self:
        """The same change of another part: `who(job, subject)` returns it, or None where the change does not apply."""
        refuse_unfit("of()", who, FUNCTION)
        return replace(self, who=who)

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        part = changed_part(job, subject, self.who)
        if part is None:
            return
        options = list(self.options(job, subject) if callable(self.options) else self.options)
        path, now = part.path_of(self.field), getattr(part, self.field) if part.has(self.field) else None
        values = [value for value in options if value != now]

        def edits(steps: int) -> tuple[tuple[str, Any], ...]:
            if not 1 <= steps <= len(values):
                raise OutOfReach
            return ((path, values[steps - 1]),)

        def cure(steps: int) -> Cure:
            return Cure(self.says.format(value=_in_words(values[steps - 1])))

        if values:
            yield Way((part,), edits, cure, len(values))


def _are_options(value: object) -> bool:
    return callable(value) or (isinstance(value, tuple | list) and bool(value))


def _in_words(value: Any) -> str:
    if isinstance(value, tuple | list):
        return " and ".join(map(str, value))
    return {True: "true", False: "false"}[value] if isinstance(value, bool) else str(value)
