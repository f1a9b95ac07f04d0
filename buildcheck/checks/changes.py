"""Changes: the inputs that a builder can change to bring a check inside its limit.

A check lists its changes in the order in which a builder would think of them, and the list ends in `Words`. A change
says which input it edits and in what steps; the engine finds the amount by evaluating the check on changed builds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import KW_ONLY, dataclass, field, replace
from functools import partial
from numbers import Real
from typing import Any, ClassVar, NamedTuple, Self

from buildcheck.build import Missing, Part, Point, Side
from buildcheck.build.part import fields, words
from buildcheck.checks.limit import has_unit
from buildcheck.checks.may_move import Moves
from buildcheck.checks.subjects import index, key_of, same_on
from buildcheck.job import Cure, Job, Unreached
from buildcheck.job.cure import Edit, along, is_mirrored
from buildcheck.job.steps import nearest, zero
from buildcheck.job.subjects import Pair
from buildcheck.spec.arguments import FUNCTION, NONE, TEXT, TRUE_OR_FALSE, WORDS, Kind, refuse_any, refuse_unfit
from buildcheck.spec.guard import Unusable, plain_text
from buildcheck.spec.quantity import Dimension, parse

INCH = 0.0254

# How far an input may be changed: a point or a length, m, and an angle, rad; other amounts by up to four times what
# they are. Common practice, no source.
REACHES = {Dimension.LENGTH: 6 * INCH, Dimension.ANGLE: math.radians(30)}
TIMES = 4.0

# A smaller difference does not show on a tape, m. Common practice, no source.
SHOWS_ON_A_TAPE = 1e-4

# An amount this near to a multiple of its step, as a share of the step, is that multiple.
SAME = 1e-6

WAYS = {"x": ("forward", "rearward"), "y": ("to the left", "to the right"), "z": ("up", "down")}

# The trade's names of points, where they differ from the field's name.
POINTS = {"frame": "frame end", "axle": "axle end"}

AXIS = Kind("x, y or z", lambda value: isinstance(value, str) and value in WAYS)
_AMOUNT = Kind("an amount with its unit", lambda value: value == "" or (isinstance(value, str) and has_unit(value)))
_TWO_WORDS = Kind(
    'the words for more and for less, such as ("longer", "shorter")',
    lambda value: isinstance(value, tuple | list) and len(value) == 2 and all(map(WORDS.fits, value)),
)

Value = tuple[str, Any]
Who = Callable[[Job, Any], Part | None]


class OutOfReach(Exception):
    """A change gives an amount that no part is made in."""


class Way(NamedTuple):
    """One input that the search can change in steps.

    `parts` are the parts that are edited together (left and right, while they are mirror images). `cure(steps)` is the
    change as shown to the builder, `edits(steps)` the values that it writes, `most` the largest number of steps.
    """

    parts: tuple[Part, ...]
    edits: Callable[[int], tuple[Value, ...]]
    cure: Callable[[int], Cure]
    most: int


class Change:
    """One entry of a check's list of changes. `is_slip` marks a correction of a typing error in the spec, which leaves
    the truck as it is."""

    is_slip: ClassVar[bool] = False

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        """The inputs to search for a subject. Raises Missing where the spec does not state one."""
        raise NotImplementedError


@dataclass(frozen=True)
class Words(Change):
    """Advice where no input of the spec can be changed by an amount; `text` is a sentence, or a function of
    (job, subject). `{amount}` in it is the amount by which the value is outside its limit."""

    text: str | Callable[[Job, Any], str]

    def __post_init__(self) -> None:
        refuse_unfit("Words", self.text, WORDS | FUNCTION)
        if isinstance(self.text, str):
            refuse_braces(self.text, "amount")

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        return iter(())

    def cure(self, job: Job, subject: Any) -> Cure:
        return plain_cure(Cure(self.text if isinstance(self.text, str) else self.text(job, subject)))


@dataclass(frozen=True)
class _InSteps(Change):
    """A change of one field in steps.

    `who` is the part to change where it is not the subject; `alone` changes one side only; `says` replaces the words,
    with `{part}`, `{amount}` and `{way}`; `least` and `most` are the smallest and the largest value in use, with units;
    `ways_called` are the words for more and for less.
    """

    field: str
    _: KW_ONLY  # `Move("frame", "z")` names the axis, not the words
    says: str = ""
    who: Who | None = None
    alone: bool = False
    most: str = ""
    least: str = ""
    ways_called: tuple[str, str] = ("longer", "shorter")

    def __post_init__(self) -> None:
        refuse_any(
            (
                (f"{type(self).__name__} for its field", self.field, WORDS),
                ("says=", self.says, TEXT),
                ("of()", self.who, FUNCTION | NONE),
                ("alone=", self.alone, TRUE_OR_FALSE),
                ("most=", self.most, _AMOUNT),
                ("least=", self.least, _AMOUNT),
                ("ways_called=", self.ways_called, _TWO_WORDS),
            )
        )
        refuse_braces(self.says, "part", "amount", "way", "field", "point")

    def of(self, who: Who) -> Self:
        """The same change of another part: `who(job, subject)` returns it, or None where the change does not apply."""
        refuse_unfit("of()", who, FUNCTION)
        return replace(self, who=who)

    def place(self, job: Job, subject: Any) -> str:
        """The spec path of the edited input; "" where the build has no such part."""
        part = self._part(job, subject)
        return "" if part is None else part.path_of(self.field)

    def _part(self, job: Job, subject: Any) -> Part | None:
        return changed_part(job, subject, self.who)

    def _stepped(self, job: Job, part: Part, says: str, *, by_difference: bool) -> Way:
        """The field changed in steps of its dimension, shown as a difference or as the new value.

        A new value lies on the grid of its steps: a torque becomes 85 lb-ft, never 83.7 lb-ft.
        """
        parts, dimension = self._parts(job, part), dimension_of(part, self.field)
        step, paths, start = step_of(job, dimension), _paths(parts, self.field), float(getattr(part, self.field))
        moves = Moves(job.build)
        # Never beyond what the spec may state there: a rating below zero would pass some checks.
        lowest, highest = (
            _bound(bound, dimension, job) for bound in (part.SAID[self.field].between or (-math.inf, math.inf))
        )
        lowest = max(lowest, parse(self.least, dimension, job.build.units)) if self.least else lowest
        highest = min(highest, parse(self.most, dimension, job.build.units)) if self.most else highest
        # Steps are counted from the multiples on either side of the start, so that none is skipped.
        origin = start if by_difference else zero(dimension, job.build.units)
        below, above = math.floor((start - origin) / step + SAME), math.ceil((start - origin) / step - SAME)

        def value(steps: int) -> float:
            return start if steps == 0 else origin + ((below if steps > 0 else above) + steps) * step

        def edits(steps: int) -> tuple[Value, ...]:
            made = tuple((path, value(steps)) for path in paths)
            if not lowest <= value(steps) <= highest or not moves.allows(made):
                raise OutOfReach
            return made

        def cure(steps: int) -> Cure:
            change = value(steps) - start
            way = self.ways_called[change < 0]
            text = says.format(field=words(self.field), part=_label(parts), way=way, amount="{amount}")
            if by_difference:
                return Cure(text, abs(change), dimension, paths[0], change, tuple(paths[1:]))
            makes = tuple(Edit(path, adds=False) for path in paths)
            return Cure(text, value(steps), dimension, paths[0], makes=makes if len(paths) > 1 else ())

        return Way(parts, edits, cure, math.floor(REACHES.get(dimension, TIMES * abs(start)) / step))

    def _parts(self, job: Job, part: Part) -> tuple[Part, ...]:
        """The parts that change together, left first, so that both sides ask for the same change."""
        like = None if self.alone else like_of(job, part, self.field)
        return (part,) if like is None else (part, like) if part.side is Side.LEFT else (like, part)


@dataclass(frozen=True)
class Move(_InSteps):
    """Move a point along one axis (`x`, `y` or `z`); left and right together while they are mirror images."""

    axis: str = field(default="z", kw_only=False)

    def __post_init__(self) -> None:
        super().__post_init__()
        refuse_unfit("axis=", self.axis, AXIS)

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        part = self._part(job, subject)
        if part is None:
            return
        if not isinstance(getattr(part, self.field), Point):
            raise TypeError(f"{part.path_of(self.field)} is not a point, so it cannot be moved")
        parts = self._parts(job, part)
        paths, moves = _paths(parts, self.field, self.axis), Moves(job.build)
        step = moves.range_of(paths[0]).step or step_of(job, Dimension.LENGTH)
        # Left and right stated separately move the same way along x and z, and in opposite directions along y.
        signs = [-1.0 if self.axis == "y" and each.side is not parts[0].side else 1.0 for each in _written(parts)]

        def edits(steps: int) -> tuple[Value, ...]:
            values = [job.build.value(path) for path in paths]
            moved = tuple(
                (path, value + sign * steps * step) for path, value, sign in zip(paths, values, signs, strict=True)
            )
            if not moves.allows(moved):
                raise OutOfReach
            return moved

        def cure(steps: int) -> Cure:
            called = POINTS.get(self.field, words(self.field))
            says = self.says or "move the {point} of the {part} {way} {amount}"
            way = WAYS[self.axis][steps < 0]
            if self.axis == "y" and len(parts) > 1:
                way = "outward" if (steps > 0) == (job.build.value(paths[0]) > 0.0) else "inward"
            text = says.format(point=called, part=_label(parts), way=way, amount="{amount}")
            amount = abs(steps) * step
            if len(set(signs)) > 1:
                sign = math.copysign(1.0, steps)
                return Cure(
                    text, amount, Dimension.LENGTH, makes=tuple(map(Edit, paths, (sign * each for each in signs)))
                )
            return Cure(text, amount, Dimension.LENGTH, paths[0], steps * step, tuple(paths[1:]))

        yield Way(parts, edits, cure, math.floor(REACHES[Dimension.LENGTH] / step))


@dataclass(frozen=True)
class Computed(Change):
    """A change that no other class expresses: `function(job, subject)` yields its ways."""

    function: Callable[[Job, Any], Iterator[Way]]

    def __post_init__(self) -> None:
        refuse_unfit("Computed", self.function, FUNCTION)

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        for way in self.function(job, subject):
            yield way._replace(cure=partial(_plain_cure_of, way))


@dataclass(frozen=True)
class Mirror(Change):
    """Move a point of the right part of a pair to the mirror image of the left one's. `pair` and `field` name the pair
    and the point, of the subject or of the object that `who(job, subject)` returns."""

    field: Callable[[Any], str]
    pair: Callable[[Any], Pair[Any]]
    who: Callable[[Job, Any], Any] | None = None

    def __post_init__(self) -> None:
        of_one = Kind("a function of the subject", callable)
        refuse_any((("field=", self.field, of_one), ("pair=", self.pair, of_one), ("of()", self.who, FUNCTION | NONE)))

    def of(self, who: Callable[[Job, Any], Any]) -> Self:
        """The same change of another object: `who(job, subject)` returns it, or None where nothing is to change."""
        refuse_unfit("of()", who, FUNCTION)
        return replace(self, who=who)

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        mount = subject if self.who is None else self.who(job, subject)
        if mount is None:
            return
        field, left, right = self.field(mount), self.pair(mount).left, self.pair(mount).right
        wanted, is_at = getattr(left, field).mirrored(), getattr(right, field)
        off = {axis: getattr(wanted, axis) - getattr(is_at, axis) for axis in "xyz"}
        called = f"the {words(field)} mount of the {right.label}"
        moved = [axis for axis, amount in off.items() if abs(amount) > SHOWS_ON_A_TAPE]
        edits = tuple((right.path_of(field, axis), getattr(wanted, axis)) for axis in moved)

        def cure(_: int) -> Cure:
            if len(moved) == 1:
                amount = off[moved[0]]
                text = f"move {called} {{amount}} {WAYS[moved[0]][amount < 0]}"
                return Cure(text, abs(amount), Dimension.LENGTH, edits[0][0], amount)
            text = f"move {called} by {{amount}} in all, to the mirror image of the one on the left"
            way = along(right.path_of(field), [off[axis] for axis in "xyz"])
            return Cure(text, math.dist(wanted, is_at), Dimension.LENGTH, makes=way)

        if edits:
            yield Way((right,), lambda _: edits, cure, 1)


@dataclass(frozen=True)
class Resize(_InSteps):
    """Make a length longer or shorter; left and right together while they are equal."""

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        part = self._part(job, subject)
        if part is None:
            return
        yield self._stepped(job, part, self.says or "make the {field} of the {part} {amount} {way}", by_difference=True)


@dataclass(frozen=True)
class Set(_InSteps):
    """Set an amount (a force, torque, angle, temperature, count) to a value; `says` holds `{amount}` for it."""

    def ways(self, job: Job, subject: Any) -> Iterator[Way]:
        part = self._part(job, subject)
        if part is None:
            return
        yield self._stepped(job, part, self.says or "set the {field} of the {part} to {amount}", by_difference=False)


def is_free(change: Change) -> bool:
    """Whether a change moves one number in steps, to any value."""
    return isinstance(change, _InSteps) and not change.least and not change.most


def changed_part(job: Job, subject: Any, who: Who | None) -> Part | None:
    """The part to change: the subject, or the part that `who(job, subject)` returns; None where the change does not
    apply. Raises Unusable for anything else, which no change can edit."""
    part: object = subject if who is None else who(job, subject)
    if part is None or isinstance(part, Part):
        return part
    if who is None:
        raise Unusable("the subject is not a part of the build; say with of() which part to change")
    raise Unusable(f"of() returned {part!r}; return the part of the build to change, or None where there is none")


def _bound(bound: str | float, dimension: Dimension, job: Job) -> float:
    """One end of a field's range, SI, as its class declares it."""
    return parse(bound, dimension, job.build.units) if isinstance(bound, str) else float(bound)


