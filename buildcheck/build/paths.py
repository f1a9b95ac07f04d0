"""Spec paths that a build can have, so that no message points to a place that no spec can contain."""

from __future__ import annotations

from functools import lru_cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from buildcheck.build.build import Build
from buildcheck.build.part import Part, Point, Side, Sides, Vector, fields
from buildcheck.spec.names import no_such
from buildcheck.spec.place import join, split

SIDES = (*(side.value for side in Side), "both")


def refuse_path(path: str) -> None:
    """Raise ValueError for a spec path that no build can have, with the nearest name of the step that is wrong.

    What is below `shop` is a plugin's own, and any path there will do.
    """
    kind_of(path)


@lru_cache(maxsize=4096)  # every reading of every build asks for its place
def kind_of(path: str) -> Any:
    """The kind that the classes of a build declare at a spec path; Any where that may be anything. Raises ValueError as
    `refuse_path` does."""
    kind: Any = Build
    at = ""
    for step in split(path):
        kind = _below(kind, step, at)
        at = join(at, step)
    return kind


def _below(kind: Any, step: str | int, at: str) -> Any:
    """The kind that a step leads to from another kind; Any where that may be anything."""
    origin, inner = get_origin(kind), get_args(kind)
    if kind is Any or origin in (Union, UnionType):
        return Any
    if isinstance(kind, type) and issubclass(kind, Part):
        if step == "shop" and kind is Build:
            return Any
        known = fields(kind)
        if step not in known:
            what = f"field of {at}" if at else "section"
            raise ValueError(no_such(what, str(step), known))
        return known[step]
    if kind in (Point, Vector):
        return _one_of(("x", "y", "z"), float, step, at)
    if origin is Sides:
        return _one_of(SIDES, inner[0], step, at)
    if origin is dict and isinstance(step, str):
        return inner[1]
    if origin is tuple:
        # One of a kind may be written without its list.
        return inner[0] if isinstance(step, int) else _below(inner[0], step, at)
    if origin is Annotated or kind in (str, int, float, bool) or isinstance(kind, type):
        raise ValueError(f"{at} is a value, and has nothing at {step!r} below it")
    return Any


def _one_of(known: tuple[str, ...], leads_to: Any, step: str | int, at: str) -> Any:
    if step not in known:
        raise ValueError(no_such(f"step below {at}", str(step), known))
    return leads_to
