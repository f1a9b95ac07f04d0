"""Reports made as the command makes them, for the tests of what is in them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from buildcheck.build import Build, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.page import page
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file, read_text
from buildcheck.spec.schema import problems_in

TODAY = date(2026, 4, 2)
"""The day by which waivers and records are judged: no example is dated later."""


def inspected(spec: Path | str) -> Inspected:
    """A spec, as a path or as text, inspected by the built-in rules."""
    document = read_file(spec) if isinstance(spec, Path) else read_text(spec, "text")
    assert not problems_in(document)
    build: Build = read_build(document.data)
    name = spec.name if isinstance(spec, Path) else "text"
    inspection = inspect(build, collect().rules, today=TODAY)
    return Inspected(name, document, build, inspection, inspection.later)


def report_of(spec: Path | str, *, paper: str = "") -> str:
    """The page of a spec."""
    return page(inspected(spec), "1.2.3", paper=paper)
