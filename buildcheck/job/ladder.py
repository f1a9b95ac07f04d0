"""The travel ladder: what the axle meets on its way straight up and straight down, each at its height."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.build import Side
from buildcheck.job.job import Job


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
            for ends, found in ((True, way.ends), (False, way.begins)):
                rungs += [Rung(up * one.at, one.side, one.what, one.path, ends=ends) for one in found]
    # What is at its end already at ride height ends both ways, and is one rung.
    rungs = sorted(
        dict.fromkeys(rung._replace(at=rung.at + 0.0) for rung in rungs), key=lambda rung: (-rung.at, rung.what)
    )
    return Ladder(
        tuple(rungs), stated["bump"], stated["droop"], looked["bump"], -looked["droop"], limits.missing, limits.unknown
    )
