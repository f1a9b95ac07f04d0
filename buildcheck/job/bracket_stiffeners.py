"""Gussets and the brace of one bracket: the bridge from the build to the formulas of `strength`."""

from __future__ import annotations

import math

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.build.attachment import Attachment
from buildcheck.job.bracket_feet import off_axle
from buildcheck.job.curve import Array, Spot, Unreached
from buildcheck.job.foot_loads import FootLoad
from buildcheck.job.loads import Loads
from buildcheck.job.strengths import Strengths
from buildcheck.strength.metals import STEEL_MODULUS
from buildcheck.strength.sections import Section, column_capacity, round_tube
from buildcheck.strength.stiffeners import gusset_stress, gusset_weld_force, most_slender
from buildcheck.strength.welds import ALLOWABLE_OF_BASE, ALLOWABLE_SHARE, THROAT, filler_strength


class BracketStiffeners:
    """Gussets and brace of one bracket. Raises Missing for data that the spec lacks."""

    def __init__(self, build: Build, loads: Loads, strengths: Strengths, bracket: Attachment) -> None:
        self._build = build
        self._loads = loads
        self._strengths = strengths
        self._bracket = bracket

    # Gussets.

    def gusset_stress(self) -> Spot:
        """Bending stress of the gussets, which take the whole moment across the plates, as a share of their yield
        strength, which is that of the bracket."""
        foot, moment = self._across()
        gussets = self._bracket.gussets
        stress = gusset_stress(moment, gussets.count, gussets.thickness, gussets.width)
        return self._share(foot, stress / self._bracket.bracket_yield_strength)

    def gusset_weld(self) -> Spot:
        """Stress of the fillets at the foot of the gussets as a share of the allowable stress of the throat, or of the
        metal beside it where that is weaker."""
        foot, moment = self._across()
        gussets = self._bracket.gussets
        force = gusset_weld_force(moment, gussets.count, gussets.width)
        return self._share(foot, force / (gussets.weld_leg * self._allowable(self._bracket.bracket_yield_strength)))

    def gusset_slenderness(self) -> float:
        """Width of a gusset over its thickness, as a share of the most that yields before it buckles."""
        gussets = self._bracket.gussets
        most = most_slender(self._bracket.bracket_yield_strength, free_edge=gussets.kind == "triangle")
        return gussets.width / gussets.thickness / most

    def _across(self) -> tuple[FootLoad, Array]:
        """The load on the foot, and its moment across the plates, (columns,) N m."""
        foot = self._foot()
        joint = next(
            (getattr(part.joints, key) for part, key in self._loads.held_joints(self._bracket) if part.has("joints")),
            None,
        )
        if joint is None:
            raise Unreached("it holds no joint that has a bolt, so it is not known which way its plates are weak")
        return foot, foot.about(joint.axis)[1]

    # The brace.

    def brace_stress(self) -> Spot:
        """Pull or push of the brace as a share of what its section yields at."""
        tube = self._bracket.brace.tube
        foot, force = self._along_brace()
        return self._share(foot, np.abs(force) / (self._section().area * tube.yield_strength))

    def brace_buckling(self) -> Spot:
        """Push of the brace as a share of its buckling load."""
        brace = self._bracket.brace
        modulus = brace.tube.youngs_modulus if brace.tube.has("youngs_modulus") else STEEL_MODULUS
        length = math.dist(brace.bracket_end, brace.far_end)
        foot, force = self._along_brace()
        buckles = column_capacity(self._section(), length, brace.tube.yield_strength, modulus)
        return self._share(foot, np.maximum(-force, 0.0) / buckles)

    def brace_weld(self) -> Spot:
        """Force of the brace as a share of what the fillet round one end may carry. Raises Unreached where an end is
        welded to anything but carbon steel, whose welds need no more than the fillet."""
        brace = self._bracket.brace
        for metal in (brace.far_material, self._bracket.bracket_material):
            if metal != "carbon-steel":
                name = metal.replace("-", " ")
                raise Unreached(f"it is welded to {name}: have this weld worked out by someone qualified")
        foot, force = self._along_brace()
        around = math.pi * brace.tube.outside_diameter
        weaker = min(brace.tube.yield_strength, self._bracket.bracket_yield_strength)
        return self._share(foot, np.abs(force) / (around * brace.weld_leg * self._allowable(weaker)))

    def brace_bolt(self) -> Spot:
        """Force of the brace as a share of what the bolt through one end carries."""
        bolt = self._bracket.brace.bolt
        foot, force = self._along_brace()
        most = float(np.max(np.abs(force)))
        share = self._share(foot, np.abs(force) / self._strengths.across(bolt, most))
        return share.leaving_out(*self._strengths.unknown_across(bolt, most))

    def brace_off_axle(self) -> float:
        """Distance from the far end of the brace to the tube or the casting of the axle, m, zero or more."""
        known = off_axle(self._build.axle, np.array(self._bracket.brace.far_end))
        if not known:
            raise Missing(self._build.axle.path_of("tube"))
        return min(known.values())

    def _section(self) -> Section:
        tube = self._bracket.brace.tube
        try:
            return round_tube(tube.outside_diameter, tube.wall)
        except ValueError as error:
            raise Unreached(f"the brace has no section: {error}") from error

    def _along_brace(self) -> tuple[FootLoad, Array]:
        foot = self._foot()
        assert foot.brace is not None  # it has a brace, and a lever
        return foot, foot.brace

    # Both.

    def _foot(self) -> FootLoad:
        bracket = self._bracket
        if not (bracket.has("point") or bracket.has("height")):
            raise Missing(bracket.path_of("height"))
        return self._loads.on_foot(bracket, bracket.normal)

    def _allowable(self, yield_strength: float) -> float:
        """Allowable stress of a fillet on its leg, Pa: of the metal beside it, of this yield strength, or on the throat
        where the bracket's own weld names a filler that is weaker."""
        base = ALLOWABLE_OF_BASE * yield_strength
        weld = self._bracket.weld if self._bracket.has("weld") else None
        filler = filler_strength(weld.filler) if weld is not None and weld.has("filler") else None
        return base if filler is None else min(base, THROAT * ALLOWABLE_SHARE * filler)

    def _share(self, foot: FootLoad, shares: Array) -> Spot:
        return foot.worst(shares).leaving_out(*self._loads.cases_left_out())
