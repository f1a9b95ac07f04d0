"""Convert the build to the arrays that the motion uses."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from buildcheck.axle.arm_energy import ElasticArms
from buildcheck.axle.poses import Layout
from buildcheck.axle.rigid_arm import RigidArm, swing
from buildcheck.axle.twist import TwistedArms
from buildcheck.build import Build, Point
from buildcheck.build.linkage import Joint, LateralBar, Link
from buildcheck.build.part import Part, Vector
from buildcheck.build.springs import Coilover, LimitStrap
from buildcheck.job.curve import Array, Unreached
from buildcheck.spec.quantity import Dimension

# Radial stiffness of a joint for which the spec gives none, N/m. Common practice, no source: a metal joint is stiffer
# than the tube it sits in, polyurethane deflects a little, rubber visibly. They matter only where the links
# over-constrain the axle; each one used is reported as an assumption.
ASSUMED_STIFFNESS = {
    "rod-end": 1.0e8,
    "spherical": 1.0e8,
    "clevis": 1.0e8,
    "polyurethane": 2.0e7,
    "rubber": 5.0e6,
    "typical": 2.0e7,
}

FOUR = 4


class Assumption(NamedTuple):
    """A value that the spec leaves out and the tool assumes; shown with the readings.

    path: the spec path at which to state it
    what: its description in words: `radial stiffness of a rubber joint`
    value: the value assumed, SI; `dimension` is None for a plain number, and `unit` then its unit in words: `g`
    basis: its basis in words; empty where the code that assumes it states the basis
    """

    path: str
    what: str
    value: float
    dimension: Dimension | None = None
    unit: str = ""
    basis: str = ""


class Bar(NamedTuple):
    """One distance constraint, from a point of the frame to a point of the axle, and its stiffness, N/m.

    A radius arm is two of them, to the equivalent points of its axle joints; see `axle.rigid_arm`.
    """

    frame: Point
    axle: Point
    length: float
    stiffness: float = 1.0


class Member(NamedTuple):
    """A link, a radius arm or the lateral bar: the indices of its bars, and the stiffness of each joint, N/m, by its
    key.

    The keys are `frame`, then `axle`, or `axle_upper` and `axle_lower`. Where exactly four constraints hold the axle,
    stiffness only determines how a radius arm's axle joints share a load. `swings` is the direction of the line about
    which an arm swings on the axle, as drawn.
    """

    part: Link | LateralBar
    bars: tuple[int, ...]
    stiffness: Mapping[str, float]
    swings: Vector | None = None

    @property
    def axle_joints(self) -> tuple[str, ...]:
        """Keys of its axle joints."""
        return tuple(self.stiffness)[1:]

    @property
    def is_arm(self) -> bool:
        """Whether it is a radius arm."""
        return len(self.bars) == 2

    @property
    def can_be_struck(self) -> bool:
        """Whether a rock can strike it: yes for links and arms; the lateral bar lies along the axle and is left out."""
        return isinstance(self.part, Link)


def axle_centre(build: Build) -> Point:
    """Axle centre at ride height, m, vehicle axes: as stated, or in the middle at the tyre's static radius."""
    axle = build.axle
    if axle.has("centre"):
        return axle.centre
    x = 0.0 if axle.position == "front" else -build.vehicle.wheelbase
    return Point(x, 0.0, build.vehicle.tyre.static_radius)


class Linkage(NamedTuple):
    """The build's links as constraints, with their bars and members, and the assumptions about them.

    `supports` are lines that hold the axle as the bars do, each by itself: of a radius arm on elastic joints the two
    lines of `rigid_arm`, whose bars run to other points of the axle and share an energy; otherwise the bars.
    """

    layout: Layout
    bars: tuple[Bar, ...]
    members: tuple[Member, ...]
    assumptions: tuple[Assumption, ...]
    supports: tuple[Bar, ...]

    def member(self, part: Link | LateralBar) -> Member:
        """Return the member of a link or the lateral bar."""
        wanted = (part.path, part.label)
        return next(each for each in self.members if (each.part.path, each.part.label) == wanted)

    def placed_arm(self, member: Member, place: Callable[[Point], Array]) -> RigidArm:
        """Return a radius arm with its axle joints, and the line about which it swings, moved by `place`, which gives
        the position of a point of the axle: (3,) or (3, poses) m."""
        arm, swings = member.part, member.swings
        assert isinstance(arm, Link)
        assert swings is not None
        upper, lower = place(arm.axle_upper), place(arm.axle_lower)
        frame = np.array(arm.frame).reshape(3, *(1,) * (upper.ndim - 1))
        beyond = place(Point(*(at + way for at, way in zip(arm.axle_lower, swings, strict=True))))
        return RigidArm(frame, upper, lower, _of_arm(member.stiffness), beyond - lower)


