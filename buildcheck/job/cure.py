"""What to change, as a number: solved by asking for the same quantity again on a changed build."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from buildcheck.quantity import Dimension

# A change of more than this is no cure but another design; the rule then says so in words.
FARTHEST = 0.5

# Nobody cuts or grinds to less than this (1/64 in, m), so a change is never smaller.
LEAST = 0.0254 / 64

# A quantity that a straight line follows takes three or four; one that takes more than this has no cure of this kind.
MOST_STEPS = 10
CLOSE_ENOUGH = 1e-6


class Cure(NamedTuple):
    """What to change. `words` holds `{amount}` where the amount stands; `amount` is SI and positive.

    `path` is the spec path of the input that changes by `change` (SI, signed), and `also` are others that change by as
    much with it, as on the other side. A cure in words alone has no amount.
    """

    words: str
    amount: float | None = None
    dimension: Dimension | None = None
    path: str = ""
    change: float | None = None
    also: tuple[str, ...] = ()


def solve_change(quantity: Callable[[float], float], target: float) -> float | None:
    """The change at which a quantity comes to its target; None when none is found within half a metre.

    `quantity` gives the quantity for a change (m) of the input. Secant steps from no change; each is a whole new
    solution, so there are few of them. The answer is within a millionth of the way to
    the target.
    """
    before, now = 0.0, 0.002
    value_before = quantity(before) - target
    scale = abs(value_before)
    if scale == 0.0:
        return None
    for _ in range(MOST_STEPS):
        value_now = quantity(now) - target
        if not math.isfinite(value_now):
            return None
        if abs(value_now) <= CLOSE_ENOUGH * scale:
            return now
        slope = (value_now - value_before) / (now - before)
        if slope == 0.0:
            return None
        before, value_before = now, value_now
        now = now - value_now / slope
        if abs(now) > FARTHEST:
            return None
    return None
