"""Thread of a bolt from its size as a shop writes it: `5/8-11`, `1 1/4-7`, `M16x2`; SI units.

Areas as in Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., tables 8-1 and 8-2.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

INCH = 0.0254

EXAMPLES = "5/8-11 or M16x2"


@dataclass(frozen=True, slots=True)
class Thread:
    """A bolt's thread: nominal diameter and pitch, m."""

    diameter: float
    pitch: float
    metric: bool

    @property
    def shank_area(self) -> float:
        """Area of the unthreaded shank, m2."""
        return math.pi / 4 * self.diameter**2

    @property
    def minor_area(self) -> float:
        """Area at the minor diameter, m2.

        d - 1.299038 p for inch threads and d - 1.226869 p for metric ones; 3/4-16 gives 0.351 in2 and M8 x 1.25 gives
        32.8 mm2, as Shigley's tables 8-2 and 8-1 print them.
        """
        return math.pi / 4 * (self.diameter - (1.226869 if self.metric else 1.299038) * self.pitch) ** 2

    @property
    def pitch_diameter(self) -> float:
        """Pitch diameter, m: d - 0.6495 p, of the basic profile (ASME B1.1, ISO 724). 1/2-13 has 0.4500 in."""
        return self.diameter - 0.75 * math.cos(math.radians(30)) * self.pitch

    @property
    def tensile_stress_area(self) -> float:
        """Area that carries tension, m2: pi/4 (d - 0.9743/n)2 (ASME B1.1), pi/4 (d - 0.9382 p)2 (ISO 898-1)."""
        return math.pi / 4 * (self.diameter - (0.9382 if self.metric else 0.9743) * self.pitch) ** 2


# Coarse threads of the bolts that suspension joints take, the smallest first: Unified coarse (ASME B1.1, table 1) and
# the coarse series of ISO 261. From memory.
UNIFIED_COARSE = ("3/8-16", "7/16-14", "1/2-13", "9/16-12", "5/8-11", "3/4-10", "7/8-9", "1-8", "1 1/8-7", "1 1/4-7")
METRIC_COARSE = ("M10x1.5", "M12x1.75", "M14x2", "M16x2", "M18x2.5", "M20x2.5", "M22x2.5", "M24x3", "M27x3", "M30x3.5")


def thread(size: str) -> Thread:
    """Return the thread of a size such as `5/8-11`, `1 1/4-7` or `M16x2`.

    Raises ValueError for anything else, and for a pitch that no bolt of that diameter can have.
    """
    made = _thread(size)
    # The coarsest standard thread for its size, M1x0.25, has a pitch of a quarter of the diameter; beyond a third
    # hardly any core is left.
    if not 0 < made.pitch <= made.diameter / 3:
        raise ValueError(f'"{size}" is not a thread: its pitch does not fit its diameter; write one like {EXAMPLES}')
    return made


def _thread(size: str) -> Thread:
    metric = re.fullmatch(r"M(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)", size)
    if metric:
        return Thread(float(metric[1]) / 1000, float(metric[2]) / 1000, metric=True)
    inch = re.fullmatch(r"(?:(\d+) )?(\d+/[1-9]\d*)-([1-9]\d*)|(\d+)-([1-9]\d*)", size)
    if not inch:
        raise ValueError(f'"{size}" is not a thread; write one like {EXAMPLES}')
    if inch[4]:
        diameter, count = Fraction(inch[4]), int(inch[5])
    else:
        diameter, count = Fraction(inch[1] or 0) + Fraction(inch[2]), int(inch[3])
    return Thread(float(diameter) * INCH, INCH / count, metric=False)
