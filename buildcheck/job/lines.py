"""Lines of poses through which the axle is cycled, as on jack stands: droop to bump, and articulation."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Missing, Side
from buildcheck.build.chassis import Travel
from buildcheck.job.curve import Array, Line

# Steps within the stated travel on each side of the middle, and beyond it. The quantities are smooth, and rules read
# between poses along a parabola, so twenty steps locate a crossing to a few millionths of a metre.
STEPS = 20
STEPS_BEYOND = 8
BEYOND = 0.6


class Lines:
    """All poses in one batch, and the lines that run through them.

    `travel` runs from full droop to full bump, `articulation` from right wheel up to left wheel up. The strokes start
    at ride height or at the middle of the travel; those of straight travel continue beyond the stated end. Reading a
    line whose travel the spec does not state raises Missing.
    """

    def __init__(self, heave: Array, roll: Array, lines: Mapping[str, Line], missing: Mapping[str, str]) -> None:
        self.heave = heave
        self.roll = roll
        self._lines = lines
        self._missing = missing

    def _line(self, name: str) -> Line:
        if name in self._missing:
            raise Missing(self._missing[name])
        return self._lines[name]

    @property
    def travel(self) -> Line:
        """Both wheels together, from full droop through ride height to full bump."""
        return self._line("travel")

    @property
    def articulation(self) -> Line:
        """From right wheel up to left wheel up, at the middle of the travel."""
        return self._line("articulation")

    @property
    def bump(self) -> Line:
        """From ride height up to full bump, and beyond."""
        return self._line("bump")

    @property
    def droop(self) -> Line:
        """From ride height down to full droop, and beyond."""
        return self._line("droop")

    @property
    def left_up(self) -> Line:
        """From level to the left wheel up, at the middle of the travel."""
        return self._line("left_up")

    @property
    def right_up(self) -> Line:
        """From level to the right wheel up, at the middle of the travel."""
        return self._line("right_up")

    # Checks over several lines use those that the spec states; `without_articulation` names the rest.

    @property
    def cycled(self) -> tuple[Line, ...]:
        """Straight travel, and articulation where the spec states it."""
        return (self.travel, *self._stated("articulation"))

    def rising(self, side: Side) -> tuple[Line, ...]:
        """Strokes that compress one side: straight bump, and articulation with that side up where the spec states
        it."""
        return (self.bump, *self._stated("left_up" if side is Side.LEFT else "right_up"))

    def falling(self, side: Side) -> tuple[Line, ...]:
        """Strokes that extend one side: straight droop, and articulation with that side down where the spec states
        it."""
        return (self.droop, *self._stated("right_up" if side is Side.LEFT else "left_up"))

    @property
    def without_articulation(self) -> tuple[str, ...]:
        """Spec path that must be stated for articulation; empty where it is stated."""
        return (self._missing["articulation"],) if "articulation" in self._missing else ()

    def _stated(self, name: str) -> tuple[Line, ...]:
        return () if name in self._missing else (self._lines[name],)


def lines_of(travel: Travel) -> Lines:
    """Make the lines for the travel that a spec states. Articulation is at the middle of bump and droop."""
    stated = {name: getattr(travel, name) if travel.has(name) else 0.0 for name in ("bump", "droop", "articulation")}
    bump, droop, articulation = stated.values()
    middle = (bump - droop) / 2
    up, down = _steps(bump), _steps(droop)
    # Articulation ends where the spec states; only straight travel continues beyond, to find what would end it there.
    tilt = np.linspace(0.0, articulation, STEPS + 1)
    heaves = np.concatenate([-down[:0:-1], up])
    rolls = np.concatenate([-tilt[:0:-1], tilt])
    heave = np.concatenate([heaves, np.full(len(rolls), middle)])
    roll = np.concatenate([np.zeros(len(heaves)), rolls])
    for shared in (heave, roll):  # shared between rules
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
    whole, half = 2 * STEPS + 1, STEPS + 1
    beyond = STEPS + STEPS_BEYOND
    lines = {
        "travel": line("straight travel", ride - STEPS, ride + STEPS, whole, "full droop", "full bump"),
        "articulation": line("articulation", level - STEPS, level + STEPS, whole, RIGHT_UP, LEFT_UP),
        "bump": line("straight bump", ride, ride + beyond, half, "ride height", "full bump"),
        "droop": line("straight droop", ride, ride - beyond, half, "ride height", "full droop"),
        "left_up": line("articulation, left wheel up", level, level + STEPS, half, level_name, LEFT_UP),
        "right_up": line("articulation, right wheel up", level, level - STEPS, half, level_name, RIGHT_UP),
    }
    missing = {
        name: travel.path_of(next(each for each in needed if not travel.has(each)))
        for name, needed in NEEDED.items()
        if not all(travel.has(each) for each in needed)
    }
    return Lines(heave, roll, lines, missing)


NEEDED = {
    "travel": ("bump", "droop"),
    "articulation": ("articulation", "bump", "droop"),
    "bump": ("bump",),
    "droop": ("droop",),
    "left_up": ("articulation", "bump", "droop"),
    "right_up": ("articulation", "bump", "droop"),
}

LEFT_UP = "full articulation, left wheel up"
RIGHT_UP = "full articulation, right wheel up"


def _steps(stated: float) -> Array:
    within = np.linspace(0.0, stated, STEPS + 1)
    beyond = np.linspace(stated, (1 + BEYOND) * stated, STEPS_BEYOND + 1)[1:]
    return np.concatenate([within, beyond])
