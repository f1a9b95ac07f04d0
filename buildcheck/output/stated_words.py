"""The values that a spec states, by their paths, in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import get_origin

from buildcheck.build import Sides
from buildcheck.build.paths import kind_of
from buildcheck.output import words
from buildcheck.shop.standing import Change
from buildcheck.shop.stated import Value
from buildcheck.spec.place import join, split
from buildcheck.spec.quantity import Dimension, System


def amount(path: str, value: Value | None, system: System) -> str:
    """A value as the shop writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, float):
        return str(value)
    dimension = dimension_at(path)
    return f"{value:g}" if dimension is None else words.limit_amount(value, dimension, system)


def dimension_at(path: str) -> Dimension | None:
    """The dimension of the amount at a spec path; None for anything else."""
    try:
        kind = kind_of(path)
    except ValueError:
        return None
    if kind is float and path.endswith((".x", ".y", ".z")):
        return Dimension.LENGTH
    found = getattr(kind, "__metadata__", ())
    return next((each for each in found if isinstance(each, Dimension)), None)


def as_pair(path: str) -> str:
    """A spec path with `both` for the side of a part that a spec may write once for both."""
    at = ""
    for step in split(path):
        if step in ("left", "right") and at and get_origin(kind_of(at)) is Sides:
            return path.replace(join(at, step), join(at, "both"), 1)
        at = join(at, step)
    return path


def on_both_sides(changed: Iterable[Change]) -> Iterator[tuple[str, Change]]:
    """Changes by path; where the left and the right of a pair changed alike, once under `both`, as the left one."""
    by_pair: dict[str, list[Change]] = {}
    for change in changed:
        by_pair.setdefault(_pair_or_path(change.path), []).append(change)
    for pair, of in by_pair.items():
        if len(of) == 2 and _alike(pair, *of):
            yield pair, of[0]
        else:
            yield from ((change.path, change) for change in of)


def _pair_or_path(path: str) -> str:
    try:
        return as_pair(path)
    except ValueError:  # below `shop`, where a path may be anything
        return path


def _alike(pair: str, left: Change, right: Change) -> bool:
    """Whether two changes are the same, or mirror images of each other."""
    mirrored = right
    if pair.endswith(".y"):
        mirrored = right._replace(then=_negative(right.then), now=_negative(right.now))
    return left.then == mirrored.then and left.now == mirrored.now


def _negative(value: Value | None) -> Value | None:
    return -value if isinstance(value, float) else value
