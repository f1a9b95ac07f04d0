"""Coilovers stand upright."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from buildcheck.api import (
    Area,
    Coilover,
    Dimension,
    Family,
    Finding,
    Job,
    Limit,
    MovingAxle,
    Sample,
    Verdict,
    at_most,
    common_practice,
    hold,
    rule,
)


def lean(moving: MovingAxle, coilover: Coilover) -> Any:
    """Angle between a coilover and the vertical, in every pose, rad."""
    x, y, z = moving.point(coilover.axle) - np.array(coilover.frame)[:, None]
    return np.arctan2(np.hypot(x, y), np.abs(z))


LEAN = Family(
    "coilover", "coilover", "lean", "lean", "angle between the {part} and the vertical; never negative",
    Dimension.ANGLE, lean,
)  # fmt: skip

MOST_LEAN = Limit(
    "most-lean",
    "angle between the coilover and the vertical",
    Dimension.ANGLE,
    at_most(warning="25 deg", error="35 deg"),
    basis=common_practice("a coilover that leans works less for each inch that the wheel rises"),
)


@rule(
    "coilover-lean",
    area=Area.SPRINGS,
    subject="coilover",
    limits=[MOST_LEAN],
    samples=[
        Sample("the upper mounts further in", {"coilovers.coilover.both.frame": [-1.5, 15, 44.9]}),
        Sample(
            "the upper mounts far inboard and low",
            {"coilovers.coilover.both.frame": [-1.5, 4, 39.3]},
            {"most-lean": Verdict.ERROR},
        ),
    ],
)
def coilover_lean(job: Job, coilover: Coilover) -> Iterator[Finding]:
    """Coilovers stand upright.

    What it checks: how far each coilover leans from the vertical, wherever in the travel it leans most.

    Why: a coilover that leans is pressed less than the wheel rises, and the less the further it rises: the truck gets
    softer just where it should get firmer.

    How it is computed: the angle between the line through its eyes and the vertical, from the solved motion.

    To put it right: move the upper mount outboard, or up.
    """
    yield hold(
        MOST_LEAN,
        LEAN.of_part(coilover).over(job, job.lines.travel).largest,
        place=coilover.path_of("frame"),
        effect="the truck gets softer as the wheel rises",
        cure="move the upper mount outboard, or up",
    )
