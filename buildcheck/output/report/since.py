"""Changes since an earlier state of the build, as the report shows them: in words, made elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from buildcheck.checks.limit import Verdict
from buildcheck.output import compare_words as said
from buildcheck.output.compare_text import MOST_MOVED, Named
from buildcheck.output.words import count, printable
from buildcheck.shop.comparison import Comparison, Turn
from buildcheck.spec.quantity import System


class Since(NamedTuple):
    """A comparison of this build with an earlier state of it."""

    found: Comparison
    earlier: Named


class Group(NamedTuple):
    """Differences of one kind: a heading, each difference with what is said of it, and how many are not listed."""

    heading: str
    rows: tuple[tuple[str, str], ...]
    left_out: str = ""


class Differences(NamedTuple):
    """Changes since an earlier state: that state in words, the outcome, and the differences by kind."""

    earlier: str
    tally: str
    groups: tuple[Group, ...]


def differences(since: Since | None, system: System) -> Differences | None:
    """The differences in words; None where nothing was asked for."""
    if since is None:
        return None
    found = since.found
    standard = f"; {since.earlier.standard}" if since.earlier.standard else ""
    earlier = printable(f"{since.earlier.build} ({since.earlier.file}, stage {found.before.value}{standard})")
    inputs = tuple(
        (path, change) for path, _, change in (line.partition(": ") for line in said.inputs(found.inputs, system))
    )
    limits = tuple(
        (name, change) for name, _, change in (said.limit(each, system).partition(": ") for each in found.limits)
    )
    groups = (
        Group("Changed in the spec", inputs),
        Group("Got worse", _turned(found.worse, system)),
        Group("Got better", _turned(found.better, system)),
        _one_sided("Only in the earlier one", found.vanished, system),
        _one_sided("New", found.appeared, system),
        Group("Other limits", limits),
        Group(
            "Moved, within the same verdict",
            tuple((said.title(turn), said.numbers(turn, system)) for turn in found.moved[:MOST_MOVED]),
            _more(len(found.moved) - MOST_MOVED, "number that moved less", "numbers that moved less"),
        ),
    )
    return Differences(earlier, said.tally(found), tuple(each for each in groups if each.rows or each.left_out))


def _turned(turns: Sequence[Turn], system: System) -> tuple[tuple[str, str], ...]:
    return tuple((said.title(turn), said.turned(turn, system)) for turn in turns)


def _one_sided(heading: str, turns: Sequence[Turn], system: System) -> Group:
    """Readings that one of the two has; of those within limits there may be hundreds, which are counted."""
    shown = [turn for turn in turns if turn.one.verdict != Verdict.OK.value]
    more = _more(len(turns) - len(shown), "reading within limits", "readings within limits")
    return Group(heading, _turned(shown, system), more)


def _more(number: int, one: str, many: str) -> str:
    return f"and {count(number, one, many)}" if number > 0 else ""
