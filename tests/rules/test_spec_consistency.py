"""A build that just passes and one that just fails at each limit of spec-consistency."""

from typing import Any

import pytest
from buildcheck_rules.spec_consistency import rule as spec_consistency
from edges import (
    INCH,
    Edge,
    Need,
    all_readings,
    both,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict

IN = INCH
STATIC = "vehicle.tyre.static_radius"
# Without the centre's height, that of the tyre may be turned by itself.
NO_HEIGHT = {"axle": {"position": "front"}}

EDGES = [
    *edges(
        "axle-height",
        "axle",
        "axle.centre",
        "axle.centre.z",
        warn_above=(16.6 * IN, 17.5 * IN),
        fail_above=(17.2 * IN, 20 * IN),
    ),
    *(
        edge
        for subjects, longer, shorter, start in (
            (
                both("coilover"),
                "coilovers.coilover.both.extended_length",
                "coilovers.coilover.both.compressed_length",
                21.5,
            ),
            (both("bump stop"), "bump_stops.stop.both.free_length", "bump_stops.stop.both.crushed_length", 1.75),
            ("driveshaft", "driveshaft.longest_length", "driveshaft.shortest_length", 30.5),
        )
        for edge in edges(
            "stroke",
            subjects,
            longer,
            shorter,
            warn_below=(start * IN, (start + 15) * IN),
            fail_below=(start * IN, (start + 15) * IN),
        )
    ),
    *edges(
        "loaded-radius",
        "vehicle tyre",
        STATIC,
        STATIC,
        base=NO_HEIGHT,
        warn_below=(16.6 * IN, 14 * IN),
        fail_below=(14 * IN, 11 * IN),
        warn_above=(16.6 * IN, 17.45 * IN),
        fail_above=(17.45 * IN, 17.6 * IN),
    ),
    *edges(
        "stroke",
        both("coilover spring 1"),
        "coilovers.coilover.both.springs[0].free_length",
        "coilovers.coilover.both.springs[0].solid_length",
        warn_below=(5 * IN, 13.5 * IN),
        fail_below=(5 * IN, 13.99 * IN),
    ),
    *edges(
        "wall",
        "lateral bar tube",
        "lateral_bar.tube.wall",
        "lateral_bar.tube.wall",
        fail_above=(0.25 * IN, 1 * IN),
    ),
    # The drag link ends on the tie rod, which runs level across the truck.
    *edges(
        "off-the-link",
        "steering",
        "steering.drag_link.arm",
        "steering.drag_link.arm.z",
        base={
            "steering.drag_link.ends_on": "tie-rod",
            "steering.drag_link.arm": [7.25, -20, 17.75],
            "steering.tie_rod.left": [7.25, 27, 17.75],
            "steering.tie_rod.right": [7.25, -27, 17.75],
        },
        warn_above=(18 * IN, 19.5 * IN),
        fail_above=(19 * IN, 22 * IN),
    ),
]
WELD = "attachments.arm_axle_bracket.left.weld"
NEEDS = [
    Need(
        "readable",
        "records measured 1",
        met={"records.measured": [{"of": "axle.caster", "value": 6}]},
        not_met={"records.measured": [{"of": "axle.cast", "value": 6}]},
        finds=(("records measured 1", "readable", "records.measured[0].of"),),
    ),
    Need(
        "steered-axle",
        "steering",
        met={},
        not_met={"axle.position": "rear"},
        finds=(("steering", "steered-axle", "steering"),),
    ),
    Need(
        "heat-in-order",
        "left arm axle bracket weld",
        met={f"{WELD}.interpass": "150 degF"},
        not_met={f"{WELD}.interpass": "149 degF"},
        finds=(("left arm axle bracket weld", "heat-in-order", f"{WELD}.interpass"),),
    ),
    # Parts on one side only, with the side in their name, or with the side stated by another key.
    *(
        Need(
            "left-is-left",
            subject,
            met=met,
            not_met=not_met,
            finds=((subject, "left-is-left", place),),
        )
        for subject, met, not_met, place in (
            (
                "left lateral bar frame bracket",
                {"attachments.lateral_bar_frame_bracket.left.point": [5, 0.01, 24]},
                {"attachments.lateral_bar_frame_bracket.left.point": [5, 0, 24]},
                "attachments.lateral_bar_frame_bracket.left.point",
            ),
            (
                "right lateral bar axle bracket",
                {"attachments.lateral_bar_axle_bracket.right.point": [5, -9, 24]},
                {"attachments.lateral_bar_axle_bracket.right.point": [5, 9, 24]},
                "attachments.lateral_bar_axle_bracket.right.point",
            ),
            ("axle tube", {}, {"axle.tube.left_end": [0, -20, 16.6]}, "axle.tube.left_end"),
            ("steering tie rod", {}, {"steering.tie_rod.right": [8.5, 29.7, 14.2]}, "steering.tie_rod.right"),
            ("axle centre section", {}, {"axle.centre_section.where": "left"}, "axle.centre_section.centre"),
            (
                "axle centre section",
                {},
                {"axle.centre_section.centre": [0, 8, 16.6]},
                "axle.centre_section.centre",
            ),
            ("steering pitman arm", {}, {"steering.box_side": "right"}, "steering.pitman_arm.pivot"),
        )
    ),
    Need(
        "left-is-left",
        "left brake line",
        met={},
        not_met={"brake_lines.line.left.axle": [-4.5, -26, 18]},
        finds=(("left brake line", "left-is-left", "brake_lines.line.left.axle"),),
    ),
    Need(
        "left-is-left",
        "right limit strap",
        met={},
        not_met={"limit_straps.strap.right.frame": [-5.5, 14.5, 33]},
        finds=(("right limit strap", "left-is-left", "limit_straps.strap.right.frame"),),
    ),
    Need(
        "knuckle",
        "steering drag link",
        met={},
        not_met={"steering.drag_link.knuckle": "left"},
        finds=(("steering drag link", "knuckle", "steering.drag_link.arm"),),
    ),
    Need(
        "holds",
        "left arm frame bracket",
        met={"attachments.arm_frame_bracket.both.holds": ["links.arm", "brake_lines.line"]},
        not_met={"attachments.arm_frame_bracket.both.holds": ["links.arm", "links.arms"]},
        finds=tuple(
            (subject, "holds", "attachments.arm_frame_bracket.both.holds[1]") for subject in both("arm frame bracket")
        ),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(spec_consistency, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(spec_consistency, need)


def test_a_value_that_is_not_stated_is_not_compared() -> None:
    bare = read_build(
        {"format": 1, "units": "metric", "links": {"lower": {"both": {"kind": "two-point", "frame": [-900, 400, 300]}}}}
    )
    readings = inspect(bare, [spec_consistency]).readings
    assert [(r.subject, r.quantity, r.verdict) for r in readings] == [
        ("left lower link", "left-is-left", Verdict.OK),
        ("right lower link", "left-is-left", Verdict.OK),
    ]


FRAME, AXLE = [-5.5, 14.5, 33], [-5, 14.5, 17]


def strap(left_y: float, right_y: float) -> dict[str, Any]:
    """A limit strap written apart, with both points of each side at one y."""
    return {
        f"limit_straps.strap.{side}.{end}": [x, y, z]
        for side, y in (("left", left_y), ("right", right_y))
        for end, (x, _, z) in (("frame", FRAME), ("axle", AXLE))
    }


AT = "limit_straps.strap"
BRACKET = "attachments.lateral_bar_axle_bracket.right.point"
UNSURE = "change the sign of y, or write the other side"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({f"{AT}.both.axle": [-5, -14.5, 17]}, {f"change the sign of y of {AT}.both.axle"}),
        (
            {f"{AT}.both.frame": [-5.5, -14.5, 33], f"{AT}.both.axle": [-5, -14.5, 17]},
            {f"change the sign of y of {AT}.both.frame and {AT}.both.axle"},
        ),
        (strap(14.5, 14.5), {f"change the sign of y of {AT}.right.frame and {AT}.right.axle"}),
        (
            strap(-14.5, 14.5),
            {f"exchange the points of {AT}.left and {AT}.right"},
        ),
        ({"axle.tube.left_end": [0, -20, 16.6]}, {"change the sign of y of axle.tube.left_end"}),
        # Here the side may be what is wrong, and where y is zero no sign mends it.
        ({BRACKET: [5, 9, 24]}, {UNSURE}),
        ({"axle.centre_section.where": "left"}, {UNSURE}),
        ({"steering.box_side": "right"}, {UNSURE}),
        ({f"{AT}.both.axle": [-5, 0, 17]}, {UNSURE}),
    ],
)
def test_a_point_on_the_wrong_side_names_the_typing_error_where_there_is_only_one(
    change: dict[str, Any], words: set[str]
) -> None:
    found = all_readings(spec_consistency, read_build(with_data(example_data(), change)))
    broken = [each for each in found if each.verdict is not Verdict.OK]
    assert {each.quantity for each in broken} == {"left-is-left"}
    assert {each.cure.words for each in broken if each.cure} == words


def test_a_bracket_without_a_point_is_on_no_side() -> None:
    build = read_build(with_data(example_data(), {}))
    found = [each.subject for each in all_readings(spec_consistency, build) if each.quantity == "left-is-left"]
    assert "left arm axle bracket" in found
    assert "left strap axle bracket" not in found


def test_every_limit_has_its_edges() -> None:
    # It is not checked where it is not so, which leaves no reading of its own: see testing/test_shop_fields.py.
    shop_fields = Need("shop-fields", "whole build", met={}, not_met={}, finds=())
    check_complete(spec_consistency, EDGES, [*NEEDS, shop_fields])


STABILISER = {"fixed": [8, 2, 18], "fixed_to": "axle", "moving": [8.5, 14, 14.2], "steadies": "tie-rod"}


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (
            {"steering.stabiliser": {**STABILISER, "extended_length": 12, "compressed_length": 18}},
            ("stroke", "steering.stabiliser.extended_length"),
        ),
        ({"steering.tie_rod.tube.wall": 0.7}, ("wall", "steering.tie_rod.tube.wall")),
        ({"steering.drag_link.tube.wall": 0.7}, ("wall", "steering.drag_link.tube.wall")),
        (
            {"links.arm.left.section": {"shape": "rectangular-tube", "height": 3, "width": 2, "wall": 1.1}},
            ("wall", "links.arm.left.section.wall"),
        ),
    ],
)
def test_other_lengths_and_walls(change: dict[str, Any], found: tuple[str, str]) -> None:
    build = read_build(with_data(example_data(), change))
    listed = [
        (each.quantity, each.place) for each in all_readings(spec_consistency, build) if each.verdict is not Verdict.OK
    ]
    assert listed == [found]


