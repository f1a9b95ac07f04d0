"""How many poses a second, on one core, and beside two fair ways of doing without this solver.

Run: python tests/benchmarks/bench_poses.py. Prints medians; asserts no time.

The rivals solve the same four closure equations from ride height: scipy's root finder one pose after another
with a residual in plain Python floats, which for four unknowns is faster than one in numpy; Newton's method
for all poses at once with numpy.linalg.solve; and a physics engine (mujoco) whose axle on springs is run to rest, its
model made beforehand. None of them checks which branch it has landed on.

Memory is the most that numpy and Python hold during a call, less what they held before, for each pose. Arithmetic is
the share of the time that grows with the poses: all but what one pose takes.
"""

from __future__ import annotations

import os

for library in ("OMP", "OPENBLAS", "MKL"):
    os.environ[f"{library}_NUM_THREADS"] = "1"

import math
import statistics
import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

sys.path.insert(0, str(Path(__file__).parents[1] / "outside"))  # the engine is that of the tests
from test_poses_physics_engine import at_rest, engine_of

from buildcheck.axle.poses import Layout, solve
from buildcheck.axle.rotation import rotation

Array = NDArray[np.float64]

THREE_LINK = Layout(
    np.zeros(3),
    np.array([[-870, 400, -35], [-870, -400, -35], [-560, -200, 185], [55, 410, 115]]).T / 1000,
    np.array([[30, 430, -95], [30, -430, -95], [60, -180, 150], [45, -420, 70]]).T / 1000,
    np.full(4, 1e7),
)
TRIANGULATED = Layout(
    np.zeros(3),
    np.array([[-950, 360, -40], [-950, -360, -40], [-700, 450, 170], [-700, -450, 170]]).T / 1000,
    np.array([[0, 480, -100], [0, -480, -100], [0, 120, 160], [0, -120, 160]]).T / 1000,
    np.full(4, 1e7),
)
RADIUS_ARMS = Layout(
    np.zeros(3),
    np.array([[-950, 380, 0], [-950, 380, 0], [-950, -380, 0], [-950, -380, 0], [60, 410, 110]]).T / 1000,
    np.array([[80, 420, 0], [-80, 420, -90], [80, -420, 0], [-80, -420, -90], [60, -420, 70]]).T / 1000,
    np.array([4e6, 5e6, 4e6, 5e6, 9e6]),
)
LAYOUTS = {"three-link": THREE_LINK, "triangulated": TRIANGULATED, "radius arms (over-constrained)": RADIUS_ARMS}


def asked(count: int) -> tuple[Array, Array]:
    random = np.random.default_rng(count)
    return random.uniform(-0.1, 0.1, count), random.uniform(-0.14, 0.14, count)


def median_time(work: Callable[[], object], repeats: int) -> float:
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def most_held(layout: Layout, heave: Array, roll: Array) -> int:
    """Bytes that a call holds at the most, beyond what was held before it."""
    tracemalloc.start()
    solve(layout, heave, roll)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most


def one_by_one(layout: Layout, heave: Array, roll: Array) -> Array:
    """x, y, pitch, yaw of each pose by scipy.optimize.root, residual in plain floats."""
    bars = [
        (*axle, *frame, math.dist(axle, frame) ** 2)
        for axle, frame in zip(layout.axle.T.tolist(), layout.frame.T.tolist(), strict=True)
    ]
    found = []
    for rise, tilt in zip(heave.tolist(), roll.tolist(), strict=True):
        cosine, sine = math.cos(tilt), math.sin(tilt)
        rolled = [(u, v * cosine - w * sine, v * sine + w * cosine, *rest) for u, v, w, *rest in bars]

        def residual(unknowns: Array, rolled: list[tuple[float, ...]] = rolled, rise: float = rise) -> list[float]:
            x, y, pitch, yaw = unknowns.tolist()
            cp, sp, cy, sy = math.cos(pitch), math.sin(pitch), math.cos(yaw), math.sin(yaw)
            left = []
            for u, v, w, frame_x, frame_y, frame_z, square in rolled:
                level = cp * u + sp * w
                along = x + cy * level - sy * v - frame_x
                across = y + sy * level + cy * v - frame_y
                up = rise + cp * w - sp * u - frame_z
                left.append(along * along + across * across + up * up - square)
            return left

        found.append(root(residual, np.zeros(4), method="hybr", tol=1e-13).x)
    return np.array(found).T


