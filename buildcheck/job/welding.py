"""The welds of a build: what their process, filler and settings amount to. The bridge to the welding formulas."""

from __future__ import annotations

from buildcheck.build import Build
from buildcheck.build.attachment import Attachment, Weld
from buildcheck.job.curve import Unreached
from buildcheck.job.strengths import Strengths
from buildcheck.strength.weld_heat import ARC_VOLTAGE, TENSILE, heat_input, least_preheat, made_for, other_metal
from buildcheck.strength.welds import filler_strength


class Welding:
    """The welds of one build. Raises Missing for what the spec lacks."""

    def __init__(self, build: Build) -> None:
        self._build = build

    def heat_input(self, weld: Weld) -> float:
        """Heat input of one pass, J/m. Raises Unreached for a process without an arc."""
        if weld.process not in ARC_VOLTAGE:
            raise Unreached(f"{weld.process} has no arc")
        return heat_input(weld.process, weld.voltage, weld.current, weld.travel_speed)

    def arc_voltage(self, weld: Weld) -> tuple[float, float]:
        """Least and largest voltage of the weld's process, V. Raises Unreached for a process without an arc."""
        if weld.process not in ARC_VOLTAGE:
            raise Unreached(f"{weld.process} has no arc")
        return ARC_VOLTAGE[weld.process]

    def processes_of(self, filler: str) -> tuple[str, ...] | None:
        """The processes that a filler is made for; None for a class that is not known."""
        return made_for(filler)

    def other_metal_of(self, filler: str) -> str | None:
        """The metal of a filler that is not of carbon or low-alloy steel, in words; None where it may be."""
        return other_metal(filler)

    def strength_of_filler(self, filler: str) -> float | None:
        """Tensile strength of a filler, Pa; None for a class that is not known."""
        return filler_strength(filler)

    def strength_of_steel(self, material: str) -> float:
        """Least tensile strength of a steel, Pa: its weakest usual grade. Raises Unreached for any other metal."""
        if material not in TENSILE:
            raise Unreached(f"the tensile strength of {material.replace('-', ' ')} is not known")
        return TENSILE[material]

    def thicker_part(self, bracket: Attachment) -> float:
        """Thickness of the thicker of bracket and parent, m."""
        return Strengths(self._build).thicker_part(bracket)

    def least_preheat(self, bracket: Attachment) -> float:
        """Least preheat of carbon steel for the thicker of bracket and parent, K."""
        return least_preheat(self.thicker_part(bracket), bracket.weld.process, bracket.weld.filler)
