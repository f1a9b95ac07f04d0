"""The parts list as JSON, a part of the inspection record."""

from __future__ import annotations

from typing import Any

from buildcheck.job.parts_list import Fact, ListedPart, Piece, Span, parts_list
from buildcheck.output import parts_words, uses, words
from buildcheck.output.outcome import Spec
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension


def parts(spec: Spec) -> dict[str, Any]:
    """The parts of a build with their lengths, the sections that the spec lacks, and what is for information."""
    listed = parts_list(spec.build)
    return {
        "listed": [_part(spec, part) for part in listed.parts],
        "absent": list(listed.absent),
        "for_information": uses.as_json("inspection", spec.build.given()),
    }


def _part(spec: Spec, part: ListedPart) -> dict[str, Any]:
    return {
        "kind": part.kind,
        "label": printable(part.label),
        "side": part.side.value,
        "path": printable(part.path),
        "lengths": [_length(spec, span) for span in part.spans],
        "facts": [fact(spec, each) for each in part.facts],
        "pieces": [_piece(spec, piece) for piece in part.pieces],
        "unknown": [printable(path) for path in part.unknown],
    }


def _length(spec: Spec, span: Span) -> dict[str, Any]:
    value = span.value
    shown = "" if value is None else words.amount(value, Dimension.LENGTH, spec.build.units)
    return {"name": span.name, "si": value, "shown": shown, "why": printable(span.why)}


def _piece(spec: Spec, piece: Piece) -> dict[str, Any]:
    return {
        "kind": piece.kind,
        "name": piece.name,
        "path": printable(piece.path),
        "stated": piece.stated,
        "facts": [fact(spec, each) for each in piece.facts],
    }


def fact(spec: Spec, one: Fact) -> dict[str, Any]:
    """The value that the spec states under one field of a part."""
    return {
        "name": one.name,
        "path": printable(one.path),
        "si": one.value if one.dimension is not None else None,
        "shown": parts_words.value(one, spec.build.units),
    }
