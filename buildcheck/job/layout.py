"""From the build to the arrays that the motion works on."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from buildcheck.build import Build, Point
from buildcheck.build.linkage import Joint, LateralBar, Link
from buildcheck.job.curve import Unreached
from buildcheck.motion.poses import Layout
from buildcheck.motion.twist import TwistedArms
from buildcheck.quantity import Dimension

# Radial stiffness of a joint for which the spec gives none, N/m. Common practice, no source: a metal joint is stiffer
# than the tube it sits in, polyurethane gives a little, rubber gives visibly. They matter only where the links hold
# the axle more than once over; each one used is reported as an assumption.
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
    """Something that the spec leaves out and the tool had to assume; shown with the readings.

    path: where the spec would state it
    what: what it is, in words: `radial stiffness of a rubber joint`
    value: what was taken, SI; `dimension` is None for a plain number, and `unit` then what it counts: `g`
    basis: on what it stands, in words; empty where the place that assumes it says so
    """

    path: str
    what: str
    value: float
    dimension: Dimension | None = None
    unit: str = ""
    basis: str = ""


class Bar(NamedTuple):
    """One distance that the links keep: from a point of the frame to a point of the axle.

    `arm` is the field of the axle joint, for one of the two bars that stand for a radius arm; empty for other bars.
    """

    label: str
    path: str
    frame: Point
    axle: Point
    length: float
    joints: tuple[tuple[Link | LateralBar, str], tuple[Link | LateralBar, str]]
    arm: str = ""


def axle_centre(build: Build) -> Point:
    """The axle centre at ride height, m, vehicle axes: as stated, or in the middle at the tyre's static radius."""
    axle = build.axle
    if axle.has("centre"):
        return axle.centre
    x = 0.0 if axle.position == "front" else -build.vehicle.wheelbase
    return Point(x, 0.0, build.vehicle.tyre.static_radius)


def bars(build: Build) -> list[Bar]:
    """Every distance that the links and the lateral bar keep, in an order that does not depend on the file's."""
    found: list[Bar] = []
    for name in sorted(build.links):
        for link in build.links[name]:
            found.extend(_bars_of_link(link))
    # A layout without a lateral bar is a layout of its own (triangulated links); whether enough is left to hold the
    # axle shows in its free motions.
    if build.has("lateral_bar"):
        bar = build.lateral_bar
        length = bar.length if bar.has("length") else distance(bar.frame, bar.axle)
        found.append(Bar(bar.label, bar.path, bar.frame, bar.axle, length, ((bar, "frame"), (bar, "axle"))))
    return found


def _bars_of_link(link: Link) -> list[Bar]:
    if link.kind == "radius-arm":
        # The arm is one rigid piece. Its length runs from the frame joint to the middle of the axle joints, so an
        # arm that is made longer carries its frame joint further out on that line.
        middle = middle_of(link.axle_upper, link.axle_lower)
        if distance(link.frame, middle) == 0.0:
            raise Unreached(f"the {link.label} has its frame end midway between its axle ends")
        outward = np.subtract(link.frame, middle) / distance(link.frame, middle)
        made = link.length if link.has("length") else distance(link.frame, middle)
        return [
            Bar(
                link.label,
                link.path,
                link.frame,
                point,
                float(np.linalg.norm(middle + made * outward - point)),
                ((link, "frame"), (link, name)),
                name,
            )
            for name, point in (("axle_upper", link.axle_upper), ("axle_lower", link.axle_lower))
        ]
    length = link.length if link.has("length") else distance(link.frame, link.axle)
    return [Bar(link.label, link.path, link.frame, link.axle, length, ((link, "frame"), (link, "axle")))]


class Linkage(NamedTuple):
    """The build's links as constraints, each with the bar it stands for, and what had to be assumed of them."""

    layout: Layout
    bars: tuple[Bar, ...]
    assumptions: tuple[Assumption, ...]


