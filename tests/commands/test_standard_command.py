"""A shop's standard and waivers by the commands: which one is used, what is shown, and how it ends."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import date
from pathlib import Path

import platformdirs
import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator
from specs_and_rules import FINE, STEEP, collected, needs_track, run

from buildcheck.commands import inspect as inspect_command
from buildcheck.commands.command import cli
from buildcheck.job.built_in_quantities import DRIVELINE, FAMILIES, WHOLE_AXLE
from buildcheck.plugins import loading as plugins
from buildcheck.spec.schema import schema

HEAD = "format: 1\nunits: inch-pound\nshop: %s\n"
WIDER = HEAD + "limits: [{rule: needs-track, limit: width, error: {above: 64 in}, basis: our door is wider}]\n"
WAIVED = """\
waivers:
  - rule: needs-track
    limit: width
    place: vehicle.track
    up_to: 64 in
    reason: the door comes out
    who: the foreman
    date: "2026-03-01"
    until_date: "2026-04-01"
    covers: error
"""
PLUGIN = """\
from buildcheck.api import Area, Build, Rule, Words, common_practice, met, rules_hook

BUILDCHECK_INTERFACE = 2
rule = Rule("swept-floor", area=Area.SAFETY, page="The floor is swept.\\n\\nChecked: the floor.")

@rule.must(Build, wanted="a broom", basis=common_practice("sparks find dust"), change=Words("sweep it"), place="units")
def swept(job, build):
    \"\"\"The floor is swept.\"\"\"
    return met(False, "a broom", otherwise="dust")

@rules_hook
def buildcheck_rules():
    return [rule]
