"""Signing stages of a job from the command, and judging what was signed."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from pathlib import Path
from shutil import copytree
from typing import Any
from unittest.mock import patch

import pytest
from called import Ended, called
from computed_once import computed_once
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, PublicFormat
from known_exactly import known_exactly
from sampling import sampled
from signed_specs import BASELINE, SIDE, entries, plain, read, spec

from buildcheck.build import Stage
from buildcheck.checks.hold_points import hold_points
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Bounds, Verdict
from buildcheck.checks.rule import Area, Reading
from buildcheck.shop.sign_off import Signers, blocking, too_close_to_an_error

AFTER_TEARDOWN = (Stage.TACKED, Stage.CYCLED, Stage.FINAL_WELD)
BY = ("--by", "A. Fabricator")
STANDARD = """format: 1
units: metric
shop: an invented shop
limits:
  - {rule: link-flatness, limit: slope-at-ride, error: {above: 9.5 deg}, basis: invented}
"""
BUILD = read(plain())


@pytest.fixture(autouse=True)
def exact() -> Iterator[None]:
    """Every number is known exactly, and what was computed is kept from test to test."""
    with computed_once(), known_exactly():
        yield


@pytest.fixture
def front(tmp_path: Path) -> Path:
    """A spec with everything on record that its stages need."""
    file = tmp_path / "front.buildcheck.yaml"
    file.write_text(spec(entries(*AFTER_TEARDOWN)), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a spec, and the record of each stage."""
    folder = tmp_path_factory.mktemp("finished")
    file = folder / "front.buildcheck.yaml"
    file.write_text(spec(entries(*AFTER_TEARDOWN)), encoding="utf-8")
    with computed_once(), known_exactly():
        for stage in Stage:
            assert sign(file, stage.value).returncode == 0
    return folder


@pytest.fixture
def all_signed(finished: Path, tmp_path: Path) -> Path:
    """A copy of the spec of a finished job, with its records."""
    return Path(copytree(finished, tmp_path / "job")) / "front.buildcheck.yaml"


@pytest.fixture
def begun(all_signed: Path) -> Path:
    """A spec with everything on record that its stages need, of which the proposal is signed."""
    return only_before(all_signed, Stage.TEARDOWN)


def only_before(file: Path, stage: Stage) -> Path:
    """A spec without its records from a stage on."""
    for each in Stage:
        if each.number >= stage.number:
            record(file, each.value).unlink()
    return file


def sign(file: Path, stage: str, *more: str) -> Ended:
    return called("sign", file, "--stage", stage, *BY, *more)


def signed(file: Path, stage: str, *more: str | Path) -> Ended:
    return called("signed", record(file, stage), *more)


def record(file: Path, stage: str) -> Path:
    return file.parent / f"front.{stage}.signed.json"


