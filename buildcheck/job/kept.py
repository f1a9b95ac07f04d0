"""Values that follow from a build, each computed once, and carried over to a changed build where they still hold.

Every value is kept together with what it was computed from: the fields of the build that were read, and other kept
values. A changed build takes over each value that read nothing of what was changed. So a change of one bracket
computes anew what depends on that bracket, and nothing else.
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
from buildcheck.build.reads import NOTES
from buildcheck.job.curve import Unreached

Value = TypeVar("Value")

SLOW = "slow"
"""What is noted by a computation that takes long: the loads, the gaps, the limits of the travel."""


class Entry:
    """A kept value, or the Missing or Unreached that was raised in place of one; and what it was computed from: cells
    of the build, and other entries."""

    __slots__ = ("_took_long", "basis", "error", "has_no_parts", "value")

    def __init__(self, value: Any, error: Missing | Unreached | None, basis: frozenset[Any]) -> None:
        self.value = value
        self.error = error
        self.basis = basis
        self._took_long: bool | None = None
        self.has_no_parts: bool | None = None  # not known before a changed build asks for it

    @property
    def took_long(self) -> bool:
        """Whether something that takes long was computed on the way to the value."""
        if self._took_long is None:
            self._took_long = SLOW in self.basis or any(
                each.took_long for each in self.basis if isinstance(each, Entry)
            )
        return self._took_long

    def get(self) -> Any:
        """The value. Raises what was raised in its place."""
        if NOTES.now is not None:
            NOTES.now.add(self)
        if self.error is not None:
            raise copy(self.error)  # one that is raised again collects what happened since
        return self.value


class Store:
    """What is kept of one build; `like` is the store of the build that this one is a change of."""

    def __init__(self, build: Build, like: Store | None = None) -> None:
        self._build = build
        self._like = like
        self._entries: dict[Hashable, Entry] = {}
        self._holding: dict[Entry, bool] = {}
        self._found: Difference | None = None

    def entry(self, what: Hashable, compute: Callable[[], Any], made_from: Entry | None = None) -> Entry:
        """The entry of a value; `made_from` is what the object that computes it was made from."""
        entry = self._known(what)
        if entry is None:
            entry = self._entries[what] = _computed(compute, made_from)
        return entry

    def carries(self, what: Hashable) -> bool:
        """Whether the same is kept of the build that this one is a change of, and holds of this one too."""
        entry = None if self._like is None else self._like._known(what)
        return entry is not None and self._holds(entry)

    def _known(self, what: Hashable) -> Entry | None:
        """The entry of a value that is known already, here or of the build that this is a change of."""
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
        """Whether an entry of the other build read nothing that differs in this one."""
        known = self._holding.get(entry)
        if known is None:
            changed = self._difference.cells
            known = all(self._holds(each) if isinstance(each, Entry) else each not in changed for each in entry.basis)
            self._holding[entry] = known
        return known

    def _renewed(self, entry: Entry) -> Entry | None:
        """The entry with the parts of this build in place of the other's; None where it is not known what it holds."""
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
            outer.update(basis)  # whoever catches it depends on what led to it
        raise
    finally:
        NOTES.now = outer
    return Entry(value, error, frozenset(basis))


class Keeper:
    """An object that computes values of a build on first use, and keeps them in the build's store under its `key`.

    Whatever is computed by one key must follow from the build and the key alone.
    """

    def __init__(self, store: Store, *key: Hashable) -> None:
        self.store = store
        self.key = key
        self._own: dict[Hashable, Entry] = {}
        # What led to the making of this object led to its values too.
        self._made_from = Entry(None, None, frozenset(NOTES.now)) if NOTES.now else None

    def keep(self, what: Hashable, compute: Callable[[], Value]) -> Value:
        """A value that follows from the build, computed once. A changed build takes it over where it still holds."""
        entry = self._own.get(what)
        if entry is None:
            entry = self._own[what] = self.store.entry((*self.key, what), compute, self._made_from)
        value: Value = entry.get()
        return value

    def took_long(self, what: Hashable) -> bool:
        """Whether something that takes long was computed on the way to a value that has been asked for."""
        return self._own[what].took_long

    def has_kept(self, what: Hashable) -> bool:
        """Whether a value has been asked for, and there is one."""
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
    """A value holds an object of which it is not known what it holds in turn."""


# Values that hold no part of a build.
_PLAIN = (
    type(None), str, int, float, bytes, Enum, range, type, np.ndarray, np.generic, Point, Vector, Missing, Unreached,
)  # fmt: skip


class _Holds(Enum):
    """How the values of a class hold others."""

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
    """A value with other parts in place of some, by their identity; the same object where it holds none of these.

    Raises _Opaque for an object that cannot be looked into.
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
    """Whether a value that can be looked into holds no part of a build."""
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
