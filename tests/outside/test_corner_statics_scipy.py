"""Load cases at one wheel and in the steering against free bodies solved by scipy.

The axle, each knuckle with its wheel, and each rod are bodies of their own. Every joint between two of them, and to the
frame, has unknown forces (and a kingpin two unknown moments); each body has three equations of forces and three of
moments about the origin of the vehicle. scipy solves them all at once. Positions come from turning points about the
kingpins by scipy's rotations and from lengths of the rods by scipy's root search, not from buildcheck's closures.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import scipy.linalg
import scipy.optimize
from numpy.typing import NDArray
from sampling import sampled
from scipy.spatial.transform import Rotation

from buildcheck.build import read_build
from buildcheck.job import Job
from buildcheck.spec.document import read_file

Array = NDArray[np.float64]
EXAMPLES = Path(__file__).parents[2] / "examples"
G = 9.80665

# Metric three-link, in metres: axle end, frame end. Copied from the file, not read by the tool.
MEMBERS = {
    "left lower link": ((0.030, 0.430, 0.320), (-0.870, 0.405, 0.370)),
    "right lower link": ((0.030, -0.430, 0.320), (-0.870, -0.405, 0.370)),
    "right upper link": ((-0.030, -0.185, 0.555), (-0.640, -0.200, 0.585)),
    "lateral bar": ((0.100, -0.420, 0.482), (0.110, 0.410, 0.545)),
    "left coilover": ((-0.060, 0.540, 0.420), (-0.030, 0.480, 1.100)),
    "right coilover": ((-0.060, -0.540, 0.420), (-0.030, -0.480, 1.100)),
}
AXLE_LOAD, UNSPRUNG, HEIGHT, TRACK, RADIUS = 1180.0, 280.0, 0.8, 1.70, 0.4
CENTRE = np.array([0.0, 0.0, RADIUS])
PITMAN, ARM = np.array([0.250, 0.370, 0.566]), np.array([0.240, -0.540, 0.499])
PIVOT, SHAFT = np.array([0.500, 0.390, 0.600]), np.array([0.0, 0.05, 1.0])
ROD = {"left": np.array([0.190, 0.725, 0.340]), "right": np.array([0.190, -0.725, 0.340])}
KINGPIN = {"left": np.array([0.0, 0.690, 0.400]), "right": np.array([0.0, -0.690, 0.400])}
SIDES = ("left", "right")


def data(**changed: Any) -> dict[str, Any]:
    spec = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml").data
    for rod, fields in changed.items():
        spec["steering"][rod].update(fields)
    return spec


def unit(vector: Array) -> Array:
    return vector / np.linalg.norm(vector)


def wrench(point: Array, force: Array) -> Array:
    """Force and its moment about the origin."""
    return np.concatenate([force, np.cross(point, force)])


def by_hand(*loads: tuple[Array, Array]) -> dict[str, float]:
    """Forces in the members that balance forces (point, force) on the axle, tension positive."""
    columns = []
    for axle, frame in MEMBERS.values():
        columns.append(wrench(np.array(axle), unit(np.subtract(frame, axle))))
    load = np.sum([wrench(np.asarray(point, float), np.asarray(force, float)) for point, force in loads], axis=0)
    return dict(zip(MEMBERS, scipy.linalg.solve(np.array(columns).T, -load), strict=True))


def largest(*cases: dict[str, float]) -> dict[str, float]:
    return {name: max((case[name] for case in cases), key=abs) for name in MEMBERS}


def computed(spec: dict[str, Any], case: str) -> dict[str, float]:
    table = Job(read_build(spec)).loads.table
    column = [each.name for each in table.cases].index(case)
    return {row.label: row.forces[column] for row in table.carried if row.label in MEMBERS}


HALF = AXLE_LOAD * G / 2
WEIGHT = (CENTRE, (0.0, 0.0, -UNSPRUNG * G))
CONTACT = {"left": np.array([0.0, TRACK / 2, 0.0]), "right": np.array([0.0, -TRACK / 2, 0.0])}


@pytest.mark.parametrize(("height", "ratio", "resultant"), [(0.100, 0.881917, 1.333333), (0.150, 1.249000, 1.6)])
def test_one_wheel_at_a_ledge(height: float, ratio: float, resultant: float) -> None:
    """Statics of a wheel of 400 mm at steps of 100 and 150 mm: H / V and resultant / V, to six figures."""
    spec = data()
    spec["load_cases"] = {"ledge": f"{height} m", "one_wheel": 1.5}
    cases = []
    for side in SIDES:
        hub, other = CONTACT[side] + [0.0, 0.0, RADIUS], CONTACT["right" if side == "left" else "left"]
        up = 1.5 * HALF
        assert np.hypot(ratio, 1.0) == pytest.approx(resultant, rel=1e-6)
        cases.append(by_hand((hub, (-ratio * up, 0.0, up)), (other, (0.0, 0.0, HALF)), WEIGHT))
    assert computed(spec, "one wheel at a ledge") == pytest.approx(largest(*cases), rel=2e-6, abs=1e-2)


def test_one_wheel_at_a_kerb() -> None:
    """The truck about to tip over the wheel: side force track / 2 h of the axle's load, 1.0625 here, times the factor,
    and the whole load on that wheel."""
    spec = data()
    spec["load_cases"] = {"kerb": 1.4}
    push = 1.4 * 1.0625 * 2 * HALF
    cases = [
        by_hand((CONTACT[side], (0.0, sign * push, 2 * HALF)), WEIGHT) for side, sign in (("left", -1), ("right", 1))
    ]
    assert computed(spec, "one wheel at a kerb") == pytest.approx(largest(*cases), rel=1e-9, abs=1e-6)


def test_in_reverse_the_drive_pushes_the_other_way() -> None:
    """All tyres of the truck slip: half of 0.9 times its weight at this axle, which gains load as the truck backs."""
    spec = data()
    spec["axle"]["final_drive_ratio"] = 1e9  # the torque of the shaft is not compared here
    push = 0.9 * 0.5 * 2200.0 * G
    gain = push / 0.5 * HEIGHT / 2.7 / 2
    inertia = (CENTRE, (UNSPRUNG * push / (0.5 * 2200.0), 0.0, 0.0))
    tyres = [(CONTACT[side], (-push / 2, 0.0, HALF + gain)) for side in SIDES]
    wanted = by_hand(*tyres, WEIGHT, inertia)
    assert computed(spec, "driving in reverse") == pytest.approx(wanted, rel=1e-6, abs=1e-2)


@pytest.mark.parametrize("case", ["one bump stop hit", "hanging on one strap"])
def test_one_side_on_its_stop_or_strap(case: str) -> None:
    """Six supports: four links, the stop or strap, and the ground under the other wheel. Spring forces by their rate
    from those at rest; points of the axle in the pose are the job's, and so are held to the lengths of the links."""
    job = Job(read_build(data()))
    build, moving, on_stop = job.build, job.moving_about, case == "one bump stop hit"
    rest = by_hand(*((CONTACT[side], (0.0, 0.0, HALF)) for side in SIDES), WEIGHT)
    wanted = []
    for side, other in (SIDES, SIDES[::-1]):
        up = side if on_stop else other
        rolled = np.flatnonzero(np.isclose(moving.poses.roll, (1 if up == "left" else -1) * build.travel.articulation))
        heaves = moving.poses.heave[rolled]
        pose = int(rolled[heaves.argmax() if on_stop else heaves.argmin()])

        def place(point: Any, pose: int = pose) -> Array:
            from buildcheck.build import Point

            return np.asarray(moving.point(Point(*point))[:, pose])

        columns, loads = [], [wrench(place(CENTRE), np.array(WEIGHT[1]))]
        for name, (axle, frame) in MEMBERS.items():
            way = np.subtract(frame, place(axle))
            if "coilover" not in name:
                assert np.linalg.norm(way) == pytest.approx(np.linalg.norm(np.subtract(frame, axle)), abs=1e-9)
                columns.append(wrench(place(axle), unit(way)))
                continue
            longer = np.linalg.norm(way) - np.linalg.norm(np.subtract(frame, axle))
            loads.append(wrench(place(axle), min(rest[name] + 23500.0 * longer, 0.0) * unit(way)))
        stop, strap = (getattr(build, kind)[name] for kind, name in (("bump_stops", "stop"), ("limit_straps", "strap")))
        held = getattr(stop if on_stop else strap, side)
        end = place(held.target if on_stop else held.axle)
        columns.append(wrench(end, -np.array(held.axis) if on_stop else unit(np.array(held.frame) - end)))
        columns.append(wrench(place(CONTACT[other]), np.array([0.0, 0.0, 1.0])))
        if on_stop:
            loads.append(wrench(place(CONTACT[side]), np.array([0.0, 0.0, 3 * HALF])))
        found = scipy.linalg.solve(np.array(columns).T, -np.sum(loads, axis=0))
        assert (found[4] < 0.0) == on_stop
        assert found[5] > 0.0
        wanted.append(dict(zip([*list(MEMBERS)[:4], side, other], found, strict=True)))
    table = job.loads.table
    column = [each.name for each in table.cases].index(case)
    rows = {row.label: row.forces[column] for row in table.carried}
    for name in list(MEMBERS)[:4]:
        assert rows[name] == pytest.approx(max((each[name] for each in wanted), key=abs), rel=1e-8, abs=1e-5)
    kind = "bump stop" if on_stop else "limit strap"
    for number, side in enumerate(SIDES):
        assert rows[f"{side} {kind}"] == pytest.approx(wanted[number][side], rel=1e-8)
    on_ground = {row.side: row.forces[column] for row in table.corners}
    for number, side in enumerate(SIDES[::-1]):
        weight = wanted[number][side]
        assert on_ground[side] == pytest.approx(3 * HALF if on_stop else weight, rel=1e-8)


