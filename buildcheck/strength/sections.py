"""Strength of the sections of links: bending, columns. Handbook formulas; SI units.

Sources: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed.: equations 4-43, 4-45 and 4-46 (columns);
beam theory for the rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from buildcheck.strength.metals import STEEL_MODULUS


@dataclass(frozen=True, slots=True)
class Section:
    """A cross-section, by its properties in bending and buckling.

    area: m2; second_moment: m4, and section_modulus: m3, both about the weakest axis.
    """

    area: float
    second_moment: float
    section_modulus: float

    @property
    def radius_of_gyration(self) -> float:
        """sqrt(I / A), m."""
        return math.sqrt(self.second_moment / self.area)


def round_tube(outside_diameter: float, wall: float) -> Section:
    """A round tube, m: A = pi (D^2 - d^2) / 4, I = pi (D^4 - d^4) / 64, S = 2 I / D, d the inside diameter.

    A wall of half the diameter makes a solid bar. 2 in x 1/4 in: 1.374 in2, 0.537 in4, 0.537 in3. Raises ValueError for
    a wall that does not fit the tube.
    """
    if not 0.0 < wall <= outside_diameter / 2:
        raise ValueError("A tube's wall must be above zero and at most half its outside diameter.")
    inside = outside_diameter - 2 * wall
    second_moment = math.pi * (outside_diameter**4 - inside**4) / 64
    return Section(
        math.pi * (outside_diameter**2 - inside**2) / 4, second_moment, second_moment / (outside_diameter / 2)
    )


def rectangle(height: float, width: float, wall: float | None = None) -> Section:
    """A rectangular tube, or a solid bar where `wall` is None; m.

    The corners are sharp, which overstates the section of a drawn tube a little.

    I = (b h^3 - b' h'^3) / 12 about each axis, h' and b' inside; the smaller section modulus and the smaller second
    moment are used. Raises ValueError for sizes that are not above zero, or a wall that does not fit.
    """
    if not (height > 0.0 and width > 0.0) or (wall is not None and not 0.0 < wall <= min(height, width) / 2):
        raise ValueError("A section's sides and wall must be above zero, the wall at most half its smaller side.")
    inner_height, inner_width = (0.0, 0.0) if wall is None else (height - 2 * wall, width - 2 * wall)
    upright = (width * height**3 - inner_width * inner_height**3) / 12
    sideways = (height * width**3 - inner_height * inner_width**3) / 12
    return Section(
        height * width - inner_height * inner_width,
        min(upright, sideways),
        min(upright / (height / 2), sideways / (width / 2)),
    )


def stress_within(section: Section, moment: float, thrust: float = 0.0) -> float:
    """Largest combined stress of bending and of a force along the link, Pa: M / S + |F| / A, in the elastic range.

    moment M in N m, thrust F in N of either sign. Source: beam theory.
    """
    return abs(moment) / section.section_modulus + abs(thrust) / section.area


def column_capacity(
    section: Section, length: float, yield_strength: float, modulus: float = STEEL_MODULUS, end_condition: float = 1.0
) -> float:
    """Buckling load of a straight, centrally loaded column, N.

        (l/k)_1 = sqrt(2 pi^2 C E / S_y)
        P / A   = C pi^2 E / (l/k)^2                      more slender than (l/k)_1 (Euler)
        P / A   = S_y - (S_y l / (2 pi k))^2 / (C E)      otherwise (J. B. Johnson)

    l length, m; k radius of gyration, m; S_y yield strength and E modulus, Pa; C = 1 for ends that pivot. At
    (l/k)_1 both give S_y A / 2. A 1.75 x 0.250 in tube of 36 in, 60 ksi and 29 Mpsi buckles at 54 077 lbf. Valid
    without eccentricity or side load. Source: Shigley, 9th ed., equations 4-43, 4-45 and 4-46.
    """
    slenderness = length / section.radius_of_gyration
    if slenderness > math.sqrt(2 * math.pi**2 * end_condition * modulus / yield_strength):
        return section.area * end_condition * math.pi**2 * modulus / slenderness**2
    lost = (yield_strength * slenderness / (2 * math.pi)) ** 2 / (end_condition * modulus)
    return section.area * (yield_strength - lost)
