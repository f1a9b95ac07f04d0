"""The base class of the parts of the build, and how a part is read from the spec's plain data.

A part is a class that only declares its fields. The declarations say everything that reading needs: which
dimension a number has, which fields are points, which are parts of their own, and which come in left and right.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum
from functools import cache
from inspect import get_annotations
from types import MappingProxyType
from typing import (
    Annotated,
    Any,
    ClassVar,
    Generic,
    NamedTuple,
    Self,
    TypeVar,
    get_args,
    get_origin,
)

from buildcheck.build.field import Field
from buildcheck.build.reads import NOTES
from buildcheck.spec.place import with_side
from buildcheck.spec.quantity import Dimension, System, parse


class KnownBy(StrEnum):
    """Tool that measures a number of the spec on the vehicle, where it is neither chosen nor a maker's figure."""

    TAPE = "tape"
    GAUGE = "gauge"
    SCALE = "scale"


Length = Annotated[float, Dimension.LENGTH]
TapedLength = Annotated[float, Dimension.LENGTH, KnownBy.TAPE]
GaugedAngle = Annotated[float, Dimension.ANGLE, KnownBy.GAUGE]
WeighedMass = Annotated[float, Dimension.MASS, KnownBy.SCALE]
Angle = Annotated[float, Dimension.ANGLE]
Mass = Annotated[float, Dimension.MASS]
Force = Annotated[float, Dimension.FORCE]
Stiffness = Annotated[float, Dimension.STIFFNESS]
TorsionalStiffness = Annotated[float, Dimension.TORSIONAL_STIFFNESS]
Pressure = Annotated[float, Dimension.PRESSURE]
Torque = Annotated[float, Dimension.TORQUE]
Speed = Annotated[float, Dimension.SPEED]
Temperature = Annotated[float, Dimension.TEMPERATURE]
Ratio = Annotated[float, Dimension.RATIO]
Current = Annotated[float, Dimension.CURRENT]
Voltage = Annotated[float, Dimension.VOLTAGE]


class Side(StrEnum):
    """The side of the vehicle that a part is on, as seen by its driver."""

    LEFT = "left"
    RIGHT = "right"
    CENTRE = "centre"


class Point(NamedTuple):
    """A point in vehicle axes (ISO 8855: x forward, y left, z up; origin on the floor), metres."""

    x: float
    y: float
    z: float

    def mirrored(self) -> Point:
        """The same point on the other side of the vehicle's middle plane."""
        return Point(self.x, -self.y, self.z)


class Vector(NamedTuple):
    """A direction in vehicle axes; only its direction counts, not its length."""

    x: float
    y: float
    z: float

    def mirrored(self) -> Vector:
        """The same direction on the other side of the vehicle's middle plane."""
        return Vector(self.x, -self.y, self.z)


class Missing(AttributeError):
    """The spec lacks something that was asked for; `path` says where it would be.

    It is an AttributeError, so that `hasattr(build, "travel")` is False where the spec lacks it.
    """

    def __init__(self, path: str) -> None:
        super().__init__(f"the spec lacks {path}")
        self.path = path

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.path,)


class MetalName(str):
    """One of `METALS`: as the spec writes it, or as a plugin says that what it writes is to be treated."""

    __slots__ = ()


METALS = (
    "carbon-steel", "alloy-steel", "forged-steel", "cast-steel",
    "gray-iron", "ductile-iron", "malleable-iron", "unknown-casting", "aluminium",
)  # fmt: skip


class Unit(NamedTuple):
    """How bare numbers of one spec are read, whether this part is the mirror image of what is written, and which of
    `METALS` each metal is treated as that plugins add."""

    system: System
    mirrored: bool = False
    added_metals: Mapping[str, str] = MappingProxyType({})


