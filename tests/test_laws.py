"""Laws that every inspection keeps, whatever the build."""

from __future__ import annotations

import json
from collections import defaultdict
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from random_specs import drawn, spoiled
from rewritten_specs import jittered, moved_forward, shuffled
from sampling import draws, sampled

from buildcheck.api import Inspection, Job, Reading, Rule, Verdict, inspect
from buildcheck.build import read_build
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import Unreadable, read_file, read_text
from buildcheck.spec.place import split
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.schema import problems_in
from buildcheck.testing.rewritten import OTHER, at, in_other_units, mirror_image, places_in, sides_written_out

FOLDER = Path(__file__).parent.parent / "examples"
EXAMPLES = sorted(FOLDER.rglob("*.buildcheck.yaml"))
SOUND = [path for path in EXAMPLES if "faults" not in path.name]
MILLIMETRE = 0.001

randoms = st.randoms(use_true_random=False)
lean = draws(8, suppress_health_check=list(HealthCheck))


@cache
def rules() -> tuple[Rule, ...]:
    return collect().rules


def spec_of(path: Path) -> dict[str, Any]:
    return read_file(path).data


def inspected(spec: dict[str, Any]) -> Inspection:
    """The inspection of a spec that goes the whole way: written out, read, held to the schema, built."""
    document = read_text(json.dumps(spec, indent=1), "a spec")
    problems = problems_in(document)
    assert problems == (), problems
    # What to change takes longest, and no law compares it.
    inspection = inspect(read_build(document.data), rules(), changes=False)
    assert not [reading for reading in inspection.readings if reading.failure]
    return inspection


@cache
def inspected_as_written(path: Path) -> Inspection:
    """The inspection of an example itself, which is the same however often it is drawn to be compared with."""
    return inspected(spec_of(path))


def grouped(inspection: Inspection) -> dict[tuple[str, str, str], list[Reading]]:
    found: dict[tuple[str, str, str], list[Reading]] = defaultdict(list)
    for reading in inspection.readings:
        found[reading.rule, reading.quantity, reading.subject].append(reading)
    return found


def assert_same(one: Reading, other: Reading, tolerance: float) -> None:
    assert (one.found, bool(one.missing), one.basis) == (other.found, bool(other.missing), other.basis)
    if one.value is None or other.value is None:
        assert one.value is other.value
        assert one.verdict is other.verdict
        return
    assert one.value == pytest.approx(other.value, rel=tolerance, abs=tolerance)
    if one.verdict is not other.verdict:  # only where the value stands on the bound itself
        margins = (one.margin, other.margin)
        assert min(abs(margin) for margin in margins if margin is not None) <= tolerance


@sampled(2)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@lean
@given(random=randoms)
def test_the_mirror_image_of_a_build_has_the_same_readings_on_the_other_side(path: Path, random: Random) -> None:
    hold_to_the_mirror(jittered(random, sides_written_out(spec_of(path)), 5 * MILLIMETRE))


def hold_to_the_mirror(spec: dict[str, Any]) -> None:
    """The readings of a spec with its sides written out are those of its mirror image, on the other side."""
    readings, images = grouped(inspected(spec)), grouped(inspected(mirror_image(spec)))
    swapped = {
        (rule, quantity, " ".join(OTHER.get(word, word) for word in subject.split())): found
        for (rule, quantity, subject), found in images.items()
    }
    assert readings.keys() == swapped.keys()
    for key, found in readings.items():
        # Strokes are taken left side first, so within one subject the image may come in another order.
        assert len(found) == len(swapped[key])
        for one, other in zip(by_value(found), by_value(swapped[key]), strict=True):
            if one.found and any(side in one.found for side in OTHER):
                assert one.verdict is other.verdict
            else:
                assert_same(one, other, 1e-8)


def by_value(readings: list[Reading]) -> list[Reading]:
    return sorted(readings, key=lambda reading: (reading.value is not None, reading.value, reading.verdict))


@lean
@given(random=randoms, lift=st.floats(0.0, 2.0))
def test_arms_on_bushings_ahead_of_the_tube_and_behind_keep_these_laws(random: Random, lift: float) -> None:
    """The line through the axle joints runs nearly along the arm, where how the arm swings has to be taken."""
    spec = sides_written_out(spec_of(FOLDER / "tamarack" / "proposal.buildcheck.yaml"))
    for side, sign in (("left", 1), ("right", -1)):
        spec["links"]["arm"][side] |= {
            "axle_upper": [3, 17.5 * sign, 16.8 + lift],
            "axle_lower": [-3, 17.5 * sign, 16.8],
        }
    hold_to_the_mirror(jittered(random, spec, 5 * MILLIMETRE))
    hold_to_the_shift(spec, 1.25)


