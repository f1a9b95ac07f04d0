"""A shop's standard in its file, and the standards that it is based on."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from buildcheck.spec.document import Document, Unreadable, read_file
from buildcheck.spec.place import Problem, visible

NEW_NAMES = {"severities": "counts_as"}
"""Sections that had another name before, with the name that they have now."""

MOST = 10
"""The most standards that may build on one another."""


class NotUsable(Exception):
    """A standard that cannot be used; `problems` are the reasons, in the order of the file, at least one."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(problems[0].sentence)
        self.problems = tuple(sorted(problems, key=lambda problem: (problem.line, problem.column)))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.problems,)


class Written(NamedTuple):
    """A standard as it is written: its document, and those of the standards that it is based on, the nearest first."""

    document: Document
    bases: tuple[Document, ...] = ()

    @property
    def plugin_files(self) -> tuple[Path, ...]:
        """The rule files that it names, each from the folder of the standard that names it."""
        return tuple(
            Path(each.name).parent / named
            for each in (self.document, *self.bases)
            for named in each.data.get("plugins", ())
            if is_file(named)
        )

    @property
    def digest(self) -> str:
        """SHA-256 of its text; of all texts, in their order, where it is based on others."""
        texts = [each.text.encode() for each in (self.document, *self.bases)]
        if len(texts) > 1:
            texts = [hashlib.sha256(text).hexdigest().encode() for text in texts]
        return hashlib.sha256(b"".join(texts)).hexdigest()


def is_file(plugin: str) -> bool:
    """Whether a plugin is named as a file or a folder, and not as an installed plugin."""
    return plugin.endswith(".py") or "/" in plugin or "\\" in plugin


def written(document: Document) -> Written:
    """A standard in a document, with all that it is based on.

    Raises NotUsable for one that is not valid, or is based on one that cannot be used.
    """
    bases: list[Document] = []
    seen = {Path(document.name).resolve()}
    here = document
    while base := valid(here).get("based_on"):
        file = Path(here.name).parent / base
        if file.resolve() in seen or len(seen) >= MOST:
            why = "it is based on itself" if file.resolve() in seen else f"more than {MOST} build on one another"
            raise NotUsable([_in_base(document, f"{file} cannot be used: {why}")])
        seen.add(file.resolve())
        try:
            here = read_file(file)
            valid(here)
        except (Unreadable, NotUsable) as refused:
            raise NotUsable(problems_of_base(document, str(file), refused.problems)) from refused
        bases.append(here)
    return Written(document, tuple(bases))


def problems_of_base(document: Document, file: str, problems: Iterable[Problem]) -> list[Problem]:
    """The problems of a base, each with its file and line, at the place where the standard names its base."""
    return [_in_base(document, f"{file}:{each.line}:{each.column}: {each.sentence}") for each in problems]


def _in_base(document: Document, sentence: str) -> Problem:
    position = document.position("based_on")
    return Problem(visible(sentence), "based_on", position.line, position.column)


def valid(document: Document) -> Mapping[str, Any]:
    """The data of a standard. Raises NotUsable for every breach of the schema."""
    # With a library that is loaded for those who have a standard.
    from buildcheck.spec.schema import STANDARD_SCHEMA, problems_in

    problems = problems_in(document, STANDARD_SCHEMA)
    if problems:
        raise NotUsable([_with_new_name(problem) for problem in problems])
    return document.data


def _with_new_name(problem: Problem) -> Problem:
    """The problem; where it is the old name of a section, with the sentence that gives the new name."""
    new = NEW_NAMES.get(problem.path)
    return problem if new is None else problem._replace(sentence=f'"{problem.path}" is now called "{new}"; rename it')
