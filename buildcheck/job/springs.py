"""Springs of a coilover at a length: force, and compression of each."""

from __future__ import annotations

import math
from typing import NamedTuple

from buildcheck.build import Missing
from buildcheck.build.springs import Coilover


class Room(NamedTuple):
    """Remaining travel of one spring: its spec path, its compression, and the travel left before its coils touch, m."""

    path: str
    taken: float
    left: float

    @property
    def share(self) -> float:
        """Travel left as a share of the compression; infinite where the spring is not compressed."""
        return self.left / self.taken if self.taken > 0.0 else math.inf


class Springs:
    """The springs of one coilover, in series, and the gas in its damper.

    `length` is from eye centre to eye centre, m. Springs are in order from top to bottom; at `upper_spring_stop` the
    ring stops the upper one and only the others compress further. Reading what the spec lacks raises Missing.
    """

    def __init__(self, coilover: Coilover) -> None:
        self._coilover = coilover
        self._gives = [1.0 / spring.rate for spring in coilover.springs]

    @property
    def rate(self) -> float:
        """Rate of all springs in series, N/m: 1 / sum(1 / k)."""
        return 1.0 / sum(self._gives)

    def compression(self, length: float) -> float:
        """Compression of all springs together, m: the preload plus the shortening of the coilover from fully extended.
        Negative by the amount that they are loose."""
        return self._coilover.preload + self._coilover.extended_length - length

    def force(self, length: float) -> float:
        """Force of the springs that pushes the eyes apart, N; zero where they are loose."""
        pressed = max(self.compression(length), 0.0)
        if len(self._gives) == 1 or not self._coilover.has("upper_spring_stop"):
            return pressed * self.rate
        upper, rest = self._gives[0], sum(self._gives[1:])
        room = max(self._coilover.springs[0].free_length - self._coilover.upper_spring_stop, 0.0)
        at_stop = room / upper
        return min(pressed * self.rate, at_stop) + max(pressed - at_stop * (upper + rest), 0.0) / rest

    @property
    def gas_force(self) -> float:
        """Force of the damper's gas on its shaft, N: its pressure fully extended times the shaft's area. Zero where the
        damper holds no gas under pressure; the rise in pressure as the shaft moves in is left out."""
        if not (self._coilover.has("gas_charged") and self._coilover.gas_charged):
            return 0.0
        return self._coilover.gas_pressure * math.pi / 4 * self._coilover.shaft_diameter**2

    def room_before_bind(self, length: float) -> Room:
        """Travel left before the coils touch, of the spring with the smallest share of its compression left."""
        return min(self.rooms(length), key=lambda room: room.share)

    def rooms(self, length: float) -> list[Room]:
        """Travel of each spring left before its coils touch."""
        force = self.force(length)
        return [self._room(number, force) for number in range(len(self._gives))]

    def _room(self, number: int, force: float) -> Room:
        spring = self._coilover.springs[number]
        taken = force * self._gives[number]
        if number == 0 and len(self._gives) > 1 and self._coilover.has("upper_spring_stop"):
            taken = min(taken, max(spring.free_length - self._coilover.upper_spring_stop, 0.0))
        return Room(spring.path, taken, spring.free_length - taken - spring.solid_length)


def rate_of(coilover: Coilover) -> float:
    """Rate of a coilover's springs in series, N/m. Raises Missing when the spec does not give them."""
    if not coilover.has("springs"):
        raise Missing(coilover.path_of("springs"))
    return Springs(coilover).rate
