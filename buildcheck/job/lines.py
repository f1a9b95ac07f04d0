"""The lines of poses that the axle is cycled through, as on stands: droop to bump, and articulation."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Side
from buildcheck.build.chassis import Travel
from buildcheck.job.curve import Array, Line

# Steps within the stated travel on each side of the middle, and beyond it. The quantities are smooth, and rules read
# between poses along a parabola, so twenty steps place a crossing to a few millionths of a metre.
STEPS = 20
STEPS_BEYOND = 8
BEYOND = 0.6


class Lines(NamedTuple):
    """All poses in one batch, and the lines that run through them.

    `travel` runs from full droop to full bump, `articulation` from right wheel up to left wheel up. The strokes go
    out from the middle of the one or the other, and on beyond the stated travel.
    """

    heave: Array
    roll: Array
    travel: Line
    articulation: Line
    bump: Line
    droop: Line
    left_up: Line
    right_up: Line

    def rising(self, side: Side) -> tuple[Line, Line]:
        """The strokes that press one side together: straight bump, and articulation with that side up."""
        return self.bump, self.left_up if side is Side.LEFT else self.right_up

    def falling(self, side: Side) -> tuple[Line, Line]:
        """The strokes that stretch one side: straight droop, and articulation with that side down."""
        return self.droop, self.right_up if side is Side.LEFT else self.left_up


def lines_of(travel: Travel) -> Lines:
    """The lines for the travel that a spec states. Articulation is taken at the middle of bump and droop."""
    bump, droop, articulation = travel.bump, travel.droop, travel.articulation
    middle = (bump - droop) / 2
    up, down = _steps(bump), _steps(droop)
    # Articulation ends where the spec says; only straight travel goes on beyond it, to find what would end it there.
    tilt = np.linspace(0.0, articulation, STEPS + 1)
    heaves = np.concatenate([-down[:0:-1], up])
    rolls = np.concatenate([-tilt[:0:-1], tilt])
    heave = np.concatenate([heaves, np.full(len(rolls), middle)])
    roll = np.concatenate([np.zeros(len(heaves)), rolls])
    for shared in (heave, roll):  # rules hand these on to each other
        shared.setflags(write=False)
    ride = len(down) - 1
    level = len(heaves) + len(tilt) - 1

    def line(name: str, first: int, last: int, declared: int, start: str, end: str) -> Line:
        step = 1 if last >= first else -1
        index: NDArray[np.intp] = np.arange(first, last + step, step)
        moved = heave if index[-1] < len(heaves) else roll
        parameter = moved[index] if step > 0 else -moved[index]
        arrays = (parameter, heave[index], roll[index], index)
        for array in arrays:
            array.setflags(write=False)
        return Line(name, *arrays, declared, start, end)

    level_name = "level, at the middle of the travel"
    whole = 2 * STEPS + 1
    half = STEPS + 1
    return Lines(
        heave,
        roll,
        travel=line("straight travel", ride - STEPS, ride + STEPS, whole, "full droop", "full bump"),
        articulation=line(
            "articulation", level - STEPS, level + STEPS, whole, RIGHT_UP, LEFT_UP,
        ),
        bump=line("straight bump", ride, ride + STEPS + STEPS_BEYOND, half, "ride height", "full bump"),
        droop=line("straight droop", ride, ride - STEPS - STEPS_BEYOND, half, "ride height", "full droop"),
        left_up=line("articulation, left wheel up", level, level + STEPS, half, level_name, LEFT_UP),
        right_up=line(
            "articulation, right wheel up", level, level - STEPS, half, level_name, RIGHT_UP,
        ),
    )  # fmt: skip


LEFT_UP = "full articulation, left wheel up"
RIGHT_UP = "full articulation, right wheel up"


def _steps(stated: float) -> Array:
    within = np.linspace(0.0, stated, STEPS + 1)
    beyond = np.linspace(stated, (1 + BEYOND) * stated, STEPS_BEYOND + 1)[1:]
    return np.concatenate([within, beyond])
