"""The parts list as text, for the full record."""

from __future__ import annotations

from buildcheck.build import Build
from buildcheck.job.parts_list import parts_list
from buildcheck.output import parts_words, uses
from buildcheck.output.text_layout import Page
from buildcheck.output.words import printable

COLUMN = 24


def parts(page: Page, build: Build) -> None:
    """The parts of a build with their lengths at ride height, and what the spec does not state of them."""
    listed = parts_list(build)
    page.heading("PARTS")
    page.text("Lengths are at ride height, from joint centre to joint centre; of a pair, each.", 2, 4)
    system = build.units
    for row in parts_words.rows(listed):
        part, stated = row.part, parts_words.facts(row.part.facts, system)
        if not part.spans and not part.pieces and not part.unknown:
            page.text(f"{row.name}: {stated}", 2, 6)
            continue
        page.text(row.name, 2, 4)
        for number, span in enumerate(part.spans):
            page.field("" if number else "length", parts_words.span(span, system), indent=6, column=COLUMN)
        if stated:
            page.field("as stated", stated, indent=6, column=COLUMN)
        for name, said in parts_words.pieces(part, system):
            page.field(name, said, indent=6, column=COLUMN)
        if lacking := parts_words.not_stated(part):
            page.field("not stated", lacking, indent=6, column=COLUMN)
    if said := uses.in_words("inspection", build.given()):
        page.text(f"For information only. {said}", 2, 4)
    if listed.absent:
        page.text(printable(f"not in the spec: {', '.join(listed.absent)}"), 2, 4)
