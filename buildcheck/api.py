"""Everything that a plugin is written with; a rule file needs no other import from buildcheck."""

from buildcheck.build import Build, Missing, Part, Point, Side, Stage
from buildcheck.build.attachment import Attachment, Weld
from buildcheck.build.chassis import HeatSensitivePart, Obstacle
from buildcheck.build.driveline import BrakeLine, Driveshaft, ShaftJoint
from buildcheck.build.linkage import DragLink, Joint, Kingpin, LateralBar, Link, Steering, TieRod
from buildcheck.build.records import Measurement
from buildcheck.build.springs import BumpStop, Coilover, CoilSpring, LimitStrap
from buildcheck.checks.changes import Computed, Mirror, Move, Resize, Set, Way, Words, step_of
from buildcheck.checks.check import Answer, CannotTell, met
from buildcheck.checks.choices import NextSize, SetTo
from buildcheck.checks.subjects import OnStroke, Stroke, each, falling, made, rising, strokes
from buildcheck.inspection import Inspection, inspect
from buildcheck.job import Cure, Curve, Edit, Job, Line, PoseName, Spot, Unreached, along, least
from buildcheck.job.gaps import Gap
from buildcheck.job.held_ends import HeldEnd
from buildcheck.job.load_table import LoadCase, Worst
from buildcheck.job.moving import MovingAxle
from buildcheck.job.quantities import Family, Quantity
from buildcheck.job.shop import shop_amount, unowned_shop_keys
from buildcheck.job.subjects import Pair
from buildcheck.limit import (
    Basis,
    Limit,
    Requirement,
    Verdict,
    at_least,
    at_most,
    between,
    common_practice,
    from_memory,
    published,
    within,
)
from buildcheck.offers import BoltGrade, JointKind, Metal, OutputFormat, ShopFields
from buildcheck.plugins import hook, rules_hook
from buildcheck.quantity import Dimension
from buildcheck.readings import harmed
from buildcheck.rule import Area, Finding, HowToCure, Reading, Rule, Sample, does_not_apply, hold, require, rule

__all__ = [
    "Answer",
    "Area",
    "Attachment",
    "Basis",
    "BoltGrade",
    "BrakeLine",
    "Build",
    "BumpStop",
    "CannotTell",
    "CoilSpring",
    "Coilover",
    "Computed",
    "Cure",
    "Curve",
    "Dimension",
    "DragLink",
    "Driveshaft",
    "Edit",
    "Family",
    "Finding",
    "Gap",
    "HeatSensitivePart",
    "HeldEnd",
    "HowToCure",
    "Inspection",
    "Job",
    "Joint",
    "JointKind",
    "Kingpin",
    "LateralBar",
    "Limit",
    "LimitStrap",
    "Line",
    "Link",
    "LoadCase",
    "Measurement",
    "Metal",
    "Mirror",
    "Missing",
    "Move",
    "MovingAxle",
    "NextSize",
    "Obstacle",
    "OnStroke",
    "OutputFormat",
    "Pair",
    "Part",
    "Point",
    "PoseName",
    "Quantity",
    "Reading",
    "Requirement",
    "Resize",
    "Rule",
    "Sample",
    "Set",
    "SetTo",
    "ShaftJoint",
    "ShopFields",
    "Side",
    "Spot",
    "Stage",
    "Steering",
    "Stroke",
    "TieRod",
    "Unreached",
    "Verdict",
    "Way",
    "Weld",
    "Words",
    "Worst",
    "along",
    "at_least",
    "at_most",
    "between",
    "common_practice",
    "does_not_apply",
    "each",
    "falling",
    "from_memory",
    "harmed",
    "hold",
    "hook",
    "inspect",
    "least",
    "made",
    "met",
    "published",
    "require",
    "rising",
    "rule",
    "rules_hook",
    "shop_amount",
    "step_of",
    "strokes",
    "unowned_shop_keys",
    "within",
]
