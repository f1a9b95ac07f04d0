"""`buildcheck rules` and `buildcheck schema`: lists and pages derived from the rules, and the schemas as they are."""

from __future__ import annotations

import json
import re
from importlib.resources import files

import pytest
from click.testing import CliRunner, Result
from specs_and_rules import FAILURE, FINE, collected, needs_track

from buildcheck.build.bolts import Bolt
from buildcheck.build.part import NamedPart, Part
from buildcheck.checks.limit import Limit
from buildcheck.commands.command import cli
from buildcheck.output.rule_text import catalogue, page_of, paragraphs
from buildcheck.plugins import loading as plugins
from buildcheck.plugins.loading import collect
from buildcheck.spec.quantity import System

LIST = """\
AXLE

  needs-track: It needs the track (from stage proposal on)
    width: error above 60.000 in
      basis: common practice, no source: a door is wide

SAFETY

  fine: It is so (from stage proposal on)
    so: error if not met
      basis: common practice, no source: it is better so
"""
PAGE = """\
IT NEEDS THE TRACK
  rule        needs-track
  area        axle
  applies     from stage proposal on
  looks at    build

  Checked: the track.

LIMITS
  width: track
      error above 1524.0 mm
      basis: common practice, no source: a door is wide

CAUTIONS
  At the truck: rated stands on a level floor, never a jack alone; the load off a spring before its bolts; gas charges \
never heated, cut or punctured; for welding a fire watch, and no zinc fume; brakes bled and tried; a slow first drive \
off the road.
  Local codes, inspection and licensed practice decide; welds that hold an axle are made by a qualified welder.
"""


def ask(*arguments: str) -> Result:
    return CliRunner().invoke(cli, arguments)


@pytest.fixture
def offer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plugins, "collect", lambda: collected(FINE, needs_track))


@pytest.mark.usefixtures("offer")
def test_the_list_and_a_page_in_full() -> None:
    result = ask("rules")
    assert (result.exit_code, result.output) == (0, LIST)
    result = ask("rules", "needs-track", "--units", "metric")
    assert (result.exit_code, result.output) == (0, PAGE)
    assert ask("rules", "--area", "axle").output == LIST.partition("\nSAFETY")[0]


def test_every_built_in_rule_has_a_page_with_all_that_it_is_made_of() -> None:
    rules = collect().rules
    assert rules
    listed = catalogue(rules, System.INCH_POUND)
    for rule in rules:
        page = page_of(rule, System.INCH_POUND)
        words = page.split()
        assert f"  {rule.name}: {rule.title} (" in listed
        for text in (rule.page, *(sample.says for sample in rule.samples)):
            asked = text.split()
            assert any(words[at : at + len(asked)] == asked for at in range(len(words))) or (
                " ".join(asked) in " ".join(words)
            )
        for limit in rule.limits:
            assert f"  {limit.name}: {limit.meaning}\n" in page
            assert limit.basis.text in page
            assert not isinstance(limit, Limit) or limit.error_basis is None or limit.error_basis.text in page
        for sample in rule.samples:
            for path in sample.change:
                assert f"      {path}: " in page


def test_the_same_as_json() -> None:
    told = json.loads(ask("rules", "--output", "json", "--units", "metric").output)
    assert [rule["name"] for rule in told["rules"]] == [
        rule.name
        for rule in sorted(collect().rules, key=lambda rule: (list(type(rule.area)).index(rule.area), rule.name))
    ]
    flat = json.loads(ask("rules", "link-flatness", "--output", "json").output)["rules"]
    assert [rule["name"] for rule in flat] == ["link-flatness"]
    assert flat[0]["limits"][0]["error_above"] == {
        "si": pytest.approx(0.17453292519943295),
        "shown": "10.00 deg",
    }


def test_a_plugin_that_failed_is_told_and_is_3(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plugins, "collect", lambda: collected(FINE, failures=(FAILURE,)))
    result = ask("rules")
    assert result.exit_code == 3
    assert "fine: It is so" in result.output
    assert "The plugin shop-rules could not be used: it implements no hook of buildcheck" in result.output


def test_a_page_keeps_its_paragraphs_and_its_formulas() -> None:
    text = "One\nparagraph.\n\nAnother:\n    a = b\n    c = d\n- a point\n  that goes on"
    assert paragraphs(text) == ["One paragraph.", "Another:", "a = b", "c = d", "- a point", "that goes on"]


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ([], "build-spec"),
        (["--of", "build-spec"], "build-spec"),
        (["--of", "loads"], "loads"),
        (["--of", "readings"], "readings"),
        (["--of", "shop-standard"], "shop-standard"),
    ],
)
def test_a_schema_is_printed_as_it_is(arguments: list[str], name: str) -> None:
    result = ask("schema", *arguments)
    assert result.exit_code == 0
    assert result.output == files("buildcheck_schemas").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")


def test_fields_lists_the_fields_of_a_part_with_unit_words_and_example() -> None:
    told = CliRunner().invoke(cli, ["rules", "--fields", "lateral-bar"])
    assert told.exit_code == 0
    assert told.output.splitlines() == [
        "LATERALBAR",
        "  The bar that holds the axle sideways.",
        "  Its class is LateralBar; a spec writes it at lateral_bar.",
        "",
        "  frame                   point: x, y and z, in; Centre of the joint at the frame. Example: [5, 17, 21]",
        "  axle                    point: x, y and z, in; Centre of the joint at the axle. Example: [5, -16, 20]",
        "  length                  length, in; Length it is made to, joint centre to joint centre; where left out, it"
        " follows from its points. Example: 33 in",
        "  tube                    Tube; A round tube or bar.",
        "  joints                  TwoJoints; The joints at the two ends.",
        "",
        "  buildcheck rules --quantities lists what is computed from them.",
    ]
    metric = CliRunner().invoke(cli, ["rules", "--fields", "LateralBar", "--units", "metric"])
    assert "  frame                   point: x, y and z, mm; " in metric.output


def _below(kind: type) -> set[type]:
    return {kind, *(each for child in kind.__subclasses__() for each in _below(child))}


PARTS = {kind.__name__ for kind in _below(Part) if kind.__module__.startswith("buildcheck.build.")} - {
    Part.__name__,
    NamedPart.__name__,
    Bolt.__name__,  # what the bolts of brackets and of joints share
}


def test_every_part_of_the_build_has_its_fields_listed() -> None:
    waiting, seen = ["Build"], {"Build"}
    while waiting:
        told = CliRunner().invoke(cli, ["rules", "--fields", waiting.pop()])
        assert told.exit_code == 0, told.output
        named = {word for word in re.findall(r"\b[A-Z]\w+(?=;| on each)", told.output) if word in PARTS}
        waiting += named - seen
        seen |= named
    assert seen == PARTS


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--fields", "stering"], 'there is no part of the build "stering"; did you mean "Steering"?'),
        (["--fields", "hose", "--quantities"], "--fields lists the fields of one part, as text"),
    ],
)
def test_fields_of_what_is_no_part_are_refused(arguments: list[str], said: str) -> None:
    told = CliRunner().invoke(cli, ["rules", *arguments])
    assert told.exit_code == 2
    assert said in told.output
