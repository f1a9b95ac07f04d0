"""The loads of a whole build, against the six equations of equilibrium written out by hand from its numbers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from buildcheck.build import Build, Missing, read_build
from buildcheck.job import Job, Unreached
from buildcheck.job.load_table import LoadCase
from buildcheck.spec.document import read_file

EXAMPLES = Path(__file__).parents[2] / "examples"
G = 9.80665


def example(name: str) -> Build:
    return read_build(read_file(EXAMPLES / f"{name}.buildcheck.yaml").data)


# Three-link of the metric example in metres: axle end, frame end. Copied from the file, not read by the tool.
MEMBERS = {
    "left lower link": ((0.030, 0.430, 0.320), (-0.870, 0.405, 0.370)),
    "right lower link": ((0.030, -0.430, 0.320), (-0.870, -0.405, 0.370)),
    "right upper link": ((-0.030, -0.185, 0.555), (-0.640, -0.200, 0.585)),
    "lateral bar": ((0.100, -0.420, 0.482), (0.110, 0.410, 0.545)),
    "left coilover": ((-0.060, 0.540, 0.420), (-0.030, 0.480, 1.100)),
    "right coilover": ((-0.060, -0.540, 0.420), (-0.030, -0.480, 1.100)),
}
AXLE_LOAD, UNSPRUNG, TOTAL, HEIGHT, WHEELBASE, TRACK, SHARE = 1180.0, 280.0, 2200.0, 0.8, 2.7, 1.70, 0.66


def by_hand(forces: list[tuple[tuple[float, float, float], tuple[float, float, float]]]) -> dict[str, float]:
    """Member forces that balance forces (point, vector), from six equations about the origin of the vehicle's axes."""
    columns = []
    for axle, frame in MEMBERS.values():
        line = np.subtract(frame, axle) / np.linalg.norm(np.subtract(frame, axle))
        columns.append(np.concatenate([line, np.cross(axle, line)]))
    load = np.sum([np.concatenate([vector, np.cross(point, vector)]) for point, vector in forces], axis=0)
    return dict(zip(MEMBERS, np.linalg.solve(np.array(columns).T, -load), strict=True))


def at_tyres(
    left: tuple[float, float, float], right: tuple[float, float, float], inertia: tuple[float, float, float]
) -> Any:
    """Forces at the two contacts, and the weight and inertia of the axle at its centre, 0.4 m up."""
    return [
        ((0.0, TRACK / 2, 0.0), left),
        ((0.0, -TRACK / 2, 0.0), right),
        ((0.0, 0.0, 0.4), inertia),
    ]


def test_three_cases_of_the_three_link_by_hand() -> None:
    """Free bodies: half of the load on each tyre; brakes on the axle; a bend whose overturning moment the axle takes by
    its share of the mass, tyre forces sharing as their loads do."""
    half = AXLE_LOAD * G / 2
    weight = -UNSPRUNG * G
    brake = SHARE * TOTAL * 0.8 * G
    forward = TOTAL * 0.8 * G * HEIGHT / WHEELBASE / 2
    overturning = AXLE_LOAD / TOTAL * TOTAL * 0.7 * G * HEIGHT / TRACK
    left, right = half - overturning, half + overturning
    wanted = {
        "at rest": by_hand(at_tyres((0, 0, half), (0, 0, half), (0, 0, weight))),
        "braking": by_hand(
            at_tyres((-brake / 2, 0, half + forward), (-brake / 2, 0, half + forward), (UNSPRUNG * 0.8 * G, 0, weight))
        ),
        "left bend": by_hand(
            at_tyres((0, 0.7 * left, left), (0, 0.7 * right, right), (0, -UNSPRUNG * 0.7 * G, weight))
        ),
    }
    table = Job(example("three-link-metric")).loads.table
    names = [case.name for case in table.cases]
    for case, forces in wanted.items():
        column = names.index(case)
        found = {row.label: row.forces[column] for row in table.carried if row.label in MEMBERS}
        assert found == pytest.approx(forces, rel=1e-9, abs=1e-6), case