def linkage(build: Build) -> Linkage:
    """The build's links as constraints.

    Raises Missing when the spec lacks the links, an end point, or, where the axle is held more than once over, the
    kind of a joint; Unreached for a link whose two ends are one point.
    """
    held = bars(build)
    for bar in held:
        if distance(bar.frame, bar.axle) == 0.0:
            raise Unreached(f"the {bar.label} has its frame end and its axle end at one point")
    assumptions: list[Assumption] = []
    stiffness = np.ones(len(held))
    if len(held) > FOUR:
        for number, bar in enumerate(held):
            ends = [_joint_stiffness(owner, end, assumptions) for owner, end in bar.joints]
            stiffness[number] = 1.0 / sum(1.0 / end for end in ends)
    return Linkage(
        Layout(
            centre=np.array(axle_centre(build)),
            frame=np.array([bar.frame for bar in held]).T.reshape(3, -1),
            axle=np.array([bar.axle for bar in held]).T.reshape(3, -1),
            stiffness=stiffness,
            twists=_twists(held) if len(held) > FOUR else None,
        ),
        tuple(held),
        tuple(dict.fromkeys(assumptions)),
    )


def _twists(held: list[Bar]) -> TwistedArms | None:
    """The radius arms whose joints resist being turned, as far as the spec says so; None where it says so of none.

    What it does not state is taken as free to turn: the poses then need no more than the links' lengths.
    """
    upper = [number for number, bar in enumerate(held) if bar.arm == "axle_upper"]
    lower = [number for number, bar in enumerate(held) if bar.arm == "axle_lower"]
    arms = [held[number].joints[0][0] for number in upper]
    stiffness = [[_torsional_stiffness(arm, joint) for arm in arms] for joint in ("frame", "axle_upper", "axle_lower")]
    if not any(map(any, stiffness)):
        return None
    return TwistedArms(np.array(upper), np.array(lower), np.array(stiffness))


def _torsional_stiffness(arm: Link | LateralBar, joint: str) -> float:
    if not arm.has("joints") or not arm.joints.has(joint):
        return 0.0
    held: Joint = getattr(arm.joints, joint)
    return held.torsional_stiffness if held.has("torsional_stiffness") else 0.0


def _joint_stiffness(owner: Link | LateralBar, end: str, assumptions: list[Assumption]) -> float:
    joint: Joint | None = getattr(owner.joints, end) if owner.has("joints") and owner.joints.has(end) else None
    if joint is not None and joint.has("radial_stiffness"):
        return joint.radial_stiffness
    kind = joint.kind if joint is not None and joint.has("kind") else "typical"
    assumed = ASSUMED_STIFFNESS[kind]
    place = f"{owner.path_of('joints')}.{end}.radial_stiffness"
    assumptions.append(Assumption(place, f"radial stiffness of a {kind} joint", assumed, Dimension.STIFFNESS))
    return assumed


def distance(a: Point, b: Point) -> float:
    """The distance between two points, m."""
    return math.dist(a, b)


def off_line(point: Point, start: Point, end: Point) -> float:
    """Distance of a point from the straight line through two others, m; from the one point where those are one."""
    way = np.subtract(end, start)
    length = float(np.linalg.norm(way))
    if length == 0.0:
        return distance(point, start)
    return float(np.linalg.norm(np.cross(np.subtract(point, start), way))) / length


def middle_of(a: Point, b: Point) -> Point:
    """The point midway between two points, m, in their axes."""
    return Point((a.x + b.x) / 2, (a.y + b.y) / 2, (a.z + b.z) / 2)


def axle_point(link: Link) -> Point:
    """Where a link holds the axle: its axle joint, or the point midway between a radius arm's two; m, as drawn."""
    return middle_of(link.axle_upper, link.axle_lower) if link.kind == "radius-arm" else link.axle


def held_point(part: Link | LateralBar) -> Point:
    """Where a link or the lateral bar holds the axle: m, vehicle axes, as drawn."""
    return axle_point(part) if isinstance(part, Link) else part.axle


def made_as_placed(build: Build) -> bool:
    """Whether no link and no bar is made to another length than its points ask for."""
    held: list[Link | LateralBar] = [link for sides in build.links.values() for link in sides]
    if build.has("lateral_bar"):
        held.append(build.lateral_bar)
    return not any(part.has("length") for part in held)


def made_length(link: Link | LateralBar) -> float:
    """The length a link or bar is made to, joint to joint, m; where not stated, as its points are apart."""
    if link.has("length"):
        return link.length
    return distance(link.frame, held_point(link))
