"""Every quantity that follows the axle through its travel, by name: what a builder reads off while cycling it.

A quantity is named once, with its unit's dimension, its meaning and its sign; tables, curves and rules speak of it by
that name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np

from buildcheck.build import Missing, Side
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.moving import MovingAxle
from buildcheck.quantity import Dimension


class Quantity(NamedTuple):
    """One quantity of the moving axle.

    `group` is the part of the truck it belongs to, `heading` a few words for the head of a column, `meaning` says
    what it is and what its sign means. `of` computes it, SI, one number a pose.
    """

    name: str
    group: str
    heading: str
    meaning: str
    dimension: Dimension
    of: Callable[[MovingAxle], Array]


class Absent(NamedTuple):
    """A quantity that cannot be told, and the reason in words or the spec path that is missing."""

    name: str
    heading: str
    missing: str
    reason: str


def told(moving: MovingAxle) -> Iterator[tuple[Quantity, Array] | Absent]:
    """Every quantity of a build over its poses, in the order of the truck; what cannot be told, with the reason."""
    for quantity in quantities():
        try:
            yield quantity, np.asarray(quantity.of(moving))
        except Missing as missing:
            yield Absent(quantity.name, quantity.heading, missing.path, f"the spec lacks {missing.path}")
        except Unreached as unreached:
            yield Absent(quantity.name, quantity.heading, "", str(unreached))


def quantities() -> Iterator[Quantity]:
    """All quantities, whether or not a build can tell them."""
    yield from _axle()
    yield from _handling()
    yield from _steering()
    yield from _joints()
    for side in (Side.LEFT, Side.RIGHT):
        yield from _of_side(side)
    yield from _driveline()


def _axle() -> Iterator[Quantity]:
    group = "axle"
    yield Quantity(
        "axle-forward", group, "forward", "the axle centre's way forward from where the spec puts it; rearward is less",
        Dimension.LENGTH, lambda moving: moving.forward,
    )  # fmt: skip
    yield Quantity(
        "axle-left", group, "left", "the axle centre's way to the left from where the spec puts it; right negative",
        Dimension.LENGTH, lambda moving: moving.left,
    )  # fmt: skip
    yield Quantity(
        "axle-yaw", group, "yaw", "yaw of the axle; its nose to the left is positive",
        Dimension.ANGLE, lambda moving: moving.yaw,
    )  # fmt: skip
    yield Quantity(
        "caster", group, "caster", "caster: positive with the steering axis leaning rearward at the top",
        Dimension.ANGLE, lambda moving: moving.build.axle.caster - moving.pitch,
    )  # fmt: skip
    yield Quantity(
        "pinion-up", group, "pinion up", "how far the pinion points up along its way to the driveshaft; down negative",
        Dimension.ANGLE, lambda moving: moving.pinion_up,
    )  # fmt: skip


def _handling() -> Iterator[Quantity]:
    group = "handling"
    yield Quantity(
        "roll-centre-height", group, "roll centre", "height of the roll centre above the floor",
        Dimension.LENGTH, lambda moving: moving.handling.roll_centre.height,
    )  # fmt: skip
    yield Quantity(
        "roll-axis-slope", group, "roll axis", "slope of the roll axis; rising forward is positive",
        Dimension.RATIO, lambda moving: moving.handling.roll_centre.axis_slope,
    )  # fmt: skip
    yield Quantity(
        "roll-steer", group, "roll steer",
        "yaw of the axle for each unit of roll; nose left as the left side rises is positive",
        Dimension.RATIO, lambda moving: moving.handling.roll_centre.roll_steer,
    )  # fmt: skip
    yield Quantity(
        "swing-arm-length", group, "swing arm",
        "side-view swing arm, from the axle centre to its instant centre; without bound where the links run parallel",
        Dimension.LENGTH, lambda moving: moving.handling.instant_centre.length,
    )  # fmt: skip
    yield Quantity(
        "anti-dive", group, "anti-dive",
        "share of the load transfer under braking that the links carry past this axle's springs; negative adds dive",
        Dimension.RATIO, lambda moving: moving.handling.anti_dive,
    )  # fmt: skip
    for side in (Side.LEFT, Side.RIGHT):
        yield Quantity(
            f"{side}-wheelbase-change", group, f"{side} wheelbase", f"change of the {side} wheelbase; longer positive",
            Dimension.LENGTH, _wheelbase_change(side),
        )  # fmt: skip
    yield Quantity(
        "bind", group, "bind", "largest load that links put on each other where more than four hold the axle",
        Dimension.FORCE, lambda moving: moving.handling.bind,
    )  # fmt: skip


def _wheelbase_change(side: Side) -> Callable[[MovingAxle], Array]:
    return lambda moving: moving.handling.wheelbase_change(side)


def _steering() -> Iterator[Quantity]:
    yield Quantity(
        "steer", "steering", "steer",
        "steer of the road wheel that the drag link moves, steering wheel held; to the left positive",
        Dimension.ANGLE, lambda moving: moving.knuckle.steer,
    )  # fmt: skip
    yield Quantity(
        "other-wheel-steer",
        "steering",
        "other wheel",
        "steer of the road wheel that the tie rod moves, steering wheel held; to the left positive",
        Dimension.ANGLE,
        lambda moving: moving.other_knuckle.steer,
    )


def _joints() -> Iterator[Quantity]:
    group = "joints"
    yield Quantity(
        "frame-joint-turn",
        group,
        "at frame",
        "the most that a link or the bar has turned at its frame joint since ride height; radius arms left out",
        Dimension.ANGLE,
        lambda moving: moving.joint_turn("frame"),
    )
    yield Quantity(
        "axle-joint-turn",
        group,
        "at axle",
        "the most that a link or the bar has turned at its axle joint since ride height; radius arms left out",
        Dimension.ANGLE,
        lambda moving: moving.joint_turn("axle"),
    )


def _of_side(side: Side) -> Iterator[Quantity]:
    group = f"{side} side"
    yield Quantity(
        f"{side}-coilover-length", group, "coilover", f"length of the {side} coilover, eye to eye",
        Dimension.LENGTH, lambda moving: moving.length(moving.build.coilovers[side]),
    )  # fmt: skip
    yield Quantity(
        f"{side}-coilover-bump-left", group, "bump left", f"stroke that the {side} coilover has left to be pressed",
        Dimension.LENGTH,
        lambda moving: moving.length(moving.build.coilovers[side]) - moving.build.coilovers[side].compressed_length,
    )  # fmt: skip
    yield Quantity(
        f"{side}-coilover-droop-left", group, "droop left", f"stroke that the {side} coilover has left to be drawn out",
        Dimension.LENGTH,
        lambda moving: moving.build.coilovers[side].extended_length - moving.length(moving.build.coilovers[side]),
    )  # fmt: skip
    yield Quantity(
        f"{side}-motion-ratio",
        group,
        "motion ratio",
        f"shortening of the {side} coilover for each unit that the axle rises straight",
        Dimension.RATIO,
        lambda moving: moving.handling.motion_ratio(
            moving.build.coilovers[side], moving.point(moving.build.coilovers[side].axle)
        ),
    )
    yield Quantity(
        f"{side}-strap-slack", group, "strap slack", f"slack of the {side} limit strap; negative: stretched by that",
        Dimension.LENGTH,
        lambda moving: moving.build.limit_straps[side].length - moving.length(moving.build.limit_straps[side]),
    )  # fmt: skip
    yield Quantity(
        f"{side}-stop-gap", group, "stop gap", f"gap of the {side} bump stop to its target; negative: pressed by that",
        Dimension.LENGTH,
        lambda moving: moving.stop_height(moving.build.bump_stops[side]) - moving.build.bump_stops[side].free_length,
    )  # fmt: skip
    yield Quantity(
        f"{side}-brake-line-slack", group, "hose slack", f"slack of the {side} brake line, at whichever lock is worst",
        Dimension.LENGTH,
        lambda moving: moving.brake_line(side).free_length - moving.brake_line_length(side, moving.brake_line(side)),
    )  # fmt: skip


def _driveline() -> Iterator[Quantity]:
    group = "driveshaft"
    yield Quantity(
        "driveshaft-length", group, "length", "length of the driveshaft, joint centre to joint centre",
        Dimension.LENGTH, lambda moving: moving.driveshaft_length(),
    )  # fmt: skip
    yield Quantity(
        "output-joint-angle", group, "output joint", "angle of the driveshaft's joint at the output",
        Dimension.ANGLE, lambda moving: moving.driveshaft_angles()[0],
    )  # fmt: skip
    yield Quantity(
        "pinion-joint-angle", group, "pinion joint", "angle of the driveshaft's joint at the pinion",
        Dimension.ANGLE, lambda moving: moving.driveshaft_angles()[1],
    )  # fmt: skip
    yield Quantity(
        "driveshaft-ripple",
        group,
        "ripple",
        "greatest less least speed of the pinion over a turn of the shaft, over its mean",
        Dimension.RATIO,
        lambda moving: moving.driveshaft_ripple(),
    )
