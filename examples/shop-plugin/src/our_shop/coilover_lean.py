"""Coilovers are upright.

Checked: the largest angle of each coilover from the vertical over the travel.

Risk: a leaning coilover is compressed less than the wheel rises, and still less as the wheel rises further: the truck
     gets softer where it should get firmer.

Worked out: the angle between the line through its eyes and the vertical, from the solved motion.

Remedy: move the upper mount outboard, or up.
"""

from typing import Any

import numpy as np

from buildcheck.api import (
    Area,
    Coilover,
    Dimension,
    Family,
    Job,
    Move,
    MovingAxle,
    Rule,
    Sample,
    Spot,
    Verdict,
    Words,
    at_most,
    common_practice,
)

rule = Rule(
    "coilover-lean",
    area=Area.SPRINGS,
    page=__doc__,
    samples=(
        Sample("the upper mounts further in", {"coilovers.coilover.both.frame": [-1.5, 15, 44.9]}),
        Sample(
            "the upper mounts far inboard and low",
            {"coilovers.coilover.both.frame": [-1.5, 4, 39.3]},
            {"most-lean": Verdict.ERROR},
        ),
    ),
)


def lean(moving: MovingAxle, coilover: Coilover) -> Any:
    """Angle between a coilover and the vertical, in every pose, rad."""
    x, y, z = moving.point(coilover.axle) - np.array(coilover.frame)[:, None]
    return np.arctan2(np.hypot(x, y), np.abs(z))


LEAN = Family(
    "coilover", "coilover", "lean", "lean", "angle between the {part} and the vertical; never negative",
    Dimension.ANGLE, lean, compared=True,
)  # fmt: skip


@rule.check(
    Coilover,
    at_most(warning="25 deg", error="35 deg"),
    basis=common_practice("a coilover that leans works less for each inch that the wheel rises"),
    change=(Move("frame", axis="y"), Words("move the upper mount outboard, or up")),
    effect="the truck gets softer as the wheel rises",
)
def most_lean(job: Job, coilover: Coilover) -> Spot:
    """Largest angle between the coilover and the vertical over the travel."""
    return LEAN.of_part(coilover).over(job, job.lines.travel).largest
