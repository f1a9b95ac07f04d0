"""A build that just passes and one that just fails at each limit of baseline."""

import pytest
from buildcheck_rules.baseline import rule as baseline
from edges import (
    DEGREE,
    INCH,
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example,
    example_data,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

SUBJECT = "records baseline"
AT = "records.baseline"
LEFT = f"{AT}.sides.left"
DIAGONALS = {f"{AT}.diagonal_left": 80, f"{AT}.diagonal_right": 80}

EDGES = [
    *edges(
        "wheelbase-sides",
        SUBJECT,
        f"{AT}.sides",
        f"{LEFT}.wheelbase",
        warn_above=(108.1 * INCH, 109 * INCH),
        fail_above=(109 * INCH, 111 * INCH),
    ),
    *edges(
        "ride-height-sides",
        SUBJECT,
        f"{AT}.sides",
        f"{LEFT}.ride_height",
        warn_above=(8.1 * INCH, 10 * INCH),
        fail_above=(10 * INCH, 12 * INCH),
    ),
    *edges(
        "fender-height-sides",
        SUBJECT,
        f"{AT}.sides",
        f"{LEFT}.fender_height",
        warn_above=(19.2 * INCH, 21 * INCH),
        fail_above=(21 * INCH, 23 * INCH),
    ),
    *edges(
        "tyre-to-frame-sides",
        SUBJECT,
        f"{AT}.sides",
        f"{LEFT}.tyre_to_frame",
        warn_above=(9 * INCH, 10 * INCH),
        fail_above=(10 * INCH, 12 * INCH),
    ),
    *edges(
        "diagonals",
        SUBJECT,
        f"{AT}.diagonal_left",
        f"{AT}.diagonal_left",
        base=DIAGONALS,
        warn_above=(80 * INCH, 80.5 * INCH),
        fail_above=(80.5 * INCH, 82 * INCH),
    ),
    *edges(
        "pinion-angle",
        SUBJECT,
        f"{AT}.pinion_up",
        f"{AT}.pinion_up",
        warn_above=(0.0, 15 * DEGREE),
        fail_above=(15 * DEGREE, 28 * DEGREE),
        warn_below=(0.0, -15 * DEGREE),
        fail_below=(-15 * DEGREE, -28 * DEGREE),
    ),
    *edges(
        "output-angle",
        SUBJECT,
        f"{AT}.output_up",
        f"{AT}.output_up",
        warn_above=(0.0, 15 * DEGREE),
        fail_above=(15 * DEGREE, 28 * DEGREE),
        warn_below=(0.0, -15 * DEGREE),
        fail_below=(-15 * DEGREE, -28 * DEGREE),
    ),
    *edges(
        "driveshaft-length",
        SUBJECT,
        f"{AT}.driveshaft_length",
        f"{AT}.driveshaft_length",
        warn_above=(33 * INCH, 40 * INCH),
        fail_above=(40 * INCH, 60 * INCH),
        warn_below=(31 * INCH, 25 * INCH),
        fail_below=(25 * INCH, 15 * INCH),
    ),
    *edges(
        "caster-angle",
        "left sides",
        f"{LEFT}.caster",
        f"{LEFT}.caster",
        warn_above=(6 * DEGREE, 15 * DEGREE),
        fail_above=(15 * DEGREE, 25 * DEGREE),
        warn_below=(6 * DEGREE, -5 * DEGREE),
        fail_below=(-5 * DEGREE, -15 * DEGREE),
    ),
    *edges(
        "tape",
        SUBJECT,
        f"{AT}.tape_tolerance",
        f"{AT}.tape_tolerance",
        warn_above=(INCH / 16, 3 * INCH / 16),
        fail_above=(3 * INCH / 16, INCH / 2),
    ),
    *edges(
        "gauge",
        SUBJECT,
        f"{AT}.gauge_tolerance",
        f"{AT}.gauge_tolerance",
        warn_above=(0.2 * DEGREE, DEGREE),
        fail_above=(DEGREE, 2 * DEGREE),
    ),
]
NEEDS = [
    Need(
        "steering-centred",
        SUBJECT,
        met={f"{AT}.steering_centred": True},
        not_met={f"{AT}.steering_centred": False},
        finds=((SUBJECT, "steering-centred", f"{AT}.steering_centred"),),
    ),
    *(
        Need(
            field.replace("_", "-"),
            SUBJECT,
            met={f"{AT}.{field}": True},
            not_met={f"{AT}.{field}": False},
            finds=((SUBJECT, field.replace("_", "-"), f"{AT}.{field}"),),
        )
        for field in ("rails_marked", "instructions_at_hand")
    ),
    Need(
        "taken-in-time",
        SUBJECT,
        met={f"{AT}.taken_on": "2026-03-14", "build.date": "2026-03-14"},
        not_met={f"{AT}.taken_on": "2026-03-15", "build.date": "2026-03-14"},
        finds=((SUBJECT, "taken-in-time", f"{AT}.taken_on"),),
    ),
    Need(
        "recent",
        SUBJECT,
        met={f"{AT}.taken_on": "2025-03-14", "build.date": "2026-03-14"},
        not_met={f"{AT}.taken_on": "2025-03-01", "build.date": "2026-03-14"},
        finds=((SUBJECT, "recent", f"{AT}.taken_on"),),
    ),
    Need(
        "photographs",
        SUBJECT,
        met={f"{AT}.photographs": True},
        not_met={f"{AT}.photographs": False},
        finds=((SUBJECT, "photographs", f"{AT}.photographs"),),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(baseline, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(baseline, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(baseline, EDGES, NEEDS)


def test_a_spec_without_a_baseline_is_not_checked() -> None:
    found = all_readings(baseline, example("three-link-metric.buildcheck.yaml"))
    assert {each.verdict for each in found if each.applies} == {Verdict.NOT_CHECKED}


@pytest.mark.parametrize(
    "field", ["diagonal_left", "pinion_up", "output_up", "driveshaft_length", "tape_tolerance", "photographs"]
)
def test_what_a_baseline_leaves_out_is_not_checked_and_named(field: str) -> None:
    data = example_data()
    del data["records"]["baseline"][field]
    (found,) = (each for each in all_readings(baseline, read_build(data)) if each.verdict is Verdict.NOT_CHECKED)
    assert found.missing == (f"{AT}.{field}",)


def test_an_axle_without_a_shaft_has_no_angles_to_read() -> None:
    data = with_data(example_data(), {"axle.driven": False})
    for field in ("pinion_up", "output_up", "driveshaft_length"):
        del data["records"]["baseline"][field]
    assert {each.verdict for each in all_readings(baseline, read_build(data))} == {Verdict.OK}
