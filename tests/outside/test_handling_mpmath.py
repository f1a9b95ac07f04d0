"""Slopes, roll centre and instant centre against implicit differentiation with a hundred digits.

Nothing is shared with the solver but the angles' order. What holds the axle is written down as mpmath numbers (the
squares of the lengths, or the elastic energy where links fight), refined to its own root, and differentiated there:
rates = -(dE/d unknowns)^-1 dE/d(heave, roll). Central differences with a step of 1e-25 leave about fifty digits.
Velocities of points are derivatives of where the points go, so that no formula of angular velocity is shared either.
"""

from __future__ import annotations

from collections.abc import Callable

import mpmath
import numpy as np
import pytest
from mpmath import mp
from numpy.typing import NDArray
from random_layouts import EXACT, KINDS, bars_of

from buildcheck.axle.handling import slopes_over
from buildcheck.axle.poses import Layout, Poses, solve
from buildcheck.axle.roll_centre import roll_centre
from buildcheck.axle.side_view import contact_slope, instant_centre

Array = NDArray[np.float64]
Number = mpmath.mpf
Numbers = list[Number]

DIGITS = 100
STEP = mpmath.mpf(10) ** -25
HEAVE, ROLL = np.array([0.0, 0.06, -0.05]), np.array([0.0, 0.05, -0.04])
RADIUS = 0.43
WHEELBASE = 2.7
AGREEMENT = 1e-11
"""Largest difference allowed, relative to numbers above one and absolute (m/m, rad/m, m/rad, rad/rad) below."""


def symmetric_radius_arms() -> Layout:
    """Alike on both sides, so that nothing fights in heave, with a lateral bar."""
    axle = [[80, 420, 0], [-80, 420, -90], [80, -420, 0], [-80, -420, -90], [60, -420, 70]]
    frame = [[-950, 380, 0]] * 2 + [[-950, -380, 0]] * 2 + [[60, 410, 110]]
    stiffness = np.array([4e6, 5e6, 4e6, 5e6, 9e6])
    return Layout(np.zeros(3), np.array(frame).T / 1000, np.array(axle).T / 1000, stiffness)


LAYOUTS = {
    f"{kind} {number}": KINDS[kind](np.random.default_rng(900 + number))
    for kind in sorted(KINDS)
    for number in range(3)
} | {"radius arms alike on both sides": symmetric_radius_arms()}
LINKS_FIGHT = {name: not name.startswith(EXACT) for name in LAYOUTS}


def place(point: Numbers, freedoms: Numbers) -> Numbers:
    """Where a point of the axle (from its centre) goes, from the centre's place at ride.

    Freedoms are x, y, pitch, yaw, heave, roll; roll is applied first, yaw last.
    """
    x, y, pitch, yaw, heave, roll = freedoms
    px, py, pz = point
    py, pz = py * mp.cos(roll) - pz * mp.sin(roll), py * mp.sin(roll) + pz * mp.cos(roll)
    px, pz = px * mp.cos(pitch) + pz * mp.sin(pitch), pz * mp.cos(pitch) - px * mp.sin(pitch)
    px, py = px * mp.cos(yaw) - py * mp.sin(yaw), px * mp.sin(yaw) + py * mp.cos(yaw)
    return [x + px, y + py, heave + pz]


def derivative(function: Callable[[Numbers], Numbers], at: Numbers, along: int) -> Numbers:
    ahead, behind = list(at), list(at)
    ahead[along] += STEP
    behind[along] -= STEP
    return [(a - b) / (2 * STEP) for a, b in zip(function(ahead), function(behind), strict=True)]


def conditions(layout: Layout, fight: bool) -> Callable[[Numbers], Numbers]:
    """Four functions of the six freedoms that are zero where the axle stands."""
    arms, anchors, _, stiffness = bars_of(layout)
    arms, anchors = ([[mp.mpf(float(v)) for v in row] for row in rows] for rows in (arms, anchors))
    stiff = [mp.mpf(float(k)) for k in stiffness]

    def squares(freedoms: Numbers) -> Numbers:
        ends = [place(arm, freedoms) for arm in arms]
        return [mp.fsum((a - b) ** 2 for a, b in zip(*pair, strict=True)) for pair in zip(ends, anchors, strict=True)]

    square = squares([mp.mpf(0)] * 6)

    def closures(freedoms: Numbers) -> Numbers:
        return [now - then for now, then in zip(squares(freedoms), square, strict=True)]

    def energy(freedoms: Numbers) -> Numbers:
        stretches = [mp.sqrt(now) - mp.sqrt(then) for now, then in zip(squares(freedoms), square, strict=True)]
        return [sum(k * stretch**2 / 2 for k, stretch in zip(stiff, stretches, strict=True))]

    def gradient(freedoms: Numbers) -> Numbers:
        return [derivative(energy, freedoms, unknown)[0] for unknown in range(4)]

    return gradient if fight else closures


