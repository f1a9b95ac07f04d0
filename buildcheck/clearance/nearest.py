"""Smallest gap of every requested pair of bodies over all poses, with its pose and its two points."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from buildcheck.axle.vectors import Array
from buildcheck.clearance.bar_gaps import clearance
from buildcheck.clearance.convex import Mask
from buildcheck.clearance.solid_gaps import gap, nearest_points
from buildcheck.clearance.solids import Capsule, Cylinder, Solid

Shape = tuple[int, ...]
Boxes = Mapping[str, Sequence[tuple[Array, Array]]]


@dataclass(frozen=True, slots=True)
class Nearest:
    """The smallest gap between two bodies.

    `gap` in metres, - in overlap, NaN when no pose is known. `at` is the index of its pose, or of pose and lock, in the
    shape to which the two bodies' points broadcast. With `at_least` the gap is only known to be `gap` or more, which is
    beyond the requested range; `at` is None then. `unknown` is the number of the `poses` of that shape that had a NaN
    in a point of either body and were left out. `solids` are the two nearest solids, one of each body.
    """

    first: str
    second: str
    gap: float
    at: tuple[int, ...] | None = None
    at_least: bool = False
    unknown: int = 0
    poses: int = 0
    solids: tuple[Solid, Solid] | None = None

    @property
    def points(self) -> Array:
        """Nearest points (2, 3), m, on the first and on the second body; NaN where `at` is None."""
        if self.solids is None or self.at is None:
            return np.full((2, 3), np.nan)
        found = nearest_points(*(_posed(solid, self.at) for solid in self.solids))
        return np.stack([found.first, found.second])


class _Couple(NamedTuple):
    """One solid of each of two bodies, the number of their pair, and a lower bound of their gap."""

    pair: int
    one: Solid
    two: Solid
    apart: float


def nearest(
    bodies: Mapping[str, Sequence[Solid]], pairs: Iterable[tuple[str, str]], *, beyond: float = np.inf
) -> list[Nearest]:
    """Find the smallest gap of each pair of bodies over all poses, in the order of the pairs.

    `bodies` holds the solids of each by its name: points (3, ...) m, the axes after the first broadcasting from the
    right (`solids`).  Gaps are those of `solid_gaps.gap`.  A pair that is more than `beyond` m apart in all poses is
    returned with `at_least` and some number above that; when the boxes around all poses of the two are that far apart,
    nothing else is computed. A pose is known if all points of both bodies are. Raises KeyError for a name that is not
    among the bodies, ValueError for a pair of half-spaces.
    """
    names = list(pairs)
    known = {name: known_poses(solids) for name, solids in bodies.items()}
    couples, surely = _couples(bodies, _boxes(bodies), names, beyond)
    measured: dict[int, list[tuple[_Couple, Array]]] = defaultdict(list)
    for couple, gaps in zip(couples, _gaps(couples, beyond), strict=True):
        measured[couple.pair].append((couple, gaps))
    return [
        _smallest(pair, surely[number], known[pair[0]] & known[pair[1]], measured[number], beyond)
        for number, pair in enumerate(names)
    ]


def gaps_over(
    bodies: Mapping[str, Sequence[Solid]], pairs: Iterable[tuple[str, str]], *, beyond: float = np.inf
) -> list[Array]:
    """Gap of each pair of bodies in every pose, m: in the shape to which its points broadcast; NaN where a pose is not
    known. A number above `beyond` may be less than the true gap, and so may all those of a pair whose boxes around all
    poses do not meet: it never touches. Otherwise as `nearest`."""
    names = list(pairs)
    known = {name: known_poses(solids) for name, solids in bodies.items()}
    boxes = _boxes(bodies)
    apart = [distance for _, distance in _apart(boxes, names)]
    found = [
        np.where(known[first] & known[second], distance or np.inf, np.nan)
        for (first, second), distance in zip(names, apart, strict=True)
    ]
    meeting = [number for number, distance in enumerate(apart) if distance <= 0.0]
    couples, surely = _couples(bodies, boxes, [names[number] for number in meeting], beyond)
    for number, distance in zip(meeting, surely, strict=True):
        found[number] = np.minimum(found[number], distance)
    for couple, gaps in zip(couples, _gaps(couples, beyond), strict=True):
        found[meeting[couple.pair]] = np.minimum(found[meeting[couple.pair]], gaps)
    return found


def _smallest(
    pair: tuple[str, str], surely: float, known: Mask, measured: Sequence[tuple[_Couple, Array]], beyond: float
) -> Nearest:
    """Smallest gap of a pair in the poses that are known; `surely` is a lower bound of those that are not
    measured."""
    unknown = known.size - int(np.count_nonzero(known))
    if unknown == known.size:
        return Nearest(*pair, np.nan, unknown=unknown, poses=known.size)
    if not measured:
        return Nearest(*pair, surely, at_least=True, unknown=unknown, poses=known.size)
    best, flat, solids = np.inf, 0, None
    for couple, gaps in measured:
        everywhere = np.where(known, gaps, np.inf) if unknown or gaps.shape != known.shape else gaps
        lowest = int(everywhere.argmin())
        if everywhere.flat[lowest] < best:
            best, flat, solids = float(everywhere.flat[lowest]), lowest, (couple.one, couple.two)
    if best <= beyond:
        at = tuple(int(index) for index in np.unravel_index(flat, known.shape))
        return Nearest(*pair, best, at, unknown=unknown, poses=known.size, solids=solids)
    # Every gap is beyond the requested range: for some solids by measurement, for the others by their boxes.
    return Nearest(*pair, min(best, surely), at_least=True, unknown=unknown, poses=known.size)


def _couples(
    bodies: Mapping[str, Sequence[Solid]], boxes: Boxes, pairs: Sequence[tuple[str, str]], beyond: float
) -> tuple[list[_Couple], list[float]]:
    """The couples of solids of each pair whose boxes are not farther apart than `beyond`; and for each pair a lower
    bound of the gaps of all its other couples, which is above `beyond`."""
    surely = [apart for _, apart in _apart(boxes, pairs)]
    near = [number for number, apart in enumerate(surely) if apart <= beyond]
    found = [
        (number, one, two, *box, *other)
        for number in near
        for one, box in zip(bodies[pairs[number][0]], boxes[pairs[number][0]], strict=True)
        for two, other in zip(bodies[pairs[number][1]], boxes[pairs[number][1]], strict=True)
    ]
    if not found:
        return [], surely
    numbers, ones, twos, *corners = zip(*found, strict=True)
    couples: list[_Couple] = []
    for number in near:
        surely[number] = np.inf
    for couple in map(_Couple._make, zip(numbers, ones, twos, _between(*corners), strict=True)):
        if couple.apart <= beyond:
            couples.append(couple)
        else:
            surely[couple.pair] = min(surely[couple.pair], couple.apart)
    return couples, surely


def _boxes(bodies: Mapping[str, Sequence[Solid]]) -> Boxes:
    """The boxes around all poses of the solids of each body, by their corners."""
    return {name: [solid.bounds() for solid in solids] for name, solids in bodies.items()}


def _apart(boxes: Boxes, pairs: Sequence[tuple[str, str]]) -> Iterator[tuple[tuple[str, str], float]]:
    """Each pair with the distance of the boxes around its two bodies, m: a lower bound of their gap."""
    if not pairs:
        return iter(())
    whole = {
        name: (np.min([low for low, _ in each], axis=0), np.max([high for _, high in each], axis=0))
        for name, each in boxes.items()
        if each
    }
    corners = zip(*((*whole[first], *whole[second]) for first, second in pairs), strict=True)
    return zip(pairs, _between(*corners), strict=True)


def _between(
    low: Sequence[Array], high: Sequence[Array], other_low: Sequence[Array], other_high: Sequence[Array]
) -> list[float]:
    """Distance of pairs of boxes by their corners, m; infinite for a body that is known in no pose."""
    with np.errstate(invalid="ignore"):  # such a body has no box, and a half-space has no corners: inf - inf
        gaps = np.maximum(np.maximum(np.array(low) - np.array(other_high), np.array(other_low) - np.array(high)), 0.0)
    apart: list[float] = np.nan_to_num(np.sqrt((gaps**2).sum(axis=1)), nan=np.inf, posinf=np.inf).tolist()
    return apart


def _gaps(couples: Sequence[_Couple], beyond: float) -> list[Array]:
    """Gap of each couple in all its poses; couples of the same kind and shape are measured together."""
    groups: dict[tuple[Shape, object, object], list[tuple[int, Solid, Solid]]] = defaultdict(list)
    solids = {id(solid): solid for couple in couples for solid in (couple.one, couple.two)}
    forms = {key: (_shape(solid), _kind(solid)) for key, solid in solids.items()}
    for number, couple in enumerate(couples):
        one, two = couple.one, couple.two
        if isinstance(two, Capsule) and not isinstance(one, Capsule):
            one, two = two, one
        (own, kind), (other, other_kind) = forms[id(one)], forms[id(two)]
        groups[_together(own, other), kind, other_kind].append((number, one, two))
    found: dict[int, Array] = {}
    for (shape, _, _), members in groups.items():
        numbers, ones, twos = zip(*members, strict=True)
        one, two = _side_by_side(ones, shape), _side_by_side(twos, shape)
        if isinstance(one, Capsule):
            # Bars are measured from their axes, so that bars of different thickness can be measured together.
            gaps = clearance(one, two).gap - _thickness(ones, shape)
            gaps = gaps - _thickness(twos, shape) if isinstance(two, Capsule) else gaps
        else:
            gaps = gap(one, two, beyond=beyond)
        found.update(zip(numbers, gaps, strict=True))
    return [found[number] for number in range(len(couples))]


def _kind(solid: Solid) -> tuple[type, float, bool]:
    """Key that is equal for solids that can be measured together."""
    if isinstance(solid, Capsule):
        return Capsule, 0.0, solid.start is solid.end
    return type(solid), solid.radius if isinstance(solid, Cylinder) else 0.0, False


def _side_by_side(solids: Sequence[Solid], shape: tuple[int, ...]) -> Solid:
    """Stack solids of one kind into one, with points (3, solids, ...); bars without their thickness."""
    first = solids[0]
    kept: dict[int, Array] = {}  # a ball is recognised by the same array object at both ends

    def stacked(name: str) -> Array:
        key = id(getattr(first, name))
        if key not in kept:
            kept[key] = np.empty((3, len(solids), *shape))
            for number, solid in enumerate(solids):
                points = np.asarray(getattr(solid, name), dtype=np.float64)
                kept[key][:, number] = points.reshape(3, *(1,) * (len(shape) + 1 - points.ndim), *points.shape[1:])
        return kept[key]

    points = {field.name: stacked(field.name) for field in fields(first) if field.name != "radius"}
    return replace(first, **points, **({"radius": 0.0} if isinstance(first, Capsule) else {}))


def _thickness(bars: Sequence[Solid], shape: tuple[int, ...]) -> Array:
    radii = [bar.radius for bar in bars if isinstance(bar, Capsule)]
    return np.reshape(np.array(radii), (-1, *(1,) * len(shape)))


@lru_cache(maxsize=64)
def _together(one: Shape, two: Shape) -> Shape:
    return np.broadcast_shapes(one, two)


def _shape(solid: Solid) -> Shape:
    shapes = [np.shape(getattr(solid, field.name))[1:] for field in fields(solid) if field.name != "radius"]
    return np.broadcast_shapes(*shapes)


def known_poses(solids: Sequence[Solid]) -> NDArray[np.bool_]:
    """Mask of the poses (...) in which all points of a body are known."""
    points = [
        np.asarray(getattr(solid, field.name)) for solid in solids for field in fields(solid) if field.name != "radius"
    ]
    known: NDArray[np.bool_] = np.asarray(True)
    for each in points:
        known = known & np.isfinite(each).all(axis=0)
    return known


def _posed(solid: Solid, at: tuple[int, ...]) -> Solid:
    """Select one pose of a solid."""
    picked: dict[int, Array] = {}

    def pick(field: ArrayLike) -> Array:
        # A ball is recognised by the same array object at both ends.
        if id(field) not in picked:
            points = np.asarray(field, dtype=np.float64)
            shape = points.shape[1:]
            index = at[len(at) - len(shape) :]
            lane = tuple(min(place, length - 1) for place, length in zip(index, shape, strict=True))
            picked[id(field)] = points[:, *lane]
        return picked[id(field)]

    points = {field.name: pick(getattr(solid, field.name)) for field in fields(solid) if field.name != "radius"}
    return replace(solid, **points)
