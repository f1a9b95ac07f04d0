"""Obstacles as the boxes that just hold them."""

from __future__ import annotations

import math

from buildcheck.build import Build
from buildcheck.build.chassis import Obstacle

Box = tuple[tuple[float, float], ...]


def box_of(obstacle: Obstacle) -> Box:
    """The lowest and highest x, y and z of an obstacle that has an end, m."""
    if obstacle.shape == "box":
        return tuple((min(pair), max(pair)) for pair in zip(obstacle.lower, obstacle.upper, strict=True))
    pairs = list(zip(obstacle.start, obstacle.end, strict=True))
    length = math.dist(obstacle.start, obstacle.end)
    # A cylinder reaches beyond its end only as far as its flat end is turned away from that axis.
    beyond = [
        obstacle.radius * (1.0 if obstacle.shape == "capsule" else math.sqrt(max(0.0, 1.0 - ((b - a) / length) ** 2)))
        for a, b in pairs
    ]
    return tuple((min(pair) - reach, max(pair) + reach) for pair, reach in zip(pairs, beyond, strict=True))


def solid_obstacles(build: Build) -> list[Obstacle]:
    """The obstacles that have ends, in the order of the spec."""
    there = build.vehicle.obstacles.values() if build.has("vehicle") and build.vehicle.has("obstacles") else ()
    return [
        each
        for each in there
        if each.shape == "box" or (each.shape in ("cylinder", "capsule") and each.start != each.end)
    ]