@sampled(2)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@lean
@given(random=randoms)
def test_inches_or_millimetres_the_readings_are_the_same(path: Path, random: Random) -> None:
    """But for the legs of fillets, which the published table gives for either system in numbers of its own."""
    inches = inspected_as_written(path).readings
    millimetres = inspected(in_other_units(random, spec_of(path))).readings
    assert len(inches) == len(millimetres)
    for one, other in zip(inches, millimetres, strict=True):
        assert (one.rule, one.subject, one.quantity, one.place) == (
            other.rule,
            other.subject,
            other.quantity,
            other.place,
        )
        if one.quantity not in ("least-leg", "largest-leg"):
            assert_same(one, other, 1e-9)


@sampled(2)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@lean
@given(random=randoms)
def test_the_order_of_keys_sides_and_links_means_nothing(path: Path, random: Random) -> None:
    assert inspected(shuffled(random, spec_of(path))) == inspected_as_written(path)


@sampled(2)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@lean
@given(metres=st.floats(-2.0, 2.0))
def test_where_the_origin_stands_fore_and_aft_means_nothing(path: Path, metres: float) -> None:
    spec = spec_of(path)
    build = read_build(spec)
    centre = build.value("axle.centre") if build.axle.has("centre") else None
    if centre is None:
        x = 0.0 if build.axle.position == "front" else -build.vehicle.wheelbase
        spec["axle"]["centre"] = [f"{x!r} m", 0, f"{build.vehicle.tyre.static_radius!r} m"]
    hold_to_the_shift(spec, metres)


def hold_to_the_shift(spec: dict[str, Any], metres: float) -> None:
    """The readings of a spec that states its axle centre are those of the same spec moved forward."""
    here, there = inspected(spec).readings, inspected(moved_forward(spec, metres)).readings
    assert len(here) == len(there)
    for one, other in zip(here, there, strict=True):
        assert (one.rule, one.subject, one.quantity) == (other.rule, other.subject, other.quantity)
        if (one.rule, one.quantity) != ("axle-setting", "axle-place"):  # it holds the axle to the origin under it
            assert_same(one, other, 1e-8)


@lean
@given(random=randoms)
def test_a_build_that_is_its_own_mirror_image_does_not_yaw_as_it_heaves(random: Random) -> None:
    spec = spec_of(FOLDER / "four-link-rear.buildcheck.yaml")
    spec["links"] = jittered(random, spec, 20 * MILLIMETRE)["links"]
    job = Job(read_build(spec))
    assert float(np.max(np.abs(job.axle_yaw(job.lines.travel).values))) < 1e-9
    assert float(np.max(np.abs(job.moving.left[job.lines.travel.picks]))) < 1e-9


@lean
@given(
    rise=st.floats(-100, 150),
    across=st.floats(600, 950),
    height=st.floats(380, 550),
    ahead=st.floats(-120, 150),
    plan=st.floats(-80, 80),
)
def test_a_lateral_bar_and_a_drag_link_that_are_parallel_and_equal_steer_alike(
    rise: float, across: float, height: float, ahead: float, plan: float
) -> None:
    spec = parallel_steering(rise, across, height, ahead, plan)
    assert abs(rate_of_bump_steer(spec)) < 1e-6
    # And the law is no truth about every build: a drag link out of parallel steers.
    x, y, z = spec["steering"]["drag_link"]["pitman"]
    spec["steering"]["drag_link"]["pitman"] = [x, y, z + 20]
    assert abs(rate_of_bump_steer(spec)) > 0.05


def parallel_steering(rise: float, across: float, height: float, ahead: float, plan: float) -> dict[str, Any]:
    """Links that run straight fore and aft, so that the axle does not yaw, and bar and drag link beside each other."""
    spec = spec_of(FOLDER / "three-link-metric.buildcheck.yaml")
    spec["links"]["lower"]["both"].update(frame=[-870, 430, 370], axle=[30, 430, 320])
    spec["links"]["upper"]["right"].update(frame=[-640, -185, 585], axle=[60, -185, 555])
    spec["lateral_bar"].update(axle=[ahead, -420, height], frame=[ahead + plan, -420 + across, height + rise])
    # The arm's end stays clear of the kingpin, or nothing would turn it.
    arm = [ahead, -520, height] if abs(ahead) > 60 else [ahead + 120, -520, height]
    if arm[0] != ahead:
        spec["lateral_bar"]["axle"][0] += 120
        spec["lateral_bar"]["frame"][0] += 120
    spec["steering"]["drag_link"].update(arm=arm, pitman=[arm[0] + plan, -520 + across, height + rise])
    return spec


