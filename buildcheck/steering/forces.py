"""Forces in the steering of a standing truck as its wheels are turned: equilibrium of both rods and both knuckles.

The drag link and the tie rod are straight beams with a ball joint at each end. One that carries the end of the other
is loaded there across its line, and bends. With A and B the ends of a rod, e the unit vector from A to B, L its length,
and f a force on it at the share a of the way from A to B, the rod pushes on what holds its ends with

    at A   (1 - a) f + N e        at B   a f - N e        bending moment  a (1 - a) L |f across e|

The force N along it, which its own equilibrium leaves open, is found for both rods from the equilibrium of the two
knuckles about their kingpins (statics), with k the axis of a kingpin and r the lever of a rod's force on the knuckle:

    k . (sum of r x force) + torque of the ground about the kingpin = 0

Vehicle axes (x forward, y left, z up), m, N and N m; vectors hold (x, y, z) on their first axis, and the axes after it
broadcast from the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit
from buildcheck.steering.linkage import Ends, Joined, Linkage

LEAST_LEVER = 1e-6
"""Smallest determinant of the two equations, m2, that is not a dead point."""


class Push(NamedTuple):
    """A force (3, ...) N on a rod, at a share of the way from its first to its last end."""

    share: ArrayLike
    force: Array


@dataclass(frozen=True, slots=True)
class Rod:
    """Forces on one rod: `first` and `last` (3, ...) N on what holds its two ends, `bending` (...) N m, the largest in
    it, and the tension (...) N of its two parts, before and behind the load on it; the same where there is none."""

    first: Array
    last: Array
    bending: Array
    before: Array
    behind: Array


@dataclass(frozen=True, slots=True)
class SteeringForces:
    """Forces in both rods. The drag link runs from the pitman arm to what it moves, the tie rod from the near knuckle,
    or the drag link, to the far knuckle."""

    drag_link: Rod
    tie_rod: Rod


def scrub_torque(weight: ArrayLike, friction: ArrayLike, offset: ArrayLike, width: ArrayLike) -> Array:
    """Torque that turns the wheel of a standing truck about its kingpin against the friction of its tyre, N m:

        M = mu W h,   h = sqrt(d^2 + (a / 3)^2)

    weight W in N on the tyre; friction mu of tyre on ground; offset d, m, of the middle of the contact from the
    kingpin's axis, on the ground; a, m, the diameter of the contact, taken as the width of the tyre. a / 3 is the mean
    lever of a disc of even pressure about its middle. A tyre that rolls as it turns needs less, so the friction of a
    sliding tyre is on the safe side. Source: D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering
    (Springer 2018), section 2, example E2.1.
    """
    load, grip, lever, contact = (np.asarray(each, np.float64) for each in (weight, friction, offset, width))
    return np.asarray(grip * load * np.hypot(lever, contact / 3))


def steering_forces(
    steering: Linkage,
    at: Ends,
    near_torque: ArrayLike,
    far_torque: ArrayLike,
    on_link: tuple[Push, ...] = (),
    on_rod: tuple[Push, ...] = (),
) -> SteeringForces:
    """Forces in both rods that hold the knuckles against torques of the ground.

    Args:
        steering: the linkage at the pose; its kingpins and how its links are joined are used.
        at: the links' ends there, (3, ...) m.
        near_torque, far_torque: of the ground on each knuckle with its wheel, (...) N m, right-handed about its kingpin
            axis pointing up.
        on_link, on_rod: forces on the drag link, from the pitman arm on, and on the tie rod, from its near end on.

    NaN where a rod has no lever about the kingpins, at a dead point. Equations: at the head of this module.
    """
    near_torque, far_torque = np.asarray(near_torque, np.float64), np.asarray(far_torque, np.float64)
    nothing = np.zeros(np.broadcast_shapes(near_torque.shape, at.pitman.shape[1:]))

    def rods(along_link: Array, along_rod: Array) -> tuple[Rod, Rod]:
        if steering.joined is Joined.LINK_ON_ROD:
            link = _rod(at.pitman, at.arm, along_link, on_link)
            return link, _rod(at.near, at.far, along_rod, (*on_rod, Push(steering.share, link.last)))
        rod = _rod(at.near, at.far, along_rod, on_rod)
        if steering.joined is Joined.ROD_ON_LINK:
            return _rod(at.pitman, at.arm, along_link, (*on_link, Push(steering.share, rod.first))), rod
        return _rod(at.pitman, at.arm, along_link, on_link), rod

    def about_kingpins(along_link: Array, along_rod: Array) -> tuple[Array, Array]:
        link, rod = rods(along_link, along_rod)
        near = nothing
        if steering.joined is not Joined.LINK_ON_ROD:
            near = near + _about(steering.arm.pivot, steering.arm.axis, at.arm, link.last)
        if steering.joined is not Joined.ROD_ON_LINK:
            near = near + _about(steering.near_rod.pivot, steering.near_rod.axis, at.near, rod.first)
        return near, _about(steering.far_rod.pivot, steering.far_rod.axis, at.far, rod.last)

    # Both torques are linear in the two unknown forces, so three evaluations give the equations.
    one = nothing + 1.0
    near_alone, far_alone = about_kingpins(nothing, nothing)
    near_torque, far_torque = near_torque + near_alone, far_torque + far_alone
    near_by_link, far_by_link = np.subtract(about_kingpins(one, nothing), (near_alone, far_alone))
    near_by_rod, far_by_rod = np.subtract(about_kingpins(nothing, one), (near_alone, far_alone))
    determinant = near_by_link * far_by_rod - near_by_rod * far_by_link
    with np.errstate(invalid="ignore", divide="ignore"):
        scale = np.where(np.abs(determinant) > LEAST_LEVER, 1.0 / determinant, np.nan)
    along_link = (near_by_rod * far_torque - far_by_rod * near_torque) * scale
    along_rod = (far_by_link * near_torque - near_by_link * far_torque) * scale
    return SteeringForces(*rods(along_link, along_rod))


def _rod(first: Array, last: Array, along: Array, pushes: tuple[Push, ...] = ()) -> Rod:
    """One rod between two ends with the force `along` it, N, tension positive, and forces on it. Of several forces the
    bending moments are added as if in one place and direction, which is on the safe side."""
    first, last, tension = aligned(first, last, along[None])
    way = last - first
    line = unit(way)
    at_first, at_last = tension * line, -tension * line
    bending = np.zeros(np.broadcast_shapes(along.shape, way.shape[1:]))
    for push in pushes:
        at_first, at_last, load, share = aligned(at_first, at_last, push.force, np.asarray(push.share)[None])
        at_first, at_last = at_first + (1.0 - share) * load, at_last + share * load
        across = load - dot(load, line * np.ones_like(load)) * line
        bending = bending + (share * (1.0 - share))[0] * size(way) * size(across)
    return Rod(at_first, at_last, bending, dot(at_first, line), -dot(at_last, line))


def _about(pivot: Array, axis: Array, point: Array, force: Array) -> Array:
    """Moment (...) N m of a force at a point about an axis through a pivot."""
    pivot, axis, point, force = aligned(pivot, axis, point, force)
    return dot(unit(axis), cross(point - pivot, force))
