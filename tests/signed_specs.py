"""A spec with everything on record that its hold points need, measured where the spec has it; for the tests of
sign-off."""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path
from typing import Any

from buildcheck.build import Build, Side, Stage, read_build
from buildcheck.build.measured import planned
from buildcheck.build.part import Point
from buildcheck.build.stage_records import NearWelds
from buildcheck.checks.hold_points import measured_at
from buildcheck.job import Job
from buildcheck.spec.document import read_text
from buildcheck.spec.schema import problems_in

METRIC = Path(__file__).parent.parent / "examples" / "three-link-metric.buildcheck.yaml"
"""An example that has no records."""

DAYS = {Stage.TACKED: "2026-03-10", Stage.CYCLED: "2026-03-12", Stage.FINAL_WELD: "2026-03-20"}
SIDE = "{wheelbase: 2700, ride_height: 200, fender_height: 480, tyre_to_frame: 300, caster: 5}"
BASELINE = {
    "taken_on": '"2026-03-01"',
    "taken_by": "J. Doe",
    "photographs": "true",
    "steering_centred": "true",
    "rails_marked": "true",
    "instructions_at_hand": "true",
    "sides": f"{{left: {SIDE}, right: {SIDE}}}",
    "diagonal_left": "1800",
    "diagonal_right": "1801",
    "pinion_up": "7",
    "output_up": "-2",
    "driveshaft_length": "800",
    "tape_tolerance": "1",
    "gauge_tolerance": "0.2",
}
SUPPORT = """
support:
  stands: [{where: frame rails, count: 2, rating: 6000 kg}]
  wheels_chocked: true
  level_floor: true
  stands_clear: true
  springs_unloaded: true
parts:
  coilover: {ordered: 2, arrived: 2, inspected: true}
"""
FINE = ("tape_tolerance: 0.1 mm", "gauge_tolerance: 0.05 deg", "scale_tolerance: 0.5 kg")
OFF = f"near_welds: {{{', '.join(f'{name}: removed' for name in NearWelds.SAID)}}}"
SEALS = "  heat_sensitive_parts: {axle_shaft_seals: {state: removed}}\n"


@cache
def plain() -> str:
    """The example, with its seals taken out before anything is welded, on stands, and with what was done to each
    bracket."""
    return built(METRIC.read_text(encoding="utf-8")).replace("stage: proposal", "stage: driven")


def built(spec: str) -> str:
    """A spec of that truck with its seals out, on stands, and with what was done to each bracket."""
    text = spec.replace("\naxle:\n", f"\naxle:\n{SEALS}  toe_in: 0.1\n", 1)
    name = ""
    lines = []
    order = list(ORDER)
    for line in text.splitlines():
        named = re.fullmatch(r"  (\w+):", line)
        name = named[1] if named else name
        written = re.fullmatch(r"    (both|left|right): {(holds: .*)}", line)
        if written and name not in order:
            order.append(name)  # those on the frame, after those on the axle
        lines.append(_made(written, order.index(name) + 1) if written else line)
    return "\n".join(lines) + "\n" + SUPPORT


# The order in which the brackets of the axle are welded: a pair after each single one, so that the sides alternate.
ORDER = (
    *("upper_axle_bracket", "lower_axle_bracket", "lateral_bar_axle_bracket", "coilover_axle_bracket"),
    *("strap_axle_bracket", "stop_axle_pad"),
)


def _made(found: re.Match[str], order: int) -> str:
    """A bracket as it was fitted and welded."""
    planned = re.search(r"preheat: ([^,}]+)", found[2])
    preheat = f"preheat: {planned[1]}, " if planned else ""
    fit_up = "fit_up: {gap: 0.5, bare_metal: true, tacks_in_reach: true}"
    by = "welded_by: A. Welder, qualification: break test of the same joint"
    welded = f"as_welded: {{order: {order}, {preheat}cooled: true, {by}, looked_at: true}}"
    return f"    {found[1]}: {{{found[2]}, {fit_up}, {welded}}}"


