"""Sentences of a cycle beside its table: full lock, the ends of the travel, and the smallest gaps.

Text and JSON take them from here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from buildcheck.build import Point, Side
from buildcheck.job.cycle import AtLock
from buildcheck.job.gaps import Gap
from buildcheck.job.lock import FullLock
from buildcheck.job.travel_limits import End, TravelLimits, Way
from buildcheck.output import words
from buildcheck.output.json_record import number
from buildcheck.output.outcome import Cycled
from buildcheck.output.sheet import lacks
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension, System

LOCKS = {0.5: "at half lock", 1.0: "at full lock"}


def at_full_lock(spec: Cycled) -> Iterator[str]:
    """A sentence for each side: `to the left: left wheel 26.00 deg, right wheel 25.17 deg; ...`."""
    for lock in spec.cycle.locks:
        yield f"to the {lock.side}: {_lock(lock, spec.build.units)}"


def _lock(lock: AtLock, system: System) -> str:
    found = lock.found
    if found is None:
        return printable(lock.in_the_way)
    inner, outer, drag, tie = (
        words.amount(angle, Dimension.ANGLE, system)
        for angle in (found.inner, found.outer, found.drag_link, found.tie_rod)
    )
    far = Side.RIGHT if lock.side is Side.LEFT else Side.LEFT
    ackermann = words.amount(found.ackermann, Dimension.RATIO, system)
    return (
        f"{lock.side} wheel {inner}, {far} wheel {outer}, {ackermann} of the Ackermann difference; "
        f"{_circle(found, system)}; {drag} from the drag link's dead point, {tie} from the tie rod's"
    )


def _circle(found: FullLock, system: System) -> str:
    """Turning circle of the truck by both wheels, and by each of them where they do not agree."""
    if math.isnan(found.radius):
        return "no turning circle"
    both, by_inner, by_outer = (
        words.amount(2 * radius, Dimension.LENGTH, system) for radius in (found.radius, found.by_inner, found.by_outer)
    )
    circle = f"turning circle {both} across the middle of the outer front tyre"
    if by_inner == by_outer == both:
        return circle
    return f"{circle}, {by_inner} by the inner wheel alone, {by_outer} by the outer one"


def ends_of_travel(spec: Cycled) -> Iterator[str]:
    """A sentence for each way the axle goes, and for what could not be looked at."""
    limits, system = spec.cycle.limits, spec.build.units
    if limits is None:
        return
    yield from ends_in_words(limits, system)
    for path in limits.missing:
        yield f"not looked at: {lacks(spec, path)}"
    for why in limits.unknown:
        yield f"not looked at: {printable(why)}"


def ends_in_words(limits: TravelLimits, system: System) -> Iterator[str]:
    """A sentence for each way the axle goes: `straight bump, 5.000 in stated: the left stop is crushed at ...`."""
    for way in limits.ways:
        yield f"{way.name}, {_far(way, way.stated, system)} stated: {_ends(way, system)}"


def _far(way: Way, at: float, system: System) -> str:
    return words.amount(at, Dimension.ANGLE if way.rolled else Dimension.LENGTH, system)


def _ends(way: Way, system: System) -> str:
    looked = f"looked as far as {_far(way, way.looked, system)}"
    if not way.ends:
        return f"nothing in the spec ends it; {looked}"
    first, *others = way.ends
    second = next(iter(_others_than(first, others)), None)
    ends = (
        _end(way, first, system) if second is None else f"{_end(way, first, system)}, then {_end(way, second, system)}"
    )
    return f"{ends}; {looked}"


def _end(way: Way, end: End, system: System) -> str:
    if end.at == 0.0:
        return f"{printable(end.what)} already {'level at mid-travel' if way.rolled else 'at ride height'}"
    return f"{printable(end.what)} at {_far(way, end.at, system)}"


def _others_than(first: End, others: list[End]) -> Iterator[End]:
    """The ends after the first, without the same part of the other side at the same place."""
    return (end for end in others if end.path != first.path or end.at > first.at * (1 + 1e-6))


def smallest_gaps(spec: Cycled) -> Iterator[tuple[str, str, str]]:
    """Each part that comes near another, smallest gap first: the gap, the two parts, and where."""
    system = spec.build.units
    for gap in sorted(spec.cycle.gaps, key=lambda gap: gap.smallest.value):
        pair = f"{printable(gap.first.label)} to {printable(gap.second.label)}"
        smallest = words.number(gap.smallest.value, Dimension.LENGTH, system)
        without = "".join(f"; {left_out}" for left_out in gap.smallest.without)
        yield smallest, pair, f"{_where(gap, system)}, at {_point(gap, system)}{without}"


def _where(gap: Gap, system: System) -> str:
    assert gap.smallest.pose is not None
    pose = words.pose(gap.smallest.pose, system)
    return f"{pose}, {turned(gap)}" if gap.lock else pose


def turned(gap: Gap) -> str:
    """Lock of the wheels where the gap is smallest: `at full lock to the left`; empty for straight ahead."""
    return f"{LOCKS[abs(gap.lock)]} to the {'left' if gap.lock > 0 else 'right'}" if gap.lock else ""


def _point(gap: Gap, system: System) -> str:
    shown = [words.number(at, Dimension.LENGTH, system, 1) for at in _middle(gap)]
    return f"[{', '.join(shown)}] {words.unit(Dimension.LENGTH, system)}"


def _middle(gap: Gap) -> Point:
    first, second = gap.points
    return Point(*((a + b) / 2 for a, b in zip(first, second, strict=True)))


def as_data(spec: Cycled) -> dict[str, Any]:
    """The same for a program; numbers SI and in words."""
    system, cycle = spec.build.units, spec.cycle

    def amount(value: float, dimension: Dimension) -> dict[str, Any] | None:
        return number(value, words.amount(value, dimension, system)) if math.isfinite(value) else None

    def end(way: Way, one: End) -> dict[str, Any]:
        dimension = Dimension.ANGLE if way.rolled else Dimension.LENGTH
        return {"what": printable(one.what), "path": one.path, "at": amount(one.at, dimension)}

    return {
        "full_lock": [
            {
                "side": lock.side.value,
                "in_the_way": printable(lock.in_the_way),
                "inner": lock.found and amount(lock.found.inner, Dimension.ANGLE),
                "outer": lock.found and amount(lock.found.outer, Dimension.ANGLE),
                "ackermann": lock.found and amount(lock.found.ackermann, Dimension.RATIO),
                "turning_circle": lock.found and amount(2 * lock.found.radius, Dimension.LENGTH),
                "turning_circle_by_inner": lock.found and amount(2 * lock.found.by_inner, Dimension.LENGTH),
                "turning_circle_by_outer": lock.found and amount(2 * lock.found.by_outer, Dimension.LENGTH),
                "drag_link": lock.found and amount(lock.found.drag_link, Dimension.ANGLE),
                "tie_rod": lock.found and amount(lock.found.tie_rod, Dimension.ANGLE),
            }
            for lock in cycle.locks
        ],
        "travel_limits": cycle.limits
        and {
            "ways": [
                {
                    "name": way.name,
                    "stated": amount(way.stated, Dimension.ANGLE if way.rolled else Dimension.LENGTH),
                    "looked": amount(way.looked, Dimension.ANGLE if way.rolled else Dimension.LENGTH),
                    "ends": [end(way, one) for one in way.ends],
                }
                for way in cycle.limits.ways
            ],
            "missing": list(cycle.limits.missing),
            "unknown": [printable(why) for why in cycle.limits.unknown],
        },
        "smallest_gaps": [
            {
                "first": printable(gap.first.label),
                "second": printable(gap.second.label),
                "gap": amount(gap.smallest.value, Dimension.LENGTH),
                "heave": amount(gap.smallest.pose.heave, Dimension.LENGTH) if gap.smallest.pose else None,
                "roll": amount(gap.smallest.pose.roll, Dimension.ANGLE) if gap.smallest.pose else None,
                "lock": turned(gap),
                "without": "; ".join(gap.smallest.without),
                "point": [amount(at, Dimension.LENGTH) for at in _middle(gap)],
            }
            for gap in cycle.gaps
        ],
    }
