"""Differences between a changed build and the original."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildcheck.build.part import Part, Sides, fields
from buildcheck.build.reads import Cell


class Difference:
    """The difference of two builds. Parts that both builds share are not looked into.

    cells:     the fields whose value differs, and all fields of parts that only one of the builds has
    replaced:  the new part for each old one that differs, or that holds one that does, by the identity of the old one
    """

    def __init__(self, old: Part, new: Part) -> None:
        self.cells: set[Cell] = set()
        self.replaced: dict[int, Part] = {}
        self._old = old  # kept alive, so that no other object gets the identity of one of its parts
        if old is not new:
            self._compare_parts(old, new)

    def _compare_parts(self, old: Part, new: Part) -> None:
        self.replaced[id(old)] = new
        for name in fields(type(old)):
            one, other = vars(old).get(name), vars(new).get(name)
            if one is not other:
                self._compare(one, other, (old.path, name))

    def _compare(self, old: Any, new: Any, cell: Cell) -> None:
        if isinstance(old, Part) and isinstance(new, Part) and _same_place(old, new):
            self._compare_parts(old, new)
            return
        one, other = _held(old), _held(new)
        if one is not None and other is not None and type(old) is type(new) and list(one) == list(other):
            for name, value in one.items():
                if value is not other[name]:
                    self._compare(value, other[name], cell)
        elif type(old) is not type(new) or old != new:
            self.cells.add(cell)
            self._all_fields(old)
            self._all_fields(new)

    def _all_fields(self, value: Any) -> None:
        if isinstance(value, Part):
            self.cells.update((value.path, name) for name in fields(type(value)))
            for inner in vars(value).values():
                self._all_fields(inner)
        else:
            for inner in (_held(value) or {}).values():
                self._all_fields(inner)


def _same_place(old: Part, new: Part) -> bool:
    return type(old) is type(new) and (old.path, old.side, old.label) == (new.path, new.side, new.label)


def _held(value: Any) -> Mapping[Any, Any] | None:
    """Return the values in a container, by name, side or number; None for anything else."""
    if isinstance(value, Sides):
        return {part.side: part for part in value}
    if isinstance(value, Mapping):
        return value
    return dict(enumerate(value)) if type(value) is tuple else None
