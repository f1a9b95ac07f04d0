"""Where on the truck the things of a spec are, and the walk round the truck that takes them in turn."""

from __future__ import annotations

from buildcheck.build import Build, Missing, Part, Point, Side, Sides
from buildcheck.build.attachment import Attachment
from buildcheck.build.part import fields
from buildcheck.spec.place import join, split

MIDDLE = 0.1
"""Distance from the vehicle's middle plane, m, within which a point is reached from under the truck, not a side."""


FIRST = (
    *("records.baseline.instructions_at_hand", "records.baseline.photographs", "records.baseline.steering_centred"),
    *("records.baseline.rails_marked", "records.tacked.old_mounts_removed", "records.tacked.near_welds"),
    "records.tacked.rotation_set_from",
)
"""What is done before the walk begins, since what is read or tacked on it rests on it."""


def on_the_walk(build: Build, path: str) -> tuple[int, float]:
    """The place of a spec path on the walk round the truck: first what is done before it, then the left side from the
    front to the rear, the right side from the rear to the front, the middle from the front to the rear, and at the end
    what is of the whole truck. What is of a side and has no one place there begins that side; what is written once for
    both sides is asked for on the left."""
    if any(path == first or path.startswith(f"{first}.") for first in FIRST):
        return 0, float("-inf")
    at = where(build, path)
    if not at:
        steps = split(path)
        side = 1 if Side.LEFT in steps or "both" in steps else 2 if Side.RIGHT in steps else 4
        return side, float("-inf")
    x, y, _ = at[0]
    if abs(y) < MIDDLE:
        return 3, -x
    return (1, -x) if y > 0 else (2, x)


def where(build: Build, path: str) -> tuple[Point, ...]:
    """The place on the truck of a spec path, m, vehicle axes: its point, or the middle of the points of the part that
    it is of; of a bracket its foot, else the end that it holds. Both places of what is written once for both sides;
    none where it has no one place."""
    steps = split(path)
    at = _place(build, steps)
    if at is None:
        return ()
    return (at, at.mirrored()) if "both" in steps else (at,)


def _place(build: Build, steps: list[str | int]) -> Point | None:
    for length in range(len(steps), 0, -1):
        found = value_at(build, steps[:length])
        if isinstance(found, Point):
            return found
        if isinstance(found, Attachment):
            return _of_bracket(build, found)
        if isinstance(found, Part):
            at = _end_named(build, steps[: length - 1], str(steps[length - 1])) or _middle(found)
            if at is not None:
                return at
    return None


def _end_named(build: Build, above: list[str | int], name: str) -> Point | None:
    """The end of a part that one of its joints is named by: `links.arm.left.joints.frame` is at its frame end."""
    if not above or above[-1] != "joints":
        return None
    owner = value_at(build, above[:-1])
    found = getattr(owner, name, None) if isinstance(owner, Part) and name in fields(type(owner)) else None
    return found if isinstance(found, Point) else None


def _middle(part: Part) -> Point | None:
    points = [value for name, value in part.given().items() if isinstance(value, Point)]
    return Point(*(sum(axis) / len(points) for axis in zip(*points, strict=True))) if points else None


def _of_bracket(build: Build, bracket: Attachment) -> Point | None:
    if bracket.has("point"):
        return bracket.point
    if not bracket.has("holds"):
        return None
    held = value_at(build, split(bracket.holds[0]))
    if isinstance(held, Sides):
        held = held[bracket.side] if bracket.side in held else next(iter(held), None)
    if not isinstance(held, Part):
        return held if isinstance(held, Point) else None
    on_frame = bracket.has("parent") and bracket.parent in ("frame", "crossmember")
    for name in ("frame", "base") if on_frame else ("axle", "axle_upper", "target"):
        if name in fields(type(held)) and held.has(name):
            point: Point = getattr(held, name)
            return point
    return _middle(held)


def value_at(build: Build, steps: list[str | int]) -> object:
    """The value that the spec states at the steps of a path; None where it states nothing there."""
    path = ""
    for step in steps:
        path = join(path, step)
    try:
        return build.value(path)
    except (Missing, ValueError):
        return None
