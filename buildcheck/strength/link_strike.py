"""Loads of a rock strike on a link, its two joints and the axle.

The link is a straight beam on two ball joints. With P the force on it, N, at the distance s L from its axle end (L its
length, m; s from 0 at the axle to 1 at the frame) and d the unit vector from axle end to frame end,

    shares of the joints      (1 - s) P at the axle, s P at the frame
    bending moment            s (1 - s) L |P across d|, N m, at the strike; P L / 4 at mid-length

Across the link this is statics. Along it, these are the shares of a bar of uniform stiffness between two held ends; the
part that the axle does not hold passes to the frame through the link, which is one of the supports in `axial_forces`.
So the force on a joint is its share here plus the link's force from `axial_forces`. Sources: statics of a simply
supported beam; stiffness method with the forces of the held ends. Vehicle axes as in ISO 8855.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.rigid_arm import RigidArm
from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit
from buildcheck.strength.statics import Load


@dataclass(frozen=True, slots=True)
class LinkStrike:
    """Loads of a strike on a link, without the tension that the link then carries between axle and frame.

    on_axle, on_frame: (3, ...) N, shares of the strike that the link passes to its joints
    axial:             (...) N, part of the strike along the link, + towards the frame end
    bending_moment:    (...) N m, the largest in the link, at the strike
    load:              load of the strike on the axle
    """

    on_axle: Array
    on_frame: Array
    axial: Array
    bending_moment: Array
    load: Load


def link_strike(
    centre: ArrayLike, axle_end: ArrayLike, frame_end: ArrayLike, force: ArrayLike, share: ArrayLike = 0.5
) -> LinkStrike:
    """Loads of a force (3, ...) N on a link between two joints (3, ...) m, at a share (...) of its length from the
    axle.

    `centre` (3, ...) is the axle centre. Equations and validity: at the head of this module. For a two-point link or a
    bar; see `arm_strike` for a radius arm. Raises ValueError for a share outside 0 to 1.
    """
    portion = _share_of_length(share)
    start, end, push, along_link = aligned(axle_end, frame_end, force, portion[None])
    line = unit(end - start)
    axial = dot(line, push)
    on_axle, on_frame = (1.0 - along_link) * push, along_link * push
    moment = along_link[0] * (1.0 - along_link[0]) * size(end - start) * size(push - axial * line)
    return LinkStrike(on_axle, on_frame, axial, moment, Load.at(centre, start, on_axle))


@dataclass(frozen=True, slots=True)
class ArmStrike:
    """Loads of a strike on a radius arm, without the forces that its joints then carry because the axle yields.

    on_axle_upper, on_axle_lower, on_frame: (3, ...) N, shares of the strike that the arm passes to its joints
    load:                                   load of the strike on the axle
    """

    on_axle_upper: Array
    on_axle_lower: Array
    on_frame: Array
    load: Load


def arm_strike(centre: ArrayLike, arm: RigidArm, force: ArrayLike, share: float = 0.5) -> ArmStrike:
    """Loads of a force (3, ...) N on a radius arm, with frame and axle held.

    `share` is the place of the force, from the stiffness centre of the axle joints to the frame joint. The joints share
    the force with the least work. Because that is an equilibrium of least energy, the forces of the arm's two lines in
    `axial_forces` simply add to it. Raises ValueError for a share outside 0 to 1. Source: `rigid_arm`; statics of a
    rigid body.
    """
    _share_of_length(share)
    push = np.asarray(force, dtype=np.float64)
    on_frame = arm.struck(push, share)
    net, moment = arm.on_axle(on_frame, push, share)
    load = Load.at(centre, arm.centre, net) + Load.torque(moment)
    return ArmStrike(*arm.at_axle_joints(on_frame, push, share), on_frame, load)


def arm_bending(
    axle_end: ArrayLike,
    frame_end: ArrayLike,
    on_frame: ArrayLike,
    force: ArrayLike = (0.0, 0.0, 0.0),
    share: float = 0.5,
) -> Array:
    """Largest bending moment in a link or radius arm, (...) N m: at the strike, or at its axle end.

    axle_end, frame_end: (3, ...) m; for a radius arm the axle end is the stiffness centre of its axle joints
    on_frame:            (3, ...) N, the total force of the link on its frame joint
    force, share:        the strike (3, ...) N and its place, as in `link_strike`; zero force for no strike

    The moment grows with the distance from the frame joint; beyond the strike, the strike adds its own moment. A
    two-point link has no moment at its axle end. Source: statics of a beam.
    """
    start, end, pull, push = aligned(axle_end, frame_end, on_frame, force)
    struck = start + share * (end - start)
    at_strike = cross(struck - end, pull)
    at_axle = cross(start - end, pull) + cross(struck - start, push)
    largest: Array = np.maximum(*np.broadcast_arrays(size(at_strike), size(at_axle)))
    return largest


def _share_of_length(share: ArrayLike) -> Array:
    portion = np.asarray(share, dtype=np.float64)
    if not ((portion >= 0.0) & (portion <= 1.0)).all():
        raise ValueError("The place of a strike must be a share of the link's length, 0 at the axle to 1 at the frame.")
    return portion
