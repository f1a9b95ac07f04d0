"""What the loads of a build are told as: forces in N, vehicle axes (ISO 8855), one entry for each case."""

from __future__ import annotations

from typing import NamedTuple

Force = tuple[float, float, float]
"""Forward, to the left, up; N."""


class LoadCase(NamedTuple):
    """One case: its name, what it is, and whether the axle stands at ride height or elsewhere in it."""

    name: str
    meaning: str


class Carried(NamedTuple):
    """What one part carries in each case, N. `joint` names a joint of a radius arm; empty for the part itself.

    Tension of a link, a coilover or a strap is positive; at a joint of a radius arm it is the size of the force.
    """

    label: str
    path: str
    joint: str
    forces: tuple[float, ...]

    @property
    def largest(self) -> float:
        """The largest force of either sign."""
        return max(abs(force) for force in self.forces)


class CornerWeight(NamedTuple):
    """The weight on one tyre of the axle in each case, N."""

    label: str
    side: str
    path: str
    forces: tuple[float, ...]


class JointForce(NamedTuple):
    """The force with which a part acts on what it is joined to, in each case, N.

    `path` is the part's, `joint` the key of its end: `frame`, `axle`, `axle_upper` or `axle_lower`.
    """

    label: str
    path: str
    joint: str
    forces: tuple[Force, ...]

    @property
    def largest(self) -> float:
        """Size of the largest of them."""
        return max(size(force) for force in self.forces)


class Bent(NamedTuple):
    """What a link or bar bears within, in each case.

    moments: the largest bending moment, N m; of a two-point link, that of a strike
    thrusts: the force along it, N, tension positive; of two halves of a struck link the larger
    stresses: the largest of bending and thrust together, Pa; None where the spec does not say what it is made of
    """

    label: str
    path: str
    moments: tuple[float, ...]
    thrusts: tuple[float, ...]
    stresses: tuple[float, ...] | None


class BracketForce(NamedTuple):
    """The force on one bracket by all that it holds, in each case, N."""

    label: str
    path: str
    forces: tuple[Force, ...]


class LoadTable(NamedTuple):
    """All parts in all cases; `absent` says in words which cases could not be told, and why."""

    cases: tuple[LoadCase, ...]
    carried: tuple[Carried, ...]
    absent: tuple[str, ...]
    corners: tuple[CornerWeight, ...] = ()
    joints: tuple[JointForce, ...] = ()
    bent: tuple[Bent, ...] = ()
    brackets: tuple[BracketForce, ...] = ()


def size(force: Force) -> float:
    """The size of a force, N."""
    return float(sum(part * part for part in force) ** 0.5)
