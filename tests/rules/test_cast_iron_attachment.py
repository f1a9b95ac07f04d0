"""A build that just passes and one that just fails at each limit of cast-iron-attachment."""

from typing import Any

import pytest
from buildcheck_rules.cast_iron_attachment import rule as cast_iron_attachment
from edges import (
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    one_of_each_bound,
    with_data,
)
from sampling import sampled

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

BRACKET = "right arm axle bracket"
WELDED = f"{BRACKET} weld"
AT = "attachments.arm_axle_bracket.right"
PROCEDURE = {
    "process": "shielded-metal-arc",
    "filler": "ENiFe-CI",
    "preheat": "550 degF",
    "cooling": "slow",
    "peened": True,
}


def welded(material: str = "ductile-iron", **weld: Any) -> dict[str, Any]:
    """The right arm's bracket welded to a centre section of some material, by the whole procedure but for `weld`;
    what is None is left out."""
    procedure = {key: value for key, value in {**PROCEDURE, **weld}.items() if value is not None}
    return {f"{AT}.method": "welded", f"{AT}.weld": procedure, "axle.centre_section.material": material}


WELD = f"{AT}.weld"
BOLTED_TOO = {f"{AT}.method": "bolted-and-welded"}


def temperatures(limit: str, key: str, base: dict[str, Any]) -> list[Edge]:
    """The edges of a temperature of the procedure, kelvin."""
    near, far = (
        {"preheat": (540.0, 500.0), "post_heat": (883.0, 850.0)}[key],
        {
            "preheat": (900.0, 950.0),
            "post_heat": (883.0, 940.0),
        }[key],
    )
    low, high = (
        {"preheat": (400.0, 350.0), "post_heat": (800.0, 750.0)}[key],
        {
            "preheat": (950.0, 1050.0),
            "post_heat": (940.0, 990.0),
        }[key],
    )
    path = f"{WELD}.{key}"
    return edges(limit, WELDED, path, path, base=base, warn_below=near, fail_below=low, warn_above=far, fail_above=high)


EDGES = [
    *temperatures("preheat-temperature", "preheat", welded()),
    *temperatures("preheat-temperature", "preheat", {**welded(), **BOLTED_TOO}),
    *temperatures("post-heat-temperature", "post_heat", welded(post_heat="610 degC")),
]


def finds(*listed: tuple[str, str]) -> tuple[tuple[str, str, str], ...]:
    """The findings on the bracket: requirement and key."""
    return tuple(
        (WELDED if key.startswith("weld.") else BRACKET, requirement, f"{AT}.{key}") for requirement, key in listed
    )


