"""What rules are called with: the parts of a build, by kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from buildcheck.build import Build, Missing, Part, Sides
from buildcheck.build.attachment import Attachment
from buildcheck.build.linkage import Link


class Pair:
    """A part that stands on both sides, for rules that hold the two against each other."""

    def __init__(self, label: str, sides: Sides[Any]) -> None:
        self.label = label
        self.path = sides.path
        self.left: Part = sides.left
        self.right: Part = sides.right


def _pairs(build: Build) -> Iterator[Pair]:
    groups: list[tuple[str, Sides[Any]]] = []
    for section in ("links", "attachments"):
        if build.has(section):
            named = getattr(build, section)
            groups.extend((next(iter(named[name])).label, named[name]) for name in sorted(named))
    for section in ("coilovers", "limit_straps", "bump_stops", "brake_lines"):
        if build.has(section):
            sides = getattr(build, section)
            groups.append((next(iter(sides)).label, sides))
    if build.has("steering") and build.steering.has("kingpins"):
        groups.append((next(iter(build.steering.kingpins)).label, build.steering.kingpins))
    pairs = [Pair(label.split(" ", 1)[1], sides) for label, sides in groups if sides.is_pair]
    if not pairs:
        raise Missing("links")
    return iter(pairs)


def _links(build: Build) -> Iterator[Link]:
    return (link for name in sorted(build.links) for link in build.links[name])


def _attachments(build: Build) -> Iterator[Attachment]:
    return (part for name in sorted(build.attachments) for part in build.attachments[name])


SUBJECTS: dict[str, Callable[[Build], Iterator[Part | Pair]]] = {
    "build": lambda build: iter((build,)),
    "link": _links,
    "coilover": lambda build: iter(build.coilovers),
    "limit-strap": lambda build: iter(build.limit_straps),
    "bump-stop": lambda build: iter(build.bump_stops),
    "attachment": _attachments,
    "pair": _pairs,
}