def test_every_case_and_part_of_a_whole_spec_is_computed() -> None:
    table = Job(example("tamarack/proposal")).loads.table
    assert [case.name for case in table.cases] == [
        "at rest",
        "braking",
        "left bend",
        "right bend",
        "braking in a left bend",
        "braking in a right bend",
        "driving",
        "driving in reverse",
        "one wheel at a ledge",
        "one wheel at a kerb",
        "wheels turned standing",
        "rock strike",
        "bump stops hit",
        "one bump stop hit",
        "hanging",
        "hanging on one strap",
        "articulated",
    ]
    arm = ["frame joint", "upper axle joint", "lower axle joint"]
    assert [(row.label, row.joint) for row in table.carried] == [
        *(("left arm", joint) for joint in arm),
        *(("right arm", joint) for joint in arm),
        ("lateral bar", ""),
        ("left coilover", ""),
        ("right coilover", ""),
        ("left bump stop", ""),
        ("right bump stop", ""),
        ("left limit strap", ""),
        ("right limit strap", ""),
    ]
    assert table.absent == ()
    assert [(row.label, row.joint) for row in table.joints] == [
        *((f"{side} arm", joint) for side in ("left", "right") for joint in ("frame", "axle_upper", "axle_lower")),
        *(
            (label, end)
            for label in (
                "lateral bar",
                *(f"{side} {name}" for name in ("coilover", "bump stop", "limit strap") for side in ("left", "right")),
            )
            for end in ("frame", "axle")
        ),
    ]
    assert [row.label for row in table.corners] == ["left tyre", "right tyre"]
    assert [row.label for row in table.bent] == ["left arm", "right arm", "lateral bar"]
    assert [row.label for row in table.brackets] == [
        "left arm axle bracket",
        "right arm axle bracket",
        "left arm frame bracket",
        "right arm frame bracket",
        *(f"{side} coilover {name}" for name in ("axle bracket", "frame bracket") for side in ("left", "right")),
        "right lateral bar axle bracket",
        "left lateral bar frame bracket",
        *(f"{side} stop {name}" for name in ("axle pad", "frame bracket") for side in ("left", "right")),
        *(f"{side} strap {name}" for name in ("axle bracket", "frame bracket") for side in ("left", "right")),
    ]


def test_the_corners_carry_what_the_truck_weighs_and_shifts() -> None:
    """Half of the axle load each; braking adds m a h / L; a bend shifts m_axle a h / track across."""
    table = Job(example("three-link-metric")).loads.table
    names = [case.name for case in table.cases]
    half = AXLE_LOAD * G / 2
    forward = TOTAL * 0.8 * G * HEIGHT / WHEELBASE / 2
    shift = AXLE_LOAD * 0.7 * G * HEIGHT / TRACK
    # What the tyres hold with the load that is left on them, of a larger torque; this axle brings half of what drives.
    pushed = 0.9 * AXLE_LOAD * G / (1 + 0.9 * HEIGHT / (0.5 * WHEELBASE))
    drive = pushed / 0.5 * HEIGHT / WHEELBASE / 2
    # In reverse the load transfer adds to what this axle's tyres hold, so all tyres of the truck slip before.
    reverse = 0.9 * TOTAL * G * HEIGHT / WHEELBASE / 2
    both = (0.7 * forward + half - 0.7 * shift, 0.7 * forward + half + 0.7 * shift)
    wanted = {
        "at rest": (half, half),
        "braking": (half + forward, half + forward),
        "left bend": (half - shift, half + shift),
        "right bend": (half + shift, half - shift),
        "braking in a left bend": both,
        "braking in a right bend": both[::-1],
        "driving": (half - drive, half - drive),
        "driving in reverse": (half + reverse, half + reverse),
        "one wheel at a ledge": (1.8 * half, 1.8 * half),
        "one wheel at a kerb": (2 * half, 2 * half),
        "wheels turned standing": (half, half),
        "rock strike": (half, half),
        "bump stops hit": (3 * half, 3 * half),
        "one bump stop hit": (3 * half, 3 * half),
        "hanging": (0.0, 0.0),
    }
    found = {name: tuple(row.forces[number] for row in table.corners) for number, name in enumerate(names)}
    assert set(found) == {*wanted, "hanging on one strap"}
    assert all(0.0 < weight < half for weight in found["hanging on one strap"])
    for name, weights in wanted.items():
        assert found[name] == pytest.approx(weights, rel=1e-9, abs=1e-6), name


