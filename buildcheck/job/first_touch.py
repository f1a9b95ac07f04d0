"""The first thing that the axle meets on each way, and that touches at each lock, in the words in which it is recorded.

By hand the axle stops where a stop touches or a strap is tight; neither is crushed or stretched to its end. So both
count here beside what ends the travel.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.build import Missing, Side
from buildcheck.job.bodies import bodies_of
from buildcheck.job.curve import PoseName, Spot, Unreached
from buildcheck.job.gaps import NEAR
from buildcheck.job.job import Job
from buildcheck.job.travel_limits import End, Way
from buildcheck.spec.quantity import Dimension

NOTHING, OTHER = "nothing", "other-part"
CALLED = {
    "bump_stops": "bump-stop",
    "limit_straps": "limit-strap",
    "coilovers": "coilover",
    "brake_lines": "brake-line",
    "driveshaft": "driveshaft",
    "links": "link",
    "lateral_bar": "lateral-bar",
    "steering.drag_link": "steering-rod",
    "steering.tie_rod": "steering-rod",
    "vehicle.tyre": "tyre",
}
"""The word for a part in the record of a cycle, by the start of its spec path; any other is an `OTHER`."""


class Met(NamedTuple):
    """Something that the axle meets: what, in words; the words of the parts in the record; and their spec paths."""

    what: str
    called: frozenset[str]
    paths: tuple[str, ...]


class FirstMet(NamedTuple):
    """How what was seen first on a way compares with the computed.

    `first` comes first by the spec and `seen` is what was seen, each None where the spec has nothing of the kind as far
    as was looked. `later` is how much farther the axle has to go for what was seen, m or rad; zero where it is the
    first.
    """

    first: Met | None
    seen: Met | None
    later: Spot


def first_met(job: Job, way_name: str, what: str) -> FirstMet:
    """Compare what was seen first on one of the ways of `TravelLimits`. `what` is one of the words of the record.

    For nothing seen, the axle came to the stated end, and `later` is what of it lies beyond the first thing by the
    spec. Where the spec has nothing of what was seen, it is met no sooner than as far as was looked. Raises Missing
    where the spec does not state that travel, and as `travel_limits` does.
    """
    limits = job.travel_limits
    way = next((each for each in limits.ways if each.name == way_name), None)
    if way is None:
        raise Missing(next(path for path in limits.missing if path.startswith("travel")))
    found = sorted((*way.begins, *way.ends), key=lambda end: end.at)
    first = found[0] if found else None
    seen = next((end for end in found if what in _met(end).called), None)
    first_at = way.stated if first is None else first.at
    seen_at = way.stated if what == NOTHING else way.looked if seen is None else seen.at
    pose = None if first is None else first.pose
    later = Spot(max(seen_at - first_at, 0.0), pose, dimension=_dimension(way))
    lacking = [path for path in (*limits.missing, *limits.without_begins) if not path.startswith("travel")]
    unknown = [Unreached(f"not looked at: {each}") for each in limits.unknown]
    return FirstMet(
        None if first is None else _met(first),
        None if seen is None else _met(seen),
        later.lacking(*lacking).leaving_out(*unknown),
    )


def _dimension(way: Way) -> Dimension:
    return Dimension.ANGLE if way.rolled else Dimension.LENGTH


def _met(end: End) -> Met:
    paths = (end.other, end.path) if end.other else (end.path,)
    return Met(end.what, frozenset(map(called, paths)), paths)


def called(path: str) -> str:
    """The word of the record for the part at a spec path."""
    return next((word for start, word in CALLED.items() if path.startswith(start)), OTHER)


class AtLock(NamedTuple):
    """The two parts that come nearest to each other at one lock, and their gap, m, negative where they overlap; `parts`
    is None where none comes near, and the gap then at least `NEAR`."""

    parts: Met | None
    gap: Spot


def nearest_at_lock(job: Job, side: Side, what: str = NOTHING) -> AtLock:
    """Find the smallest gap over all poses, at full lock to a side, of two parts of which one turns with the wheels.

    `what` is a word of the record: one of the two is such a part; of any two for nothing. Raises Missing and Unreached
    where the axle has no poses.
    """
    share = 1.0 if side is Side.LEFT else -1.0
    moving = job.moving_about
    bodies = bodies_of(job.build, moving, np.array([share]))
    parts, gap, unknown, among = None, Spot(NEAR, dimension=Dimension.LENGTH), 0, 0
    for (one, other), found in bodies.nearest(beyond=NEAR, firsts=bodies.found).items():
        pair = bodies.found[one], bodies.found[other]
        words = frozenset(called(body.path) for body in pair)
        if not any(body.turns for body in pair) or (what != NOTHING and what not in words):
            continue
        unknown, among = max((unknown, among), (found.unknown, found.poses))
        if found.at is not None and found.gap < gap.value:
            pose = found.at[0]
            lock = share * job.build.steering.lock_angle
            at = PoseName(float(moving.poses.heave[pose]), float(moving.poses.roll[pose]), lock=lock)
            gap = Spot(found.gap, at, dimension=Dimension.LENGTH)
            parts = Met(f"the {pair[0].label} and the {pair[1].label}", words, tuple(body.path for body in pair))
    why = f"{unknown} of {among} poses at full lock to the {side} are missing: they could not be solved"
    lost = (Unreached(why),) if unknown else ()
    return AtLock(parts, gap.leaving_out(*bodies.lacking.values(), *lost))
