"""Joints, their shanks and their bolts have the sizes that such parts have, and fit between the ears of their brackets.

Checked: the length of a joint's shank, what its insert sticks out of the tube, and from the centre of a joint that is
welded or pressed on to the tube; the width that is left for a joint between the ears of its bracket; that the ears are
as many as the shear planes of the bolt need; that the threads of the bolt are out of its shear planes; that the bolts
of links and lateral bar are level; and that screwed eyes of coilovers are right-hand. Values that are not stated are
not compared.

Risk: a shank that is too long by a digit makes a tube that is cut too short. A bolt whose grip is that of another joint
is ordered too short, and its nut hangs on half of its thread.

Worked out: by dividing one size by the other as written. The grip of a bolt less the ears that it goes through is the
width of the joint with its spacers. A bolt between two ears has two shear planes, one on a single ear has one. The axle
goes up and down, so a link swings about a level line, square to the link.

Remedy: measure the joint again, or look it up on its own drawing.
"""

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Coilover,
    HeldEnd,
    Job,
    Joint,
    JointBolt,
    JointOf,
    LateralBar,
    LimitStrap,
    Link,
    Missing,
    Rule,
    Sample,
    Side,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
    joints_of,
    made,
    met,
)

BAR = "lateral_bar.joints.frame"

rule = Rule(
    "joint-sizes",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a shank half an inch longer", {f"{BAR}.shank_length": "4 5/8 in"}),
        Sample(
            "a shank with a digit too many, and the grip of another joint",
            {f"{BAR}.shank_length": "14 1/8 in", f"{BAR}.bolt.grip": "12 1/4 in"},
            {"shank-to-thread": Verdict.ERROR, "room-between-ears": Verdict.ERROR},
            # 14.125 in over 0.875 in; 12.25 in less two ears of 1/4 in, over 3/4 in.
            values={"shank-to-thread": "1614.3 %", "room-between-ears": "1566.7 %"},
        ),
    ),
)

again: dict[str, Any] = {
    "change": Words("measure the joint again, or look it up on its own drawing"),
    "effect": "tubes are cut and bolts are ordered for another joint",
    "compares": True,
}


def thread_diameter(job: Job, joint: Joint) -> float:
    return float(job.strengths.thread_of(joint).diameter)


@rule.check(
    Joint,
    between(warning=("200 %", "700 %"), error=("120 %", "1000 %")),
    basis=common_practice("the shank of a joint is 3 to 5 diameters of its thread long, from its centre"),
    place="shank_length",
    **again,
)
def shank_to_thread(job: Job, joint: Joint) -> float:
    """Length of a joint's shank, from its centre, as a share of its thread's diameter."""
    return joint.shank_length / thread_diameter(job, joint)


@rule.check(
    Joint,
    at_most(warning="100 %", error="200 %"),
    basis=common_practice("the head of a threaded insert is about half as thick as its thread, with room for its weld"),
    place="insert_shoulder",
    **again,
)
def insert_to_thread(job: Job, joint: Joint) -> float:
    """Length by which the insert of a joint sticks out of the tube, as a share of its thread's diameter."""
    return joint.insert_shoulder / thread_diameter(job, joint)


@rule.check(
    Joint,
    between(warning=("80 %", "500 %"), error=("50 %", "900 %")),
    basis=common_practice("the eye of a joint is 2 to 4 times as wide as its bolt, and the tube is welded to its edge"),
    error_basis=common_practice("a tube that ends nearer than half of the bolt is in the way of the bolt"),
    place="centre_to_tube",
    **again,
)
def eye_to_bolt(job: Job, joint: Joint) -> float:
    """From the centre of a joint without a shank to the tube, as a share of the diameter of its bolt."""
    return joint.centre_to_tube / job.strengths.diameter(joint.bolt)


class BetweenEars(NamedTuple):
    """A joint whose bolt is stated, and the one bracket that holds it."""

    joint: JointOf[Any]
    bracket: Attachment

    @property
    def path(self) -> str:
        return self.joint.path

    @property
    def label(self) -> str:
        return self.joint.label

    @property
    def side(self) -> Side:
        return self.joint.side

    @property
    def which(self) -> str:
        return self.joint.which

    @property
    def bolt(self) -> JointBolt:
        bolt: JointBolt = self.joint.stated.bolt
        return bolt


