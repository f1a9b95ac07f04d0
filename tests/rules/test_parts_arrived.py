"""A build that just passes and one that just fails at each limit of parts-arrived."""

from typing import Any

import pytest
from buildcheck_rules.parts_arrived import rule as parts_arrived
from edges import Edge, Need, all_readings, check_complete, check_edge, check_need, edges, example_data, with_data

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict


def packed(**given: Any) -> dict[str, Any]:
    return {"parts": {"coilover": {"ordered": 2, "arrived": 2, "inspected": True} | given}}


SUBJECT = "coilover"
EDGES = [
    *edges(
        "ordered-enough", SUBJECT, "parts.coilover.ordered", "parts.coilover.ordered", base=packed(arrived=1),
        fail_below=(3.0, 1.0),
    ),
    *edges(
        "ordered-too-many", SUBJECT, "parts.coilover.ordered", "parts.coilover.ordered", base=packed(),
        warn_above=(3.0, 7.0),
    ),
    *edges(
        "more-than-ordered", SUBJECT, "parts.coilover.arrived", "parts.coilover.arrived", base=packed(),
        warn_above=(1.0, 4.0),
    ),
]  # fmt: skip
NEEDS = [
    Need(
        "well-named",
        "brake lne",
        met={"parts": {"brake_lne": {"ordered": 2, "arrived": 2, "inspected": True}}, "brake_lines": {}},
        not_met={"parts": {"brake_lne": {"ordered": 2, "arrived": 2, "inspected": True}}},
        finds=(("brake lne", "well-named", "parts.brake_lne"),),
    ),
    Need(
        "as-ordered",
        SUBJECT,
        met=packed(),
        not_met=packed(arrived=1),
        finds=((SUBJECT, "as-ordered", "parts.coilover.arrived"),),
    ),
    Need(
        "inspected",
        SUBJECT,
        met=packed(),
        not_met=packed(inspected=False),
        finds=((SUBJECT, "inspected", "parts.coilover.inspected"),),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(parts_arrived, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(parts_arrived, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(parts_arrived, EDGES, NEEDS)


@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("radius_arm", 2), ("arm", 2), ("arms", 2), ("coilovers", 2), ("limit_strap", 2), ("strap", 2),
        ("bump_stop", 2), ("brake_line", 2), ("lateral_bar", 1), ("driveshaft", 1), ("box_of_bolts", None),
    ],
)  # fmt: skip
def test_a_name_of_the_packing_list_finds_what_the_spec_fits(name: str, number: int | None) -> None:
    part = {"ordered": 1, "arrived": 1, "inspected": True}
    found = all_readings(parts_arrived, read_build(with_data(example_data(), {"parts": {name: part}})))
    shares = [each.value for each in found if each.quantity == "ordered-enough"]
    assert shares == ([] if number is None else [1 / number])


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("coilovr", "coilover"), ("coil_over", "coilover"), ("radus_arms", "radius arm"), ("limit_strp", "limit strap"),
        ("drive_shaft", "driveshaft"), ("coilover", ""), ("coilover_bolts", ""), ("drag_link", ""), ("brake_hose", ""),
        ("seal_kit", ""), ("upper_link", ""),
    ],
)  # fmt: skip
def test_a_slip_of_the_pen_is_named_with_what_is_meant(name: str, meant: str) -> None:
    part = {"ordered": 2, "arrived": 2, "inspected": True}
    found = all_readings(parts_arrived, read_build(with_data(example_data(), {"parts": {name: part}})))
    (reading,) = (each for each in found if each.quantity == "well-named")
    assert (reading.verdict is Verdict.WARNING) is bool(meant)
    assert not meant or reading.found.endswith(f'did you mean "{meant}"?')


def test_a_spec_without_a_packing_list_is_not_checked() -> None:
    data = example_data()
    del data["parts"]
    assert {each.verdict for each in all_readings(parts_arrived, read_build(data))} == {Verdict.NOT_CHECKED}
