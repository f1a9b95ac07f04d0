"""A spec with everything on record that its hold points need, measured where the spec has it; for the tests of
sign-off."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from buildcheck.build import Build, Stage, read_build
from buildcheck.build.part import Point
from buildcheck.checks.hold_points import measured_at
from buildcheck.spec.document import read_text
from buildcheck.spec.schema import problems_in

METRIC = Path(__file__).parent.parent / "examples" / "three-link-metric.buildcheck.yaml"
"""An example that has no records."""

DAYS = {Stage.TACKED: "2026-03-10", Stage.CYCLED: "2026-03-12", Stage.FINAL_WELD: "2026-03-20"}
SIDE = "{wheelbase: 2700, ride_height: 200}"
BASELINE = {
    "taken_on": '"2026-03-01"',
    "taken_by": "J. Doe",
    "photographs": "true",
    "steering_centred": "true",
    "sides": f"{{left: {SIDE}, right: {SIDE}}}",
}
SUPPORT = """
support:
  stands: [{where: frame rails, count: 2, rating: 6000 kg}]
  wheels_chocked: true
  level_floor: true
"""
SEALS = "  heat_sensitive_parts: {axle_shaft_seals: {state: removed}}\n"


def plain() -> str:
    """The example, with its seals taken out before anything is welded, on stands."""
    return METRIC.read_text(encoding="utf-8").replace("\naxle:\n", f"\naxle:\n{SEALS}", 1) + SUPPORT


def read(text: str) -> Build:
    """The build of a text, which is valid."""
    document = read_text(text, "text")
    assert problems_in(document) == ()
    return read_build(document.data)


def entries(*stages: Stage) -> list[dict[str, str]]:
    """A measurement of everything that is measured at some stages."""
    build = read(plain())
    return [
        {
            "stage": stage.value,
            "of": place,
            "value": _written(build.value(place), place),
            "measured_on": f'"{DAYS[stage]}"',
            "measured_by": "J. Doe",
        }
        for stage in stages
        for place in measured_at(build, stage)
    ]


def spec(measured: list[dict[str, str]], baseline: dict[str, str] | None = None) -> str:
    """The example with these records; `baseline` None for a whole one, empty for none."""
    given = BASELINE if baseline is None else baseline
    lines = ["records:"]
    if given:
        lines.append(f"  baseline: {{{', '.join(f'{key}: {value}' for key, value in given.items())}}}")
    if measured:
        lines.append("  measured:")
        lines.extend(f"    - {{{', '.join(f'{key}: {value}' for key, value in each.items())}}}" for each in measured)
    return plain() + ("\n".join(lines) + "\n" if len(lines) > 1 else "")


def _written(value: Any, place: str) -> str:
    if isinstance(value, Point):
        return f"[{', '.join(f'{1000 * axis:.6f}' for axis in value)}]"
    if place.endswith(("articulation", "lock_angle")):
        return f"{math.degrees(value):.6f} deg"
    return f"{value:.3f} N*m" if place.endswith("torque") else f"{1000 * value:.6f} mm"
