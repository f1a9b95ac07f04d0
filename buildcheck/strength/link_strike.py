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

from buildcheck.axle.rigid_arm import RigidArm
from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit
from buildcheck.strength.statics import Load


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
    """What a strike on a radius arm does, apart from what its three joints then carry because the axle gives way.

    on_axle_upper, on_axle_lower, on_frame: (3, ...) N, shares of the strike that the arm passes to its joints
    load:                                   what the axle feels of it
    """

    on_axle_upper: Array
    on_axle_lower: Array
    on_frame: Array
    load: Load


def arm_strike(centre: ArrayLike, arm: RigidArm, force: ArrayLike, share: float = 0.5) -> ArmStrike:
    """A force (3, ...) N on a radius arm, at a share of the way from its axle joints' stiffness centre to the frame
    joint, with frame and axle held.

    Held so, the arm's joints share it with the least work. Since that is an equilibrium of least energy, what the
    arm's two lines in `axial_forces` then carry adds to it without a say of either in the other. Raises ValueError for
    a share outside 0 to 1. Source: `rigid_arm`; statics of a rigid body.
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
    """The largest bending moment in a link or radius arm, (...) N m: at the strike, or at its axle end.

    axle_end, frame_end: (3, ...) m; for a radius arm the axle end is the stiffness centre of its axle joints
    on_frame:            (3, ...) N, the whole force of the link on its frame joint
    force, share:        the strike (3, ...) N and where it is, as in `link_strike`; none where nothing strikes

    From the frame joint the moment grows along the link with its distance; beyond the strike the strike adds its own. A
    two-point link has none at its axle end. Source: statics of a beam.
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
