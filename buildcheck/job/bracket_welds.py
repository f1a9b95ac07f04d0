"""Stress of the weld of one bracket: the bridge from the build to the formulas of `weld_lines`."""

from __future__ import annotations

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.build.attachment import Attachment
from buildcheck.job.curve import Array, Spot, Unreached
from buildcheck.job.foot_loads import FootLoad
from buildcheck.job.loads import Loads, least_force
from buildcheck.strength.weld_lines import (
    WeldLines,
    all_round,
    long_weld_factor,
    one_line,
    round_a_circle,
    three_sides,
    two_lines,
)
from buildcheck.strength.welds import ALLOWABLE_OF_BASE, ALLOWABLE_SHARE, THROAT, filler_strength


class BracketWeld:
    """The fillet weld of one bracket. Raises Missing for what the spec lacks."""

    def __init__(self, build: Build, loads: Loads, bracket: Attachment) -> None:
        self._build = build
        self._loads = loads
        self._bracket = bracket

    def pattern(self) -> WeldLines:
        """The lines that the pattern has room for, all of them welded."""
        weld = self._bracket.weld
        if weld.pattern == "line":
            return one_line(weld.pattern_length)
        if weld.pattern == "circle":
            return round_a_circle(weld.pattern_width)
        shape = {"two-lines": two_lines, "three-sides": three_sides, "all-round": all_round}[weld.pattern]
        return shape(weld.pattern_length, weld.pattern_width)

    def lines(self) -> WeldLines:
        """The lines as far as they are welded and count: evenly less where the stated length is less than they have
        room for, or where they are longer than a hundred legs."""
        whole, weld = self.pattern(), self._bracket.weld
        return whole.shorter(min(1.0, weld.length / whole.length) * long_weld_factor(whole.longest, weld.leg))

    def filled(self) -> float:
        """Stated length of weld as a share of that of its pattern."""
        return self._bracket.weld.length / self.pattern().length

    def share_of_throat(self) -> Spot:
        """Stress on the throat as a share of the allowable stress of the filler. Raises Unreached for an unknown
        filler."""
        filler = self._bracket.weld.filler
        strength = filler_strength(filler)
        if strength is None:
            raise Unreached(f"the strength of the filler {filler} is not known; write its AWS class, as ER70S-6")
        return self._share(THROAT * self._bracket.weld.leg * ALLOWABLE_SHARE * strength)

    def share_of_base(self) -> Spot:
        """Stress on the legs as a share of the allowable stress of the weaker of the two metals that they melt into."""
        strength, unknown = self._bracket.bracket_yield_strength, None
        try:
            strength = min(strength, self._parent_yield())
        except Missing as missing:
            unknown = missing
        return self._share(self._bracket.weld.leg * ALLOWABLE_OF_BASE * strength).leaving_out(unknown)

    def _parent_yield(self) -> float:
        """Yield strength of what the bracket is fixed to, Pa."""
        bracket, build = self._bracket, self._build
        if bracket.has("parent_yield_strength"):
            return bracket.parent_yield_strength
        if bracket.parent in ("frame", "crossmember") and build.vehicle.frame.has("yield_strength"):
            return build.vehicle.frame.yield_strength
        if bracket.parent == "axle-tube" and build.axle.tube.has("yield_strength"):
            return build.axle.tube.yield_strength
        raise Missing(bracket.path_of("parent_yield_strength"))

    def _share(self, per_length: float) -> Spot:
        """Largest force on a unit of length of weld as a share of what it may carry, N/m."""
        left_out = self._loads.cases_left_out()
        try:
            lines, foot = self.lines(), self._foot()
        except (Missing, Unreached) as why:
            force = least_force(self._loads, self._bracket, why)
            return (force / (self._bracket.weld.length * per_length)).leaving_out(why, *left_out)
        found: Array = lines.most_per_length(foot.shear, foot.twist, foot.pull, foot.tip)
        if not np.all(np.isfinite(found)):
            raise Unreached(
                "one straight line of weld does not hold a moment about itself; weld both sides, or all round"
            )
        return foot.worst(found / per_length).leaving_out(*left_out)

    def _foot(self) -> FootLoad:
        bracket = self._bracket
        foot = self._loads.on_foot(bracket, bracket.normal)
        if not (bracket.has("point") or bracket.has("height")):
            raise Missing(bracket.path_of("height"))
        return foot
