"""Limits of the travel: how far the axle goes up, down and in roll before something binds, reaches its end or
touches."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Build, Missing
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import DragLink, LateralBar, Link, TieRod
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.clearance.nearest import gaps_over, known_poses
from buildcheck.job.bodies import bodies_of
from buildcheck.job.curve import Array, Curve, Line, PoseName, Unreached
from buildcheck.job.envelope import LOCKS
from buildcheck.job.joints import joint_turn, tilts
from buildcheck.job.lines import LEFT_UP, RIGHT_UP
from buildcheck.job.moving import MovingAxle
from buildcheck.job.resting import RestingAxle
from buildcheck.job.springs import Springs
from buildcheck.job.steered_parts import Turned
from buildcheck.job.steering_damper import SteeringDamper
from buildcheck.job.subjects import SUBJECTS

STATES = ("bump", "droop", "articulation")

# Steps to the stated travel of each way, and how far it is followed, as a multiple of that.
STEPS = 20
FARTHEST = 1.6

# Parts that stay farther apart than this (m) do not touch on the next step.
NEAR = 0.05


class End(NamedTuple):
    """Something that ends a way: what, in words; the spec path of its cause; how far the axle goes (m or rad)."""

    what: str
    path: str
    at: float
    pose: PoseName


class Way(NamedTuple):
    """One way of the axle's motion: its name, the travel that the spec states, how far it was followed (m or rad), and
    what ends it, nearest first. `rolled` is true for articulation; `states` is the key of the travel that states it.
    Ends farther than it was followed are not known."""

    name: str
    stated: float
    looked: float
    ends: tuple[End, ...]
    rolled: bool
    states: str


class TravelLimits(NamedTuple):
    """Limits of the travel each way. `missing` are the spec paths that some evaluation needed; `unknown` lists in words
    what else could not be evaluated, and why."""

    ways: tuple[Way, ...]
    missing: tuple[str, ...]
    unknown: tuple[str, ...]


class _Margin(NamedTuple):
    """Margin of one cause before it ends the travel, in each pose, (poses,) or (poses, locks); 0 where it does."""

    what: str
    path: str
    left: Callable[[], Array]
    between: bool = False
    """Whether it is the gap of two bodies; the poses in which a body is not known are reported once for each body."""


def travel_limits(resting: RestingAxle) -> TravelLimits:
    """Find the limits of a build's travel each way, from ride height, or for articulation from level at mid-travel.

    Raises Missing where the spec states no travel or lacks links, Unreached where the links leave the axle free.
    """
    build = resting.build
    lines = _lines(build)
    moving = MovingAxle(
        resting, np.concatenate([line.heave for line in lines]), np.concatenate([line.roll for line in lines])
    )
    solved = moving.poses.solved
    missing = {build.travel.path_of(key): None for key in STATES if not build.travel.has(key)}
    unknown: dict[str, None] = {}
    found: list[tuple[str, str, Array]] = []
    stated = np.concatenate([line.picks[: line.declared] for line in lines])
    for margin in (*_margins(build, moving), *_touching(build, moving, stated, missing, unknown)):
        try:
            left = np.asarray(margin.left())
        except Missing as error:
            missing[error.path] = None
        except Unreached as error:
            unknown[str(error)] = None
        else:
            each = left.reshape(len(solved), -1)
            if not margin.between:
                unknown.update(_lost(f"whether {margin.what}", np.isnan(each), solved, stated))
            found.append((margin.what, margin.path, np.fmin.reduce(each, axis=1)))
    ways = tuple(
        Way(
            line.name,
            line.end,
            float(line.parameter[-1]),
            tuple(_ends(line, found, solved)),
            _states(line) == "articulation",
            _states(line),
        )
        for line in lines
    )
    return TravelLimits(ways, tuple(missing), tuple(unknown))


def _states(line: Line) -> str:
    """Key of `travel` that states a way, also one of zero length."""
    return line.end_name.removeprefix("full ").partition(",")[0]


def _lost(what: str, lost: NDArray[np.bool_], solved: NDArray[np.bool_], stated: NDArray[np.intp]) -> dict[str, None]:
    """Sentence on what is not known in some of the stated poses; `lost` is a mask (poses, locks).

    Where the axle itself does not go, the links end the way, and nothing else is missing.
    """
    missing = lost[stated] & solved[stated, None]
    count = int(np.count_nonzero(missing))
    return {f"{what}, in {count} of {missing.size} poses, where the steering does not reach": None} if count else {}


def _lines(build: Build) -> list[Line]:
    travel = build.travel
    stated = [key for key in STATES if travel.has(key)]
    ways = [
        (f"straight {key}", getattr(travel, key), up, 0.0)
        for key, up in (("bump", 1.0), ("droop", -1.0))
        if key in stated
    ]
    if not ways:
        raise Missing(travel.path_of("bump"))
    middle, lines = 0.0, []
    if len(stated) == len(STATES):  # articulation is at the middle of bump and droop
        middle = (travel.bump - travel.droop) / 2
        ways += [
            (f"articulation, {side} wheel up", travel.articulation, 0.0, sign)
            for side, sign in (("left", 1.0), ("right", -1.0))
        ]
    for number, (name, stated, up, tilt) in enumerate(ways):
        way = stated * np.arange(round(FARTHEST * STEPS) + 1) / STEPS
        heave = up * way if up else np.full(len(way), middle)
        picks = number * len(way) + np.arange(len(way))
        ends = {"straight bump": "full bump", "straight droop": "full droop"}.get(
            name, LEFT_UP if tilt > 0 else RIGHT_UP
        )
        lines.append(Line(name, way, heave, tilt * way, picks, STEPS + 1, "", ends))
    return lines


def _ends(line: Line, found: list[tuple[str, str, Array]], solved: NDArray[np.bool_]) -> Iterator[End]:
    ends = []
    reached = solved[line.picks]
    if not reached.all():
        at = float(line.parameter[max(int(reached.argmin()) - 1, 0)])
        ends.append(End("the links let the axle go no farther", "links", at, line.pose(at)))
    for what, path, left in found:
        values = left[line.picks]
        if not (values <= 0.0).any():
            continue  # most never end a way, and finding that out on a curve takes long
        try:
            end = first_zero(Curve(values, line))
        except Unreached:
            continue  # nothing is known at the start of this way; `unknown` or the end by the links reports it
        if end is not None:
            ends.append(End(what, path, end, line.pose(end)))
    yield from sorted(ends, key=lambda end: end.at)


def first_zero(curve: Curve) -> float | None:
    """Find where along a way a margin becomes zero; the start, where it is zero already and does not grow from there.

    A margin that is zero at the start and grows along the way, like the slack of a tight strap as the axle rises, ends
    the opposite way and not this one; it may end this one farther on.
    """
    left = curve.values
    if left[0] <= 0.0 and left[1] > left[0]:
        slack = np.flatnonzero(left > 0.0)
        if not len(slack):
            return None
        curve = curve._replace(values=np.where(np.arange(len(left)) < slack[0], left[slack[0]], left))
    return curve.first_at_most(0.0)


def _margins(build: Build, moving: MovingAxle) -> Iterator[_Margin]:
    for part in _parts(build, "coilover"):
        yield from _coilover(moving, part)
    for part in _parts(build, "limit-strap"):
        yield _strap(moving, part)
    for part in _parts(build, "bump-stop"):
        yield _stop(moving, part)
    for part in _parts(build, "brake-line"):
        yield _hose(moving, part)
    if not (build.axle.has("driven") and not build.axle.driven):
        yield from _driveshaft(build, moving)
    for part in _parts(build, "link"):
        yield from _joints(moving, part)
    if build.has("lateral_bar"):
        yield from _joints(moving, build.lateral_bar)
    if build.has("steering"):
        if build.steering.has("stabiliser"):
            yield from _steering_damper(build, moving)
        for name, ends in STEERING_JOINTS.items():
            if build.steering.has(name):
                yield from _rod(moving, getattr(build.steering, name), name.replace("_", " "), ends)


STEERING_JOINTS = {"drag_link": ("pitman", "arm"), "tie_rod": ("left", "right")}


def _coilover(moving: MovingAxle, part: Coilover) -> Iterator[_Margin]:
    yield _Margin(f"the {part.label} bottoms", part.path, lambda: moving.length(part) - part.compressed_length)
    yield _Margin(f"the {part.label} tops out", part.path, lambda: part.extended_length - moving.length(part))
    if part.has("kind") and part.kind != "coilover":
        return  # a damper has no springs
    for number, called in enumerate(_springs(part)):
        yield _Margin(
            f"the {part.label}'s {called} goes solid",
            f"{part.path}.springs[{number}]",
            lambda number=number: _room(moving, part, number),  # type: ignore[misc]
        )


def _springs(part: Coilover) -> list[str]:
    """Names of the springs, from top to bottom; one name where the spec has none, so that it is reported as missing."""
    several = len(part.springs) if part.has("springs") else 1
    middle = ["middle spring"] * (several - 2) if several < 4 else [f"spring {at}" for at in range(2, several)]
    return ["spring"] if several == 1 else ["upper spring", *middle, "lower spring"]


def _room(moving: MovingAxle, part: Coilover, number: int) -> Array:
    """Travel of one spring left before its coils touch: (poses,) m."""
    springs = Springs(part)
    return np.array([springs.rooms(float(length))[number].left for length in moving.length(part)])


def _steering_damper(build: Build, moving: MovingAxle) -> Iterator[_Margin]:
    """Margins of the steering damper, at the worst of the locks that are reached."""
    part = build.steering.stabiliser
    damper = SteeringDamper(build, moving, Turned(build, moving, np.array(LOCKS)))
    yield _Margin("the steering damper bottoms", part.path, lambda: damper.length - part.compressed_length)
    yield _Margin("the steering damper tops out", part.path, lambda: part.extended_length - damper.length)


def _strap(moving: MovingAxle, part: LimitStrap) -> _Margin:
    return _Margin(
        f"the {part.label} is stretched to its end", part.path, lambda: part.length + part.stretch - moving.length(part)
    )


def _stop(moving: MovingAxle, part: BumpStop) -> _Margin:
    return _Margin(f"the {part.label} is crushed", part.path, lambda: moving.stop_height(part) - part.crushed_length)


def _hose(moving: MovingAxle, part: BrakeLine) -> _Margin:
    return _Margin(f"the {part.label} runs out", part.path, lambda: part.free_length - moving.brake_line_length(part))


def _driveshaft(build: Build, moving: MovingAxle) -> Iterator[_Margin]:
    path = "driveshaft"
    yield _Margin(
        "the driveshaft's slip goes solid", path, lambda: moving.driveshaft_length() - build.driveshaft.shortest_length
    )
    yield _Margin(
        "the driveshaft's slip comes apart", path, lambda: build.driveshaft.longest_length - moving.driveshaft_length()
    )
    yield _Margin(
        "the driveshaft's joint at the output binds",
        f"{path}.output_joint",
        lambda: build.driveshaft.output_joint.largest_angle - moving.driveshaft_angles()[0],
    )
    yield _Margin(
        "the driveshaft's joint at the pinion binds",
        f"{path}.pinion_joint",
        lambda: build.driveshaft.pinion_joint.largest_angle - moving.driveshaft_angles()[1],
    )


def _joints(moving: MovingAxle, part: Link | LateralBar) -> Iterator[_Margin]:
    arm = isinstance(part, Link) and part.kind == "radius-arm"
    for key in ("frame", "axle_upper", "axle_lower") if arm else ("frame", "axle"):
        yield _Margin(
            f"the {part.label}'s {' '.join(reversed(key.split('_')))} joint binds",
            part.path,
            lambda key=key: getattr(part.joints, key).misalignment - joint_turn(moving, part, key),  # type: ignore[misc]
        )


def _rod(moving: MovingAxle, rod: DragLink | TieRod, label: str, ends: tuple[str, str]) -> Iterator[_Margin]:
    """Margins of the rated joints of the drag link or tie rod, at the worst of the locks that are reached."""
    for key in ends:
        if rod.has("joints") and rod.joints.has(key) and getattr(rod.joints, key).has("misalignment"):
            yield _Margin(
                f"the {label}'s {key} joint binds",
                rod.path,
                lambda key=key: (
                    getattr(rod.joints, key).misalignment - tilts(moving, rod, key)  # type: ignore[misc]
                ),
            )


def _touching(
    build: Build,
    moving: MovingAxle,
    stated: NDArray[np.intp],
    missing: dict[str, None],
    unknown: dict[str, None],
) -> Iterator[_Margin]:
    """Margins of the gaps of each pair of parts that may touch, at the worst lock."""
    bodies = bodies_of(build, moving, np.array(LOCKS))
    for why in bodies.lacking.values():
        if isinstance(why, Missing):
            missing[why.path] = None
        else:
            unknown[str(why)] = None
    pairs = bodies.pairs()
    solids = {name: body.solids for name, body in bodies.found.items()}
    shape, solved = (len(moving.poses.x), len(LOCKS)), moving.poses.solved
    for body in bodies.found.values():
        lost = ~np.broadcast_to(known_poses(body.solids), shape)
        unknown.update(_lost(f"what the {body.label} touches", lost, solved, stated))
    for (first, second), gaps in zip(pairs, gaps_over(solids, pairs, beyond=NEAR), strict=True):
        one, two = bodies.found[first], bodies.found[second]
        everywhere = np.broadcast_to(gaps, (len(moving.poses.x), gaps.shape[-1]))
        yield _Margin(f"the {one.label} touches the {two.label}", two.path, lambda each=everywhere: each, True)  # type: ignore[misc]


def _parts(build: Build, kind: str) -> list[Any]:
    try:
        return list(SUBJECTS[kind](build))
    except Missing:
        return []
