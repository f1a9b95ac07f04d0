"""Loads and strengths of the bolts of one bracket: the bridge from the build to the formulas of `bolt_groups`."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.build import Missing
from buildcheck.build.attachment import Attachment
from buildcheck.job.curve import Array, Spot, Unreached
from buildcheck.job.foot_loads import FootLoad
from buildcheck.job.loads import Loads, least_force
from buildcheck.job.strengths import Strengths
from buildcheck.spec.threads import thread
from buildcheck.strength.bolt_groups import (
    BoltGroup,
    Flange,
    Layer,
    in_line,
    in_two_rows,
    joint_constant,
    on_circle,
    pull_out,
    pull_with_prying,
)
from buildcheck.strength.metals import STEEL_MODULUS, modulus_of

INCH = 0.0254
# A hole where the spec does not state one: a sixteenth larger than the bolt (common practice, no source).
HOLE_LARGER = INCH / 16
# Shear strength of a metal as a share of its tensile strength, where it is not known; common practice, no source.
SHEAR_OF_TENSILE = 0.5

WORK_LOOSE = "the bolts yield and work loose"


class BoltLoads(NamedTuple):
    """Loads of the most loaded bolt, (columns,) N, and the load on the foot that they come from."""

    shear: Array
    tension: Array
    on_foot: FootLoad


class BracketBolts:
    """The bolts of one bracket. Raises Missing for what the spec lacks."""

    def __init__(self, loads: Loads, strengths: Strengths, bracket: Attachment) -> None:
        self._loads = loads
        self._strengths = strengths
        self._bracket = bracket

    # Loads.

    def group(self) -> BoltGroup:
        """The bolts by their pattern. Raises Unreached for a rectangle of an odd number."""
        bolts = self._bracket.bolts
        if bolts.count == 1:
            return BoltGroup(np.zeros((1, 2)), bolts.edge_distance)
        if bolts.pattern == "circle":
            places = on_circle(bolts.count, bolts.circle_diameter)
        elif bolts.pattern == "line":
            places = in_line(bolts.count, bolts.spacing)
        elif bolts.count % 2:
            raise Unreached(f"{bolts.count} bolts are not in two equal rows")
        else:
            places = in_two_rows(bolts.count, bolts.spacing, bolts.row_spacing)
        return BoltGroup(places, bolts.edge_distance)

    def loads(self) -> BoltLoads:
        """Loads of the most loaded bolt in shear and in tension. Raises Missing or Unreached where the load cases do
        not give them."""
        group, foot = self.group(), self._loads.on_foot(self._bracket, self._bracket.normal)
        if not (self._bracket.has("point") or self._bracket.has("height")):
            raise Missing(self._bracket.path_of("height"))
        return BoltLoads(group.most_in_shear(foot.shear, foot.twist), group.most_in_tension(foot.pull, foot.tip), foot)

    # Strengths of one bolt, N.

    def in_shear(self) -> float:
        """Shear force at which one bolt reaches its proof strength."""
        return self._strengths.in_shear(self._bracket.bolts) / self._bracket.bolts.count

    def in_tension(self) -> float:
        """Proof load of one bolt."""
        return self._strengths.proof_load(self._bracket.bolts)

    def pried(self) -> float:
        """Pull on one bolt at which it reaches its proof load, prying of the foot included, or the foot bends."""
        bolts, size = self._bracket.bolts, self._strengths.diameter(self._bracket.bolts)
        flange = Flange(
            bolts.to_upright,
            bolts.edge_distance,
            self._along(),
            self._foot(),
            bolts.hole_diameter if bolts.has("hole_diameter") else size + HOLE_LARGER,
            self._bracket.bracket_yield_strength,
        )
        return pull_with_prying(self.in_tension(), size, flange)

    def _foot(self) -> float:
        bolts = self._bracket.bolts
        return bolts.foot_thickness if bolts.has("foot_thickness") else self._bracket.bracket_thickness

    def _along(self) -> float:
        """Length of foot that belongs to one bolt, m: its spacing, or its part of the circle."""
        bolts = self._bracket.bolts
        return np.pi * bolts.circle_diameter / bolts.count if bolts.pattern == "circle" else bolts.spacing

    # What rules compare.

    def share(self) -> Spot:
        """Load of the most loaded bolt as a share of its strength, shear and tension together by distortion energy."""
        left_out = self._loads.cases_left_out()
        try:
            loads = self.loads()
        except (Missing, Unreached) as why:
            return self._least_share(why).leaving_out(why, *left_out)
        unknown: Missing | None = None
        try:
            pull = self.pried()
        except Missing as missing:
            pull, unknown = self.in_tension(), missing
        shares = np.hypot(loads.shear / self.in_shear(), loads.tension / pull)
        worst = loads.on_foot.worst(shares)
        return worst.because(WORK_LOOSE).leaving_out(unknown if np.any(loads.tension > 0.0) else None, *left_out)

    def _least_share(self, why: Missing | Unreached) -> Spot:
        """Least that the share can be where the pattern or the lever is not known: the force alone, spread evenly, in
        the direction in which the bolts are stronger."""
        force = least_force(self._loads, self._bracket, why)
        stronger = max(self.in_shear(), self.in_tension())
        return (force / (self._bracket.bolts.count * stronger)).because(WORK_LOOSE)

    def most_pull(self) -> Spot:
        """Pull on the most loaded bolt, N, and in words the load that decides."""
        loads = self.loads()
        return loads.on_foot.worst(loads.tension)

    def constant(self, parent: str) -> float:
        """Share of an outside pull that a tight bolt carries itself. `parent` is the metal of what the bracket is fixed
        to. Raises Unreached for an unknown casting."""
        bolts, size = self._bracket.bolts, thread(self._bracket.bolts.size).diameter
        thickness = self._strengths.parent_thickness(self._bracket)
        if bolts.threaded_into == "parent":
            thickness = min(bolts.thread_engaged, size) / 2
        layers = [
            Layer(self._foot(), self._modulus(self._bracket.bracket_material)),
            Layer(thickness, self._modulus(parent)),
        ]
        return joint_constant(size, layers, STEEL_MODULUS)

    @staticmethod
    def _modulus(metal: str) -> float:
        found = modulus_of(metal)
        if found is None:
            raise Unreached("the stiffness of an unknown casting is not known")
        return found

    def strips_at(self) -> float:
        """Pull at which the thread of one bolt strips out of its tapped hole, N."""
        size = thread(self._bracket.bolts.size)
        shear = SHEAR_OF_TENSILE * self._bracket.parent_tensile_strength
        return pull_out(size.pitch_diameter, self._bracket.bolts.thread_engaged, shear)
