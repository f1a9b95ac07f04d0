"""`cycle`: the axle from full droop to full bump, as one moves it on stands, and what one reads off on the way."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Build
from buildcheck.job import Job
from buildcheck.job.curve import Array
from buildcheck.job.quantities import Absent, Quantity, told


class Column(NamedTuple):
    """One quantity over the travel, SI; NaN where the axle cannot reach the pose."""

    quantity: Quantity
    values: Array


class Cycle(NamedTuple):
    """A cycle of the axle: the rise of its centre in each pose (m), roll and lock held (rad), and what was read off.

    `absent` is what the build cannot tell, with the reason. `reached` says which poses the axle can reach.
    """

    heave: Array
    roll: float
    lock: float
    reached: NDArray[np.bool_]
    columns: tuple[Column, ...]
    absent: tuple[Absent, ...]


def cycle(build: Build, *, steps: int = 5, roll: float = 0.0, lock: float = 0.0) -> Cycle:
    """Move the axle from full droop to full bump in `steps` steps on each side of ride height.

    `roll` (rad, left side up positive) is held all the way; so is `lock`, the angle (rad, to the left positive) by
    which the wheel that the drag link moves is turned at ride height. Raises Missing when the spec states no travel or
    lacks what holds the axle, Unreached when the links leave the axle free, and ValueError for fewer than one step.
    """
    if steps < 1:
        raise ValueError("a cycle takes at least one step")
    travel = build.travel
    heave = np.concatenate([-np.linspace(travel.droop, 0.0, steps + 1)[:-1], np.linspace(0.0, travel.bump, steps + 1)])
    moving = Job(build).moved(heave, np.full(len(heave), roll), lock)
    reached = moving.poses.solved
    columns: list[Column] = []
    absent: list[Absent] = []
    for found in told(moving):
        if isinstance(found, Absent):
            absent.append(found)
        else:
            columns.append(Column(*found))
    return Cycle(heave, roll, lock, reached, tuple(columns), tuple(absent))
