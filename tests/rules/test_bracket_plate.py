"""A build that just passes and one that just fails at each limit of bracket-plate."""

import math

import numpy as np
import pytest
from buildcheck_rules.bracket_plate import rule as bracket_plate
from edges import (
    INCH,
    POUND_FORCE,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    one_of_each_bound,
    readings_of,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Job
from buildcheck.spec.written import REMOVED
from buildcheck.strength.metals import STEEL_MODULUS

PSI = 6894.757293168361
BAR = "attachments.lateral_bar_frame_bracket.left"
BRACKET = "left lateral bar frame bracket"

EDGES = [
    *edges(
        "root",
        BRACKET,
        f"{BAR}.bracket_thickness",
        f"{BAR}.root_width",
        base={f"{BAR}.brace": REMOVED},
        warn_above=(15 * INCH, 3 * INCH),
        fail_above=(15 * INCH, 3 * INCH),
    ),
    *edges(
        "buckling",
        BRACKET,
        f"{BAR}.bracket_thickness",
        f"{BAR}.bracket_thickness",
        base={f"{BAR}.gussets": REMOVED},
        warn_above=(INCH, INCH / 16),
        fail_above=(INCH, INCH / 16),
    ),
    *edges(
        "hole",
        BRACKET,
        f"{BAR}.hole_edge",
        f"{BAR}.hole_edge",
        warn_above=(1.75 * INCH, 0.5 * INCH),
        fail_above=(1.75 * INCH, 0.5 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(bracket_plate, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(bracket_plate, EDGES, [])


def found(changes: dict[str, object], quantity: str = "root", lost: str = "") -> Reading:
    data = with_data(example_data(), changes)
    if lost:
        del data["attachments"]["lateral_bar_frame_bracket"]["left"][lost]
    readings = all_readings(bracket_plate, read_build(data))
    return next(each for each in readings if each.subject == BRACKET and each.quantity in (quantity, ""))


def value(changes: dict[str, object], quantity: str = "root") -> float:
    number = found(changes, quantity).value
    assert number is not None
    return number


@pytest.mark.parametrize(
    "lost", ["height", "plates", "root_width", "bracket_yield_strength", "bracket_thickness", "normal"]
)
def test_what_is_not_stated_is_named(lost: str) -> None:
    reading = found({}, lost=lost)
    assert (reading.verdict, reading.missing[0]) == (Verdict.NOT_CHECKED, f"{BAR}.{lost}")


def test_plates_lie_square_to_the_bolt_of_their_joint() -> None:
    """A bar across the vehicle bends plates that its bolt goes through fore and aft in their plane, and plates that its
    bolt goes through across, over their flat, by b / t as much; gussets take only the latter."""
    free = {f"{BAR}.brace": REMOVED, f"{BAR}.design_load": "20000 lbf"}
    in_plane = {**free, "lateral_bar.joints.frame.axis": [1, 0, 0]}
    over_flat = {**free, "lateral_bar.joints.frame.axis": [0, 1, 0]}
    bare = {f"{BAR}.gussets": REMOVED}
    assert value(in_plane) <= value({**in_plane, **bare}) < 2 * value(in_plane)
    assert value({**over_flat, **bare}) > 10 * value({**in_plane, **bare})
    assert value(over_flat) < 0.2 * value(in_plane)


def test_gussets_hold_the_plates_as_far_up_as_they_reach() -> None:
    """The moment across the plates of one joint falls evenly from the foot to the joint, 7 3/4 in away; lower down
    another load may be the worst."""
    over_flat = {f"{BAR}.brace": REMOVED, "lateral_bar.joints.frame.axis": [0, 1, 0]}
    bare, low, middle, high = (
        value({**over_flat, **each})
        for each in (
            {f"{BAR}.gussets": REMOVED},
            *({f"{BAR}.gussets.height": share * 7.75} for share in (0.25, 0.5, 1)),
        )
    )
    assert low - middle == pytest.approx((bare - high) / 4, rel=0.005)
    assert middle - high == pytest.approx((bare - high) / 2, rel=0.005)
    assert high < 0.1 * bare


def test_gussets_below_one_of_two_joints_hold_nothing_across() -> None:
    """The two axle joints of an arm may pull against each other, so that the moment does not fall between them."""
    arm = "attachments.arm_axle_bracket.left"

    def at_root(changes: dict[str, object]) -> float:
        readings = all_readings(bracket_plate, read_build(with_data(example_data(), changes)))
        (number,) = (
            each.value for each in readings if (each.subject, each.quantity) == ("left arm axle bracket", "root")
        )
        assert number is not None
        return number

    over_flat = {"links.arm.left.joints.axle_upper.axis": [0, 0, 1], f"{arm}.normal": [1, 0, 0]}
    bare = at_root({**over_flat, f"{arm}.gussets": REMOVED})
    assert at_root({**over_flat, f"{arm}.gussets.height": 2.9}) == pytest.approx(bare, rel=1e-9)
    assert at_root({**over_flat, f"{arm}.gussets.height": 3.1}) < 0.9 * bare


def test_a_brace_takes_the_sideways_part() -> None:
    assert value({}) < 0.3 * value({f"{BAR}.brace": REMOVED})


def test_the_stress_at_the_root_is_that_of_hand_work() -> None:
    """20 000 lbf along the bar, 7 3/4 in below the rail; two plates of 5 by 1/4 in, of 36 ksi."""
    reading = value({f"{BAR}.brace": REMOVED, f"{BAR}.design_load": "20000 lbf"})
    job = Job(read_build(example_data()))
    row = next(row for row in job.loads.table.joints if (row.label, row.joint) == ("lateral bar", "frame"))
    across = max(abs(y) / np.linalg.norm((x, y, z)) for x, y, z in row.forces if abs(y) > 1)
    stress = 6 * 20000 * across * 7.75 / (2 * 0.25 * 5**2) + 3**0.5 * 20000 / (2 * 0.25 * 5)
    assert reading == pytest.approx(stress / 36000, rel=0.02)


FREE = {f"{BAR}.brace": REMOVED, f"{BAR}.gussets": REMOVED, f"{BAR}.design_load": "20000 lbf"}


def test_bare_plates_tip_over_as_flat_bars_do_and_a_push_adds_to_that() -> None:
    """20 000 lbf along the bar, 7 3/4 in below the rail, on two plates of 5 by 1/4 in; E of 30 Mpsi."""
    job = Job(read_build(example_data()))
    row = next(row for row in job.loads.table.joints if (row.label, row.joint) == ("lateral bar", "frame"))
    modulus = STEEL_MODULUS / PSI
    column = math.pi**2 * modulus * (5 * 0.25**3 / 12) / (4 * 7.75**2)
    shares = []
    for x, y, z in row.forces:
        size = math.sqrt(x * x + y * y + z * z)
        if size > 1:  # the foot is above: what goes up pushes the plates
            moment, push = 20000 * abs(y) / size * 7.75 / 2, 20000 * max(z, 0.0) / size / 2
            shares.append(moment / (1.9 * modulus * 0.25**3 * 5 / (6 * 7.75)) + push / column)
    assert value(FREE, "buckling") == pytest.approx(max(shares), rel=0.02)


def test_a_push_that_goes_straight_down_a_plate_buckles_it_as_a_column() -> None:
    """The load of a strap's bracket goes along the strap, which stands nearly straight up."""
    strap = "attachments.strap_axle_bracket"
    changes = {f"{strap}.both.gussets": REMOVED, f"{strap}.both.normal": [0, 0, -1]}
    pushed, pulled = (
        at(f"{side} strap axle bracket", {**changes, f"{strap}.both.normal": [0, 0, up]})
        for side, up in (("left", -1), ("left", 1))
    )
    assert pushed > pulled > 0


def test_gussets_take_the_length_that_buckles() -> None:
    low, high = (value({**FREE, f"{BAR}.gussets": gussets(height)}, "buckling") for height in (4, 7.75))
    assert value(FREE, "buckling") > 2 * low > 4 * high


def test_plates_between_the_sides_of_a_box_hold_more_than_beside_gussets() -> None:
    box, triangle = (value({**FREE, f"{BAR}.gussets": gussets(8, kind)}, "buckling") for kind in ("box", "triangle"))
    assert 0 < box < triangle / 4


def test_plates_of_aluminium_are_left_to_someone_qualified() -> None:
    reading = found({**FREE, f"{BAR}.bracket_material": "aluminium"}, "buckling")
    assert reading.verdict is Verdict.NOT_CHECKED
    assert "aluminium: its buckling is to be worked out by someone qualified" in (reading.reason or "")


def test_the_change_for_plates_that_buckle_is_higher_gussets_or_thicker_plates() -> None:
    thin = {**FREE, f"{BAR}.bracket_thickness": "3/16 in"}
    bare = found(thin, "buckling").cure
    low = found({**thin, f"{BAR}.gussets": gussets(1)}, "buckling").cure
    assert bare is not None
    assert low is not None
    assert (bare.words, low.words) == (
        "make the plates {amount} thick",
        "let the gussets reach {amount} up the plates",
    )


def gussets(height: float, kind: str = "box") -> dict[str, object]:
    return {"kind": kind, "count": 2, "thickness": "1/4 in", "width": 2, "height": height, "weld_leg": "1/4 in"}


def at(subject: str, changes: dict[str, object], quantity: str = "buckling") -> float:
    readings = all_readings(bracket_plate, read_build(with_data(example_data(), changes)))
    (number,) = (each.value for each in readings if (each.subject, each.quantity) == (subject, quantity))
    assert number is not None
    return number


def test_the_hole_is_that_of_hand_work() -> None:
    """Bearing of a 3/4 in bolt in two plates of 1/4 in, 1.8 x 36 ksi; nearer the edge it tears out at 1.2 F t e."""
    job = Job(read_build(example_data()))
    load = job.loads.at_joint(job.build.lateral_bar, "frame").value / POUND_FORCE
    assert value({}, "hole") == pytest.approx(load / (2 * 1.8 * 36000 * 0.75 * 0.25))
    near = found({f"{BAR}.hole_edge": 0.9}, "hole")
    assert near.value == pytest.approx(load / (2 * min(1.2 * 0.9, 2 * (0.9 - 0.375)) * 36000 * 0.25))
    assert "tears" in near.effect


def test_a_pad_for_a_bump_stop_is_no_plate_with_a_joint() -> None:
    readings = all_readings(bracket_plate, read_build(example_data()))
    assert not {each.quantity for each in readings if each.subject == "left stop axle pad"} & {"root", "hole"}


def test_a_bracket_that_holds_what_is_not_there_is_not_checked() -> None:
    reading = found({f"{BAR}.holds": "links.no_such"})
    assert (reading.verdict, reading.reason) == (Verdict.NOT_CHECKED, "no load is known of links.no_such")


def test_a_hole_that_reaches_the_edge_is_an_error_and_no_failure() -> None:
    """Nothing is left beside a hole whose edge is nearer than half of its bolt."""
    data = with_data(example_data(), {"attachments.arm_frame_bracket.both.hole_edge": "3/8 in"})
    found = [
        each
        for each in all_readings(bracket_plate, read_build(data))
        if each.subject.endswith("arm frame bracket") and (each.quantity == "hole" or each.failure)
    ]
    assert [(each.verdict, each.value, each.failure) for each in found] == [(Verdict.ERROR, 10.0, "")] * 2


def test_gussets_that_reach_the_joint_but_for_rounding_reach_it() -> None:
    """Heights that are one in inches are some 1e-17 m apart in millimetres."""
    build = example().with_value(f"{BAR}.gussets.height", example().value(f"{BAR}.height"))
    less = build.with_value(f"{BAR}.gussets.height", build.value(f"{BAR}.height") - 1e-12)
    (whole,), (rounded,) = (readings_of(bracket_plate, each, "buckling", BRACKET) for each in (build, less))
    assert rounded.value == pytest.approx(whole.value, rel=1e-9)