@cache
def done() -> tuple[str, ...]:
    """The records of what was done and seen at each stage, as computed for the example."""
    build = read(plain())
    job = Job(build)
    seen = []
    for side in (Side.LEFT, Side.RIGHT):
        stop, strap = build.bump_stops["stop"][side], build.limit_straps["strap"][side]
        coilover, hose = build.coilovers["coilover"][side], build.brake_lines["line"][side]
        touches = job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length)
        tight = job.length(strap, job.lines.droop).first_at_least(strap.length)
        assert touches is not None
        assert tight is not None
        in_bump = job.length(coilover, job.lines.bump).end.value - coilover.compressed_length
        in_droop = coilover.extended_length - job.length(coilover, job.lines.droop).end.value
        slack = hose.free_length - job.brake_line_length(hose, job.lines.droop).end.value
        names = ("stop_touches_at", "strap_tight_at", "coilover_left_in_bump", "coilover_left_in_droop")
        values = dict(zip((*names, "brake_line_slack"), (touches, tight, in_bump, in_droop, slack), strict=True))
        seen.append(f"{side.value}: {{{', '.join(f'{name}: {1000 * value:.0f}' for name, value in values.items())}}}")
    caster = math.degrees(build.axle.caster)
    return (
        f"  tacked: {{old_mounts_removed: true, rotation_set_from: differential-side, jam_nuts_fitted: true, {OFF}}}",
        f"  cycled: {{sides: {{{', '.join(seen)}}}, ended_up_by: bump-stop, ended_down_by: limit-strap, "
        "ended_left_up_by: bump-stop, ended_right_up_by: bump-stop, "
        "touched_at_left_lock: nothing, touched_at_right_lock: nothing, "
        "both_locks: true, nothing_touched: true, gaps: []}",
        "  welded: {tube_bow: 0.4}",
        "  reassembled: {renewed: {seals: {renewed: true}}, brakes_bled: true, no_leaks: true, fluids_filled: true, "
        "vent_clear: true, bolts_tightened: true, lines_secured: true}",
        f"  aligned: {{sides: {{both: {{caster: {caster:.1f}, camber: 0.2}}}}, toe_in: 0.1, thrust: 0.05, "
        "wheel_centred: true}",
        "  driven: {brakes_tested: true, runs_straight: true, no_shake: true, nothing_new: true, "
        "torque_checks: [{planned_after: 80 km, done_after: 75 km, all_tight: true}]}",
    )


@cache
def read(text: str) -> Build:
    """The build of a text, which is valid."""
    document = read_text(text, "text")
    assert problems_in(document) == ()
    return read_build(document.data)


def entries(*stages: Stage) -> list[dict[str, str]]:
    """A measurement of everything that is measured at some stages."""
    return [dict(entry) for stage in stages for entry in _entries_of(stage)]


@cache
def _entries_of(stage: Stage) -> list[dict[str, str]]:
    build = read(plain())
    return [
        {
            "stage": stage.value,
            "of": place,
            "value": _written(planned(build, place), place),
            "measured_on": f'"{DAYS[stage]}"',
            "measured_by": "J. Doe",
        }
        for place in measured_at(build, stage)
    ]


def spec(measured: list[dict[str, str]], baseline: dict[str, str] | None = None) -> str:
    """The example with these records; `baseline` None for a whole one, empty for none."""
    given = BASELINE if baseline is None else baseline
    # Measured on a surface plate, so that nothing is near a limit.
    lines = ["records:", *(f"  {name}" for name in FINE)]
    if given:
        lines.append(f"  baseline: {{{', '.join(f'{key}: {value}' for key, value in given.items())}}}")
    if measured:
        lines.append("  measured:")
        lines.extend(f"    - {{{', '.join(f'{key}: {value}' for key, value in each.items())}}}" for each in measured)
    return plain() + "\n".join((*lines, *done())) + "\n"


def _written(value: Any, place: str) -> str:
    if isinstance(value, Point):
        return f"[{', '.join(f'{1000 * axis:.6f}' for axis in value)}]"
    if place.endswith(("articulation", "lock_angle")):
        return f"{math.degrees(value):.6f} deg"
    return f"{value:.3f} N*m" if place.endswith("torque") else f"{1000 * value:.6f} mm"