class Part:
    """A piece of the build, read from one place in the spec; frozen.

    `path` is where it is written (`coilovers.both`), `label` what a person calls it (`left coilover`).
    An attribute that the class declares and the spec lacks raises `Missing` when it is read.
    """

    path: str
    label: str
    side: Side

    # The description of each field, as the class declares it.
    SAID: ClassVar[Mapping[str, Field]] = MappingProxyType({})
    # Whether it only groups other parts, which then belong to the part above it.
    GROUPS: ClassVar[bool] = False
    # The field whose choice decides which other fields a part has, with those of the groups in it.
    VARIES_BY: ClassVar[str] = ""
    # Two fields; it has exactly one of them.
    EXACTLY_ONE: ClassVar[tuple[str, ...]] = ()
    # Two values, by the paths at which they are, that do not go together.
    NEVER_TOGETHER: ClassVar[Mapping[str, str]] = MappingProxyType({})
    NOT_IN_THE_SPEC: ClassVar[frozenset[str]] = frozenset({"path", "label", "side"})

    def __init_subclass__(cls) -> None:
        if cls.__module__ == __name__:
            return  # annotations in this module are not fields of a spec
        said = {name: vars(cls).get(name, Field()) for name in get_annotations(cls)}
        cls.SAID = MappingProxyType({**cls.SAID, **said})
        for name in said:
            setattr(cls, name, _reader(name))

    def __init__(self, path: str, label: str, side: Side, values: Mapping[str, Any]) -> None:
        self.__dict__.update(values, path=path, label=label, side=side)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{self.label} is frozen; use changed({name}=...)")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"{self.label} is frozen")

    def __getattr__(self, name: str) -> Any:
        # Python calls this only for an absent attribute. A name that the class does not declare is an ordinary mistake.
        if not name.startswith("_") and name in fields(type(self)):
            raise Missing(self.path_of(name))
        if isinstance(getattr(type(self), name, None), property):
            return object.__getattribute__(self, name)  # it raised Missing, and does so again
        raise AttributeError(f"{type(self).__name__} has no field {name!r}", name=name, obj=self)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Part) or type(self) is not type(other):
            return False
        if self is not other:
            self._note_fields()
            other._note_fields()
        return self.__dict__ == other.__dict__

    def __hash__(self) -> int:
        return hash((type(self), self.path, self.side))

    def _note_fields(self) -> None:
        if NOTES.now is not None:
            NOTES.now.update((self.path, name) for name in fields(type(self)))

    def __getstate__(self) -> dict[str, Any]:
        # A read-only mapping neither pickles nor copies.
        return {name: dict(held) if type(held) is MappingProxyType else held for name, held in self.__dict__.items()}

    def __setstate__(self, state: Mapping[str, Any]) -> None:
        named = {name for name, kind in fields(type(self)).items() if get_origin(kind) is dict}
        self.__dict__.update({name: MappingProxyType(held) if name in named else held for name, held in state.items()})

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self.label!r} at {self.path!r}>"

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """Where in this part, on the truck, there always is a part of a class, whether or not the spec describes it:
        paths of fields, such as `joints.frame`."""
        return ()

    @property
    def as_written(self) -> str:
        """Label for what the spec writes there: under `both` it names the parts of both sides."""
        if self.own_path_of() == self.path:
            return self.label
        return self.label.replace(self.side, "left and right", 1)

    def has(self, name: str) -> bool:
        """Whether the spec gives this field."""
        if NOTES.now is not None:
            NOTES.now.add((self.path, name))
        return name in self.__dict__

    def path_of(self, *names: str) -> str:
        """The spec path of one of its fields: `strap.path_of("length")` is `limit_straps.left.length`."""
        return ".".join((self.path, *names) if self.path else names)

    def own_path_of(self, *names: str) -> str:
        """The path of the same field on this part's side alone, also where the spec writes both sides once."""
        path = self.path_of(*names)
        return path if self.side is Side.CENTRE else with_side(path, self.side.value)

    def given(self) -> dict[str, Any]:
        """The fields that the spec gives, by name, in the order in which the class declares them."""
        self._note_fields()
        return {name: self.__dict__[name] for name in fields(type(self)) if name in self.__dict__}

    def parts_within(self) -> Iterator[Any]:
        """The values of its fields that are parts, or that may hold some, in the order in which the class declares
        them. The caller learns which parts there are, and nothing of what these state."""
        kind: Any = type(self)
        for name in _holders(kind):
            if self.has(name):
                yield getattr(self, name)

    def changed(self, **values: Any) -> Self:
        """A copy with other values; the original stays as it was. Raises AttributeError for an undeclared field."""
        for name in values:
            if name not in fields(type(self)):
                raise AttributeError(f"{type(self).__name__} has no field {name!r}")
        made = object.__new__(type(self))
        made.__dict__.update(self.__dict__, **values)
        return made

    @classmethod
    def called(cls, name: str, data: Mapping[str, Any]) -> str:
        """Label of a part of this kind that the spec writes under `name`."""
        return name

    @classmethod
    def read(cls, data: Mapping[str, Any], path: str, label: str, side: Side, unit: Unit) -> Self:
        """Read a part from plain data that the schema has accepted."""
        values = {}
        for name, kind in fields(cls).items():
            if name in data and data[name] is not None:
                field_path = f"{path}.{name}" if path else name
                called = SINGULAR.get(name, words(name))
                field_label = f"{label} {called}" if label else called
                values[name] = _read_field(kind, data[name], field_path, field_label, side, unit)
        return cls(path, label, side, values)


def _reader(name: str) -> property:
    """The property that reads one declared field of a part, and notes that it was read."""

    def read(part: Part) -> Any:
        if NOTES.now is not None:
            NOTES.now.add((part.path, name))
        try:
            return part.__dict__[name]
        except KeyError:
            raise Missing(part.path_of(name)) from None

    return property(read)


