"""Values computed from a build, each once, and reused for a changed build where they are still valid.

Every value is kept together with its basis: the fields of the build that were read, and other kept values. A changed
build reuses each value whose basis does not include a changed field. So a change of one bracket recomputes only the
values that depend on that bracket.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from copy import copy
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache, partial
from operator import is_
from types import MappingProxyType
from typing import Any, Generic, TypeVar, overload

import numpy as np

from buildcheck.build import Build, Missing, Part, Point, Sides, Vector
from buildcheck.build.difference import Difference
from buildcheck.build.reads import NOTES, Cell
from buildcheck.job.curve import Unreached

Value = TypeVar("Value")

SLOW = "slow"
"""Marker in the basis of long computations: the loads, the gaps, the limits of the travel."""


class Entry:
    """A kept value, or the Missing or Unreached that was raised instead; and its basis: cells of the build, and other
    entries."""

    __slots__ = ("_took_long", "basis", "error", "has_no_parts", "value")

    def __init__(self, value: Any, error: Missing | Unreached | None, basis: frozenset[Any]) -> None:
        self.value = value
        self.error = error
        self.basis = basis
        self._took_long: bool | None = None
        self.has_no_parts: bool | None = None  # unknown until a changed build needs it

    @property
    def took_long(self) -> bool:
        """Whether a long computation was needed for the value."""
        if self._took_long is None:
            self._took_long = SLOW in self.basis or any(
                each.took_long for each in self.basis if isinstance(each, Entry)
            )
        return self._took_long

    def get(self) -> Any:
        """Return the value, or raise the error kept instead."""
        if NOTES.now is not None:
            NOTES.now.add(self)
        if self.error is not None:
            raise copy(self.error)  # an error that is raised again would collect a longer traceback
        return self.value


class Store:
    """Kept values of one build; `like` is the store of the build that was changed to get this one."""

    def __init__(self, build: Build, like: Store | None = None) -> None:
        self._build = build
        self._like = like
        self._entries: dict[Hashable, Entry] = {}
        self._holding: dict[Entry, bool] = {}
        self._depends: dict[Entry, frozenset[Cell]] = {} if like is None else like._depends
        self._found: Difference | None = None

    def let_go(self) -> None:
        """Forget the build that was changed to get this one, with all that was not asked for again since."""
        self._like, self._found = None, None
        self._holding, self._depends = {}, {}

    def entry(self, what: Hashable, compute: Callable[[], Any], made_from: Entry | None = None) -> Entry:
        """Return the entry of a value; `made_from` is the basis of the object that computes it."""
        entry = self._known(what)
        if entry is None:
            entry = self._entries[what] = _computed(compute, made_from)
        return entry

    def carries(self, what: Hashable) -> bool:
        """Whether the value is kept for the original build and is valid for this one too."""
        entry = None if self._like is None else self._like._valid(what)
        return entry is not None and self._holds(entry)

    def took_long(self, what: Hashable) -> bool:
        """Whether a long computation was needed for a value; False for one that is not kept."""
        entry = self._known(what)
        return entry is not None and entry.took_long

    def cells(self, what: Hashable) -> frozenset[Cell]:
        """The fields of the build that a kept value depends on; empty for a value that is not kept."""
        entry = self._valid(what)
        return frozenset() if entry is None else self._cells_of(entry)

    def _valid(self, what: Hashable) -> Entry | None:
        """Entry of a value that is kept for this build, or for the original one and is valid here, with the parts of
        either."""
        entry = self._entries.get(what)
        if entry is not None or self._like is None:
            return entry
        entry = self._like._valid(what)
        return entry if entry is not None and self._holds(entry) else None

    def _cells_of(self, entry: Entry) -> frozenset[Cell]:
        known = self._depends.get(entry)
        if known is None:
            inner = [self._cells_of(each) for each in entry.basis if isinstance(each, Entry)]
            known = frozenset(each for each in entry.basis if isinstance(each, tuple)).union(*inner)
            self._depends[entry] = known
        return known

    @property
    def changed(self) -> frozenset[Cell]:
        """The fields that differ from the build that was changed to get this one."""
        return frozenset(self._difference.cells)

    def _known(self, what: Hashable) -> Entry | None:
        """Entry of a value that is already known, for this build or for the original one."""
        entry = self._entries.get(what)
        if entry is not None or self._like is None:
            return entry
        entry = self._like._known(what)
        if entry is None or not self._holds(entry):
            return None
        entry = self._renewed(entry)
        if entry is not None:
            self._entries[what] = entry
        return entry

    @property
    def _difference(self) -> Difference:
        assert self._like is not None
        if self._found is None:
            self._found = Difference(self._like._build, self._build)
        return self._found

    def _holds(self, entry: Entry) -> bool:
        """Whether an entry of the other build is valid here: its basis is the same in both builds."""
        known = self._holding.get(entry)
        if known is None:
            changed = self._difference.cells
            known = changed.isdisjoint(entry.basis) and all(
                self._holds(each) for each in entry.basis if isinstance(each, Entry)
            )
            self._holding[entry] = known
        return known

    def _renewed(self, entry: Entry) -> Entry | None:
        """Copy the entry with the parts of this build in place of the other's; None where its contents are not
        known."""
        replaced = self._difference.replaced
        if entry.has_no_parts or entry.error is not None or not replaced:
            return entry
        try:
            value = _with_parts(entry.value, replaced)
        except _Opaque:
            return None
        if value is not entry.value:
            return Entry(value, None, entry.basis)
        if entry.has_no_parts is None:
            entry.has_no_parts = _has_no_parts(value)
        return entry


def _computed(compute: Callable[[], Any], made_from: Entry | None) -> Entry:
    basis: set[Any] = set() if made_from is None else {made_from}
    outer, NOTES.now = NOTES.now, basis
    value, error = None, None
    try:
        value = compute()
    except (Missing, Unreached) as raised:
        error = raised.with_traceback(None)
    except BaseException:
        if outer is not None:
            outer.update(basis)  # code that catches the error depends on its basis
        raise
    finally:
        NOTES.now = outer
    return Entry(value, error, frozenset(basis))


class Keeper:
    """An object that computes values of a build on first use, and keeps them in the build's store under its `key`.

    The values of one key must depend only on the build and the key.
    """

    def __init__(self, store: Store, *key: Hashable) -> None:
        self.store = store
        self.key = key
        self._own: dict[Hashable, Entry] = {}
        # The basis of this object is part of the basis of its values.
        self._making = NOTES.now
        self._made_from: Entry | None = None

    def keep(self, what: Hashable, compute: Callable[[], Value]) -> Value:
        """Compute a value of the build once. A changed build reuses it where it is still valid."""
        entry = self._own.get(what)
        if entry is None:
            if self._making:  # not before now: what the constructor of a subclass reads belongs to it
                self._made_from, self._making = Entry(None, None, frozenset(self._making)), None
            entry = self._own[what] = self.store.entry((*self.key, what), compute, self._made_from)
        value: Value = entry.get()
        return value

    def carries(self, what: Hashable) -> bool:
        """Whether a value of the original build is valid for this changed one too."""
        return self.store.carries((*self.key, what))

    def cells(self, what: Hashable) -> frozenset[Cell]:
        """The fields of the build that a kept value depends on, at any depth; empty for a value that is not kept."""
        return self.store.cells((*self.key, what))

    def took_long(self, what: Hashable) -> bool:
        """Whether a long computation was needed for a value; False for one that is not kept."""
        return self.store.took_long((*self.key, what))

    def has_kept(self, what: Hashable) -> bool:
        """Whether a value has been requested and found."""
        entry = self._own.get(what)
        return entry is not None and entry.error is None


class kept(Generic[Value]):  # noqa: N801 - it reads as what it does, like `property`
    """A property of a Keeper whose value is kept."""

    def __init__(self, compute: Callable[[Any], Value]) -> None:
        self._compute = compute
        self.__doc__ = compute.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, keeper: None, owner: type) -> kept[Value]: ...
    @overload
    def __get__(self, keeper: Keeper, owner: type) -> Value: ...
    def __get__(self, keeper: Keeper | None, owner: type) -> Any:
        if keeper is None:
            return self
        return keeper.keep(self._name, partial(self._compute, keeper))


class _Opaque(Exception):
    """A value holds an object whose contents are not known."""


# Values that hold no part of a build.
_PLAIN = (
    type(None), str, int, float, bytes, Enum, range, type, np.ndarray, np.generic, Point, Vector, Missing, Unreached,
)  # fmt: skip


class _Holds(Enum):
    """How the values of a class contain other values."""

    NOTHING = 0
    A_PART = 1
    SIDES = 2
    BY_NAME = 3
    IN_ORDER = 4
    IN_NAMED_ORDER = 5
    IN_FIELDS = 6
    UNKNOWN = 7


@cache
def _how(kind: type) -> _Holds:
    if issubclass(kind, _PLAIN) or getattr(kind, "HOLDS_NO_PARTS", False):
        return _Holds.NOTHING
    if issubclass(kind, Part):
        return _Holds.A_PART
    if issubclass(kind, Sides):
        return _Holds.SIDES
    if kind in (dict, MappingProxyType):
        return _Holds.BY_NAME
    if kind in (tuple, list, set, frozenset):
        return _Holds.IN_ORDER
    if issubclass(kind, tuple) and hasattr(kind, "_make"):
        return _Holds.IN_NAMED_ORDER
    return _Holds.IN_FIELDS if is_dataclass(kind) else _Holds.UNKNOWN


def _with_parts(value: Any, replaced: Mapping[int, Part]) -> Any:
    """Replace parts in a value, by their identity; returns the same object where it holds none of these.

    Raises _Opaque for an object whose contents are not known.
    """
    kind: Any = type(value)
    how = _how(kind)
    if how is _Holds.NOTHING:
        return value
    if how is _Holds.A_PART:
        return replaced.get(id(value), value)
    if how is _Holds.SIDES:
        parts = {part.side: replaced.get(id(part), part) for part in value}
        return value if all(part is parts[part.side] for part in value) else Sides(value.path, parts)
    if how is _Holds.BY_NAME:
        named = {_with_parts(name, replaced): _with_parts(held, replaced) for name, held in value.items()}
        return value if _are_same(named.values(), value.values()) else type(value)(named)
    if how is _Holds.UNKNOWN:
        raise _Opaque
    if how is _Holds.IN_FIELDS:
        return _with_parts_in_fields(value, replaced)
    held = [_with_parts(each, replaced) for each in value]
    if _are_same(held, value):
        return value
    return type(value)(held) if how is _Holds.IN_ORDER else type(value)._make(held)


def _with_parts_in_fields(value: Any, replaced: Mapping[int, Part]) -> Any:
    before = {field.name: getattr(value, field.name) for field in fields(value)}
    if not before.keys() >= getattr(value, "__dict__", before).keys():
        raise _Opaque  # it holds more than it declares
    now = {name: _with_parts(each, replaced) for name, each in before.items()}
    if _are_same(now.values(), before.values()):
        return value
    made = object.__new__(type(value))
    for name, each in now.items():
        object.__setattr__(made, name, each)
    return made


def _are_same(some: Iterable[Any], others: Iterable[Any]) -> bool:
    return all(map(is_, some, others))


def _has_no_parts(value: Any) -> bool:
    """Whether the contents of a value are known and include no part of a build."""
    kind: Any = type(value)
    how = _how(kind)
    if how in (_Holds.A_PART, _Holds.SIDES):
        return False
    if how is _Holds.NOTHING:
        return True
    if how is _Holds.BY_NAME:
        return all(map(_has_no_parts, value)) and all(map(_has_no_parts, value.values()))
    if how is _Holds.IN_FIELDS:
        return all(_has_no_parts(getattr(value, field.name)) for field in fields(value))
    return all(map(_has_no_parts, value))
