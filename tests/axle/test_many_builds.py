"""Many builds solved in one batch have the poses that each has alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sampling import draws

import buildcheck
from buildcheck.axle.many_builds import form, solve_together
from buildcheck.axle.poses import FreeAxle, Layout, solve
from buildcheck.build import Build, read_build
from buildcheck.job import Job, Unreached
from buildcheck.job.layout import linkage
from buildcheck.library import functions
from buildcheck.testing import changed, sound_spec

ROOT = Path(__file__).parents[2]
EXAMPLES = ("tamarack/proposal.buildcheck.yaml", "three-link-metric.buildcheck.yaml", "four-link-rear.buildcheck.yaml")
HEAVE = np.linspace(-0.15, 0.12, 7)
LEVEL = np.zeros_like(HEAVE)
THREE_LINK = EXAMPLES[1]


def variant(name: str, seed: int) -> Layout:
    """The layout of an example, its frame stretched and sheared by up to a fortieth and moved by up to an inch."""
    held, random = linkage(read_build(sound_spec(name))).layout, np.random.default_rng(seed)
    stretch, shift = random.uniform(-0.025, 0.025, (3, 3)), random.uniform(-0.025, 0.025, (3, 1))
    return Layout(
        held.centre,
        held.frame + stretch @ held.frame + shift,
        held.axle,
        held.stiffness,
        held.twists,
        held.arms,
    )


@pytest.mark.parametrize("name", EXAMPLES)
@draws(30)
@given(seeds=st.lists(st.integers(0, 1000), min_size=1, max_size=5))
def test_each_is_solved_as_if_alone(name: str, seeds: list[int]) -> None:
    layouts = [variant(name, seed) for seed in seeds]
    for layout, together in zip(layouts, solve_together(layouts, HEAVE, LEVEL), strict=True):
        alone = solve(layout, HEAVE, LEVEL)
        for each in ("x", "y", "pitch", "yaw", "stretch"):
            np.testing.assert_allclose(getattr(together, each), getattr(alone, each), rtol=0.0, atol=1e-10)
        np.testing.assert_array_equal(together.status, alone.status)
        np.testing.assert_array_equal(together.centre, alone.centre)
        np.testing.assert_array_equal(together.heave, alone.heave)


def test_layouts_of_one_example_have_one_form_and_others_another() -> None:
    forms = {name: {form(variant(name, seed)) for seed in range(3)} for name in EXAMPLES}
    assert all(len(found) == 1 for found in forms.values())
    assert len(set.union(*forms.values())) == len(EXAMPLES) - 1  # three links and a bar, and four links, are alike


def three_link(**changes: Any) -> Build:
    return read_build(changed(sound_spec(THREE_LINK), changes))


def test_an_axle_that_is_free_takes_nothing_from_the_others() -> None:
    """A bar where a link is already holds the axle no way sideways."""
    link = sound_spec(THREE_LINK)["links"]["lower"]["both"]
    free = three_link(**{"lateral_bar.frame": link["frame"], "lateral_bar.axle": link["axle"]})
    sound = three_link()
    with pytest.raises(FreeAxle):
        solve_together([linkage(build).layout for build in (sound, free)], HEAVE, LEVEL)
    first, loose, last = Job.moved_together(map(Job, (sound, free, sound)), HEAVE, LEVEL)
    with pytest.raises(Unreached, match="do not hold the axle"):
        _ = loose.poses
    np.testing.assert_array_equal(first.poses.y, Job(sound).moved(HEAVE, LEVEL).poses.y)
    np.testing.assert_array_equal(last.poses.y, first.poses.y)


def test_a_sweep_is_the_same_in_batches_of_any_size(monkeypatch: pytest.MonkeyPatch) -> None:
    spec = buildcheck.read(ROOT / "examples" / EXAMPLES[0])
    heights = [21.0, 21.5, 22.0, 22.5, 23.0]
    together = buildcheck.sweep(spec, "lateral_bar.frame.z", heights, "bump-steer", steps=3)
    monkeypatch.setattr(functions, "AT_ONCE", 2)
    in_twos = buildcheck.sweep(spec, "lateral_bar.frame.z", heights, "bump-steer", steps=3)
    np.testing.assert_allclose(in_twos.values, together.values, rtol=0.0, atol=1e-10)
    for height, row in zip(heights, together.values, strict=True):
        alone = buildcheck.cycle(spec.changed({"lateral_bar.frame.z": height}), steps=3)["bump-steer"].values
        np.testing.assert_allclose(row, alone, rtol=0.0, atol=1e-9)
