"""Sound specs and changed specs as plain data, and builds made from data."""

from __future__ import annotations

import json
from collections.abc import Mapping
from copy import deepcopy
from functools import cache
from importlib.resources import files
from typing import Any

from buildcheck.build import Build, read_build
from buildcheck.build.fits import fits
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.document import Document, read_text
from buildcheck.spec.schema import problems_in
from buildcheck.spec.written import with_written

SOUND = "tamarack/proposal.buildcheck.yaml"
"""The spec that samples change: an invented truck on radius arms, with everything that a spec can state."""


@cache
def _example(name: str) -> Document:
    text = files("buildcheck_examples").joinpath(*name.split("/")).read_text(encoding="utf-8")
    return read_text(text, name)


def sound_spec(name: str = SOUND) -> dict[str, Any]:
    """The plain data of an example that comes with buildcheck, as in its file; a new copy for each call.

    Without a name, it is the truck that samples change. Others: `three-link-metric.buildcheck.yaml`,
    `four-link-rear.buildcheck.yaml`, `minimal.buildcheck.yaml`. Raises FileNotFoundError for an unknown name.
    """
    return deepcopy(_example(name).data)


def sound_build(name: str = SOUND) -> Build:
    """The build of an example, as in `sound_spec`."""
    return read_build(_example(name).data)


def changed(spec: dict[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The data of a spec with other values at some spec paths; the data passed in is not changed.

    All steps of a path but the last must exist, except under `shop`; the last may be new. A step into `left` or `right`
    of a part under `both` first splits it into the two, the right the mirror image of the left. Raises LookupError,
    naming the path, where a step does not exist.
    """
    data: Any = spec
    for path, value in changes.items():
        data = with_written(data, path, value)
    return deepcopy(data)  # so that later changes to one do not affect the other


def document_of(data: Mapping[str, Any]) -> Document:
    """The data, written as a spec and read again."""
    return read_text(json.dumps(data, indent=1), "a spec")


def build_of(data: Mapping[str, Any], additions: Additions = NOTHING_ADDED) -> Build:
    """The build of a spec's data, read as from a file. `additions` are the names that plugins
    add: `rules_in(file).additions`. Raises AssertionError, with every mistake, where the spec is not valid."""
    if not is_valid(data, additions):
        problems = problems_in(document_of(data), additions=additions)
        raise AssertionError("not a valid spec: " + "; ".join(f"{each.path}: {each.sentence}" for each in problems))
    return read_build(as_in_a_file(data), additions)


def is_valid(data: Mapping[str, Any], additions: Additions = NOTHING_ADDED) -> bool:
    """Whether a file that holds the data is a valid spec."""
    try:
        in_a_file = as_in_a_file(data)
    except ValueError:  # numbers that no file of ours holds
        return False
    # The classes say yes in a tenth of the time; only of what they do not know is the schema asked.
    return fits(in_a_file, additions) or not problems_in(document_of(data), additions=additions)


def as_in_a_file(data: Mapping[str, Any]) -> Any:
    """The data as it is after writing and reading it. Raises ValueError for a number that is not finite."""
    return json.loads(json.dumps(data, allow_nan=False))