def edited(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert text.count(old) >= 1, old
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_the_stages_are_signed_one_after_the_other_and_each_signature_holds(all_signed: Path) -> None:
    for stage in Stage:
        ended = signed(all_signed, stage.value)
        assert ended.returncode == 0, ended.stdout
        assert ended.stdout.startswith(f"SIGN-OFF {stage.value.upper()}: HOLDS\n")
        assert "It is no approval to drive." in ended.stdout
        assert "Nothing in the spec has changed since." in ended.stdout
    assert all_signed.read_text(encoding="utf-8") == spec(entries(*AFTER_TEARDOWN))
    assert sorted(each.name for each in all_signed.parent.iterdir()) == sorted(
        ["front.buildcheck.yaml", *(f"front.{stage.value}.signed.json" for stage in Stage)]
    )


def test_the_record_holds_the_values_the_readings_the_versions_and_who_signed_when(front: Path) -> None:
    assert sign(front, "proposal", "--checked-by", "B. Welder", "--note", "first axle").returncode == 0
    data = json.loads(record(front, "proposal").read_text(encoding="utf-8"))
    assert (data["signed_by"], data["checked_by"], data["note"]) == ("A. Fabricator", "B. Welder", "first axle")
    assert data["spec"]["stated"]["travel.bump"] > 0
    assert {each["verdict"] for each in data["readings"]} == {"ok"}
    assert data["rules"].keys() >= {each["rule"] for each in data["readings"]}
    assert data["plugins"][0]["name"] == "built-in"


@sampled(2)
@pytest.mark.parametrize("stage", [stage for stage in Stage if stage is not Stage.PROPOSAL])
def test_a_stage_is_not_signed_before_the_earlier_ones(front: Path, stage: Stage) -> None:
    ended = sign(front, stage.value)
    assert ended.returncode == 5
    for before in Stage:
        said = f"the stage {before.value} is not signed"
        assert (said in ended.stdout) is (before.number < stage.number)
    assert not record(front, stage.value).exists()


def test_a_standard_may_demand_a_second_person_from_a_stage_on(front: Path, tmp_path: Path) -> None:
    ours = tmp_path / "ours.yaml"
    ours.write_text(f"{STANDARD}second_signer: {{from_stage: teardown, basis: two pairs of eyes}}\n", encoding="utf-8")
    by = ("--standard", str(ours))
    assert sign(front, "proposal", *by).returncode == 0
    refused = sign(front, "teardown", *by)
    assert refused.returncode == 5
    assert "the shop standard demands a second person, from the stage teardown on (--checked-by)" in refused.stdout
    assert sign(front, "teardown", *by, "--checked-by", "B. Welder").returncode == 0


# What is refused, and at which stage.


def _old(entry: dict[str, str]) -> dict[str, str]:
    return {**entry, "measured_on": '"2026-03-05"'}


REFUSED = {
    "no baseline": (Stage.TEARDOWN, spec(entries(*AFTER_TEARDOWN), {}), "no baseline is in the spec"),
    "a baseline without photographs": (
        Stage.TEARDOWN,
        spec(entries(*AFTER_TEARDOWN), {**BASELINE, "photographs": "false"}),
        "photographs",
    ),
    "one side of the baseline missing": (
        Stage.TEARDOWN,
        spec(entries(*AFTER_TEARDOWN), {**BASELINE, "sides": f"{{left: {SIDE}}}"}),
        "records.baseline.sides.right.wheelbase",
    ),
    "stands that are too weak": (
        Stage.TEARDOWN,
        spec(entries(*AFTER_TEARDOWN)).replace("rating: 6000 kg", "rating: 300 kg"),
        "truck-support",
    ),
    "a missing bracket": (
        Stage.PROPOSAL,
        re.sub(r"  stop_axle_pad:\n    both: .*\n", "", spec(entries(*AFTER_TEARDOWN))),
        "bracket-at-every-end",
    ),
    "one coilover short": (
        Stage.PROPOSAL,
        spec(entries(*AFTER_TEARDOWN)).replace(
            "coilover: {ordered: 2, arrived: 2", "coilover: {ordered: 1, arrived: 1"
        ),
        "parts-arrived",
    ),
    "one coilover not arrived": (
        Stage.TEARDOWN,
        spec(entries(*AFTER_TEARDOWN)).replace("arrived: 2", "arrived: 1"),
        "parts-arrived",
    ),
    "springs that still carry load": (
        Stage.TEARDOWN,
        spec(entries(*AFTER_TEARDOWN)).replace("springs_unloaded: true", "springs_unloaded: false"),
        "truck-support",
    ),
    "one measurement missing": (Stage.TACKED, spec(entries(*AFTER_TEARDOWN)[1:]), "not measured at the stage tacked"),
    "an old measurement": (
        Stage.CYCLED,
        spec(
            [
                {**each, "measured_on": '"2026-03-05"'} if "travel" in each["of"] else each
                for each in entries(*AFTER_TEARDOWN)
            ]
        ),
        "measure it again",
    ),
    "nothing measured after welding": (
        Stage.FINAL_WELD,
        spec(entries(Stage.TACKED, Stage.CYCLED)),
        "not measured at the stage final-weld",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_job_with_a_gap_is_refused_at_the_right_stage_and_says_why(all_signed: Path, case: str) -> None:
    stage, text, reason = REFUSED[case]
    before = [each for each in Stage if each.number < stage.number][-1:]
    file = only_before(all_signed, before[0] if before else stage)
    file.write_text(text, encoding="utf-8")
    for each in before:  # which also finds that the records before it hold
        assert sign(file, each.value).returncode == 0
    ended = sign(file, stage.value)
    assert ended.returncode == 5
    assert reason in ended.stdout
    assert not record(file, stage.value).exists()


def test_what_is_written_early_is_found_at_once_and_blocks_its_own_stage_only(front: Path) -> None:
    edited(front, "rating: 6000 kg", "rating: 300 kg")
    ended = called("inspect", front, "--stage", "proposal", "--output", "json")
    readings = json.loads(ended.stdout)["specs"][0]["readings"]
    found = [each for each in readings if each["verdict"] == "error"]
    assert [(each["rule"], each["from_stage"]) for each in found] == [("truck-support", "teardown")]
    assert ended.returncode == 1
    assert "checked from the stage teardown on" in called("inspect", front, "--stage", "proposal").stdout
    assert sign(front, "proposal").returncode == 0
    assert sign(front, "teardown").returncode == 5


def test_brackets_that_are_missing_are_refused_at_once(front: Path) -> None:
    text = front.read_text(encoding="utf-8")
    start = text.index("attachments:\n")
    front.write_text(f"{text[:start]}{text[text.index(chr(10) * 2, start) :]}", encoding="utf-8")
    ended = sign(front, "proposal")
    assert ended.returncode == 5
    assert "not checked" in ended.stdout


# Signing twice, and by whom.


def test_a_stage_is_not_signed_twice_while_its_signature_holds(begun: Path) -> None:
    before = record(begun, "proposal").read_bytes()
    ended = sign(begun, "proposal")
    assert ended.returncode == 2
    assert "is signed already" in ended.stderr
    assert record(begun, "proposal").read_bytes() == before


def test_a_stage_whose_signature_does_not_hold_is_signed_anew_in_a_new_record(begun: Path) -> None:
    old = record(begun, "proposal")
    old.write_text(old.read_text(encoding="utf-8").replace("A. Fabricator", "A. Stranger"), encoding="utf-8")
    spoiled = old.read_bytes()
    ended = sign(begun, "teardown")
    assert ended.returncode == 5
    assert "the record was changed after it was written" in ended.stdout
    assert sign(begun, "proposal").returncode == 0
    assert old.read_bytes() == spoiled
    assert sign(begun, "teardown").returncode == 0


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (("--by", "-"), "the name of who signs has no letter in it"),
        (("--by", "A. Fabricator", "--checked-by", "a. fabricator "), "a second person has to check"),
    ],
)
def test_a_signature_needs_a_name_and_a_second_one_another_person(
    front: Path, names: tuple[str, ...], said: str
) -> None:
    ended = called("sign", front, "--stage", "proposal", *names)
    assert ended.returncode == 5
    assert said in ended.stdout


def test_only_a_spec_in_a_file_is_signed(tmp_path: Path) -> None:
    for what in ("-", str(tmp_path), str(tmp_path / "nothing.buildcheck.yaml")):
        ended = called("sign", what, "--stage", "proposal", *BY)
        assert ended.returncode == 2
        assert "is not a file" in ended.stderr


# What overturns a signature, and what does not.


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("\naxle:\n", "\n# as built\naxle:\n"),
        ("wheelbase: 2700, ride_height: 200", "ride_height: 20 cm, wheelbase: 2.7 m"),
    ],
)
def test_notation_overturns_nothing_and_counts_as_no_change(all_signed: Path, old: str, new: str) -> None:
    edited(all_signed, old, new)
    for stage in (Stage.PROPOSAL, Stage.DRIVEN):
        ended = signed(all_signed, stage.value)
        assert ended.returncode == 0
        assert "Nothing in the spec has changed since." in ended.stdout


