"""Loads of the bolts of a bracket's foot, by the elastic method; prying, joint stiffness, stripping. SI units.

Sources: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed.: section 8-12 (eccentric shear),
equations 8-17 to 8-20 (stiffness, from memory), 8-24, 8-29 and 8-30 (preloaded joint); NASA Reference Publication 1228,
Fastener Design Manual (groups of fasteners, pull-out of threads); Tamboli (ed.), Handbook of Structural Steel
Connection Design and Details, 2009, page 107, and Thornton, Prying Action - a General Treatment, 1985 (prying).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class BoltGroup:
    """Bolts of one size in the foot of a bracket.

    places: (bolts, 2) m, their centres from the middle of the group, along its two axes of symmetry
    edge:   m, from a bolt's centre to the nearest edge of the foot
    """

    places: Array
    edge: float

    @property
    def count(self) -> int:
        """How many bolts."""
        return len(self.places)

    def most_in_shear(self, force: Array, twist: Array) -> Array:
        """Shear force on the most loaded bolt, N: F / n + T r / sum(r^2).

        force: F, N, across the bolts, through the middle of the group, and twist: T, N m, about the direction of the
        bolts; both zero or more, of one shape. The two add up, as they do on one bolt where the force has the worst
        direction in the plane of the foot: the spec does not say how the pattern is turned. The foot is rigid.
        Four bolts at (75, 60) mm take 4 kN of 16 kN, and 17.7 kN of 6.8 kN m. Source: Shigley, section 8-12.
        """
        farthest = np.linalg.norm(self.places, axis=1)
        turning = float(np.sum(farthest**2))
        return np.asarray(force / self.count + (twist * float(np.max(farthest)) / turning if turning else 0.0))

    def most_in_tension(self, pull: Array, moment: Array) -> Array:
        """Pull on the most loaded bolt, N: P / n + M g, zero or more.

            g = sqrt((x / sum(x^2))^2 + (y / sum(y^2))^2), the largest of the bolts

        pull: P, N, along the bolts, negative where it presses the foot on. moment: M, N m, about an axis in the plane
        of the foot, zero or more; g is that of the worst direction. The foot turns about the middle of its bolts, as
        one does that preload holds down; about its edge the bolts would take less. Bolts in one row do not resist a
        moment about their row; there the foot turns about its edge, and 1 / (n edge) takes the place of the second
        part. Source: statics of a rigid foot; NASA RP-1228.
        """
        return np.maximum(pull / self.count + moment * self._pull_of_moment, 0.0)

    @property
    def _pull_of_moment(self) -> float:
        squares = np.sum(self.places**2, axis=0)
        parts = [
            self.places[:, axis] / square if square > 0.0 else np.full(self.count, 1 / (self.count * self.edge))
            for axis, square in enumerate(squares)
        ]
        return float(np.max(np.hypot(*parts)))


def in_line(count: int, spacing: float) -> Array:
    """Places of bolts in one row, (bolts, 2) m."""
    along = (np.arange(count) - (count - 1) / 2) * spacing
    return np.stack([along, np.zeros(count)], axis=1)


def in_two_rows(count: int, spacing: float, between_rows: float) -> Array:
    """Places of bolts in two rows of half as many each, (bolts, 2) m. Raises ValueError for an odd number."""
    if count % 2:
        raise ValueError("two rows need an even number of bolts")
    along = in_line(count // 2, spacing)
    return np.concatenate([along + np.array([0.0, half]) for half in (-between_rows / 2, between_rows / 2)])


def on_circle(count: int, diameter: float) -> Array:
    """Places of bolts evenly round a circle, (bolts, 2) m."""
    turn = 2 * np.pi * np.arange(count) / count
    return diameter / 2 * np.stack([np.cos(turn), np.sin(turn)], axis=1)


class Flange(NamedTuple):
    """The part of a foot that one bolt bends, as prying has it; m and Pa.

    out: b, from the bolt's centre to the face of the upright; edge: a, from it to the edge; along: p, the length of
    foot that belongs to the bolt; thickness: t; hole: d'; strength: yield strength of the foot
    """

    out: float
    edge: float
    along: float
    thickness: float
    hole: float
    strength: float


def pull_with_prying(bolt: float, diameter: float, flange: Flange) -> float:
    """Pull of the bracket on one bolt at which the bolt, with prying, or the foot reaches its strength, N.

        b' = b - d/2   a' = min(a, 1.25 b) + d/2   rho = b'/a'   delta = 1 - d'/p   t_c = sqrt(4 B b' / (p F))
        alpha' = ((t_c/t)^2 - 1) / (delta (1 + rho))
        T = B                               alpha' below 0: the foot is stiff, and there is no prying
        T = B (t/t_c)^2 (1 + delta alpha')  between 0 and 1
        T = B (t/t_c)^2 (1 + delta)         above 1: the foot bends first

    bolt: B, strength of the bolt in tension, N; diameter: d, m. A bolt beside the face of the upright (b' zero or less)
    has its full strength. A 7/8 in bolt of 40.6 kip in a flange of 0.715 in (b 2.035 in, p 3 in, 0.9 x 65 ksi) carries
    23.7 kip. Sources: Tamboli, page 107; Thornton.
    """
    inside, outside = flange.out - diameter / 2, min(flange.edge, 1.25 * flange.out) + diameter / 2
    if inside <= 0.0:
        return bolt
    stiff = 4 * bolt * inside / (flange.along * flange.strength)  # t_c squared
    left = max(0.0, 1 - flange.hole / flange.along)
    thin = flange.thickness**2 / stiff
    pried = (1 / thin - 1) / (1 + inside / outside)  # delta alpha'
    if pried < 0.0:
        return bolt
    return bolt * thin * (1 + min(pried, left))


class Layer(NamedTuple):
    """One thickness of what a bolt clamps: m, and its modulus, Pa."""

    thickness: float
    modulus: float


def joint_constant(diameter: float, layers: Sequence[Layer], bolt_modulus: float) -> float:
    """Share of an outside pull that a preloaded bolt carries itself: C = k_b / (k_b + k_m).

        k_b = pi d^2 E / (4 l)
        k = 0.5774 pi E d / ln(((1.155 t + D - d)(D + d)) / ((1.155 t + D + d)(D - d)))   of each frustum, 30 deg

    diameter: d, m; layers from the head to the nut, or to half a diameter deep in a tapped hole; l their thickness. The
    frusta begin with D = 1.5 d at either end and meet in the middle; k_m is all of them in series. The bolt counts as
    its whole shank, the stiffer side. Steel in steel, 12 mm and 30 mm long, has k_m of 2.498 MN/mm. Source: Shigley,
    equations 8-17 and 8-20, from memory.
    """
    length = sum(layer.thickness for layer in layers)
    softness = sum(
        1 / _frustum(diameter, wide, layer)
        for half in (layers, tuple(reversed(layers)))
        for wide, layer in _cone(diameter, half, length / 2)
    )
    bolt = math.pi * diameter**2 * bolt_modulus / (4 * length)
    return bolt / (bolt + 1 / softness)


def _cone(diameter: float, layers: Sequence[Layer], depth: float) -> list[tuple[float, Layer]]:
    """The frusta from one end to a depth: the smaller diameter of each, and its part of a layer."""
    found, start = [], 0.0
    for layer in layers:
        thickness = min(layer.thickness, depth - start)
        if thickness <= 0.0:
            break
        wide = 1.5 * diameter + 2 * start * math.tan(math.radians(30))
        found.append((wide, Layer(thickness, layer.modulus)))
        start += thickness
    return found


def _frustum(diameter: float, wide: float, layer: Layer) -> float:
    """Stiffness of one frustum, N/m."""
    grown = 2 * math.tan(math.radians(30)) * layer.thickness
    ratio = (grown + wide - diameter) * (wide + diameter) / ((grown + wide + diameter) * (wide - diameter))
    return math.tan(math.radians(30)) * math.pi * layer.modulus * diameter / math.log(ratio)


def pull_out(pitch_diameter: float, engaged: float, shear_strength: float) -> float:
    """Pull at which a thread strips out of a tapped hole, N: pi d_m L F_s / 3.

    pitch_diameter: d_m, m; engaged: L, m, of full thread; shear_strength: F_s, Pa, of the metal with the hole. The
    third allows for threads that do not mate well. A 1/2-13 bolt 1 in deep in aluminium of 27 ksi holds 12 723 lbf.
    Source: NASA Reference Publication 1228, Fastener Design Manual.
    """
    return math.pi * pitch_diameter * engaged * shear_strength / 3
