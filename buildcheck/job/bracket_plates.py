"""Stress in the plates of one bracket: the bridge from the build to the formulas of `strength.plates`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from buildcheck.build import Missing, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.linkage import Joint, LateralBar, Link
from buildcheck.build.springs import Coilover, LimitStrap
from buildcheck.job.curve import Array, Spot, Unreached
from buildcheck.job.foot_loads import FootLoad
from buildcheck.job.loads import Loads
from buildcheck.job.strengths import Strengths
from buildcheck.strength.metals import STEEL_MODULUS
from buildcheck.strength.plates import (
    K_BENT,
    K_COMPRESSED,
    K_FREE_EDGE,
    HoleStrength,
    hole_strength,
    plate_buckles_at,
    root_stress,
    tips_over_at,
)
from buildcheck.strength.sections import column_capacity, rectangle

HeldPart = Link | LateralBar | Coilover | LimitStrap
GIVES = {
    "bearing": "the bolt crushes its hole",
    "tear_out": "the bolt tears out through the edge",
    "net_tension": "the plate tears beside the hole",
}

# A larger share than this is given as this: where a hole reaches the edge, no plate is left and there is no share.
MOST_SHARE = 10.0

# Euler's end condition of a column with one end held and the other free.
FREE_END = 0.25


class Hole(NamedTuple):
    """The hole of one joint in a bracket, as the subject of a check."""

    bracket: Attachment
    part: HeldPart
    key: str

    @property
    def joint(self) -> Joint:
        """The joint as the spec describes it. Raises Missing where it does not."""
        joint: Joint = getattr(self.part.joints, self.key)
        return joint

    @property
    def path(self) -> str:
        """Spec path of the bracket."""
        return self.bracket.path

    @property
    def label(self) -> str:
        """Name of the bracket in messages."""
        return self.bracket.label

    @property
    def side(self) -> Side:
        """Side of the bracket."""
        return self.bracket.side

    @property
    def which(self) -> str:
        """Name of the hole within its bracket."""
        return f"hole of the {self.part.label}, {self.key.replace('_', ' ')}"


class BracketPlates:
    """The plates of one bracket. Raises Missing for what the spec lacks."""

    def __init__(self, loads: Loads, strengths: Strengths, bracket: Attachment) -> None:
        self._loads = loads
        self._strengths = strengths
        self._bracket = bracket

    def holes(self) -> Iterator[Hole]:
        """Yield the holes of the joints that the bracket holds; a bump stop has none."""
        for part, key in self._loads.held_joints(self._bracket):
            if isinstance(part, Link | LateralBar | Coilover | LimitStrap):
                yield Hole(self._bracket, part, key)

    def root(self) -> Spot:
        """Stress of the plates at their root as a share of their yield strength."""
        bracket, foot = self._bracket, self._foot()
        along, across = foot.about(next(self.holes()).joint.axis)
        bare = self.above_gussets()
        force = np.hypot(foot.pull, foot.shear)
        stress = root_stress(force, along, bare * across, bracket.plates, bracket.root_width, bracket.bracket_thickness)
        return foot.worst(stress / bracket.bracket_yield_strength).leaving_out(*self._loads.cases_left_out())

    def buckling(self) -> Spot:
        """Load of the plates as a share of that at which they buckle: above their gussets, or between them.

        Raises Unreached for plates of another metal than steel.
        """
        bracket = self._bracket
        if "steel" not in bracket.bracket_material:
            metal = bracket.bracket_material.replace("-", " ")
            raise Unreached(f"it is made of {metal}: its buckling is to be worked out by someone qualified")
        foot = self._foot()
        push = np.maximum(-foot.pull, 0.0) / bracket.plates
        moment = foot.about(next(self.holes()).joint.axis)[0] / bracket.plates
        shares = self._between_gussets(push, moment) if bracket.has("gussets") else np.zeros(len(push))
        free = self.farthest_joint() - (bracket.gussets.height if bracket.has("gussets") else 0.0)
        if free > 0.0:
            shares = np.maximum(shares, self._above_gussets(free, push, moment))
        return foot.worst(shares).leaving_out(*self._loads.cases_left_out())

    def _above_gussets(self, free: float, push: Array, moment: Array) -> Array:
        """Share of the load at which one plate buckles over a length that nothing holds, m, as wide as at its root."""
        bracket = self._bracket
        section = rectangle(bracket.root_width, bracket.bracket_thickness)
        column = column_capacity(section, free, bracket.bracket_yield_strength, end_condition=FREE_END)
        tips = tips_over_at(free, bracket.root_width, bracket.bracket_thickness, STEEL_MODULUS)
        return push / column + self.above_gussets() * moment / tips

    def _between_gussets(self, push: Array, moment: Array) -> Array:
        """Share of the load at which one plate buckles between the sides of its box, or beside its gussets."""
        bracket = self._bracket
        width, thickness = bracket.root_width, bracket.bracket_thickness
        if bracket.gussets.kind == "box":
            held, even, bent = width, K_COMPRESSED, K_BENT
        else:  # in the middle of the plate: each half has a free edge, where the stress is most
            held, even, bent = width / 2, K_FREE_EDGE, K_FREE_EDGE
        pressed, bending = push / (width * thickness), 6 * moment / (thickness * width**2)
        return np.asarray(
            pressed / plate_buckles_at(held, thickness, even, STEEL_MODULUS)
            + bending / plate_buckles_at(held, thickness, bent, STEEL_MODULUS)
        )

    def above_gussets(self) -> float:
        """Share of the moment at the foot that is left above the gussets: none where these reach the joint.

        The moment of one joint falls evenly from the foot to the joint. Several joints may pull against each other, so
        that their moment hardly falls below the farthest of them: the gussets have to reach that one.
        """
        farthest = self.farthest_joint()
        height = self._bracket.gussets.height if self._bracket.has("gussets") else 0.0
        if height >= farthest:
            return 0.0
        return 1.0 - height / farthest if len(list(self.holes())) == 1 else 1.0

    def farthest_joint(self) -> float:
        """Distance of the farthest joint from the foot along its normal, m."""
        bracket = self._bracket
        if not bracket.has("point"):
            return float(bracket.height)
        joints = [getattr(hole.part, hole.key) for hole in self.holes()]
        normal = np.array(bracket.normal) / np.linalg.norm(bracket.normal)
        return max(float(np.dot(np.array(joint) - np.array(bracket.point), normal)) for joint in joints)

    def _foot(self) -> FootLoad:
        bracket = self._bracket
        if not (bracket.has("point") or bracket.has("height")):
            raise Missing(bracket.path_of("height"))
        return self._loads.on_foot(bracket, bracket.normal)

    def at_hole(self, hole: Hole) -> Spot:
        """Load on the joint as a share of what the plates carry at its hole before they yield."""
        bracket, bolt = self._bracket, self._strengths.diameter(hole.joint.bolt)
        of_one = hole_strength(bolt, bracket.hole_edge, bracket.bracket_thickness, bracket.bracket_yield_strength)
        worst = self._loads.at_joint(hole.part, hole.key)
        gives = GIVES[min(HoleStrength._fields, key=lambda way: float(getattr(of_one, way)))]
        others, case = self._loads.cases_left_out(hole.part), f"in the {worst.case.label}"
        strength = bracket.plates * min(of_one)
        if worst.value > MOST_SHARE * strength:  # also where the hole reaches the edge, and no plate is left
            return Spot(MOST_SHARE).under(case).because(f"that much at least; {gives}").leaving_out(*others)
        share = worst.value / strength if strength else 0.0
        return Spot(share).under(case).because(gives).leaving_out(*others)
