"""All named quantities of the axle over its travel: the values that a builder reads while cycling it.

A quantity is defined once, with its name, dimension, meaning and sign; tables, curves and rules use that name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from buildcheck.build import Build, Missing, Part, Side
from buildcheck.build.linkage import Link
from buildcheck.job.curve import Array, Curve, Line, Unreached
from buildcheck.job.joints import most_turned
from buildcheck.job.moving import MovingAxle
from buildcheck.job.subjects import SUBJECTS
from buildcheck.spec.additions import Additions
from buildcheck.spec.guard import Mishap, guarded, plain_text
from buildcheck.spec.quantity import Dimension

if TYPE_CHECKING:
    from buildcheck.job.job import Job


class Quantity(NamedTuple):
    """One quantity of the moving axle.

    `family` is its name in a shop standard, the same for all parts (`coilover-length`); `name` includes the part
    (`left-coilover-length`). `group` is the part of the truck it belongs to, `heading` a few words for the head of a
    column, `meaning` its description with its sign. `of` computes it, SI, one number per pose; it raises Missing or
    Unreached where the build does not define it.
    """

    name: str
    group: str
    heading: str
    meaning: str
    dimension: Dimension
    of: Callable[[MovingAxle], Array]
    part: Part | None = None
    family: str = ""

    def over(self, job: Job, line: Line) -> Curve:
        """Return the quantity along a line of a job's poses, SI. Raises Missing or Unreached where the build does not
        define it."""
        return Curve(np.asarray(self.of(job.moving), float)[line.picks], line, self.dimension)


class Family(NamedTuple):
    """A quantity of every part of a kind that it `fits`; `meaning` holds `{part}` in place of the part's name."""

    kind: str
    noun: str
    name: str
    heading: str
    meaning: str
    dimension: Dimension
    of: Callable[[MovingAxle, Any], Array]
    fits: Callable[[Part], bool] = lambda _: True

    @property
    def family(self) -> str:
        """Name in a shop standard: `coilover-length`."""
        return f"{self.noun.replace(' ', '-')}-{self.name}"

    def suits(self, part: Part) -> bool:
        """Whether the part has this quantity. Raises Mishap where a plugin's function for this fails."""
        with guarded(self.fits):
            return bool(self.fits(part))

    def of_part(self, part: Part) -> Quantity:
        """Make the quantity of one of the parts."""
        return Quantity(
            f"{part.label.replace(' ', '-')}-{self.name}",
            f"{part.side} side" if part.side is not Side.CENTRE else "middle",
            self.heading if part.label == f"{part.side} {self.noun}" else f"{part.label} {self.heading}",
            self.meaning.format(part=part.label),
            self.dimension,
            lambda moving: self.of(moving, part),
            part,
            self.family,
        )

    def without_part(self, missing: str) -> Quantity:
        """Make the quantity for a build that has no such part: reading it raises Missing."""

        def lacking(_: MovingAxle) -> Array:
            raise Missing(missing)

        return Quantity(
            self.family, "either side", self.heading, self.meaning.format(part=self.noun), self.dimension, lacking
        )


class Absent(NamedTuple):
    """A quantity without values, and the reason in words or the spec path that is missing. `failure` is the error of a
    plugin's own quantity."""

    name: str
    heading: str
    missing: str
    reason: str
    failure: str = ""


def families(additions: Additions) -> tuple[Family, ...]:
    """Quantities that every part of a kind has: the built-in ones, then those that plugins add."""
    return (*FAMILIES, *(added for added in additions.quantities.values() if isinstance(added, Family)))


def of_no_part(additions: Additions) -> tuple[Quantity, ...]:
    """Quantities that do not belong to a single part: the built-in ones, then those that plugins add."""
    added = (each for each in additions.quantities.values() if isinstance(each, Quantity))
    return (*WHOLE_AXLE, *DRIVELINE, *added)


def all_values(moving: MovingAxle) -> Iterator[tuple[Quantity, Array] | Absent]:
    """Every quantity of a build over its poses, in the order of the truck; for one without values, the reason."""
    for quantity in quantities(moving.build):
        yield values_or_absent(quantity, moving)


def values_or_absent(quantity: Quantity, moving: MovingAxle) -> tuple[Quantity, Array] | Absent:
    """One quantity of a build over its poses, or the reason why it has no values."""
    added = moving.build.additions.quantities.get(quantity.family or quantity.name)
    if added is None:  # a built-in one; its failure is a fault of buildcheck
        return _values_or_absent(quantity, moving)
    try:
        with guarded(added.of):
            return _values_or_absent(quantity, moving)
    except Mishap as failed:
        return Absent(quantity.name, quantity.heading, "", f"its plugin failed: {failed}", str(failed))


def _values_or_absent(quantity: Quantity, moving: MovingAxle) -> tuple[Quantity, Array] | Absent:
    try:
        return quantity, _values(quantity, moving)
    except Missing as missing:
        path = plain_text(missing.path)
        return Absent(quantity.name, quantity.heading, path, f"the spec lacks {path}")
    except Unreached as unreached:
        return Absent(quantity.name, quantity.heading, "", plain_text(str(unreached)))


def _values(quantity: Quantity, moving: MovingAxle) -> Array:
    values = np.asarray(quantity.of(moving), float)
    poses = moving.poses.solved.shape
    if values.shape != poses:
        raise ValueError(f"it gives an array of shape {values.shape}; one number per pose would be {poses}")
    return values