def test_a_struck_link_bends_and_presses_on_its_joints() -> None:
    """P L / 4 across it; half of the strike on each joint, and the force along the link with it."""
    table = Job(example("three-link-metric")).loads.table
    rock = [case.name for case in table.cases].index("rock strike")
    axle, frame = (np.array(end) for end in MEMBERS["left lower link"])
    push = AXLE_LOAD * G * np.array([-1.0, 0.0, 1.0]) / np.sqrt(2)
    line = (frame - axle) / np.linalg.norm(frame - axle)
    across = np.linalg.norm(push - (push @ line) * line)
    bent = next(row for row in table.bent if row.label == "left lower link")
    moment = across * np.linalg.norm(frame - axle) / 4
    assert bent.moments[rock] == pytest.approx(moment, rel=1e-9)
    assert max(bent.moments[:rock]) == pytest.approx(0.0, abs=1e-9)
    half = AXLE_LOAD * G / 2
    at_rest: Any = at_tyres((0, 0, half), (0, 0, half), (0, 0, -UNSPRUNG * G))
    tension = by_hand([*at_rest, (tuple(axle), tuple(push / 2))])["left lower link"]
    ends = {row.joint: np.array(row.forces[rock]) for row in table.joints if row.label == "left lower link"}
    np.testing.assert_allclose(ends["axle"], push / 2 + tension * line, rtol=1e-9)
    np.testing.assert_allclose(ends["frame"], push / 2 - tension * line, rtol=1e-9)
    halves = [tension + push @ line / 2, tension - push @ line / 2]
    thrust = max(halves, key=abs)
    assert bent.thrusts[rock] == pytest.approx(thrust, rel=1e-9)
    inside = 0.054 - 2 * 0.008
    modulus, area = np.pi * (0.054**4 - inside**4) / 32 / 0.054, np.pi * (0.054**2 - inside**2) / 4
    assert bent.stresses is not None
    assert bent.stresses[rock] == pytest.approx(moment / modulus + abs(thrust) / area, rel=1e-9)


def test_a_bracket_carries_what_its_joints_bring() -> None:
    table = Job(example("tamarack/proposal")).loads.table
    joints = {(row.label, row.joint): np.array(row.forces) for row in table.joints}
    brackets = {row.label: np.array(row.forces) for row in table.brackets}
    np.testing.assert_allclose(brackets["left arm frame bracket"], joints["left arm", "frame"])
    np.testing.assert_allclose(brackets["right lateral bar axle bracket"], joints["lateral bar", "axle"])
    # An arm that nothing strikes is in balance: what its axle bracket feels is what the frame's feels, turned round.
    unstruck = [number for number, case in enumerate(table.cases) if case.name != "rock strike"]
    np.testing.assert_allclose(
        np.linalg.norm(brackets["left arm axle bracket"][unstruck], axis=1),
        np.linalg.norm(brackets["left arm frame bracket"][unstruck], axis=1),
        atol=1e-6,
    )


def test_hanging_straps_carry_the_axle_and_the_springs() -> None:
    """Vertical equilibrium off the ground; the links' slopes take a little."""
    build = example("three-link-metric")
    table = Job(build).loads.table
    column = [case.name for case in table.cases].index("hanging")
    row = {each.label: each.forces[column] for each in table.carried}
    straps, springs = (sum(row[f"{side} {name}"] for side in ("left", "right")) for name in ("limit strap", "coilover"))
    assert springs < 0.0
    assert straps == pytest.approx(UNSPRUNG * G - springs, rel=0.05)


