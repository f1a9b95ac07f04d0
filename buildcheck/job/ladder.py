"""The travel ladder: what the axle meets on its way straight up and straight down, each at its height."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from buildcheck.build import Missing, Side
from buildcheck.job.curve import Unreached
from buildcheck.job.job import Job
from buildcheck.job.margins import parts_of


class Rung(NamedTuple):
    """Something that happens at a height: `at` is the rise of the axle centre from ride height, m, negative in droop.

    `what` says it in words; `path` is the spec path of its cause, `side` the side that it is on. `ends` is whether the
    travel ends there; else something begins, such as a stop that touches.
    """

    at: float
    side: Side
    what: str
    path: str
    ends: bool


class Ladder(NamedTuple):
    """The rungs from the top down. `bump` and `droop` are the stated travel, `highest` and `lowest` how far was looked,
    m; each is 0 where that way is not stated. `missing` and `unknown` are as in `TravelLimits`."""

    rungs: tuple[Rung, ...]
    bump: float
    droop: float
    highest: float
    lowest: float
    missing: tuple[str, ...]
    unknown: tuple[str, ...]

    def early(self, rung: Rung) -> bool:
        """Whether a rung ends the travel before its stated end."""
        return rung.ends and -self.droop < rung.at < self.bump


def ladder(job: Job) -> Ladder:
    """Find the rungs of a build in straight travel.

    Raises Missing where the spec states no travel or lacks links, Unreached where the links leave the axle free.
    """
    limits = job.travel_limits
    rungs: list[Rung] = []
    stated, looked = {"bump": 0.0, "droop": 0.0}, {"bump": 0.0, "droop": 0.0}
    for way in limits.ways:
        if not way.rolled:
            up = 1.0 if way.states == "bump" else -1.0
            stated[way.states], looked[way.states] = way.stated, way.looked
            rungs += [Rung(up * end.at, end.side, end.what, end.path, ends=True) for end in way.ends]
    for find in (_stops, _straps):
        rungs += _until_missing(find, job)
    # What is at its end already at ride height ends both ways, and is one rung.
    rungs = sorted(
        dict.fromkeys(rung._replace(at=rung.at + 0.0) for rung in rungs), key=lambda rung: (-rung.at, rung.what)
    )
    return Ladder(
        tuple(rungs), stated["bump"], stated["droop"], looked["bump"], -looked["droop"], limits.missing, limits.unknown
    )


def _until_missing(find: Callable[[Job], Iterator[Rung]], job: Job) -> Iterator[Rung]:
    # What is missing here is missing for the end of the same part too, and is named there.
    try:
        yield from find(job)
    except (Missing, Unreached):
        return


def _stops(job: Job) -> Iterator[Rung]:
    for stop in parts_of(job.build, "bump-stop"):
        at = job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length)
        if at is not None:
            yield Rung(at, stop.side, f"the {stop.label} touches", stop.path, ends=False)


def _straps(job: Job) -> Iterator[Rung]:
    for strap in parts_of(job.build, "limit-strap"):
        at = job.length(strap, job.lines.droop).first_at_least(strap.length)
        if at is not None:
            yield Rung(-at, strap.side, f"the {strap.label} is tight", strap.path, ends=False)
