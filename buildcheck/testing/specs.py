"""Sound specs, and specs with something changed, as plain data; and the way from data to a build."""

from __future__ import annotations

import json
from collections.abc import Mapping
from copy import deepcopy
from functools import cache
from importlib.resources import files
from typing import Any

from buildcheck.build import Build, read_build
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.document import Document, read_text
from buildcheck.spec.schema import problems_in
from buildcheck.spec.written import with_written

SOUND = "tamarack/proposal.buildcheck.yaml"
"""The spec that samples change: an invented truck on radius arms, with everything that a spec can say of one."""


@cache
def _example(name: str) -> Document:
    text = files("buildcheck_examples").joinpath(*name.split("/")).read_text(encoding="utf-8")
    return read_text(text, name)


def sound_spec(name: str = SOUND) -> dict[str, Any]:
    """The plain data of an example that comes with buildcheck, as its file has it; a copy of its own for each caller.

    Without a name, the truck that samples change. Others: `three-link-metric.buildcheck.yaml`,
    `four-link-rear.buildcheck.yaml`, `minimal.buildcheck.yaml`. Raises FileNotFoundError for one that there is not.
    """
    return deepcopy(_example(name).data)


def sound_build(name: str = SOUND) -> Build:
    """The same as a build."""
    return read_build(_example(name).data)


def changed(spec: dict[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The data of a spec with other values at some spec paths; the data handed in stays as it was.

    All but the last step of a path must be there, except under `shop`, which need not be; the last may be new. A step
    into `left` or `right` of what is written under `both` parts it first, the right the mirror image of the left.
    Raises LookupError, naming the path, where a step is not there.
    """
    data: Any = spec
    for path, value in changes.items():
        data = with_written(data, path, value)
    return deepcopy(data)  # so that no change to the one reaches the other


def document_of(data: Mapping[str, Any]) -> Document:
    """The data written as a spec, and read again."""
    return read_text(json.dumps(data, indent=1), "a spec")


def build_of(data: Mapping[str, Any], additions: Additions = NOTHING_ADDED) -> Build:
    """The build that a spec's data describes, read as a file of it would be. `additions` are the names that plugins
    add: `rules_in(file).additions`. Raises AssertionError, with every mistake, where it is no valid spec."""
    document = document_of(data)
    problems = problems_in(document, additions=additions)
    if problems:
        raise AssertionError("no valid spec: " + "; ".join(f"{each.path}: {each.sentence}" for each in problems))
    return read_build(document.data, additions)
