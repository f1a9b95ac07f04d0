"""Everything that a plugin is written with; a rule file needs no other import from buildcheck."""

from typing import Never as _Never

from buildcheck.build import Build, Missing, Part, Point, Side, Stage
from buildcheck.build.attachment import Attachment, Bolts, Weld
from buildcheck.build.chassis import (
    Axle,
    AxleEnds,
    AxleTube,
    CentreSection,
    Frame,
    HeatSensitivePart,
    LoadCases,
    Obstacle,
    Travel,
    Tyre,
    Vehicle,
)
from buildcheck.build.driveline import BrakeLine, CarrierBearing, Driveshaft, ShaftJoint
from buildcheck.build.field import field
from buildcheck.build.linkage import (
    DragLink,
    Joint,
    JointBolt,
    Kingpin,
    LateralBar,
    Link,
    PitmanArm,
    Section,
    Stabiliser,
    Steering,
    Stud,
    TieRod,
    Tube,
)
from buildcheck.build.measured import Place as MeasuredPlace
from buildcheck.build.part import Angle, Force, KnownBy, Length, Mass, Pressure, Temperature, Torque
from buildcheck.build.records import Baseline, BaselineSide, MayMove, Measurement, PackedPart, Records, Stand, Support
from buildcheck.build.springs import BumpStop, Coilover, CoilSpring, LimitStrap
from buildcheck.build.stage_records import (
    Aligned,
    AlignedSide,
    Cycled,
    CycledSide,
    Driven,
    NearWelds,
    Reassembled,
    RenewedPart,
    SeenGap,
    Tacked,
    TorqueCheck,
    Welded,
)
from buildcheck.checks.changes import Computed, Mirror, Move, OutOfReach, Resize, Set, Way, Words, step_of
from buildcheck.checks.check import Answer, CannotTell, met
from buildcheck.checks.choices import Choose, NextSize, SetTo
from buildcheck.checks.inspection import Inspection, inspect
from buildcheck.checks.limit import (
    Basis,
    Verdict,
    at_least,
    at_most,
    between,
    by_use,
    common_practice,
    from_memory,
    published,
)
from buildcheck.checks.rule import Area, Reading, Rule, Sample
from buildcheck.checks.slips import ReadAs, SwapEnds, SwapSides, TurnSign
from buildcheck.checks.subjects import OfPart, OnStroke, Stroke, any_of, each, falling, made, rising, strokes
from buildcheck.job import Cure, Curve, Edit, Job, Line, PoseName, Spot, Unreached, least
from buildcheck.job.bracket_plates import Hole
from buildcheck.job.by_hand import read_by_hand
from buildcheck.job.first_touch import AtLock, FirstMet, Met, first_met, nearest_at_lock
from buildcheck.job.gaps import Gap
from buildcheck.job.held_ends import HeldEnd
from buildcheck.job.joints import JointOf, joints_of
from buildcheck.job.load_table import LoadCase, Worst
from buildcheck.job.moving import MovingAxle
from buildcheck.job.named_quantity import Family, Quantity
from buildcheck.job.obstacle_boxes import Box, box_of, solid_obstacles
from buildcheck.job.shop import amount_in, shop_amount, shop_part, shown_in, unowned_shop_keys
from buildcheck.job.steering_loads import Hardest
from buildcheck.job.subjects import Pair
from buildcheck.plugins.contributions import BoltGrade, JointKind, Metal, OutputFormat, ShopFields
from buildcheck.plugins.hooks import INTERFACE as _INTERFACE
from buildcheck.plugins.hooks import hook, rules_hook
from buildcheck.spec.guard import Unusable as _Unusable
from buildcheck.spec.names import no_such
from buildcheck.spec.quantity import Dimension

__all__ = [
    "Aligned",
    "AlignedSide",
    "Angle",
    "Answer",
    "Area",
    "AtLock",
    "Attachment",
    "Axle",
    "AxleEnds",
    "AxleTube",
    "Baseline",
    "BaselineSide",
    "Basis",
    "BoltGrade",
    "Bolts",
    "Box",
    "BrakeLine",
    "Build",
    "BumpStop",
    "CannotTell",
    "CarrierBearing",
    "CentreSection",
    "Choose",
    "CoilSpring",
    "Coilover",
    "Computed",
    "Cure",
    "Curve",
    "Cycled",
    "CycledSide",
    "Dimension",
    "DragLink",
    "Driven",
    "Driveshaft",
    "Edit",
    "Family",
    "FirstMet",
    "Force",
    "Frame",
    "Gap",
    "Hardest",
    "HeatSensitivePart",
    "HeldEnd",
    "Hole",
    "Inspection",
    "Job",
    "Joint",
    "JointBolt",
    "JointKind",
    "JointOf",
    "Kingpin",
    "KnownBy",
    "LateralBar",
    "Length",
    "LimitStrap",
    "Line",
    "Link",
    "LoadCase",
    "LoadCases",
    "Mass",
    "MayMove",
    "MeasuredPlace",
    "Measurement",
    "Met",
    "Metal",
    "Mirror",
    "Missing",
    "Move",
    "MovingAxle",
    "NearWelds",
    "NextSize",
    "Obstacle",
    "OfPart",
    "OnStroke",
    "OutOfReach",
    "OutputFormat",
    "PackedPart",
    "Pair",
    "Part",
    "PitmanArm",
    "Point",
    "PoseName",
    "Pressure",
    "Quantity",
    "ReadAs",
    "Reading",
    "Reassembled",
    "Records",
    "RenewedPart",
    "Resize",
    "Rule",
    "Sample",
    "Section",
    "SeenGap",
    "Set",
    "SetTo",
    "ShaftJoint",
    "ShopFields",
    "Side",
    "Spot",
    "Stabiliser",
    "Stage",
    "Stand",
    "Steering",
    "Stroke",
    "Stud",
    "Support",
    "SwapEnds",
    "SwapSides",
    "Tacked",
    "Temperature",
    "TieRod",
    "Torque",
    "TorqueCheck",
    "Travel",
    "Tube",
    "TurnSign",
    "Tyre",
    "Unreached",
    "Vehicle",
    "Verdict",
    "Way",
    "Weld",
    "Welded",
    "Words",
    "Worst",
    "amount_in",
    "any_of",
    "at_least",
    "at_most",
    "between",
    "box_of",
    "by_use",
    "common_practice",
    "each",
    "falling",
    "field",
    "first_met",
    "from_memory",
    "hook",
    "inspect",
    "joints_of",
    "least",
    "made",
    "met",
    "nearest_at_lock",
    "no_such",
    "published",
    "read_by_hand",
    "rising",
    "rules_hook",
    "shop_amount",
    "shop_part",
    "shown_in",
    "solid_obstacles",
    "step_of",
    "strokes",
    "unowned_shop_keys",
]

# What rules of interface 1 were written with.
_OF_INTERFACE_1 = frozenset(
    ("Finding", "HowToCure", "Limit", "Requirement", "along", "does_not_apply", "harmed", "hold", "require", "rule")
)


def __getattr__(name: str) -> _Never:
    if name in _OF_INTERFACE_1:
        raise _Unusable(
            f"it asks for {name}, which is of interface 1 of buildcheck; this version offers interface {_INTERFACE},"
            ' see "From interface 1 to 2" in DEVELOPERS.md'
        )
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}", name=name)
