"""Forces in the supports of the axle (links, lateral bar, springs and stops) by equilibrium.

The free body is the axle with its wheels. Each support acts at a joint and only along its own line (ball joints, no
friction, no moment in the joints). With

    c     axle centre, m
    p_i   axle end of support i, m
    u_i   unit vector from the axle end towards the frame end
    t_i   force in the support, N, + = tension: it pulls the axle towards the frame. It is negative in a compressed
    spring or stop. F, M  all other forces on the axle, N, and their moment about c, N m

the six equations of equilibrium are

    sum t_i u_i + F = 0        sum t_i (p_i - c) x u_i + M = 0

Axes are those of ISO 8855 (x forward, y left, z up), moments right-handed about them: + about x lifts the left side,
+ about y drops the nose, + about z turns the nose left.

Six independent supports (four links and bars, two springs) give one solution, whatever their stiffness. With more, the
supports take the equilibrium solution of least elastic energy, sum of t_i t_i / (2 k_i): Castigliano's theorem of least
work, for parts that are linear and displacements that are small (S. Timoshenko, Strength of Materials; from memory).
Links and springs are treated in the same way: a spring is a support with its own rate. So the forces are those that the
load adds to an unloaded axle in the same position. The stiffness of a support may be infinite. If both springs are,
heave and roll are held, the links have the least energy that equilibrium allows, and the result is that of an axle
assembled free of bind at that height, as `poses.solve` assumes at ride height.

Forces are linear in the load, so those of several load cases add; so does the bind load of a pose, stiffness times
`Poses.stretch`, once its net heave force and roll moment are applied to the axle as a load.

A radius arm is two supports that share a frame joint. Its joints on the axle could also push and pull on each other,
along the line between them, without loading the frame joint: that depends on how they were tightened and is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from operator import add

import numpy as np
from numpy.typing import ArrayLike, NDArray

from buildcheck.axle.vectors import Array, aligned, cross, dot, unit

Flags = NDArray[np.bool_]

INDEPENDENT = 1e-9
"""Smallest singular value, as a fraction of the largest, of supports that hold the axle."""

MOTIONS = (
    "move fore and aft",
    "move sideways",
    "move up and down",
    "roll",
    "pitch",
    "yaw",
)


class UnheldAxle(ValueError):
    """The supports do not hold the axle; `motions` lists in words the motions that remain free."""

    def __init__(self, motions: tuple[str, ...]) -> None:
        self.motions = motions
        super().__init__(f"The links and springs do not hold the axle: it can still {' and '.join(motions)}.")


@dataclass(frozen=True, slots=True)
class Load:
    """Resultant of forces on the axle: `force` (3, ...) N, and `moment` (3, ...) N m about the axle centre.

    Vehicle axes, right-handed. Axes after the first are load cases, poses, builds; they broadcast from the right. Loads
    can be added, and multiplied by a number, to combine load cases.
    """

    force: Array
    moment: Array

    # An array times a load gives one load with many cases, not an array of loads.
    __array_ufunc__ = None

    @classmethod
    def at(cls, centre: ArrayLike, point: ArrayLike, force: ArrayLike) -> Load:
        """Load of one force (3, ...) N at a point (3, ...) of the axle, m: its moment is (point - centre) x force."""
        where, about, push = aligned(point, centre, force)
        moment = cross(where - about, push)
        return cls(np.broadcast_to(push, moment.shape), moment)

    @classmethod
    def torque(cls, moment: ArrayLike) -> Load:
        """Load of a moment (3, ...) N m alone."""
        turning = np.asarray(moment, dtype=np.float64)
        return cls(np.zeros_like(turning), turning)

    def __add__(self, other: Load) -> Load:
        force, more_force, moment, more_moment = aligned(self.force, other.force, self.moment, other.moment)
        return Load(force + more_force, moment + more_moment)

    def __mul__(self, factor: ArrayLike) -> Load:
        """Multiply the load by a factor, or by many, (...), which gives one case for each."""
        force, moment, times = aligned(self.force, self.moment, np.asarray(factor, dtype=np.float64)[None])
        return Load(force * times, moment * times)

    __rmul__ = __mul__


def combined(*loads: Load) -> Load:
    """Return the sum of the loads."""
    return reduce(add, loads)


def side_by_side(*loads: Load) -> Load:
    """Stack the loads as cases of one load, on a new axis after x, y, z: (3, ...) become (3, cases, ...)."""
    shape = np.broadcast_shapes(*(values.shape[1:] for load in loads for values in (load.force, load.moment)))

    def stacked(vectors: list[Array]) -> Array:
        axes = len(shape) + 1
        full = [v.reshape(v.shape[:1] + (1,) * (axes - v.ndim) + v.shape[1:]) for v in vectors]
        return np.stack([np.broadcast_to(vector, (3, *shape)) for vector in full], axis=1)

    return Load(stacked([load.force for load in loads]), stacked([load.moment for load in loads]))


@dataclass(frozen=True, slots=True)
class Supports:
    """Supports of the axle, each acting along a line.

    centre:    (3, ...) axle centre, vehicle axes, m; moments are taken about it
    axle:      (3, n, ...) axle end of each support, m
    direction: (3, n, ...) unit vector from there towards the frame end
    stiffness: (n, ...) N/m, above zero, infinite for a rigid one

    The axes after n are poses and builds. NaN stands for a pose that is not solved.
    """

    centre: Array
    axle: Array
    direction: Array
    stiffness: Array

    @classmethod
    def along(cls, centre: ArrayLike, axle: ArrayLike, direction: ArrayLike, stiffness: ArrayLike) -> Supports:
        """Supports at axle ends (3, n, ...) along directions (3, n, ...) of any length, such as bump stops.

        Raises ValueError for arrays that do not match, for a direction of zero length and for a stiffness that is not
        above zero.
        """
        ends, lines = np.broadcast_arrays(*_same_axes(axle, direction))
        if (dot(lines, lines) == 0.0).any():
            raise ValueError("A support needs a direction: its two ends are at the same point.")
        rate = np.asarray(stiffness, dtype=np.float64)
        if not (rate > 0.0).all():
            raise ValueError("Every stiffness must be above zero.")
        rate = rate.reshape(rate.shape + (1,) * (ends.ndim - 1 - rate.ndim))
        return cls(np.asarray(centre, dtype=np.float64), ends, unit(lines), np.broadcast_to(rate, ends.shape[1:]))

    @classmethod
    def between(cls, centre: ArrayLike, axle: ArrayLike, frame: ArrayLike, stiffness: ArrayLike) -> Supports:
        """Supports from axle ends to frame ends, both (3, n, ...): links, bars, springs.

        Frame ends that are fixed over the poses have the shape (3, n, 1). Raises ValueError as `along` does.
        """
        ends, anchors = _same_axes(axle, frame)
        return cls.along(centre, ends, anchors - ends, stiffness)

    def forces_on_axle(self, tension: Array) -> Array:
        """Force (3, n, ...) N of each support on its axle joint; the force on its frame joint is the opposite."""
        pull: Array = _stretched(self.direction, tension.ndim + 1) * tension
        return pull


def together(*supports: Supports) -> Supports:
    """Join several sets of supports into one, in their order, with the axle centre of the first."""
    axes = max(part.axle.ndim for part in supports)
    shape = np.broadcast_shapes(*(part.axle.shape[2:] for part in supports))
    ends, lines = (
        np.concatenate(
            [
                np.broadcast_to(_stretched(v, axes), (3, v.shape[1], *shape))
                for v in (getattr(part, name) for part in supports)
            ],
            axis=1,
        )
        for name in ("axle", "direction")
    )
    rates = [
        np.broadcast_to(_stretched(part.stiffness[None], axes)[0], (len(part.stiffness), *shape)) for part in supports
    ]
    return Supports(supports[0].centre, ends, lines, np.concatenate(rates))


def axial_forces(supports: Supports, load: Load) -> Array:
    """Force in each support, N, + = tension, shape (n, ...): the axes of the load and of the supports broadcast.

    Equations, signs and validity: at the head of this module. Equilibrium is met to rounding, whatever the
    stiffnesses. A stop that comes out in tension or a strap that comes out in compression is not in contact: leave it
    out and solve again. A pose that is NaN gives NaN.

    Raises UnheldAxle when fewer than six supports are independent, and ValueError when so many are infinitely stiff
    that the energy does not determine how they share the load.
    """
    lines, size = _lines(supports)
    known: Flags = np.asarray(np.isfinite(lines).all(axis=(-2, -1)))
    sound = np.where(known[..., None, None], lines, np.eye(6, lines.shape[-1]))
    carry = _unit_forces(sound, np.moveaxis(supports.stiffness, 0, -1), known)
    carry = np.where(known[..., None, None], carry, np.nan)
    force, moment = aligned(load.force, load.moment)
    force, moment = np.broadcast_arrays(np.moveaxis(force, 0, -1), np.moveaxis(moment, 0, -1))
    batch = np.broadcast_shapes(size.shape, force.shape[:-1])
    scaled = np.broadcast_to(moment, (*batch, 3)) / np.broadcast_to(size, batch)[..., None]
    pushed = np.concatenate([np.broadcast_to(force, (*batch, 3)), scaled], axis=-1)
    answer: Array = np.moveaxis(-(carry @ pushed[..., None])[..., 0], -1, 0)
    return answer


def _same_axes(*fields: ArrayLike) -> list[Array]:
    """Convert the fields to float arrays, which must be (3, n, ...) with the same number of axes each."""
    arrays = [np.asarray(field, dtype=np.float64) for field in fields]
    if any(array.ndim != arrays[0].ndim or array.ndim < 2 or len(array) != 3 for array in arrays):
        raise ValueError("The ends of supports must be arrays (3, n, ...) with the same number of axes each.")
    return arrays


def _stretched(field: Array, axes: int) -> Array:
    """Expand the field (3, n, ...) to this number of axes, the new ones inserted after n."""
    return field.reshape(field.shape[:2] + (1,) * (axes - field.ndim) + field.shape[2:])


def _lines(supports: Supports) -> tuple[Array, Array]:
    """Matrices (..., 6, n) whose columns are u_i and (p_i - c) x u_i / size; and size (...), m, the typical arm."""
    centre, ends, lines = aligned(supports.centre[:, None], supports.axle, supports.direction)
    arms = ends - centre
    size = np.sqrt(dot(arms, arms).sum(axis=0) / max(1, arms.shape[1]))
    size = np.where(size > 0.0, size, 1.0)
    columns = np.concatenate(np.broadcast_arrays(lines, cross(arms, lines) / size))
    return np.moveaxis(columns, (0, 1), (-2, -1)), size


def _unit_forces(lines: Array, stiffness: Array, known: Flags) -> Array:
    """Forces (..., n, 6) that carry each unit load, with opposite sign: the inverse of `lines` of least energy.

    From the singular values lines = U S V', one solution is V S^-1 U'. The rest of V spans the self-equilibrated forces
    Z; the combination of them is subtracted that minimises the energy |D t|^2, D = sqrt(1 / k).
    """
    count = lines.shape[-1]
    left, values, right = np.linalg.svd(lines, full_matrices=True)
    held = (values > INDEPENDENT * values.max(axis=-1, keepdims=True, initial=0.0)).sum(axis=-1)
    free = known & (held < 6)
    if free.any():
        raise UnheldAxle(_named(left[free][0][:, held[free][0] :]))
    one: Array = np.swapaxes(right[..., :6, :], -2, -1) @ (np.swapaxes(left, -2, -1) / values[..., None])
    if count == 6:
        return one
    among_themselves = np.swapaxes(right[..., 6:, :], -2, -1)
    give = np.sqrt(1.0 / stiffness)
    most = give.max(axis=-1, keepdims=True)
    give = (give / np.where(most > 0.0, most, 1.0))[..., None]
    weighted = give * among_themselves
    felt = np.linalg.svd(weighted, compute_uv=False)
    if (known & (felt[..., -1] <= INDEPENDENT * felt[..., 0])).any():
        raise ValueError("Too many supports are infinitely stiff: how they share the load is undetermined.")
    least_energy: Array = one - among_themselves @ (np.linalg.pinv(weighted, rcond=0.0) @ (give * one))
    return least_energy


def _named(motions: Array) -> tuple[str, ...]:
    """Names for a basis (6, m) of motions: each time the largest component, which is then removed from the basis."""
    named = []
    while motions.shape[1]:
        component = int((motions**2).sum(axis=1).argmax())
        named.append(component)
        motions = motions @ np.linalg.svd(motions[[component]])[2][1:].T
    return tuple(MOTIONS[component] for component in sorted(named))