class NamedPart(Part):
    """A part that the spec writes under a name of the builder's own.

    A name that says no more than the noun (`strap` for a limit strap) gives the noun; one that ends in its last word
    (`centre_strap`) is used as it is; any other (`outer`) is put before it.
    """

    NOUN: ClassVar[str]

    @classmethod
    def called(cls, name: str, data: Mapping[str, Any]) -> str:
        """`strap` and `limit_strap` are a `limit strap`, `outer` is an `outer limit strap`."""
        given, noun = name.split(), cls.NOUN.split()
        if set(given) <= set(noun):
            return cls.NOUN
        return name if given[-1] == noun[-1] else f"{name} {cls.NOUN}"


PartType = TypeVar("PartType", bound=Part)


class Sides(Generic[PartType]):
    """A part on the left, on the right, on both sides, or in the middle.

    Asking for a side that the spec lacks raises `Missing`.
    """

    def __init__(self, path: str, parts: Mapping[Side, PartType]) -> None:
        self.path = path
        self._parts = MappingProxyType(dict(parts))

    def __iter__(self) -> Iterator[PartType]:
        return (self._parts[side] for side in Side if side in self._parts)

    def __contains__(self, side: object) -> bool:
        return side in self._parts

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sides) and self.path == other.path and self._parts == other._parts

    def __hash__(self) -> int:
        return hash((self.path, frozenset(self._parts)))

    def __reduce__(self) -> tuple[Any, ...]:
        return Sides, (self.path, dict(self._parts))

    def __getitem__(self, side: Side) -> PartType:
        if side not in self._parts:
            raise Missing(f"{self.path}.{side.value}")
        return self._parts[side]

    @property
    def left(self) -> PartType:
        return self[Side.LEFT]

    @property
    def right(self) -> PartType:
        return self[Side.RIGHT]

    @property
    def is_pair(self) -> bool:
        """Whether it is on both sides."""
        return Side.LEFT in self._parts and Side.RIGHT in self._parts

    @classmethod
    def read(cls, kind: type[PartType], data: Mapping[str, Any], path: str, label: str, unit: Unit) -> Sides[PartType]:
        """`both:` is written as the left one and mirrored for the right; otherwise each side as it is written."""
        parts: dict[Side, PartType] = {}
        for side in Side:
            if side in data:
                written, read_as = side.value, unit
            elif "both" in data and side is not Side.CENTRE:
                written, read_as = "both", unit._replace(mirrored=side is Side.RIGHT)
            else:
                continue
            called = f"{side} {kind.called(label, data[written])}"
            parts[side] = kind.read(data[written], f"{path}.{written}", called, side, read_as)
        return cls(path, parts)


def words(name: str) -> str:
    """A key of the spec as words: `lateral_bar` is `lateral bar`."""
    return name.replace("_", " ")


SINGULAR = {"kingpins": "kingpin", "springs": "spring"}


def fields(kind: Any) -> dict[str, Any]:
    """Return the fields that a part declares: name to annotation."""
    return _fields(kind)


@cache
def _fields(kind: Any) -> dict[str, Any]:
    declared = [
        get_annotations(each, eval_str=True) for each in reversed(kind.__mro__) if each not in (object, Part, NamedPart)
    ]
    return {name: hint for annotations in declared for name, hint in annotations.items()}


@cache
def _holders(kind: Any) -> tuple[str, ...]:
    """The fields of a class that hold parts, at any depth."""
    return tuple(name for name, declared in fields(kind).items() if _may_hold(declared))


def _may_hold(declared: Any) -> bool:
    if isinstance(declared, type):
        return issubclass(declared, Part)
    return any(map(_may_hold, get_args(declared)))


def _read_field(kind: Any, value: Any, path: str, label: str, side: Side, unit: Unit) -> Any:
    origin = get_origin(kind)
    if origin is Annotated:
        return parse(value, get_args(kind)[1], unit.system)
    if kind is Point:
        point = Point(*(parse(number, Dimension.LENGTH, unit.system) for number in value))
        return point.mirrored() if unit.mirrored else point
    if kind is Vector:
        vector = Vector(*(float(number) for number in value))
        return vector.mirrored() if unit.mirrored else vector
    if origin is Sides:
        name = path.rpartition(".")[2]
        return Sides.read(get_args(kind)[0], value, path, SINGULAR.get(name, words(name)), unit)
    if origin is dict:
        inner = get_args(kind)[1]
        return MappingProxyType(
            {name: _read_field(inner, value[name], f"{path}.{name}", words(name), side, unit) for name in value}
        )
    if origin is tuple:
        inner = get_args(kind)[0]
        if not isinstance(value, list):
            value = [value]  # one of a kind may be written without its list
        return tuple(
            _read_field(inner, item, f"{path}[{index}]", f"{label} {index + 1}", side, unit)
            for index, item in enumerate(value)
        )
    if isinstance(kind, type) and issubclass(kind, Part):
        return kind.read(value, path, label, side, unit)
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return kind(value)
    if kind is MetalName:
        return MetalName(unit.added_metals.get(value, value))
    if kind is int:
        return int(value)  # JSON Schema takes 2.0 for a whole number too
    return value
