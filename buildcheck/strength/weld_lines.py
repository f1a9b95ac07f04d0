"""Fillet welds taken as lines in the plane of a foot. SI units.

Sources: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., tables 9-1 and 9-2 (properties of
lines); AISC 360, section J2.2b (long welds).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class WeldLines:
    """The lines of a weld by their properties about its middle, for a throat of 1.

    length:  m, of all lines. longest: m, of the longest one squares: (x, y), m3, the integrals of x^2 and of y^2 along
    the lines; x and y are axes of symmetry, or one of them is corners: (corners, 2) m, the points where the stress can
    be largest
    """

    length: float
    longest: float
    squares: tuple[float, float]
    corners: Array

    def shorter(self, share: float) -> WeldLines:
        """The same lines, only a share of which is welded, evenly."""
        return WeldLines(
            share * self.length, self.longest, (share * self.squares[0], share * self.squares[1]), self.corners
        )

    def most_per_length(self, shear: Array, twist: Array, pull: Array, tip: Array) -> Array:
        """Largest force on a unit of length of weld, N/m: in the plane V / L + T r / J, across it |P| / L + M g, the
        two as the sides of a right angle.

            J = the sum of the two squares;  g = sqrt((x / Ix)^2 + (y / Iy)^2), the largest of the corners

        shear V and pull P, N, twist T and tip M, N m, all of one shape, as in `bolt_groups.BoltGroup`: the direction of
        shear and tip in the plane of the foot is the worst. Infinite for a moment about the only line. Source: Shigley,
        sections 9-3 and 9-4.
        """
        across, along = self.squares
        turning = float(np.max(np.linalg.norm(self.corners, axis=1))) / (across + along)
        if min(across, along) > 0.0:
            bending = float(np.max(np.hypot(self.corners[:, 0] / across, self.corners[:, 1] / along)))
        else:
            bending = math.inf
        with np.errstate(invalid="ignore"):
            tipped = np.where(tip > 0.0, tip * bending, 0.0)
        return np.asarray(np.hypot(shear / self.length + twist * turning, np.abs(pull) / self.length + tipped))


def one_line(length: float) -> WeldLines:
    """One straight line, of a length d: d^3 / 12 about the axis across it."""
    return WeldLines(length, length, (length**3 / 12, 0.0), np.array([[length / 2, 0.0]]))


def two_lines(length: float, apart: float) -> WeldLines:
    """Two lines of a length d, a distance b apart: d^3 / 6 and d b^2 / 2, J = d (3 b^2 + d^2) / 6."""
    return WeldLines(2 * length, length, (length**3 / 6, length * apart**2 / 2), np.array([[length / 2, apart / 2]]))


def three_sides(length: float, width: float) -> WeldLines:
    """Two lines of a length b and one of a width d that joins them, a C: the middle is b^2 / (2 b + d) from that one;
    J = (8 b^3 + 6 b d^2 + d^3) / 12 - b^4 / (2 b + d)."""
    whole = 2 * length + width
    middle = length**2 / whole
    along = 2 * length**3 / 3 - whole * middle**2
    across = length * width**2 / 2 + width**3 / 12
    ends = np.array([[length - middle, width / 2], [-middle, width / 2]])
    return WeldLines(whole, max(length, width), (along, across), ends)


def all_round(length: float, width: float) -> WeldLines:
    """All round a rectangle of b by d: d^2 (3 b + d) / 6 and the same of the other side, J = (b + d)^3 / 6."""
    squares = (length**2 * (3 * width + length) / 6, width**2 * (3 * length + width) / 6)
    return WeldLines(2 * (length + width), max(length, width), squares, np.array([[length / 2, width / 2]]))


def round_a_circle(diameter: float) -> WeldLines:
    """Round a circle of a radius r: pi r^3 about either axis, J = 2 pi r^3."""
    radius = diameter / 2
    return WeldLines(
        math.pi * diameter, math.pi * diameter, (math.pi * radius**3,) * 2, np.array([[radius, 0.0], [0.0, radius]])
    )


def long_weld_factor(length: float, leg: float) -> float:
    """Share of a line's length that counts where it is much longer than its leg.

    1 up to 100 legs, 1.2 - 0.002 L / w up to 300, beyond that 180 legs. For lines loaded at their ends. Source: AISC
    360, section J2.2b, equation J2-1.
    """
    legs = length / leg
    if legs > 300:
        return 180 / legs
    return min(1.0, 1.2 - 0.002 * legs)
