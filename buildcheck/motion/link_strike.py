"""A rock strikes a link: what it does to the link, to its two joints and to the axle.

The link is a straight beam on two ball joints. With P the force on it, N, at the distance s L from its axle end (L its
length, m; s from 0 at the axle to 1 at the frame) and d the unit vector from axle end to frame end,

    shares of the joints      (1 - s) P at the axle, s P at the frame
    bending moment            s (1 - s) L |P across d|, N m, at the strike; P L / 4 in the middle

Across the link that is statics. Along it, it is how a bar of even stiffness between two held ends shares a force; what
the axle does not hold goes on to the frame through the link, which is among the supports in `axial_forces`. So the
force on a joint is its share here plus the force of the link there. Sources: statics of a simply supported beam;
stiffness method with the forces of the held ends. Vehicle axes as in ISO 8855.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.statics import Load
from buildcheck.motion.vectors import Array, aligned, dot, size, unit


@dataclass(frozen=True, slots=True)
class LinkStrike:
    """What a strike does, apart from the tension that the link then carries between axle and frame.

    on_axle, on_frame: (3, ...) N, shares of the strike that the link passes to its joints
    axial:             (...) N, part of the strike along the link, + towards the frame end
    bending_moment:    (...) N m, the largest in the link, at the strike
    load:              what the axle feels of it
    """

    on_axle: Array
    on_frame: Array
    axial: Array
    bending_moment: Array
    load: Load


def link_strike(
    centre: ArrayLike, axle_end: ArrayLike, frame_end: ArrayLike, force: ArrayLike, share: ArrayLike = 0.5
) -> LinkStrike:
    """A force (3, ...) N on a link between two joints (3, ...) m, at a share (...) of its length from the axle end.

    `centre` (3, ...) is the axle centre. Equations and validity: at the head of this module. For a two-point link or a
    bar; a radius arm bends otherwise. Raises ValueError for a share outside 0 to 1.
    """
    portion = np.asarray(share, dtype=np.float64)
    if not ((portion >= 0.0) & (portion <= 1.0)).all():
        raise ValueError("The place of a strike must be a share of the link's length, 0 at the axle to 1 at the frame.")
    start, end, push, along_link = aligned(axle_end, frame_end, force, portion[None])
    line = unit(end - start)
    axial = dot(line, push)
    on_axle, on_frame = (1.0 - along_link) * push, along_link * push
    moment = along_link[0] * (1.0 - along_link[0]) * size(end - start) * size(push - axial * line)
    return LinkStrike(on_axle, on_frame, axial, moment, Load.at(centre, start, on_axle))


@dataclass(frozen=True, slots=True)
class RoundTube:
    """A round tube, outside diameter and wall in m. Raises ValueError for a wall that it has no room for."""

    outside_diameter: float
    wall: float

    def __post_init__(self) -> None:
        if not 0.0 < self.wall <= self.outside_diameter / 2:
            raise ValueError("A tube's wall must be above zero and at most half its outside diameter.")

    @property
    def second_moment(self) -> float:
        """pi (D^4 - d^4) / 64, m4, d the inside diameter."""
        inside = self.outside_diameter - 2 * self.wall
        return float(np.pi * (self.outside_diameter**4 - inside**4) / 64)

    @property
    def section_modulus(self) -> float:
        """Second moment over half the outside diameter, m3."""
        return self.second_moment / (self.outside_diameter / 2)


def bending_stress(moment: ArrayLike, tube: RoundTube) -> Array:
    """Stress at the outside of a tube in bending, Pa: M / S, while it stays elastic. Source: beam theory."""
    stress: Array = np.asarray(moment, dtype=np.float64) / tube.section_modulus
    return stress


def stiffness_across(length: ArrayLike, tube: RoundTube, modulus: float, share: ArrayLike = 0.5) -> Array:
    """Force per deflection at the strike, across a link on two joints, N/m: 3 E I / (L^3 s^2 (1 - s)^2).

    modulus E in Pa, length L in m, s as at the head of this module; 48 E I / L^3 in the middle. Elastic, shear left
    out. Source: simply supported beam with one force.
    """
    portion = np.asarray(share, dtype=np.float64)
    span = np.asarray(length, dtype=np.float64)
    stiffness: Array = 3 * modulus * tube.second_moment / (span**3 * (portion * (1 - portion)) ** 2)
    return stiffness


def drop_factor(weight: ArrayLike, height: ArrayLike, stiffness: ArrayLike) -> Array:
    """How many times its weight a body presses that falls on a link: 1 + sqrt(1 + 2 h k / W).

    weight W in N, height h of the fall in m, stiffness k of the link there in N/m; the link's own mass left out, all
    elastic. Source: energy; J. E. Shigley, Mechanical Engineering Design, shock and impact, from memory.
    """
    fall, rate, heavy = (np.asarray(value, dtype=np.float64) for value in (height, stiffness, weight))
    factor: Array = 1.0 + np.sqrt(1.0 + 2.0 * fall * rate / heavy)
    return factor
