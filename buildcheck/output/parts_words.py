"""The parts list in words: left and right as one where they are the same but for the side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from buildcheck.build import Side
from buildcheck.job.parts_list import Fact, ListedPart, PartsList, Piece, Span
from buildcheck.output import words
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension, System, show_fraction


class Row(NamedTuple):
    """One part, or a pair that is the same on both sides: its name, how many there are, and the parts."""

    name: str
    number: int
    parts: tuple[ListedPart, ...]

    @property
    def part(self) -> ListedPart:
        """The part; of a pair the left one."""
        return self.parts[0]


def rows(listed: PartsList) -> tuple[Row, ...]:
    """The parts of a list; a pair that is the same on both sides is one row."""
    found: list[Row] = []
    at: dict[object, int] = {}
    for part in listed.parts:
        first = at.get(_content(part))
        if first is None or part.side is not Side.RIGHT or found[first].number > 1:
            at[_content(part)] = len(found)
            found.append(Row(printable(part.label), 1, (part,)))
            continue
        name = printable(found[first].part.label.replace("left", "left and right", 1))
        found[first] = Row(name, 2, (*found[first].parts, part))
    return tuple(found)


def _content(part: ListedPart) -> object:
    """Name of a part without its side."""
    pieces = (
        (piece.name, piece.stated, tuple((fact.name, fact.value) for fact in piece.facts)) for piece in part.pieces
    )
    return (
        part.kind,
        part.label.removeprefix(f"{part.side.value} "),
        tuple((span.name, None if span.value is None else round(span.value, 9), span.why) for span in part.spans),
        tuple((fact.name, fact.value) for fact in part.facts),
        tuple(pieces),
    )


def length(value: float, system: System) -> str:
    """A length as computed and, in inches, as a tape shows it: `37.127 in (37 1/8 in)`."""
    exact = words.amount(value, Dimension.LENGTH, system)
    return exact if system is System.METRIC else f"{exact} ({show_fraction(value, system)})"


def span(one: Span, system: System) -> str:
    """A length with its two ends, or why it is not known."""
    if one.value is None:
        return printable(f"{one.name}: not known; {one.why}")
    return f"{one.name}: {length(one.value, system)}"


def value(one: Fact, system: System) -> str:
    """The value that the spec states under one field: `0.438 in`, `3/4-10`, `yes`; "" where it does not."""
    if one.value is None:
        return ""
    if isinstance(one.value, bool):
        return "yes" if one.value else "no"
    if one.dimension is not None:
        assert isinstance(one.value, float)
        return words.limit_amount(one.value, one.dimension, system)
    return printable(str(one.value))


def fact(one: Fact, system: System) -> str:
    """The same in a list: `wall 0.438 in`, `3/4-10`, `gas charged`."""
    shown = value(one, system)
    if isinstance(one.value, bool):
        return one.name if one.value else f"not {one.name}"
    return f"{one.name} {shown}" if one.dimension is not None and shown else shown


def facts(every: Iterable[Fact], system: System) -> str:
    """Everything that is stated, in one line."""
    return ", ".join(said for each in every if (said := fact(each, system)))


def pieces(part: ListedPart, system: System) -> Iterator[tuple[str, str]]:
    """The pieces of a part, each by name with what is stated of it; a joint with its bolt."""
    for at, each in enumerate(part.pieces):
        if each.kind == "bolt":
            continue
        said = _piece(each, system)
        bolt = part.pieces[at + 1] if at + 1 < len(part.pieces) and part.pieces[at + 1].kind == "bolt" else None
        yield each.name, said if bolt is None else f"{said}; bolt {_piece(bolt, system)}"


def _piece(one: Piece, system: System) -> str:
    return facts(one.facts, system) if one.stated else "not in the spec"


def not_stated(part: ListedPart) -> str:
    """The fields that the spec does not state of a part, by their keys: `joints.frame.bolt: torque, locked_by`."""
    above: dict[str, list[str]] = {}
    for path in part.unknown:
        within = path.removeprefix(f"{part.path}.")
        holder, _, key = within.rpartition(".")
        above.setdefault(holder, []).append(key)
    return printable(
        "; ".join(f"{holder}: {', '.join(keys)}" if holder else ", ".join(keys) for holder, keys in above.items())
    )
