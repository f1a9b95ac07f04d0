"""The length to which the tube of a link or rod is cut, from its length and what its joints take up at either end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.build import Missing
from buildcheck.build.linkage import DragLink, Joint, LateralBar, Link, TieRod
from buildcheck.job.layout import distance, made_length

Rod = Link | LateralBar | DragLink | TieRod


class Taken(NamedTuple):
    """Length that a joint takes up of a part at one end, m: from its centre to the end of the tube."""

    name: str
    joint: Joint
    length: float


def ends_of(rod: Rod) -> tuple[str, str]:
    """The names of a rod's two ends, which are those of its points and of its joints."""
    if isinstance(rod, DragLink):
        return "pitman", "arm"
    return ("left", "right") if isinstance(rod, TieRod) else ("frame", "axle")


def has_one_tube(rod: Rod) -> bool:
    """Whether the rod is one straight tube from joint to joint. A radius arm ends in a yoke that the shop makes, and a
    link with a section is no tube."""
    return not isinstance(rod, Link) or (rod.kind != "radius-arm" and not rod.has("section"))


def rod_length(rod: Rod) -> float:
    """Length from joint centre to joint centre, m. Raises Missing."""
    if isinstance(rod, Link | LateralBar):
        return made_length(rod)
    one, other = ends_of(rod)
    return distance(getattr(rod, one), getattr(rod, other))


def taken_up(rod: Rod) -> Iterator[Taken]:
    """Lengths that the two joints take up. Raises Missing for what the spec does not state of one."""
    for end in ends_of(rod):
        if not rod.joints.has(end):
            raise Missing(f"{rod.path_of('joints')}.{end}")
        joint: Joint = getattr(rod.joints, end)
        yield Taken(end, joint, _to_tube(joint))


WITH_A_SHANK = ("shank_length", "thread_engaged", "insert_shoulder")


def lacking(rod: Rod) -> tuple[str, ...]:
    """The spec paths that are missing to know what the joints of a rod take up, on its own side."""
    found: list[str] = []
    for end in ends_of(rod):
        if not rod.has("joints") or not rod.joints.has(end):
            found.append(f"{rod.own_path_of('joints')}.{end}")
            continue
        joint: Joint = getattr(rod.joints, end)
        if joint.has("centre_to_tube"):
            continue
        has_shank = joint.has("thread") or joint.has("shank_length") or (joint.has("kind") and joint.kind == "rod-end")
        needed = WITH_A_SHANK if has_shank else ("centre_to_tube",)
        found.extend(joint.own_path_of(name) for name in needed if not joint.has(name))
    return tuple(found)


def _to_tube(joint: Joint) -> float:
    """From the centre of a joint to the end of the tube, m: as stated for one that is welded or pressed on, else the
    shank less the thread that is screwed in, and what the threaded insert stands out of the tube."""
    if joint.has("centre_to_tube"):
        return joint.centre_to_tube
    return joint.shank_length - joint.thread_engaged + joint.insert_shoulder


def tube_cut(rod: Rod) -> float:
    """Length of the tube, m: joint to joint, less what both joints take up with their threads screwed in as planned, at
    mid adjustment.

    A rod of 36 in between joints with shanks of 4 in, 1.5 in of them engaged, and inserts that stand 1/4 in out of the
    tube, has a tube of 36 - 2 (4 - 1.5 + 0.25) = 30.5 in. Raises Missing for what the spec does not state.
    """
    return rod_length(rod) - sum(taken.length for taken in taken_up(rod))


def between_shanks(rod: Rod) -> float:
    """Distance between the ends of the two shanks inside the tube, m; to the end of the tube where a joint has no
    shank. Negative where they would meet before the rod is as short as planned."""
    reach = (taken.length if taken.joint.has("centre_to_tube") else taken.joint.shank_length for taken in taken_up(rod))
    return rod_length(rod) - sum(reach)