def kingpin_axis(side: str) -> Array:
    """Caster and inclination as projected on the side view and the front view; pointing up."""
    axle = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml").data["axle"]
    inward = -1.0 if side == "left" else 1.0
    lean = np.tan(np.radians(axle["kingpin_inclination"]))
    return unit(np.array([-np.tan(np.radians(axle["caster"])), inward * lean, 1.0]))


def turned(point: Array, pivot: Array, axis: Array, angle: float) -> Array:
    return pivot + Rotation.from_rotvec(angle * unit(axis)).apply(point - pivot)


def wheel_angle(side: str, swing: float) -> float:
    """Angle of the wheel seen from above, to the left."""
    x, y, _ = Rotation.from_rotvec(swing * kingpin_axis(side)).apply([0.0, 1.0, 0.0])
    return float(np.arctan2(-x, y))


def nearest(first: Array, last: Array, point: Array) -> float:
    return float((point - first) @ (last - first) / ((last - first) @ (last - first)))


class Position:
    """The steering of the example turned to a stop, by root searches on the lengths of its rods."""

    def __init__(self, joined: str, lock: float) -> None:
        self.joined = joined
        arm, right = ARM, ROD["right"]
        self.share = 1.0
        if joined == "link on rod":
            self.share = nearest(ROD["right"], ROD["left"], ARM)
            arm = ROD["right"] + self.share * (ROD["left"] - ROD["right"])
        if joined == "rod on link":
            self.share = nearest(PITMAN, ARM, ROD["right"])
            right = PITMAN + self.share * (ARM - PITMAN)
        self.drawn_arm, self.drawn_right = arm, right
        lengths = np.array([np.linalg.norm(arm - PITMAN), np.linalg.norm(ROD["left"] - right)])
        inner = "left" if lock > 0 else "right"

        def wrong(angles: Array) -> Array:
            pitman, arm_end, near, far = self.at(*angles)
            apart = np.array([np.linalg.norm(arm_end - pitman), np.linalg.norm(far - near)])
            turn = wheel_angle(inner, angles[1 if inner == "left" else 2]) if lock else angles[2]
            return np.append(apart - lengths, turn - lock)

        guess = np.full(3, lock)
        guess[0] = 1.2 * lock
        found = scipy.optimize.root(wrong, guess, tol=1e-13)
        assert np.abs(wrong(found.x)).max() < 1e-11
        self.swing = {"left": float(found.x[1]), "right": float(found.x[2])}
        self.pitman, self.arm, self.near, self.far = self.at(*found.x)

    def at(self, pitman: float, left: float, right: float) -> tuple[Array, Array, Array, Array]:
        """Ends of the drag link, and of the tie rod at the right (near) and the left knuckle."""
        knuckle = KINGPIN["right"], kingpin_axis("right"), right
        end = turned(PITMAN, PIVOT, SHAFT, pitman)
        far = turned(ROD["left"], KINGPIN["left"], kingpin_axis("left"), left)
        if self.joined == "link on rod":
            near = turned(ROD["right"], *knuckle)
            return end, near + self.share * (far - near), near, far
        arm = turned(ARM, *knuckle)
        near = end + self.share * (arm - end) if self.joined == "rod on link" else turned(ROD["right"], *knuckle)
        return end, arm, near, far