def rate_of_bump_steer(spec: dict[str, Any]) -> float:
    job = Job(read_build(spec))
    return job.steer(job.lines.travel).slope().ride.value


def test_the_links_of_that_layout_hold_the_axle_without_yaw() -> None:
    job = Job(read_build(parallel_steering(60, 830, 482, 100, 10)))
    assert float(np.max(np.abs(job.axle_yaw(job.lines.travel).values))) < 1e-9
    assert float(np.max(np.abs(job.moving.left[job.lines.travel.picks]))) > 1e-3


def checked_without_a_failure(spec: dict[str, Any]) -> None:
    try:
        document = read_text(json.dumps(spec, indent=1), "a spec")
    except Unreadable:
        return
    problems = problems_in(document)
    for problem in problems:
        assert problem.sentence.isprintable()
        assert split(problem.path)
    if problems:
        return
    for reading in inspect(read_build(document.data), rules()).readings:
        assert not reading.failure, reading
        split(reading.place)
        if reading.verdict is Verdict.NOT_CHECKED:
            assert reading.reason, reading


# A whole spec takes more choices than hypothesis keeps, so here it only deals the seeds.
seeds = st.integers(0, 2**32 - 1)


@draws(80)
@given(seed=seeds)
def test_a_spec_drawn_from_the_schema_is_told_or_inspected(seed: int) -> None:
    checked_without_a_failure(drawn(Random(seed)))


@draws(200)
@given(path=st.sampled_from(SOUND), seed=seeds)
def test_a_sound_spec_that_is_spoiled_is_told_or_inspected(path: Path, seed: int) -> None:
    checked_without_a_failure(spoiled(Random(seed), spec_of(path)))


def test_random_specs_are_sound_often_enough_to_try_the_rules() -> None:
    def valid(spec: dict[str, Any]) -> bool:
        try:
            return not problems_in(read_text(json.dumps(spec, indent=1), "a spec"))
        except Unreadable:
            return False

    drawn_specs = draws(200).max_examples
    assert sum(valid(drawn(Random(seed))) for seed in range(drawn_specs)) >= drawn_specs / 10
    assert sum(valid(spoiled(Random(seed), spec_of(SOUND[0]))) for seed in range(30)) >= 5


# The rewriting itself, or the laws above would say little.


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_what_rewrites_a_spec_changes_it_and_comes_back(path: Path) -> None:
    spec = jittered(Random(1), sides_written_out(spec_of(path)), 5 * MILLIMETRE)
    assert mirror_image(spec) != spec
    assert in_metres(mirror_image(mirror_image(spec))) == in_metres(spec)
    assert mirror_image(spec)["links"] != spec["links"]
    text = json.dumps(spec)
    assert '"both"' not in text
    for sided in ("steering", "driveshaft"):
        if sided in spec:
            assert mirror_image(spec)[sided] != spec[sided]
    there = moved_forward(moved_forward(spec, 0.5), -0.5)
    assert in_metres(there) == pytest.approx(in_metres(spec), abs=1e-12)
    assert in_other_units(Random(1), spec)["units"] != spec["units"]
    assert list(shuffled(Random(1), spec)) != list(spec)


def in_metres(spec: dict[str, Any]) -> list[float]:
    """Every quantity of a spec, SI."""
    return [
        parse(at(spec, place), Dimension(node["quantity"]["dimension"]), System(spec["units"]))
        for place, node in sorted(places_in(spec), key=lambda found: str(found[0]))
        if "quantity" in node
    ]


def test_the_mirror_image_of_a_side_is_the_other_side() -> None:
    spec = sides_written_out(spec_of(FOLDER / "tamarack" / "proposal.buildcheck.yaml"))
    image = mirror_image(spec)
    assert image["steering"]["box_side"] == "right"
    assert image["steering"]["drag_link"]["knuckle"] == "left"
    assert image["axle"]["centre_section"]["where"] == "left"
    assert image["axle"]["tube"]["left_end"] == spec["axle"]["tube"]["left_end"]
    assert image["attachments"]["arm_axle_bracket"]["left"]["holds"] == "links.arm.left"
    assert image["attachments"]["arm_axle_bracket"]["left"]["method"] == "bolted"
    assert image["lateral_bar"]["frame"][1] == -spec["lateral_bar"]["frame"][1]
    assert image["records"]["baseline"]["sides"]["left"] == spec["records"]["baseline"]["sides"]["right"]
