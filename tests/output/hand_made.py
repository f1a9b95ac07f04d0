"""A small inspection made by hand, with one reading of each kind; what the output tests are shown."""

from __future__ import annotations

import math
from typing import Any

from buildcheck.build import Stage, read_build
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Verdict, common_practice, from_memory
from buildcheck.checks.rule import Area, Reading
from buildcheck.job import Cure, PoseName
from buildcheck.job.layout import Assumption
from buildcheck.output.outcome import Inspected, Outcome, Refused
from buildcheck.plugins.loading import PluginFailure
from buildcheck.spec.document import Problem, read_text
from buildcheck.spec.quantity import Dimension

SPEC = """\
format: 1
units: inch-pound
build: {name: Bench, shop: an invented shop, stage: tacked}
links:
  arm:
    both:
      kind: radius-arm
      frame: [-37, 15.25, 20.3]
lateral_bar:
  frame: [5.5, 16.5, 22.75]
"""
DEGREE = math.pi / 180
INCH = 0.0254


def replace(reading: Reading, **changes: Any) -> Reading:
    """The reading with some of its fields other."""
    return reading._replace(**changes)


STEEP = Reading(
    rule="flat",
    area=Area.LINKS,
    subject="left arm",
    quantity="slope",
    meaning="slope of the link at ride height",
    verdict=Verdict.ERROR,
    place="links.arm.both.frame",
    dimension=Dimension.ANGLE,
    value=12 * DEGREE,
    lowest=None,
    highest=10 * DEGREE,
    margin=-2 * DEGREE,
    pose=PoseName(0.0, 0.0, "ride height"),
    effect="the axle steers the truck",
    basis=common_practice("links lie flat"),
    cure=Cure(
        "move the frame end of the left arm down {amount}",
        1.3125 * INCH,
        Dimension.LENGTH,
        "links.arm.both.frame.z",
        -1.3125 * INCH,
    ),
)
STEEP_TOO = replace(
    STEEP,
    subject="right arm",
    cure=Cure(
        "move the frame end of the right arm down {amount}",
        1.3125 * INCH,
        Dimension.LENGTH,
        "links.arm.both.frame.z",
        -1.3125 * INCH,
    ),
)
TURNED = Reading(
    rule="flat",
    area=Area.LINKS,
    subject="whole build",
    quantity="shift",
    meaning="movement of the axle over the travel",
    verdict=Verdict.OK,
    place="links",
    dimension=Dimension.LENGTH,
    value=-0.25 * INCH,
    lowest=-0.5 * INCH,
    highest=0.5 * INCH,
    margin=0.25 * INCH,
    pose=PoseName(4 * INCH, -2 * DEGREE, ""),
    effect="the axle walks",
    basis=from_memory("A. Nonymous, Axles, 2nd ed., p. 12", "half an inch is felt"),
)
UNBRACED = Reading(
    rule="braced",
    area=Area.BAR_AND_STEERING,
    subject="lateral bar",
    quantity="brace",
    meaning="the frame bracket is braced",
    verdict=Verdict.WARNING,
    place="lateral_bar.frame_bracket.braced",
    found="a bare bracket",
    required="a brace to the other rail",
    effect="the bracket bends and the truck wanders",
    basis=common_practice("a tall bracket is braced"),
    cure=Cure("run a brace to the other rail"),
)
NO_TRAVEL = Reading(
    rule="flat",
    area=Area.LINKS,
    subject="left arm",
    quantity="",
    meaning="Links lie flat",
    verdict=Verdict.NOT_CHECKED,
    place="travel",
    missing=("travel",),
    reason="the spec lacks travel",
)
STUCK = Reading(
    rule="stop",
    area=Area.TRAVEL_STOPS,
    subject="left bump stop",
    quantity="",
    meaning="The stop works",
    verdict=Verdict.NOT_CHECKED,
    place="",
    reason="the axle cannot reach full bump",
)
BROKEN = Reading(
    rule="own",
    area=Area.SAFETY,
    subject="whole build",
    quantity="",
    meaning="A rule of our own",
    verdict=Verdict.ERROR,
    place="",
    failure="the rule failed: ZeroDivisionError: division by zero",
)
READINGS = (
    STEEP,
    STEEP_TOO,
    TURNED,
    NO_TRAVEL,
    replace(NO_TRAVEL, subject="right arm"),
    UNBRACED,
    STUCK,
    BROKEN,
)
ASSUMED = (
    Assumption(
        "links.arm.both.joints.frame.radial_stiffness", "radial stiffness of a rubber joint", 5.0e6, Dimension.STIFFNESS
    ),
)


def inspected(
    *readings: Reading, spec: str = SPEC, stage: Stage = Stage.TACKED, assumed: tuple[Assumption, ...] = ()
) -> Inspected:
    """A spec with these readings."""
    document = read_text(spec, "bench.buildcheck.yaml")
    return Inspected(document.name, document, read_build(document.data), Inspection(stage, readings, assumed))


def whole() -> Outcome:
    """One of everything: a spec with every kind of reading, a spec refused, a plugin that failed."""
    refused = Refused("bad.buildcheck.yaml", (Problem("'lenght' is not a key of links", "links.lenght", 3, 5),), True)
    failure = PluginFailure("shop-rules", "it implements no hook of buildcheck")
    return Outcome((inspected(*READINGS, assumed=ASSUMED), refused), (failure,))
