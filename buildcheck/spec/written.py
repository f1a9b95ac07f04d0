"""Change the plain data of a spec, as its file would hold it; the original data are not modified."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from numbers import Integral, Real
from typing import Any

from buildcheck.spec.names import nearest
from buildcheck.spec.place import split

_AXES = ("x", "y", "z")


class _Removed:
    """Marks a key or an item that is taken out."""

    def __repr__(self) -> str:
        return "REMOVED"


REMOVED = _Removed()


def with_written(data: Any, path: str, value: Any) -> Any:
    """Return the data with another value at a spec path; unchanged parts are shared with the original.

    All steps of a path except the last must exist, except under `shop`; the last may be new. A step into `left` or
    `right` of a part written under `both` first splits it, the right as the mirror image of the left. The last step may
    be the `x`, `y` or `z` of a point, or the index one past the last item of a list. `REMOVED` as the value takes a key
    or an item out. Raises LookupError, naming the path and the nearest key, where a step does not exist, and ValueError
    for a text that is not a spec path.
    """
    steps = split(path)
    if not steps:
        raise LookupError("an empty path names nothing that could be changed")
    return _with_written(data, steps, value, path, in_shop=steps[0] == "shop")


def _with_written(held: Any, steps: list[str | int], value: Any, path: str, *, in_shop: bool) -> Any:
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    if isinstance(held, list):
        at = _AXES.index(str(step)) if step in _AXES and len(held) == len(_AXES) and not rest else step
        last = len(held) - (value is REMOVED or bool(rest))  # one past the end appends
        if not isinstance(at, int) or at > last or (value is REMOVED and at != step):
            raise _not_there(path, step, ())
        inner = () if value is REMOVED and not rest else (_inner(held[at : at + 1], rest, value, path, in_shop),)
        return [*held[:at], *inner, *held[at + 1 :]]
    if step == 0 and (rest or value is not REMOVED):  # a single item may be written without its list
        return _with_written(held, rest, value, path, in_shop=in_shop)
    if not isinstance(held, dict) or isinstance(step, int):
        raise _not_there(path, step, ())
    if step in ("left", "right") and "both" in held:
        left = held["both"]
        held = {key: each for key, each in held.items() if key != "both"} | {"left": left, "right": mirrored(left)}
    if step not in held and ((rest and not in_shop) or value is REMOVED):
        raise _not_there(path, step, held)
    if value is REMOVED and not rest:
        return {key: each for key, each in held.items() if key != step}
    there = [held[step]] if step in held else [{}] if rest else []
    return {**held, step: _inner(there, rest, value, path, in_shop)}


def _inner(there: list[Any], rest: list[str | int], value: Any, path: str, in_shop: bool) -> Any:
    return _with_written(there[0], rest, value, path, in_shop=in_shop) if rest else value


def _not_there(path: str, step: str | int, known: Iterable[str]) -> LookupError:
    near = nearest(str(step), known)
    meant = f"; did you mean {near!r}?" if near else ""
    return LookupError(f"the spec has no {path}: {step!r} is not there{meant}")


def stated_at(data: Any, path: str) -> Any:
    """The value as written at a spec path, `x`, `y` or `z` of a point included; for one side of a part under `both`,
    what is written there. None where the data has nothing there."""
    held = data
    for step in split(path):
        if isinstance(held, dict):
            side = "both" if step in ("left", "right") and step not in held else step
            held = held.get(side)
        elif isinstance(held, list):
            at = _AXES.index(str(step)) if step in _AXES else step
            held = held[at] if isinstance(at, int) and at < len(held) else None
        else:
            return None
    return held


def plain(value: Any) -> Any:
    """Copy a value in the classes that a file gives: a tuple as a list, any whole or real number as int or float.

    Raises ValueError for a number that is not finite, for a key that is not text, and for a value of any other class.
    """
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str.__str__(value)
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        number = float(value)
        if not math.isfinite(number):
            raise ValueError(f"a spec cannot hold {number}; give a finite number")
        return number
    if isinstance(value, Mapping) and all(isinstance(key, str) for key in value):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    raise ValueError(f"a spec cannot hold {type(value).__name__}; give a number, text, a list or a mapping")


def mirrored(data: Any) -> Any:
    """Mirror the data of one side for the other: y of every point and direction negated."""
    if isinstance(data, dict):
        return {key: mirrored(value) for key, value in data.items()}
    if isinstance(data, list):
        if len(data) == 3 and all(_is_number(item) for item in data):
            x, y, z = data
            return [x, _negative(y), z]
        return [mirrored(item) for item in data]
    return data


def _is_number(written: Any) -> bool:
    return isinstance(written, int | float) or (isinstance(written, str) and written[:1] in "-.0123456789")


def _negative(written: Any) -> Any:
    if not isinstance(written, str):
        return -written
    return written[1:] if written.startswith("-") else f"-{written}"
