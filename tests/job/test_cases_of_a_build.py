"""The load cases of a build: which there are, what of them is taken and told, and that one that cannot be worked out
takes nothing from the others."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from buildcheck.build import Missing, read_build
from buildcheck.job import Job, Unreached
from buildcheck.job.layout import Assumption
from buildcheck.job.load_cases import cases_of
from buildcheck.job.load_table import LoadTable
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import Dimension

EXAMPLES = Path(__file__).parents[2] / "examples"
G = 9.80665
PRACTICE = "common practice, no source"
PUBLISHED = "H. Ibrahim, Loads on Vehicle Structures, lecture notes, table of dynamic factors"
STATED = {
    "braking": 0.8,
    "cornering": 0.7,
    "combined": 0.7,
    "friction": 0.9,
    "bump_stop_hit": 3,
    "one_wheel": 1.8,
    "ledge": 200,
    "kerb": 1.75,
}
AXLE_LOAD = 1180.0


def data(name: str = "three-link-metric") -> dict[str, Any]:
    return read_file(EXAMPLES / f"{name}.buildcheck.yaml").data


def job_of(spec: dict[str, Any]) -> Job:
    return Job(read_build(spec))


def column(table: LoadTable, case: str) -> int:
    return [each.name for each in table.cases].index(case)


def test_assumptions_are_listed_once_the_loads_are_requested() -> None:
    job = job_of(data())
    assert job.assumptions == ()
    _ = job.loads.table
    assert job.assumptions == (
        Assumption("load_cases.braking", "deceleration of a hard stop", 0.8, None, "g", PRACTICE),
        Assumption("load_cases.cornering", "lateral acceleration in a hard bend", 0.7, None, "g", PRACTICE),
        Assumption(
            "load_cases.combined",
            "share of the stop and of the bend that act at once when braking in a bend",
            0.7,
            Dimension.RATIO,
            "",
            PRACTICE,
        ),
        Assumption("load_cases.friction", "friction of tyre on ground", 0.9, None, "", PRACTICE),
        Assumption(
            "load_cases.one_wheel",
            "load of one wheel on rough ground",
            1.8,
            None,
            "times its load at rest",
            PUBLISHED,
        ),
        Assumption(
            "load_cases.ledge", "height of a ledge, half that of the wheel centre", 0.2, Dimension.LENGTH, "", PRACTICE
        ),
        Assumption(
            "load_cases.kerb",
            "side force of a kerb on one wheel",
            1.75,
            None,
            "times the force that tips the truck over",
            PUBLISHED,
        ),
        Assumption(
            "load_cases.rock_strike",
            "force of a rock on a link, the weight on the axle",
            pytest.approx(AXLE_LOAD * G),  # type: ignore[arg-type]
            Dimension.FORCE,
            "",
            PRACTICE,
        ),
        Assumption(
            "load_cases.bump_stop_hit",
            "wheel load when the bump stops are hit",
            3.0,
            None,
            "times the load at rest",
            PRACTICE,
        ),
    )


def test_what_is_stated_is_not_taken_and_comes_to_the_same() -> None:
    spec = data()
    spec["load_cases"] = {**STATED, "rock_strike": f"{AXLE_LOAD * G!r} N"}
    job = job_of(spec)
    table, taken = job.loads.table, job_of(data()).loads.table
    assert job.assumptions == ()
    assert not any(PRACTICE in case.meaning for case in table.cases)
    for one, other in zip(table.carried, taken.carried, strict=True):
        assert one.forces == pytest.approx(other.forces, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "value", "case", "meaning"),
    [
        ("braking", 0.5, "braking", "a stop at 0.5 g"),
        (
            "cornering",
            0.4,
            "left bend",
            "a bend to the left at 0.4 g, with the axle's share, by mass, of the overturning moment",
        ),
        (
            "combined",
            "50 %",
            "braking in a right bend",
            "a stop at 0.4 g in a right bend at 0.35 g, 50 % of each "
            "(braking and cornering: common practice, no source)",
        ),
        ("bump_stop_hit", 2, "bump stops hit", "both stops hit at 2 times the load at rest, at full bump"),
        (
            "ledge",
            "150 mm",
            "one wheel at a ledge",
            "either wheel in turn driven into a ledge, which pushes back and up through its hub; the wheel carries 1.8 "
            f"times its load at rest (one wheel: {PUBLISHED})",
        ),
        (
            "kerb",
            1.5,
            "one wheel at a kerb",
            "either wheel in turn pushed inward by a kerb, at 1.5 times the force that tips the truck over, with the "
            "whole load of the axle on that wheel",
        ),
        (
            "rock_strike",
            "5 kN",
            "rock strike",
            "a rock on the middle of each link or arm in turn, from ahead and below, the truck at rest",
        ),
    ],
)
def test_the_sentence_of_a_case_has_its_numbers(name: str, value: Any, case: str, meaning: str) -> None:
    spec = data()
    spec["load_cases"] = {name: value}
    (told,) = [each for each in cases_of(read_build(spec)) if each.name == case]
    assert told.meaning == meaning
    (taken,) = [each for each in cases_of(read_build(data())) if each.name == case]
    assert taken.meaning.endswith((f"{PRACTICE})", f"{PUBLISHED})"))
    assert taken.assumed
    assert f"load_cases.{name}" in {each.path for each in taken.assumed}
    assert f"load_cases.{name}" not in {each.path for each in told.assumed}


def test_an_axle_whose_share_of_the_drive_is_not_stated_drives_alone() -> None:
    spec = data()
    del spec["vehicle"]["drive_share"]
    alone = job_of(spec)
    taken = [each for each in alone.loads.table.assumptions if each.path == "vehicle.drive_share"]
    assert taken == [
        Assumption("vehicle.drive_share", "this axle's share of the drive force", 1.0, Dimension.RATIO, "", PRACTICE)
    ]
    spec["vehicle"]["drive_share"] = 1
    assert job_of(spec).loads.table.carried == alone.loads.table.carried
    (case,) = [each for each in alone.loads.table.cases if each.name == "driving"]
    assert "the axle has 100 % of the drive force" in case.meaning


@pytest.mark.parametrize(
    ("left_out", "case"),
    [
        ("axle.final_drive_ratio", "driving"),
        ("vehicle.drive_torque", "driving"),
        ("axle.driven", "driving"),
        ("vehicle.brake_share", "braking"),
        ("bump_stops", "bump stops hit"),
    ],
)
def test_a_case_that_lacks_something_takes_nothing_from_the_others(left_out: str, case: str) -> None:
    spec = data()
    whole = job_of(data()).loads.table
    *sections, key = left_out.split(".")
    held = spec
    for section in sections:
        held = held[section]
    del held[key]
    job = job_of(spec)
    table = job.loads.table
    assert f"{case}: the spec lacks {left_out}" in table.absent
    assert all(sentence.endswith(f": the spec lacks {left_out}") for sentence in table.absent)
    absent = {sentence.partition(":")[0] for sentence in table.absent}
    assert {each.name for each in table.cases} == {each.name for each in whole.cases} - absent
    with pytest.raises(Missing, match=left_out):
        job.loads.refuse_left_out(case)
    for each in table.cases:
        job.loads.refuse_left_out(each.name)
        for row in table.carried:
            (same,) = [other for other in whole.carried if (other.label, other.joint) == (row.label, row.joint)]
            assert row.forces[column(table, each.name)] == same.forces[column(whole, each.name)]


def test_assumptions_of_a_case_not_computed_are_not_listed() -> None:
    spec = data()
    del spec["axle"]["final_drive_ratio"]
    paths = [each.path for each in job_of(spec).loads.table.assumptions]
    assert paths == [
        f"load_cases.{key}"
        for key in (
            "braking",
            "cornering",
            "combined",
            "one_wheel",
            "ledge",
            "kerb",
            "friction",
            "rock_strike",
            "bump_stop_hit",
        )
    ]


def test_a_driven_axle_with_zero_drive_share_is_reported() -> None:
    job = job_of(data())
    job = Job(job.build.with_value("vehicle.drive_share", 0.0))
    why = "vehicle.drive_share is zero, but the axle is driven"
    assert job.loads.table.absent == (f"driving: {why}", f"driving in reverse: {why}")
    with pytest.raises(Unreached, match="is zero"):
        job.loads.refuse_left_out("driving")


def test_the_driveshaft_turns_the_axle_either_way_and_the_worse_counts() -> None:
    """Six supports: the forces are linear in the load. What the shaft's torque adds is half the difference of both
    ways, and falls with the ratio; a member carries its mean and that on top, by size."""
    spec = data()
    tables = {}
    for ratio in (2.0, 4.0, 20.0):
        spec["axle"]["final_drive_ratio"] = ratio
        tables[ratio] = job_of(spec).loads.table
    at = column(tables[2.0], "driving")
    rows = {ratio: {row.label: abs(row.forces[at]) for row in table.carried} for ratio, table in tables.items()}
    for label in ("lateral bar", "left coilover", "right coilover", "left lower link"):
        first, second, third = (rows[ratio][label] for ratio in (2.0, 4.0, 20.0))
        assert first > second > third
        # worst = |mean| + c / ratio
        assert (first - second) / (1 / 2 - 1 / 4) == pytest.approx((second - third) / (1 / 4 - 1 / 20), rel=1e-9)
    # Both coilovers alike but for what is not alike in the build: the torque loads one as it unloads the other.
    share = [(rows[2.0][f"{side} coilover"] - rows[4.0][f"{side} coilover"]) for side in ("left", "right")]
    assert share[0] == pytest.approx(share[1], rel=0.02)


def test_a_pressure_is_not_lost_behind_a_larger_pull() -> None:
    """The shaft's torque pulls the bar one way about and presses it the other: m + c / ratio, and c / ratio - m. Where
    the pull is the larger, the thrust is the pull, and the pressure is still told."""
    spec = data("tamarack/proposal")
    spec["lateral_bar"]["frame"][2] = 17
    thrusts, pressed = {}, {}
    for ratio in (2.0, 4.0):
        spec["axle"]["final_drive_ratio"] = ratio
        table = job_of(spec).loads.table
        (bar,) = [row for row in table.bent if row.label == "lateral bar"]
        at = column(table, "driving")
        thrusts[ratio], pressed[ratio] = bar.thrusts[at], bar.pressed[at]
    turned = (thrusts[2.0] - thrusts[4.0]) / (1 / 2 - 1 / 4)
    mean = thrusts[2.0] - turned / 2
    assert mean > 0.1
    assert pressed == pytest.approx({ratio: turned / ratio - mean for ratio in pressed})
    assert job_of(spec).loads.pressed(job_of(spec).build.lateral_bar).value > 0.0


def test_four_springs_on_four_links_share_as_beside_links_that_do_not_give() -> None:
    """Least energy of the four springs alone, t2 / 2 k, of all answers in equilibrium; solved here by numpy from the
    numbers of the file, in metres."""
    spec = data()
    inner = {**spec["coilovers"]["coilover"]["both"], "frame": [-40, 300, 1000], "axle": [-70, 330, 430]}
    inner["springs"] = [{"rate": "20 N/mm", "free_length": 300, "solid_length": 80}]
    spec["coilovers"]["inner"] = {"both": inner}
    job = job_of(spec)
    table = job.loads.table
    build = job.build
    ends = [(link.axle, link.frame) for name in ("lower", "upper") for link in build.links[name]]
    ends.append((build.lateral_bar.axle, build.lateral_bar.frame))
    springs = [coilover for name in ("coilover", "inner") for coilover in build.coilovers[name]]
    ends += [(each.axle, each.frame) for each in springs]
    lines = []
    for axle, frame in ends:
        line = np.subtract(frame, axle) / np.linalg.norm(np.subtract(frame, axle))
        lines.append(np.concatenate([line, np.cross(axle, line)]))
    matrix = np.array(lines).T
    weight = np.array([0.0, 0.0, AXLE_LOAD * G - 280.0 * G])
    load = np.concatenate([weight, [0.0, 0.0, 0.0]])
    some = np.linalg.lstsq(matrix, -load, rcond=None)[0]
    free = np.linalg.svd(matrix)[2][6:].T
    root = np.zeros(8)
    root[4:] = [1 / np.sqrt(job.springs(each).rate) for each in springs]
    wanted = some - free @ np.linalg.lstsq(root[:, None] * free, root * some, rcond=None)[0]
    found = {row.label: row.forces[0] for row in table.carried}
    labels = ["left lower link", "right lower link", "right upper link", "lateral bar"]
    labels += [each.label for each in springs]
    assert [found[label] for label in labels] == pytest.approx(list(wanted), rel=1e-7, abs=1e-3)


def test_every_case_is_listed_whether_or_not_it_can_be_worked_out() -> None:
    spec = data()
    del spec["vehicle"]["unsprung_mass"]
    job = job_of(spec)
    bends = [f"load case {braking}{side} bend" for braking in ("", "braking in a ") for side in ("left", "right")]
    assert [case.label for case in cases_of(job.build)] == [
        "load case at rest",
        "load case braking",
        *bends,
        "load case driving",
        "load case driving in reverse",
        "load case one wheel at a ledge",
        "load case one wheel at a kerb",
        "load case wheels turned standing",
        "load case rock strike",
        "load case bump stops hit",
        "load case one bump stop hit",
        "load case hanging",
        "load case hanging on one strap",
    ]
    assert job.loads.table.cases == ()
    job.loads.refuse_left_out("braking")  # whatever asks for a load says that there are none
    spec["axle"]["driven"] = False
    spec["limit_straps"] = {}
    names = [case.name for case in cases_of(read_build(spec))]
    assert "driving" not in names
    assert "hanging" not in names


@pytest.mark.parametrize(("metres", "lifts"), [(1.02, False), (1.06, True)])
def test_stop_and_bend_together_may_lift_the_inner_wheel_of_a_rear_axle(metres: float, lifts: bool) -> None:
    """Half the load is 5786 N. Of a height h the stop takes 2200 0.56 g h / 2.7 / 2 off each tyre, the bend
    1180 0.49 g h / 1.7 off the inner one: nothing is left from h = 1.0382 m on."""
    spec = data()
    spec["axle"].update(position="rear", centre=[0, 0, 400])
    spec["vehicle"]["centre_of_gravity_height"] = f"{metres} m"
    table = job_of(spec).loads.table
    together = ["braking in a left bend", "braking in a right bend"]
    absent = [sentence.partition(":")[0] for sentence in table.absent]
    assert [name for name in absent if "bend" in name or "braking" in name] == (together if lifts else [])
    if not lifts:
        at = column(table, together[0])
        left = AXLE_LOAD * G / 2 - (2200 * 0.56 / 2.7 / 2 + AXLE_LOAD * 0.49 / 1.7) * G * metres
        assert table.corners[0].forces[at] == pytest.approx(left, rel=1e-9)


def test_a_spec_that_does_not_state_straps_leaves_their_cases_out_aloud() -> None:
    """Without `limit_straps` nobody knows whether the axle hangs on straps; with an empty one it is stated that it does
    not."""
    spec = data("tamarack/proposal")
    del spec["limit_straps"]
    unknown, none = Job(read_build(spec)).loads, Job(read_build({**spec, "limit_straps": {}})).loads
    hanging = {"hanging", "hanging on one strap"}
    assert {case.name for case in cases_of(read_build(spec))} >= hanging
    assert {sentence.partition(":")[0] for sentence in unknown.table.absent} == hanging
    assert [each.path for each in unknown.cases_left_out() if isinstance(each, Missing)] == ["limit_straps"]
    assert {case.name for case in cases_of(read_build({**spec, "limit_straps": {}}))} & hanging == set()
    assert (none.table.absent, none.cases_left_out()) == ((), ())