"""


@pytest.fixture(autouse=True)
def _two_rules(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(plugins, "collect", lambda: collected(FINE, needs_track))
    monkeypatch.setattr(inspect_command, "today", lambda: date(2026, 3, 14))
    monkeypatch.setattr(platformdirs, "user_config_path", lambda *_, **__: tmp_path / "config")


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    file = tmp_path / "job" / "steep.buildcheck.yaml"
    file.parent.mkdir()
    file.write_text(STEEP, encoding="utf-8")
    return file


def call(*arguments: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(cli, [*map(str, arguments)], input=stdin)


def write(file: Path, text: str) -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


def used(spec: Path, *options: str | Path) -> tuple[str, str, str] | None:
    result = call("inspect", spec, "--output", "json", *options)
    told = json.loads(result.output)
    assert [error.message for error in Draft202012Validator(schema("readings.schema.json")).iter_errors(told)] == []
    standard = told["specs"][0]["standard"]
    return None if standard is None else (standard["shop"], Path(standard["file"]).name, standard["found"])


def test_the_one_that_is_named_goes_before_the_one_beside_the_spec_before_the_users_own(spec: Path) -> None:
    assert used(spec) is None
    write(spec.parent.parent / "config" / "shop.standard.yaml", HEAD % "the user")
    assert used(spec) == ("the user", "shop.standard.yaml", "in the user's configuration folder")
    write(spec.parent / "shop.standard.yaml", HEAD % "the job")
    assert used(spec) == ("the job", "shop.standard.yaml", "beside the spec")
    named = write(spec.parent.parent / "other.yaml", HEAD % "another")
    assert used(spec, "--standard", named) == ("another", "other.yaml", "named on the command line")


def test_nothing_lies_beside_standard_input(spec: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(spec.parent / "shop.standard.yaml", HEAD % "the job")
    monkeypatch.chdir(spec.parent)
    told = json.loads(call("inspect", "-", "--output", "json", stdin=STEEP).output)
    assert told["specs"][0]["standard"] is None


def test_it_is_looked_for_above_the_spec_up_to_the_root_of_the_repository(spec: Path, tmp_path: Path) -> None:
    above = write(tmp_path / "shop.standard.yaml", HEAD % "the shop")
    assert used(spec) is None  # there is no repository here
    (tmp_path / ".git").mkdir()
    assert used(spec) == ("the shop", "shop.standard.yaml", "in a folder above the spec")
    (spec.parent / ".git").mkdir()
    assert used(spec) is None  # it is above the root
    (spec.parent / ".git").rmdir()
    write(spec.parent / "shop.standard.yaml", HEAD % "the job")
    assert used(spec) == ("the job", "shop.standard.yaml", "beside the spec")
    (spec.parent / "shop.standard.yaml").unlink()
    above.write_text(WIDER % "the shop", encoding="utf-8")
    blocked = call("inspect", spec, "--hold-point", "proposal")
    assert blocked.exit_code == 5
    assert "made milder by a standard that was found" in blocked.output


def test_nothing_is_signed_without_the_plugins_that_the_standard_names(spec: Path) -> None:
    file = write(spec.parent / "shop.standard.yaml", (WIDER % "the job") + "plugins: [our-plugin]\n")
    result = call("inspect", spec, "--hold-point", "proposal", "--standard", file)
    assert result.exit_code == 5
    said = "the shop standard demands the plugin our-plugin, which is not installed or cannot be used"
    assert f"  blocked   {said}\n" in result.output
    assert call("inspect", spec).exit_code == 0  # a name runs no code, so the standard is used


def test_each_spec_has_the_standard_beside_it(spec: Path, tmp_path: Path) -> None:
    other = write(tmp_path / "shop" / "other.buildcheck.yaml", STEEP)
    write(other.parent / "shop.standard.yaml", WIDER % "the other")
    told = json.loads(call("inspect", spec, other, "--output", "json").output)
    assert [each["standard"] and each["standard"]["shop"] for each in told["specs"]] == [None, "the other"]
    assert [each["count"]["error"] for each in told["specs"]] == [1, 0]


def test_the_record_says_which_and_a_changed_limit_shows_both_bases(spec: Path) -> None:
    file = write(spec.parent / "shop.standard.yaml", WIDER.replace("64 in", "62 in") % "the job")
    result = call("inspect", spec)
    assert result.exit_code == 1
    assert f"  standard  shop standard of the job; {file}, beside the spec (sha256 " in result.output
    assert (
        "       wanted   at most 62.000 in; 1.000 in over\n"
        "       change   nothing to change\n"
        "       in spec" in result.output
    )
    assert (
        "       basis    shop standard of the job: our door is wider; the built-in limit is at most 60.000 in, "
        "common practice, no source: a door is wide (rule needs-track, width)\n"
    ) in result.output
    file.write_text(WIDER % "the job", encoding="utf-8")
    assert call("inspect", spec).exit_code == 0


def test_rules_switched_off_and_limits_of_the_shops_own_are_shown(spec: Path) -> None:
    write(
        spec.parent / "shop.standard.yaml",
        HEAD % "the job"
        + "switched_off: [{rule: needs-track, reason: it is measured at the door}]\n"
        + "own_limits:\n  - {name: nose-up, quantity: caster, where: travel, error: {below: 3}, basis: it wanders,\n"
        + "     message: turn the axle, area: axle}\n",
    )
    result = call("inspect", spec)
    assert "SWITCHED OFF BY THE SHOP STANDARD\n  needs-track: it is measured at the door\n" in result.output
    assert "NOT CHECKED\n  axle lacks caster; it is at " in result.output
    assert "needed by nose-up (whole build)" in result.output
    only = call("inspect", spec, "--only", "nose-up")
    assert "needed by nose-up" in only.output
    assert "needs-track" not in only.output
    assert only.exit_code == 4
    assert call("inspect", spec, "--only", "nose-down").exit_code == 2


def test_a_required_rule_left_unchecked_is_an_item(spec: Path) -> None:
    write(
        spec.parent / "shop.standard.yaml",
        HEAD % "j" + "required: [{rule: needs-track, from_stage: proposal, basis: b}]",
    )
    spec.write_text(STEEP.replace("track: 63, ", ""), encoding="utf-8")
    result = call("inspect", spec)
    assert result.exit_code == 1
    assert "found    not checked: the spec lacks vehicle.track\n" in result.output
    assert "wanted   checked, from stage proposal on\n" in result.output
    assert "change   write vehicle.track into the spec\n" in result.output
    assert "(rule needs-track)\n" in result.output
    assert "NOT CHECKED" not in result.output


MISNAMED = (WIDER % "j").replace("limit: width", "limit: widht")
SENTENCE = 'there is no limit of needs-track called "widht"; did you mean "width"?'


def test_a_mistake_in_a_standard_that_is_named_ends_it_with_its_place(spec: Path) -> None:
    file = write(spec.parent / "named.yaml", MISNAMED)
    result = call("inspect", spec, "--standard", file)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == (
        "SHOP STANDARD: NOT USED\n"
        f"  1 thing to put right in {file}, so nothing was done:\n"
        f"  {file}:4:30 limits[0].limit\n"
        f"    {SENTENCE}\n"
    )


@pytest.mark.parametrize("text", [MISNAMED, "- a\n"])
def test_a_broken_standard_beside_one_spec_leaves_the_others_alone(spec: Path, tmp_path: Path, text: str) -> None:
    file = write(spec.parent / "shop.standard.yaml", text)
    other = write(tmp_path / "shop" / "other.buildcheck.yaml", STEEP)
    result = call("inspect", spec, other, "--output", "json")
    told = json.loads(result.stdout)
    assert (result.exit_code, told["exit_status"]) == (2, 2)
    assert [error.message for error in Draft202012Validator(schema("readings.schema.json")).iter_errors(told)] == []
    assert [(each["state"], each["exit_status"]) for each in told["specs"]] == [
        ("standard not usable", 2),
        ("inspected", 1),
    ]
    assert told["specs"][0]["problems_in"] == str(file)
    alone = json.loads(call("inspect", other, "--output", "json").output)
    assert told["specs"][1]["readings"] == alone["specs"][0]["readings"]


def test_the_record_of_a_spec_whose_standard_is_broken_says_where(spec: Path, tmp_path: Path) -> None:
    file = write(spec.parent / "shop.standard.yaml", MISNAMED)
    result = call("inspect", spec)
    assert result.exit_code == 2
    assert result.output == (
        "INSPECTION RECORD: NOT INSPECTED\n"
        f"  spec      {spec}\n"
        "\n"
        f"  The shop standard {file} cannot be used; 1 thing to put right in it:\n"
        f"  {file}:4:30 limits[0].limit\n"
        f"    {SENTENCE}\n"
    )
    quiet = call("inspect", spec, "--quiet")
    assert quiet.output == f"REFUSED  {spec}, by its standard: {SENTENCE}; {file}:4:30 limits[0].limit\n"
    page = call("report", spec, "--to", tmp_path / "r.html")
    assert (page.exit_code, page.stdout, page.stderr) == (2, "", result.output)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (None, "there is no such file"),
        ("format: 1\n  units: [", "is not allowed here"),
        ("", "the file is empty"),
        ("- a\n", "the file holds no keys"),
        ("format: 1\nunits: inch-pound\nshop: 010\n", "shop"),
        ("format: 2\nunits: inch-pound\nshop: a\n", "format must be 1, and this is 2"),
    ],
)
def test_a_standard_that_cannot_be_read_ends_it_without_a_traceback(
    spec: Path, tmp_path: Path, text: str | None, sentence: str
) -> None:
    file = tmp_path / "named.yaml"
    if text is not None:
        write(file, text)
    for command in (["inspect", spec], ["rules"]):
        result = call(*command, "--standard", file)
        assert (result.exit_code, result.stdout) == (2, "")
        assert sentence in result.stderr
        assert "Traceback" not in result.stderr


def test_a_standard_beside_a_spec_runs_no_code(spec: Path) -> None:
    mark = spec.parent / "ran"
    code = f"import pathlib\npathlib.Path({str(mark)!r}).touch()\n{PLUGIN}"
    write(spec.parent / "rules" / "ours.py", code)
    file = write(spec.parent / "shop.standard.yaml", HEAD % "j" + "plugins: [rules/ours.py]\n")
    result = call("inspect", spec)
    assert result.exit_code == 2
    assert f"{file}:4:1 plugins" in result.output
    assert (
        f"plugins are code, and a standard that lies beside the spec runs none; name it: --standard {file}"
        in result.output
    )
    assert not mark.exists()
    named = call("inspect", spec, "--standard", file, "--only", "swept-floor")
    assert "(rule swept-floor, swept)\n" in named.output
    assert mark.exists()
    assert call("rules", "swept-floor", "--standard", file).output.startswith("THE FLOOR IS SWEPT\n")


def test_a_standard_of_the_user_runs_its_code_and_knows_its_rules(spec: Path, tmp_path: Path) -> None:
    write(tmp_path / "config" / "ours.py", PLUGIN)
    write(
        tmp_path / "config" / "shop.standard.yaml",
        HEAD % "me"
        + "plugins: [ours.py]\ncounts_as: [{rule: swept-floor, requirement: swept, if_not: warning, basis: b}]\n",
    )
    told = json.loads(call("inspect", spec, "--output", "json").output)
    [reading] = [each for each in told["specs"][0]["readings"] if each["rule"] == "swept-floor"]
    assert (reading["verdict"], reading["built_in"]["if_not"]) == ("warning", "error")


# Waivers.


LOOSER = (
    "whole build: track: 63.000 in; within limits by the shop standard (at most 64.000 in), "
    "error as built in (at most 60.000 in)"
)
WIDENED = "1 limit looser than built in: needs-track/width"
BOTH = (
    "needs-track/width: error above 64.000 in; built in: error above 60.000 in; "
    "shop standard of the job: our door is wider"
)
PASSES = "1 reading passes only by a looser limit of the shop standard"


def test_what_passes_only_by_a_looser_limit_is_named_in_the_record(spec: Path) -> None:
    write(spec.parent / "shop.standard.yaml", WIDER % "the job")
    result = call("inspect", spec)
    assert result.exit_code == 0
    heading = "ONLY BY A LOOSER LIMIT OF THE SHOP STANDARD\n"
    assert f"{heading}  {LOOSER}; {spec}:4:27 vehicle.track\n" in result.output
    assert f"2 readings within limits. {WIDENED}. {PASSES}.\n" in result.output
    heading = "LIMITS OF THE SHOP STANDARD THAT ARE LOOSER THAN BUILT IN\n"
    assert f"{heading}  {BOTH}\n" in result.output


def test_it_is_named_in_the_quiet_record(spec: Path) -> None:
    write(spec.parent / "shop.standard.yaml", WIDER % "the job")
    result = call("inspect", spec, "--quiet")
    used, *lines = result.output.splitlines()
    assert used.startswith("STANDARD shop standard of the job; ")
    assert "(sha256 " in used
    assert lines == [
        f"LOOSER   {WIDENED}; {spec}",
        f"LOOSER   {BOTH}; {spec}",
        f"LOOSER   {PASSES}; {spec}",
        f"LOOSER   {LOOSER}; {spec}:4:27 vehicle.track",
    ]
    assert result.exit_code == 0


def test_it_is_named_in_json(spec: Path) -> None:
    write(spec.parent / "shop.standard.yaml", WIDER % "the job")
    told = json.loads(call("inspect", spec, "--output", "json").output)
    assert [error.message for error in Draft202012Validator(schema("readings.schema.json")).iter_errors(told)] == []
    (found,) = told["specs"]
    assert (found["count"]["loosened"], found["count"]["looser_limits"]) == (1, 1)
    assert [(each["name"], each["words"], each["past"]) for each in found["looser_limits"]] == [
        ("needs-track/width", BOTH, "")
    ]
    file = spec.parent / "shop.standard.yaml"
    assert found["standard"]["sha256"] == hashlib.sha256(file.read_bytes()).hexdigest()
    width, other = sorted(found["readings"], key=lambda reading: reading["quantity"] != "width")
    assert other["loosened"] is None
    assert LOOSER.endswith(width["loosened"]["words"])
    assert width["loosened"]["instead_of"] == "error"
    assert (width["loosened"]["lowest"], width["loosened"]["built_in_lowest"]) == (None, None)
    assert [width["loosened"][end]["shown"] for end in ("highest", "built_in_highest")] == ["64.000 in", "60.000 in"]


def unbroken(report: Path) -> str:
    """A report without the marks that keep an amount on one line."""
    return re.sub(r"<span class=q>(.*?)</span>", r"\1", report.read_text(encoding="utf-8"))


def test_it_is_named_in_the_report(spec: Path, tmp_path: Path) -> None:
    write(spec.parent / "shop.standard.yaml", WIDER % "the job")
    call("report", spec, "--to", tmp_path / "report.html")
    page = unbroken(tmp_path / "report.html")
    assert "<bdi>1 reading made milder by a standard that was found beside the spec" in page  # in its row to sign
    assert f" {WIDENED}. {PASSES}." in page  # in the sum
    assert f"<li><bdi>{BOTH}</bdi></li>" in page
    assert f"<li><bdi>{LOOSER} (vehicle.track, line 4)</bdi></li>" in page
    assert f'<b class="near">{LOOSER.partition("in; ")[2]}</b>' in page  # beside the reading itself


def test_a_looser_limit_is_signed_off_only_by_a_standard_that_was_named(spec: Path) -> None:
    file = write(spec.parent / "shop.standard.yaml", WIDER % "the job")
    found = call("inspect", spec, "--hold-point", "proposal")
    assert found.exit_code == 5
    assert "  blocked   1 reading made milder by a standard that was found beside the spec; name" in found.output
    named = call("inspect", spec, "--hold-point", "proposal", "--standard", file)
    assert named.exit_code == 0
    assert "  accepted  1 reading milder only by a looser limit of the shop standard\n" in named.output
    assert f"  accepted  {WIDENED}\n" in named.output
    write(file, HEAD % "the job" + "switched_off: [{rule: needs-track, reason: we paint}]\n")
    assert call("inspect", spec, "--hold-point", "proposal").exit_code == 5
    write(file, (WIDER % "the job").replace("64 in", "62 in"))
    assert "made milder" not in call("inspect", spec, "--hold-point", "proposal").output


def test_a_rule_that_is_switched_off_is_counted_and_named(spec: Path, tmp_path: Path) -> None:
    write(
        spec.parent / "shop.standard.yaml", HEAD % "the job" + "switched_off: [{rule: needs-track, reason: we paint}]\n"
    )
    off = "1 rule switched off by the shop standard: needs-track"
    assert f"1 reading within limits. {off}.\n" in call("inspect", spec).output
    assert call("inspect", spec, "--quiet").output.endswith(f"\nOFF      {off}; {spec}\n")
    named = spec.parent / "shop.standard.yaml"
    call("report", spec, "--standard", named, "--to", tmp_path / "report.html")
    page = unbroken(tmp_path / "report.html")
    assert f"<bdi>{off}</bdi>" in page


def test_a_waived_reading_stays_in_view_and_is_no_error(spec: Path) -> None:
    assert call("inspect", spec).exit_code == 1
    spec.write_text(STEEP + WAIVED, encoding="utf-8")
    result = call("inspect", spec)
    assert result.exit_code == 0
    heading = result.output.index("\nWAIVED\n")
    assert result.output[heading:].startswith(
        "\nWAIVED\n"
        "       waived   whole build: track\n"
        "       found    63.000 in\n"
        "       wanted   at most 60.000 in; 3.000 in over\n"
        "       would be error\n"
        "       why      the door comes out\n"
        "       accepts  up to 64.000 in\n"
        "       by       the foreman, 2026-03-01\n"
        "       until    2026-04-01\n"
        f"       waiver   {spec}:12:5 waivers[0]\n"
        f"       in spec  {spec}:4:27 vehicle.track\n"
        "       basis    common practice, no source: a door is wide (rule needs-track, width)\n"
    )
    assert (
        "0 readings not checked, 0 items to put right, 0 to look at; 1 reading within limits, 1 waived.\n"
        in result.output
    )


def test_a_waived_reading_in_json(spec: Path) -> None:
    spec.write_text(STEEP + WAIVED, encoding="utf-8")
    told = json.loads(call("inspect", spec, "--output", "json").output)
    assert [error.message for error in Draft202012Validator(schema("readings.schema.json")).iter_errors(told)] == []
    [reading] = [each for each in told["specs"][0]["readings"] if each["rule"] == "needs-track"]
    assert (reading["verdict"], reading["item"]) == ("waived", None)
    assert reading["waived"] == {
        "instead_of": "error",
        "reason": "the door comes out",
        "who": "the foreman",
        "date": "2026-03-01",
        "until": "2026-04-01",
        "size": "up to 64.000 in",
        "place": {"path": "waivers[0]", "line": 12, "column": 5},
    }
    assert told["specs"][0]["count"] == {
        "ok": 1, "warning": 0, "error": 0, "not_checked": 0, "waived": 1, "failed": 0, "loosened": 0,
        "looser_limits": 0, "items": 0,
    }  # fmt: skip


def test_a_waived_reading_is_one_line_of_the_quiet_record(spec: Path) -> None:
    spec.write_text(STEEP + WAIVED, encoding="utf-8")
    assert call("inspect", spec, "--quiet").output == f"WAIVED   1 reading; {spec}\n"


def test_past_its_end_both_are_errors(spec: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inspect_command, "today", lambda: date(2026, 4, 2))
    spec.write_text(STEEP + WAIVED, encoding="utf-8")
    result = call("inspect", spec)
    assert result.exit_code == 1
    assert "2 items to put right" in result.output
    assert "found    it ended on 2026-04-01, and today is 2026-04-02\n" in result.output
    assert f"in spec  {spec}:19:5 waivers[0].until_date\n" in result.output


def test_without_a_reason_the_spec_is_not_valid(spec: Path) -> None:
    spec.write_text(STEEP + WAIVED.replace("    reason: the door comes out\n", ""), encoding="utf-8")
    result = call("inspect", spec)
    assert result.exit_code == 2
    assert 'waivers[0] needs "reason", which is not there' in result.output


def test_what_a_waiver_is_held_to_has_a_page() -> None:
    result = call("rules", "waivers")
    assert result.exit_code == 0
    assert result.output.startswith(
        "WAIVERS ARE IN ORDER, AND STILL NEEDED\n  rule        waivers\n  area        records\n"
    )


# What `buildcheck rules` shows.


def test_rules_are_shown_in_the_units_of_the_standard_unless_others_are_asked_for(tmp_path: Path) -> None:
    text = (WIDER % "j").replace("inch-pound", "metric").replace("64 in", "1600")
    file = write(tmp_path / "any.yaml", text)
    assert "    width: error above 1600.0 mm\n" in call("rules", "--standard", file).output
    assert "    width: error above 62.992 in\n" in call("rules", "--standard", file, "--units", "inch-pound").output
    assert "    width: error above 60.000 in\n" in call("rules").output
    told = json.loads(call("rules", "--standard", file, "--output", "json").output)
    assert told["units"] == "metric"


def test_rules_as_a_standard_has_them(tmp_path: Path) -> None:
    text = WIDER % "j" + (
        "required: [{rule: fine, from_stage: tacked, basis: r}]\nnever_waived: [{rule: fine, basis: never}]\n"
        "own_limits:\n  - {name: nose-up, quantity: caster, where: travel, error: {below: 3}, basis: it wanders,\n"
        "     message: turn the axle, area: axle, uses: [trail]}\n"
    )
    by_use = "  - {rule: needs-track, limit: width, error: {above: 70}, uses: [work], basis: at work}\n"
    text = text.replace("limits: [{", "limits:\n  - {", 1).replace("wider}]\n", f"wider}}\n{by_use}", 1)
    file = write(tmp_path / "any.yaml", text)
    assert call("rules", "--standard", file).output == (
        "By the shop standard of j.\n"
        "\n"
        "AXLE\n"
        "\n"
        "  needs-track: It needs the track (from stage proposal on)\n"
        "    width: error above 64.000 in\n"
        "      basis: shop standard of j: our door is wider; built in: error above 60.000 in, "
        "common practice, no source: a door is wide\n"
        "      for work: error above 70.000 in\n"
        "        basis: shop standard of j: at work; built in: error above 60.000 in, "
        "common practice, no source: a door is wide\n"
        "\n"
        "  nose-up: Over the travel: caster: positive with the steering axis leaning rearward at the top; "
        "roll does not turn it (from stage proposal on)\n"
        "    only for trail\n"
        "    caster: error below 3.00 deg\n"
        "      basis: shop standard of j: it wanders\n"
        "\n"
        "SAFETY\n"
        "\n"
        "  fine: It is so (from stage proposal on)\n"
        "    required from stage tacked on: shop standard of j: r\n"
        "    never waived: shop standard of j: never\n"
        "    so: error if not met\n"
        "      basis: common practice, no source: it is better so\n"
    )
    told = json.loads(call("rules", "--standard", file, "--output", "json").output)
    width = next(each for each in told["rules"] if each["name"] == "needs-track")["limits"][0]
    assert (width["error_above"]["shown"], width["built_in"]["error_above"]["shown"]) == ("64.000 in", "60.000 in")
    assert [(each["uses"], each["limit"]["error_above"]["shown"]) for each in width["by_use"]] == [
        (["work"], "70.000 in")
    ]
    assert told["standard"]["own"] == [{"rule": "nose-up", "uses": ["trail"]}]
    assert call("rules", "nose-up", "--standard", file).exit_code == 0
    assert call("rules", "nose-up").exit_code == 2


def test_every_quantity_is_listed_with_its_unit_its_meaning_and_its_sign() -> None:
    result = call("rules", "--quantities")
    assert result.exit_code == 0
    listed = {
        line.split()[0]: line.split(None, 1)[1]
        for line in result.output.splitlines()
        if line.startswith("  ") and "; " in line
    }
    told = {
        each["name"]: each
        for each in json.loads(call("rules", "--quantities", "--output", "json").output)["quantities"]
    }
    wanted = {each.name: each for each in (*WHOLE_AXLE, *DRIVELINE)} | {each.family: each for each in FAMILIES}
    assert set(listed) == set(told) == set(wanted)
    for name, each in wanted.items():
        meaning = each.meaning.format(part=getattr(each, "noun", ""))
        assert listed[name].endswith(meaning if each.compared else f"{meaning}; for information only")
        assert (told[name]["meaning"], told[name]["dimension"]) == (meaning, each.dimension.value)
        assert told[name]["for_information"] is not each.compared
    assert (
        listed["caster"]
        == "angle, deg; caster: positive with the steering axis leaning rearward at the top; roll does not turn it; "
        "for information only"
    )
    assert told["coilover-droop-to-spare"]["every"] == "coilover"
    assert told["coilover-length"]["unit"] == "in"
    metric = json.loads(call("rules", "--quantities", "--output", "json", "--units", "metric").output)
    assert next(each for each in metric["quantities"] if each["name"] == "coilover-length")["unit"] == "mm"


@pytest.mark.parametrize("more", [["link-flatness"], ["--area", "axle"], ["--new", "x"]])
def test_quantities_are_listed_alone(more: list[str]) -> None:
    result = call("rules", "--quantities", *more)
    assert result.exit_code == 2
    assert "--quantities lists quantities, and no rules" in result.stderr


def test_a_link_that_leads_nowhere_is_no_reason_to_look_elsewhere(spec: Path) -> None:
    (spec.parent / "shop.standard.yaml").symlink_to(spec.parent / "gone.yaml")
    result = call("inspect", spec)
    assert result.exit_code == 2
    assert "there is no such file" in result.output


def test_the_real_command_with_the_example(tmp_path: Path) -> None:
    examples = Path(__file__).parent.parent.parent / "examples"
    named = examples / "shop-standard" / "shop.standard.yaml"
    result = run(
        "inspect",
        examples / "tamarack" / "proposal.buildcheck.yaml",
        "--standard",
        named,
        XDG_CONFIG_HOME=str(tmp_path),
    )
    assert "shop standard of an invented shop, March 2026" in result.stdout
    assert "\x1b" not in result.stdout
    assert result.stderr == ""


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (
            "inspect",
            "Use this shop's standard. [default: shop.standard.yaml beside or above the spec, else the user's own]",
        ),
        (
            "report",
            "Use this shop's standard. [default: shop.standard.yaml beside or above the spec, else the user's own]",
        ),
        ("rules", "Show the limits of this shop's standard."),
    ],
)
def test_each_command_says_what_a_standard_is_to_it(command: str, said: str) -> None:
    assert f"--standard FILE {said} -" in " ".join(call(command, "--help").output.split())