def _plain_cure_of(way: Way, steps: int) -> Cure:
    return plain_cure(way.cure(steps))


def plain_cure(made: object) -> Cure:
    """A change made by a rule author's code, as plain data. Raises TypeError or ValueError where it is not usable."""
    if not isinstance(made, Cure):
        raise TypeError(f"a change gives {made!r}; it needs a Cure")
    words, amount, dimension, path, change, also, makes = made
    if not all(isinstance(text, str) for text in (words, path, *also, *(edit.path for edit in makes))):
        raise TypeError(f"a change gives {made!r}; its words and its paths need to be texts")
    if not isinstance(dimension, Dimension | None) or (amount is not None and dimension is None):
        raise TypeError(f"a change gives {made!r}; an amount needs its dimension")
    for number in (amount, change):
        if number is not None and (
            isinstance(number, bool) or not isinstance(number, Real) or not math.isfinite(number)
        ):
            raise ValueError(f"a change gives {made!r}; its amounts need to be finite numbers")
    edits = tuple(Edit(plain_text(edit.path), float(edit.share), bool(edit.adds)) for edit in makes)
    amounts = [None if number is None else float(number) for number in (amount, change)]
    return Cure(
        plain_text(words), amounts[0], dimension, plain_text(path), amounts[1], tuple(map(plain_text, also)), edits
    )