def test_a_harmless_change_is_listed_and_overturns_nothing(all_signed: Path) -> None:
    edited(
        all_signed, "{where: frame rails, count: 2, rating: 6000 kg}", "{where: frame rails, count: 4, rating: 6000 kg}"
    )
    ended = signed(all_signed, "final-weld")
    assert ended.returncode == 0
    assert "support.stands[0].count was 2, and is 4" in ended.stdout


@pytest.mark.parametrize("stage", ["teardown", "final-weld"])
def test_a_baseline_that_was_changed_afterwards_overturns_what_rests_on_it(all_signed: Path, stage: str) -> None:
    edited(all_signed, "left: {wheelbase: 2700, ride_height: 200,", "left: {wheelbase: 2700, ride_height: 201,")
    ended = signed(all_signed, stage)
    assert ended.returncode == 5
    assert "records.baseline.sides.left.ride_height was 200.0 mm, and is 201.0 mm; " in ended.stdout
    line = next(
        number
        for number, text in enumerate(all_signed.read_text(encoding="utf-8").splitlines(), 1)
        if "ride_height: 201" in text
    )
    assert f"front.buildcheck.yaml:{line}:" in ended.stdout
    assert signed(all_signed, "proposal").returncode == 0


@pytest.mark.parametrize(
    ("old", "new", "first"),
    [
        ("old_mounts_removed: true", "old_mounts_removed: false", Stage.TACKED),
        ("fit_up: {gap: 0.5,", "fit_up: {gap: 0.6,", Stage.TACKED),
        ("tube_bow: 0.4", "tube_bow: 0.3", Stage.FINAL_WELD),
        ("welded_by: A. Welder", "welded_by: B. Welder", Stage.FINAL_WELD),
        ("vent_clear: true, bolts_tightened: true", "bolts_tightened: true, vent_clear: true", None),
        ("thrust: 0.05", "thrust: 0.06", Stage.ALIGNED),
        ("done_after: 75 km", "done_after: 76 km", Stage.DRIVEN),
    ],
)
def test_what_was_done_and_seen_is_a_fact_from_its_stage_on(
    all_signed: Path, old: str, new: str, first: Stage | None
) -> None:
    edited(all_signed, old, new)
    found = {stage: signed(all_signed, stage.value).returncode for stage in (Stage.PROPOSAL, first or Stage.DRIVEN)}
    assert found[Stage.PROPOSAL] == 0
    assert found[first or Stage.DRIVEN] == (0 if first is None else 5)
    if first not in (None, Stage.TACKED):
        assert first is not None
        before = list(Stage)[first.number - 1]
        assert signed(all_signed, before.value).returncode == 0


