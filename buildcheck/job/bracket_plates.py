"""Stress in the plates of one bracket: the bridge from the build to the formulas of `strength.plates`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from buildcheck.build import Missing, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.linkage import Joint, LateralBar, Link
from buildcheck.build.springs import Coilover, LimitStrap
from buildcheck.job.curve import Spot
from buildcheck.job.loads import Loads
from buildcheck.job.strengths import Strengths
from buildcheck.strength.plates import HoleStrength, hole_strength, root_stress

HeldPart = Link | LateralBar | Coilover | LimitStrap
GIVES = {
    "bearing": "the bolt crushes its hole",
    "tear_out": "the bolt tears out through the edge",
    "net_tension": "the plate tears beside the hole",
}

# A larger share than this is given as this: where a hole reaches the edge, no plate is left and there is no share.
MOST_SHARE = 10.0


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
        bracket = self._bracket
        if not (bracket.has("point") or bracket.has("height")):
            raise Missing(bracket.path_of("height"))
        foot = self._loads.on_foot(bracket, bracket.normal)
        along, across = foot.about(next(self.holes()).joint.axis)
        bare = self.above_gussets() if bracket.has("gussets") else 1.0
        force = np.hypot(foot.pull, foot.shear)
        stress = root_stress(force, along, bare * across, bracket.plates, bracket.root_width, bracket.bracket_thickness)
        return foot.worst(stress / bracket.bracket_yield_strength).leaving_out(*self._loads.cases_left_out())

    def above_gussets(self) -> float:
        """Share of the moment across the plates that bends them above the gussets: none where these reach the joint.

        The moment of one joint falls evenly from the foot to the joint. Several joints may pull against each other, so
        that their moment hardly falls below the farthest of them: the gussets have to reach that one.
        """
        bracket, joints = self._bracket, [getattr(hole.part, hole.key) for hole in self.holes()]
        if bracket.has("point"):
            normal = np.array(bracket.normal) / np.linalg.norm(bracket.normal)
            farthest = max(float(np.dot(np.array(joint) - np.array(bracket.point), normal)) for joint in joints)
        else:
            farthest = bracket.height
        if bracket.gussets.height >= farthest:
            return 0.0
        return 1.0 - bracket.gussets.height / farthest if len(joints) == 1 else 1.0

    def at_hole(self, hole: Hole) -> Spot:
        """Load on the joint as a share of what the plates carry at its hole before they yield."""
        bracket, bolt = self._bracket, self._strengths.diameter(hole.joint.bolt)
        of_one = hole_strength(bolt, bracket.hole_edge, bracket.bracket_thickness, bracket.bracket_yield_strength)
        worst = self._loads.at_joint(hole.part, hole.key)
        gives = GIVES[min(HoleStrength._fields, key=lambda way: float(getattr(of_one, way)))]
        others = self._loads.cases_left_out(hole.part)
        strength = bracket.plates * min(of_one)
        if worst.value > MOST_SHARE * strength:  # also where the hole reaches the edge, and no plate is left
            return Spot(MOST_SHARE).because(f"that much at least; {gives}").leaving_out(*others)
        share = worst.value / strength if strength else 0.0
        return Spot(share).because(f"largest in the load case {worst.case.name}; {gives}").leaving_out(*others)