@pytest.mark.parametrize(
    ("measured", "says"),
    [
        (
            {"of": "links.arm.left.fram", "value": [0, 0, 0]},
            'the spec has no links.arm.left.fram: there is no entry of links.arm.left "fram"; did you mean "frame"?',
        ),
        (
            {"of": "link.arm", "value": 3},
            'the spec has no link.arm: there is no section "link"; here it is called "links"',
        ),
        (
            {"of": "links.arm.centre.frame", "value": 3},
            'the spec has no links.arm.centre.frame: there is no entry of links.arm "centre"; there are both',
        ),
        ({"of": "axle", "value": 3}, "axle is neither a point nor an amount that can be measured"),
        ({"of": "axle.driven", "value": 3}, "axle.driven is neither a point nor an amount that can be measured"),
        ({"of": "lateral_bar.frame", "value": 3}, "lateral_bar.frame is a point, and 3 is not; write [x, y, z]"),
        ({"of": "axle.caster", "value": "3 in"}, "what was measured of axle.caster is no angle: "),
        ({"of": "axle.caster", "value": 6, "tolerance": "a bit"}, "what was measured of axle.caster is no angle: "),
        ({"of": "axle.caster", "value": 95}, "the value measured of axle.caster is too far from the spec's"),
        (
            {"of": "axle.caster", "value": 6, "tolerance": -2},
            "the tolerance of what was measured of axle.caster is that",
        ),
        (
            {"of": "lateral_bar.frame.z", "value": 22, "tolerance": "3 in"},
            "the tolerance of what was measured of lateral",
        ),
    ],
)
def test_an_unreadable_measurement_says_why(measured: dict[str, Any], says: str) -> None:
    data = example_data()
    data["records"]["measured"] = [measured]
    (found,) = [each for each in all_readings(spec_consistency, read_build(data)) if each.quantity == "readable"]
    assert found.verdict is Verdict.ERROR
    assert found.place == "records.measured[0].of"
    assert found.found.startswith(says)


@pytest.mark.parametrize(
    ("holds", "says"),
    [
        ("links.arm", ""),
        ("links.arm.left", ""),
        ("links.arm.both", ""),
        ("lateral_bar", ""),
        ("steering.drag_link", ""),
        ("coilovers.coilover", ""),
        ("links.arm.right", "links.arm.right is not on the same side as the left arm axle bracket"),
        ("links", "links is not a part that a bracket can hold"),
        ("vehicle", "vehicle is not a part that a bracket can hold"),
        ("steering", "steering is not a part that a bracket can hold"),
        ("lateral_bar.tube", "lateral_bar.tube is not a part that a bracket can hold"),
        ("links.leg", "links.leg is not in the spec"),
    ],
)
def test_a_bracket_holds_a_part_on_its_own_side(holds: str, says: str) -> None:
    data = example_data()
    data["attachments"]["arm_axle_bracket"]["left"]["holds"] = holds
    at = "attachments.arm_axle_bracket.left.holds"
    found = [each for each in all_readings(spec_consistency, read_build(data)) if each.place == at]
    assert [(each.verdict, each.found) for each in found] == (
        [(Verdict.ERROR, says)] if says else [(Verdict.OK, "in the spec")]
    )