def test_a_signed_measurement_that_was_changed_overturns_its_stage_and_the_later_ones(all_signed: Path) -> None:
    data = entries(Stage.CYCLED)[0]
    old = ", ".join(f"{key}: {value}" for key, value in data.items())
    amount, unit = data["value"].split()
    edited(all_signed, old, old.replace(data["value"], f"{float(amount) + 0.5} {unit}"))
    stages = (Stage.PROPOSAL, Stage.TACKED, Stage.CYCLED, Stage.DRIVEN)
    found = [signed(all_signed, stage.value).returncode for stage in stages]
    assert found == [0, 0, 5, 5]


def test_measurements_in_another_order_and_new_ones_overturn_nothing(all_signed: Path) -> None:
    whole = entries(*AFTER_TEARDOWN)
    again = {**whole[0], "measured_on": '"2026-03-21"', "stage": "final-weld"}
    all_signed.write_text(spec([*reversed(whole), again]), encoding="utf-8")
    assert signed(all_signed, "cycled").returncode == 0


def test_an_error_of_today_overturns_a_signature_and_is_named_with_its_line(all_signed: Path) -> None:
    edited(all_signed, "rating: 6000 kg", "rating: 300 kg")
    ended = signed(all_signed, "teardown")
    assert ended.returncode == 5
    assert "error today: " in ended.stdout
    assert "(rule truck-support); " in ended.stdout
    assert f"{all_signed}:" in ended.stdout
    assert signed(all_signed, "proposal").returncode == 0  # stands are asked for from the teardown on


@pytest.mark.parametrize("path", [("signed_by",), ("spec", "stated", "travel.bump"), ("readings", 0, "verdict")])
def test_any_change_of_a_record_is_found(begun: Path, path: tuple[Any, ...]) -> None:
    file = record(begun, "proposal")
    data = json.loads(file.read_text(encoding="utf-8"))
    held: Any = data
    for step in path[:-1]:
        held = held[step]
    held[path[-1]] = {"signed_by": "B. Stranger", "travel.bump": 1.0, "verdict": "waived"}[path[-1]]
    file.write_text(json.dumps(data), encoding="utf-8")
    ended = signed(begun, "proposal")
    assert ended.returncode == 5
    assert "the record was changed after it was written" in ended.stdout


