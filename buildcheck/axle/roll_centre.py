"""Roll centre, roll axis and roll steer of the axle under the body.

The body is held still and the axle moves; all is in the body's axes, which are those of ISO 8855 (x forward, y left, z
up). The floor is parallel to the body's x and y and moves with the axle centre: the tyres keep their radius, so the
floor keeps its ride-height distance below the axle centre.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from buildcheck.axle.handling import Slopes, heading_rate, turning
from buildcheck.axle.poses import Poses
from buildcheck.axle.vectors import Array


@dataclass(frozen=True, slots=True)
class RollCentre:
    """The roll centre and the roll axis of the axle in each pose, shaped as the poses; NaN where not solved.

    height:     of the roll centre above the floor, m
    z:          of the roll centre in vehicle axes, m
    lateral:    its y, vehicle axes, m: that of the axle centre, on whose vertical it lies
    axis_slope: dz/dx of the roll axis, m/m; + = rises forward
    roll_steer: rotation in plan of the line of the wheels per unit of roll, rad/rad (`heading_rate`);
                + = the nose turns left as the left side rises, which is roll understeer of a front axle and roll
                oversteer of a rear one
    """

    height: Array
    z: Array
    lateral: Array
    axis_slope: Array
    roll_steer: Array


def roll_centre(poses: Poses, slopes: Slopes, floor: float = 0.0) -> RollCentre:
    """Roll centre, roll axis and roll steer in each pose, from `slopes_over` the same poses.

    `floor` is the height of the floor at ride height in vehicle axes, m. The axle rolls with its centre C held at its
    height (equal springs at both ends decouple that motion from heave). With y' the lateral velocity of C and w the
    `turning` of the axle, both per radian of roll, a point P of the axle has the lateral velocity

        v_y = y' + w_z (P_x - C_x) - w_x (P_z - C_z).

    The roll centre is the point on the vertical through C where this velocity is zero:

        height = (C_z - floor at ride) + y' / w_x.

    A lateral force on the body there does no work in roll. Points of the transverse vertical plane through C off that
    vertical move up and down, so the roll centre is also the plane's instant centre. In planes further forward v_y is
    zero at other heights: those points form the roll axis, dz/dx = w_z / w_x. At ride height, w_x = 1 and w_z = d yaw /
    d roll: the axis' slope is the roll steer, to first order. The kinematic centre is valid for small roll about the
    pose, with rigid joints and tyres that do not slide.

    Source: SAE J670, roll centre (the force definition, of which this is the principle of virtual work); T. D.
    Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 7, solid axle roll centre analysis, from memory.
    """
    about_x, _, about_z = turning(poses, slopes.roll, 1.0)
    _, centre_y, centre_z = (np.asarray(value)[..., np.newaxis] for value in poses.centre)
    above_centre = slopes.roll.y / about_x
    return RollCentre(
        height=centre_z - floor + above_centre,
        z=centre_z + poses.heave + above_centre,
        lateral=centre_y + poses.y,
        axis_slope=about_z / about_x,
        roll_steer=heading_rate(poses, slopes.roll, 1.0),
    )
