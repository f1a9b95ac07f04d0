"""Builds drawn at random, for hypothesis: sound ones as a tape measures them, and ones that lack this and that."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from copy import deepcopy
from random import Random
from types import MappingProxyType
from typing import Any

from hypothesis import strategies as st

from buildcheck.build import Build, read_build
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.schema import problems_in
from buildcheck.spec.written import mirrored
from buildcheck.testing.specs import SOUND, build_of, changed, document_of, sound_spec

Step = str | int
NO_CHANGE: Mapping[str, Any] = MappingProxyType({})
PLACES = ("frame", "axle", "axle_upper", "axle_lower", "base", "target", "pitman", "arm", "point", "start", "end")


def sound_specs(
    name: str = SOUND, within: float = 0.1, change: Mapping[str, Any] = NO_CHANGE
) -> st.SearchStrategy[dict[str, Any]]:
    """Specs like a sound one, with each point moved by up to `within` along each axis, in the units of the spec.

    A tape is read to about a sixteenth of an inch; a tenth is more than that, and changes no layout. What is written
    once for both sides stays so, or is written out for each. `change` is made to the sound one first, as a sample's is.
    """
    start = changed(sound_spec(name), change)

    def moved(random: Random) -> dict[str, Any]:
        spec = deepcopy(start)
        for holder, key in list(_points(spec)):
            # Rounded, since a spec refuses a number that is all but zero, such as 5e-324.
            holder[key] = [round(number + random.uniform(-within, within), 6) for number in holder[key]]
        return _written_out(spec) if random.random() < 0.5 else spec

    return _randoms().map(moved)


def partial_specs(
    name: str = SOUND, most: int = 6, change: Mapping[str, Any] = NO_CHANGE
) -> st.SearchStrategy[dict[str, Any]]:
    """Specs like a sound one that lack up to `most` of its sections, parts and values, and are still valid.

    This is what a spec is like while a job is planned; a rule then says what it could not check. `change` is made to
    the sound one first.
    """
    start = changed(sound_spec(name), change)

    def lacking(random: Random) -> dict[str, Any]:
        spec = deepcopy(start)
        taken = random.sample(list(_keys(spec)), random.randint(1, most))
        together = _without(spec, taken)
        if _is_valid(together):  # mostly; each look takes its time
            return together
        for keys in taken:
            without = _without(spec, [keys])
            spec = without if _is_valid(without) else spec
        return spec

    return _randoms().map(lacking)


def _without(spec: dict[str, Any], paths: Iterable[tuple[Step, ...]]) -> dict[str, Any]:
    spec = deepcopy(spec)
    for *steps, last in paths:
        holder: Any = spec
        for step in steps:
            holder = holder.get(step, {})
        holder.pop(last, None)
    return spec


def _is_valid(spec: dict[str, Any]) -> bool:
    return not problems_in(document_of(spec))


def builds(
    name: str = SOUND, *, change: Mapping[str, Any] = NO_CHANGE, additions: Additions = NOTHING_ADDED
) -> st.SearchStrategy[Build]:
    """Builds of both: as a tape measures them, and with something left out.

    `change` is made to each first, as a sample's is: so they state the shop's own fields. `additions` are the names
    that plugins add to a spec.
    """

    def read(spec: dict[str, Any]) -> Build:
        return read_build(document_of(spec).data, additions)

    measured = sound_specs(name, change=change).map(lambda spec: build_of(spec, additions))
    return st.one_of(measured, partial_specs(name, change=change).map(read))


def _randoms() -> st.SearchStrategy[Random]:
    return st.randoms(use_true_random=False)


def _keys(data: Any, path: tuple[Step, ...] = ()) -> Iterator[tuple[Step, ...]]:
    for key, value in data.items() if isinstance(data, dict) else ():
        yield (*path, key)
        yield from _keys(value, (*path, key))


def _points(data: Any) -> Iterator[tuple[dict[str, Any], str]]:
    """Every point that is written in bare numbers, as the group that holds it and its key."""
    if isinstance(data, list):
        for item in data:
            yield from _points(item)
    for key, value in data.items() if isinstance(data, dict) else ():
        if key in PLACES and _is_bare_point(value):
            yield data, key
        else:
            yield from _points(value)


def _is_bare_point(value: Any) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 3
        and all(isinstance(number, int | float) and math.isfinite(number) for number in value)
    )


def _written_out(data: Any) -> Any:
    """With `left` and `right` for every `both`."""
    if isinstance(data, list):
        return [_written_out(item) for item in data]
    if not isinstance(data, dict):
        return data
    written = {key: _written_out(value) for key, value in data.items()}
    if "both" in written:
        left = written.pop("both")
        written |= {"left": left, "right": mirrored(left)}
    return written
