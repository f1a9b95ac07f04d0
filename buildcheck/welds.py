"""What fillet welds on steel must be and can carry. Handbook tables and formulas; SI units.

Sources: AISC 360, table J2.4 and section J2.2b (sizes of fillets; AWS D1.1 has the same least sizes, from memory);
Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 9-6 (allowable load of fillets).
"""

from __future__ import annotations

import re

INCH = 0.0254
KPSI = 6894757.293168361

# Least leg by the thickness of the thinner part: (up to, leg), m. AISC 360, table J2.4.
LEAST_LEGS = ((1 / 4 * INCH, 1 / 8 * INCH), (1 / 2 * INCH, 3 / 16 * INCH), (3 / 4 * INCH, 1 / 4 * INCH))
LEAST_LEG_BEYOND = 5 / 16 * INCH

# Throat of a fillet with even legs, as a share of its leg.
THROAT = 0.707

# Allowable shear on the throat as a share of the filler's tensile strength: it gives Shigley's 14.85 h kip/in for E70.
ALLOWABLE_SHARE = 0.30

# A shorter weld does not carry by its leg: AISC 360, section J2.2b.
LEAST_LENGTH_IN_LEGS = 4.0

HAIR = 1e-9


def least_leg(thickness: float) -> float:
    """The least leg of a fillet, m, where the thinner part is so thick, m: 1/8 in up to 1/4 in, 3/16 in up to 1/2 in,
    1/4 in up to 3/4 in, 5/16 in beyond.

    A thinner weld is chilled by the plate and cracks. Source: AISC 360, table J2.4.
    """
    return next((leg for most, leg in LEAST_LEGS if thickness <= most * (1 + HAIR)), LEAST_LEG_BEYOND)


def largest_leg(thickness: float) -> float:
    """The largest leg of a fillet along an edge of a part so thick, m: the thickness itself below 1/4 in, otherwise
    1/16 in less.

    Source: AISC 360, section J2.2b.
    """
    return thickness if thickness < INCH / 4 * (1 - HAIR) else round(thickness - INCH / 16, 9)  # a 3/16 is a 3/16


def throat_area(leg: float, length: float) -> float:
    """Area of the throat of a fillet, m2: 0.707 times leg (m) times length (m)."""
    return THROAT * leg * length


def filler_strength(classification: str) -> float | None:
    """Tensile strength of a filler metal for steel, Pa, by its AWS classification; None for one not understood.

    The digits give it in kpsi: E7018 and ER70S-6 70, E11018-M 110, E71T-1 (of flux-cored wire the first digit, in tens)
    70. Source: AWS A5.1, A5.18, A5.20, from memory.
    """
    rod = re.match(r"ER(\d{2,3})[SC]-", classification)
    electrode = re.match(r"E(\d{2,3})\d{2}(?!\d|T)", classification)
    cored = re.match(r"E(\d{1,2})\dT", classification)
    if rod or electrode:
        return int((rod or electrode)[1]) * KPSI  # type: ignore[index]
    return int(cored[1]) * 10 * KPSI if cored else None
