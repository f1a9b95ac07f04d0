"""Corrections of typing errors: changes of the spec that leave the truck as it is.

Each undoes one likely typing error, and the engine tries it: it is shown where the check is then ok and nothing else of
the rule gets worse.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, ClassVar

from buildcheck.build import Part, Point
from buildcheck.checks.changes import AXIS, Change, Value, Way, dimension_of, twin_of
from buildcheck.job import Cure, Job
from buildcheck.spec.arguments import FUNCTION, NONE, WORDS, Kind, refuse_any, refuse_unfit
from buildcheck.spec.units import UNITS

# A field of the subject, or a spec path, or several, computed for a job and a subject.
Field = str | Callable[[Job, Any], str]
Fields = str | Callable[[Job, Any], Iterable[str]]


_FIELD = WORDS | FUNCTION
_TWO_UNITS = Kind(
    'two units of one dimension, such as ("kg", "lb")',
    lambda value: (
        isinstance(value, tuple | list)
        and len(value) == 2
        and any({unit.name for unit in units} >= set(value) for units in UNITS.values())
    ),
)


@dataclass(frozen=True)
class Slip(Change):
    """A correction of a typing error in the spec."""

    is_slip: ClassVar[bool] = True


@dataclass(frozen=True)
class TurnSign(Slip):
    """Change the sign of one coordinate (`x`, `y` or `z`) of a point or a direction, or of several at once."""

    fields: Fields
    axis: str

    def __post_init__(self) -> None:
        refuse_any((("TurnSign for its fields", self.fields, _FIELD), ("axis=", self.axis, AXIS)))

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        fields = self.fields
        paths = [subject.path_of(fields)] if isinstance(fields, str) else list(fields(job, subject))
        if paths:
            turned = [f"{path}.{self.axis}" for path in paths]
            edits = tuple((path, -job.build.value(path)) for path in turned)
            yield _one_way((), edits, f"change the sign of {self.axis} of {' and '.join(paths)}")


@dataclass(frozen=True)
class SwapEnds(Slip):
    """Exchange the values at two places of the spec.

    A check that only compares the two ends is always ok afterwards. It gives `where(job, subject)`, which says whether
    something else confirms that the two are swapped.
    """

    one: Field
    other: Field
    where: Callable[[Job, Any], bool] | None = None

    def __post_init__(self) -> None:
        refuse_any(
            (
                ("SwapEnds", self.one, _FIELD),
                ("SwapEnds", self.other, _FIELD),
                ("where=", self.where, FUNCTION | NONE),
            )
        )

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        if self.where is not None and not self.where(job, subject):
            return
        one, other = (
            subject.path_of(end) if isinstance(end, str) else end(job, subject) for end in (self.one, self.other)
        )
        edits = ((one, job.build.value(other)), (other, job.build.value(one)))
        yield _one_way((), edits, f"exchange {one} and {other}")


@dataclass(frozen=True)
class SwapSides(Slip):
    """Exchange the points of the left and the right part of a pair stated separately. `part(subject)` is one of the
    two."""

    part: Callable[[Any], Part]

    def __post_init__(self) -> None:
        refuse_unfit("SwapSides", self.part, Kind("a function of the subject", callable))

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        part = self.part(subject)
        twin = twin_of(job, part)
        if twin is None or twin.path == part.path:
            return
        one, other = sorted((part, twin), key=lambda each: each.path)  # so that both sides ask for the same
        edits: list[Value] = []
        for name, point in one.given().items():
            if isinstance(point, Point):
                edits += [(one.path_of(name), getattr(other, name)), (other.path_of(name), point)]
        yield _one_way((one, other), tuple(edits), f"exchange the points of {one.path} and {other.path}")


@dataclass(frozen=True)
class ReadAs(Slip):
    """Read the number of a field in the other of two units that are often confused, such as pounds written as kilograms
    or the reverse. `says` are the words, since more than one number may be the wrong one."""

    field: str
    units: tuple[str, str]
    says: str

    def __post_init__(self) -> None:
        refuse_any(
            (
                ("ReadAs for its field", self.field, WORDS),
                ("units=", self.units, _TWO_UNITS),
                ("says=", self.says, WORDS),
            )
        )

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        path, amount = subject.path_of(self.field), getattr(subject, self.field)
        known = {unit.name: unit for unit in UNITS[dimension_of(subject, self.field)]}
        for written, meant in (self.units, self.units[::-1]):
            number = amount / known[written].factor - known[written].offset
            value = float((number + known[meant].offset) * known[meant].factor)
            yield _one_way((), ((path, value),), self.says)


def _one_way(parts: tuple[Part, ...], edits: tuple[Value, ...], words: str) -> Way:
    """The one way of a correction. `parts` are the parts on both sides that must be ok afterwards."""
    return Way(parts, lambda _: edits, lambda _: Cure(words), 1)
