"""A build that just passes and one that just fails at each limit of weld-procedure."""

from dataclasses import replace
from typing import Any

import pytest
from buildcheck_rules.weld_procedure import SETTINGS
from buildcheck_rules.weld_procedure import rule as weld_procedure
from edges import (
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    readings_of,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.testing import changed

BRACKET = "left arm axle bracket"
WELD = "attachments.arm_axle_bracket.left.weld"

EDGES = [
    *edges(
        "current",
        BRACKET,
        f"{WELD}.current",
        f"{WELD}.current",
        base=SETTINGS,
        warn_above=(250, 400),
        fail_above=(400, 600),
        warn_below=(250, 100),
        fail_below=(100, 30),
    ),
    *edges(
        "heat-for-leg",
        BRACKET,
        f"{WELD}.travel_speed",
        f"{WELD}.travel_speed",
        base=SETTINGS,
        warn_above=(0.006, 0.0015),
        fail_above=(0.0015, 0.0009),
        warn_below=(0.006, 0.018),
        fail_below=(0.018, 0.06),
    ),
]


def need(name: str, field: str, good: Any, bad: Any, **more: Any) -> Need:
    """The need of one field of the weld of the left arm's axle bracket; `more` are other fields of both builds."""
    others = {f"{WELD}.{key}": value for key, value in more.items()}
    return Need(
        name,
        BRACKET,
        met={**others, f"{WELD}.{field}": good},
        not_met={**others, f"{WELD}.{field}": bad},
        finds=((BRACKET, name, f"{WELD}.{field}"),),
    )


NEEDS = [
    need("arc-process", "process", "gas-tungsten-arc", "brazing"),
    need("arc-process", "process", "gas-tungsten-arc", "oxy-fuel"),
    need("filler-for-process", "filler", "ER70S-6", "E7018"),
    need("filler-for-process", "filler", "E7018", "ER70S-6", process="shielded-metal-arc"),
    need("filler-for-process", "filler", "E71T-1", "ER70S-6", process="flux-cored-arc"),
    need("cooled-slowly", "cooling", "still-air", "forced"),
    need("voltage", "voltage", "13.1 V", "12.9 V"),
    need("voltage", "voltage", "35.9 V", "36.1 V"),
]
PLAIN_WELD = {"kind": "fillet", "leg": "3/16 in", "length": 20, "process": "gas-metal-arc", "filler": "ER70S-6"}
ALLOY = {"attachments.arm_axle_bracket.left.bracket_material": "alloy-steel"}
NEEDS.append(
    Need(
        "filler-metal",
        BRACKET,
        met={f"{WELD}.filler": "ER80S-D2"},
        not_met={f"{WELD}.filler": "ER308L"},
        finds=((BRACKET, "filler-metal", f"{WELD}.filler"),),
    )
)
NEEDS.append(
    Need(
        "alloy-preheat-stated",
        BRACKET,
        met={**ALLOY, f"{WELD}.preheat": "200 degF"},
        not_met={**ALLOY, WELD: PLAIN_WELD},
        finds=((BRACKET, "alloy-preheat-stated", f"{WELD}.preheat"),),
    )
)
EDGES += [
    *edges("most-preheat", BRACKET, f"{WELD}.preheat", f"{WELD}.preheat", warn_above=(400, 600), fail_above=(600, 800)),
    *edges("least-preheat", BRACKET, f"{WELD}.preheat", f"{WELD}.preheat", fail_below=(280, 260)),
    *edges("alloy-preheat", BRACKET, f"{WELD}.preheat", f"{WELD}.preheat", base=ALLOY, fail_below=(400, 350)),
    *edges(
        "interpass",
        BRACKET,
        f"{WELD}.interpass",
        f"{WELD}.interpass",
        base={f"{WELD}.interpass": "300 degF"},
        warn_above=(500, 575),
        fail_above=(575, 620),
    ),
    *edges(
        "interpass-above-preheat",
        BRACKET,
        f"{WELD}.interpass",
        f"{WELD}.interpass",
        base={f"{WELD}.interpass": "300 degF"},
        fail_below=(400, 320),
    ),
    *edges(
        "post-heat",
        BRACKET,
        f"{WELD}.post_heat",
        f"{WELD}.post_heat",
        base={f"{WELD}.post_heat": "1100 degF"},
        warn_above=(850, 950),
        fail_above=(950, 1050),
    ),
]
# Its steels are carbon steel, so the filler is held against 58 ksi: E70 is 121 %, and no class lies on a bound.
FILLERS = [
    ("ER70S-6", Verdict.OK),
    ("ER80S-D2", Verdict.WARNING),
    ("ER100S-1", Verdict.WARNING),
    ("ER110S-1", Verdict.ERROR),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(weld_procedure, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(weld_procedure, need)


@pytest.mark.parametrize(("filler", "verdict"), FILLERS)
def test_a_filler_is_about_as_strong_as_the_weaker_steel(filler: str, verdict: Verdict) -> None:
    build = read_build(changed(example_data(), {f"{WELD}.filler": filler}))
    (found,) = readings_of(weld_procedure, build, "filler-strength", BRACKET)
    assert found.verdict is verdict
    assert found.value == pytest.approx(int(filler[2:].split("S", maxsplit=1)[0]) / 58)


def test_a_filler_that_is_too_weak_for_alloy_steel_is_found() -> None:
    both = {**ALLOY, "axle.tube.material": "alloy-steel", f"{WELD}.preheat": "300 degF"}
    weak = read_build(
        changed(example_data(), {**both, f"{WELD}.filler": "E6011", f"{WELD}.process": "shielded-metal-arc"})
    )
    (found,) = readings_of(weld_procedure, weak, "filler-strength", BRACKET)
    assert (found.verdict, found.value) == (Verdict.WARNING, pytest.approx(60 / 90))


def test_a_filler_that_nobody_knows_is_not_checked() -> None:
    build = read_build(changed(example_data(), {f"{WELD}.filler": "super rod"}))
    found = [
        each for each in all_readings(weld_procedure, build) if each.subject == BRACKET and "super rod" in each.reason
    ]
    assert {each.verdict for each in found} == {Verdict.NOT_CHECKED}
    assert len(found) == 2


def test_every_limit_has_its_edges() -> None:
    """The bounds of the strength of the filler are tried with fillers, which come in classes."""
    with_edges = [limit for limit in weld_procedure.limits if limit.name != "filler-strength"]
    check_complete(replace(weld_procedure, limits=tuple(with_edges)), EDGES, NEEDS)