OTHER = "right lateral bar axle bracket"
# The lateral bar's bracket is bolted to the same casting.
ON_THE_BAR = (OTHER, "casting-identified", "attachments.lateral_bar_axle_bracket.right.parent")
NEEDS = [
    Need(
        "casting-identified",
        BRACKET,
        met=welded(),
        not_met=welded("unknown-casting"),
        finds=(*finds(("casting-identified", "parent")), ON_THE_BAR, *finds(("not-gray-iron", "parent"))),
    ),
    Need(
        "not-gray-iron",
        BRACKET,
        met=welded("malleable-iron"),
        not_met=welded("gray-iron"),
        finds=finds(("not-gray-iron", "parent")),
    ),
    *(
        Need(
            "can-be-welded",
            BRACKET,
            met=welded(),
            not_met={**welded(parent), **of},
            finds=finds(("can-be-welded", key)),
        )
        for parent, of, key in (
            ("aluminium", {}, "parent"),
            ("cast-steel", {f"{AT}.bracket_material": "aluminium"}, "bracket_material"),
            # The procedure for iron does not help, so nothing of it is asked.
            ("ductile-iron", {f"{AT}.bracket_material": "aluminium", f"{AT}.weld": {}}, "bracket_material"),
            ("aluminium", {f"{AT}.bracket_material": "malleable-iron", f"{AT}.weld": {}}, "parent"),
        )
    ),
    Need(
        "preheat",
        WELDED,
        met=welded(),
        not_met=welded(preheat=None),
        finds=finds(("preheat", "weld.preheat")),
    ),
    Need(
        "filler",
        WELDED,
        met=welded(filler="ENi-CI"),
        not_met=welded(filler="ER70S-6"),
        finds=finds(("filler", "weld.filler")),
    ),
    *(
        Need(
            "filler-for-process",
            WELDED,
            met=welded(process=suited, filler=filler),
            not_met=welded(process=other, filler=filler),
            finds=finds(("filler-for-process", "weld.process")),
        )
        for filler, suited, other in (
            ("ENiFe-CI", "shielded-metal-arc", "gas-metal-arc"),
            ("ENiFeT3-CI", "flux-cored-arc", "shielded-metal-arc"),
            ("ERNiFeMn-CI", "gas-metal-arc", "brazing"),
            ("ERNi-CI", "gas-tungsten-arc", "flux-cored-arc"),
        )
    ),
    Need(
        "cooling",
        WELDED,
        met=welded(cooling=None, post_heat="1100 degF"),
        not_met=welded(cooling="still-air"),
        finds=finds(("cooling", "weld.cooling")),
    ),
    Need(
        "peening",
        WELDED,
        met=welded(),
        not_met=welded(peened=False),
        finds=finds(("peening", "weld.peened")),
    ),
    # The iron may be the bracket's, and the weld may be beside bolts.
    Need(
        "preheat",
        WELDED,
        met={**welded("cast-steel"), f"{AT}.bracket_material": "ductile-iron"},
        not_met={**welded("cast-steel", preheat=None), f"{AT}.bracket_material": "ductile-iron"},
        finds=finds(("preheat", "weld.preheat")),
    ),
    Need(
        "peening",
        WELDED,
        met={**welded(), **BOLTED_TOO},
        not_met={**welded(peened=None), **BOLTED_TOO},
        finds=finds(("peening", "weld.peened")),
    ),
    # An unidentified casting is reported for bolts as well.
    Need(
        "casting-identified",
        BRACKET,
        met={},
        not_met={"axle.centre_section.material": "unknown-casting"},
        finds=(*finds(("casting-identified", "parent")), ON_THE_BAR),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(cast_iron_attachment, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(cast_iron_attachment, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(cast_iron_attachment, EDGES, NEEDS)


METALS = (
    *("carbon-steel", "alloy-steel", "forged-steel", "cast-steel"),
    *("gray-iron", "ductile-iron", "malleable-iron", "unknown-casting", "aluminium"),
)


def words_on(parent: str, bracket: str, method: str) -> set[tuple[str, Verdict]]:
    """The result of the rule for one pair of metals: each requirement with its verdict, or why it does not apply."""
    change = {**welded(parent), f"{AT}.bracket_material": bracket, f"{AT}.method": method}
    if method == "bolted":
        del change[f"{AT}.weld"]
    readings = all_readings(cast_iron_attachment, read_build(with_data(example_data(), change)))
    return {(each.quantity or each.reason, each.verdict) for each in readings if each.subject in (BRACKET, WELDED)}


PROCEDURE_ASKED = {
    (name, Verdict.OK)
    for name in ("preheat", "preheat-temperature", "filler", "filler-for-process", "cooling", "peening")
}


@sampled(18, each=lambda parent, bracket: (parent, bracket == parent))
@pytest.mark.parametrize("bracket", METALS)
@pytest.mark.parametrize("parent", METALS)
def test_every_pair_of_metals_gets_its_word(parent: str, bracket: str) -> None:
    """Aluminium is welded to aluminium alone; iron on either side asks for the procedure; steel for nothing more."""
    pair = {parent, bracket}
    iron = {metal for metal in pair if "iron" in metal or metal == "unknown-casting"}
    identified = {("casting-identified", verdict) for verdict in _verdicts(iron, {"unknown-casting"}, Verdict.WARNING)}
    assert words_on(parent, bracket, "bolted") == identified | {("it is bolted", Verdict.OK)}
    if "aluminium" in pair:
        joined = Verdict.OK if pair == {"aluminium"} else Verdict.ERROR
        assert words_on(parent, bracket, "welded") == identified | {("can-be-welded", joined)}
        return
    gray = {("not-gray-iron", Verdict.OK)}
    if {"gray-iron", "unknown-casting"} & iron:  # the cause alone: no procedure helps
        gray = {("not-gray-iron", Verdict.ERROR)}
        assert words_on(parent, bracket, "welded") == identified | gray | {("can-be-welded", Verdict.OK)}
        return
    asked = identified | gray | PROCEDURE_ASKED if iron else set()
    assert words_on(parent, bracket, "welded") == asked | {("can-be-welded", Verdict.OK)}


def _verdicts(metals: set[str], broken: set[str], verdict: Verdict) -> set[Verdict]:
    return {verdict if metal in broken else Verdict.OK for metal in metals}


@pytest.mark.parametrize("metal", ["carbon-steel", "cast-steel", "ductile-iron"])
def test_a_bracket_does_not_override_the_metal_of_the_housing(metal: str) -> None:
    """The example's housing is of ductile iron, and asks for the procedure whatever the bracket says."""
    weld = {"filler": "ER70S-6"}
    changes = {f"{AT}.parent_material": metal, f"{AT}.method": "welded", f"{AT}.weld": weld}
    readings = all_readings(cast_iron_attachment, read_build(with_data(example_data(), changes)))
    found = [(each.quantity, each.verdict) for each in readings if each.verdict is not Verdict.OK]
    assert found == [(name, Verdict.ERROR) for name in ("preheat", "filler", "cooling", "peening")]


@pytest.mark.parametrize("weld", [{}, {"filler": "ER70S-6"}, {"filler": "ER70S-6", "post_heat": "200 degC"}])
@pytest.mark.parametrize("metal", ["gray-iron", "unknown-casting"])
def test_a_weld_on_gray_iron_is_one_error_for_any_incomplete_procedure(metal: str, weld: dict[str, str]) -> None:
    changes = {f"{AT}.method": "welded", f"{AT}.weld": weld, "axle.centre_section.material": metal}
    readings = all_readings(cast_iron_attachment, read_build(with_data(example_data(), changes)))
    found = [each for each in readings if each.verdict is Verdict.ERROR]
    assert [(each.subject, each.quantity, each.place) for each in found] == [(BRACKET, "not-gray-iron", f"{AT}.parent")]
    assert [each.quantity for each in readings if each.subject == WELDED] == []
    del changes[f"{AT}.weld"]  # nor does it ask for a weld that there must not be
    readings = all_readings(cast_iron_attachment, read_build(with_data(example_data(), changes)))
    assert [each.missing for each in readings if each.verdict is Verdict.NOT_CHECKED] == []


def test_a_bracket_that_states_iron_is_on_iron_whatever_the_housing_is() -> None:
    changes = {
        **welded("cast-steel"),
        f"{AT}.parent_material": "gray-iron",
    }
    readings = all_readings(cast_iron_attachment, read_build(with_data(example_data(), changes)))
    found = [(each.quantity, each.verdict, each.place) for each in readings if each.verdict is not Verdict.OK]
    assert found == [("not-gray-iron", Verdict.ERROR, f"{AT}.parent_material")]


def test_a_welded_bracket_of_no_stated_metal_is_not_checked() -> None:
    data = with_data(example_data(), welded("aluminium"))
    del data["attachments"]["arm_axle_bracket"]["right"]["bracket_material"]
    readings = [each for each in all_readings(cast_iron_attachment, read_build(data)) if each.subject == BRACKET]
    assert [(each.verdict, each.missing) for each in readings] == [(Verdict.NOT_CHECKED, (f"{AT}.bracket_material",))]


def test_aluminium_stated_on_a_gray_housing_does_not_hide_the_gray_iron() -> None:
    changes = {f"{AT}.parent_material": "aluminium", f"{AT}.method": "welded", f"{AT}.weld": {"filler": "ENiFe-CI"}}
    data = with_data(example_data(), {**changes, "axle.centre_section.material": "gray-iron"})
    found = [each for each in all_readings(cast_iron_attachment, read_build(data)) if each.quantity == "not-gray-iron"]
    assert [(each.verdict, each.place) for each in found] == [(Verdict.ERROR, f"{AT}.parent")]


def test_a_bracket_of_no_stated_method_may_be_bolted_so_that_its_weld_is_not_checked() -> None:
    """Aluminium on steel would be an error if it were welded, and so would gray iron."""
    for own, parent in (("aluminium", "cast-steel"), ("carbon-steel", "gray-iron"), ("carbon-steel", "cast-steel")):
        data = with_data(example_data(), {**welded(parent), f"{AT}.bracket_material": own})
        del data["attachments"]["arm_axle_bracket"]["right"]["method"]
        readings = all_readings(cast_iron_attachment, read_build(data))
        found = {(each.quantity, each.missing) for each in readings if each.subject in (BRACKET, WELDED)}
        identified = {("casting-identified", ())} if parent == "gray-iron" else set()
        assert found == identified | {("", (f"{AT}.method",))}


def test_a_bolted_bracket_of_no_stated_metal_may_be_a_casting_that_is_not_identified() -> None:
    data = with_data(example_data(), {f"{AT}.method": "bolted", "axle.centre_section.material": "cast-steel"})
    del data["attachments"]["arm_axle_bracket"]["right"]["bracket_material"]
    readings = [each for each in all_readings(cast_iron_attachment, read_build(data)) if each.subject == BRACKET]
    assert {(each.missing, each.reason, each.applies) for each in readings} == {
        ((f"{AT}.bracket_material",), f"the spec lacks {AT}.bracket_material", True),
        ((), "it is bolted", False),
    }
