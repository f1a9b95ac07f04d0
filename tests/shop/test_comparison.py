"""Two states of a build compared: what is the same, what moved and by how much, and the laws that this keeps."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from random import Random

import pytest
import signed_specs
from called import called
from jsonschema import Draft202012Validator

import buildcheck
from buildcheck.checks.limit import Verdict
from buildcheck.output import compare_words
from buildcheck.shop.comparison import Turn
from buildcheck.spec.schema import schema
from buildcheck.testing import sound_spec
from buildcheck.testing.rewritten import in_other_units
from buildcheck.testing.specs import document_of

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
STANDARD = EXAMPLES / "shop-standard" / "shop.standard.yaml"
INCH = 0.0254


@cache
def spec(file: Path = TAMARACK) -> buildcheck.Spec:
    return buildcheck.read(file)


@cache
def result(file: Path = TAMARACK, stage: str | None = None, *, standard: bool = False) -> buildcheck.Result:
    by = STANDARD if standard else None
    return buildcheck.inspect(spec(file), stage=stage, how_sure=False, changes=False, standard=by)


def test_a_spec_is_the_same_as_itself() -> None:
    found = buildcheck.compare(result(), result())
    assert not found.differs
    assert found.same == len(result().readings)
    assert compare_words.tally(found) == f"Nothing differs: {found.same} readings as before."


def test_the_same_truck_in_other_units_is_the_same(tmp_path: Path) -> None:
    file = tmp_path / "other.buildcheck.yaml"
    file.write_text(json.dumps(document_of(in_other_units(Random(3), sound_spec())).data, indent=1), encoding="utf-8")
    found = buildcheck.compare(spec(), buildcheck.read(file))
    assert (found.inputs, found.limits) == ((), ())
    # The tables of the weld rule have a column for each system of units, which are not the same to the last digit.
    assert {turn.one.rule for turn in (*found.worse, *found.better, *found.moved)} <= {"weld-size"}


def test_one_changed_input_is_the_one_that_is_named_with_every_number_that_it_moved() -> None:
    higher = spec().changed({"lateral_bar.frame.z": 23})
    found = buildcheck.compare(result(), higher)
    assert [(each.path, each.then, each.now) for each in found.inputs] == [
        ("lateral_bar.frame.z", pytest.approx(22.75 * INCH), pytest.approx(23 * INCH))
    ]
    before, after = (
        {(each.rule, each.quantity, each.subject, each.of): each.value for each in readings}
        for readings in (result().inspection.readings, buildcheck.inspect(higher, changes=False).inspection.readings)
    )
    turns = {_key(turn): turn for turn in (*found.moved, *found.worse, *found.better)}
    key = ("lateral-bar-parallel", "front-view-angle", "whole build", "")
    assert before[key] is not None
    assert after[key] is not None
    assert turns[key].by == pytest.approx(after[key] - before[key])
    assert abs(after[key] - before[key]) > 1e-3
    unmoved = [name for name in before if name in after and name not in turns and before[name] is not None]
    assert len(unmoved) > 50
    for name in unmoved:
        assert after[name] == pytest.approx(before[name], rel=1e-8, abs=1e-8), name


def _key(turn: Turn) -> tuple[str, ...]:
    return turn.one.rule, turn.one.limit, turn.one.subject, turn.one.of


def test_the_way_back_is_the_mirror_image() -> None:
    there, back = buildcheck.compare(result(), result(FAULTS)), buildcheck.compare(result(FAULTS), result())

    def both(turns: tuple[Turn, ...]) -> set[tuple[str, ...]]:
        return {_key(turn) for turn in turns if turn.before is not None and turn.after is not None}

    assert both(there.worse) == both(back.better)
    assert both(there.better) == both(back.worse)
    assert {(each.path, each.then, each.now) for each in there.inputs} == {
        (each.path, each.now, each.then) for each in back.inputs
    }
    moved = {_key(turn): turn.by for turn in back.moved}
    for turn in there.moved:
        by = moved[_key(turn)]
        assert (turn.by is None) is (by is None)
        assert turn.by is None or by is None or turn.by == pytest.approx(-by)
    assert there.same == back.same


def test_what_got_worse_is_everything_that_did() -> None:
    found = buildcheck.compare(result(), result(FAULTS))
    errors = [each for each in result(FAULTS).readings if each.verdict is Verdict.ERROR]
    assert len([turn for turn in found.worse if turn.one.verdict == "error"]) == len(errors)
    assert [turn.one.verdict for turn in found.worse[: len(errors)]] == ["error"] * len(errors), "errors come first"


def test_a_reading_that_is_gone_is_no_better() -> None:
    only = buildcheck.inspect(spec(FAULTS), only="link-flatness", changes=False)
    found = buildcheck.compare(result(FAULTS), only)
    assert found.better == ()
    gone = [turn for turn in found.vanished if turn.one.verdict == "error"]
    assert len(gone) == len([each for each in result(FAULTS).errors if each.rule != "link-flatness"])


def test_another_standard_has_other_limits() -> None:
    found = buildcheck.compare(result(), result(standard=True))
    assert found.inputs == ()
    assert {(limit.rule, limit.limit) for limit in found.limits} == {
        ("link-flatness", "slope-at-ride"),
        ("limit-strap-length", "brake-line-slack"),
    }
    assert {turn.one.rule for turn in found.worse} == {"link-flatness"}
    assert {turn.one.rule for turn in found.appeared} == {"caster-for-the-road", "droop-to-spare"}


def test_the_same_limit_is_not_another_one_where_only_the_verdict_turned() -> None:
    """A reading has the bounds of the verdict that it got: the warning's within limits, the error's beyond them."""
    assert buildcheck.compare(result(), result(FAULTS)).limits == ()


def test_a_later_stage_asks_for_more() -> None:
    found = buildcheck.compare(result(), result(stage="tacked"))
    assert found.inputs == ()
    asked = [turn for turn in found.worse if turn.before is None]
    assert {turn.one.verdict for turn in asked} == {"not checked"}
    assert "as-measured" in {turn.one.rule for turn in asked}


def test_left_and_right_that_changed_alike_are_one_input() -> None:
    def inputs(changes: dict[str, object]) -> list[str]:
        found = buildcheck.compare(result(), spec().changed(changes))
        return list(compare_words.inputs(found.inputs, found_units))

    found_units = spec().build.units
    alike = inputs({"links.arm.both.frame": [-37, 16.25, 19.5]})
    assert [each.partition(":")[0] for each in alike] == ["links.arm.both.frame.y", "links.arm.both.frame.z"]
    assert alike[1] == "links.arm.both.frame.z: 19.700 in, then 19.500 in; -0.20 in"
    apart = inputs({"links.arm.left.frame.z": 19.5, "links.arm.right.frame.z": 19.25})
    assert [each.partition(":")[0] for each in apart] == ["links.arm.left.frame.z", "links.arm.right.frame.z"]


def test_something_that_is_no_spec_is_refused() -> None:
    with pytest.raises(TypeError, match=r"a Spec, as buildcheck.read returns"):
        buildcheck.compare(TAMARACK, result())  # type: ignore[arg-type]


# The command.


def test_text_and_json_say_the_same() -> None:
    arguments = ("compare", TAMARACK, FAULTS)
    record = json.loads(called(*arguments, "--output", "json").stdout)
    assert list(Draft202012Validator(schema("comparison.schema.json")).iter_errors(record)) == []
    text = called(*arguments, "--all").stdout
    for part in ("worse", "better", "vanished", "appeared"):
        for turn in record[part]:
            assert turn["words"] in text
            assert turn["meaning"] in text
    assert all(turn["meaning"] in text for turn in record["moved"])
    assert all(each["words"] in text for each in record["inputs"])
    assert record["exit_status"] == 1
    assert called(*arguments).returncode == 1
    short = called(*arguments).stdout
    assert len(short.splitlines()) < len(text.splitlines())
    assert "--all lists them" in short


def test_how_it_ends(tmp_path: Path) -> None:
    assert called("compare", TAMARACK, TAMARACK).returncode == 0
    assert called("compare", FAULTS, TAMARACK).returncode == 0, "nothing of the sound one is worse"
    assert called("compare", TAMARACK, FAULTS).returncode == 1
    alone = called("compare", TAMARACK)
    assert (alone.returncode, alone.stdout) == (2, "")
    assert "--second-stage or --second-standard" in alone.stderr
    bad = tmp_path / "bad.buildcheck.yaml"
    bad.write_text("format: 1\nunits: metric\nlinks: 5\n", encoding="utf-8")
    for pair in ((bad, TAMARACK), (TAMARACK, bad)):
        ended = called("compare", *pair)
        assert (ended.returncode, ended.stdout) == (2, "")
        assert "bad.buildcheck.yaml:3:1" in ended.stderr
    absent = called("compare", "absent.signed.json", folder=tmp_path)
    assert absent.returncode == 2
    assert "The record absent.signed.json cannot be read: no such file or directory" in absent.stderr


def test_stages_and_standards_of_one_spec() -> None:
    staged = called("compare", TAMARACK, "--second-stage", "final-weld").stdout
    assert re.search(r"second +Tamarack.*stage final-weld\n", staged)
    assert "welded-for-good" in staged
    standard = called("compare", TAMARACK, "--second-standard", STANDARD)
    assert standard.returncode == 1
    assert "  link-flatness, slope-at-ride: at most 5.00 deg, then at most 4.00 deg\n" in standard.stdout


def test_a_signed_record_is_compared_with_the_spec_of_today(tmp_path: Path) -> None:
    file = tmp_path / "front.buildcheck.yaml"
    file.write_text(signed_specs.spec([]), encoding="utf-8")
    assert called("sign", file, "--stage", "proposal", "--by", "A. Fabricator").returncode == 0
    record = tmp_path / "front.proposal.signed.json"
    same = called("compare", record)
    assert (same.returncode, "Nothing differs" in same.stdout) == (0, True)
    assert "signed by A. Fabricator" in same.stdout
    # Stands are checked from the teardown on: a wrong entry is found early, and is no difference to the proposal.
    early = file.read_text(encoding="utf-8").replace("rating: 6000 kg", "rating: 300 kg")
    file.write_text(early, encoding="utf-8")
    assert called("inspect", file, "--stage", "proposal").returncode == 1
    found = called("compare", record)
    assert (found.returncode, "truck-support" in found.stdout) == (0, False)
    changed = buildcheck.read(file).changed({"lateral_bar.frame": [110, 410, 560]})
    file.write_text(changed.text, encoding="utf-8")
    moved = called("compare", record).stdout
    assert "lateral_bar.frame.z: 545.0 mm, then 560.0 mm; +15 mm" in moved
    assert "MOVED" in moved
    record.write_text(record.read_text(encoding="utf-8").replace("A. Fabricator", "B. Other"), encoding="utf-8")
    tampered = called("compare", record)
    assert (tampered.returncode, tampered.stdout) == (2, "")
    assert "was changed after it was written" in tampered.stderr


def test_it_never_writes_over_a_spec(tmp_path: Path) -> None:
    file = tmp_path / "a.buildcheck.yaml"
    file.write_text(TAMARACK.read_text(encoding="utf-8"), encoding="utf-8")
    assert called("compare", file, FAULTS, "--to", file).returncode == 2
    assert file.read_text(encoding="utf-8") == TAMARACK.read_text(encoding="utf-8")
    out = tmp_path / "out.json"
    assert called("compare", file, FAULTS, "--output", "json", "--to", out).returncode == 1
    assert json.loads(out.read_text(encoding="utf-8"))["same"] > 100