def linkage(build: Build) -> Linkage:
    """Make constraints of the build's links, in an order independent of the file's.

    Raises Missing when the spec lacks the links or an end point; Unreached for a link whose two ends coincide, and for
    a radius arm whose two axle joints coincide.
    """
    parts, exact = _parts(build), not held_more_than_once(build)
    of_kind = {**ASSUMED_STIFFNESS, **build.additions.joint_kinds}
    assumptions: list[Assumption] = []
    held: list[Bar] = []
    supports: list[Bar] = []
    members: list[Member] = []
    rates: list[tuple[float, float]] = []
    for part in parts:
        stiffness = _stiffness(part, exact, of_kind, assumptions)
        if isinstance(part, Link) and _is_arm(part):
            arm = _drawn_arm(part, stiffness)
            members.append(Member(part, (len(held), len(held) + 1), stiffness, Vector(*arm.swings)))
            points, rate = (arm.joined, 1.0) if exact else (arm.lines, arm.stiffness)
            supports.extend(_bars_of_arm(part, points, rate))
            held.extend(supports[-2:] if exact else _bars_of_arm(part, arm.sharing, rate))
            rates.append(arm.rates)
        else:
            members.append(Member(part, (len(held),), stiffness))
            held.append(_bar(part, stiffness))
            supports.append(held[-1])
    return Linkage(
        Layout(
            centre=np.array(axle_centre(build)),
            frame=np.array([bar.frame for bar in held]).T.reshape(3, -1),
            axle=np.array([bar.axle for bar in held]).T.reshape(3, -1),
            stiffness=np.array([1.0 if exact else bar.stiffness for bar in held]),
            twists=None if exact else _twists([member for member in members if member.is_arm]),
            arms=None if exact or not rates else _elastic([member for member in members if member.is_arm], rates),
        ),
        tuple(held),
        tuple(members),
        tuple(dict.fromkeys(assumptions)),
        tuple(supports),
    )


def held_more_than_once(build: Build) -> bool:
    """Whether links and bar over-constrain the axle, so that they bind. Raises Missing where there are no links."""
    return constraint_count(build) > FOUR


def constraint_count(build: Build) -> int:
    """Number of distance constraints of the links and the bar: two for a radius arm, one for any other. Raises Missing
    without links."""
    return sum(2 if _is_arm(part) else 1 for part in _parts(build))


def _parts(build: Build) -> list[Link | LateralBar]:
    """Every link, and the lateral bar where there is one. A layout without it is valid (triangulated links); its free
    motions show whether the links hold the axle."""
    parts: list[Link | LateralBar] = [link for name in sorted(build.links) for link in build.links[name]]
    if build.has("lateral_bar"):
        parts.append(build.lateral_bar)
    return parts


def _is_arm(part: Link | LateralBar) -> bool:
    return isinstance(part, Link) and part.kind == "radius-arm"


def _stiffness(
    part: Link | LateralBar, exact: bool, of_kind: Mapping[str, float], assumptions: list[Assumption]
) -> dict[str, float]:
    """Stiffness of each joint, N/m; if `exact`, only of the joints where it matters. `of_kind` is the stiffness of each
    kind of joint, for joints without one in the spec."""
    ends = ("axle_upper", "axle_lower") if _is_arm(part) else ("axle",)
    needed = (ends if _is_arm(part) else ()) if exact else ("frame", *ends)
    return {
        end: _joint_stiffness(part, end, of_kind, assumptions) if end in needed else math.inf
        for end in ("frame", *ends)
    }


def _bar(part: Link | LateralBar, stiffness: Mapping[str, float]) -> Bar:
    axle = held_point(part)
    if distance(part.frame, axle) == 0.0:
        raise Unreached(f"the {part.label} has its frame end and its axle end at one point")
    give = sum(1.0 / each for each in stiffness.values())
    return Bar(part.frame, axle, made_length(part), 1.0 / give if give else math.inf)


class _DrawnArm(NamedTuple):
    """A radius arm on its joints, as drawn: the direction about which it swings; the points of the axle (3, 2), m, that
    its two bars run to where the axle joints are held exactly, where each line holds by itself (with the stiffness of
    one, N/m), and where the two share their energy; its stiffness along it, N/m, and in turning, N m/rad."""

    swings: tuple[float, float, float]
    joined: Array
    lines: Array
    stiffness: float
    sharing: Array
    rates: tuple[float, float]


def _drawn_arm(arm: Link, stiffness: Mapping[str, float]) -> _DrawnArm:
    if distance(arm.axle_upper, arm.axle_lower) == 0.0:
        raise Unreached(f"the {arm.label} has its two axle ends at one point")
    if distance(arm.frame, held_point(arm)) == 0.0:
        raise Unreached(f"the {arm.label} has its frame end midway between its axle ends")
    try:
        return _arm_between(arm.frame, arm.axle_upper, arm.axle_lower, _of_arm(stiffness), _bolt(arm))
    except ValueError as error:
        raise Unreached(f"the {arm.label} has its frame end between its axle ends") from error


@lru_cache(maxsize=256)  # many builds are made of one, by changes of other parts
def _arm_between(
    frame: Point, upper: Point, lower: Point, stiffness: tuple[float, float, float], bolt: Vector | None
) -> _DrawnArm:
    joint, top, bottom = np.array(frame), np.array(upper), np.array(lower)
    drawn = RigidArm(joint, top, bottom, stiffness, top - bottom)
    arm = replace(drawn, swings=swing(joint, top, bottom, drawn.centre, bolt))
    lines, (x, y, z) = arm.lines(), arm.swings.tolist()
    return _DrawnArm((x, y, z), arm.joined(), lines.points, lines.stiffness, arm.sharing(), (arm.rates[0], arm.turning))


