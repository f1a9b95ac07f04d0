"""Load cases of the axle, each a `GroundLoad` about the axle centre.

`static` is the whole load of the truck at rest; every other case is the load added to it, so that

    combined(static(axle), braking(axle, 0.8, 0.65), cornering(axle, 0.4))

is braking in a bend. Axes are those of ISO 8855 (x forward, y left, z up), forces in N, moments in N m. Accelerations
are in multiples of g = 9.80665 m/s2 (standard gravity; 3rd CGPM, 1901), positive as the docstrings say.

All cases are quasi-static: the truck is in a steady state on a level road, tyres are rigid, and the unsprung mass is
one mass at the axle centre, whose weight and inertia are part of the load. The inertia of the wheels' spin is left out.
A single case that would lift a wheel raises an error; combinations of cases are not checked for this. Numbers may be
arrays (cases,): they broadcast with each other, and with poses when given as (cases, 1).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, unit
from buildcheck.strength.statics import Load, combined

GRAVITY = 9.80665
LEFT, RIGHT = 0, 1


class Wheels(Enum):
    """Wheels of the axle on which a case acts, as the shares of the left and of the right one."""

    BOTH = (1.0, 1.0)
    LEFT = (1.0, 0.0)
    RIGHT = (0.0, 1.0)


@dataclass(frozen=True, slots=True)
class GroundLoad(Load):
    """A load on the axle that includes forces from the ground.

    `ground` (3, 2, ...) N are these forces at the left and the right tyre contact, vehicle axes; z is the weight at
    that corner. The sum of two ground loads adds all parts; adding another load does not change the ground forces.
    """

    ground: Array

    def __add__(self, other: Load) -> GroundLoad:
        both = Load.__add__(self, other)
        if not isinstance(other, GroundLoad):
            return GroundLoad(both.force, both.moment, self.ground)
        wheels = []
        for wheel in (LEFT, RIGHT):
            mine, others = aligned(self.ground[:, wheel], other.ground[:, wheel])
            wheels.append(mine + others)
        return GroundLoad(both.force, both.moment, np.stack(wheels, axis=1))

    @property
    def corners(self) -> Array:
        """Weight on the left and on the right tyre, (2, ...) N, upward."""
        upward: Array = self.ground[2]
        return upward


class WheelLifts(ValueError):
    """The load transfer of the case is larger than the load of a tyre: the wheel lifts off the ground."""


@dataclass(frozen=True, slots=True)
class LoadedAxle:
    """The axle on the ground, with its masses and dimensions.

    centre:   (3, ...) axle centre, vehicle axes, m
    contacts: (3, 2, ...) middle of the tyre contact of the left and of the right wheel, m
    axle_load, unsprung_mass, total_mass: kg, carried by the axle's tyres; moving with the axle (wheels included); of
              the truck
    wheelbase, centre_of_gravity_height: m, the height above the ground
    front:    whether it is the front axle

    Raises ValueError for masses or lengths that are not above zero (the unsprung mass may be zero), and for an unsprung
    mass above the axle load or an axle load above the total mass.
    """

    centre: Array
    contacts: Array
    axle_load: float
    unsprung_mass: float
    total_mass: float
    wheelbase: float
    centre_of_gravity_height: float
    front: bool = True

    def __post_init__(self) -> None:
        if not 0.0 <= self.unsprung_mass <= self.axle_load <= self.total_mass < np.inf or not self.axle_load > 0.0:
            raise ValueError("Masses must be above zero, unsprung mass <= axle load <= total mass.")
        if not (0.0 < self.wheelbase < np.inf and 0.0 < self.centre_of_gravity_height < np.inf):
            raise ValueError("Wheelbase and height of the centre of gravity must be above zero.")
        if np.shape(self.contacts)[:2] != (3, 2):
            raise ValueError("The tyre contacts must be an array (3, 2, ...): left, right.")
        if (self.track <= 0.0).any():
            raise ValueError("The left tyre contact must be to the left of the right one.")

    @property
    def track(self) -> Array:
        """Distance between the two tyre contacts along y, m."""
        width: Array = np.asarray(self.contacts[1, LEFT] - self.contacts[1, RIGHT])
        return width


def static(axle: LoadedAxle, left_share: ArrayLike = 0.5) -> GroundLoad:
    """Load of the truck at rest: the ground carries the axle load, and the unsprung mass acts at the axle centre.

    Ground on the left tyre: left_share m_axle g, up; on the right one the rest. Axle centre: m_unsprung g, down. A
    lateral bar carries only the difference between the springs' sideways forces. Raises ValueError for a share outside
    0 to 1, as all cases do.
    """
    left = _share("left share", left_share)
    whole = axle.axle_load * GRAVITY
    ground = _at_contacts(axle, vertical=(whole * left, whole * (1.0 - left)))
    return ground + _inertia(axle, (0.0, 0.0, -1.0))


def braking(axle: LoadedAxle, deceleration: ArrayLike, brake_share: ArrayLike) -> GroundLoad:
    """Load that braking on a straight road, with the brakes on the axle, adds to `static`.

    deceleration a in g, + = slowing down; brake_share xi of the whole brake force at this axle, 0 to 1:

        brake force            B  = xi m_total a g, backward, half at each tyre contact
        load transfer          dN = m_total a g h / L, on to the front axle, off the rear, half at each contact
        inertia of the axle    m_unsprung a g, forward, at the axle centre

    B is not limited by tyre grip: where the tyres cannot provide this share, the result is on the safe side. Brakes on
    the axle are inside the free body, so their torque appears only as the moment of the force at the contact. Source:
    moments about the tyre contacts; T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 3, from
    memory. Raises WheelLifts when a rear axle loses its whole load.
    """
    slowing = GRAVITY * np.asarray(deceleration, dtype=np.float64)
    brake = _share("brake share", brake_share) * axle.total_mass * slowing
    on_axle = _transfer(axle, slowing)
    ground = _at_contacts(axle, forward=(-brake / 2, -brake / 2), vertical=(on_axle / 2, on_axle / 2))
    return ground + _inertia(axle, (slowing / GRAVITY, 0.0, 0.0))


def cornering(axle: LoadedAxle, lateral: ArrayLike, overturning_share: ArrayLike | None = None) -> GroundLoad:
    """Load that a steady bend adds to `static`.

    lateral a in g, + = accelerating to the left, a left-hand bend in which the right wheel is the outer one:

        tyre force             m_axle a g, to the left, shared by the contacts as their vertical loads
        load transfer          dN = s m_total a g h / track, off the left tyre and on to the right one
        inertia of the axle    m_unsprung a g, to the right, at the axle centre

    s is the share of the whole truck's overturning moment that this axle's tyres take. It follows from the roll
    stiffness and roll-centre height of both axles; when not given, it is the axle's share of the mass, as for a truck
    rigid in roll with equal ends. For a given s, equilibrium determines how springs and links share the moment.
    Source: moments about the tyre contacts, statics. Raises WheelLifts when the inner tyre loses its whole load.
    """
    share = _share(
        "overturning share", axle.axle_load / axle.total_mass if overturning_share is None else overturning_share
    )
    sideways = GRAVITY * np.asarray(lateral, dtype=np.float64)
    transfer = share * axle.total_mass * sideways * axle.centre_of_gravity_height / axle.track
    static_load = axle.axle_load * GRAVITY / 2
    if (np.abs(transfer) > static_load).any():
        raise WheelLifts("The bend lifts the inner wheel off the ground: use less lateral acceleration, or more track.")
    tyres = axle.axle_load * sideways
    left, right = (tyres * (static_load + change) / (2 * static_load) for change in (-transfer, transfer))
    ground = _at_contacts(axle, sideways=(left, right), vertical=(-transfer, transfer))
    return ground + _inertia(axle, (0.0, -sideways / GRAVITY, 0.0))


def weight_left(
    axle_load: float,
    total_mass: float,
    track: float,
    wheelbase: float,
    centre_of_gravity_height: float,
    deceleration: float,
    lateral: float,
    *,
    front: bool,
) -> float:
    """Share of its static load that the lighter of the axle's tyres keeps in a stop, a bend, or both at once.

    Masses in kg, lengths in m, accelerations in g, the lateral one of either sign. Below zero the load transfer of
    `braking` and `cornering` is more than the static load of the tyre, which lifts off the ground:

        1 + (+- m_total a h / L - 2 m_axle |b| h / track) / m_axle        + at a front axle, - at a rear one

    In a bend alone it is zero at b = track / (2 h), the static rollover threshold of a rigid vehicle.
    Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapters 1 and 9, from memory.
    """
    lengthways = total_mass * deceleration * centre_of_gravity_height / wheelbase
    sideways = 2 * axle_load * abs(lateral) * centre_of_gravity_height / track
    return 1 + ((lengthways if front else -lengthways) - sideways) / axle_load


def driving(
    axle: LoadedAxle,
    torque: ArrayLike,
    rolling_radius: float,
    friction: float,
    drive_share: float = 1.0,
    axle_ratio: float | None = None,
    shaft_turns: ArrayLike = (-1.0, 0.0, 0.0),
) -> GroundLoad:
    """Load that drive through the axle on a straight road adds to `static`.

    torque T in N m at both wheels together, + = driving forward; rolling_radius R in m; friction mu of tyre on ground;
    drive_share of the whole drive force at this axle, 0 to 1, more than 0:

        drive force            D  = T / R but at most mu N, forward, half at each tyre contact
        acceleration           a  = D / (drive_share m_total)
        load transfer          dN = m_total a h / L, off the front axle, on to the rear, half at each contact
        inertia of the axle    m_unsprung a, backward, at the axle centre
        torque of the shaft    D R / axle_ratio on the pinion, about the direction `shaft_turns`

    N is the load of the axle's tyres then, including the load transfer of D: D = mu m_axle g / (1 +- mu h /
    (drive_share L)), + at a front axle, - at a rear one. D is also at most mu drive_share m_total g, at which all tyres
    of the truck slip. `shaft_turns` points along the driveshaft so that the shaft turns right-handed about it when
    driving forward: backward, (-1, 0, 0), where it turns clockwise seen from the front, which turns the axle left side
    down. The springs of this axle are assumed to carry all of that torque, as they do when the other axle has little
    roll stiffness; otherwise part of it shifts load between the tyres instead. Without axle_ratio the torque is left
    out. Source: statics; Gillespie (1992) chapter 2, from memory.
    """
    if not (rolling_radius > 0.0 and friction >= 0.0 and 0.0 < drive_share <= 1.0):
        raise ValueError(
            "Rolling radius and drive share must be above zero, the share at most 1, friction not below zero."
        )
    if axle_ratio is not None and not axle_ratio > 0.0:
        raise ValueError("The axle ratio must be above zero.")
    asked = np.asarray(torque, dtype=np.float64) / rolling_radius
    drive = np.clip(asked, -_grip(axle, friction, drive_share, forward=False), _grip(axle, friction, drive_share))
    speeding = drive / (drive_share * axle.total_mass)
    on_axle = _transfer(axle, -speeding)
    ground = _at_contacts(axle, forward=(drive / 2, drive / 2), vertical=(on_axle / 2, on_axle / 2))
    load = ground + _inertia(axle, (-speeding / GRAVITY, 0.0, 0.0))
    if axle_ratio is None:
        return load
    return load + Load.torque(unit(np.asarray(shaft_turns, dtype=np.float64))) * (drive * rolling_radius / axle_ratio)


def _grip(axle: LoadedAxle, friction: float, share: float, *, forward: bool = True) -> float:
    """Largest force of the axle's tyres on the truck, forward or backward, N: friction times their load while they
    push.

    `share` is that of this axle in the whole force on the truck; see `driving`.
    """
    lever = friction * axle.centre_of_gravity_height / (share * axle.wheelbase)
    unloads = axle.front == forward
    left = 1 + lever if unloads else 1 - lever
    at_most = friction * share * axle.total_mass * GRAVITY
    return min(friction * axle.axle_load * GRAVITY / left, at_most) if left > 0.0 else at_most


def bump_stop_hit(axle: LoadedAxle, wheels: Wheels = Wheels.BOTH, factor: ArrayLike = 3.0) -> GroundLoad:
    """Load that one or both wheels driven up into the bump stop add to `static`.

    The ground force on each of the wheels is `factor` times half the axle load instead of once; 3 is common practice,
    no source. The inertia of the axle, which would reduce it, is left out. For this case, use the bump stops as
    supports of the axle, and add the force of the springs at that height as a load.
    """
    more = (np.asarray(factor, dtype=np.float64) - 1.0) * axle.axle_load * GRAVITY / 2
    left, right = wheels.value
    return _at_contacts(axle, vertical=(left * more, right * more))


def at_a_ledge(axle: LoadedAxle, wheels: Wheels, height: float, factor: float) -> GroundLoad:
    """Load that one wheel driven into a ledge adds to `static`.

    The wheel, of loaded radius R, is about to roll over the edge of a rigid step of height h. A wheel without a brake
    carries no moment, so the edge pushes through its hub:

        up          V = factor m_axle g / 2           in place of the load at rest
        backward    H = V sqrt(R^2 - (R - h)^2) / (R - h)

    Source: statics of a rigid wheel at a step. The inertia of the axle, which would reduce both, is left out. Raises
    ValueError for a step that is not lower than the hub, against which no such force rolls the wheel.
    """
    hub = float(axle.centre[2])
    if not 0.0 <= height < hub:
        raise ValueError("The ledge must be lower than the wheel centre.")
    up = factor * axle.axle_load * GRAVITY / 2
    back = up * np.sqrt(hub**2 - (hub - height) ** 2) / (hub - height)
    added = up - axle.axle_load * GRAVITY / 2
    whole = GroundLoad(np.zeros(3), np.zeros(3), np.zeros((3, 2)))
    for wheel, share in enumerate(wheels.value):
        push = share * np.array([-back, 0.0, added])
        ground = np.zeros((3, 2))
        ground[:, wheel] = push
        at_hub = np.array([axle.contacts[0, wheel], axle.contacts[1, wheel], hub])
        one = Load.at(axle.centre, at_hub, push)
        whole = whole + GroundLoad(one.force, one.moment, ground)
    return whole


def at_a_kerb(axle: LoadedAxle, wheels: Wheels, factor: float) -> GroundLoad:
    """Load that one wheel sliding sideways into a kerb adds to `static`.

    The truck is about to tip over that wheel, which carries the whole load of the axle; the kerb pushes it inward, at
    the ground, with a factor times the force at which a rigid truck tips:

        S = factor m_axle g track / (2 h)

    h is the height of the centre of gravity. Source: statics; J. C. Brown, A. J. Robertson and S. T. Serpento, Motor
    Vehicle Structures (Butterworth-Heinemann 2002), from memory. The inertia of the axle, which would reduce it, is
    left out.
    """
    half = axle.axle_load * GRAVITY / 2
    push = factor * axle.axle_load * GRAVITY * axle.track / (2 * axle.centre_of_gravity_height)
    left, right = wheels.value
    return _at_contacts(
        axle, sideways=(-left * push, right * push), vertical=((left - right) * half, (right - left) * half)
    )


Pair = tuple[ArrayLike, ArrayLike]


def _at_contacts(
    axle: LoadedAxle, forward: Pair = (0.0, 0.0), sideways: Pair = (0.0, 0.0), vertical: Pair = (0.0, 0.0)
) -> GroundLoad:
    """Load of forces at the left and right contact, N, along x, y and z."""
    left, right = (
        np.stack(np.broadcast_arrays(forward[wheel], sideways[wheel], vertical[wheel])) for wheel in (LEFT, RIGHT)
    )
    whole = combined(
        Load.at(axle.centre, axle.contacts[:, LEFT], left), Load.at(axle.centre, axle.contacts[:, RIGHT], right)
    )
    return GroundLoad(whole.force, whole.moment, np.stack(np.broadcast_arrays(left, right), axis=1))


def _inertia(axle: LoadedAxle, push: tuple[ArrayLike, ArrayLike, ArrayLike]) -> Load:
    """Weight or inertia of the unsprung mass, at the axle centre: the mass times accelerations (x, y, z) in g."""
    force = axle.unsprung_mass * GRAVITY * np.stack(np.broadcast_arrays(*push))
    return Load.at(axle.centre, axle.centre, force)


def _transfer(axle: LoadedAxle, slowing: Array) -> Array:
    """Load that slowing down, m/s2, transfers to this axle, N; raises WheelLifts where the axle would lose all its
    load."""
    forward = axle.total_mass * slowing * axle.centre_of_gravity_height / axle.wheelbase
    on_axle: Array = np.asarray(forward if axle.front else -forward)
    if (on_axle < -axle.axle_load * GRAVITY).any():
        raise WheelLifts("The load transfer lifts the axle's wheels off the ground: use less acceleration.")
    return on_axle


def _share(name: str, share: ArrayLike) -> Array:
    """A share as an array; raises ValueError for one outside 0 to 1."""
    given = np.asarray(share, dtype=np.float64)
    if not ((given >= 0.0) & (given <= 1.0)).all():
        raise ValueError(f"The {name} must be from 0 to 1.")
    return given
