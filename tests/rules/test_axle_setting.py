"""A build that just passes and one that just fails at each limit of axle-setting."""

import math

import pytest
from buildcheck_rules.axle_setting import rule as axle_setting
from edges import DEGREE, INCH, Edge, all_readings, both, check_complete, check_edge, edges, example, example_data

from buildcheck.build import Build, read_build
from buildcheck.checks.limit import Verdict

AXLE = "axle"
KINGPIN = "steering.kingpins.both.centre"
BY_TAPE = {"axle.toe_in_by_tape": "1/16 in"}


# With these the scrub radius is within its limits at every inclination that is tried.
CLOSE = {"steering.kingpins.both.centre": [0, 30, 16.6]}


def angle(limit: str, path: str, **brackets: tuple[float, float]) -> list[Edge]:
    """The edges of a limit of an angle that is the value itself; brackets in degrees."""
    turned = {name: (start * DEGREE, end * DEGREE) for name, (start, end) in brackets.items()}
    return edges(limit, AXLE, path, path, base=CLOSE, **turned)


def tube_aside(build: Build, aside: float) -> Build:
    """The tube moved to the left, in metres."""
    for end in ("left_end", "right_end"):
        path = f"axle.tube.{end}.y"
        build = build.with_value(path, build.value(path) + aside)
    return build


EDGES = [
    *angle(
        "caster-size", "axle.caster",
        warn_below=(6, 1), fail_below=(1.5, -2), warn_above=(6, 12), fail_above=(12, 16),
    ),
    *angle(
        "inclination-size", "axle.kingpin_inclination",
        warn_below=(8.5, 2), fail_below=(2, -2), warn_above=(8.5, 20), fail_above=(20, 28),
    ),
    *angle(
        "toe-size", "axle.toe_in",
        warn_below=(0.1, -0.4), fail_below=(-0.4, -1), warn_above=(0.1, 0.6), fail_above=(0.6, 2),
    ),
    *edges(
        "toe-by-tape-off", AXLE, "axle.toe_in_by_tape", "axle.toe_in_by_tape", base=BY_TAPE,
        warn_above=(INCH / 16, INCH / 6), fail_above=(INCH / 6, INCH),
    ),
    *angle(
        "pinion-size", "axle.pinion.up",
        warn_below=(6, -6), fail_below=(-6, -15), warn_above=(6, 22), fail_above=(22, 40),
    ),
    *angle("pinion-aside", "axle.pinion.left", warn_above=(1, 8), fail_above=(8, 20)),
    *edges(
        "axle-place", AXLE, "axle.centre", "axle.centre.x",
        warn_above=(0.001, 2 * INCH), fail_above=(2 * INCH, 4 * INCH),
    ),
    *edges(
        "centre-on-tube", "axle tube", "axle.tube.left_end", "axle.centre.z",
        warn_above=(16.61 * INCH, 17.5 * INCH), fail_above=(17.5 * INCH, 20 * INCH),
    ),
    *edges(
        "tube-in-middle", "axle tube", "axle.tube.left_end", tube_aside,
        warn_above=(0.1 * INCH, 2 * INCH), fail_above=(2 * INCH, 6 * INCH),
    ),
    *edges(
        "lock-size", "steering", "steering.lock_angle", "steering.lock_angle",
        warn_below=(26 * DEGREE, 15 * DEGREE), fail_below=(15 * DEGREE, 8 * DEGREE),
        warn_above=(26 * DEGREE, 45 * DEGREE), fail_above=(45 * DEGREE, 55 * DEGREE),
    ),
    *edges(
        "tube-stress", "axle tube", "axle.tube.outside_diameter", "axle.tube.outside_diameter",
        warn_above=(3 * INCH, 2.2 * INCH), fail_above=(2.3 * INCH, 1.5 * INCH),
    ),
    *edges(
        "scrub-radius", both("kingpin"), KINGPIN, f"{KINGPIN}.y",
        warn_below=(28.5 * INCH, 33 * INCH), fail_below=(33 * INCH, 36 * INCH),
        warn_above=(28.5 * INCH, 25 * INCH), fail_above=(25 * INCH, 20 * INCH),
    ),
]  # fmt: skip


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(axle_setting, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(axle_setting, EDGES, [])


def test_a_rear_axle_is_a_wheelbase_behind_and_has_no_caster() -> None:
    found = {each.quantity: each for each in all_readings(axle_setting, example("four-link-rear.buildcheck.yaml"))}
    assert {each.verdict for each in found.values()} == {Verdict.OK}
    assert "caster-size" not in found
    away = example("four-link-rear.buildcheck.yaml").with_value("vehicle.wheelbase", 110 * INCH)
    data = away.with_value("axle.centre", away.axle.tube.left_end._replace(y=0.0))
    (reading,) = [each for each in all_readings(axle_setting, data) if each.quantity == "axle-place"]
    assert reading.value == pytest.approx(4 * INCH)


def test_a_tape_reads_the_toe_in_of_a_tyre() -> None:
    """Across a tyre of 35 in, 0.1 deg is 35 tan 0.1 deg."""
    data = example_data() | {}
    data["axle"] |= {"toe_in": 0.1, "toe_in_by_tape": 0}
    (reading,) = [each for each in all_readings(axle_setting, read_build(data)) if each.quantity == "toe-by-tape-off"]
    assert reading.value == pytest.approx(35 * INCH * math.tan(math.radians(0.1)), rel=1e-12)


def test_the_scrub_radius_is_that_of_the_drawing() -> None:
    """Half the track, less the kingpin, less what its lean adds down to the floor."""
    found = [each for each in all_readings(axle_setting, example()) if each.quantity == "scrub-radius"]
    by_hand = (67 / 2 - 28.5 - 16.6 * math.tan(math.radians(8.5))) * INCH
    assert [each.value for each in found] == pytest.approx([by_hand, by_hand], rel=1e-12)


def test_a_tube_that_leans_has_its_centre_on_its_line() -> None:
    build = example().with_value("axle.tube.left_end.z", 17.6 * INCH).with_value("axle.tube.right_end.z", 15.6 * INCH)
    (reading,) = [each for each in all_readings(axle_setting, build) if each.quantity == "centre-on-tube"]
    assert reading.value == pytest.approx(0.0, abs=1e-12)


def test_the_stress_of_the_tube_is_that_of_a_beam() -> None:
    """1325 lbf at 33.5 - 21 in, over the section modulus of 3 1/4 in tube with a 1/2 in wall."""
    (reading,) = [each for each in all_readings(axle_setting, example()) if each.quantity == "tube-stress"]
    modulus = math.pi * (3.25**4 - 2.25**4) / 32 / 3.25
    assert reading.value == pytest.approx(1325 * 12.5 / modulus * 6894.757293168361, rel=1e-9)
