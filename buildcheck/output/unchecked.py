"""The reasons why something was not checked: each part of the spec that lacks something once, with what needs it."""

from __future__ import annotations

from typing import NamedTuple, get_origin

from buildcheck.build import Build, Missing
from buildcheck.build.part import fields
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.output.outcome import Inspected
from buildcheck.output.words import printable


class Lack(NamedTuple):
    """A reason for not checking, and the readings that it leaves out: the paths that a part of the spec lacks, or a
    reason without a path."""

    part: str
    paths: tuple[str, ...]
    reason: str
    readings: tuple[Reading, ...]


def lacks_of(spec: Inspected) -> list[Lack]:
    """Everything that left a reading unchecked: what the spec lacks in the order of a spec, then the other reasons."""
    paths: dict[str, dict[str, None]] = {}
    needing: dict[str, list[Reading]] = {}
    others: dict[str, list[Reading]] = {}
    for reading in spec.with_verdict(Verdict.NOT_CHECKED):
        for part in dict.fromkeys(map(_part_of, reading.missing)):
            needing.setdefault(part, []).append(reading)
        for path in reading.missing:
            paths.setdefault(_part_of(path), {})[path] = None
        if reading.other_reason or not reading.missing:
            others.setdefault(reading.other_reason or "no reason given", []).append(reading)
    sections = {section: number for number, section in enumerate(fields(Build))}
    parts = sorted(paths, key=lambda part: sections.get(part.partition(".")[0], len(sections)))
    return [
        *(Lack(part, tuple(paths[part]), "", tuple(needing[part])) for part in parts),
        *(Lack("", (), reason, tuple(readings)) for reason, readings in others.items()),
    ]


def in_words(spec: Inspected, lack: Lack, where: str) -> str:
    """The lack in words: `vehicle lacks track and wheelbase`, with `where` the part is, if it is in the spec."""
    if not lack.paths:
        return printable(lack.reason)
    # What is needed of a piece says that the piece is.
    least = [path for path in lack.paths if not any(other.startswith(f"{path}.") for other in lack.paths)]
    inner = [printable(path.removeprefix(f"{lack.part}.")) for path in least if path != lack.part]
    if not inner or not is_stated(spec, lack.part):
        return f"{printable(lack.part)} is not in the spec{f'; it needs {_and(inner)}' if inner else ''}"
    return f"{printable(lack.part)} lacks {_and(inner)}{f'; it is at {where}' if where else ''}"


def is_stated(spec: Inspected, path: str) -> bool:
    """Whether the spec states something at a path."""
    try:
        spec.build.value(path)
    except (Missing, ValueError):  # a plugin's rule may call anything a place
        return False
    return True


def _part_of(path: str) -> str:
    """The part of the spec that a path is of: a section, or of one that holds parts by name the part of one side."""
    steps = path.split(".")
    return ".".join(steps[: 3 if len(steps) > 3 and get_origin(fields(Build).get(steps[0])) is dict else 1])


def _and(names: list[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
