"""Joints that are screwed into links, bars and rods hold, and can be set.

Checked: for every rod end, and for every joint that states a thread, the length of thread inside the part against its
diameter; that the thread can carry the stated rating at all; and that a part with two such ends has a right-hand and a
left-hand thread, of one size.

Risk: a thread that is hardly in strips or bends at its first turn outside, and the link comes off. A link with two
right-hand threads is set by taking it off and turning one end by half a turn, which is more than a fine setting needs.

Worked out: from the spec. A jam nut does not count as thread. One and a half diameters in steel, two in aluminium,
leave room to screw the joint out by half a diameter; below two thirds of that a thread in steel is shorter than it is
thick. The rating divided by the stress area of the thread is compared with the proof strength of class 12.9, the
strongest bolts; a joint that needs more has a wrong thread or a wrong rating. Bending of the shank is not computed.

Remedy: screw the joint in, or use a longer shank or tube adapter; look up the thread and the rating.
"""

from collections.abc import Iterator
from typing import Any

from buildcheck.api import (
    Answer,
    Area,
    Build,
    Dimension,
    DragLink,
    Job,
    Joint,
    JointOf,
    LateralBar,
    Link,
    Part,
    Rule,
    Sample,
    Set,
    TieRod,
    Verdict,
    Words,
    any_of,
    at_least,
    at_most,
    common_practice,
    made,
    met,
    published,
)

BAR = "lateral_bar.joints"

rule = Rule(
    "screwed-joint",
    area=Area.FASTENERS,
    page=__doc__,
    samples=(
        Sample("a longer thread", {f"{BAR}.frame.thread_engaged": "2 in"}),
        Sample(
            "two right-hand threads, one hardly in, of a size that cannot have the rating",
            {
                f"{BAR}.frame.thread_engaged": "1/2 in",
                f"{BAR}.axle.thread_hand": "right",
                f"{BAR}.axle.thread": "3/8-24",
            },
            {
                "engaged": Verdict.ERROR,
                "rating": Verdict.ERROR,
                "set-in-place": Verdict.WARNING,
                "one-thread": Verdict.WARNING,
            },
        ),
    ),
)


def is_screwed(joint: Joint) -> bool:
    return joint.has("thread") or (joint.has("kind") and joint.kind == "rod-end")


def screwed_joints(job: Job, part: Link | LateralBar | DragLink | TieRod) -> Iterator[JointOf[Any]]:
    """The joints of a part that are screwed into it."""
    if part.has("joints"):
        yield from (JointOf(part, key) for key, joint in part.joints.given().items() if is_screwed(joint))


def rods(job: Job, build: Build) -> Iterator[JointOf[Any]]:
    """The screwed joints of the rods of the steering."""
    for rod in build.steering.given().values() if build.has("steering") else ():
        if isinstance(rod, DragLink | TieRod):
            yield from screwed_joints(job, rod)


every_screwed_joint = any_of(
    made("screwed joint of a link or bar", screwed_joints, of=Link | LateralBar),
    made("screwed joint of a rod", rods),
)


def stated(job: Job, joint: JointOf[Any]) -> Joint:
    return joint.stated


def screwed_into(part: Part) -> str:
    """The metal that a joint is screwed into."""
    made_of = part.section if isinstance(part, Link) and part.has("section") and not part.has("tube") else part.tube
    return str(made_of.material)


def enough(job: Job, joint: JointOf[Any]) -> float:
    """Length of thread that leaves room to set the joint, m."""
    diameters = 2.0 if screwed_into(joint.part) == "aluminium" else 1.5
    return diameters * job.strengths.thread_of(joint.stated).diameter


@rule.check(
    every_screwed_joint,
    at_least(warning="100 %", error="67 %", of=enough, amounts=Dimension.LENGTH),
    basis=common_practice("one and a half diameters of thread in steel, two in aluminium"),
    error_basis=common_practice("a thread shorter than it is thick strips before its shank breaks, or bends"),
    change=(
        Set("thread_engaged", says="screw it in by {amount} or more").of(stated),
        Words("screw it in, or use a longer shank"),
    ),
    place=lambda job, joint: joint.stated.path_of("thread_engaged"),
    effect="the thread strips or bends, and the part comes off",
)
def engaged(job: Job, joint: JointOf[Any]) -> float:
    """Length of the joint's thread inside the part, as a share of what it needs."""
    return float(joint.stated.thread_engaged)


@rule.check(
    every_screwed_joint,
    at_most(error="100 %"),
    physical_end="100 %",
    basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., table 8-11",
        "970 MPa (141 ksi), the proof strength of class 12.9",
    ),
    change=Words("look up the thread and the load rating"),
    place=lambda job, joint: joint.stated.path_of("thread"),
    effect="the shank breaks long before the rating",
)
def rating(job: Job, joint: JointOf[Any]) -> float:
    """Load rating of the joint as a share of what its thread could carry in the strongest bolt steel."""
    return float(joint.stated.load_rating / job.strengths.most_of_thread(joint.stated))


def set_by_turning(job: Job, part: Link | LateralBar | DragLink | TieRod) -> Iterator[Part]:
    """A part with screwed joints at both ends."""
    if len(list(screwed_joints(job, part))) > 1:
        yield part


def rods_set_by_turning(job: Job, build: Build) -> Iterator[Part]:
    for rod in build.steering.given().values() if build.has("steering") else ():
        if isinstance(rod, DragLink | TieRod):
            yield from set_by_turning(job, rod)


set_on_both_ends = any_of(
    made("link or bar between two screwed joints", set_by_turning, of=Link | LateralBar),
    made("rod between two screwed joints", rods_set_by_turning),
)


@rule.must(
    set_on_both_ends,
    wanted="one right-hand and one left-hand thread",
    basis=common_practice("a rod with both hands of thread is set by turning it, with both its ends bolted in place"),
    otherwise=Verdict.WARNING,
    change=Words("use a joint and a tube adapter with left-hand thread at one end"),
    place="joints",
    effect="it is set only by taking one end off, half a turn at a time",
)
def set_in_place(job: Job, part: Link | LateralBar | DragLink | TieRod) -> Answer:
    """The part can be set with both ends bolted in place."""
    hands = [joint.stated.thread_hand for joint in screwed_joints(job, part)]
    found = " and ".join(f"{hand}-hand" for hand in hands)
    return met(len(set(hands)) > 1, found, otherwise=found)


@rule.must(
    set_on_both_ends,
    wanted="one size of thread",
    basis=common_practice("the two joints of a rod are a pair, and so are the inserts of its tube"),
    otherwise=Verdict.WARNING,
    change=Words("look up the threads of both joints again; or order each insert to its own joint"),
    place="joints",
    effect="one of the two does not go into its insert",
    compares=True,
)
def one_thread(job: Job, part: Link | LateralBar | DragLink | TieRod) -> Answer:
    """The two screwed joints of a part have one size of thread."""
    threads = [joint.stated.thread for joint in screwed_joints(job, part)]
    found = " and ".join(threads)
    return met(len(set(threads)) == 1, found, otherwise=found)
