"""Values of a shop's own fields."""

from __future__ import annotations

from typing import TypeVar

from buildcheck.build import Build, Missing, Part, Side
from buildcheck.build.part import Unit, words
from buildcheck.spec.names import nearest
from buildcheck.spec.quantity import Dimension, parse, show

PartType = TypeVar("PartType", bound=Part)


def shop_part(build: Build, key: str, kind: type[PartType]) -> PartType:
    """Read the fields under a key of `shop`, as the class of the plugin's `ShopFields` declares them: amounts in SI.
    Reading a field that the spec lacks raises Missing, with its path."""
    written = build.shop.get(key, {}) if build.has("shop") else {}
    unit = Unit(build.units, added_metals=build.additions.metals)
    return kind.read(written, f"shop.{key}", words(key), Side.CENTRE, unit)


def shop_amount(build: Build, path: str, dimension: Dimension) -> float:
    """Read the amount at a spec path under `shop` (`shop.our_shop.thread_left`), SI; a bare number is in the spec's
    units.

    This reads fields that a plugin's schema declares as a `quantity` of the dimension; `build.value(path)` gives other
    fields, as written. Raises Missing where the spec has nothing there, and QuantityError for a value that is not an
    amount of the dimension.
    """
    written = build.value(path)
    if written is None:
        raise Missing(path)
    return parse(written, dimension, build.units)


def amount_in(build: Build, written: str | float, dimension: Dimension) -> float:
    """Convert an amount as written in a spec (`41 3/8 in`) to SI; a bare number is in the spec's units. Raises
    QuantityError for a value that is not an amount of the dimension."""
    return parse(written, dimension, build.units)


def shown_in(build: Build, amount: float, dimension: Dimension) -> str:
    """Show an amount, given in SI, with its unit in the units of the spec."""
    return show(amount, dimension, build.units)


def unowned_shop_keys(build: Build) -> dict[str, str]:
    """Keys under `shop` that no plugin in use owns, so that nothing checks their values: each with the most similar key
    of a plugin, or "" where there is none."""
    written = build.shop if build.has("shop") else {}
    owned = build.additions.shop_fields
    others = [key for key in owned if key not in written]
    return {key: nearest(key, others) or "" for key in written if key not in owned}
