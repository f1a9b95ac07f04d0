"""Table of the loads of a build: forces in N, vehicle axes (ISO 8855), one entry for each case."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from buildcheck.job.layout import Assumption

Force = tuple[float, float, float]
"""Forward, to the left, up; N."""


class LoadCase(NamedTuple):
    """One case: its name, its description, and the assumptions for numbers that the spec does not state."""

    name: str
    meaning: str
    assumed: tuple[Assumption, ...] = ()

    @property
    def label(self) -> str:
        """Name of the case as a subject: `load case driving`."""
        return f"load case {self.name}"


class Worst(NamedTuple):
    """Largest value over all cases that can be computed, and its case."""

    value: float
    case: LoadCase


class Carried(NamedTuple):
    """Load of one part in each case, N. `joint` names a joint of a radius arm; empty for the part itself.

    Tension of a link, a coilover or a strap is positive; at a joint of a radius arm it is the magnitude of the force.
    """

    label: str
    path: str
    joint: str
    forces: tuple[float, ...]


class CornerWeight(NamedTuple):
    """Weight on one tyre of the axle in each case, N."""

    label: str
    side: str
    path: str
    forces: tuple[float, ...]


class JointForce(NamedTuple):
    """Force of a part on what it is joined to, in each case, N.

    `path` is that of the part, `joint` the key of its end: `frame`, `axle`, `axle_upper` or `axle_lower`.
    """

    label: str
    path: str
    joint: str
    forces: tuple[Force, ...]


class Bent(NamedTuple):
    """Internal loads of a link or bar, in each case.

    moments: the largest bending moment, N m; for a two-point link, that of a strike
    thrusts: the force along it, N, tension positive; in a struck link the larger of its two halves
    pressed: the largest compression along it, N, zero or more: where a case has several loads, not always one of
             `thrusts`
    stresses: the largest combined stress of bending and thrust, Pa; None where the spec does not give the material
    """

    label: str
    path: str
    moments: tuple[float, ...]
    thrusts: tuple[float, ...]
    pressed: tuple[float, ...]
    stresses: tuple[float, ...] | None


class About(StrEnum):
    """Reference point of the moment on a bracket."""

    FOOT = "the centre of its foot"
    HEIGHT = "its foot, at most, by its height"
    JOINTS = "the middle of its joints"


class FootForces(NamedTuple):
    """Load on the foot of a bracket in each case, by its `normal`: what its weld or its bolts carry.

    shears: the force in the plane of the foot, N
    pulls:  the force along the normal, N, off what it is fixed to positive
    twists: the moment about the normal, N m; tips: the moment about an axis in the plane of the foot, N m. Both are
            None where the spec gives neither the point of the foot nor the height

    Where a case has several loads, each number is that of the load in which it is largest.
    """

    shears: tuple[float, ...]
    pulls: tuple[float, ...]
    twists: tuple[float, ...] | None
    tips: tuple[float, ...] | None


class BracketForce(NamedTuple):
    """Load on one bracket from all parts that it holds, in each case. With f_i the force of each held joint at p_i,

    forces:  the net force, sum of f_i, N, vehicle axes
    moments: the magnitude of the moment that acts with it, N m, about the point that `about` gives:
             the centre c of the foot (the bracket's `point`), sum of (p_i - c) x f_i; where only the
             `height` h is known, the couple about the middle of the joints plus h times the net force, which is an
             upper bound; where neither is, only the couple; None for a bracket of one joint with an unknown lever
    bears:   what the bracket bears at most, N: the net force, or, where that is more, the sum over the parts of the
             largest force at a joint of each. Two joints that pull against each other give a small net force and a
             large couple, and each still pulls at its own end of the foot.
    foot:    the load on its foot; None where the spec does not give its `normal`

    Where a case has several loads, each number is that of the load in which it is largest.
    """

    label: str
    path: str
    forces: tuple[Force, ...]
    moments: tuple[float, ...] | None
    about: About
    bears: tuple[float, ...]
    foot: FootForces | None = None


class LoadTable(NamedTuple):
    """All parts in all cases; `absent` lists in words the cases that could not be computed, and why; `unknown` does the
    same for brackets."""

    cases: tuple[LoadCase, ...]
    carried: tuple[Carried, ...]
    absent: tuple[str, ...]
    corners: tuple[CornerWeight, ...] = ()
    joints: tuple[JointForce, ...] = ()
    bent: tuple[Bent, ...] = ()
    brackets: tuple[BracketForce, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """Assumptions of the cases that could be computed."""
        return tuple(dict.fromkeys(each for case in self.cases for each in case.assumed))

    def worst(self, values: tuple[float, ...]) -> Worst:
        """Return the largest of values, one for each case, and its case: of equal ones the first."""
        number = max(range(len(values)), key=values.__getitem__)
        return Worst(values[number], self.cases[number])


def size(force: Force) -> float:
    """Magnitude of a force, N."""
    return float(sum(part * part for part in force) ** 0.5)
