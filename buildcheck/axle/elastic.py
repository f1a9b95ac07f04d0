"""More than four constraints: the pose has the least elastic energy of the joints.

Energy = sum of k s s / 2 over the constraints, k the stiffness as a fraction of the stiffest and s the
stretch. With D = L + s the length now, f = (D D - L L) / 2 the closure and f_a its derivatives with respect
to the unknowns,

    s_a  = f_a / D
    s_ab = f_ab / D - f_a f_b / D^3
    gradient_a = sum of k s f_a / D
    hessian_ab = sum of k (s_a s_b + s s_ab) = sum of (k L / D^3) f_a f_b + (k s / D) f_ab

The whole Hessian is used: without its second sum (Gauss-Newton), convergence is slow once the joints are wound up.
`twist` adds the energy of joints with torsional stiffness. The two constraints of a radius arm share one energy, that
of `arm_energy`, whose derivatives with respect to their closures take the place of k s / D and of k L / D^3.
"""

from __future__ import annotations

import numpy as np

from buildcheck.axle.arm_energy import ArmForces
from buildcheck.axle.constraints import FORWARD, LATERAL, PITCH, UNKNOWNS, YAW, Array, Constraints, Stance
from buildcheck.axle.twist import forces, forces_change


class ElasticEquations:
    """Equations "gradient of the elastic energy = 0" in four unknowns."""

    stretched: Array
    gradient: Array
    of_arms: ArmForces

    def __init__(self, constraints: Constraints, heave: Array, roll: Array) -> None:
        self.stance = Stance(constraints, heave, roll)
        shape = self.stance.closure.shape
        self.length_now, self.stretched, self.tension = np.empty((3, *shape))
        self.slopes = np.empty((UNKNOWNS, *shape))
        self.gradient, self.spare = np.empty((2, UNKNOWNS, *shape[1:]))
        self.constraints, self.roll = constraints, roll

    def place(self, unknowns: Array) -> Array:
        """Place the axle at `unknowns` (4, ...); returns the gradient there over the largest stiffness, m.

        The moments (slopes with pitch and yaw) are divided by the typical arm, so that all four are metres.
        """
        stance, constraints = self.stance, self.constraints
        stance.place(unknowns)
        np.sqrt(stance.square, out=self.length_now)
        np.multiply(stance.closure, 2.0, out=self.stretched)
        self.stretched /= np.add(self.length_now, constraints.length, out=stance.spare)
        np.multiply(self.stretched, constraints.stiffness, out=self.tension)
        self.tension /= self.length_now
        arms = constraints.arms
        if arms is not None:
            self.of_arms = ArmForces(arms, stance.square)
            self.tension[arms.pair] = self.of_arms.first
        stance.gradients(self.slopes)
        np.einsum("un...,n...->u...", self.slopes, self.tension, out=self.gradient)
        if constraints.twists is not None:
            self.coordinates = np.stack([*unknowns, stance.heave, self.roll])
            self.gradient += forces(constraints.twists, self.coordinates)[:UNKNOWNS]
        error = np.abs(self.gradient, out=self.spare)
        error[PITCH:] /= constraints.size
        largest: Array = error.max(axis=0)
        return largest

    def linearise(self, into: Array) -> None:
        """Write Newton's equations at the current position to `into` (5, 4, ...); see `ExactEquations`."""
        stance, tension, slopes = self.stance, self.tension, self.slopes
        weighted = self._weighted()
        np.einsum("rn...,cn...->rc...", weighted, slopes, out=into[:UNKNOWNS])
        pull_x, pull_z = tension * stance.anchor_x, tension * stance.turned_z
        pull_y = tension * stance.anchor_y
        total = tension.sum(axis=0)
        into[FORWARD, FORWARD] += total
        into[LATERAL, LATERAL] += total
        into[FORWARD, PITCH] += pull_z.sum(axis=0)
        into[FORWARD, YAW] -= pull_y.sum(axis=0)
        into[LATERAL, YAW] += pull_x.sum(axis=0)
        into[PITCH, PITCH] += (
            tension * stance.turned_x * (stance.turned_x - stance.span_x) + pull_z * (stance.turned_z - stance.span_z)
        ).sum(axis=0)
        into[PITCH, YAW] -= (pull_z * stance.anchor_y).sum(axis=0)
        into[YAW, YAW] += (pull_x * (stance.anchor_x + stance.span_x) + pull_y * (stance.anchor_y + stance.span_y)).sum(
            axis=0
        )
        for row in range(1, UNKNOWNS):
            into[row, :row] = into[:row, row]
        if self.constraints.twists is not None:
            into[:UNKNOWNS] += forces_change(self.constraints.twists, self.coordinates, UNKNOWNS)[:UNKNOWNS]
        into[UNKNOWNS] = self.gradient

    def driven(self) -> Array:
        """Derivatives of the gradient with respect to heave and roll at the current position, (2, 4, ...)."""
        stance, tension = self.stance, self.tension
        by_drive, (roll_x, roll_y, roll_z) = stance.driven()
        weighted = self._weighted()
        driven = np.stack([(weighted * by_drive[drive]).sum(axis=1) for drive in range(2)])
        driven[0, PITCH] -= (tension * stance.turned_x).sum(axis=0)
        driven[1, FORWARD] += (tension * roll_x).sum(axis=0)
        driven[1, LATERAL] += (tension * roll_y).sum(axis=0)
        turning = stance.turned_z * roll_x - stance.turned_x * roll_z
        turning += stance.rolled_y * (stance.cos_pitch * stance.span_x - stance.sin_pitch * stance.span_z)
        driven[1, PITCH] += (tension * turning).sum(axis=0)
        driven[1, YAW] += (tension * (stance.anchor_x * roll_y - stance.anchor_y * roll_x)).sum(axis=0)
        if self.constraints.twists is not None:  # the second derivatives are symmetric
            driven += forces_change(self.constraints.twists, self.coordinates, UNKNOWNS)[UNKNOWNS:]
        return driven

    def _weighted(self) -> Array:
        """Second derivatives of the energy with respect to the closures, times the slopes: (4, n, ...)."""
        constraints, slopes, arms = self.constraints, self.slopes, self.constraints.arms
        weighted: Array = slopes * (constraints.stiffness * constraints.length / self.length_now**3)
        if arms is not None:
            same, other = self.of_arms.second()
            pairs = slopes[:, arms.pair]
            weighted[:, arms.pair] = same * pairs + other * pairs[:, ::-1]
        return weighted

    def stretch(self) -> Array:
        """Stretch of each constraint since ride height, m, (n, ...); + longer. Of an arm's, tension over stiffness."""
        arms = self.constraints.arms
        if arms is not None:
            force = self.tension[arms.pair] * self.length_now[arms.pair]
            self.stretched[arms.pair] = force / self.constraints.stiffness[arms.pair]
        return self.stretched
