"""Suggest the unit that was probably meant, where a number is out of its range."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from buildcheck.spec.place import clean
from buildcheck.spec.quantity import Dimension, System, default_unit, parse, same_number_in_other_units


def as_percent(value: float | str, lowest: float, highest: float) -> str:
    """Advice to write a bare number as a percentage, where that is between the two limits; else empty."""
    if isinstance(value, str) or not lowest <= value / 100 <= highest:
        return ""
    return f'; write "{value} %"'


def with_unit(value: float | str, dimension: Dimension, system: System) -> str:
    """Value as written, with the unit of bare numbers."""
    unit = "" if isinstance(value, str) else default_unit(dimension, system)
    return f"{clean(str(value))} {unit}".rstrip()


def in_another_unit(
    value: float | str, dimension: Dimension, system: System, within: tuple[float, float], examples: Sequence[Any]
) -> str:
    """Advice to write the same number with another unit that brings it within the limits: a unit of bare numbers, and
    the unit that brings it nearest to the example of such a field; else empty."""
    lowest, highest = within
    readings = same_number_in_other_units(value, dimension, system)
    fitting = {text: amount for text, amount in readings.items() if amount and lowest <= amount <= highest}
    example = parse(examples[0], dimension, system) if examples else 0.0

    def far_off(text: str) -> float:
        return abs(math.log(abs(fitting[text] / example))) if example else 0.0

    usual = {default_unit(dimension, each) for each in System}
    likely = sorted(fitting, key=far_off)
    named = [*(text for text in likely if text.rpartition(" ")[2] in usual), *likely[:1]]
    choices = " or ".join(f'"{clean(text)}"' for text in dict.fromkeys(named))
    return f"; did you mean {choices}?" if choices else ""
