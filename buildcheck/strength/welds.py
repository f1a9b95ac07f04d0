"""Required size and strength of fillet welds on steel. Handbook tables and formulas; SI units.

Sources: AISC 360, table J2.4 and section J2.2b (sizes of fillets, in inches and in millimetres; AWS D1.1 has the same
least sizes, from memory); Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 9-6 (allowable load of
fillets).
"""

from __future__ import annotations

import math
import re

from buildcheck.spec.units import System

INCH = 0.0254
MILLIMETRE = 0.001
KPSI = 6894757.293168361

# Least leg by the thickness of the thinner part: (up to, leg), m. AISC 360, table J2.4, which has both columns: the
# metric one is not a conversion of the other, but the sizes sold and gauged in metric countries.
LEAST_LEGS = {
    System.INCH_POUND: (
        (1 / 4 * INCH, 1 / 8 * INCH),
        (1 / 2 * INCH, 3 / 16 * INCH),
        (3 / 4 * INCH, 1 / 4 * INCH),
        (math.inf, 5 / 16 * INCH),
    ),
    System.METRIC: (
        (6 * MILLIMETRE, 3 * MILLIMETRE),
        (13 * MILLIMETRE, 5 * MILLIMETRE),
        (19 * MILLIMETRE, 6 * MILLIMETRE),
        (math.inf, 8 * MILLIMETRE),
    ),
}

# Along an edge: (thickness from which it applies, part of the thickness left beyond the fillet), m. AISC 360, section
# J2.2b.
EDGE_MARGIN = {
    System.INCH_POUND: (1 / 4 * INCH, 1 / 16 * INCH),
    System.METRIC: (6 * MILLIMETRE, 2 * MILLIMETRE),
}

# Steps of the legs and lengths on a drawing, m; common practice, no source.
LEG_STEP = {System.INCH_POUND: INCH / 16, System.METRIC: MILLIMETRE}
LENGTH_STEP = {System.INCH_POUND: INCH / 4, System.METRIC: 5 * MILLIMETRE}
# The largest of them, m: the most that a spec can state. Common practice, no source.
MOST_LEG, MOST_LENGTH = 0.040, 5.0

# Throat of a fillet with even legs, as a share of its leg.
THROAT = 0.707

# Allowable shear on the throat as a share of the filler's tensile strength: it gives Shigley's 14.85 h kip/in for E70.
ALLOWABLE_SHARE = 0.30

# Allowable shear on the leg as a share of the yield strength of the metal that it melts into (Shigley, table 9-4).
ALLOWABLE_OF_BASE = 0.40

HAIR = 1e-9


def least_leg(thickness: float, system: System) -> float:
    """Smallest leg of a fillet, m, by the thickness of the thinner part, m.

    1/8 in up to 1/4 in, 3/16 in up to 1/2 in, 1/4 in up to 3/4 in, 5/16 in beyond; in metric 3 mm up to 6 mm, 5 mm up
    to 13 mm, 6 mm up to 19 mm, 8 mm beyond. It is never more than the thickness.

    A smaller weld is chilled by the plate and cracks. Source: AISC 360, table J2.4; that it need not exceed the thinner
    part, AWS D1.1, from memory.
    """
    return min(thickness, next(leg for most, leg in LEAST_LEGS[system] if thickness <= most * (1 + HAIR)))


def largest_leg(thickness: float, system: System) -> float:
    """Largest leg of a fillet along an edge of a part, m, by the part's thickness, m.

    It is the thickness itself below 1/4 in, otherwise 1/16 in less; in metric below 6 mm, otherwise 2 mm less.

    Source: AISC 360, section J2.2b.
    """
    from_here, margin = EDGE_MARGIN[system]
    return thickness if thickness < from_here * (1 - HAIR) else round(thickness - margin, 9)  # a 3/16 is a 3/16


def common_legs(system: System) -> tuple[float, ...]:
    """Legs used on drawings, m, smallest first: in sixteenths of an inch, or in whole millimetres."""
    return _multiples(LEG_STEP[system], MOST_LEG)


def common_lengths(system: System) -> tuple[float, ...]:
    """Lengths of weld used on drawings, m, smallest first: in quarters of an inch, or in steps of 5 mm."""
    return _multiples(LENGTH_STEP[system], MOST_LENGTH)


def _multiples(step: float, most: float) -> tuple[float, ...]:
    return tuple(number * step for number in range(1, math.floor(most / step) + 1))


def filler_strength(classification: str) -> float | None:
    """Tensile strength of a filler metal for steel, Pa, by its AWS classification; None for an unknown one.

    The digits give it in kpsi: E7018 and ER70S-6 70, E11018-M 110, E71T-1 (of flux-cored wire the first digit, in tens)
    70. Source: AWS A5.1, A5.18, A5.20, from memory.
    """
    rod = re.match(r"ER(\d{2,3})[SC]-", classification)
    electrode = re.match(r"E(\d{2,3})\d{2}(?!\d|T)", classification)
    cored = re.match(r"E(\d{1,2})\dT", classification)
    if rod or electrode:
        return int((rod or electrode)[1]) * KPSI  # type: ignore[index]
    return int(cored[1]) * 10 * KPSI if cored else None