def _bars_of_arm(arm: Link, points: Array, rate: float) -> list[Bar]:
    """The two bars of a radius arm, to points of the axle (3, 2). Its length is that from the frame joint to the middle
    of the axle joints, so an arm that is made longer has its frame joint further out on that line."""
    middle = held_point(arm)
    joint = middle + made_length(arm) * np.subtract(arm.frame, middle) / distance(arm.frame, middle)
    return [Bar(arm.frame, Point(*point.tolist()), float(np.linalg.norm(joint - point)), rate) for point in points.T]


def _elastic(arms: Sequence[Member], rates: Sequence[tuple[float, float]]) -> ElasticArms:
    """Radius arms with their stiffness along them, N/m, and against rotation on the axle joints, N m/rad."""
    first, second = np.array([arm.bars for arm in arms]).T
    along, turning = np.array(rates).T
    return ElasticArms(first, second, along, turning)


def _of_arm(stiffness: Mapping[str, float]) -> tuple[float, float, float]:
    return stiffness["frame"], stiffness["axle_upper"], stiffness["axle_lower"]


def _bolt(arm: Link) -> Vector | None:
    """Direction of the bolts of a radius arm's axle joints, where the spec gives it."""
    for end in ("axle_upper", "axle_lower"):
        if arm.has("joints") and arm.joints.has(end) and getattr(arm.joints, end).has("axis"):
            axis: Vector = getattr(arm.joints, end).axis
            return axis
    return None


def _twists(arms: Sequence[Member]) -> TwistedArms | None:
    """Radius arms with joints of a stated torsional stiffness; None where the spec states none.

    Joints without one are assumed free to turn: the poses then depend only on the links' lengths.
    """
    stiffness = [
        [_torsional_stiffness(arm.part, joint) for arm in arms] for joint in ("frame", "axle_upper", "axle_lower")
    ]
    if not any(map(any, stiffness)):
        return None
    first, second = np.array([arm.bars for arm in arms]).T
    return TwistedArms(first, second, np.array(stiffness), np.array([arm.swings for arm in arms]).T)


def _torsional_stiffness(arm: Link | LateralBar, joint: str) -> float:
    if not arm.has("joints") or not arm.joints.has(joint):
        return 0.0
    held: Joint = getattr(arm.joints, joint)
    return held.torsional_stiffness if held.has("torsional_stiffness") else 0.0


def _joint_stiffness(
    owner: Link | LateralBar, end: str, of_kind: Mapping[str, float], assumptions: list[Assumption]
) -> float:
    joint: Joint | None = getattr(owner.joints, end) if owner.has("joints") and owner.joints.has(end) else None
    if joint is not None and joint.has("radial_stiffness"):
        return joint.radial_stiffness
    kind = joint.kind if joint is not None and joint.has("kind") else "typical"
    assumed = of_kind[kind]
    place = f"{owner.path_of('joints')}.{end}.radial_stiffness"
    assumptions.append(Assumption(place, f"radial stiffness of a {kind} joint", assumed, Dimension.STIFFNESS))
    return assumed


def distance(a: Point, b: Point) -> float:
    """Distance between two points, m."""
    return math.dist(a, b)


def refuse_no_length(part: Part, one: Point, two: Point) -> None:
    """Raise Unreached for a part that has its two ends at one point."""
    if one == two:
        raise Unreached(f"the {part.label} has its two ends at one point")


def off_rod(point: Point, start: Point, end: Point) -> float:
    """Distance of a point from a straight rod between two others, m."""
    way = np.subtract(end, start)
    long = float(way @ way)
    share = float(np.clip(np.subtract(point, start) @ way / long, 0.0, 1.0)) if long else 0.0
    return float(np.linalg.norm(np.subtract(point, start + share * way)))


def middle_of(a: Point, b: Point) -> Point:
    """Point midway between two points, m, in their axes."""
    return Point((a.x + b.x) / 2, (a.y + b.y) / 2, (a.z + b.z) / 2)


def held_point(part: Link | LateralBar | Coilover | LimitStrap) -> Point:
    """Point at the axle of a part: where a link or the lateral bar holds it, or the eye; m, vehicle axes, as drawn."""
    return part.axle if isinstance(part, Coilover | LimitStrap) else part.at_axle


def made_as_placed(build: Build) -> bool:
    """Whether every link and bar is as long as the distance between its points."""
    held: list[Link | LateralBar] = [link for sides in build.links.values() for link in sides]
    if build.has("lateral_bar"):
        held.append(build.lateral_bar)
    return not any(part.has("length") for part in held)


def made_length(link: Link | LateralBar) -> float:
    """Length of a link or bar as made, joint to joint, m; where not stated, the distance between its points."""
    if link.has("length"):
        return link.length
    return distance(link.frame, held_point(link))