def by_implicit_differentiation(layout: Layout, fight: bool, start: Numbers) -> tuple[Numbers, list[Numbers]]:
    """The refined freedoms, and their derivatives with respect to heave and to roll (six numbers each)."""
    condition, freedoms = conditions(layout, fight), start
    for _ in range(4):
        table = mp.matrix([derivative(condition, freedoms, column) for column in range(6)]).T
        step = mp.lu_solve(table[:, :4], -mp.matrix(condition(freedoms)))
        freedoms = [value + change for value, change in zip(freedoms[:4], step, strict=True)] + freedoms[4:]
        if max(abs(change) for change in step) < mp.mpf(10) ** -30:
            break
    else:
        raise AssertionError("no root")
    rates = []
    for driven in (4, 5):
        rate = mp.lu_solve(table[:, :4], -table[:, driven])
        rates.append([*rate, mp.mpf(driven == 4), mp.mpf(driven == 5)])
    return freedoms, rates


def velocity(offset: Numbers, freedoms: Numbers, rate: Numbers) -> Numbers:
    """Velocity of the point of the axle that stands `offset` (vehicle axes) from the axle centre."""
    turned = mp.matrix(3, 3)
    for column in range(3):
        unit = [mp.mpf(column == row) for row in range(3)]
        turned[:, column] = mp.matrix(place(unit, [*[mp.mpf(0)] * 2, *freedoms[2:4], mp.mpf(0), freedoms[5]]))
    fixed = list(turned.T * mp.matrix(offset))
    total = [mp.mpf(0)] * 3
    for along, speed in enumerate(rate):
        moved = derivative(lambda values: place(fixed, values), freedoms, along)
        total = [value + speed * part for value, part in zip(total, moved, strict=True)]
    return total


def close(found: float, expected: Number) -> None:
    assert abs(found - float(expected)) <= AGREEMENT * max(1.0, abs(float(expected)))


def freedoms_of(poses: Poses, pose: int) -> Numbers:
    columns = (poses.x, poses.y, poses.pitch, poses.yaw, poses.heave, poses.roll)
    return [mp.mpf(float(column[pose])) for column in columns]


@pytest.mark.parametrize("name", LAYOUTS)
def test_slopes_and_centres_are_those_of_implicit_differentiation(name: str) -> None:
    layout = LAYOUTS[name]
    poses = solve(layout, HEAVE, ROLL)
    assert poses.solved.all()
    slopes = slopes_over(poses, layout)
    floor = float(layout.centre[2]) - RADIUS
    rolling, side, contact = (
        roll_centre(poses, slopes, floor),
        instant_centre(poses, slopes, WHEELBASE),
        contact_slope(poses, slopes, floor),
    )
    with mp.workdps(DIGITS):
        for pose in range(HEAVE.size):
            freedoms, (by_heave, by_roll) = by_implicit_differentiation(
                layout, LINKS_FIGHT[name], freedoms_of(poses, pose)
            )
            for found, expected in ((slopes.heave, by_heave), (slopes.roll, by_roll)):
                for values, value in zip((found.x, found.y, found.pitch, found.yaw), expected[:4], strict=True):
                    close(values[pose], value)
            zero, one, radius = mp.mpf(0), mp.mpf(1), mp.mpf(RADIUS)
            centre, above, ahead = [zero, zero, zero], [zero, zero, one], [one, zero, zero]
            at_centre, higher, forward = (velocity(point, freedoms, by_roll) for point in (centre, above, ahead))
            sinks = at_centre[1] - higher[1]
            close(rolling.height[pose], radius + at_centre[1] / sinks)
            close(rolling.axis_slope[pose], (forward[1] - at_centre[1]) / sinks)
            close(rolling.lateral[pose], layout.centre[1] + freedoms[1])
            at_centre, higher, forward = (velocity(point, freedoms, by_heave) for point in (centre, above, ahead))
            pitching = higher[0] - at_centre[0]
            close(forward[2] - at_centre[2], -pitching)
            # A far instant centre is as uncertain as the pitch rate it is one over, so its nearness is compared.
            x, z = side.x[pose] - layout.centre[0] - poses.x[pose], side.z[pose] - layout.centre[2] - poses.heave[pose]
            close(1.0 / x, pitching)
            close(z / x, -at_centre[0])
            close(1.0 / side.length[pose], abs(pitching))
            close(side.slope[pose], -at_centre[0])
            close(contact[pose], velocity([zero, zero, -radius], freedoms, by_heave)[0])
