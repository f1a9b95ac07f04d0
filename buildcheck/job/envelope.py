"""Poses through the whole motion of the axle: travel, articulation and lock together."""

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

    At each roll up to the stated articulation either way, the axle goes up until the upper side would compress its bump
    stop farther than full bump does, and down until the lower side would stretch its limit strap farther than full
    droop does. Where the stated articulation at mid-travel compresses or stretches it farther than these, that is the
    limit instead. Without a stop or strap, that side does not limit the motion. Raises Missing where the spec states no
    travel or articulation.
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
