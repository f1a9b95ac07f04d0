"""What the springs of a coilover do at a length: force, and how far each coil is compressed."""

from __future__ import annotations

import math
from typing import NamedTuple

from buildcheck.build import Missing
from buildcheck.build.springs import Coilover


class Room(NamedTuple):
    """What one spring has left: its spec path, what it is compressed by, and what is left before its coils touch, m."""

    path: str
    taken: float
    left: float

    @property
    def share(self) -> float:
        """What is left as a share of what is taken; infinite where nothing is compressed."""
        return self.left / self.taken if self.taken > 0.0 else math.inf


class Springs:
    """The springs of one coilover, in series, and the gas in its damper.

    `length` is from eye centre to eye centre, m. Springs stand from top to bottom; at `upper_spring_stop` the ring
    takes the upper one out of action and the rest go on alone. Reading what the spec lacks raises Missing.
    """

    def __init__(self, coilover: Coilover) -> None:
        self._coilover = coilover
        self._gives = [1.0 / spring.rate for spring in coilover.springs]

    @property
    def rate(self) -> float:
        """The rate of all springs in series, N/m: 1 / sum(1 / k)."""
        return 1.0 / sum(self._gives)

    def compression(self, length: float) -> float:
        """How far all springs together are compressed, m: the preload, and what the coilover is shorter than extended.
        Below zero by how much they hang loose."""
        return self._coilover.preload + self._coilover.extended_length - length

    def force(self, length: float) -> float:
        """The force with which the springs press the eyes apart, N; none where they are loose."""
        pressed = max(self.compression(length), 0.0)
        if len(self._gives) == 1 or not self._coilover.has("upper_spring_stop"):
            return pressed * self.rate
        upper, rest = self._gives[0], sum(self._gives[1:])
        room = max(self._coilover.springs[0].free_length - self._coilover.upper_spring_stop, 0.0)
        at_stop = room / upper
        return min(pressed * self.rate, at_stop) + max(pressed - at_stop * (upper + rest), 0.0) / rest

    @property
    def gas_force(self) -> float:
        """The force of the damper's gas on its shaft, N: its pressure fully extended on the shaft's area. None where
        the damper holds no gas under pressure; what the gas gains as the shaft goes in is left out."""
        if not (self._coilover.has("gas_charged") and self._coilover.gas_charged):
            return 0.0
        return self._coilover.gas_pressure * math.pi / 4 * self._coilover.shaft_diameter**2

    def room_before_bind(self, length: float) -> Room:
        """What the coils have left before they touch, of the spring that has least for what it is compressed by."""
        return min(self.rooms(length), key=lambda room: room.share)

    def rooms(self, length: float) -> list[Room]:
        """What the coils of each spring have left before they touch."""
        force = self.force(length)
        return [self._room(number, force) for number in range(len(self._gives))]

    def _room(self, number: int, force: float) -> Room:
        spring = self._coilover.springs[number]
        taken = force * self._gives[number]
        if number == 0 and len(self._gives) > 1 and self._coilover.has("upper_spring_stop"):
            taken = min(taken, max(spring.free_length - self._coilover.upper_spring_stop, 0.0))
        return Room(spring.path, taken, spring.free_length - taken - spring.solid_length)


def rate_of(coilover: Coilover) -> float:
    """The rate of a coilover's springs in series, N/m. Missing when the spec does not give them."""
    if not coilover.has("springs"):
        raise Missing(coilover.path_of("springs"))
    return Springs(coilover).rate
