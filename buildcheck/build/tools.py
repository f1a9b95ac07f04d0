"""How well a number of the spec can be measured or kept on the vehicle with each tool.

An instrument alone is finer: a tape of class II may be off by 0.3 mm and 0.2 mm for each metre (Directive 2014/32/EU,
annex X, MI-008, from memory). What counts in a shop is the reading: a point in the air, under a truck, by a plumb bob
and a tape.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from buildcheck.build.build import Build
from buildcheck.build.part import KnownBy

USUAL_TOLERANCE: Mapping[KnownBy, float] = {
    KnownBy.TAPE: 0.0254 / 16,
    KnownBy.GAUGE: math.radians(0.2),
    KnownBy.SCALE: 5.0,
}
"""Plus or minus of a reading where the spec states none, SI: a sixteenth of an inch by tape, 0.2 deg by an angle gauge,
5 kg by wheel scales. Common practice, no source."""


def stated_tolerance(build: Build, tool: KnownBy) -> float | None:
    """The tolerance of a tool that `records` states, SI; None where it states none."""
    name = f"{tool}_tolerance"
    if not build.has("records") or not build.records.has(name):
        return None
    tolerance: float = getattr(build.records, name)
    return tolerance


def tolerance_of(build: Build, tool: KnownBy) -> float:
    """The tolerance of a tool, SI: as `records` states it, otherwise the usual one."""
    stated = stated_tolerance(build, tool)
    return USUAL_TOLERANCE[tool] if stated is None else stated
