"""Anti effects against the equilibrium of free bodies.

The links are two-force members, the springs two vertical forces on the axle: six unknowns, six equations, solved by
numpy. How much of the load transfer the springs see is read off the forces. No formula of motion is used for it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from random_layouts import three_link, triangulated_four_link

from buildcheck.axle.handling import slopes_over
from buildcheck.axle.poses import Layout, Poses, solve
from buildcheck.axle.rotation import attitude, carry
from buildcheck.axle.side_view import anti_effect, contact_slope

Array = NDArray[np.float64]

HEAVE, ROLL = np.array([0.0, 0.07, -0.06, 0.02]), np.array([0.0, 0.0, 0.04, -0.06])
RADIUS = 0.43
WHEELBASE, HEIGHT, SHARE = 2.7, 0.72, 0.65
SPRINGS = 0.4
"""Half the distance between the springs, m."""

MAKERS = {"three links and a bar": three_link, "triangulated four-link": triangulated_four_link}


def wrench(force: Array, at: Array) -> Array:
    """Force and its moment about the axle centre."""
    return np.concatenate([force, np.cross(at, force)])


def pull_of_links(layout: Layout, poses: Poses, pose: int) -> list[Array]:
    """What a unit of tension in each link does to the axle."""
    ends = carry(poses, layout.axle)[..., pose]
    centre = layout.centre + np.array([poses.x[pose], poses.y[pose], poses.heave[pose]])
    along = layout.frame - ends
    return [
        wrench(direction / np.linalg.norm(direction), end - centre)
        for direction, end in zip(along.T, ends.T, strict=True)
    ]


def spring_places(poses: Poses, pose: int, ahead: float = 0.0) -> list[Array]:
    """Where the springs stand on the axle, from its centre: on its transverse plane, or ahead of it."""
    cosine, sine = np.cos(poses.yaw[pose]), np.sin(poses.yaw[pose])
    return [np.array([ahead * cosine - side * sine, ahead * sine + side * cosine, 0.0]) for side in (SPRINGS, -SPRINGS)]


UP, FORWARD = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
CONTACT = np.array([0.0, 0.0, -RADIUS])


def springs_change(layout: Layout, poses: Poses, pose: int, load: Array, ahead: float = 0.0) -> Array:
    """How much more each spring pushes the body up, N, for a load on the axle (force, moment about its centre)."""
    columns = [*pull_of_links(layout, poses, pose), *(wrench(-UP, at) for at in spring_places(poses, pose, ahead))]
    forces = np.linalg.solve(np.array(columns).T, -load)
    return np.asarray(forces[4:])


def relieved(springs: Array, transfer: float) -> float:
    """Percent of the load transfer that the springs do not see."""
    return float(100.0 * (1.0 - springs.sum() / transfer))


@pytest.fixture(params=[(name, seed) for name in MAKERS for seed in range(3)], ids=str)
def layout(request: pytest.FixtureRequest) -> Layout:
    name, seed = request.param
    maker: Callable[[np.random.Generator], Layout] = MAKERS[name]
    return maker(np.random.default_rng(seed))


def slope_of(layout: Layout) -> tuple[Poses, Array]:
    poses = solve(layout, HEAVE, ROLL)
    assert poses.solved.all()
    return poses, contact_slope(poses, slopes_over(poses, layout), floor=float(layout.centre[2]) - RADIUS)


@pytest.mark.parametrize(
    ("front", "forward", "share"),
    [(True, -1.0, 0.65), (True, 1.0, 0.5), (True, 1.0, 1.0), (False, 1.0, 1.0), (False, -1.0, 0.35)],
    ids=["anti-dive", "anti-lift of four driven wheels", "anti-lift", "anti-squat", "anti-lift in braking"],
)
def test_springs_see_what_the_links_leave(layout: Layout, front: bool, forward: float, share: float) -> None:
    """Horizontal force F of this axle at the contact, F h / (share L) of load on it or off it."""
    poses, slope = slope_of(layout)
    expected = anti_effect(slope, share, WHEELBASE, HEIGHT, front)
    force = 5000.0
    more = -forward if front else forward  # braking presses the front axle down, driving the rear one
    transfer = more * force / share * HEIGHT / WHEELBASE
    for pose in range(HEAVE.size):
        load = wrench(forward * force * FORWARD + transfer * UP, CONTACT)
        springs = springs_change(layout, poses, pose, load)
        assert relieved(springs, transfer) == pytest.approx(expected[pose], rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("forward", [-1.0, 1.0], ids=["brakes on the axle", "final drive in the axle"])
def test_torque_is_inside_the_axle(layout: Layout, forward: float) -> None:
    """Wheels and housing as two free bodies, twelve equations: the force acts on the axle as if at the contact.

    Unknown are the bearings' forces and moments (none about the wheels' axis), the torque of half shafts or brakes
    about that axis, the links and the springs. The housing takes that torque the other way: the caliper is bolted to
    it, and a driveshaft along x can give no moment about the wheels' axis.
    """
    poses, slope = slope_of(layout)
    expected = anti_effect(slope, SHARE, WHEELBASE, HEIGHT)
    force = 5000.0
    transfer = -forward * force / SHARE * HEIGHT / WHEELBASE
    nothing = np.zeros(6)
    for pose in range(HEAVE.size):
        axes = attitude(poses)[..., pose]
        spindle, around = axes[:, 1], (axes[:, 0], axes[:, 2])
        bearing = [wrench(axis, np.zeros(3)) for axis in np.eye(3)]
        bearing += [np.concatenate([np.zeros(3), axis]) for axis in (*around, spindle)]  # the last is the torque
        held = [*pull_of_links(layout, poses, pose), *(wrench(-UP, at) for at in spring_places(poses, pose))]
        columns = [np.concatenate([one, -one]) for one in bearing] + [np.concatenate([nothing, one]) for one in held]
        load = np.concatenate([wrench(forward * force * FORWARD + transfer * UP, CONTACT), nothing])
        found = np.linalg.solve(np.array(columns).T, -load)
        assert relieved(found[-2:], transfer) == pytest.approx(expected[pose], rel=1e-9, abs=1e-9)
        # What turns the wheels forward takes the nose of the housing up; at ride the wheels' axis is y.
        if pose == 0:
            assert found[5] == pytest.approx(forward * force * RADIUS, rel=1e-12)


def test_force_at_the_wheel_centre_would_be_another_geometry(layout: Layout) -> None:
    """Drive mounted to the body would push at the wheel centre: the difference is the pitch rate times the radius."""
    poses, slope = slope_of(layout)
    force = 5000.0
    transfer = -force * HEIGHT / WHEELBASE
    springs = springs_change(layout, poses, 0, wrench(force * FORWARD, np.zeros(3)) + wrench(transfer * UP, CONTACT))
    at_contact = float(anti_effect(slope, 1.0, WHEELBASE, HEIGHT)[0])
    pitch = float(slopes_over(poses, layout).heave.pitch[0])
    at_centre = 100.0 * (slope[0] + pitch * RADIUS) * WHEELBASE / HEIGHT
    assert relieved(springs, transfer) == pytest.approx(at_centre, rel=1e-9, abs=1e-9)
    assert abs(at_centre - at_contact) > 1e-3


def test_torque_on_the_pinion_rolls_the_axle_and_leaves_the_sum_alone(layout: Layout) -> None:
    poses, slope = slope_of(layout)
    force, ratio = 5000.0, 4.1
    transfer = -force * HEIGHT / WHEELBASE
    load = wrench(force * FORWARD + transfer * UP, CONTACT)
    pinion = np.concatenate([np.zeros(3), -force * RADIUS / ratio * FORWARD])
    plain, twisted = (springs_change(layout, poses, 0, each) for each in (load, load + pinion))
    assert twisted.sum() == pytest.approx(plain.sum(), rel=1e-12)
    assert abs(twisted[0] - plain[0]) > 100.0
    assert relieved(twisted, transfer) == pytest.approx(
        float(anti_effect(slope, 1.0, WHEELBASE, HEIGHT)[0]), rel=1e-9, abs=1e-9
    )


def test_springs_ahead_of_the_axle_see_something_else(layout: Layout) -> None:
    """The formula claims springs in the axle's transverse plane; ahead of it they move 1 - pitch rate x ahead."""
    poses, slope = slope_of(layout)
    force, ahead = 5000.0, 0.1
    transfer = force / SHARE * HEIGHT / WHEELBASE
    springs = springs_change(layout, poses, 0, wrench(-force * FORWARD + transfer * UP, CONTACT), ahead)
    percent = float(anti_effect(slope, SHARE, WHEELBASE, HEIGHT)[0])
    pitch = float(slopes_over(poses, layout).heave.pitch[0])
    assert abs(relieved(springs, transfer) - percent) > 1e-3
    assert springs.sum() == pytest.approx(transfer * (1.0 - percent / 100.0) / (1.0 - pitch * ahead), rel=1e-9)