def test_bind_at_full_articulation_comes_on_top_of_the_load_at_rest() -> None:
    """The force at each joint is no more than both, and no less than their difference; the arm bends by its frame
    joint's force on the lever."""
    build = example("tamarack/proposal")
    job = Job(build)
    table, line = job.loads.table, job.lines.articulation
    names = [case.name for case in table.cases]
    rest, bound = names.index("at rest"), names.index("articulated")
    ends = [int(line.picks[0]), int(line.picks[-1])]
    held = {(row.label, row.joint): np.linalg.norm(row.forces, axis=1) for row in table.joints}
    for part in (*build.links["arm"], build.lateral_bar):
        for joint in ("frame", "axle_upper", "axle_lower") if part is not build.lateral_bar else ("frame", "axle"):
            at_rest, both = held[part.label, joint][[rest, bound]]
            bind = job.moving.handling.bind_at(part, joint)[ends].max()
            assert max(at_rest, bind) - min(at_rest, bind) <= both <= at_rest + bind + 1e-6
    assert held["left arm", "axle_lower"][bound] > 4 * held["left arm", "axle_lower"][rest]
    bent = next(row for row in table.bent if row.label == "left arm")
    lever = np.linalg.norm(np.subtract(build.links["arm"].left.frame, (0.0, 17.5 * 0.0254, 16.8 * 0.0254)))
    assert bent.moments[bound] == pytest.approx(held["left arm", "frame"][bound] * lever, rel=0.02)
    springs = [row.forces for row in table.carried if "coilover" in row.label]
    assert all(each[bound] == pytest.approx(each[rest]) for each in springs)


def test_an_axle_that_cannot_bind_has_no_load_of_it() -> None:
    assert "articulated" not in [case.name for case in Job(example("three-link-metric")).loads.table.cases]
    data = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data
    del data["travel"]["articulation"]
    job = Job(read_build(data))
    cases = ("one bump stop hit", "hanging on one strap", "articulated")
    assert job.loads.table.absent == tuple(f"{case}: the spec lacks travel.articulation" for case in cases)
    with pytest.raises(Missing, match=r"travel\.articulation"):
        job.loads.refuse_left_out("articulated")


def test_a_missing_result_says_why() -> None:
    lacking = ("unsprung_mass", "total_mass", "centre_of_gravity_height")
    wanted = tuple(f"all cases: the spec lacks vehicle.{name}" for name in lacking)
    data = read_file(EXAMPLES / "four-link-rear.buildcheck.yaml").data
    for name in lacking:
        del data["vehicle"][name]
    assert Job(read_build(data)).loads.table.absent == wanted
    data = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml").data
    data["vehicle"]["centre_of_gravity_height"] = 2500
    del data["vehicle"]["drive_torque"]
    job = Job(read_build(data))
    table = job.loads.table
    lifted = "The bend lifts the inner wheel off the ground: use less lateral acceleration, or more track."
    assert table.absent == (
        f"left bend: {lifted}",
        f"right bend: {lifted}",
        f"braking in a left bend: {lifted}",
        f"braking in a right bend: {lifted}",
        "driving: the spec lacks vehicle.drive_torque",
        "driving in reverse: the spec lacks vehicle.drive_torque",
    )
    assert [case.name for case in table.cases] == [
        "at rest",
        "braking",
        "one wheel at a ledge",
        "one wheel at a kerb",
        "wheels turned standing",
        "rock strike",
        "bump stops hit",
        "one bump stop hit",
        "hanging",
        "hanging on one strap",
    ]
    with pytest.raises(Unreached, match="lifts the inner wheel"):
        job.loads.refuse_left_out("left bend")
    with pytest.raises(Missing, match=r"vehicle\.drive_torque"):
        job.loads.refuse_left_out("driving")
    job.loads.refuse_left_out("braking")


