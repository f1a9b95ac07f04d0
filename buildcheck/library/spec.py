"""Valid specs for Python programs: read from a file, and changed."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from buildcheck.build import Build, read_again, read_build
from buildcheck.build.fits import fits
from buildcheck.output import outcome
from buildcheck.output.sheet import place
from buildcheck.plugins.loading import Collected, usual
from buildcheck.plugins.standard_output import prints_to_standard_error
from buildcheck.spec.arguments import FILE, NONE, TRUE_OR_FALSE, Kind, instance, refuse_any
from buildcheck.spec.document import Document, Unreadable, read_file
from buildcheck.spec.place import Problem, split
from buildcheck.spec.written import plain, with_written

PLUGINS = instance("what buildcheck.load_plugins returned", Collected)


class SpecProblems(ValueError):
    """A file cannot be read, or is not a valid spec.

    `problems` holds one entry for each mistake, in the order of the file: `sentence`, `path`, `line` and `column` (from
    1). `file` is its name. `readable` says whether the text could be parsed, so that all of it was checked.
    """

    def __init__(self, file: str, problems: Sequence[Problem], readable: bool = True) -> None:
        super().__init__(file, problems, readable)
        self.file = file
        self.problems = tuple(problems)
        self.readable = readable

    def __str__(self) -> str:
        return "\n".join(
            f"{place(self.file, each.line, each.column, each.path)}: {each.sentence}" for each in self.problems
        )


@dataclass(frozen=True, eq=False)
class Spec(outcome.Spec):
    """A valid build spec; made by `buildcheck.read` and by `changed`.

    `file` is its name, `build` the build that it describes, in SI units and vehicle axes (ISO 8855: x forward, y left,
    z up), `plugins` the plugins that it was read with. It never changes.

    Two specs are equal where they state the same values, as written, and were read with the same plugins. The name of
    the file, comments, layout and the order of keys make no difference.
    """

    plugins: Collected

    def changed(self, changes: Mapping[str, Any], *, checked: bool = False) -> Spec:
        """A new spec with other values at some spec paths, checked as a file would be.

        Paths are those of the readings (`lateral_bar.frame`), with `.x`, `.y` or `.z` for one coordinate of a point.
        Values are as a spec writes them: a number in the units of the spec, or text with a unit. A path into `left` or
        `right` of a part under `both` first splits it into the two. The last key may be new. Only what a change
        can affect is checked; with `checked`, the whole spec.

        Raises SpecProblems for a path that is not in the spec and for a value that its field does not allow; the line
        and column are those of the nearest key in the file.
        """
        from buildcheck.spec.schema import problems_in

        refuse_any((("changes=", changes, _CHANGES), ("checked=", checked, TRUE_OR_FALSE)))
        document, sections = self.document, set()
        problems: list[Problem] = []
        for path, value in changes.items():
            try:
                document = replace(document, legible=with_written(document.legible, path, plain(value)))
                sections.add(str(split(path)[0]))
            except (LookupError, ValueError) as unknown:
                problems.append(Problem(str(unknown.args[0]), path, *(self.position(path) or (1, 1))))
        whole = checked or "units" in sections  # every bare number depends on the units
        with prints_to_standard_error():  # a plugin's schema may run code
            find = partial(problems_in, document, additions=self.plugins.additions)
            for path in () if problems or whole else changes:
                problems.extend(each for each in find(changed=path) if each not in problems)
            if whole and not problems:
                problems.extend(find())
        if problems:
            raise SpecProblems(self.file, sorted(problems, key=lambda each: (each.line, each.column)))
        return replace(self, document=document, build=read_again(self.build, document.data, sections))

    @property
    def text(self) -> str:
        """The text of the file, with the changes made by `changed`; everything else as it was, byte for byte.

        Comments, order, spacing, quotes, fractions and line ends stay. Write it with `encoding="utf-8", newline=""`.
        Raises ValueError, with the spec path, where a change cannot be written without a change elsewhere.
        """
        from buildcheck.spec.rewriting import text_holding

        return text_holding(self.document.text, self.document.data)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Spec):
            return NotImplemented
        return self._stated == other._stated and self.plugins == other.plugins

    def __hash__(self) -> int:
        return hash(self._stated)

    @property
    def _stated(self) -> Any:
        return _frozen(self.document.data)

    def __reduce__(self) -> tuple[Any, ...]:
        # The build is read again: plugins may add functions to it, which do not pickle.
        return _restored, (self.file, self.document, self.plugins)

    def __repr__(self) -> str:
        return f"<Spec {self.file!r}>"


_CHANGES = Kind(
    "a mapping from spec paths to values",
    lambda value: isinstance(value, Mapping) and all(isinstance(path, str) for path in value),
)

SPEC = instance("a Spec, as buildcheck.read returns", Spec)


def _frozen(data: Any) -> Any:
    """Plain data as a hashable value that keeps true apart from 1."""
    if isinstance(data, dict):
        return frozenset((key, _frozen(value)) for key, value in data.items())
    if isinstance(data, list):
        return tuple(map(_frozen, data))
    return (isinstance(data, bool), data)


def _restored(file: str, document: Document, plugins: Collected) -> Spec:
    return Spec(file, document, _build(document, plugins), plugins)


def _build(document: Document, plugins: Collected) -> Build:
    return read_build(document.data, plugins.additions)


def read(path: str | os.PathLike[str], *, plugins: Collected | None = None) -> Spec:
    """Read a build spec from a file.

    `plugins` is the result of `buildcheck.load_plugins`; without it, the built-in rules and the installed plugins are
    used. Raises SpecProblems, with every mistake and its place, where the file cannot be read or is not a valid spec,
    so no invalid spec is ever inspected.
    """
    refuse_any((("read()", path, FILE), ("plugins=", plugins, PLUGINS | NONE)))
    with prints_to_standard_error():
        chosen = usual() if plugins is None else plugins
        return spec_from(lambda: read_file(os.fspath(path)), chosen, os.fspath(path))


def spec_from(text: Callable[[], Document], plugins: Collected, file: str = "standard input") -> Spec:
    """The spec in the document that `text()` reads. Raises SpecProblems, as `read` does."""
    try:
        document = text()
    except Unreadable as unreadable:
        raise SpecProblems(file, unreadable.problems, readable=False) from None
    if document.problems or not fits(document.legible, plugins.additions):
        # Whatever can say what is wrong is only loaded where something is.
        from buildcheck.spec.schema import problems_in

        problems = problems_in(document, additions=plugins.additions)
        if problems:
            raise SpecProblems(file, problems)
    return Spec(file, document, _build(document, plugins), plugins)
