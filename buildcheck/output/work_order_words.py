"""The lines of a work order in words, in the units of the shop."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from buildcheck.build import Part, Point, Vector
from buildcheck.build.part import words as in_words
from buildcheck.checks.changes import POINTS, WAYS
from buildcheck.checks.work_order import Alternative, Line, Named, ValueChange
from buildcheck.job import Cure
from buildcheck.output.outcome import Spec
from buildcheck.output.words import cure_amount, cure_change, printable
from buildcheck.spec.place import split
from buildcheck.spec.quantity import Dimension, System, show

# How the words of a slip start that are a sentence of their own.
_SENTENCES = ("exchange ", "change ")


def line(spec: Spec, line: Line) -> str:
    """The change in words: `move the frame end of the left and right arm down 3/16 in`."""
    return changes(spec, line.changes, line.slip)


def alternative(spec: Spec, other: Alternative) -> str:
    """The other changes that would do, in the same words."""
    return changes(spec, other.changes, other.slip)


def changes(spec: Spec, made: Sequence[ValueChange], slip: str) -> str:
    """Some changes of values that belong together, in words."""
    first = made[0]
    alike: dict[str, list[ValueChange]] = {}
    for change in made:
        steps = ("both" if step in ("left", "right") else step for step in change.path.split("."))
        alike.setdefault(".".join(steps), []).append(change)
    if not slip and len(alike) > 1:
        return "; ".join(changes(spec, each, "") for each in alike.values())
    if slip:
        if slip.startswith(_SENTENCES):
            return printable(slip)
        single = f" as {value(spec, first.becomes, first.dimension)}" if len(made) == 1 else ""
        return printable(f"write {' and '.join(_points(made))}{single}: {slip}")
    part, field, axis = _held_by(spec, first.path)
    label = _label(spec, made, part)
    if axis and first.by is not None:
        point = POINTS.get(field, in_words(field))
        same = all(change.path.endswith(f".{axis}") for change in made)
        if same:
            way = WAYS[axis][first.by < 0]
            if axis == "y" and "left and right" in label:
                way = "outward" if (first.by > 0) == (first.was > 0) else "inward"
            return printable(f"move the {point} of the {label} {way} {_amount(spec, abs(first.by), Dimension.LENGTH)}")
    name = in_words(field)
    if first.dimension is Dimension.LENGTH and first.by is not None:
        way = "longer" if first.by > 0 else "shorter"
        if not field.endswith("length"):
            way = "larger" if first.by > 0 else "smaller"
        return printable(f"make the {name} of the {label} {_amount(spec, abs(first.by), Dimension.LENGTH)} {way}")
    becomes = value(spec, first.becomes, first.dimension)
    if first.dimension is None:
        return printable(f"write {field}: {becomes} for the {label}")
    return printable(f"set the {name} of the {label} to {becomes}")


def values(spec: Spec, made: Sequence[ValueChange]) -> list[str]:
    """Each value that is written: `links.arm.both.frame.z from 19.700 in to 19.5125 in`."""
    return [
        printable(
            f"{change.path} {f'from {value(spec, change.was, change.dimension)} ' if change.was is not None else ''}"
            f"to {value(spec, change.becomes, change.dimension)}{_by(spec, change)}"
        )
        for change in made
    ]


def mended(named: Named) -> str:
    """A reading by name: `slope-at-ride of the left arm`."""
    of = f", {named.of}" if named.of and named.of not in named.subject else ""
    return printable(f"{named.quantity or named.rule} of the {named.subject}{of}")


def value(spec: Spec, what: Any, dimension: Dimension | None) -> str:
    """A value of a spec in the units of the shop, exactly."""
    if what is None:
        return "not stated"
    if isinstance(what, bool):
        return "true" if what else "false"
    if isinstance(what, tuple) and not isinstance(what, Point | Vector):
        return printable(", ".join(map(str, what)))
    if dimension is None or isinstance(what, str):
        return printable(str(what))
    if isinstance(what, Point | Vector):
        return ", ".join(show(each, Dimension.LENGTH, spec.build.units) for each in what)
    return _exact(spec.build.units, float(what), dimension)


def _exact(system: System, what: float, dimension: Dimension) -> str:
    for digits in range(5):
        text = show(what, dimension, system, digits=digits)
        if show(what, dimension, system, digits=6).split(" ")[0].rstrip("0").rstrip(".") == text.split(" ")[0].rstrip(
            "0"
        ).rstrip("."):
            return text
    return show(what, dimension, system)


def _by(spec: Spec, change: ValueChange) -> str:
    if change.by is None or change.dimension is None or change.dimension is Dimension.TEMPERATURE:
        return ""
    text = cure_change(Cure("", abs(change.by), change.dimension, change.path, change.by), spec.build.units)
    return f" ({text})" if text else ""


def _amount(spec: Spec, amount: float, dimension: Dimension) -> str:
    return cure_amount(Cure("{amount}", amount, dimension, "a", amount), spec.build.units)


def _held_by(spec: Spec, path: str) -> tuple[Part, str, str]:
    """The part that holds a value, the name of the field there, and the coordinate of a point or a direction."""
    steps = [str(step) for step in split(path)]
    above, _, last = path.rpartition(".")
    if last in ("x", "y", "z") and len(steps) > 1:
        higher, _, field = above.rpartition(".")
        holder = spec.build.value(higher) if higher else spec.build
        if isinstance(holder, Part):
            return holder, field, last
    holder = spec.build.value(above) if above else spec.build
    assert isinstance(holder, Part)
    return holder, last, ""


def _points(made: Sequence[ValueChange]) -> list[str]:
    """The paths that are written; of several coordinates of one point only that of the point."""
    points = [change.path.removesuffix(change.path[-2:]) for change in made if change.path[-2:] in (".x", ".y", ".z")]
    return list(
        dict.fromkeys(
            change.path[:-2]
            if change.path[-2:] in (".x", ".y", ".z") and points.count(change.path[:-2]) > 1
            else change.path
            for change in made
        )
    )


def _label(spec: Spec, made: Sequence[ValueChange], part: Part) -> str:
    if len(made) > 1 and part.side in ("left", "right") and part.own_path_of() == part.path:
        return part.label.replace(part.side, "left and right", 1)
    return part.as_written or "vehicle"


__all__ = ["alternative", "changes", "line", "mended", "value", "values"]
