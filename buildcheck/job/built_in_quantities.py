"""The quantities that are built in, in the order of the truck: what a builder reads off while cycling the axle."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from buildcheck.build import Part, Side
from buildcheck.build.linkage import Link
from buildcheck.job.curve import Array
from buildcheck.job.joints import most_turned
from buildcheck.job.moving import MovingAxle
from buildcheck.job.named_quantity import Family, Quantity
from buildcheck.spec.quantity import Dimension


def _axle() -> Iterator[Quantity]:
    group = "axle"
    yield Quantity(
        "axle-forward", group, "forward",
        "displacement of the axle centre forward from its place in the spec; rearward negative",
        Dimension.LENGTH, lambda moving: moving.forward, compared=True,
    )  # fmt: skip
    yield Quantity(
        "axle-left", group, "left",
        "displacement of the axle centre to the left from its place in the spec; right negative",
        Dimension.LENGTH, lambda moving: moving.left,
    )  # fmt: skip
    yield Quantity(
        "axle-yaw", group, "yaw",
        "yaw of the axle in plan, by the line of its wheels; nose to the left is positive",
        Dimension.ANGLE, lambda moving: moving.yaw, compared=True,
    )  # fmt: skip
    yield Quantity(
        "caster", group, "caster",
        "caster: positive with the steering axis leaning rearward at the top; roll does not turn it",
        Dimension.ANGLE, lambda moving: moving.build.axle.caster - moving.pitch, steers=True,
    )  # fmt: skip
    yield Quantity(
        "pinion-up", group, "pinion up", "angle of the pinion above level, towards the driveshaft; down negative",
        Dimension.ANGLE, lambda moving: moving.pinion_up,
    )  # fmt: skip


def _handling() -> Iterator[Quantity]:
    group = "handling"
    yield Quantity(
        "roll-centre-height", group, "roll centre",
        "height of the roll centre above the floor, which moves with the axle on its tyres",
        Dimension.LENGTH, lambda moving: moving.handling.roll_centre.height,
    )  # fmt: skip
    yield Quantity(
        "roll-axis-slope", group, "roll axis", "slope of the roll axis; rising forward is positive",
        Dimension.RATIO, lambda moving: moving.handling.roll_centre.axis_slope,
    )  # fmt: skip
    yield Quantity(
        "roll-steer", group, "roll steer",
        "yaw of the axle per unit of roll; nose left as the left side rises is positive",
        Dimension.RATIO, lambda moving: moving.handling.roll_centre.roll_steer, compared=True,
    )  # fmt: skip
    yield Quantity(
        "swing-arm-length", group, "swing arm",
        "side-view swing arm, from the axle centre to its instant centre; infinite where the links are parallel",
        Dimension.LENGTH, lambda moving: moving.handling.instant_centre.length,
    )  # fmt: skip
    yield Quantity(
        "instant-centre-forward", group, "instant centre forward",
        "distance of the side-view instant centre forward of the origin; infinite where the links are parallel",
        Dimension.LENGTH, lambda moving: moving.handling.instant_centre.x,
    )  # fmt: skip
    yield Quantity(
        "instant-centre-height", group, "instant centre height",
        "height of the side-view instant centre above the floor, which moves with the axle on its tyres",
        Dimension.LENGTH, lambda moving: moving.handling.instant_centre.height,
    )  # fmt: skip
    yield Quantity(
        "anti-dive", group, "anti-dive",
        "share of the load transfer under braking that the links carry instead of this axle's springs; negative adds"
        " dive. At a rear axle it is called anti-lift",
        Dimension.RATIO, lambda moving: moving.handling.anti_dive,
        at_rear=(
            "braking anti-lift",
            "share of the load transfer under braking that the links carry instead of this axle's springs; negative"
            " adds lift",
        ),
    )  # fmt: skip
    yield Quantity(
        "anti-lift", group, "anti-lift",
        "share of the load transfer under drive that the links carry instead of this axle's springs; negative adds"
        " lift. At a rear axle it is called anti-squat",
        Dimension.RATIO, lambda moving: moving.handling.anti_lift,
        at_rear=(
            "anti-squat",
            "share of the load transfer under drive that the links carry instead of this axle's springs; negative"
            " adds squat",
        ),
    )  # fmt: skip
    for side in (Side.LEFT, Side.RIGHT):
        yield Quantity(
            f"{side}-wheelbase-change", group, f"{side} wheelbase", f"change of the {side} wheelbase; longer positive",
            Dimension.LENGTH, _wheelbase_change(side),
        )  # fmt: skip
    yield Quantity(
        "bind", group, "bind",
        "largest load at a joint of links and bar because they over-constrain the axle",
        Dimension.FORCE, lambda moving: moving.handling.bind,
    )  # fmt: skip
    yield Quantity(
        "lateral-bar-bind", group, "bar bind", "load of the lateral bar from that bind",
        Dimension.FORCE, lambda moving: moving.handling.bind_of(moving.build.lateral_bar),
    )  # fmt: skip
    yield Quantity(
        "twist-moment", group, "twist", "largest moment with which a radius arm's joint resists rotation",
        Dimension.TORQUE, lambda moving: moving.handling.twist_moment,
    )  # fmt: skip


def _wheelbase_change(side: Side) -> Callable[[MovingAxle], Array]:
    return lambda moving: moving.handling.wheelbase_change(side)


def _steering() -> Iterator[Quantity]:
    yield Quantity(
        "steer", "steering", "steer",
        "steer of the road wheel that the drag link moves, steering wheel held; to the left positive",
        Dimension.ANGLE, lambda moving: moving.knuckle.steer, compared=True, steers=True,
    )  # fmt: skip
    yield Quantity(
        "other-wheel-steer",
        "steering",
        "other wheel",
        "steer of the road wheel that the tie rod moves, steering wheel held; to the left positive",
        Dimension.ANGLE,
        lambda moving: moving.other_knuckle.steer,
        steers=True,
    )


def _joints() -> Iterator[Quantity]:
    group = "largest turn of a joint"
    yield Quantity(
        "frame-joint-turn",
        group,
        "frame end",
        "largest rotation of a link or the bar at its frame joint since ride height",
        Dimension.ANGLE,
        lambda moving: most_turned(moving, "frame"),
    )
    yield Quantity(
        "axle-joint-turn",
        group,
        "axle end",
        "largest rotation of a link or the bar at its axle joint since ride height",
        Dimension.ANGLE,
        lambda moving: most_turned(moving, "axle"),
    )


JOINTS = {
    "frame": "frame joint",
    "axle": "axle joint",
    "axle_upper": "upper axle joint",
    "axle_lower": "lower axle joint",
}


def _at_joint(key: str) -> Iterator[Family]:
    """Effects of the bind at one joint of every link, and of the lateral bar, that has such a joint."""
    joint = JOINTS[key]
    name = joint.replace(" ", "-")

    def has_it(part: Part) -> bool:
        arm = isinstance(part, Link) and part.kind == "radius-arm"
        return key == "frame" or (key != "axle") == arm

    yield Family(
        "link-or-bar", "link", f"{name}-bind", f"{joint} bind",
        f"load at the {joint} of the {{part}} because the links over-constrain the axle",
        Dimension.FORCE, lambda moving, part: moving.handling.bind_at(part, key), has_it,
    )  # fmt: skip
    yield Family(
        "link-or-bar", "link", f"{name}-stretch", f"{joint} stretch",
        f"deflection of the {joint} of the {{part}} by that load: load divided by radial stiffness",
        Dimension.LENGTH, lambda moving, part: moving.handling.give_at(part, key), has_it,
    )  # fmt: skip


FAMILIES = (
    Family(
        "link", "link", "bind", "bind",
        "largest load at a joint of the {part} because the links over-constrain the axle",
        Dimension.FORCE, lambda moving, part: moving.handling.bind_of(part),
    ),
    Family(
        "link", "link", "stretch", "stretch", "change in length of the {part}, either way, by deflection of its joints",
        Dimension.LENGTH, lambda moving, part: moving.handling.stretch_of(part),
    ),
    *(family for joint in JOINTS for family in _at_joint(joint)),
    Family(
        "coilover", "coilover", "length", "coilover", "length of the {part}, eye to eye",
        Dimension.LENGTH, lambda moving, part: moving.length(part), compared=True,
    ),
    Family(
        "coilover", "coilover", "bump-to-spare", "bump to spare", "remaining compression stroke of the {part}",
        Dimension.LENGTH, lambda moving, part: moving.length(part) - part.compressed_length, least=0.0,
        compared=True,
    ),
    Family(
        "coilover", "coilover", "droop-to-spare", "droop to spare", "remaining extension stroke of the {part}",
        Dimension.LENGTH, lambda moving, part: part.extended_length - moving.length(part), least=0.0,
        compared=True,
    ),
    Family(
        "coilover", "coilover", "motion-ratio", "motion ratio",
        "shortening of the {part} per unit of straight rise of the axle",
        Dimension.RATIO, lambda moving, part: moving.handling.motion_ratio(part, moving.point(part.axle)),
    ),
    Family(
        "limit-strap", "limit strap", "slack", "strap slack", "slack of the {part}; negative: stretched by that much",
        Dimension.LENGTH, lambda moving, part: part.length - moving.length(part), compared=True,
    ),
    Family(
        "bump-stop", "bump stop", "gap", "stop gap",
        "gap of the {part} to its target; negative: compressed by that much",
        Dimension.LENGTH, lambda moving, part: moving.stop_height(part) - part.free_length,
        compared=True,
    ),
    Family(
        "brake-line", "brake line", "slack", "hose slack", "slack of the {part} at the worst lock",
        Dimension.LENGTH, lambda moving, part: part.free_length - moving.brake_line_length(part), least=0.0,
        compared=True,
    ),
)  # fmt: skip


def _driveline() -> Iterator[Quantity]:
    group = "driveshaft"
    yield Quantity(
        "driveshaft-length", group, "length", "length of the driveshaft, joint centre to joint centre",
        Dimension.LENGTH, lambda moving: moving.driveshaft_length(), compared=True,
    )  # fmt: skip
    yield Quantity(
        "output-joint-angle", group, "output joint", "angle of the driveshaft's joint at the output",
        Dimension.ANGLE, lambda moving: moving.driveshaft_angles()[0], compared=True,
    )  # fmt: skip
    yield Quantity(
        "pinion-joint-angle", group, "pinion joint", "angle of the driveshaft's joint at the pinion",
        Dimension.ANGLE, lambda moving: moving.driveshaft_angles()[1], compared=True,
    )  # fmt: skip
    yield Quantity(
        "driveshaft-ripple",
        group,
        "ripple",
        "largest minus smallest speed of the pinion over a turn of the shaft, relative to its mean",
        Dimension.RATIO,
        lambda moving: moving.driveshaft_ripple(),
        compared=True,
    )


WHOLE_AXLE = (*_axle(), *_handling(), *_steering(), *_joints())
DRIVELINE = tuple(_driveline())