@pytest.mark.parametrize("text", ["", "[]", "{", "{}", '{"format": NaN}', "[" * 100_000, '{"format": 1}', "\x00"])
def test_a_file_that_is_no_record_is_refused_in_one_sentence(front: Path, text: str) -> None:
    file = record(front, "proposal")
    file.write_text(text, encoding="utf-8")
    ended = signed(front, "proposal")
    assert ended.returncode == 2
    assert "front.proposal.signed.json" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert sign(front, "teardown").returncode == 5


# Written whole or not at all.


def test_a_record_that_cannot_be_written_leaves_nothing_behind(front: Path) -> None:
    full = OSError(28, "No space left on device")
    with patch.object(os, "link", side_effect=full), patch.object(os, "rename", side_effect=full):
        ended = sign(front, "proposal")
    assert ended.returncode == 2
    assert "no space left on device" in ended.stderr
    assert [each.name for each in front.parent.iterdir()] == ["front.buildcheck.yaml"]


def test_a_record_that_appears_meanwhile_is_never_overwritten(front: Path) -> None:
    link = os.link

    def late(source: str, target: str) -> None:
        Path(target).write_text("of somebody else", encoding="utf-8")
        link(source, target)

    with patch.object(os, "link", side_effect=late):
        ended = sign(front, "proposal")
    assert ended.returncode == 2
    assert "never overwritten" in ended.stderr
    assert record(front, "proposal").read_text(encoding="utf-8") == "of somebody else"


def test_a_disk_without_links_keeps_a_record_all_the_same(front: Path) -> None:
    with patch.object(os, "link", side_effect=OSError(95, "Operation not supported")):
        assert sign(front, "proposal").returncode == 0
    assert signed(front, "proposal").returncode == 0


def test_a_record_that_was_taken_away_does_not_give_its_number_to_a_new_one(begun: Path) -> None:
    first = record(begun, "proposal")
    first.write_text(first.read_text(encoding="utf-8").replace("A. Fabricator", "A. Stranger"), encoding="utf-8")
    assert sign(begun, "proposal").returncode == 0
    second = begun.parent / "front.proposal.2.signed.json"
    assert second.exists()
    first.unlink()
    ended = sign(begun, "proposal")
    assert ended.returncode == 2
    assert "is signed already" in ended.stderr
    assert second.name in ended.stderr
    assert not first.exists()
    second.write_text(second.read_text(encoding="utf-8").replace("A. Fabricator", "A. Stranger"), encoding="utf-8")
    assert sign(begun, "proposal").returncode == 0
    assert (begun.parent / "front.proposal.3.signed.json").exists()


# Too close to tell.


@pytest.mark.parametrize(
    ("margin", "error_margin", "plus_or_minus", "close"),
    [
        (0.5, 0.9, 1.0, True),
        (0.5, 1.1, 1.0, False),  # close to the warning alone
        (0.5, None, 1.0, False),  # no error limit
        (1.1, 1.2, 1.0, False),
        (0.5, 0.9, None, False),  # nobody says how well it was measured
    ],
)
def test_only_what_is_within_its_uncertainty_of_an_error_blocks(
    margin: float, error_margin: float | None, plus_or_minus: float | None, close: bool
) -> None:
    reading = Reading(
        *("link-flatness", Area.LINKS, "left arm", "slope", "slope", Verdict.OK, "links"),
        margin=margin,
        error_margin=error_margin,
        plus_or_minus=plus_or_minus,
    )
    assert too_close_to_an_error(reading) is close
    (point,) = (each for each in hold_points(BUILD, Inspection(Stage.TACKED, (reading,), ())) if each.now)
    said = blocking(point, Inspection(Stage.TACKED, (reading,), ()), (), Signers("A. Fabricator"))
    assert any("too close to its error limit" in sentence for sentence in said) is close


