"""Loads of the steering's parts as the wheels of the standing truck are turned, and the stresses that they cause."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import Array, aligned, dot, size, unit
from buildcheck.build import Build
from buildcheck.build.linkage import DragLink, PitmanArm, SteeringJoint, TieRod
from buildcheck.job.curve import Unreached
from buildcheck.job.layout import distance
from buildcheck.job.linkage import LEFT
from buildcheck.job.standing_steering import Standing
from buildcheck.job.strengths import refuse_other_than_steel, youngs_modulus
from buildcheck.steering.forces import Rod
from buildcheck.strength.bars import Bar, equivalent_stress, stud_stress
from buildcheck.strength.sections import Section, column_capacity, round_tube


class Hardest(NamedTuple):
    """The largest of a load over all positions of the wheels, SI, and the position and direction in words."""

    value: float
    where: str


class SteeringLoads:
    """Loads of the steering of one build. Raises Missing or Unreached for what the spec lacks or cannot be solved."""

    def __init__(self, build: Build, standing: Standing) -> None:
        self._build = build
        self._standing = standing

    def at_joint(self, rod: DragLink | TieRod, key: str) -> Hardest:
        """Largest force at a joint of the drag link or tie rod, N; `key` is the joint's: `pitman`, `arm`, `left` or
        `right`."""
        forces = self._rod(rod)
        near = "left" if self._build.steering.drag_link.knuckle == LEFT else "right"
        return self._hardest(size(forces.first if key in ("pitman", near) else forces.last))

    def pressed(self, rod: DragLink | TieRod) -> Hardest:
        """Largest compression along the drag link or tie rod, N, zero or more."""
        forces = self._rod(rod)
        return self._hardest(np.maximum(np.maximum(-forces.before, -forces.behind), 0.0))

    def stress(self, rod: DragLink | TieRod) -> Hardest:
        """Largest stress of bending and thrust together in the tube of the drag link or tie rod, Pa."""
        forces, section = self._rod(rod), self._section(rod)
        thrust = np.maximum(np.abs(forces.before), np.abs(forces.behind))
        return self._hardest(forces.bending / section.section_modulus + thrust / section.area)

    def as_column(self, rod: DragLink | TieRod) -> float:
        """Compression along the drag link or tie rod at which it buckles between its joints, N."""
        ends = (rod.pitman, rod.arm) if isinstance(rod, DragLink) else (rod.left, rod.right)
        return column_capacity(self._section(rod), distance(*ends), rod.tube.yield_strength, youngs_modulus(rod.tube))

    def stud_stress(self, rod: DragLink | TieRod, key: str) -> Hardest:
        """Largest bending stress in the stud of a joint of the drag link or tie rod, Pa, with the whole force of the
        joint across it."""
        joint: SteeringJoint = getattr(rod.joints, key)
        force, where = self.at_joint(rod, key)
        return Hardest(stud_stress(force, joint.stud.height, joint.stud.diameter), where)

    def pitman_stress(self, arm: PitmanArm) -> Hardest:
        """Largest equivalent stress of bending, thrust and torsion at the root of the pitman arm, Pa."""
        root = Bar(arm.root.width, arm.root.thickness)
        standing = self._standing
        force, end = standing.forces.drag_link.first, standing.at.pitman
        pivot, shaft = aligned(np.array(arm.pivot)[:, None], unit(np.array(arm.axis))[:, None])
        lever = end - pivot
        above = dot(lever, shaft * np.ones_like(lever))
        flat = lever - above * shaft
        length, along = size(flat), unit(flat)
        upright, outward = dot(force, shaft * np.ones_like(force)), dot(force, along)
        sideways = size(force - upright * shaft - outward * along)
        return self._hardest(
            equivalent_stress(
                root,
                across=sideways * length,
                flat=np.abs(upright) * length + np.abs(outward * above),
                thrust=np.abs(outward),
                torsion=sideways * np.abs(above),
            )
        )

    def _section(self, rod: DragLink | TieRod) -> Section:
        refuse_other_than_steel(rod.label, rod.tube.material)
        try:
            return round_tube(rod.tube.outside_diameter, rod.tube.wall)
        except ValueError as error:
            raise Unreached(f"the {rod.label} has no section: {error}") from error

    def _rod(self, rod: DragLink | TieRod) -> Rod:
        forces = self._standing.forces
        return forces.drag_link if isinstance(rod, DragLink) else forces.tie_rod

    def _hardest(self, values: Array) -> Hardest:
        """The largest of values (columns,), and its position: of equal ones the first."""
        worst = int(np.argmax(values))
        return Hardest(float(values[worst]), self._standing.where[worst])
