"""Adjustable joints are screwed in far enough.

Checked: the length of thread of an adjustable joint that is screwed into its link, measured at the joint that is
out farthest.

Risk: a joint that is backed out to set the pinion or the caster may hold by only a few turns, and strip.

Worked out: the length engaged, divided by the diameter of the thread.

Remedy: make the link longer, and screw the joint in.
"""

from buildcheck.api import (
    Area,
    Build,
    Job,
    Rule,
    Sample,
    Verdict,
    Words,
    at_least,
    common_practice,
    shop_part,
)
from our_shop.fields import OurShop

ENGAGED = "shop.our_shop.joint_thread.engaged"

rule = Rule(
    "joint-thread",
    area=Area.LINKS,
    page=__doc__,
    samples=(
        Sample("plenty of thread", {"shop.our_shop.joint_thread": {"diameter": "1 1/4 in", "engaged": "1 3/4 in"}}),
        Sample(
            "a joint that hangs by a few turns",
            {"shop.our_shop.joint_thread": {"diameter": "1 1/4 in", "engaged": "3/4 in"}},
            {"thread-engaged": Verdict.ERROR},
        ),
    ),
)


@rule.check(
    Build,
    at_least(warning="125 %", error="100 %"),
    basis=common_practice("a steel thread engaged by its own diameter is about as strong as the bolt"),
    change=Words("make the link longer, and screw the joint in"),
    place=ENGAGED,
    effect="the thread strips",
)
def thread_engaged(job: Job, build: Build) -> float:
    """Thread that is screwed into the link, in diameters of the thread."""
    thread = shop_part(build, "our_shop", OurShop).joint_thread
    return thread.engaged / thread.diameter
