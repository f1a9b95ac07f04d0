"""Side view of the axle in heave: its instant centre, and its response to the forces of braking and driving.

The body is held still and the axle moves; axes are those of ISO 8855 (x forward, y left, z up), fixed to the body. The
side view is the plane y = constant through the axle centre. The floor is parallel to the body's x and y and keeps its
ride-height distance below the axle centre.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.handling import Slopes, turning
from buildcheck.axle.poses import Poses
from buildcheck.axle.vectors import Array

NO_TURNING = 1e-9
"""Pitch, in radians, over a heave of one wheelbase up to which it is only rounding of the solved poses."""


@dataclass(frozen=True, slots=True)
class InstantCentre:
    """The side-view instant centre of the axle in heave, shaped as the poses; NaN where a pose is not solved.

    x, z:   m, vehicle axes; both inf where there is no instant centre, as with parallel equal links
    height: above the floor, which keeps its ride-height distance below the axle centre, m; inf likewise
    length: side-view swing arm, m: horizontal distance from the axle centre, never negative; inf where there is none
    slope:  dz/dx of the line from the axle centre to the instant centre, m/m; it stays finite, and where there is no
            instant centre it is the slope of the parallel links
    """

    x: Array
    z: Array
    height: Array
    length: Array
    slope: Array


def instant_centre(poses: Poses, slopes: Slopes, wheelbase: ArrayLike, floor: float = 0.0) -> InstantCentre:
    """Instant centre of the axle relative to the body in heave at constant roll, from `slopes_over` the same poses.

    `wheelbase` in m, () or (builds, 1); `floor` is the height of the floor at ride height in vehicle axes, m. With x'
    the forward velocity of the axle centre C and w_y the pitch velocity (rad/m), both per metre of heave, the point of
    the side view with zero velocity is

        x = C_x + 1 / w_y,    z = C_z - x' / w_y,

    and the line to it from C has the slope -x'. It lies behind the axle where the axle pitches nose up in bump. There
    is none where |w_y| wheelbase < NO_TURNING: the axle pitches less than a nanoradian while it rises by a wheelbase,
    which is rounding of the solved poses; a swing arm that can be built gives about a radian.

    Source: instant centre of a rigid body in plane motion; T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE
    1992), and W. F. and D. L. Milliken, Race Car Vehicle Dynamics (SAE 1995), chapter 17, from memory. Raises
    ValueError when the wheelbase is not above zero.
    """
    scale = _above_zero(wheelbase, "wheelbase")
    about_y = turning(poses, slopes.heave, 0.0)[1]
    forward = slopes.heave.x
    centre_x, _, centre_z = (np.asarray(value)[..., np.newaxis] for value in poses.centre)
    none = np.abs(about_y) * scale < NO_TURNING
    rate = np.where(none, 1.0, about_y)
    return InstantCentre(
        x=np.where(none, np.inf, centre_x + poses.x + 1.0 / rate),
        z=np.where(none, np.inf, centre_z + poses.heave - forward / rate),
        height=np.where(none, np.inf, centre_z - floor - forward / rate),
        length=np.where(none, np.inf, np.abs(1.0 / rate)),
        slope=-forward,
    )


def contact_slope(poses: Poses, slopes: Slopes, floor: float = 0.0) -> Array:
    """Forward motion of the middle of the tyre contacts per metre of heave, with the wheels locked to the axle, m/m.

    `floor` is the height of the floor at ride height in vehicle axes, m; r = C_z - floor is the height of the axle
    centre C above it, which is constant. With x' and w_y as in `instant_centre`,

        slope = x' - w_y r = +e/d with the instant centre behind the axle, -e/d with it ahead,

    where e is the height of the instant centre above the floor and d its horizontal distance; with parallel links it
    is x' and still holds. It is the mean of both wheels, whatever the axle's yaw. Shaped as the poses, NaN where not
    solved. Source: kinematics of a rigid body.
    """
    radius = np.asarray(poses.centre[2])[..., np.newaxis] - floor
    slope: Array = slopes.heave.x - turning(poses, slopes.heave, 0.0)[1] * radius
    return slope


def anti_effect(
    slope: ArrayLike,
    share: ArrayLike,
    wheelbase: ArrayLike,
    centre_of_gravity_height: ArrayLike,
    front: bool = True,
) -> Array:
    """Share of the load transfer that the links carry instead of the springs, in percent.

        front axle:   percent = +100 slope share L / h        braking: anti-dive     driving: anti-lift
        rear axle:    percent = -100 slope share L / h        braking: anti-lift     driving: anti-squat

    slope: `contact_slope`, m/m; share: this axle's part of the whole brake or drive force, 0 to 1; L: wheelbase, m; h:
    height of the centre of gravity above the floor, m. + means that the springs carry less of the load transfer; at 100
    they carry none; above 100 the body moves the other way; when negative (pro-dive and so on) they carry more. In
    terms of the instant centre, percent = 100 (e/d) share L / h.

    Braking and driving share one formula because both forces act on a live axle at the tyre contact. The brake torque
    is reacted by the axle, and so is the torque of the half shafts where the final drive is in the axle: a driveshaft
    can transmit a moment about its own axis only. That moment, on the pinion and about the driveshaft, rolls the axle:
    it loads one spring and relieves the other by the same amount, and does not change this sum as long as the shaft
    runs fore and aft in plan. The formula would differ with brakes or a final drive mounted to the body.

    Validity: springs that act on the axle in its own transverse plane (with springs ahead of or behind it the links
    carry another part), wheels of one size, a level road, the driveshaft's slip free. By virtual work in heave: the
    springs' change is dN - F slope, with F the brake force (rearward) and dN = F h / (share L) the load transfer.

    Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 7, and W. F. and D. L. Milliken, Race
    Car Vehicle Dynamics (SAE 1995), chapter 17, both from memory; D. Barton and J. Fieldhouse, Automotive Chassis
    Engineering (Springer 2018), equation 3.63, for a driven rear axle. Raises ValueError for a share outside 0 to 1
    and for lengths that are not above zero.
    """
    part = np.asarray(share, dtype=np.float64)
    if not ((part >= 0.0) & (part <= 1.0)).all():
        raise ValueError("The share of the brake or drive force must be between 0 and 1.")
    reach = _above_zero(wheelbase, "wheelbase") / _above_zero(centre_of_gravity_height, "centre of gravity height")
    percent: Array = (100.0 if front else -100.0) * np.asarray(slope, dtype=np.float64) * part * reach
    return percent


def _above_zero(value: ArrayLike, name: str) -> Array:
    length = np.asarray(value, dtype=np.float64)
    if not ((length > 0.0) & (length < np.inf)).all():
        raise ValueError(f"The {name} must be above zero and finite.")
    return length
