"""Rest position of the axle at ride height when link lengths differ from the distances between their points."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.poses import FreeAxle, Layout, free_motions
from buildcheck.axle.rotation import rotation
from buildcheck.axle.vectors import Array, cross

_STEPS = 30
_STILL = 1e-14


class Unassembled(ValueError):
    """Links of the lengths given cannot be joined to the axle at ride height."""


@dataclass(frozen=True, slots=True)
class Rest:
    """The axle at rest at ride height: its displacement (3,) in metres and its attitude as a matrix (3, 3).

    `layout` is the layout with its axle-side points at rest; the poses are solved from it.
    """

    layout: Layout
    centre: Array
    displacement: Array
    attitude: Array

    def point(self, point: ArrayLike) -> Array:
        """Position at rest of a point (3,) of the axle given where the spec places it: (3,) m, vehicle axes."""
        arm = np.asarray(point, np.float64) - self.centre
        placed: Array = self.centre + self.displacement + self.attitude @ arm
        return placed

    def direction(self, direction: ArrayLike) -> Array:
        """Direction (3,) at rest of a direction of the axle given as in the spec."""
        aimed: Array = self.attitude @ np.asarray(direction, np.float64)
        return aimed

    def holding(self, layout: Layout) -> Rest:
        """The same rest with the constraints of another layout of the same axle, given where the spec places it."""
        arm = layout.axle - self.centre[:, None]
        centre = self.centre + self.displacement
        return replace(self, layout=replace(layout, centre=centre, axle=centre[:, None] + self.attitude @ arm))


def settle(layout: Layout, length: ArrayLike) -> Rest:
    """Find the rest position of one build's axle at ride height, heave and roll zero, with link lengths (n,), m.

    Solves for forward, lateral, pitch and yaw of least elastic energy, sum of k (|p| - length)^2 / 2, by Gauss-Newton
    from where the spec puts the axle; with four constraints the lengths are met to 1e-12 m. Raises FreeAxle when the
    links do not hold the axle, and Unassembled when the search does not converge.
    """
    motions = free_motions(layout)
    if motions:
        raise FreeAxle(motions)
    made = np.asarray(length, np.float64)
    arm = layout.axle - layout.centre[:, None]
    weight = np.sqrt(layout.stiffness / np.max(layout.stiffness))
    place = np.zeros(4)  # forward, lateral, pitch, yaw
    for _ in range(_STEPS):
        attitude = rotation(place[3], place[2], 0.0)
        turned = attitude @ arm
        away = layout.centre[:, None] + np.array([place[0], place[1], 0.0])[:, None] + turned - layout.frame
        distance = np.sqrt(np.sum(away**2, axis=0))
        line = away / distance
        pitch_axis = np.array([-np.sin(place[3]), np.cos(place[3]), 0.0])[:, None]
        yaw_axis = np.array([0.0, 0.0, 1.0])[:, None]
        slopes = np.stack(
            [line[0], line[1], np.sum(line * cross(pitch_axis, turned), 0), np.sum(line * cross(yaw_axis, turned), 0)],
            axis=1,
        )
        step, *_ = np.linalg.lstsq(weight[:, None] * slopes, weight * (made - distance), rcond=None)
        place = place + step
        if np.max(np.abs(step)) < _STILL * 10:
            break
    else:
        raise Unassembled("links of the lengths given cannot be joined to the axle at ride height")
    attitude = rotation(place[3], place[2], 0.0)
    displacement = np.array([place[0], place[1], 0.0])
    centre = layout.centre + displacement
    rest = replace(layout, centre=centre, axle=centre[:, None] + attitude @ arm)
    return Rest(rest, layout.centre, displacement, attitude)


def as_placed(layout: Layout) -> Rest:
    """The axle at rest where the spec puts it: every link is as long as the distance between its points."""
    return Rest(layout, layout.centre, np.zeros(3), np.eye(3))
