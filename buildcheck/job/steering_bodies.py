"""Bodies of the steering beside its rods: pitman arm, joints on their studs, damper, knuckles and calipers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from buildcheck.axle.vectors import Array, unit
from buildcheck.build import Build, Side
from buildcheck.build.linkage import DragLink, RoundedBar, SteeringJoint, TieRod
from buildcheck.clearance.solids import Capsule
from buildcheck.job.body import (
    ARMS,
    AXLE,
    CALIPERS,
    DAMPER,
    DRAG_LINK,
    KNUCKLES,
    PITMAN_ARM,
    TIE_ROD,
    TYRES,
    Body,
)
from buildcheck.job.curve import Unreached
from buildcheck.job.linkage import LEFT, RIGHT
from buildcheck.job.moving import MovingAxle
from buildcheck.job.steered_parts import Turned
from buildcheck.job.steering_damper import SteeringDamper

Made = tuple[str, Callable[[], Body]]


def steering_bodies(build: Build, moving: MovingAxle, wheels: Turned) -> Iterator[Made]:
    """Yield the name of each body and a function that makes it. The pitman arm of every steering; a damper, knuckles,
    calipers and the studs of joints where the spec states them."""
    steering = build.steering
    yield PITMAN_ARM, partial(_pitman_arm, build, wheels)
    rods: tuple[tuple[str, str, tuple[str, str]], ...] = (
        ("drag_link", DRAG_LINK, ("pitman", "arm")),
        ("tie_rod", TIE_ROD, ("left", "right")),
    )
    for field, called, keys in rods:
        if not (steering.has(field) and getattr(steering, field).has("joints")):
            continue
        rod: DragLink | TieRod = getattr(steering, field)
        for key in keys:
            if rod.joints.has(key) and getattr(rod.joints, key).has("stud"):
                name = f"{called} {key} joint"
                yield name, partial(_joint, wheels, rod, key, name)
    if steering.has("stabiliser"):
        yield DAMPER, partial(_damper, build, moving, wheels)
    for side in (LEFT, RIGHT) if steering.has("kingpins") else ():
        pin = steering.kingpins[side]
        joined = frozenset({AXLE, TYRES[side], ARMS[side], KNUCKLES[side], CALIPERS[side]})
        if pin.has("knuckle"):
            holds = joined | {TIE_ROD, DRAG_LINK, "joint"}
            yield KNUCKLES[side], partial(_turning, wheels, pin.knuckle, side, KNUCKLES[side], holds)
        if pin.has("caliper"):
            yield CALIPERS[side], partial(_turning, wheels, pin.caliper, side, CALIPERS[side], joined)


def _turning(wheels: Turned, bar: RoundedBar, side: Side, name: str, holds: frozenset[str]) -> Body:
    """A part of a knuckle."""
    solid = Capsule(wheels.point(bar.start, side), wheels.point(bar.end, side), bar.radius)
    return Body(name, name, name.split()[1], bar.path, (solid,), holds, turns=True)


def _pitman_arm(build: Build, wheels: Turned) -> Body:
    """A bar from the sector shaft to the drag link, as wide as its root or, where that is not stated, as the link."""
    steering = build.steering
    arm, link = steering.pitman_arm, steering.drag_link
    radius = max(arm.root.width, arm.root.thickness) / 2 if arm.has("root") else link.tube.outside_diameter / 2
    solid = Capsule(np.array(arm.pivot)[:, None, None], wheels.pitman_end, radius)
    holds = frozenset({DRAG_LINK, f"{DRAG_LINK} pitman joint"})
    return Body(PITMAN_ARM, PITMAN_ARM, PITMAN_ARM, arm.path, (solid,), holds, turns=True)


def _joint(wheels: Turned, rod: DragLink | TieRod, key: str, name: str) -> Body:
    """A joint as a bar along its stud, as far to either side of its ball as the stud is high: on one side the stud, on
    the other its housing. Where the direction of the stud is not stated or not known, a ball of that size."""
    joint: SteeringJoint = getattr(rod.joints, key)
    stud = joint.stud
    centre = _ball(wheels, rod, key)
    radius, reach = stud.diameter / 2, max(stud.height, stud.diameter / 2)
    try:
        along = unit(wheels.stud(rod, key, unit(np.array(joint.axis)))) if joint.has("axis") else None
    except Unreached:
        along = None
    solid = Capsule(centre, centre, reach)
    if along is not None:
        beyond = (reach - radius) * along
        solid = Capsule(centre - beyond, centre + beyond, radius)
    # It is on its rod, and on the arm of whatever the rod moves.
    holds = frozenset({DRAG_LINK, TIE_ROD, PITMAN_ARM, *ARMS.values(), *KNUCKLES.values(), *TYRES.values()})
    return Body(name, name, "joint", joint.path, (solid,), holds, turns=True)


def _ball(wheels: Turned, rod: DragLink | TieRod, key: str) -> Array:
    """Centre of a joint's ball, (3, poses, locks) m."""
    if isinstance(rod, DragLink):
        return wheels.pitman_end if key == "pitman" else wheels.arm_end
    return wheels.rod_ends[0 if key == "left" else 1]


def _damper(build: Build, moving: MovingAxle, wheels: Turned) -> Body:
    """A bar between its ends, as thick as its body throughout: which end of it is the shaft is not stated."""
    damper = build.steering.stabiliser
    solid = Capsule(*SteeringDamper(build, moving, wheels).ends, damper.body_diameter / 2)
    steadied = {"tie-rod": {TIE_ROD}, "drag-link": {DRAG_LINK}, "steering-arm": {*ARMS.values(), *KNUCKLES.values()}}
    held = {AXLE} if damper.fixed_to == "axle" else set()
    holds = frozenset(held | steadied[damper.steadies])
    return Body(DAMPER, DAMPER, DAMPER, damper.path, (solid,), holds, turns=True)
