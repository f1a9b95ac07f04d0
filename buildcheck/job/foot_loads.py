"""Force and moment of a bracket on its foot, as vectors, in every column of the load cases."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import cross, dot, size
from buildcheck.build.attachment import Attachment
from buildcheck.build.part import Vector
from buildcheck.build.stiffeners import Brace
from buildcheck.job.curve import Array, Spot, Unreached
from buildcheck.job.load_rows import Rows, worst_of
from buildcheck.job.load_table import FootForces

# A smaller net force has no direction of its own in which a design load could act, N.
NO_FORCE = 1e-6

# With a smaller lever about the foot a brace holds nothing, m.
LEAST_LEVER = 1e-3


class FootLoad(NamedTuple):
    """Load of a bracket on its foot: what its bolts, its plate or its weld carry. Arrays are (3, columns).

    force:  N, the net force of everything that it holds, or the design load where that is larger, in its direction
            and what a brace adds to it
    moment: N m, about the centre of its foot; zero where the spec gives neither the point of the foot nor the height.
            A brace takes the moment of the sideways part of the force
    along:  the direction of a normal of the foot, out of what the bracket is fixed to
    axes:   (3, 3, columns), rotates a direction of the spec to the pose of the case
    groups: the columns of each case
    cases:  the name of each case
    net:    how many columns have the net force; the others have the design load
    brace:  N, (columns,), the force along its brace, tension positive; None without one
    """

    force: Array
    moment: Array
    along: Array
    axes: Array
    groups: tuple[tuple[int, ...], ...]
    cases: tuple[str, ...]
    net: int
    brace: Array | None

    @property
    def pull(self) -> Array:
        """Part of the force along the normal, off what the bracket is fixed to positive, (columns,) N."""
        return dot(self.force, self.along)

    @property
    def shear(self) -> Array:
        """Magnitude of the part of the force in the plane of the foot, (columns,) N."""
        return size(self.force - self.pull * self.along)

    @property
    def twist(self) -> Array:
        """Magnitude of the moment about the normal, (columns,) N m."""
        return np.abs(dot(self.moment, self.along))

    @property
    def tip(self) -> Array:
        """Magnitude of the moment about an axis in the plane of the foot, (columns,) N m."""
        return size(self.moment - dot(self.moment, self.along) * self.along)

    def about(self, direction: Vector) -> tuple[Array, Array]:
        """Magnitude of the moment about a direction of the spec, and of the rest of it, (columns,) N m each."""
        line = np.einsum("ijc,j->ic", self.axes, np.array(direction) / np.linalg.norm(direction))
        part = dot(self.moment, line)
        return np.abs(part), size(self.moment - part * line)

    def worst(self, values: Array) -> Spot:
        """Largest of values (columns,), and in words the load that decides."""
        largest = float(np.max(values[: self.net]))
        column = int(np.argmax(values[: self.net] if largest == np.max(values) else values))
        case = next(name for name, group in zip(self.cases, self.groups, strict=True) if column in group)
        under = "in" if column < self.net else "under the design load, as in"
        return Spot(float(values[column])).under(f"{under} the load case {case}")

    def by_case(self, *, lever: bool) -> FootForces:
        """The load in each case, without the design load; without a known `lever` its moments are not known."""

        cases = [[column for column in group if column < self.net] for group in self.groups]
        return FootForces(
            worst_of(self.shear, cases),
            worst_of(self.pull, cases),
            worst_of(self.twist, cases) if lever else None,
            worst_of(self.tip, cases) if lever else None,
        )


def _of_brace(brace: Brace, foot: Array, axes: Array) -> tuple[Array, Array]:
    """Force and moment about the foot that a pull of 1 N in a brace puts on its bracket, (3, columns or 1) N and N m.

    `foot` is the centre of the foot as the spec places it, m. Raises Unreached for a brace that cannot hold.
    """
    length = np.array(brace.far_end) - np.array(brace.bracket_end)
    pull = length / (np.linalg.norm(length) or math.inf)
    turn = np.cross(np.array(brace.bracket_end) - foot, pull)
    if np.linalg.norm(turn) < LEAST_LEVER:
        raise Unreached("its brace has no lever about its foot, so it holds nothing")
    force, moment = (np.einsum("ijc,j->ic", axes, each) for each in (pull, turn))
    return force, moment


def foot_load(rows: Rows, cases: tuple[str, ...], bracket: Attachment, normal: Vector) -> FootLoad:
    """Compute the load of a bracket on its foot in cases of these names.

    `normal` is the direction out of what it is fixed to, of any length; at a `height`, the joints are that far from the
    foot along it. Raises as `Rows.bracket` does.
    """
    ends, axes = rows.held(bracket), rows.axes_of(bracket)
    points = np.array([end.point for end in ends])
    middle = points.mean(axis=0)
    along = np.einsum("ijc,j->ic", axes, np.array(normal) / np.linalg.norm(normal))
    couple: Array = np.sum(
        [
            cross(np.einsum("ijc,j->ic", axes, point - middle), end.force)
            for point, end in zip(points, ends, strict=True)
        ],
        axis=0,
    )
    if bracket.has("point"):
        lever = np.einsum("ijc,j->ic", axes, middle - np.array(bracket.point))
    else:
        lever = along * (bracket.height if bracket.has("height") else 0.0)
    net: Array = np.sum([end.force for end in ends], axis=0)
    forces = [net]
    if bracket.has("design_load"):
        forces.append(net * np.maximum(1.0, bracket.design_load / np.maximum(size(net), NO_FORCE)))
    count = net.shape[1]
    known = bracket.has("point") or bracket.has("height")
    force = np.concatenate(forces, axis=1)
    moment = known * np.concatenate([couple + cross(lever, each) for each in forces], axis=1)
    brace = None
    if bracket.has("brace") and known:
        above = None if bracket.has("point") else np.array(normal) / np.linalg.norm(normal) * bracket.height
        foot = np.array(bracket.point) if above is None else middle - above
        pull, turn = (np.broadcast_to(each, (3, count)) for each in _of_brace(bracket.brace, foot, axes))
        sideways = [cross(lever, dot(each, axes[:, 1]) * axes[:, 1]) for each in forces]
        brace = -np.concatenate([dot(each, turn) / dot(turn, turn) for each in sideways], axis=-1)
        force = force + brace * np.tile(pull, len(forces))
        moment = moment + brace * np.tile(turn, len(forces))
    return FootLoad(
        force,
        moment,
        np.tile(np.broadcast_to(along, (3, count)), len(forces)),
        np.tile(np.broadcast_to(axes, (3, 3, count)), len(forces)),
        tuple(tuple(column + turn * count for turn in range(len(forces)) for column in group) for group in rows.groups),
        cases,
        count,
        brace,
    )
