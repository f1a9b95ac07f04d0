"""A build that just passes and one that just fails at each limit of link-strength."""

import pytest
from buildcheck_rules.link_strength import rule as link_strength
from edges import (
    INCH,
    POUND_FORCE,
    THREE_LINK,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    one_of_each_bound,
)

from buildcheck.build import read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.testing import changed as with_data

KSI = 6894757.293168361
RATING = "links.arm.left.joints.frame.load_rating"
YIELD = "links.arm.left.tube.yield_strength"
STRAP = "limit_straps.strap.left.load_rating"

EDGES = [
    # The two sides carry slightly different loads, so each edge is reached on one of them.
    *edges(
        "joint-load",
        "left arm",
        RATING,
        RATING,
        base={RATING: "28000 lbf"},
        warn_above=(28000 * POUND_FORCE, 6000 * POUND_FORCE),
        fail_above=(28000 * POUND_FORCE, 5000 * POUND_FORCE),
    ),
    *edges(
        "stress",
        "left arm",
        YIELD,
        YIELD,
        base={YIELD: "65 ksi"},
        warn_above=(65 * KSI, 50 * KSI),
        fail_above=(65 * KSI, 40 * KSI),
    ),
    *edges(
        "buckling",
        "lateral bar",
        "lateral_bar.tube",
        "lateral_bar.tube.outside_diameter",
        base={"lateral_bar.tube.wall": 0.1},
        warn_above=(1.5 * INCH, 0.3 * INCH),
        fail_above=(1.5 * INCH, 0.3 * INCH),
    ),
    *edges(
        "buckling",
        "right upper link",
        "links.upper.right.tube",
        "links.upper.right.tube.outside_diameter",
        build=THREE_LINK,
        base={"links.upper.right.tube.wall": 3},
        warn_above=(0.045, 0.012),
        fail_above=(0.045, 0.012),
    ),
    *edges(
        "strap-load",
        "left limit strap",
        STRAP,
        STRAP,
        base={STRAP: "6000 lbf"},
        warn_above=(6000 * POUND_FORCE, 2000 * POUND_FORCE),
        fail_above=(6000 * POUND_FORCE, 1000 * POUND_FORCE),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(link_strength, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(link_strength, EDGES, [])


def test_a_joint_without_a_rating_is_named_and_the_others_are_checked() -> None:
    data = example_data()
    del data["links"]["arm"]["both"]["joints"]["axle_upper"]["load_rating"]
    readings = [each for each in all_readings(link_strength, read_build(data)) if each.subject == "left arm"]
    missing = [each.missing for each in readings if each.missing]
    assert missing == [("links.arm.both.joints.axle_upper.load_rating",)]
    held = [each.place for each in readings if each.quantity == "joint-load"]
    assert held == [f"links.arm.both.joints.{name}.load_rating" for name in ("frame", "axle_lower")]


def test_without_masses_no_strength_is_checked() -> None:
    data = example_data()
    del data["vehicle"]["unsprung_mass"]
    readings = all_readings(link_strength, read_build(data))
    assert {each.verdict for each in readings} == {Verdict.NOT_CHECKED}
    assert {each.missing for each in readings} == {("vehicle.unsprung_mass",)}


def test_a_finding_names_the_joint_and_the_case() -> None:
    changed = {RATING: "500 lbf", YIELD: "20 ksi", "lateral_bar.tube": {"outside_diameter": 0.3, "wall": 0.1}}
    changed |= {"lateral_bar.tube.material": "carbon-steel", "lateral_bar.tube.yield_strength": "60 ksi"}
    readings = all_readings(link_strength, read_build(with_data(example_data(), changed)))
    found = [
        (each.subject, each.of, each.quantity, each.case, each.effect)
        for each in readings
        if each.verdict is Verdict.ERROR
    ]
    assert found == [
        (
            "left arm",
            "frame joint",
            "joint-load",
            "in the load case one wheel at a ledge",
            "its race spreads, or the bond of its bushing breaks",
        ),
        (
            "left arm",
            "",
            "stress",
            "in the load case one bump stop hit",
            "it stays bent, and the axle is no longer square",
        ),
        (
            "lateral bar",
            "",
            "stress",
            "in the load case one wheel at a kerb",
            "it stays bent, and the axle is no longer square",
        ),
        (
            "lateral bar",
            "",
            "buckling",
            "in the load case one wheel at a kerb",
            "it folds at once, without a warning",
        ),
    ]


def test_a_stated_modulus_counts_for_buckling() -> None:
    """A slender bar buckles by Euler, in proportion to its modulus; 200 GPa where none is stated."""
    thin = {"lateral_bar.tube.outside_diameter": 0.6, "lateral_bar.tube.wall": 0.1}
    shares = []
    for stated in ({}, {"lateral_bar.tube.youngs_modulus": "14500 ksi"}):
        readings = all_readings(link_strength, read_build(with_data(example_data(), {**thin, **stated})))
        (share,) = [each.value for each in readings if (each.subject, each.quantity) == ("lateral bar", "buckling")]
        shares.append(share)
    assert shares[1] == pytest.approx(2 * shares[0])


def test_a_build_without_a_bar_is_asked_nothing_of_one() -> None:
    data = example_data(THREE_LINK)
    readings = all_readings(link_strength, read_build(data))
    assert "lateral bar" in {each.subject for each in readings}
    readings = all_readings(link_strength, example("four-link-rear.buildcheck.yaml"))
    assert {each.subject for each in readings} == {
        *(f"{side} {name}" for side in ("left", "right") for name in ("lower link", "upper link", "limit strap"))
    }


@pytest.mark.parametrize(
    ("left_out", "named"),
    [
        ("axle.final_drive_ratio", "2 of 17 load cases are missing, driving and driving in reverse"),
        (
            "vehicle.brake_share",
            "3 of 17 load cases are missing, braking, braking in a left bend and braking in a right bend",
        ),
    ],
)
def test_an_error_that_leaves_out_a_case_names_the_case_and_the_field(left_out: str, named: str) -> None:
    data = with_data(example_data(), {"links.arm.both.tube.wall": "1/4 in"})
    section, key = left_out.split(".")
    del data[section][key]
    errors = [each for each in all_readings(link_strength, read_build(data)) if each.verdict is Verdict.ERROR]
    assert errors
    for each in errors:
        assert each.without == (f"{named}: the spec lacks {left_out}",)
        assert each.effect.endswith(each.without[0])
        assert each.cure is not None
        assert each.cure.amount is not None


@pytest.mark.parametrize(
    ("left_out", "cases"),
    [
        ("axle.final_drive_ratio", ["driving", "driving in reverse"]),
        ("vehicle.brake_share", ["braking", "braking in a left bend", "braking in a right bend"]),
    ],
)
def test_with_one_case_not_computed_a_part_is_not_checked_and_shows_the_value_of_the_others(
    left_out: str, cases: list[str]
) -> None:
    data = example_data()
    section, key = left_out.split(".")
    del data[section][key]
    readings = all_readings(link_strength, read_build(data))
    # A strap bears the axle that hangs on it, and no other case.
    assert {(each.quantity == "strap-load", each.verdict, each.missing) for each in readings} == {
        (True, Verdict.OK, ()),
        (False, Verdict.NOT_CHECKED, (left_out,)),
    }
    whole = all_readings(link_strength, example())
    held = [(each.subject, each.of, each.quantity, each.place) for each in readings]
    assert held == [(each.subject, each.of, each.quantity, each.place) for each in whole]
    assert all(
        one.value is not None and one.value <= (other.value or 0.0) for one, other in zip(readings, whole, strict=True)
    )
    assert not any(each.effect and case in each.effect for each in readings for case in cases if each.quantity)


@pytest.mark.parametrize("material", ["gray-iron", "aluminium"])
def test_the_stress_of_a_link_that_is_not_of_steel_is_not_checked(material: str) -> None:
    changes = {"links.arm.both.tube.material": material, "links.arm.both.tube.yield_strength": "435 ksi"}
    readings = all_readings(link_strength, read_build(with_data(example_data(), changes)))
    assert {each.subject for each in readings if each.quantity == "stress"} == {"lateral bar"}
    reasons = {each.subject: each.reason for each in readings if each.verdict is Verdict.NOT_CHECKED}
    assert set(reasons) == {"left arm", "right arm"}
    assert f"the left arm is of {material.replace('-', ' ')}" in reasons["left arm"]


def test_no_change_leaves_the_range_of_its_field() -> None:
    """From 1500 lbf, a rating of -100 lbf would pass a share of it; no rating below 1 kN may be stated at all."""
    changed = with_data(example_data(), {"lateral_bar.joints.axle.load_rating": "1500 lbf"})
    found = inspect(read_build(changed), [link_strength]).readings
    (reading,) = [each for each in found if each.quantity == "joint-load" and each.verdict is Verdict.ERROR]
    assert reading.cure is not None
    assert (reading.cure.amount, reading.cure.words) == (None, "fit a joint with a higher rating")
