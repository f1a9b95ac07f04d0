"""Strength and tightening torque of bolts. Handbook formulas; SI units.

Sources: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed.: tables 8-9
(SAE grades), 8-11 (metric classes), 8-15 (torque factors), equations 8-27 (torque) and 8-31 (preload), example
8-6 (bolts in shear).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

INCH = 0.0254
KPSI = 6894757.293168361
MPA = 1e6

Grades = Mapping[str, tuple[tuple[float, float], ...]]

# Proof strength by grade: (largest diameter, strength), in ascending order of diameter. Class 8.8 up to 16 mm, and
# classes 4.6 and 5.8, are from memory of ISO 898-1; the rest was read in Shigley's tables 8-9 and 8-11.
PROOF_STRENGTH: Grades = {
    "sae-2": ((0.75 * INCH, 55 * KPSI), (1.5 * INCH, 33 * KPSI)),
    "sae-5": ((1.0 * INCH, 85 * KPSI), (1.5 * INCH, 74 * KPSI)),
    "sae-8": ((1.5 * INCH, 120 * KPSI),),
    "4.6": ((36e-3, 225 * MPA),),
    "5.8": ((24e-3, 380 * MPA),),
    "8.8": ((16e-3, 580 * MPA), (36e-3, 600 * MPA)),
    "10.9": ((36e-3, 830 * MPA),),
    "12.9": ((36e-3, 970 * MPA),),
}

# Shear strength as a share of the tensile, by the distortion-energy theory; Shigley's example 8-6 applies it to the
# proof strength, which for bolts is a little below yield.
SHEAR_SHARE = 0.577

# Torque factor K by the condition of the threads. Read in Shigley's table 8-15: dry (black) 0.30, plated (zinc) 0.20,
# oiled 0.18. Anti-seize 0.12 is from memory of the same table; thread locker, which wets the threads, is common
# practice, no source.
TORQUE_FACTOR = {"dry": 0.30, "plated": 0.20, "oiled": 0.18, "anti-seize": 0.12, "thread-locker": 0.20}

# The largest preload that one torque gives, as a share of T/(K d), by the condition of the threads: 35 % more for
# threads as received and 25 % more for lubricated ones, and the same percentage less at the other end. Read in the
# introduction of Journal of Failure Analysis and Prevention, 2019, doi 10.1007/s11668-019-00693-z. The factor of dry
# threads varies more: torque charts for plain bolts take 0.20 (common practice, no source), which gives 1.5 times the
# preload of 0.30. That thread locker counts as lubricated is common practice, no source.
MOST_PRELOAD = {
    "dry": TORQUE_FACTOR["dry"] / 0.20,
    "plated": 1.35,
    "oiled": 1.25,
    "anti-seize": 1.25,
    "thread-locker": 1.25,
}
# The smallest preload that one torque gives, as a share of T/(K d): the other end of the same ranges.
LEAST_PRELOAD = {"dry": 0.65, "plated": 0.65, "oiled": 0.75, "anti-seize": 0.75, "thread-locker": 0.75}

# Friction of two faces of steel as they come, and the factor against a slip after which the bolt still carries the load
# (category B). EN 1090-2, class D, and EN 1993-1-8, section 3.9, read in excerpts.
SLIP_FACTOR, AGAINST_SLIP = 0.2, 1.1
# Up to this length, in diameters, a pin that need not turn counts as a bolt, and its bending is left out. EN 1993-1-8,
# section 3.13.1, read in excerpts.
LONGEST_UNBENT = 3.0


def proof_strength(grade: str, diameter: float, added: Grades = MappingProxyType({})) -> float | None:
    """Proof strength of a bolt, Pa; None where the grade has no bolt of that diameter (m). `added` are grades in
    addition to those of `PROOF_STRENGTH`."""
    for largest, strength in {**PROOF_STRENGTH, **added}[grade]:
        if diameter <= largest * (1 + 1e-9):
            return strength
    return None


def shear_capacity(area: float, strength: float, count: int, planes: int) -> float:
    """Shear load at which a group of bolts reaches its proof strength, N: 0.577 S_p A for each bolt and shear plane.

    The bolts are assumed to share the load evenly.

    Four 3/4-16 grade 5 bolts in one shear plane each, shanks in the plane, carry 57.8 kip at a design factor of 1.5
    (Shigley, example 8-6). Valid for bolts that fit their holes; clamp friction and bending of the bolt are left out.
    """
    return SHEAR_SHARE * strength * area * count * planes


def single_shear_capacity(shank: float, grip: float, strength: float) -> float:
    """Load at which one bolt in single shear reaches its proof strength in shear and bending together, N.

        M = F t / 2,  sigma = 32 M / (pi d^3),  tau = F / A,  sigma'^2 = sigma^2 + 3 tau^2

    shank: diameter d where the ear meets the joint, m; where that is in the threads, the minor diameter. grip: t, m,
    the total thickness that the bolt clamps: the load acts at the middle of each of the two parts. Left out is the
    clamp of a tight bolt, which takes part of the bending; and the largest bending and the mean shear are added
    although they act at different points. Both are on the safe side.

    A 1/2 in shank of 85 kpsi with a grip of 1 1/2 in carries 1377 lbf; in shear alone it would be 9630 lbf. Sources:
    Shigley, section 8-12 (bending of a rivet or bolt in shear, from memory), equation 5-15 (distortion energy).
    """
    shear = shear_capacity(math.pi / 4 * shank**2, strength, 1, 1)
    bending = strength * math.pi * shank**3 / 16 / grip
    return 1 / math.hypot(1 / shear, 1 / bending)


def pin_capacity(shank: float, grip: float, strength: float) -> float:
    """Load at which a pin between two ears, clamped by nothing, reaches its proof strength in shear and bending, N.

        M = F (b + 4 c + 2 a) / 8 = F t / 8,  (M / M_R)^2 + (F / F_R)^2 = 1

    shank: diameter d, m, of what is bent and sheared. grip: t, m, the sum of both ears, a each, and of what lies
    between them, b, without a gap: c = 0. M_R = S_p pi d^3 / 32, and F_R is that of two planes in shear. EN 1993-1-8
    allows 1.5 times that M_R, for a pin that may stay bent; this is for one that does not.

    A 1/2 in shank of 85 kpsi with a grip of 2 in carries 4078 lbf; in shear alone it would be 19 260 lbf. Source: EN
    1993-1-8, section 3.13, figure 3.11 and table 3.10, read in excerpts and in a worked sheet that cites them.
    """
    shear = shear_capacity(math.pi / 4 * shank**2, strength, 1, 2)
    bending = strength * math.pi * shank**3 / 4 / grip
    return 1 / math.hypot(1 / shear, 1 / bending)


def slip_resistance(preload: float) -> float:
    """Load up to which the clamp of one bolt holds what lies between two ears by friction, N: 2 mu F_p / 1.1.

    preload: F_p, N, the least that it may be. mu is 0.2, for faces as they come, and 1.1 the factor for joints whose
    bolt carries the load after a slip. 171.5 kN hold 62.4 kN. Source: EN 1993-1-8, equation 3.6, and the slip factor
    of class D (EN 1090-2), both read in excerpts.
    """
    return 2 * SLIP_FACTOR * preload / AGAINST_SLIP


def tightening_torque(preload: float, diameter: float, condition: str) -> float:
    """Torque that gives a bolt a preload, N m: T = K F d, with F in N, the nominal diameter d in m and K by the
    condition of the threads.

    A 3/4 in plated bolt takes 3750 lbf in for 25 kip. The preload scatters by a quarter and more from bolt to bolt; see
    `MOST_PRELOAD`. Source: Shigley, equation 8-27 and table 8-15. Raises KeyError for a condition that has no factor.
    """
    return TORQUE_FACTOR[condition] * preload * diameter
