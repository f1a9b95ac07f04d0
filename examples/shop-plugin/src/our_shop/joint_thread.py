"""Adjustable joints are screwed in far enough."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Sample,
    Verdict,
    at_least,
    common_practice,
    hold,
    rule,
    shop_amount,
)

DIAMETER, ENGAGED = "shop.our_shop.joint_thread.diameter", "shop.our_shop.joint_thread.engaged"

THREAD = Limit(
    "thread-engaged",
    "thread that is screwed into the link, in diameters of the thread",
    Dimension.RATIO,
    at_least(warning="125 %", error="100 %"),
    basis=common_practice("a steel thread that is screwed in by its own diameter is as strong as the bolt, or nearly"),
)


@rule(
    "joint-thread",
    area=Area.LINKS,
    subject="build",
    limits=[THREAD],
    samples=[
        Sample("plenty of thread", {"shop.our_shop.joint_thread": {"diameter": "1 1/4 in", "engaged": "1 3/4 in"}}),
        Sample(
            "a joint that hangs by a few turns",
            {"shop.our_shop.joint_thread": {"diameter": "1 1/4 in", "engaged": "3/4 in"}},
            {"thread-engaged": Verdict.ERROR},
        ),
    ],
)
def joint_thread(job: Job, build: Build) -> Iterator[Finding]:
    """Adjustable joints are screwed in far enough.

    What it checks: how much thread of an adjustable joint is screwed into its link, as the shop measures it at the
    joint that is out farthest.

    Why: a joint that is backed out to set the pinion or the caster ends up hanging by a few turns, and strips.

    How it is computed: the length engaged, over the diameter of the thread.

    To put it right: make the link longer, and screw the joint in.
    """
    engaged = shop_amount(build, ENGAGED, Dimension.LENGTH) / shop_amount(build, DIAMETER, Dimension.LENGTH)
    yield hold(
        THREAD,
        engaged,
        place=ENGAGED,
        effect="the thread strips",
        cure="make the link longer, and screw the joint in",
    )