def in_brackets(job: Job, part: Link | LateralBar | Coilover | LimitStrap) -> Iterator[BetweenEars]:
    """The joints of a part whose bracket is known and states its plates."""
    for joint in joints_of(job, part):
        end = HeldEnd(part, "frame" if joint.key == "frame" else "axle")
        try:
            brackets = job.holders(end)
            _ = joint.stated.bolt
        except Missing:  # another rule asks for them
            continue
        if len(brackets) == 1 and brackets[0].has("plates"):
            yield BetweenEars(joint, brackets[0])


joints_in_brackets = made("joint in a bracket", in_brackets, of=Link | LateralBar | Coilover | LimitStrap)


@rule.check(
    joints_in_brackets,
    between(warning=("100 %", "700 %"), error=("0 %", "1000 %")),
    basis=common_practice("a joint with its spacers or its sleeve is 2 to 5 times as wide as its bolt is thick"),
    error_basis=common_practice("a grip of less than the ears leaves no joint; ten times the bolt is another part"),
    place=lambda job, joint: joint.bolt.path_of("grip"),
    **again,
)
def room_between_ears(job: Job, joint: BetweenEars) -> float:
    """Grip of the bolt of a joint less the ears of its bracket, as a share of the bolt's diameter."""
    ears = min(joint.bracket.plates, 2) * joint.bracket.bracket_thickness
    return (joint.bolt.grip - ears) / job.strengths.diameter(joint.bolt)


@rule.must(
    joints_in_brackets,
    wanted="two ears for two shear planes, one for one",
    basis=common_practice("each joint sits between two ears, or hangs from one; more plates carry no bolt of it"),
    change=Words("count the ears that the bolt of this joint goes through, and look at its shear planes"),
    place=lambda job, joint: joint.bracket.path_of("plates"),
    effect="the bracket or the bolt is taken to carry what it cannot",
    compares=True,
)
def ears_of_joint(job: Job, joint: BetweenEars) -> Answer:
    """The bracket of a joint has as many ears as the shear planes of its bolt."""
    ears, planes = joint.bracket.plates, joint.bolt.shear_planes
    found = f"{ears} ear{'s' * (ears > 1)} and {planes} shear plane{'s' * (planes > 1)}"
    return met(ears == planes, found, otherwise=found)


@rule.must(
    JointBolt,
    wanted="the shank",
    otherwise=Verdict.WARNING,
    basis=common_practice("threads in an ear wear its hole and are the weakest place of the bolt"),
    change=Words("take a bolt whose shank is as long as its grip, with washers under its nut"),
    place="threads_in_shear_plane",
    effect="the joint works loose in its ears",
    compares=True,
)
def shank_in_ears(job: Job, bolt: JointBolt) -> Answer:
    """The shank of a joint's bolt, not its threads, bears in the ears."""
    return met(not bolt.threads_in_shear_plane, "the shank", otherwise="the threads")


@rule.check(
    made("joint of a link or bar", joints_of, of=Link | LateralBar),
    at_most(warning="20 deg", error="50 deg"),
    basis=common_practice("the axle goes up and down, and a link swings about a level bolt"),
    change=Words("measure the direction of the bolt again: [0, 1, 0] for a link fore and aft, [1, 0, 0] for the bar"),
    effect="the joint tilts in bump and droop where it should turn about its bolt, and wears or binds",
    compares=True,
)
def bolt_off_level(job: Job, joint: JointOf[Link | LateralBar]) -> float:
    """Angle of the bolt of a link's or the lateral bar's joint to the floor, at ride height."""
    axis = joint.stated.axis
    return math.asin(min(abs(axis.z) / math.hypot(*axis), 1.0))


def screwed_eyes(job: Job, part: Coilover | LimitStrap) -> Iterator[JointOf[Any]]:
    """The joints of a coilover or strap that state the hand of their thread."""
    if part.has("joints"):
        yield from (JointOf(part, key) for key, joint in part.joints.given().items() if joint.has("thread_hand"))


@rule.must(
    made("screwed eye of a coilover or strap", screwed_eyes, of=Coilover | LimitStrap),
    wanted="right-hand",
    otherwise=Verdict.WARNING,
    basis=common_practice("shafts and eyes of dampers have right-hand threads; nothing is set by turning them"),
    change=Words("look up the thread of the shaft, and order the eye to it"),
    place=lambda job, joint: joint.stated.path_of("thread_hand"),
    effect="the eye does not go onto the shaft",
    compares=True,
)
def hand_of_eye(job: Job, joint: JointOf[Any]) -> Answer:
    """The screwed eyes of coilovers and straps have right-hand threads."""
    found = f"{joint.stated.thread_hand}-hand"
    return met(found == "right-hand", found, otherwise=found)
