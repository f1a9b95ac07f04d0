"""Strengths of the parts of a build: bolts, columns, welds. The bridge from the build to the handbook formulas."""

from __future__ import annotations

import math

from buildcheck.build import Build, Missing
from buildcheck.build import linkage as build_linkage
from buildcheck.build.attachment import Attachment, Bolts
from buildcheck.build.chassis import AxleTube
from buildcheck.build.driveline import Driveshaft
from buildcheck.build.linkage import Joint, JointBolt, LateralBar, Link, Tube
from buildcheck.job.curve import Unreached
from buildcheck.job.layout import made_length
from buildcheck.job.load_table import Bent
from buildcheck.job.loaded_parts import section_of, yield_strength
from buildcheck.spec.threads import METRIC_COARSE, UNIFIED_COARSE, Thread, thread
from buildcheck.strength.bolts import (
    LEAST_PRELOAD,
    LONGEST_UNBENT,
    MOST_PRELOAD,
    PROOF_STRENGTH,
    pin_capacity,
    proof_strength,
    shear_capacity,
    single_shear_capacity,
    slip_resistance,
    tightening_torque,
)
from buildcheck.strength.metals import STEEL_MODULUS
from buildcheck.strength.sections import Section, column_capacity, round_tube, stress_within
from buildcheck.strength.shafts import SHEAR_YIELD_SHARE, critical_speed, torsional_stress
from buildcheck.strength.welds import (
    common_legs,
    common_lengths,
    largest_leg,
    least_leg,
)

# Target preload as a share of the proof load, and the largest that a recommended torque may give where friction is
# least: a twentieth below the proof load (common practice, no source).
PRELOAD_SHARE, MOST_PRELOAD_SHARE = 0.75, 0.95


