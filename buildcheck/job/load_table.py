"""What the loads of a build are told as: forces in N, vehicle axes (ISO 8855), one entry for each case."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from buildcheck.build import Missing
from buildcheck.job.curve import Unreached
from buildcheck.job.layout import Assumption

Force = tuple[float, float, float]
"""Forward, to the left, up; N."""


class LoadCase(NamedTuple):
    """One case: its name, what it is, and what of it is taken because the spec does not state it."""

    name: str
    meaning: str
    assumed: tuple[Assumption, ...] = ()

    @property
    def label(self) -> str:
        """What the case is called as a subject of its own: `load case driving`."""
        return f"load case {self.name}"


class Worst(NamedTuple):
    """The largest of something over all cases that can be worked out, and in which of them it stands."""

    value: float
    case: LoadCase


class Carried(NamedTuple):
    """What one part carries in each case, N. `joint` names a joint of a radius arm; empty for the part itself.

    Tension of a link, a coilover or a strap is positive; at a joint of a radius arm it is the size of the force.
    """

    label: str
    path: str
    joint: str
    forces: tuple[float, ...]


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


class Bent(NamedTuple):
    """What a link or bar bears within, in each case.

    moments: the largest bending moment, N m; of a two-point link, that of a strike
    thrusts: the force along it, N, tension positive; of two halves of a struck link the larger
    pressed: the largest pressure along it, N, zero or more: where a case is of several loads, not always a thrust
    stresses: the largest of bending and thrust together, Pa; None where the spec does not say what it is made of
    """

    label: str
    path: str
    moments: tuple[float, ...]
    thrusts: tuple[float, ...]
    pressed: tuple[float, ...]
    stresses: tuple[float, ...] | None


class About(StrEnum):
    """About what the moment on a bracket is taken."""

    FOOT = "the centre of its foot"
    HEIGHT = "its foot, at most, by its height"
    JOINTS = "the middle of its joints"


class BracketForce(NamedTuple):
    """What all that one bracket holds brings on it, in each case. With f_i the force of each held joint at p_i,

    forces:  the net force, sum of f_i, N, vehicle axes
    moments: the size of the moment that goes with it, N m, about what `about` says:
             the centre c of the foot (the bracket's `point`), sum of (p_i - c) x f_i; where only the `height` h is
             known, the couple about the middle of the joints and h times the net force, which is as much as it can be;
             where neither is, the couple alone; None for a bracket of one joint, of whose lever nothing is known
    bears:   the load that rules hold its welds and bolts to, N: the net force, or the largest force at a joint of each
             part that it holds, added up over the parts, where that is more. Two joints that pull against each other
             leave a small net force and a large couple, and each still pulls at its own end of the foot.
    bends:   the moment that rules hold its welds and bolts to, N m: as `moments`, except that
             a design load that is larger than the net force replaces it, in the same direction;
             a braced bracket has no moment of the sideways part of the net force (y of the frame, or of the axle where
             the bracket is on the axle); the fore-and-aft and the upright part keep their lever, and the couple stays.
             Where neither foot nor height is known this is the couple alone, which is less than all of it
    braced:  the same with a sideways brace, whether the bracket has one or not

    Where a case is of several loads, each number is that of the load in which it is largest.
    """

    label: str
    path: str
    forces: tuple[Force, ...]
    moments: tuple[float, ...] | None
    about: About
    bears: tuple[float, ...]
    bends: tuple[float, ...]
    braced: tuple[float, ...]


class BracketMoment(NamedTuple):
    """The moment on the foot of a bracket beside its load, N m, and the same with a sideways brace.

    Where `unknown` says why a part of it is not known, the numbers are what is known of it: the whole can be larger.
    """

    value: float
    braced: float
    unknown: Missing | Unreached | None


class LoadTable(NamedTuple):
    """All parts in all cases; `absent` says in words which cases could not be told, and why, `unknown` the same of
    brackets."""

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
        """What was taken for the cases that could be told."""
        return tuple(dict.fromkeys(each for case in self.cases for each in case.assumed))

    def worst(self, values: tuple[float, ...]) -> Worst:
        """The largest of values, one for each case, and its case: of equal ones the first."""
        number = max(range(len(values)), key=values.__getitem__)
        return Worst(values[number], self.cases[number])


def size(force: Force) -> float:
    """The size of a force, N."""
    return float(sum(part * part for part in force) ** 0.5)
