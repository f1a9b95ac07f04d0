"""Parts of a build by the kinds that have quantities, and pairs of parts on both sides."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import ClassVar, Generic

from buildcheck.build import Build, Part, Side, Sides
from buildcheck.build.part import PartType


class Pair(Generic[PartType]):
    """A part that is on both sides, for checks that compare the two. Written `Pair[Link]` as the kind of a check."""

    side: ClassVar[Side] = Side.CENTRE

    def __init__(self, label: str, sides: Sides[PartType]) -> None:
        self.label = label
        self.path = sides.path
        self.left: PartType = sides.left
        self.right: PartType = sides.right

    @property
    def written_once(self) -> bool:
        """Whether the spec writes it once, under `both`, so that the right one is the mirror image of the left one."""
        return self.left.path == self.right.path


def _named(section: str) -> Callable[[Build], Iterator[Part]]:
    """Make a function that yields every part of a section with named parts, in an order independent of the file's."""

    def parts(build: Build) -> Iterator[Part]:
        named = getattr(build, section)
        return (part for name in sorted(named) for part in named[name])

    return parts


def _links_and_bar(build: Build) -> Iterator[Part]:
    """Yield every link, and the lateral bar of a build that has one."""
    yield from _named("links")(build)
    if build.has("lateral_bar"):
        yield build.lateral_bar


SUBJECTS: dict[str, Callable[[Build], Iterator[Part]]] = {
    "link": _named("links"),
    "link-or-bar": _links_and_bar,
    "coilover": _named("coilovers"),
    "limit-strap": _named("limit_straps"),
    "bump-stop": _named("bump_stops"),
    "brake-line": _named("brake_lines"),
    "attachment": _named("attachments"),
}
