"""Random builds for hypothesis: sound ones within the accuracy of a tape, and ones with missing data."""

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
from buildcheck.spec.written import mirrored
from buildcheck.testing.specs import SOUND, as_in_a_file, build_of, changed, is_valid, sound_spec

Step = str | int
NO_CHANGE: Mapping[str, Any] = MappingProxyType({})
PLACES = ("frame", "axle", "axle_upper", "axle_lower", "base", "target", "pitman", "arm", "point", "start", "end")


def sound_specs(
    name: str = SOUND, within: float = 0.1, change: Mapping[str, Any] = NO_CHANGE
) -> st.SearchStrategy[dict[str, Any]]:
    """Sound specs with each point moved by up to `within` along each axis, in the units of the spec.

    A tape is read to about a sixteenth of an inch; a tenth is more than that, and changes no layout. Parts under `both`
    stay there or are written out for each side. `change` is made to the sound spec first, like the change of a sample.
    """
    start = changed(sound_spec(name), change)

    def moved(random: Random) -> dict[str, Any]:
        spec = deepcopy(start)
        for holder, key in list(_points(spec)):
            # Rounded, since a spec refuses a number as small as 5e-324.
            holder[key] = [round(number + random.uniform(-within, within), 6) for number in holder[key]]
        return _written_out(spec) if random.random() < 0.5 else spec

    return _randoms().map(moved)


def partial_specs(
    name: str = SOUND, most: int = 6, change: Mapping[str, Any] = NO_CHANGE
) -> st.SearchStrategy[dict[str, Any]]:
    """Sound specs without up to `most` of their sections, parts and values, which are still valid.

    Specs are like this while a job is planned; a rule then reports what it could not check. `change` is made to the
    sound spec first.
    """
    start = changed(sound_spec(name), change)

    def without_some(random: Random) -> dict[str, Any]:
        spec = deepcopy(start)
        taken = random.sample(list(_keys(spec)), random.randint(1, most))
        together = _without(spec, taken)
        if is_valid(together):
            return together
        for keys in taken:
            without = _without(spec, [keys])
            spec = without if is_valid(without) else spec
        return spec

    return _randoms().map(without_some)


def _without(spec: dict[str, Any], paths: Iterable[tuple[Step, ...]]) -> dict[str, Any]:
    spec = deepcopy(spec)
    for *steps, last in paths:
        holder: Any = spec
        for step in steps:
            holder = holder.get(step, {})
        holder.pop(last, None)
    return spec


def builds(
    name: str = SOUND, *, change: Mapping[str, Any] = NO_CHANGE, additions: Additions = NOTHING_ADDED
) -> st.SearchStrategy[Build]:
    """Builds of both kinds: within the accuracy of a tape, and with missing data.

    `change` is made to each first, like the change of a sample, for example to state the shop's own fields. `additions`
    are the names that plugins add to a spec.
    """

    def read(spec: dict[str, Any]) -> Build:
        return read_build(as_in_a_file(spec), additions)

    measured = sound_specs(name, change=change).map(lambda spec: build_of(spec, additions))
    return st.one_of(measured, partial_specs(name, change=change).map(read))


def _randoms() -> st.SearchStrategy[Random]:
    return st.randoms(use_true_random=False)


def _keys(data: Any, path: tuple[Step, ...] = ()) -> Iterator[tuple[Step, ...]]:
    for key, value in data.items() if isinstance(data, dict) else ():
        yield (*path, key)
        yield from _keys(value, (*path, key))


def _points(data: Any) -> Iterator[tuple[dict[str, Any], str]]:
    """Every point written in bare numbers, as the group that holds it and its key."""
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
    """The data with `left` and `right` in place of every `both`."""
    if isinstance(data, list):
        return [_written_out(item) for item in data]
    if not isinstance(data, dict):
        return data
    written = {key: _written_out(value) for key, value in data.items()}
    if "both" in written:
        left = written.pop("both")
        written |= {"left": left, "right": mirrored(left)}
    return written