AXLE, LEFT, RIGHT, LINK, TIE = range(5)


class Damper:
    """A steering damper of 1200 N between a fixed end and what it steadies."""

    def __init__(self, steadies: str, fixed_to: str) -> None:
        moving = {"tie-rod": [190, 100, 340], "drag-link": [244, -200, 520], "steering-arm": [190, -700, 350]}[steadies]
        self.spec = {
            "fixed": [120, 450, 380] if fixed_to == "axle" else [150, 420, 700],
            "fixed_to": fixed_to,
            "moving": moving,
            "steadies": steadies,
            "extended_length": 1400,
            "compressed_length": 200,
            "force": "1200 N",
        }
        self.fixed, self.drawn = np.array(self.spec["fixed"]) / 1000, np.array(moving) / 1000
        self.on_axle = fixed_to == "axle"
        self.body = {"tie-rod": TIE, "drag-link": LINK, "steering-arm": RIGHT}[steadies]

    def end(self, at: Position) -> Array:
        """Where its moving end is: on a rod at the nearest point of the rod's line, as drawn."""
        if self.body == RIGHT:
            return turned(self.drawn, KINGPIN["right"], kingpin_axis("right"), at.swing["right"])
        share = nearest(*((ROD["right"], ROD["left"]) if self.body == TIE else (PITMAN, ARM)), self.drawn)
        now = (at.near, at.far) if self.body == TIE else (at.pitman, at.arm)
        return now[0] + share * (now[1] - now[0])

    def length(self, at: Position) -> float:
        return float(np.linalg.norm(self.end(at) - self.fixed))