def batched_newton(layout: Layout, heave: Array, roll: Array) -> Array:
    """x, y, pitch, yaw of all poses by five Newton steps with numpy.linalg.solve."""
    arms, frame = layout.axle.T, layout.frame.T
    square = ((arms - frame) ** 2).sum(axis=1)
    unknowns = np.zeros((4, len(heave)))
    for _ in range(5):
        x, y, pitch, yaw = unknowns
        ends = np.einsum("ijp,nj->inp", rotation(yaw, pitch, roll), arms)
        spans = ends + np.stack([x, y, heave])[:, np.newaxis] - frame.T[..., np.newaxis]
        across = -np.sin(yaw) * ends[1] - np.cos(yaw) * ends[0]
        by_pitch = spans[0] * np.cos(yaw) * ends[2] + spans[1] * np.sin(yaw) * ends[2] + spans[2] * across
        by_yaw = spans[1] * ends[0] - spans[0] * ends[1]
        matrix = np.stack([spans[0], spans[1], by_pitch, by_yaw]).transpose(2, 1, 0)
        left = 0.5 * ((spans**2).sum(axis=0) - square[:, np.newaxis])
        unknowns = unknowns - np.linalg.solve(matrix, left.T[..., np.newaxis])[..., 0].T
    return unknowns


def main() -> None:
    print(f"{'layout':32}{'poses':>10}{'time':>12}{'poses/s':>12}{'arithmetic':>12}{'memory':>16}")
    for name, layout in LAYOUTS.items():
        alone = 0.0
        for count in (1, 100, 1000, 10_000, 100_000, 1_000_000):
            heave, roll = asked(count)
            taken = median_time(lambda: solve(layout, heave, roll), 5 if count >= 100_000 else 21)
            alone = alone or taken
            print(
                f"{name:32}{count:>10}{taken * 1e3:>9.3f} ms{count / taken:>12.0f}{1 - alone / taken:>11.0%} "
                f"{most_held(layout, heave, roll) / count:>9.0f} B/pose"
            )

    random = np.random.default_rng(0)
    builds = Layout(
        np.zeros(3),
        THREE_LINK.frame[..., np.newaxis] + random.normal(0.0, 0.005, (3, 4, 1000)),
        THREE_LINK.axle[..., np.newaxis] + random.normal(0.0, 0.005, (3, 4, 1000)),
        THREE_LINK.stiffness,
    )
    heave, roll = asked(100)
    taken = median_time(lambda: solve(builds, heave, roll), 5)
    print(f"{'three-link, 1000 builds x 100':32}{100_000:>10}{taken * 1e3:>9.3f} ms{100_000 / taken:>12.0f}")

    heave, roll = asked(10_000)
    ours = solve(THREE_LINK, heave, roll)
    reference = np.stack([ours.x, ours.y, ours.pitch, ours.yaw])
    own = median_time(lambda: solve(THREE_LINK, heave, roll), 21)
    few, fewest = slice(0, 1000), slice(0, 20)
    engines = [engine_of(THREE_LINK, *each) for each in zip(heave[fewest].tolist(), roll[fewest].tolist(), strict=True)]
    print("\nthree-link, 10 000 poses")
    for name, way, share in (
        ("scipy one by one", one_by_one, few),
        ("batched Newton", batched_newton, slice(None)),
        ("mujoco run to rest", lambda *_: np.array([at_rest(engine) for engine in engines]).T, fewest),
    ):
        taken = median_time(lambda: way(THREE_LINK, heave[share], roll[share]), 3)
        each = taken / len(heave[share])
        apart = np.abs(way(THREE_LINK, heave[share], roll[share]) - reference[:, share]).max()
        print(
            f"{name:24}{each * 1e6:8.2f} us a pose, {each * 10_000 / own:7.1f} times ours; "
            f"largest difference {apart:.1e}"
        )


if __name__ == "__main__":
    main()
