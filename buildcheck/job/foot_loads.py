"""Force and moment of a bracket on its foot, as vectors, in every column of the load cases."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import cross, dot, size
from buildcheck.build.attachment import Attachment
from buildcheck.build.part import Vector
from buildcheck.job.curve import Array, Spot
from buildcheck.job.load_rows import Rows, worst_of
from buildcheck.job.load_table import FootForces

# A smaller net force has no direction of its own in which a design load could act, N.
NO_FORCE = 1e-6


class FootLoad(NamedTuple):
    """Load of a bracket on its foot: what its bolts, its plate or its weld carry. Arrays are (3, columns).

    force:  N, the net force of everything that it holds, or the design load where that is larger, in its direction
    moment: N m, about the centre of its foot; zero where the spec gives neither the point of the foot nor the height.
            A sideways brace takes the moment of the sideways part of the force
    along:  the direction of a normal of the foot, out of what the bracket is fixed to
    axes:   (3, 3, columns), rotates a direction of the spec to the pose of the case
    groups: the columns of each case
    cases:  the name of each case
    net:    how many columns have the net force; the others have the design load
    """

    force: Array
    moment: Array
    along: Array
    axes: Array
    groups: tuple[tuple[int, ...], ...]
    cases: tuple[str, ...]
    net: int

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
        under = "in" if column < self.net else "under the design load, in the direction of"
        return Spot(float(values[column])).because(f"largest {under} the load case {case}")

    def by_case(self, *, lever: bool) -> FootForces:
        """The load in each case, without the design load; without a known `lever` its moments are not known."""

        cases = [[column for column in group if column < self.net] for group in self.groups]
        return FootForces(
            worst_of(self.shear, cases),
            worst_of(self.pull, cases),
            worst_of(self.twist, cases) if lever else None,
            worst_of(self.tip, cases) if lever else None,
        )


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
    sideways = axes[:, 1]
    braced = bracket.has("braced") and bracket.braced
    known = bracket.has("point") or bracket.has("height")
    moments = [
        known * (couple + cross(lever, force - dot(force, sideways) * sideways if braced else force))
        for force in forces
    ]
    count = net.shape[1]
    return FootLoad(
        np.concatenate(forces, axis=1),
        np.concatenate(moments, axis=1),
        np.tile(np.broadcast_to(along, (3, count)), len(forces)),
        np.tile(np.broadcast_to(axes, (3, 3, count)), len(forces)),
        tuple(tuple(column + turn * count for turn in range(len(forces)) for column in group) for group in rows.groups),
        cases,
        count,
    )
