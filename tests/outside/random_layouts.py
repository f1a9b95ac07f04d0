"""Random but plausible link layouts, so that outside solvers are compared on geometry nobody chose."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.poses import Layout

Array = NDArray[np.float64]
Ends = tuple[list[float], list[float]]


def _layout(random: np.random.Generator, bars: list[Ends]) -> Layout:
    """A layout from (axle end, frame end) pairs in metres, about an axle centre that is not the origin."""
    axle = np.array([ends[0] for ends in bars]).T
    frame = np.array([ends[1] for ends in bars]).T
    centre = random.normal(0.0, 0.3, 3)
    stiffness = random.uniform(2e6, 2e7, len(bars))
    return Layout(centre, frame + centre[:, np.newaxis], axle + centre[:, np.newaxis], stiffness)


def _near(random: np.random.Generator, x: float, y: float, z: float, spread: float = 0.04) -> list[float]:
    return [float(value) for value in np.array([x, y, z]) + random.uniform(-spread, spread, 3)]


def _lateral_bar(random: np.random.Generator) -> Ends:
    return _near(random, 0.06, -0.42, 0.07), _near(random, 0.06, 0.41, 0.11)


def three_link(random: np.random.Generator) -> Layout:
    """Two lower links, one upper to one side, lateral bar."""
    return _layout(
        random,
        [
            (_near(random, 0.03, 0.43, -0.10), _near(random, -0.87, 0.40, -0.04)),
            (_near(random, 0.03, -0.43, -0.10), _near(random, -0.87, -0.40, -0.04)),
            (_near(random, 0.06, -0.18, 0.15), _near(random, -0.56, -0.20, 0.18)),
            _lateral_bar(random),
        ],
    )


def triangulated_four_link(random: np.random.Generator) -> Layout:
    """Two lower links, two uppers that meet towards the middle of the axle, no bar."""
    return _layout(
        random,
        [
            (_near(random, 0.0, 0.48, -0.10), _near(random, -0.95, 0.36, -0.04)),
            (_near(random, 0.0, -0.48, -0.10), _near(random, -0.95, -0.36, -0.04)),
            (_near(random, 0.0, 0.12, 0.16), _near(random, -0.70, 0.45, 0.17)),
            (_near(random, 0.0, -0.12, 0.16), _near(random, -0.70, -0.45, 0.17)),
        ],
    )


def radius_arms(random: np.random.Generator) -> Layout:
    """Two arms, each bolted to the axle at two places and joined to the frame at one, and a lateral bar."""
    bars: list[Ends] = []
    for side in (1.0, -1.0):
        pivot = _near(random, -0.95, 0.38 * side, 0.0)
        bars.append((_near(random, 0.08, 0.42 * side, 0.0, 0.02), pivot))
        bars.append((_near(random, -0.08, 0.42 * side, -0.09, 0.02), pivot))
    return _layout(random, [*bars, _lateral_bar(random)])


def parallel_four_link(random: np.random.Generator) -> Layout:
    """Four links, nearly equal and parallel, and a lateral bar."""
    bars = [
        (
            _near(random, 0.03, 0.43 * side, height, 0.02),
            _near(random, -0.87, 0.43 * side, height + 0.06, 0.02),
        )
        for side in (1.0, -1.0)
        for height in (-0.10, 0.14)
    ]
    return _layout(random, [*bars, _lateral_bar(random)])


KINDS: dict[str, Callable[[np.random.Generator], Layout]] = {
    "three-link": three_link,
    "triangulated four-link": triangulated_four_link,
    "radius arms": radius_arms,
    "parallel four-link": parallel_four_link,
}
EXACT = ("three-link", "triangulated four-link")
OVER_CONSTRAINED = ("radius arms", "parallel four-link")


def bars_of(layout: Layout) -> tuple[Array, Array, Array, Array]:
    """Arms and anchors about the axle centre, row by row (n, 3); lengths; stiffness over the largest."""
    arms = (layout.axle - layout.centre[:, np.newaxis]).T
    anchors = (layout.frame - layout.centre[:, np.newaxis]).T
    lengths: Array = np.linalg.norm(arms - anchors, axis=1)
    return arms, anchors, lengths, layout.stiffness / layout.stiffness.max()