def solve(at: Position, one_way: float, damper: Damper | None = None, opens: float = 0.0) -> dict[str, Array]:
    """Forces of all joints: five bodies, six equations each; a rod may turn about its own line, so two are met by any
    solution, and scipy's least squares has no residual. `opens` is 1 for a damper that opens as the wheels go left."""
    columns: list[Array] = []
    names: list[str] = []

    def joint(name: str, point: Array, on: int, against: int | None, directions: Array) -> None:
        """Unknown forces at a point on one body, and their opposites on another; None is the frame."""
        for direction in directions:
            column = np.zeros(30)
            column[6 * on : 6 * on + 6] += wrench(point, direction)
            if against is not None:
                column[6 * against : 6 * against + 6] -= wrench(point, direction)
            columns.append(column)
            names.append(name)

    for name, (axle, frame) in MEMBERS.items():
        joint(name, np.array(axle), AXLE, None, [unit(np.subtract(frame, axle))])
    body = {"left": LEFT, "right": RIGHT}
    for side in SIDES:
        joint(f"{side} kingpin", KINGPIN[side], body[side], AXLE, np.eye(3))
        for moment in scipy.linalg.null_space(kingpin_axis(side)[None]).T:
            column = np.zeros(30)
            column[6 * body[side] + 3 : 6 * body[side] + 6] = moment
            column[3:6] = -moment
            columns.append(column)
            names.append(f"{side} moment")
    joint("pitman", at.pitman, LINK, None, np.eye(3))
    joint("arm", at.arm, LINK, TIE if at.joined == "link on rod" else RIGHT, np.eye(3))
    joint("near", at.near, TIE, LINK if at.joined == "rod on link" else RIGHT, np.eye(3))
    joint("far", at.far, TIE, LEFT, np.eye(3))

    load = np.zeros(30)
    load[:6] = wrench(CENTRE, np.array([0.0, 0.0, -UNSPRUNG * G]))
    width = read_file(EXAMPLES / "three-link-metric.buildcheck.yaml").data["vehicle"]["tyre"]["width"] / 1000
    for side in SIDES:
        axis = kingpin_axis(side)
        on_ground = KINGPIN[side] - KINGPIN[side][2] / axis[2] * axis
        offset = np.linalg.norm(CONTACT[side] - on_ground)
        friction = 0.9 * HALF * np.sqrt(offset**2 + (width / 3) ** 2)
        hub = turned(CONTACT[side] + [0.0, 0.0, RADIUS], KINGPIN[side], axis, at.swing[side])
        here = load[6 * body[side] : 6 * body[side] + 6]
        here += wrench(np.array([hub[0], hub[1], 0.0]), np.array([0.0, 0.0, HALF]))
        here[3:] += one_way * friction * axis
    if damper is not None:
        # Against the motion, which is to the left where the ground resists to the right.
        push = 1200.0 * opens * one_way * unit(damper.end(at) - damper.fixed)
        load[6 * damper.body : 6 * damper.body + 6] += wrench(damper.end(at), push)
        if damper.on_axle:
            load[:6] -= wrench(damper.fixed, push)
    matrix = np.array(columns).T
    found, _, _, _ = scipy.linalg.lstsq(matrix, -load)
    assert np.abs(matrix @ found + load).max() < 1e-6
    return {name: found[[each == name for each in names]] for name in dict.fromkeys(names)}


