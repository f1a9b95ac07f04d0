"""`buildcheck rules` and `buildcheck schema`: lists and pages derived from the rules, and the schemas as they are."""

from __future__ import annotations

import json
from importlib.resources import files

import pytest
from click.testing import CliRunner, Result
from specs_and_rules import FAILURE, FINE, collected, needs_track

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
    so: error where it is not so
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
