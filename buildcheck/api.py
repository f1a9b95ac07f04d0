"""Everything that a rule is written with; a rule file needs no other import from buildcheck."""

from buildcheck.build import Build, Missing, Part, Point, Side, Stage
from buildcheck.build.attachment import Attachment
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.inspection import Inspection, inspect
from buildcheck.job import Cure, Curve, Job, Line, PoseName, Spot, Unreached
from buildcheck.job.subjects import Pair
from buildcheck.plugins import rules_hook
from buildcheck.quantity import Dimension
from buildcheck.rule import (
    Area,
    Basis,
    Finding,
    HowToCure,
    Limit,
    Reading,
    Requirement,
    Rule,
    Sample,
    Verdict,
    at_least,
    at_most,
    common_practice,
    does_not_apply,
    from_memory,
    hold,
    published,
    require,
    rule,
    within,
)

__all__ = [
    "Area",
    "Attachment",
    "Basis",
    "BrakeLine",
    "Build",
    "BumpStop",
    "Coilover",
    "Cure",
    "Curve",
    "Dimension",
    "Finding",
    "HowToCure",
    "Inspection",
    "Job",
    "LateralBar",
    "Limit",
    "LimitStrap",
    "Line",
    "Link",
    "Missing",
    "Pair",
    "Part",
    "Point",
    "PoseName",
    "Reading",
    "Requirement",
    "Rule",
    "Sample",
    "Side",
    "Spot",
    "Stage",
    "Unreached",
    "Verdict",
    "at_least",
    "at_most",
    "common_practice",
    "does_not_apply",
    "from_memory",
    "hold",
    "inspect",
    "published",
    "require",
    "rule",
    "rules_hook",
    "within",
]
