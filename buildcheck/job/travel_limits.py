"""Limits of the travel: how far the axle goes up, down and in roll before something binds, reaches its end or
touches."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Build, Missing, Side
from buildcheck.clearance.nearest import known_poses
from buildcheck.job.bodies import Bodies, bodies_of
from buildcheck.job.curve import Array, Curve, Line, PoseName, Unreached
from buildcheck.job.envelope import LOCKS
from buildcheck.job.lines import LEFT_UP, RIGHT_UP
from buildcheck.job.margins import Margin, beginnings, margins, touching
from buildcheck.job.moving import MovingAxle
from buildcheck.job.resting import RestingAxle

STATES = ("bump", "droop", "articulation")

# Steps to the stated travel of each way, and how far it is followed, as a multiple of that.
STEPS = 20
FARTHEST = 1.6


class End(NamedTuple):
    """Something that ends a way, or that begins on it: what, in words; the spec path of its cause; how far the axle
    goes (m or rad); its pose; the side that it is on; and of two parts that touch the path of the other one."""

    what: str
    path: str
    at: float
    pose: PoseName
    side: Side = Side.CENTRE
    other: str = ""


class Way(NamedTuple):
    """One way of the axle's motion: its name, the travel that the spec states, how far it was followed (m or rad), and
    what ends it, nearest first. `rolled` is true for articulation; `states` is the key of the travel that states it.
    `begins` are the stops that touch and the straps that are tight on it, nearest first. What is farther than it was
    followed is not known."""

    name: str
    stated: float
    looked: float
    ends: tuple[End, ...]
    rolled: bool
    states: str
    begins: tuple[End, ...] = ()


class TravelLimits(NamedTuple):
    """Limits of the travel each way. `missing` are the spec paths that some end needed; `unknown` lists in words what
    else could not be evaluated, and why. `without_begins` are the paths that only a stop's or a strap's beginning
    needed."""

    ways: tuple[Way, ...]
    missing: tuple[str, ...]
    unknown: tuple[str, ...]
    without_begins: tuple[str, ...] = ()


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
    bodies = bodies_of(build, moving, np.array(LOCKS))
    _ = bodies.found  # before anything else is read, on which they do not depend
    missing = {build.travel.path_of(key): None for key in STATES if not build.travel.has(key)}
    unknown: dict[str, None] = {}
    found: list[tuple[Margin, Array]] = []
    stated = np.concatenate([line.picks[: line.declared] for line in lines])
    for margin in (*margins(build, moving), *_touching(bodies, moving, stated, missing, unknown)):
        try:
            each = _kept(moving, margin)
        except Missing as error:
            missing[error.path] = None
        except Unreached as error:
            unknown[str(error)] = None
        else:
            if not margin.other:
                unknown.update(_lost(f"whether {margin.what}", np.isnan(each), solved, stated))
            found.append((margin, np.fmin.reduce(each, axis=1)))
    begun, without = _begun(build, moving)
    ways = tuple(
        Way(
            line.name,
            line.end,
            float(line.parameter[-1]),
            tuple(sorted((*_no_farther(line, solved), *_zeros(line, found)), key=lambda end: end.at)),
            _states(line) == "articulation",
            _states(line),
            tuple(sorted(_zeros(line, begun), key=lambda end: end.at)),
        )
        for line in lines
    )
    return TravelLimits(ways, tuple(missing), tuple(unknown), without)


def _begun(build: Build, moving: MovingAxle) -> tuple[list[tuple[Margin, Array]], tuple[str, ...]]:
    """The margins of what begins, in each pose, and the spec paths that they lack."""
    found: list[tuple[Margin, Array]] = []
    without: dict[str, None] = {}
    for margin in beginnings(build, moving):
        try:
            found.append((margin, _kept(moving, margin)[:, 0]))
        except Missing as error:
            without[error.path] = None
        except Unreached:
            continue  # the same is said of its end
    return found, tuple(without)


def _kept(moving: MovingAxle, margin: Margin) -> Array:
    """The margin in each pose, (poses, locks), computed once."""

    def left() -> Array:
        return np.asarray(margin.left()).reshape(len(moving.poses.x), -1)

    return left() if margin.other else moving.keep(("margin", margin.what), left)


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


def _no_farther(line: Line, solved: NDArray[np.bool_]) -> Iterator[End]:
    reached = solved[line.picks]
    if not reached.all():
        at = float(line.parameter[max(int(reached.argmin()) - 1, 0)])
        yield End("the links let the axle go no farther", "links", at, line.pose(at))


def _zeros(line: Line, found: list[tuple[Margin, Array]]) -> Iterator[End]:
    """Where on a line each margin becomes zero, for those that do."""
    for margin, left in found:
        values = left[line.picks]
        if not (values <= 0.0).any():
            continue  # most never do, and finding that out on a curve takes long
        try:
            at = first_zero(Curve(values, line))
        except Unreached:
            continue  # nothing is known at the start of this way; `unknown` or the end by the links reports it
        if at is not None:
            yield End(margin.what, margin.path, at, line.pose(at), margin.side, margin.other)


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


def _touching(
    bodies: Bodies,
    moving: MovingAxle,
    stated: NDArray[np.intp],
    missing: dict[str, None],
    unknown: dict[str, None],
) -> Iterator[Margin]:
    """Margins of the gaps of each pair of parts that may touch, at the worst lock."""
    for why in bodies.lacking.values():
        if isinstance(why, Missing):
            missing[why.path] = None
        else:
            unknown[str(why)] = None
    shape, solved = (len(moving.poses.x), len(LOCKS)), moving.poses.solved
    for body in bodies.found.values():
        lost = ~np.broadcast_to(known_poses(body.solids), shape)
        unknown.update(_lost(f"what the {body.label} touches", lost, solved, stated))
    for margin in touching(bodies):
        gaps = margin.left()
        everywhere = np.broadcast_to(gaps, (len(moving.poses.x), gaps.shape[-1]))
        yield margin._replace(left=lambda each=everywhere: each)  # type: ignore[misc]
