"""Poses of many builds in one batch: variants of one build, whose links differ in where they are and how stiff."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from buildcheck.axle.poses import Layout, Poses, solve
from buildcheck.axle.vectors import Array

Form = tuple[object, ...]


def form(layout: Layout) -> Form:
    """The number of constraints of a layout, and which of them are radius arms: the same for all layouts of a batch."""
    twists, arms = layout.twists, layout.arms
    return (
        layout.frame.shape,
        None if twists is None else (twists.upper.tobytes(), twists.lower.tobytes(), twists.swings is None),
        None if arms is None else (arms.first.tobytes(), arms.second.tobytes()),
    )


def solve_together(layouts: Sequence[Layout], heave: Array, roll: Array) -> list[Poses]:
    """Solve layouts of one build and of one `form` each, at the same heave, m, and roll, rad, (poses,) each.

    The poses of each layout are those of `solve`. Raises as `solve` does, FreeAxle also where one of them alone is
    free.
    """
    if len(layouts) == 1:
        return [solve(layouts[0], heave, roll)]
    found = solve(_stacked(layouts), heave, roll)
    return [
        Poses(
            heave=heave,
            roll=roll,
            x=found.x[build],
            y=found.y[build],
            pitch=found.pitch[build],
            yaw=found.yaw[build],
            stretch=found.stretch[:, build],
            status=found.status[build],
            centre=found.centre[:, build],
        )
        for build in range(len(layouts))
    ]


def _stacked(layouts: Sequence[Layout]) -> Layout:
    """One layout with an axis of builds, the last."""

    def stack(values: Iterable[Array]) -> Array:
        return np.stack([*values], axis=-1)

    twists, arms = layouts[0].twists, layouts[0].arms
    return Layout(
        centre=stack(each.centre for each in layouts),
        frame=stack(each.frame for each in layouts),
        axle=stack(each.axle for each in layouts),
        stiffness=stack(each.stiffness for each in layouts),
        twists=None
        if twists is None
        else replace(
            twists,
            stiffness=stack(each.twists.stiffness for each in layouts if each.twists),
            swings=None
            if twists.swings is None
            else stack(each.twists.swings for each in layouts if each.twists and each.twists.swings is not None),
        ),
        arms=None
        if arms is None
        else replace(
            arms,
            along=stack(each.arms.along for each in layouts if each.arms),
            turning=stack(each.arms.turning for each in layouts if each.arms),
        ),
    )
