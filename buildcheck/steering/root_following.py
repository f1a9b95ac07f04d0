"""A root followed by continuity: where an equation has several, the one that grows out of a known one.

An equation gap(unknown) = 0 is changed little by little, from one whose root is known to the one that is asked for. At
each stage Newton's method starts from the root of the stage before, and its steps are halved as long as they lead over
a place where the slope of the gap changes sign: there two roots meet, and a mechanism stands at its dead point. A stage
at which no root is found is come to in smaller ones. So the root keeps to its branch, and ends where the branch does.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.vectors import Array

Gap = Callable[[Array, Array], tuple[Array, Array]]
"""Gap and its slope for the unknown (...), rad, at stages (...); the gap as a share of a length, so that 1 is large."""

TRIES = 40
"""Steps and halvings at one stage. Away from a dead point four to six do; next to one each halves what is left."""

HALVINGS = 8
"""How often a stage is halved before its branch has ended."""

LARGEST_STEP = 0.3
"""The longest step that is tried, rad."""

CONVERGED = 1e-14
"""A Newton step shorter than this, rad, or a gap less than a tenth of it, ends the search: float64 knows no better."""


def followed(gap: Gap, start: Array, last: float, stages: int) -> tuple[Array, NDArray[np.bool_]]:
    """The root (...), rad, at the stage ``last`` that is one with the root ``start`` (...) at stage 0.

    ``stages`` is in how many steps it is tried first. The second answer says where the root was found. Where it was
    not, the first is how far it could be followed: close to the dead point that ends its branch. Where the slope is
    nothing or no number from the start, it is the start.
    """
    root = np.array(start, np.float64)
    at, longest = np.zeros(root.shape), last / stages
    onward = np.full(root.shape, longest)
    side = np.sign(np.broadcast_to(gap(root, at)[1], root.shape))
    going = np.abs(side) == 1.0
    while going.any():
        there = np.where(going, np.minimum(at + onward, last), at)
        root, found = _settled(gap, root, there, side, going)
        at = np.where(found, there, at)
        onward = np.where(found, np.minimum(2 * onward, longest), onward / 2)
        going = going & (at < last) & (onward > longest / 2**HALVINGS)
    return root, np.asarray((np.abs(side) == 1.0) & (at >= last))


def _settled(
    gap: Gap, start: Array, stage: Array, side: Array, asked: NDArray[np.bool_]
) -> tuple[Array, NDArray[np.bool_]]:
    """The root at a stage, from that of the stage before, and where it is one; elsewhere it stays as it was."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        value, slope = gap(start, stage)
        sound = asked & (side * slope > 0) & np.isfinite(value)
        root, step = start, np.where(sound, _step(value, slope), 0.0)
        done = sound & _small(value, slope)
        for _ in range(TRIES):
            searching = sound & ~done
            if not searching.any():
                break
            trial = np.where(searching, root + step, root)
            value, slope = gap(trial, stage)
            taken = searching & (side * slope > 0) & np.isfinite(value)
            root = np.where(taken, trial, root)
            done = done | (taken & _small(value, slope))
            step = np.where(taken, _step(value, slope), step / 2)
    return np.where(done, root, start), done


def _step(value: Array, slope: Array) -> Array:
    return np.asarray(np.clip(-value / slope, -LARGEST_STEP, LARGEST_STEP))


def _small(value: Array, slope: Array) -> NDArray[np.bool_]:
    return np.asarray((np.abs(value) < CONVERGED * np.abs(slope)) | (np.abs(value) < CONVERGED / 10))
