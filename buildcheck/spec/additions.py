"""Names that plugins add to the spec format, as one frozen value.

It is made once from the plugins in use and passed on with the build, so that two builds read with different plugins
never see each other's names, in any thread. This module imports nothing from buildcheck.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from types import MappingProxyType
from typing import Any


@dataclass(frozen=True, eq=False)
class Additions:
    """Names that plugins add; equal only to itself.

    joint_kinds:  radial stiffness of a kind of joint, N/m
    bolt_grades:  proof strength of a grade of bolt: (largest diameter in m, strength in Pa), smallest diameter first
    metals:       the metal of the spec format as which rules treat this one
    shop_fields:  JSON Schema of a key under `shop`
    quantities:   quantities over the travel, by their names in a shop standard; opaque here
    """

    joint_kinds: Mapping[str, float] = field(default_factory=dict)
    bolt_grades: Mapping[str, tuple[tuple[float, float], ...]] = field(default_factory=dict)
    metals: Mapping[str, str] = field(default_factory=dict)
    shop_fields: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    quantities: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for each in fields(self):
            # A copy, so that later changes of the mapping passed in have no effect.
            object.__setattr__(self, each.name, MappingProxyType(dict(getattr(self, each.name))))

    def __reduce__(self) -> str | tuple[Any, ...]:
        if self is NOTHING_ADDED:
            return "NOTHING_ADDED"
        return Additions, tuple(dict(getattr(self, each.name)) for each in fields(self))


NOTHING_ADDED = Additions()
"""Additions without any plugin."""
