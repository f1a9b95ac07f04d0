"""The parts list as the report shows it: each part with its length, its pieces, and what the spec does not state."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.build import Build
from buildcheck.job.parts_list import parts_list
from buildcheck.output import parts_words
from buildcheck.output.words import printable


class Row(NamedTuple):
    """A part, or a pair that is the same on both sides: its name, number, lengths, what is stated of it, its pieces by
    name, and the fields that the spec leaves out."""

    name: str
    number: int
    lengths: tuple[str, ...]
    stated: str
    pieces: tuple[tuple[str, str], ...]
    lacking: str


class BuildSheet(NamedTuple):
    """The parts of a build in the order of a walk round it, and the sections that the spec lacks."""

    rows: tuple[Row, ...]
    absent: str


def build_sheet(build: Build) -> BuildSheet:
    """The parts list of a build in words."""
    listed, system = parts_list(build), build.units
    return BuildSheet(
        tuple(
            Row(
                row.name,
                row.number,
                tuple(parts_words.span(span, system) for span in row.part.spans),
                parts_words.facts(row.part.facts, system),
                tuple(parts_words.pieces(row.part, system)),
                parts_words.not_stated(row.part),
            )
            for row in parts_words.rows(listed)
        ),
        printable(", ".join(listed.absent)),
    )