JOINED = {
    "knuckles": {},
    "link on rod": {"drag_link": {"ends_on": "tie-rod"}},
    "rod on link": {"tie_rod": {"joined_to": "drag-link"}},
}


@pytest.mark.parametrize("joined", JOINED)
def test_the_wheels_of_the_standing_truck_turned(joined: str) -> None:
    """Every joint of the steering, and every link of the axle, in three positions and both directions."""
    spec = data(**JOINED[joined])
    found = Job(read_build(spec)).loads.standing
    lock = np.radians(spec["steering"]["lock_angle"])
    cases = []
    for number, angle in enumerate((0.0, lock, -lock)):
        at = Position(joined, angle)
        for way, sign in enumerate((-1.0, 1.0)):
            column, wanted = 2 * number + way, solve(at, sign)
            cases.append({name: float(wanted[name][0]) for name in MEMBERS})
            forces = found.forces
            for rod, first, last in ((forces.drag_link, "pitman", "arm"), (forces.tie_rod, "near", "far")):
                np.testing.assert_allclose(rod.first[:, column], -wanted[first], atol=1e-5)
                np.testing.assert_allclose(rod.last[:, column], -wanted[last], atol=1e-5)
    assert computed(spec, "wheels turned standing") == pytest.approx(largest(*cases), rel=1e-8, abs=1e-5)


@sampled(3, each=lambda steadies, **_: steadies)
@pytest.mark.parametrize("fixed_to", ["axle", "frame"])
@pytest.mark.parametrize("steadies", ["tie-rod", "drag-link", "steering-arm"])
@pytest.mark.parametrize("joined", ["knuckles", "link on rod"])
def test_a_steering_damper_resists(joined: str, steadies: str, fixed_to: str) -> None:
    damper = Damper(steadies, fixed_to)
    spec = data(**JOINED[joined])
    spec["steering"]["stabiliser"] = damper.spec
    found = Job(read_build(spec)).loads.standing
    lock = np.radians(spec["steering"]["lock_angle"])
    places = [Position(joined, angle) for angle in (0.0, lock, -lock)]
    opens = float(np.sign(damper.length(places[1]) - damper.length(places[2])))
    cases = []
    for number, at in enumerate(places):
        for way, sign in enumerate((-1.0, 1.0)):
            column, wanted = 2 * number + way, solve(at, sign, damper, opens)
            cases.append({name: float(wanted[name][0]) for name in MEMBERS})
            forces = found.forces
            for rod, first, last in ((forces.drag_link, "pitman", "arm"), (forces.tie_rod, "near", "far")):
                np.testing.assert_allclose(rod.first[:, column], -wanted[first], atol=1e-5)
                np.testing.assert_allclose(rod.last[:, column], -wanted[last], atol=1e-5)
    assert computed(spec, "wheels turned standing") == pytest.approx(largest(*cases), rel=1e-8, abs=1e-5)


def test_scrub_torque_of_the_printed_example() -> None:
    """D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (Springer 2018), example E2.1: 594 N m a wheel
    at 1200 kg, friction 0.58, offset 25 mm, contact 250 mm; the lever is printed as 87 mm."""
    from buildcheck.steering.forces import scrub_torque

    assert float(scrub_torque(1200 * 9.81, 0.58, 0.025, 0.250)) == pytest.approx(594, abs=1)
    assert float(scrub_torque(1.0, 1.0, 0.025, 0.250)) == pytest.approx(0.087, abs=5e-5)