class Strengths:
    """Strengths of one build. Raises Missing for what the spec lacks."""

    def __init__(self, build: Build) -> None:
        self._build = build

    # Bolts.

    def in_shear(self, bolts: Bolts | JointBolt) -> float:
        """Load at which the bolts together reach their proof strength in shear, N."""
        size, strength = self._thread(bolts)
        area = size.minor_area if bolts.threads_in_shear_plane else size.shank_area
        return shear_capacity(area, strength, bolts.count if isinstance(bolts, Bolts) else 1, bolts.shear_planes)

    def across(self, bolt: JointBolt, load: float, *, turns: bool = False) -> float:
        """Load across the bolt of a joint at which it reaches its proof strength while it carries `load`, N.

        It counts as bent where `bends` says so. Where the spec lacks the grip, `least_grip` is taken, and the result is
        an upper bound; `unknown_across` has what it lacks.
        """
        if not self.bends(bolt, load, turns=turns):
            return self.in_shear(bolt)
        size, strength = self._thread(bolt)
        area = size.minor_area if bolt.threads_in_shear_plane else size.shank_area
        capacity = pin_capacity if bolt.shear_planes > 1 else single_shear_capacity
        return capacity(math.sqrt(4 * area / math.pi), self._grip(bolt), strength)

    def bends(self, bolt: JointBolt, load: float, *, turns: bool = False) -> bool:
        """Whether a load across the bolt of a joint, N, bends it.

        It does in single shear. Between two ears it does where the bolt is longer than three diameters and does not
        hold the load by the friction of its clamp; where the joint `turns` on the bolt, that holds nothing. A bolt
        whose clamp is not known is taken to hold.
        """
        if bolt.shear_planes == 1:
            return True
        if self._is_short(bolt):
            return False
        return turns or (self._is_clamped(bolt) and load > self.held_by_clamp(bolt))

    def held_by_clamp(self, bolt: JointBolt) -> float:
        """Load across a bolt between two ears that the friction of its clamp holds, N, where the preload is least."""
        return slip_resistance(bolt.preload if bolt.has("preload") else self.least_preload(bolt))

    def unknown_across(self, bolt: JointBolt, load: float, *, turns: bool = False) -> tuple[Missing, ...]:
        """Fields of a bolt that the spec lacks, so that `across` is an upper bound only."""
        lacking: list[Missing] = [] if bolt.has("grip") else [Missing(bolt.path_of("grip"))]
        may_be_held = bolt.shear_planes > 1 and not turns
        if may_be_held and (lacking or not self._is_short(bolt)):
            if not self._is_clamped(bolt):
                lacking.append(Missing(bolt.path_of("torque")))
            elif load <= self.held_by_clamp(bolt):
                return ()
        return tuple(lacking)

    def _is_clamped(self, bolt: JointBolt) -> bool:
        return bolt.has("preload") or bolt.has("torque")

    def _is_short(self, bolt: JointBolt) -> bool:
        return self._grip(bolt) <= LONGEST_UNBENT * self.diameter(bolt) * (1 + 1e-9)

    def _grip(self, bolt: JointBolt) -> float:
        return bolt.grip if bolt.has("grip") else self.least_grip(bolt)

    def least_grip(self, bolt: JointBolt) -> float:
        """Least thickness that the bolt of a joint can clamp, m: its diameter (common practice, no source: a ball is at
        least as wide as its bore)."""
        return self.diameter(bolt)

    def proof_load(self, bolts: Bolts | JointBolt) -> float:
        """Proof load of one bolt in tension, N: tensile stress area times proof strength."""
        size, strength = self._thread(bolts)
        return size.tensile_stress_area * strength

    def preload(self, bolts: Bolts | JointBolt) -> float:
        """Preload of one bolt, N: as stated, otherwise from the tightening torque."""
        return bolts.preload if bolts.has("preload") else self.preload_by_torque(bolts)

    def preload_by_torque(self, bolts: Bolts | JointBolt) -> float:
        """Preload of one bolt from its tightening torque, N."""
        return bolts.torque / self.torque_for(bolts, 1.0)

    def proof_of_grade(self, bolts: Bolts | JointBolt) -> float | None:
        """Proof strength of the grade of a bolt, Pa; None where the grade is not made in its size."""
        return proof_strength(bolts.grade, thread(bolts.size).diameter, self._build.additions.bolt_grades)

    def recommended_preload(self, bolts: Bolts | JointBolt) -> float:
        """Recommended preload of a reusable joint, N: 75 % of the proof load (Shigley, equation 8-31)."""
        return PRELOAD_SHARE * self.proof_load(bolts)

    def most_preload(self, bolts: Bolts | JointBolt) -> float:
        """Preload of one bolt from its tightening torque where friction is least, N."""
        return MOST_PRELOAD[bolts.thread_condition] * bolts.torque / self.torque_for(bolts, 1.0)

    def least_preload(self, bolts: Bolts | JointBolt) -> float:
        """Preload of one bolt from its tightening torque where friction is greatest, N."""
        return LEAST_PRELOAD[bolts.thread_condition] * bolts.torque / self.torque_for(bolts, 1.0)

    def recommended_torque(self, bolts: Bolts | JointBolt) -> float:
        """Torque for the recommended preload, N m; less where the least friction would load the bolt to more than 95 %
        of its proof load."""
        share = min(PRELOAD_SHARE, MOST_PRELOAD_SHARE / MOST_PRELOAD[bolts.thread_condition])
        return self.torque_for(bolts, share * self.proof_load(bolts))

    def torque_for(self, bolts: Bolts | JointBolt, preload: float) -> float:
        """Tightening torque that gives one bolt a preload (N), N m."""
        return tightening_torque(preload, thread(bolts.size).diameter, bolts.thread_condition)

    def diameter(self, bolts: Bolts | JointBolt) -> float:
        """Nominal diameter, m."""
        return thread(bolts.size).diameter

    def thread_of(self, joint: Joint) -> Thread:
        """Thread of the shank of a joint."""
        return thread(joint.thread)

    def most_of_thread(self, joint: Joint) -> float:
        """Pull at which the thread of a joint's shank would reach the proof strength of class 12.9, N."""
        (_, strongest), *_ = PROOF_STRENGTH["12.9"]
        return thread(joint.thread).tensile_stress_area * strongest

    def _thread(self, bolts: Bolts | JointBolt) -> tuple[Thread, float]:
        size = thread(bolts.size)
        stated = bolts.has("proof_strength")
        added = self._build.additions.bolt_grades
        strength = bolts.proof_strength if stated else proof_strength(bolts.grade, size.diameter, added)
        if strength is None:  # the grade is not made in that size: the spec must state the strength
            raise Missing(bolts.path_of("proof_strength"))
        return size, strength

    # Links.

    def as_column(self, part: Link | LateralBar) -> float:
        """Compression along a link or bar at which it buckles between its joints, N. Raises Unreached where it is not
        of steel."""
        refuse_other_than_steel(part.label, _material(part))
        return column_capacity(
            self._section(part), made_length(part), yield_strength(part), youngs_modulus(_made_of(part))
        )

    def stresses(self, part: Link | LateralBar, bent: Bent) -> tuple[float, ...]:
        """Stress, Pa, of a link's or bar's internal loads in each case; see `Bent`. Raises Unreached where it is not of
        steel: iron breaks before it bends."""
        refuse_other_than_steel(part.label, _material(part))
        section = self._section(part)
        return tuple(
            stress_within(section, moment, thrust) for moment, thrust in zip(bent.moments, bent.thrusts, strict=True)
        )

    def _section(self, part: Link | LateralBar) -> Section:
        try:
            return section_of(part)
        except ValueError as error:
            raise Unreached(f"the {part.label} has no section: {error}") from error

    def yield_strength(self, part: Link | LateralBar) -> float:
        """Stated yield strength of the material of a link or bar, Pa."""
        return yield_strength(part)

    # The axle.

    def axle_tube_stress(self, tube: AxleTube, moment: float) -> float:
        """Bending stress in the axle's tube, Pa, under a moment, N m. Raises Unreached where no tube has this wall."""
        try:
            return stress_within(round_tube(tube.outside_diameter, tube.wall), moment)
        except ValueError as error:
            raise Unreached(f"the axle tube has no section: {error}") from error

    # The driveshaft.

    def torsion(self, shaft: Driveshaft) -> float:
        """Shear stress in the tube of the driveshaft under the largest torque that the driveline brings to this axle's
        wheels, through the final drive without loss, Pa."""
        tube, build = self._shaft_tube(shaft), self._build
        torque = build.vehicle.drive_torque / build.axle.final_drive_ratio
        return torsional_stress(torque, tube.outside_diameter, tube.wall)

    def shear_yield(self, shaft: Driveshaft) -> float:
        """Shear stress at which the tube of the driveshaft yields, Pa."""
        return SHEAR_YIELD_SHARE * self._shaft_tube(shaft).yield_strength

    def shaft_speed(self) -> float:
        """Speed of the driveshaft at the vehicle's top speed, rad/s: the tyre rolls at its static radius."""
        vehicle = self._build.vehicle
        return vehicle.top_speed / vehicle.tyre.static_radius * self._build.axle.final_drive_ratio

    def critical_speed(self, shaft: Driveshaft, length: float) -> float:
        """Speed at which the driveshaft whirls at a length between its joint centres (m), rad/s."""
        tube = self._shaft_tube(shaft)
        return critical_speed(tube.outside_diameter, tube.wall, length, youngs_modulus(tube))

    @staticmethod
    def _shaft_tube(shaft: Driveshaft) -> Tube:
        """Return the tube of the driveshaft. Raises Unreached where it is not of steel, or cannot be made."""
        tube = shaft.tube
        if "steel" not in tube.material:
            material = tube.material.replace("-", " ")
            raise Unreached(f"the driveshaft is of {material}, and its strength is computed only for steel")
        if not tube.wall <= tube.outside_diameter / 2:
            raise Unreached("the wall of the driveshaft does not fit its outside diameter")
        return tube

    # Welds.

    def thinner_part(self, bracket: Attachment) -> float:
        """Thickness of the thinner of bracket and parent, m."""
        return min(bracket.bracket_thickness, self.parent_thickness(bracket))

    def thicker_part(self, bracket: Attachment) -> float:
        """Thickness of the thicker of bracket and parent, m."""
        return max(bracket.bracket_thickness, self.parent_thickness(bracket))

    def least_leg(self, bracket: Attachment) -> float:
        """Smallest leg of a fillet for the parts that the bracket joins, m."""
        return least_leg(self.thinner_part(bracket), self._build.units)

    def largest_leg(self, bracket: Attachment) -> float:
        """Largest leg of a fillet for which the thinner part has room, m."""
        return largest_leg(self.thinner_part(bracket), self._build.units)

    def common_legs(self) -> tuple[float, ...]:
        """Legs of fillets used on drawings, m, smallest first."""
        return common_legs(self._build.units)

    def common_lengths(self) -> tuple[float, ...]:
        """Lengths of weld used on drawings, m, smallest first."""
        return common_lengths(self._build.units)

    def thicker_bolts(self, bolt: JointBolt) -> tuple[str, ...]:
        """The sizes of the coarse series of a bolt's thread that are thicker than it, the thinnest first."""
        now = thread(bolt.size)
        return tuple(
            size for size in (METRIC_COARSE if now.metric else UNIFIED_COARSE) if thread(size).diameter > now.diameter
        )

    def thickness_of_parent(self, bracket: Attachment) -> float:
        """Thickness of the frame, or of the wall of the axle tube, to which a bracket is fixed, m, whatever the bracket
        itself states. Raises Missing where the spec does not state it."""
        if bracket.parent in ("frame", "crossmember") and self._build.has("vehicle"):
            return self._build.vehicle.frame.thickness
        if bracket.parent == "axle-tube" and self._build.has("axle") and self._build.axle.has("tube"):
            return self._build.axle.tube.wall
        raise Missing(bracket.path_of("parent_thickness"))

    def parent_thickness(self, bracket: Attachment) -> float:
        """Thickness of what a bracket is fixed to, m: what it states itself, otherwise `thickness_of_parent`."""
        return bracket.parent_thickness if bracket.has("parent_thickness") else self.thickness_of_parent(bracket)


def _material(part: Link | LateralBar) -> str:
    """Material of a link or bar. Raises Missing where the spec does not give it."""
    return _made_of(part).material


def _made_of(part: Link | LateralBar) -> Tube | build_linkage.Section:
    """The tube of a link or bar, or its section of another shape."""
    return part.section if not part.has("tube") and isinstance(part, Link) and part.has("section") else part.tube


def youngs_modulus(made_of: Tube | build_linkage.Section) -> float:
    """Young's modulus of a steel tube or section, Pa: as stated, otherwise that of steel."""
    return made_of.youngs_modulus if made_of.has("youngs_modulus") else STEEL_MODULUS


def refuse_other_than_steel(label: str, material: str) -> None:
    """Raise Unreached for a link or rod that is not of steel."""
    if "steel" not in material:
        words = material.replace("-", " ")
        raise Unreached(f"the {label} is of {words}, and the strength of links is computed only for steel")
