"""The poses that the axle can stand in between them all: travel, articulation and lock at once."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from buildcheck.build import Build
from buildcheck.job.curve import Array

HEIGHTS = 5
ROLLS = 5
LOCKS = (-1.0, -0.5, 0.0, 0.5, 1.0)
"""Shares of full lock, to the left positive."""


def envelope(build: Build) -> tuple[Array, Array]:
    """Rise of the axle centre (m) and roll (rad), (poses,) each, of poses through travel and articulation together.

    Rolled either way as far as stated, the axle goes up until the side that is up would press its bump stop farther
    than full bump does, and down until the other would stretch its limit strap farther than full droop does; or than
    the stated articulation itself does, at the middle of the travel. Where there is no stop or strap that side does not
    end it. Missing where the spec states no travel or articulation.
    """
    travel = build.travel
    bump, droop, most = travel.bump, travel.droop, travel.articulation
    middle = (bump - droop) / 2
    stop = min((abs(stop.target.y) for stop in _parts(build, "bump_stops")), default=0.0)
    strap = min((abs(strap.axle.y) for strap in _parts(build, "limit_straps")), default=0.0)
    highest = max(bump, middle + stop * math.sin(most))
    lowest = min(-droop, middle - strap * math.sin(most))
    heaves, rolls = [], []
    for roll in np.linspace(-most, most, ROLLS):
        lifted = abs(math.sin(roll))
        up = min(bump, highest - stop * lifted)
        down = max(-droop, lowest + strap * lifted)
        heaves.append(np.linspace(min(down, middle), max(up, middle), HEIGHTS))
        rolls.append(np.full(HEIGHTS, roll))
    return np.concatenate(heaves), np.concatenate(rolls)


def _parts(build: Build, section: str) -> list[Any]:
    return [part for sides in getattr(build, section).values() for part in sides] if build.has(section) else []