def test_an_axle_that_is_not_driven_has_no_such_case() -> None:
    build = example("three-link-metric").with_value("axle.driven", False)
    names = [case.name for case in Job(build).loads.table.cases]
    assert "driving" not in names
    assert Job(build).loads.table.absent == ()


def test_dampers_alone_carry_no_truck() -> None:
    job = Job(example("three-link-metric").with_value("coilovers.coilover.both.kind", "damper"))
    assert job.loads.table.absent == ("all cases: there are dampers, and no coilover that carries the truck",)
    with pytest.raises(Unreached, match="no coilover"):
        job.loads.at_joint(job.build.links["lower"].left, "axle")


def test_straps_without_travel_have_no_loads() -> None:
    data = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml").data
    del data["travel"]
    job = Job(read_build(data))
    with pytest.raises(Missing, match="travel"):
        job.loads.on_strap(job.build.limit_straps["strap"].left)


def test_at_full_bump_springs_and_stops_carry_the_hit_together() -> None:
    """Vertical equilibrium of the axle at full bump: links and bar take what little of it their slope gives them."""
    build = example("three-link-metric")
    table = Job(build).loads.table
    column = [case.name for case in table.cases].index("bump stops hit")
    row = {each.label: each.forces[column] for each in table.carried}
    assert row["left bump stop"] < 0.0
    assert row["right bump stop"] < 0.0
    carried = -sum(row[label] for label in ("left coilover", "right coilover", "left bump stop", "right bump stop"))
    assert carried == pytest.approx(3.0 * AXLE_LOAD * G - UNSPRUNG * G, rel=0.05)


def test_stated_cases_take_the_place_of_the_common_ones() -> None:
    data = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml").data
    data["load_cases"] = {"braking": 0.4, "bump_stop_hit": 2}
    table = Job(read_build(data)).loads.table
    common = Job(example("three-link-metric")).loads.table
    brake = [case.name for case in table.cases].index("braking")
    assert table.cases[brake] == LoadCase("braking", "a stop at 0.4 g")
    for stated, usual in zip(table.carried, common.carried, strict=True):
        at_rest = usual.forces[0]
        assert stated.forces[brake] - at_rest == pytest.approx((usual.forces[brake] - at_rest) / 2, rel=1e-9, abs=1e-6)


def test_the_largest_load_at_a_joint_knows_its_case() -> None:
    job = Job(example("three-link-metric"))
    table, link = job.loads.table, job.build.links["lower"].left
    for joint in ("frame", "axle"):
        (row,) = [row for row in table.joints if (row.label, row.joint) == ("left lower link", joint)]
        sizes = {case: float(np.linalg.norm(force)) for case, force in zip(table.cases, row.forces, strict=True)}
        found = job.loads.at_joint(link, joint)
        assert found.value == pytest.approx(max(sizes.values()), rel=1e-14)
        assert found.value == pytest.approx(sizes[found.case], rel=1e-14)
    assert job.loads.pressed(link).case.name == "one wheel at a ledge"


def test_stops_on_the_axle_press_like_stops_on_the_frame() -> None:
    """The stop turned upside down between the same two points, at a build whose axle does not tilt in bump."""
    data = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml").data
    stop = data["bump_stops"]["stop"]["both"]
    above = Job(read_build(data)).loads.table
    stop["base"], stop["target"], stop["axis"] = stop["target"], stop["base"], [0, 0, 1]
    stop["mounted_on"] = "axle"
    below = Job(read_build(data)).loads.table
    column = [case.name for case in above.cases].index("bump stops hit")
    for one, other in zip(above.carried, below.carried, strict=True):
        assert other.label == one.label
        if "stop" in one.label:
            assert other.forces[column] == pytest.approx(one.forces[column], rel=0.02)
            assert other.forces[column] < 0.0
