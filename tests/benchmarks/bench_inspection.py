"""How long an inspection takes: in-process, and as a command beside the bare import of its libraries.

    python tests/benchmarks/bench_inspection.py

Prints medians; asserts nothing, since a time is a property of a machine. The two commands are run in turn, so that a
machine whose speed drifts treats them alike.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):  # one core, set before numpy is imported
    os.environ.setdefault(name, "1")

from buildcheck.build import read_build
from buildcheck.build.fits import fits
from buildcheck.checks.inspection import inspect
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file
from buildcheck.spec.schema import problems_in

SPEC = Path(__file__).parents[2] / "examples/tamarack/proposal.buildcheck.yaml"
BARE = "import numpy, click, ruamel.yaml"
RUNS = 15


def median_ms(work: Callable[[], object], runs: int = 31) -> float:
    """Median time of a call, milliseconds, after one call that is not counted."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * statistics.median(times)


def in_process() -> None:
    """The parts of an inspection, each by itself."""
    document = read_file(SPEC)
    build = read_build(document.data)
    rules = collect().rules
    print("in-process, medians")
    print(f"  read the file           {median_ms(lambda: read_file(SPEC)):8.2f} ms")
    print(f"  see that it fits        {median_ms(lambda: fits(document.legible)):8.2f} ms")
    print(f"  check it by the schema  {median_ms(lambda: problems_in(document)):8.2f} ms")
    print(f"  make the build          {median_ms(lambda: read_build(document.data)):8.2f} ms")
    print(f"  collect the plugins     {median_ms(collect):8.2f} ms")
    print(f"  inspect, all rules      {median_ms(lambda: inspect(build, rules)):8.2f} ms")


def as_command() -> None:
    """The whole command, beside a Python that only imports its libraries."""
    ours = [str(Path(sys.executable).with_name("buildcheck")), "inspect", str(SPEC)]
    bare = [sys.executable, "-c", BARE]
    times: dict[str, list[float]] = {"ours": [], "bare": []}
    for run in range(RUNS + 1):
        for name, command in (("ours", ours), ("bare", bare)):
            start = time.perf_counter()
            subprocess.run(command, check=True, capture_output=True)
            if run:  # the first of each warms the disk
                times[name].append(time.perf_counter() - start)
    ratios = [a / b for a, b in zip(times["ours"], times["bare"], strict=True)]
    print("as a command, medians")
    print(f"  buildcheck inspect      {1000 * statistics.median(times['ours']):8.0f} ms")
    print(f"  bare import             {1000 * statistics.median(times['bare']):8.0f} ms   ({BARE})")
    print(f"  ratio                   {statistics.median(ratios):8.2f}")


if __name__ == "__main__":
    in_process()
    as_command()