def test_the_margin_to_an_error_is_that_to_the_nearer_error_limit() -> None:
    assert Bounds(fail_below=1.0, fail_above=4.0).error_margin(1.5) == 0.5
    assert Bounds(fail_below=1.0, fail_above=4.0).error_margin(4.25) == -0.25
    assert Bounds(warn_above=2.0).error_margin(3.0) is None


def test_a_value_too_close_to_its_error_limit_blocks_the_command(all_signed: Path) -> None:
    """With a gauge that is right to four degrees the toe is not known."""
    front = only_before(all_signed, Stage.TACKED)
    edited(front, "gauge_tolerance: 0.05 deg", "gauge_tolerance: 4 deg")
    with known_exactly(but="axle-setting"):
        ended = sign(front, "tacked")
    assert ended.returncode == 5
    assert "too close to its error limit to tell on which side it is" in ended.stdout


# With a plugin and a standard.


def test_the_record_names_the_standard_and_the_plugins_and_says_when_they_have_changed(front: Path) -> None:
    standard = front.parent / "our.standard.yaml"
    standard.write_text(STANDARD, encoding="utf-8")
    with_it = ("--standard", str(standard))
    assert sign(front, "proposal", *with_it).returncode == 0
    data = json.loads(record(front, "proposal").read_text(encoding="utf-8"))
    assert data["standard"]["name"] == "an invented shop"
    assert len(data["standard"]["sha256"]) == 64
    ended = signed(front, "proposal", *with_it)
    assert ended.returncode == 0
    assert "since then" not in ended.stdout
    standard.write_text(STANDARD + "# read again\n", encoding="utf-8")
    ended = signed(front, "proposal", *with_it)
    assert ended.returncode == 0
    assert "the shop's standard an invented shop has changed" in ended.stdout
    assert "the shop's standard was an invented shop, and is none" in signed(front, "proposal").stdout


def test_a_plugin_that_fails_blocks_and_is_named(front: Path) -> None:
    plugin = front.parent / "broken.py"
    plugin.write_text("raise ValueError('it broke')\n", encoding="utf-8")
    ended = sign(front, "proposal", "--plugin", str(plugin))
    assert ended.returncode == 3
    assert "1 thing blocks the signature" in ended.stdout
    assert "broken.py failed: " in ended.stdout
    assert not record(front, "proposal").exists()


# With a key.


@pytest.fixture
def keys(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("keys")
    key = Ed25519PrivateKey.generate()
    private, public = folder / "private.pem", folder / "public.pem"
    private.write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    public.write_bytes(key.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo))
    return private, public


def test_a_record_signed_with_a_key_is_known_by_its_public_part(front: Path, keys: tuple[Path, Path]) -> None:
    private, public = keys
    assert sign(front, "proposal", "--key", str(private)).returncode == 0
    assert signed(front, "proposal").returncode == 0
    assert signed(front, "proposal", "--key", public).returncode == 0
    other = public.with_name("other.pem")
    stranger = Ed25519PrivateKey.generate().public_key()
    other.write_bytes(stranger.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo))
    ended = signed(front, "proposal", "--key", other)
    assert ended.returncode == 5
    assert "no signature with the key that is wanted" in ended.stdout


def test_a_record_forged_with_a_new_digest_is_found_by_its_signature(front: Path, keys: tuple[Path, Path]) -> None:
    from buildcheck.shop.stated import digest

    assert sign(front, "proposal", "--key", str(keys[0])).returncode == 0
    file = record(front, "proposal")
    data = json.loads(file.read_text(encoding="utf-8"))
    signature = data.pop("signature")
    data.pop("sha256")
    data["signed_by"] = "B. Stranger"
    file.write_text(json.dumps({**data, "sha256": digest(data), "signature": signature}), encoding="utf-8")
    ended = signed(front, "proposal")
    assert ended.returncode == 5
    assert "its signature was not made with the key that it names" in ended.stdout


def test_a_key_that_cannot_be_used_is_refused(front: Path, keys: tuple[Path, Path]) -> None:
    ended = sign(front, "proposal", "--key", str(keys[1]))
    assert ended.returncode == 2
    assert "it holds no private key in PEM form without a password" in ended.stderr
    assert not record(front, "proposal").exists()
