"""Parts that all sheets share: the head, places in a spec, and the refusal of one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildcheck.output import words
from buildcheck.output.outcome import Refused, Spec
from buildcheck.output.text_layout import Page
from buildcheck.output.words import count, printable
from buildcheck.plugins.used import PluginUsed, own
from buildcheck.spec.document import Problem

_HEAD_COLUMN = 12


def head(page: Page, label: str, text: str) -> None:
    """A line of the head of a sheet."""
    page.field(label, text, indent=2, column=_HEAD_COLUMN)


def stated(spec: Spec, name: str) -> str:
    """The spec's statement on the build as a whole under a name; "" where it has none."""
    information = spec.build.build if spec.build.has("build") else None
    return printable(str(getattr(information, name))) if information is not None and information.has(name) else ""


def build_name(spec: Spec) -> str:
    """The build by name, revision and date: `Tamarack, revision B (2026-03-14)`."""
    revision = f", revision {stated(spec, 'revision')}" if stated(spec, "revision") else ""
    dated = f" ({stated(spec, 'date')})" if stated(spec, "date") else ""
    return f"{stated(spec, 'name') or 'not named'}{revision}{dated}"


def build_head(page: Page, spec: Spec) -> None:
    """The lines that say which build it is."""
    head(page, "build", build_name(spec))
    head(page, "shop", stated(spec, "shop") or "not named")
    head(page, "use", stated(spec, "intended_use") or "not stated")
    head(page, "holds", words.kind_of_build(spec.build) or "nothing of the truck yet")


def spec_head(page: Page, spec: Spec) -> None:
    """The line that says which file it was read from, and its units."""
    head(page, "spec", f"{printable(spec.file)}, in {spec.build.units.value} units")


def plugins_head(page: Page, plugins: Iterable[PluginUsed]) -> None:
    """A line for each plugin that counted, but for the built-in rules."""
    for plugin in own(plugins):
        head(page, "plugin", printable(plugin.words))


def refusal(page: Page, spec: Refused, heading: str) -> None:
    """A sheet that was not made, with all mistakes in the spec."""
    page.heading(heading)
    head(page, "spec", printable(spec.file))
    page.blank()
    what = "The spec is not a valid build spec" if spec.readable else "The spec cannot be read"
    if spec.standard:
        what = f"The shop standard {printable(spec.standard)} cannot be used"
    page.text(f"{what}; {count(len(spec.problems), 'thing')} to put right in it:", 2)
    for problem in spec.problems:
        page.text(place(spec.problem_file, problem.line, problem.column, problem.path), 2, 4)
        page.text(printable(problem.sentence), 4)


def standard_refused(file: str, problems: Sequence[Problem]) -> str:
    """A shop's standard that cannot be used, with all its mistakes."""
    page = Page(None, colour=False)
    page.heading("SHOP STANDARD: NOT USED")
    page.text(f"{count(len(problems), 'thing')} to put right in {printable(file)}, so nothing was done:", 2)
    for problem in problems:
        page.text(place(file, problem.line, problem.column, problem.path), 2, 4)
        page.text(printable(problem.sentence), 4)
    return str(page)


def lacks(spec: Spec, path: str) -> str:
    """A path that the spec lacks and where it would go: below the nearest key that is there, or as a section of
    its own."""
    lacking = f"{printable(path)} is not in the spec"
    position = spec.position(path)
    if position is None or "." not in path:
        return lacking
    return f"{lacking}; it goes under {place(spec.file, position.line, position.column, '')}"


def line_of(spec: Spec, path: str) -> str:
    """A place by its path and line, where the file is named elsewhere: `links.arm.both.frame, line 63`."""
    position = spec.position(path)
    return printable(path) if position is None else printable(f"{path}, line {position.line}")


def place_of(spec: Spec, path: str) -> str:
    """A place as `place` puts it, from a spec path alone."""
    position = spec.position(path)
    if position is None:
        return printable(path)
    return place(spec.file, position.line, position.column, path)


def place(file: str, line: int, column: int, path: str) -> str:
    """A place in a spec: `tamarack.buildcheck.yaml:41:7 links.arm.both.frame`."""
    return printable(f"{file}:{line}:{column} {path}".rstrip())
