"""Margins before something ends the travel: strokes, slack, angles and slip that are left, in each pose.

The ends of the travel are where a margin becomes zero; beyond it, the margin says by how much a part is overrun.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import numpy as np

from buildcheck.build import Build, Missing, Side
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import DragLink, LateralBar, Link, TieRod
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.bodies import Bodies
from buildcheck.job.curve import Array
from buildcheck.job.joints import joint_turn, tilts
from buildcheck.job.moving import MovingAxle
from buildcheck.job.springs import Springs
from buildcheck.job.subjects import SUBJECTS
from buildcheck.spec.quantity import Dimension


class Margin(NamedTuple):
    """Margin of one cause before it ends the travel: `left` computes it in each pose, (poses,) or (poses, locks), m or
    rad; 0 where the travel ends, negative beyond.

    `what` says what happens there; `overrun` says how it is beyond, `{}` being the amount; `path` is the spec path of
    the cause, `side` the side it is on. `quantity` names the quantity of `buildcheck cycle` that shows it, "" for none.
    """

    what: str
    overrun: str
    path: str
    side: Side
    left: Callable[[], Array]
    dimension: Dimension = Dimension.LENGTH
    quantity: str = ""
    other: str = ""
    """The spec path of the first of two bodies whose gap it is, `path` being that of the second; the poses in which a
    body is not known are reported once for each body."""


def margins(build: Build, moving: MovingAxle) -> Iterator[Margin]:
    """Every margin of the parts that the spec holds; reading one raises Missing where the spec lacks a number."""
    for part in parts_of(build, "coilover"):
        yield from _coilover(moving, part)
    for part in parts_of(build, "limit-strap"):
        yield _strap(moving, part)
    for part in parts_of(build, "bump-stop"):
        yield _stop(moving, part)
    for part in parts_of(build, "brake-line"):
        yield _hose(moving, part)
    if not (build.axle.has("driven") and not build.axle.driven):
        yield from _driveshaft(build, moving)
    for part in parts_of(build, "link"):
        yield from _joints(moving, part)
    if build.has("lateral_bar"):
        yield from _joints(moving, build.lateral_bar)
    if build.has("steering"):
        for name, ends in STEERING_JOINTS.items():
            if build.steering.has(name):
                yield from _rod(moving, getattr(build.steering, name), name.replace("_", " "), ends)


def beginnings(build: Build, moving: MovingAxle) -> Iterator[Margin]:
    """The room before something begins that ends no travel yet: a stop that touches, a strap that is tight."""
    for stop in parts_of(build, "bump-stop"):
        yield Margin(
            f"the {stop.label} touches", "", stop.path, stop.side,
            lambda stop=stop: moving.stop_height(stop) - stop.free_length,  # type: ignore[misc]
        )  # fmt: skip
    for strap in parts_of(build, "limit-strap"):
        yield Margin(
            f"the {strap.label} is tight", "", strap.path, strap.side,
            lambda strap=strap: strap.length - moving.length(strap),  # type: ignore[misc]
        )  # fmt: skip


# Parts that stay farther apart than this (m) do not touch on the next step.
NEAR = 0.05

STEERING_JOINTS = {"drag_link": ("pitman", "arm"), "tie_rod": ("left", "right")}


def _name(part: Any, quantity: str) -> str:
    return f"{part.label.replace(' ', '-')}-{quantity}"


def _coilover(moving: MovingAxle, part: Coilover) -> Iterator[Margin]:
    label, path, side = part.label, part.path, part.side
    yield Margin(
        f"the {label} bottoms", f"{label} {{}} past bottoming", path, side,
        lambda: moving.length(part) - part.compressed_length, quantity=_name(part, "bump-to-spare"),
    )  # fmt: skip
    yield Margin(
        f"the {label} tops out", f"{label} {{}} short", path, side,
        lambda: part.extended_length - moving.length(part), quantity=_name(part, "droop-to-spare"),
    )  # fmt: skip
    if part.has("kind") and part.kind != "coilover":
        return  # a damper has no springs
    for number, called in enumerate(_springs(part)):
        yield Margin(
            f"the {label}'s {called} goes solid", f"{label}'s {called} {{}} past solid",
            f"{path}.springs[{number}]", side,
            lambda number=number: _room(moving, part, number),  # type: ignore[misc]
        )  # fmt: skip


def _springs(part: Coilover) -> list[str]:
    """Names of the springs, from top to bottom; one name where the spec has none, so that it is reported as missing."""
    several = len(part.springs) if part.has("springs") else 1
    middle = ["middle spring"] * (several - 2) if several < 4 else [f"spring {at}" for at in range(2, several)]
    return ["spring"] if several == 1 else ["upper spring", *middle, "lower spring"]


def _room(moving: MovingAxle, part: Coilover, number: int) -> Array:
    """Travel of one spring left before its coils touch: (poses,) m."""
    springs = Springs(part)
    return np.array([springs.rooms(float(length))[number].left for length in moving.length(part)])


def _strap(moving: MovingAxle, part: LimitStrap) -> Margin:
    return Margin(
        f"the {part.label} is stretched to its end", f"{part.label} {{}} short", part.path, part.side,
        lambda: part.length + part.stretch - moving.length(part), quantity=_name(part, "slack"),
    )  # fmt: skip


def _stop(moving: MovingAxle, part: BumpStop) -> Margin:
    return Margin(
        f"the {part.label} is crushed", f"{part.label} {{}} past crushed", part.path, part.side,
        lambda: moving.stop_height(part) - part.crushed_length, quantity=_name(part, "gap"),
    )  # fmt: skip


def _hose(moving: MovingAxle, part: BrakeLine) -> Margin:
    return Margin(
        f"the {part.label} runs out", f"{part.label} {{}} short", part.path, part.side,
        lambda: part.free_length - moving.brake_line_length(part), quantity=_name(part, "slack"),
    )  # fmt: skip


def _driveshaft(build: Build, moving: MovingAxle) -> Iterator[Margin]:
    path, side = "driveshaft", Side.CENTRE
    yield Margin(
        "the driveshaft's slip goes solid", "driveshaft {} too long", path, side,
        lambda: moving.driveshaft_length() - build.driveshaft.shortest_length, quantity="driveshaft-length",
    )  # fmt: skip
    yield Margin(
        "the driveshaft's slip comes apart", "driveshaft {} too short", path, side,
        lambda: build.driveshaft.longest_length - moving.driveshaft_length(), quantity="driveshaft-length",
    )  # fmt: skip
    for number, end in enumerate(("output", "pinion")):
        yield Margin(
            f"the driveshaft's joint at the {end} binds", f"driveshaft's joint at the {end} {{}} too steep",
            f"{path}.{end}_joint", side,
            lambda number=number, end=end: (  # type: ignore[misc]
                getattr(build.driveshaft, f"{end}_joint").largest_angle - moving.driveshaft_angles()[number]
            ),
            Dimension.ANGLE, f"{end}-joint-angle",
        )  # fmt: skip


def _joints(moving: MovingAxle, part: Link | LateralBar) -> Iterator[Margin]:
    arm = isinstance(part, Link) and part.kind == "radius-arm"
    for key in ("frame", "axle_upper", "axle_lower") if arm else ("frame", "axle"):
        joint = f"{part.label}'s {' '.join(reversed(key.split('_')))} joint"
        yield Margin(
            f"the {joint} binds", f"{joint} {{}} past its rating", part.path, part.side,
            lambda key=key: getattr(part.joints, key).misalignment - joint_turn(moving, part, key),  # type: ignore[misc]
            Dimension.ANGLE,
        )  # fmt: skip


def _rod(moving: MovingAxle, rod: DragLink | TieRod, label: str, ends: tuple[str, str]) -> Iterator[Margin]:
    """Margins of the rated joints of the drag link or tie rod, at the worst of the locks that are reached."""
    for key in ends:
        if rod.has("joints") and rod.joints.has(key) and getattr(rod.joints, key).has("misalignment"):
            yield Margin(
                f"the {label}'s {key} joint binds", f"{label}'s {key} joint {{}} past its rating",
                rod.path, Side.CENTRE,
                lambda key=key: (
                    getattr(rod.joints, key).misalignment - tilts(moving, rod, key)  # type: ignore[misc]
                ),
                Dimension.ANGLE,
            )  # fmt: skip


def touching(bodies: Bodies) -> Iterator[Margin]:
    """The gaps of each pair of bodies that touch in some pose, (poses, locks); those above `NEAR` are not exact."""
    found = bodies.found
    for (first, second), gaps in bodies.gaps(beyond=NEAR).items():
        if not (gaps <= 0.0).any():
            continue  # most never touch
        one, two = found[first], found[second]
        yield Margin(
            f"the {one.label} touches the {two.label}", f"{one.label} {{}} into the {two.label}", two.path,
            _side_of(one.label, two.label), lambda gaps=gaps: gaps, other=one.path,  # type: ignore[misc]
        )  # fmt: skip


def _side_of(*labels: str) -> Side:
    """The side of the first of some bodies that is on one side, by its label."""
    words = (label.partition(" ")[0] for label in labels)
    return next((Side(word) for word in words if word in (Side.LEFT, Side.RIGHT)), Side.CENTRE)


def parts_of(build: Build, kind: str) -> list[Any]:
    """The parts of a kind; none where the spec lacks that section."""
    try:
        return list(SUBJECTS[kind](build))
    except Missing:
        return []
