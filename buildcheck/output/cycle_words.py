"""The words of a cycle; every format takes them from here, so that no two disagree."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from buildcheck.job import PoseName
from buildcheck.job.cycle import Cycle
from buildcheck.output import words
from buildcheck.output.outcome import Cycled
from buildcheck.output.sheet import lacks
from buildcheck.output.words import count, printable
from buildcheck.spec.quantity import Dimension, System

HEIGHT = "axle height"
HEIGHT_MEANING = "rise of the axle centre from ride height; upwards (bump) positive"
OUT_OF_REACH = "out of the axle's reach"


def way(spec: Cycled) -> str:
    """Heights of the cycle: `6.000 in down to 5.000 in up, at 11 heights`."""
    first, last = spec.cycle.poses[0], spec.cycle.poses[-1]
    system = spec.build.units
    return (
        f"{_height(first.heave, system)} to {_height(last.heave, system)}, at {count(len(spec.cycle.poses), 'height')}"
    )


def held(spec: Cycled) -> str:
    """Roll and lock that were held: `level; steering wheel straight ahead`."""
    cycle, system = spec.cycle, spec.build.units
    roll = "level"
    if cycle.roll:
        side = "left" if cycle.roll > 0 else "right"
        roll = f"rolled {words.amount(abs(cycle.roll), Dimension.ANGLE, system)}, {side} side up"
    if not cycle.lock:
        return f"{roll}; steering wheel straight ahead" if spec.build.has("steering") else roll
    side = "left" if cycle.lock > 0 else "right"
    turned = f"{words.amount(abs(cycle.lock), Dimension.ANGLE, system)} to the {side}"
    return f"{roll}; steering wheel held where the inner wheel is turned {turned} at ride height{_beyond_lock(spec)}"


def _beyond_lock(spec: Cycled) -> str:
    build = spec.build
    if not (build.has("steering") and build.steering.has("lock_angle")):
        return ""
    lock = build.steering.lock_angle
    if abs(spec.cycle.lock) <= lock:
        return ""
    return f", which is more than the spec's lock angle, {words.amount(lock, Dimension.ANGLE, build.units)}"


def breaks(spec: Cycled) -> Iterator[str]:
    """Sentences on what does not follow the whole travel: the axle, or a part that moves with it."""
    cycle, system = spec.cycle, spec.build.units
    if not cycle.reached.all():
        where = heights(cycle, ~cycle.reached, system)
        yield f"The links do not let the axle reach {where}, with its roll held."
    same: dict[str, list[str]] = {}
    for column in cycle.columns:
        lacking = cycle.without_value(column)
        if lacking.any():
            same.setdefault(heights(cycle, lacking, system), []).append(column.quantity.name)
    for where, names in same.items():
        yield f"{', '.join(names)}: none at {where}, where what moves it cannot follow the axle."


def for_information(spec: Cycled) -> str:
    """Sentence with the columns that no rule compares with a limit, each kind once; empty where there are none."""
    quantities = (column.quantity for column in spec.cycle.columns)
    names = dict.fromkeys(each.family or each.name for each in quantities if not each.compared)
    return f"No rule compares these with a limit: {printable(', '.join(names))}." if names else ""


def absent(spec: Cycled) -> tuple[str, ...]:
    """Quantities that could not be computed: `anti-dive: vehicle.brake_share is not in the spec`; each reason once."""
    same: dict[str, list[str]] = {}
    for each in spec.cycle.absent:
        why = lacks(spec, each.missing) if each.missing else printable(each.reason)
        same.setdefault(why, []).append(each.name)
    return tuple(f"{', '.join(names)}: {why}" for why, names in same.items())


def heights(cycle: Cycle, which: NDArray[np.bool_], system: System) -> str:
    """Some of the heights, in words: `6.000 in down (full droop); 3 heights from 1.000 in up to 3.000 in up`."""
    runs = []
    for picked, run in groupby(zip(which, cycle.poses, strict=True), key=lambda pair: bool(pair[0])):
        if picked:
            poses = [pose for _, pose in run]
            ends = [_named_height(pose, system) for pose in (poses[0], poses[-1])]
            runs.append(ends[0] if len(poses) == 1 else f"{len(poses)} heights from {ends[0]} to {ends[-1]}")
    return "; ".join(runs)


def _height(heave: float, system: System) -> str:
    rise = words.amount(abs(heave), Dimension.LENGTH, system)
    return f"{rise} {'up' if heave > 0 else 'down'}" if heave else "ride height"


def _named_height(pose: PoseName, system: System) -> str:
    return f"{_height(pose.heave, system)} ({pose.name})" if pose.heave and pose.name else _height(pose.heave, system)
