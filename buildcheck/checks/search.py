"""The smallest number of steps by which an input must change for a check to pass, found by trying."""

from __future__ import annotations

import math
from collections.abc import Callable

# Doubling reaches any range that a spec can state in fewer tries; a search that needs more has no answer.
MOST_TRIES = 32


def smallest_step(margin: Callable[[int], float], most: int) -> int | None:
    """Return the number of steps, of either sign, of smallest size for which `margin` is zero or more.

    `margin` returns how far a check is inside its limit after that many steps, negative where it is not, and may return
    NaN or minus infinity where the changed build cannot be evaluated: that counts as outside. `most` is the largest
    number of steps either way. Zero steps must be outside. None where no step up to `most` was found that passes.

    The answer was itself tried, and so was the step before it. Where a check passes, fails and passes again along the
    way, the answer is a step that passes, not always the smallest one.
    """
    known: dict[int, float] = {}

    def tried(step: int) -> float:
        if step not in known:
            value = margin(step)
            known[step] = -math.inf if math.isnan(value) else value
        return known[step]

    if most < 1:
        return None
    forward = tried(1)
    if forward >= 0.0:
        return 1
    better = forward > tried(0)
    found = _along(tried, 1 if better else -1, most)
    if found is None:
        found = _along(tried, -1 if better else 1, most)
    return found


def _along(tried: Callable[[int], float], sign: int, most: int) -> int | None:
    """The smallest passing step in one direction: secant steps outward until one passes, or one between two limits was
    passed over; then back to its edge."""
    outside, value = 0, tried(0)
    before, start = 0, value
    step = 1
    for _ in range(MOST_TRIES):
        now = tried(sign * step)
        if now >= 0.0:
            return sign * _edge(tried, sign, outside, step)
        if start < value > now and (peak := _peak(tried, sign, before, step)) is not None:
            return sign * _edge(tried, sign, outside if outside < peak else before, peak)
        if step >= most:
            return None
        ahead = 2 * step
        slope = (now - value) / (step - outside) if math.isfinite(now) and math.isfinite(value) else 0.0
        if slope > 0.0:
            # At most fourfold: the line through two tries says little about what is far away.
            ahead = min(step + math.ceil(-now / slope), 4 * step + 4)
        before, outside, value = outside, step, now
        step = min(max(ahead, step + 1), most)
    return None


def _peak(tried: Callable[[int], float], sign: int, low: int, high: int) -> int | None:
    """A passing step between two that do not pass, where the margin rises and then falls; None where its highest point
    does not pass."""
    while high - low > 2:
        one, other = low + (high - low) // 3, high - (high - low) // 3
        first, second = tried(sign * one), tried(sign * other)
        for step, margin in ((one, first), (other, second)):
            if margin >= 0.0:
                return step
        low, high = (one, high) if first < second else (low, other)
    return low + 1 if high - low == 2 and tried(sign * (low + 1)) >= 0.0 else None


def _edge(tried: Callable[[int], float], sign: int, outside: int, inside: int) -> int:
    """The first step of those between one that does not pass and one that does."""
    halve = False
    while inside - outside > 1:
        low, high = tried(sign * outside), tried(sign * inside)
        middle = (outside + inside) // 2
        # The straight line between the two first, and halves where that did not shrink the range by as much.
        if not halve and math.isfinite(low) and math.isfinite(high) and high > low:
            middle = min(max(outside + math.ceil((inside - outside) * -low / (high - low)), outside + 1), inside - 1)
        width = inside - outside
        if tried(sign * middle) >= 0.0:
            inside = middle
        else:
            outside = middle
        halve = inside - outside > width / 2
    return inside
