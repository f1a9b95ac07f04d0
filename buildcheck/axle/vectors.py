"""Algebra of vectors whose first axis is (x, y, z), so that ``x, y, z = vector`` works.

The axes after the first broadcast from the right, as in numpy: the last one is poses, the one before it builds. A point
of each build that is fixed over the poses has shape (3, builds, 1).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def aligned(*fields: ArrayLike) -> list[Array]:
    """Return the fields with the same number of axes, new ones inserted after the first, ready to broadcast.

    Each has a first axis of 3 (a vector) or 1 (a number of each pose, given as ``number[None]``).
    Raises ValueError for any other first axis.
    """
    arrays = [np.asarray(field, dtype=np.float64) for field in fields]
    for array in arrays:
        if array.ndim == 0 or array.shape[0] not in (1, 3):
            raise ValueError(f"a vector needs x, y, z as its first axis, not the shape {array.shape}")
    axes = max([array.ndim for array in arrays])
    return [
        array if array.ndim == axes else array.reshape(array.shape[:1] + (1,) * (axes - array.ndim) + array.shape[1:])
        for array in arrays
    ]


def dot(first: Array, second: Array) -> Array:
    """Scalar product of two aligned vectors: shape (...)."""
    x, y, z = first * second
    total: Array = x + y + z
    return total


def cross(first: Array, second: Array) -> Array:
    """Vector product of two aligned vectors, right-handed: shape (3, ...)."""
    ax, ay, az = first
    bx, by, bz = second
    x = ay * bz - az * by
    product = np.empty((3, *x.shape), x.dtype)
    product[0], product[1], product[2] = x, az * bx - ax * bz, ax * by - ay * bx
    return product


def size(vector: Array) -> Array:
    """Length of a vector: shape (...)."""
    length: Array = np.sqrt(dot(vector, vector))
    return length


def unit(vector: Array) -> Array:
    """Scale a vector to length 1. One of zero length has no direction: NaN."""
    with np.errstate(invalid="ignore", divide="ignore"):
        direction: Array = vector / size(vector)
    return direction
