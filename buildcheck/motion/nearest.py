"""The smallest gap of every wanted pair of bodies over all poses, where it stands, and between which points."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.convex import Mask
from buildcheck.motion.hulls import gap, nearest_points
from buildcheck.motion.solids import Solid
from buildcheck.motion.vectors import Array


class Nearest(NamedTuple):
    """The smallest gap between two bodies.

    `gap` in metres, - in overlap, NaN when no pose is known.  `at` is the index of its pose, or of pose and lock, in
    the shape that the two bodies' points broadcast to; `points` (2, 3) in metres stand on the first and on the second
    body there.  With `at_least` all that is known is that the gap is `gap` or more, which is more than was asked for;
    `at` is None and the points are NaN.  `unknown` poses, of those of that shape, had a NaN in a point of either body
    and are not in the gap.
    """

    first: str
    second: str
    gap: float
    at: tuple[int, ...] | None
    points: Array
    at_least: bool
    unknown: int


def nearest(
    bodies: Mapping[str, Sequence[Solid]], pairs: Iterable[tuple[str, str]], *, beyond: float = np.inf
) -> list[Nearest]:
    """The smallest gap of each pair of bodies over all poses, in the order of the pairs.

    `bodies` holds the solids of each by its name: points (3, ...) m, the axes after the first broadcasting from the
    right (`buildcheck.motion.solids`).  Gaps are those of `buildcheck.motion.hulls.gap`.  A pair that stands more than
    `beyond` m apart in all poses comes back as at least some number above that; when already the boxes about all poses
    of the two stand that far apart, nothing else is computed.  A pose is known if all points of both bodies are.
    Raises KeyError for a name that is not among the bodies, ValueError for a pair of half-spaces.
    """
    bounds = {name: [solid.bounds() for solid in solids] for name, solids in bodies.items()}
    known = {name: _known(solids) for name, solids in bodies.items()}
    found = []
    for first, second in pairs:
        both = known[first] & known[second]
        unknown = both.size - int(np.count_nonzero(both))
        couples = [
            (_apart(bound, other_bound), solid, other)
            for solid, bound in zip(bodies[first], bounds[first], strict=True)
            for other, other_bound in zip(bodies[second], bounds[second], strict=True)
        ]
        nothing = Nearest(first, second, np.nan, None, np.full((2, 3), np.nan), False, unknown)
        found.append(_smallest(nothing, couples, both, beyond) if both.any() else nothing)
    return found


def _smallest(nothing: Nearest, couples: Iterable[tuple[float, Solid, Solid]], known: Mask, beyond: float) -> Nearest:
    """The smallest gap among couples of solids, each with a gap that it surely has, in the known poses."""
    best = nothing._replace(gap=np.inf)
    where: tuple[Solid, Solid] | None = None
    # The smallest of a couple may be in a pose that is left out for what is unknown of another solid of the body.
    unknown_somewhere = nothing.unknown > 0
    for bound, one, two in sorted(couples, key=lambda couple: couple[0]):
        if bound > min(beyond, best.gap):
            best = best._replace(gap=min(best.gap, bound))
            break  # and so is every couple after it
        gaps = gap(one, two, beyond=min(beyond, best.gap), least=not unknown_somewhere)
        gaps = np.broadcast_to(gaps, known.shape)
        flat = int(np.where(known, gaps, np.inf).argmin())
        at = tuple(int(index) for index in np.unravel_index(flat, known.shape))
        if gaps[at] < best.gap:
            best, where = best._replace(gap=float(gaps[at]), at=at), (one, two)
    if where is None or best.at is None or best.gap > beyond:
        return best._replace(at=None, at_least=True)
    posed = nearest_points(*(_posed(solid, best.at) for solid in where))
    return best._replace(points=np.stack([posed.first, posed.second]))


def _known(solids: Sequence[Solid]) -> Mask:
    """In which poses (...) all points of a body are known."""
    from_origin = [solid.distance(np.zeros(3)) for solid in solids]
    known: Mask = ~np.isnan(sum(from_origin))
    return known


def _apart(one: tuple[Array, Array], two: tuple[Array, Array]) -> float:
    """How far apart two boxes, lower and upper corner each, are: 0 where they meet."""
    between = np.maximum(one[0] - two[1], two[0] - one[1])
    return float(np.sqrt(np.sum(np.maximum(between, 0.0) ** 2)))


def _posed(solid: Solid, at: tuple[int, ...]) -> Solid:
    """A solid in one of its poses."""
    picked: dict[int, Array] = {}

    def pick(field: ArrayLike) -> Array:
        # A ball is known by having one and the same array at both its ends.
        if id(field) not in picked:
            points = np.asarray(field, dtype=np.float64)
            shape = points.shape[1:]
            index = at[len(at) - len(shape) :]
            lane = tuple(min(place, length - 1) for place, length in zip(index, shape, strict=True))
            picked[id(field)] = points[:, *lane]
        return picked[id(field)]

    points = {field.name: pick(getattr(solid, field.name)) for field in fields(solid) if field.name != "radius"}
    return replace(solid, **points)
