"""Specs and rules made by hand, for the tests of the commands."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from buildcheck.api import (
    Answer,
    Area,
    Job,
    Rule,
    Stage,
    Verdict,
    Words,
    at_most,
    common_practice,
    met,
)
from buildcheck.build import Build
from buildcheck.plugins.loading import Collected, PluginFailure

EMPTY = "format: 1\nunits: inch-pound\n"
STEEP = """\
format: 1
units: inch-pound
build: {name: Steep, stage: proposal}
vehicle: {wheelbase: 108, track: 63, tyre: {static_radius: 16.6}}
axle: {position: front, centre: [0, 0, 16.6]}
links:
  upper: {both: {kind: two-point, frame: [-30, 12, 36], axle: [0, 14, 21]}}
  lower: {left: {kind: two-point, frame: [-36, 15, 19], axle: [0, 17, 14]}}
lateral_bar: {frame: [5, 16, 22], axle: [5, -16, 20]}
travel: {bump: 4, droop: 4, articulation: 8}
"""
NOT_VALID = "format: 1\nunits: inch-pound\nlinx: {}\n"


NOTHING = Words("nothing to change")


def _rule(name: str, verdict: Verdict, area: Area = Area.SAFETY, from_stage: Stage = Stage.PROPOSAL) -> Rule:
    rule = Rule(name, area=area, page="It is so.\n\nChecked: whether it is so.", from_stage=from_stage)

    @rule.must(
        Build,
        wanted="better",
        basis=common_practice("it is better so"),
        change=NOTHING,
        place="units",
        otherwise=Verdict.ERROR if verdict is Verdict.OK else verdict,
    )
    def so(job: Job, build: Build) -> Answer:
        """It is so."""
        return met(verdict is Verdict.OK, "a look", otherwise="a look")

    return rule


needs_track = Rule("needs-track", area=Area.AXLE, page="It needs the track.\n\nChecked: the track.")


@needs_track.check(
    Build,
    at_most(error="60 in"),
    basis=common_practice("a door is wide"),
    change=NOTHING,
    place="vehicle.track",
    name="width",
)
def track(job: Job, build: Build) -> float:
    """Track."""
    return build.vehicle.track


breaks = Rule("breaks", area=Area.SAFETY, page="It breaks.\n\nChecked: nothing, for it breaks.")


@breaks.check(Build, at_most(error="60 in"), basis=common_practice("a door is wide"), change=NOTHING, name="width")
def divided(job: Job, build: Build) -> float:
    """Track."""
    raise ZeroDivisionError("division by zero")


FINE = _rule("fine", Verdict.OK)
DOUBTFUL = _rule("doubtful", Verdict.WARNING, Area.WELDS)
WRONG = _rule("wrong", Verdict.ERROR, Area.BAR_AND_STEERING)
LATE = _rule("late", Verdict.ERROR, from_stage=Stage.CYCLED)
FAILURE = PluginFailure("shop-rules", "it implements no hook of buildcheck")


def collected(*rules: Rule, failures: tuple[PluginFailure, ...] = ()) -> Collected:
    """What the plugins offer, in place of those installed."""
    return Collected(rules, failures)


def run(*arguments: str | Path, stdin: str = "", **environment: str) -> subprocess.CompletedProcess[str]:
    """The real command in a process of its own, in a pipe; its output in UTF-8."""
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR")}
    return subprocess.run(
        [sys.executable, "-c", "from buildcheck.commands.main import main; main()", *map(str, arguments)],
        input=stdin,
        capture_output=True,
        encoding="utf-8",
        env={**kept, "PYTHONIOENCODING": "utf-8", **environment},
        check=False,
        timeout=60,
    )
