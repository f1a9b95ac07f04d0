"""How long a saved edit takes to be seen with `report --watch`: the outcome, what to change, and the new page.

    python tests/benchmarks/bench_watch.py

Prints medians; asserts nothing, since a time is a property of a machine. Beside each is the same from nothing, as the
first inspection takes it. The wait for an editor to be done, `2 * PAUSE` at most, is not in it.
"""

from __future__ import annotations

import os
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):  # one core, set before numpy is imported
    os.environ.setdefault(name, "1")

from buildcheck.commands.again import Again
from buildcheck.commands.inspect import outcome_of
from buildcheck.commands.plugged import collected_with
from buildcheck.commands.watching import PAUSE
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.page import outcome_in_words, page

SPEC = Path(__file__).parents[2] / "examples/tamarack/proposal.buildcheck.yaml"
RUNS = 7
EDITS: dict[str, tuple[str, Callable[[int], str]]] = {
    "a name": ("name: Tamarack", lambda run: f"name: Tamarack {run}"),
    "the bar's frame end": ("frame: [5.5, 16.5, 22.75]", lambda run: f"frame: [5.5, 16.5, {22.75 + run / 100}]"),
    "the bump travel": ("bump: 5", lambda run: f"bump: {5 + run / 100}"),
}


def main() -> None:
    collected = collected_with(())
    text = SPEC.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, SPEC.name)

        def inspected(again: Again | None, *, changes: bool) -> Inspected:
            (found,) = outcome_of(
                *([str(file)], None, (), (), collected, {str(file): None}),
                how_sure=None if changes else False,
                changes=changes,
                again=again,
            ).specs
            assert isinstance(found, Inspected)
            return found

        def seconds(again: Again | None) -> tuple[float, float, float]:
            start = time.process_time()
            outcome_in_words(inspected(again, changes=False))
            outcome = time.process_time()
            found = inspected(again, changes=True)
            changes = time.process_time()
            page(found, "1", live=1)
            return outcome - start, changes - start, time.process_time() - start

        print(
            f"milliseconds after the file was read; the editor is waited for {1000 * PAUSE:.0f} to {2000 * PAUSE:.0f}"
        )
        print(f"{'edit of':<22}{'outcome':>9}{'changes':>9}{'page':>7}   from nothing")
        for name, (was, becomes) in EDITS.items():
            assert was in text, name
            again, kept, fresh = Again(), [], []
            for run in range(RUNS + 1):
                file.write_text(text.replace(was, becomes(run), 1), encoding="utf-8")
                again.edited()
                times = seconds(again)
                if run:  # the first is from nothing
                    kept.append(times)
                    fresh.append(seconds(None))
            shown = [[1000 * statistics.median(each) for each in zip(*times, strict=True)] for times in (kept, fresh)]
            print(
                f"{name:<22}{shown[0][0]:9.0f}{shown[0][1]:9.0f}{shown[0][2]:7.0f}",
                *(f"{each:6.0f}" for each in shown[1]),
            )


if __name__ == "__main__":
    main()
