"""How long a thousand variants of a build take: bump steer over the travel against the height of one bracket.

    python tests/benchmarks/bench_sweep.py

Through the public library on one core, in one batch, beside one variant after the other. Prints medians; asserts
nothing, since a time is a property of a machine.
"""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable
from pathlib import Path

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):  # one core, set before numpy is imported
    os.environ.setdefault(name, "1")

import buildcheck

EXAMPLES = Path(__file__).parents[2] / "examples"
PATH, QUANTITY = "lateral_bar.frame.z", "bump-steer"
SPECS = {  # where the bracket begins, and by how much it rises from variant to variant, in the units of the spec
    "tamarack/proposal.buildcheck.yaml": (22.0, 0.001),
    "three-link-metric.buildcheck.yaml": (500.0, 0.05),
}
VARIANTS, RUNS = 1000, 5


def median(work: Callable[[], object]) -> float:
    """Median time of a call, s, after one call that is not counted."""
    work()
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    for name, (first, step) in SPECS.items():
        spec = buildcheck.read(EXAMPLES / name)
        heights = [first + step * number for number in range(VARIANTS)]

        def one_by_one(spec: buildcheck.Spec = spec, heights: list[float] = heights) -> None:
            for height in heights:
                buildcheck.cycle(spec.changed({PATH: height}))[QUANTITY]

        def together(spec: buildcheck.Spec = spec, heights: list[float] = heights) -> None:
            buildcheck.sweep(spec, PATH, heights, QUANTITY)

        print(f"{name}: {VARIANTS} variants")
        print(f"  in one batch          {median(together):6.2f} s")
        print(f"  one after the other   {median(one_by_one):6.2f} s")


if __name__ == "__main__":
    main()