def quantities(build: Build) -> Iterator[Quantity]:
    """All quantities of a build, part by part, whether or not it defines them."""
    alone, of_parts = of_no_part(build.additions), families(build.additions)
    yield from alone[: len(WHOLE_AXLE)]
    for side in (Side.LEFT, Side.RIGHT, Side.CENTRE):
        for family in of_parts:
            for part in _parts(build, family.kind):
                if part.side is side:
                    yield from _of_part(family, part)
    for family in of_parts:
        try:
            next(SUBJECTS[family.kind](build))
        except Missing as missing:
            yield family.without_part(missing.path)
    yield from alone[len(WHOLE_AXLE) :]


def _of_part(family: Family, part: Part) -> Iterator[Quantity]:
    """Yield the quantity of a part that has it. Where the plugin's function for this fails, reading the quantity
    fails."""
    try:
        suits = family.suits(part)
    except Mishap as mishap:
        failure = str(mishap)

        def failing(_: MovingAxle) -> Array:
            raise Mishap(failure)

        yield family.of_part(part)._replace(of=failing)
        return
    if suits:
        yield family.of_part(part)


def _parts(build: Build, kind: str) -> list[Any]:
    try:
        return list(SUBJECTS[kind](build))
    except Missing:
        return []


def _axle() -> Iterator[Quantity]:
    group = "axle"
    yield Quantity(
        "axle-forward", group, "forward",
        "displacement of the axle centre forward from its place in the spec; rearward negative",
        Dimension.LENGTH, lambda moving: moving.forward,
    )  # fmt: skip
    yield Quantity(
        "axle-left", group, "left",
        "displacement of the axle centre to the left from its place in the spec; right negative",
        Dimension.LENGTH, lambda moving: moving.left,
    )  # fmt: skip
    yield Quantity(
        "axle-yaw", group, "yaw",
        "yaw of the axle in plan, by the line of its wheels; nose to the left is positive",
        Dimension.ANGLE, lambda moving: moving.yaw,
    )  # fmt: skip
    yield Quantity(
        "caster", group, "caster", "caster: positive with the steering axis leaning rearward at the top",
        Dimension.ANGLE, lambda moving: moving.build.axle.caster - moving.pitch,
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
        Dimension.RATIO, lambda moving: moving.handling.roll_centre.roll_steer,
    )  # fmt: skip
    yield Quantity(
        "swing-arm-length", group, "swing arm",
        "side-view swing arm, from the axle centre to its instant centre; infinite where the links are parallel",
        Dimension.LENGTH, lambda moving: moving.handling.instant_centre.length,
    )  # fmt: skip
    yield Quantity(
        "instant-centre-forward", group, "IC forward",
        "distance of the side-view instant centre forward of the origin; infinite where the links are parallel",
        Dimension.LENGTH, lambda moving: moving.handling.instant_centre.x,
    )  # fmt: skip
    yield Quantity(
        "instant-centre-height", group, "IC height",
        "height of the side-view instant centre above the floor, which moves with the axle on its tyres",
        Dimension.LENGTH, lambda moving: moving.handling.instant_centre.height,
    )  # fmt: skip
    yield Quantity(
        "anti-dive", group, "anti-dive",
        "share of the load transfer under braking that the links carry instead of this axle's springs; negative adds"
        " dive. At a rear axle it is called anti-lift",
        Dimension.RATIO, lambda moving: moving.handling.anti_dive,
    )  # fmt: skip
    yield Quantity(
        "anti-lift", group, "anti-lift",
        "share of the load transfer under drive that the links carry instead of this axle's springs; negative adds"
        " lift. At a rear axle it is called anti-squat",
        Dimension.RATIO, lambda moving: moving.handling.anti_lift,
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
        "largest rotation of a link or the bar at its frame joint since ride height",
        Dimension.ANGLE,
        lambda moving: most_turned(moving, "frame"),
    )
    yield Quantity(
        "axle-joint-turn",
        group,
        "at axle",
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
        Dimension.LENGTH, lambda moving, part: moving.length(part),
    ),
    Family(
        "coilover", "coilover", "bump-to-spare", "bump to spare", "remaining compression stroke of the {part}",
        Dimension.LENGTH, lambda moving, part: moving.length(part) - part.compressed_length,
    ),
    Family(
        "coilover", "coilover", "droop-to-spare", "droop to spare", "remaining extension stroke of the {part}",
        Dimension.LENGTH, lambda moving, part: part.extended_length - moving.length(part),
    ),
    Family(
        "coilover", "coilover", "motion-ratio", "motion ratio",
        "shortening of the {part} per unit of straight rise of the axle",
        Dimension.RATIO, lambda moving, part: moving.handling.motion_ratio(part, moving.point(part.axle)),
    ),
    Family(
        "limit-strap", "limit strap", "slack", "strap slack", "slack of the {part}; negative: stretched by that much",
        Dimension.LENGTH, lambda moving, part: part.length - moving.length(part),
    ),
    Family(
        "bump-stop", "bump stop", "gap", "stop gap",
        "gap of the {part} to its target; negative: compressed by that much",
        Dimension.LENGTH, lambda moving, part: moving.stop_height(part) - part.free_length,
    ),
    Family(
        "brake-line", "brake line", "slack", "hose slack", "slack of the {part} at the worst lock",
        Dimension.LENGTH, lambda moving, part: part.free_length - moving.brake_line_length(part),
    ),
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
        "largest minus smallest speed of the pinion over a turn of the shaft, relative to its mean",
        Dimension.RATIO,
        lambda moving: moving.driveshaft_ripple(),
    )


WHOLE_AXLE = (*_axle(), *_handling(), *_steering(), *_joints())
DRIVELINE = tuple(_driveline())