def like_of(job: Job, part: Part, field: str) -> Part | None:
    """The part on the other side whose field is the mirror image of this one's, so that both must change together; None
    where there is no such part."""
    twin = twin_of(job, part)
    if twin is None or not twin.has(field) or not is_mirrored(getattr(part, field), getattr(twin, field)):
        return None
    return twin


def twin_of(job: Job, part: Part) -> Part | None:
    """The part of the same name on the other side; None where there is none."""
    other = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}.get(part.side)
    if other is None:
        return None
    wanted = same_on(key_of(part), other)
    return next((held.part for held in index(job).get(type(part), ()) if key_of(held.part) == wanted), None)


def step_of(job: Job, dimension: Dimension) -> float:
    """The step of an amount, SI, in the units of the job's spec. It is the step of a difference, without an offset."""
    return nearest(0.0, dimension, job.build.units, adds=True)[0][-1]


def dimension_of(part: Part, field: str) -> Dimension:
    """The dimension of a part's field. Raises TypeError where the field is not an amount."""
    kind = fields(type(part)).get(field)
    for said in getattr(kind, "__metadata__", ()):
        if isinstance(said, Dimension):
            return said
    if kind is int:
        return Dimension.COUNT
    raise TypeError(f"{part.path_of(field)} is not an amount, so it cannot be set in steps")


