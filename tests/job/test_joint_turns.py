"""Joints of links that an axle twists as it rolls, against a search by brute force."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.spatial.transform import Rotation

from buildcheck.build import Build, Missing, Side, read_build
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.job import Job
from buildcheck.job.envelope import LOCKS
from buildcheck.job.joints import joint_turn, turn_since_ride, worst_tilt
from buildcheck.job.moving import MovingAxle
from buildcheck.job.steered_parts import Turned
from buildcheck.spec.document import read_file

EXAMPLES = Path(__file__).parents[2] / "examples"
HEAVE, ROLL = np.array([0.0, 0.06, -0.05, 0.03]), np.array([0.0, 0.0, 0.2, -0.24])


def example(name: str) -> Build:
    return read_build(read_file(EXAMPLES / f"{name}.buildcheck.yaml").data)


def square(bolt: np.ndarray, line: np.ndarray) -> np.ndarray:
    """The bore that a bolt wants in a link: as near to its own direction as the line allows."""
    bore = bolt - line * (bolt @ line)
    return np.asarray(bore / np.linalg.norm(bore))


def between(bore: np.ndarray, bolt: np.ndarray) -> float:
    """Angle of two lines without sense."""
    return float(np.arccos(np.clip(abs(bore @ bolt), 0.0, 1.0)))


def by_search(lines: list[np.ndarray], ride: list[np.ndarray], now: list[np.ndarray], held: int = -1) -> list[float]:
    """Misalignment of a link's two joints, the link spun to where the worse of them is least.

    The link is drawn at ride height, with both bores where their bolts want them; then laid along its line of the pose
    and spun. `lines` are the link's at ride height and now, `ride` and `now` its two bolts; the bore of the joint
    numbered `held` stays with its bolt.
    """
    before, after = (line / np.linalg.norm(line) for line in lines)
    axis = np.cross(before, after)
    size = np.linalg.norm(axis)
    laid = Rotation.from_rotvec(axis * (np.arctan2(size, before @ after) / size if size > 0 else 0.0))
    drawn, stand = ([bolt / np.linalg.norm(bolt) for bolt in bolts] for bolts in (ride, now))
    bores = [laid.apply(square(bolt, before)) for bolt in drawn]

    def misaligned(spin: float) -> list[float]:
        spun = Rotation.from_rotvec(spin * after)
        return [between(spun.apply(bore), bolt) for bore, bolt in zip(bores, stand, strict=True)]

    def worse(spin: float) -> float:
        both = misaligned(spin)
        return both[held] if held >= 0 else max(both)

    best = min(np.linspace(-0.6, 0.6, 61), key=worse)
    found = minimize_scalar(worse, bounds=(best - 0.02, best + 0.02), method="bounded", options={"xatol": 1e-12})
    return misaligned(float(found.x))


def of_link(moving: MovingAxle, part: Link | LateralBar, pose: int, held: int = -1) -> list[float]:
    """The same at the frame and at the axle of a link, in one of the poses."""
    frame, poses = np.array(part.frame), moving.poses
    turned = Rotation.from_euler("ZYX", [poses.yaw[pose], poses.pitch[pose], poses.roll[pose]])
    bolts = [np.array(part.joints.frame.axis), np.array(part.joints.axle.axis)]
    lines = [np.array(part.axle) - frame, moving.point(part.axle)[:, pose] - frame]
    return by_search(lines, bolts, [bolts[0], turned.apply(bolts[1])], held)


@pytest.mark.parametrize("name", ["four-link-rear", "three-link-metric"])
def test_two_rod_ends_share_the_twist_of_their_link(name: str) -> None:
    build = example(name)
    moving = Job(build).moved(HEAVE, ROLL)
    links = [link for sides in build.links.values() for link in sides]
    parts = links if name == "four-link-rear" else [build.lateral_bar]
    for part in parts:
        ours = [joint_turn(moving, part, key) for key in ("frame", "axle")]
        for pose in range(len(HEAVE)):
            found = of_link(moving, part, pose)
            assert max(each[pose] for each in ours) == pytest.approx(max(found), abs=1e-7)


def test_a_rod_end_that_faces_a_bushing_takes_all_the_twist() -> None:
    build = example("three-link-metric")
    moving = Job(build).moved(HEAVE, ROLL)
    for link in (link for sides in build.links.values() for link in sides):
        for pose in range(len(HEAVE)):
            at_frame, at_axle = of_link(moving, link, pose, held=1)
            assert joint_turn(moving, link, "frame")[pose] == pytest.approx(at_frame, abs=1e-6)
            assert joint_turn(moving, link, "axle")[pose] == pytest.approx(at_axle, abs=1e-6)
    at_full_roll = joint_turn(moving, build.links["upper"].right, "frame")[3]
    assert at_full_roll > 0.2  # rolled by 0.24: what its line shows by itself is a fifth of that


def test_the_roll_falls_on_both_joints_of_which_nothing_is_said() -> None:
    """A link in line with the vehicle, and an axle that hardly does anything but roll: beside what its line turns, the
    two joints share the roll."""
    build = example("four-link-rear").with_value("links", straight())
    job = Job(build)
    moving = job.moved(np.zeros(2), np.array([0.0, 0.2]))
    assert moving.poses.solved.all()
    link = build.links["lower"].left
    at_frame, at_axle = (joint_turn(moving, link, key) for key in ("frame", "axle"))
    lean = [turn_since_ride(moving, link, key)[1] for key in ("frame", "axle")]
    assert at_frame[0] == at_axle[0] == pytest.approx(0.0, abs=1e-9)
    spun = [np.arccos(np.cos(turned[1]) / np.cos(each)) for turned, each in zip((at_frame, at_axle), lean, strict=True)]
    assert sum(spun) == pytest.approx(0.2, abs=0.01)
    assert at_frame[1] == pytest.approx(at_axle[1], abs=1e-9)


def straight() -> object:
    """The links of the example without their joints, the lower ones in line with the vehicle."""
    data = read_file(EXAMPLES / "four-link-rear.buildcheck.yaml").data
    for link in data["links"].values():
        del link["both"]["joints"]
    data["links"]["lower"]["both"]["axle"][1] = data["links"]["lower"]["both"]["frame"][1]
    return read_build(data).links


def test_an_arm_without_a_lateral_bar_has_no_roll_centre() -> None:
    """Two nearly parallel arms: on paper the roll centre stands over 200 in above the floor."""
    kept = {name: value for name, value in example("minimal").given().items() if name != "lateral_bar"}
    job = Job(Build("", "", Side.CENTRE, kept))
    moving = job.moved(np.zeros(1), np.zeros(1))
    assert moving.poses.solved.all()
    for ask in (lambda: moving.handling.roll_centre, job.roll_steer):
        with pytest.raises(Missing) as told:
            ask()
        assert told.value.path == "lateral_bar"
    assert Job(example("four-link-rear")).roll_steer().value != 0.0  # that has none either, and wants none


@pytest.mark.parametrize("rod_key", ["drag_link", "tie_rod"])
def test_the_studs_of_a_rod_share_its_twist(rod_key: str) -> None:
    """The drag link's studs lean, and that of the pitman arm stays on the frame while the other goes with the axle."""
    ends = {"drag_link": ("pitman", "arm"), "tie_rod": ("left", "right")}[rod_key]
    studs = {ends[0]: [0.1, 0.05, 1.0], ends[1]: [0.15, -0.1, 1.0]}
    data = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data
    joints = {key: {"kind": "rod-end", "axis": axis} for key, axis in studs.items()}
    data["steering"][rod_key]["joints"] = joints
    build = read_build(data)
    job = Job(build)
    rod = getattr(build.steering, rod_key)
    turned = Turned(build, job.moving_about, np.array(LOCKS))
    drawn = [np.array(each) for each in studs.values()]
    if rod_key == "drag_link":
        line = turned.arm_end - turned.pitman_end
        carried = [turned.on_pitman(drawn[0]), turned.direction(drawn[1], Side(rod.knuckle))]
    else:
        line = turned.point(rod.right, Side.RIGHT) - turned.point(rod.left, Side.LEFT)
        carried = [turned.direction(drawn[0], Side.LEFT), turned.direction(drawn[1], Side.RIGHT)]
    straight_ahead = (0, LOCKS.index(0.0))
    found = [
        by_search([line[:, *straight_ahead], line[:, pose, lock]], drawn, [stud[:, pose, lock] for stud in carried])
        for pose in range(line.shape[1])
        for lock in range(len(LOCKS))
    ]
    ours = [worst_tilt(job.moving_about, rod, key).value for key in ends]
    # At each pose the worse of the two is the least that it can be; a better one may lie anywhere below it.
    assert max(ours) == pytest.approx(max(max(both) for both in found), abs=1e-6)
