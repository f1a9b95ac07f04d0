"""Root of an equation followed by continuity from a known root, where there may be several.

An equation gap(unknown) = 0 is changed in stages, from one whose root is known to the required one. At each stage
Newton's method starts from the root of the stage before, and its steps are halved while they pass a place where the
slope of the gap changes sign: there two roots meet, and a mechanism is at its dead point. Where a stage finds no root,
it is divided into smaller ones. So the root stays on its branch, and ends where the branch does.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.vectors import Array

Gap = Callable[[Array, Array], tuple[Array, Array]]
"""Gap and its slope for the unknown (...), rad, at stages (...); the gap is a share of a length, so that 1 is large."""

TRIES = 40
"""Most steps and halvings at one stage. Away from a dead point four to six are enough; near one, each halves the
error."""

HALVINGS = 8
"""Number of times that a stage is halved before its branch counts as ended."""

LARGEST_STEP = 0.3
"""Longest step that is tried, rad."""

CONVERGED = 1e-14
"""A Newton step below this, rad, or a gap below a tenth of it, ends the search: this is the accuracy of float64."""


def followed(gap: Gap, start: Array, last: float, stages: int) -> tuple[Array, NDArray[np.bool_]]:
    """Follow the root ``start`` (...), rad, of stage 0 to the stage ``last``.

    ``stages`` is the number of steps tried first. Returns the root (...), rad, and a mask of where it was found. Where
    it was not, the first value is the root as far as it could be followed: close to the dead point that ends its
    branch. Where the slope is zero or NaN at the start, it is the start.
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
    """Find the root at a stage from that of the stage before, and where it was found; elsewhere it is not changed."""
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