def refuse_braces(text: str, *known: str) -> None:
    """Raise ValueError for words with a placeholder that is not known."""
    try:
        text.format(**dict.fromkeys(known, ""))
    except (LookupError, ValueError, AttributeError):
        names = ", ".join(f"{{{name}}}" for name in known)
        raise ValueError(f"the words {text!r} have braces that nothing fills; they may have {names}") from None


def refuse_list(changes: Sequence[Change]) -> None:
    """Raise ValueError for a list of changes that does not end in words: a builder must always get advice."""
    if not changes or not isinstance(changes[-1], Words):
        raise ValueError("a list of changes ends in Words, for builds that no amount can put right")
    if any(isinstance(change, Words) for change in changes[:-1]):
        raise ValueError("only the last change of a list is Words: a change after Words is never tried")


def place_of(changes: Sequence[Change]) -> str | Callable[[Job, Any], str]:
    """The place of the input to change: a field of the subject; or, where the changes are of other parts, a function of
    (job, subject) that returns the place in the first part that the build has."""
    steps = [change for change in changes if isinstance(change, _InSteps)]
    if not steps:
        return ""
    if steps[0].who is None:
        return steps[0].field

    def place(job: Job, subject: Any) -> str:
        for change in steps:
            # The value is known even where the part is not. A change that fails is reported where the search tries it.
            with suppress(Missing, Unreached, Unusable):
                if found := change.place(job, subject):
                    return found
        return str(subject.path)

    return place


def _written(parts: tuple[Part, ...]) -> list[Part]:
    """The parts with a place of their own in the spec; only one of two that are written under `both`."""
    return list({part.path: part for part in reversed(parts)}.values())[::-1]


def _paths(parts: tuple[Part, ...], *names: str) -> list[str]:
    return [part.path_of(*names) for part in _written(parts)]


def _label(parts: tuple[Part, ...]) -> str:
    first = parts[0]
    return first.label if len(parts) == 1 else first.label.replace(first.side, "left and right", 1)
