"""The axle and the obstacles of the vehicle as simple solids."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from buildcheck.build import Missing, Point
from buildcheck.build.chassis import Axle, Obstacle
from buildcheck.clearance.bar_gaps import Box, Capsule, Cylinder, HalfSpace, Solid
from buildcheck.job.curve import Array, Unreached


def axle_solids(axle: Axle, moved: Callable[[Point], Array]) -> Iterator[Capsule]:
    """Yield the axle's tube and centre section in all poses; raises Missing when the spec gives neither."""
    if not axle.has("tube") and not axle.has("centre_section"):
        raise Missing(axle.path_of("tube"))
    if axle.has("tube"):
        tube = axle.tube
        yield Capsule(moved(tube.left_end), moved(tube.right_end), tube.outside_diameter / 2)
    if axle.has("centre_section"):
        section = axle.centre_section
        centre = moved(section.centre)
        yield Capsule(centre, centre, section.radius)


def obstacle_solid(obstacle: Obstacle) -> Solid:
    """Make an obstacle's solid, fixed to the frame."""
    if obstacle.shape == "box":
        # Any two opposite corners define the same box.
        return Box(np.minimum(obstacle.lower, obstacle.upper), np.maximum(obstacle.lower, obstacle.upper))
    if obstacle.shape == "cylinder":
        if obstacle.start == obstacle.end:
            raise Unreached(f"the {obstacle.label} is a cylinder with its two ends at one point")
        return Cylinder(np.array(obstacle.start), np.array(obstacle.end), obstacle.radius)
    if obstacle.shape == "capsule":
        return Capsule(np.array(obstacle.start), np.array(obstacle.end), obstacle.radius)
    return HalfSpace(np.array(obstacle.point), np.array(obstacle.normal))
