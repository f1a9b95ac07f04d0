"""How long gaps take on one core: bars against solids, tyres against solids, and all pairs of an axle.

Run: python tests/benchmarks/bench_clearance.py. Prints medians; asserts no time.
"""

from __future__ import annotations

import os

for library in ("OMP", "OPENBLAS", "MKL"):
    os.environ[f"{library}_NUM_THREADS"] = "1"

import statistics
import time
from collections.abc import Callable
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from buildcheck.clearance.bar_gaps import clearance
from buildcheck.clearance.nearest import nearest
from buildcheck.clearance.solid_gaps import gap
from buildcheck.clearance.solids import Box, Capsule, Cylinder, HalfSpace, Solid

Array = NDArray[np.float64]
SOLIDS: dict[str, Solid] = {
    "box": Box([0.2, -0.1, 0.15], [0.5, 0.2, 0.4]),
    "cylinder": Cylinder([0.3, 0.1, 0.2], [0.5, 0.3, 0.5], 0.08),
    "capsule": Capsule([0.3, 0.1, 0.2], [0.5, 0.3, 0.5], 0.08),
    "half-space": HalfSpace([0.0, 0.0, 0.4], [0.0, 0.1, -1.0]),
}


def median_time(work: Callable[[], object], repeats: int) -> float:
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def axle(poses: int) -> tuple[Array, Array]:
    """The ends of an axle that moves within 0.1 m, (3, poses)."""
    moved = np.random.default_rng(poses).uniform(-0.1, 0.1, (2, 3, poses))
    left, right = moved + np.array([[0.0, 0.75, 0.0], [0.0, -0.75, 0.0]])[:, :, None]
    return left, right


def tyre(centre: Array, locks: int) -> Cylinder:
    """A tyre about each place (3, poses) through its lock: (3, poses, locks)."""
    steer = np.linspace(-0.6, 0.6, locks)
    half = 0.14 * np.stack([np.sin(steer), np.cos(steer), 0 * steer])[:, None]
    return Cylinder(centre[:, :, None] - half, centre[:, :, None] + half, 0.45)


def main() -> None:
    print("a bar against a solid, clear of it or crossing it at random")
    for name, solid in SOLIDS.items():
        for poses in (100, 10_000):
            clear = Capsule(*axle(poses), 0.045)
            start, end = np.random.default_rng(0).uniform(-1, 1, (2, 3, poses))
            crossing = Capsule(start, end, 0.045)
            times = [median_time(lambda bar=bar: clearance(bar, solid), 101) for bar in (clear, crossing)]  # type: ignore[misc]
            print(f"  {name:12}{poses:>7} poses{times[0] * 1e3:9.3f} ms clear{times[1] * 1e3:9.3f} ms crossing")

    print("a tyre through its lock against a solid, 100 poses x 7 locks: all gaps, and the smallest alone")
    left, right = axle(100)
    wheel = tyre(left, 7)
    near: dict[str, Solid] = {
        "box, clear": Box([-0.9, 0.5, 0.0], [-0.65, 0.6, 0.3]),
        "box, hit": Box([0.2, 0.5, 0.3], [0.5, 0.6, 0.5]),
        "cylinder, clear": Cylinder([0.6, 0.4, 0.3], [0.75, 0.45, 0.6], 0.06),
        "cylinder, hit": Cylinder([0.3, 0.6, 0.2], [0.4, 0.5, 0.5], 0.08),
        "half-space": HalfSpace([0.0, 0.0, 0.7], [0.0, 0.1, -1.0]),
        "capsule": Capsule([0.3, 0.1, 0.2], [0.5, 0.3, 0.5], 0.08),
    }
    for name, solid in near.items():
        whole = median_time(lambda: gap(wheel, solid), 7)
        least = median_time(lambda: gap(wheel, solid, least=True), 7)
        print(f"  {name:16}{whole * 1e3:9.2f} ms{least * 1e3:9.2f} ms")

    ends = [point[:, :, None] for point in (left, right)]
    middle = (ends[0] + ends[1]) / 2
    bodies: dict[str, list[Solid]] = {
        "left tyre": [wheel],
        "right tyre": [tyre(right, 7)],
        "axle": [Capsule(ends[0], ends[1], 0.045), Capsule(middle, middle, 0.16)],
        "lateral bar": [Capsule(np.array([0.25, 0.4, 0.2]), ends[1] + 0.15, 0.02)],
        "drag link": [Capsule(np.array([0.35, 0.4, 0.25]), ends[1] + 0.2, 0.015)],
        "lower link": [Capsule(np.array([-0.9, 0.4, 0.0]), 0.7 * ends[0] + 0.3 * ends[1] - 0.08, 0.025)],
        "upper link": [Capsule(np.array([-0.6, 0.2, 0.2]), middle + 0.18, 0.025)],
        "coilover": [Capsule(np.array([0.0, 0.45, 0.75]), 0.85 * ends[0] + 0.15 * ends[1] + 0.08, 0.04)],
        "left rail": [Box([-2, 0.36, 0.3], [1, 0.42, 0.45])],
        "right rail": [Box([-2, -0.42, 0.3], [1, -0.36, 0.45])],
        "sump": [Cylinder([-0.3, 0.0, 0.35], [0.1, 0.0, 0.35], 0.15)],
        "body": [HalfSpace([0, 0, 0.8], [0, 0, -1])],
    }
    fixed = {"left rail", "right rail", "sump", "body"}
    pairs = [pair for pair in combinations(bodies, 2) if not set(pair) <= fixed]
    print(f"{len(pairs)} pairs of an axle, 100 poses x 7 locks")
    for beyond in (0.05, 0.2, np.inf):
        found = nearest(bodies, pairs, beyond=beyond)
        taken = median_time(lambda: nearest(bodies, pairs, beyond=beyond), 5)
        print(f"  beyond {beyond:<6}{taken * 1e3:9.1f} ms, {sum(item.at_least for item in found)} at least that far")


if __name__ == "__main__":
    main()
