"""Rule files: run only when they are named, named when they fail, and able to use all that built-in rules use."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from buildcheck_rules import buildcheck_rules
from called import called

from buildcheck.api import Rule, Stage, inspect
from buildcheck.build import read_build
from buildcheck.plugins.loading import Collected, PluginFailure, load_rule_files
from buildcheck.spec.document import read_file
from buildcheck.spec.guard import place_of

EXAMPLES = Path(__file__).parents[2] / "examples"
SPECS = sorted(EXAMPLES.rglob("*.buildcheck.yaml"))
TAMARACK = EXAMPLES / "tamarack/proposal.buildcheck.yaml"
COMMAND = [sys.executable, "-P", "-c", "from buildcheck.commands.main import main; main()"]
RULES = tuple(buildcheck_rules())

RULE_FILE = """\
from buildcheck.api import *

BUILDCHECK_INTERFACE = 2
{top}

rule = Rule("{name}", area=Area.SAFETY, page="The track is narrow.\\n\\nChecked: the track.")


@rule.check(
    Build, at_most(error="10 in"), basis=common_practice("a narrow door"), change=Words("choose another axle"),
    place="vehicle.track",
)
def track(job, build):
    \"\"\"Track of the axle.\"\"\"
    {body}
    return build.vehicle.track


@hook
def buildcheck_rules():
    return [rule]
"""


def rule_file(folder: Path, name: str = "door", top: str = "", body: str = "", more: str = "") -> Path:
    file = folder / f"{name.replace('-', '_')}.py"
    file.write_text(RULE_FILE.format(name=name, top=top, body=body) + more, encoding="utf-8")
    return file


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_built_in_rule_copied_into_a_plugin_reads_the_same(rule: Rule, tmp_path: Path) -> None:
    """Its file word for word, under another name, with the hook that any rule file has, loaded by `--plugin`'s door."""
    module = sys.modules[f"buildcheck_rules.{rule.name.replace('-', '_')}"]
    assert module.__file__ is not None
    assert vars(module)["rule"] is rule
    text = Path(module.__file__).read_text(encoding="utf-8")
    assert text.count(f'"{rule.name}"') == 1
    copy = tmp_path / "copy.py"
    copy.write_text(
        text.replace(f'"{rule.name}"', '"a-copy"')
        + "\n\nfrom buildcheck.api import hook\n\nBUILDCHECK_INTERFACE = 2\n\n\n"
        "@hook\ndef buildcheck_rules():\n    return [rule]\n",
        encoding="utf-8",
    )
    collected = load_rule_files([copy])
    assert collected.failures == ()
    (copied,) = collected.rules
    assert place_of(copied.checks[0].compute).startswith(f"{tmp_path.name}/copy.py, line ")
    compared = 0
    for spec in SPECS:
        build = read_build(read_file(spec).data)
        changes = "faults" in spec.name  # the search for them takes longest, and that spec has nearly all
        own, theirs = (inspect(build, [each], stage=Stage.DRIVEN, changes=changes).readings for each in (rule, copied))
        assert [reading._replace(rule=rule.name) for reading in theirs] == list(own)
        compared += len(own)
    assert compared > 0


def test_a_file_that_lies_beside_a_spec_is_never_run(tmp_path: Path) -> None:
    spec = tmp_path / "t.buildcheck.yaml"
    spec.write_text(TAMARACK.read_text(encoding="utf-8"), encoding="utf-8")
    marker = tmp_path / "it-ran"
    touch = f"open({str(marker)!r}, 'w').close()"
    named = rule_file(tmp_path, top=touch)
    for name in ("buildcheck_rules", "our_shop_rules", "plugin", "conftest", "rules", "sitecustomize", "t"):
        (tmp_path / f"{name}.py").write_text(touch, encoding="utf-8")
    information = tmp_path / "our_shop_rules-1.dist-info"  # as if it were installed there
    information.mkdir()
    (information / "METADATA").write_text("Metadata-Version: 2.1\nName: our-shop-rules\nVersion: 1\n", encoding="utf-8")
    (information / "entry_points.txt").write_text("[buildcheck]\nours = our_shop_rules\n", encoding="utf-8")
    calls = [["inspect", spec.name], ["inspect", "."], ["inspect", str(spec)], ["cycle", spec.name], ["rules"]]
    each = f"for arguments in {calls}:\n    sys.argv = ['buildcheck', *arguments]\n    print('status', run())"
    result = subprocess.run(
        # -P: without the folder that one is in on Python's path, as the installed script is without it.
        [sys.executable, "-P", "-c", f"import sys\nfrom buildcheck.commands.command import run\n{each}"],
        cwd=tmp_path,
        capture_output=True,
        encoding="utf-8",
        check=True,
        timeout=60,
    )
    assert result.stdout.count("status 0\n") == result.stdout.count("status ") == len(calls), result.stdout
    assert not marker.exists()
    assert "door" not in result.stdout
    assert "door" in called("rules", "--plugin", named.name, folder=tmp_path).stdout
    assert marker.exists()  # it would have shown


def test_a_file_is_run_once_and_writes_nothing_beside_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = rule_file(tmp_path, top="print('once')")
    link = tmp_path / "link.py"
    link.symlink_to(file)
    collected = load_rule_files([file, file, link])
    assert collected.failures == ()
    assert [rule.name for rule in collected.rules] == ["door"]
    assert capsys.readouterr().out == "once\n"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["door.py", "link.py"]


def test_what_was_collected_before_keeps_its_names(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    first, again, other = rule_file(tmp_path), rule_file(tmp_path / "a"), rule_file(tmp_path, "gate")
    before = load_rule_files([first])
    collected = load_rule_files([again, other], after=before)
    assert collected.rules[0] is before.rules[0]
    assert [rule.name for rule in collected.rules] == ["door", "gate"]
    assert collected.failures == (PluginFailure(str(again), "its rule 'door' has a name that is already taken"),)
    assert collected.owners == {("rules", "door"): str(first), ("rules", "gate"): str(other)}


def test_a_data_class_and_another_encoding_work(tmp_path: Path) -> None:
    file = tmp_path / "latin.py"
    text = "# -*- coding: latin-1 -*-\nfrom __future__ import annotations\nfrom dataclasses import dataclass\n"
    text += "@dataclass\nclass Hose:\n    length: float\nWORD = 'Schäkel'\n"
    file.write_bytes((text + RULE_FILE.format(name="door", top="", body="")).encode("latin-1"))
    assert load_rule_files([file]).failures == ()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "it does not state BUILDCHECK_INTERFACE; this version offers 2"),
        ("BUILDCHECK_INTERFACE = 3", "it needs interface 3 of buildcheck; this version offers 2"),
        (
            "import nothing_such",
            "ModuleNotFoundError: No module named 'nothing_such' ({0}/bad.py, line 1: import nothing_such)",
        ),
        ("raise SystemExit('bye')", "SystemExit: bye ({0}/bad.py, line 1: raise SystemExit('bye'))"),
        ("def f(:", "SyntaxError: invalid syntax (bad.py, line 1)"),
        (
            "from buildcheck.api import *\nrule = Rule('a', area=Area.LINKS, page='b')\n"
            "@rule.check(Link, at_most(error='1 lb'), basis=common_practice('x'), change=Words('y'))\ndef f(j, l): 'z'",
            None,
        ),
        ("#" * 1_000_001, "it is larger than 1000000 bytes, the limit for a rule file"),
    ],
)
def test_a_failing_file_is_named_and_the_others_are_used(text: str, sentence: str | None, tmp_path: Path) -> None:
    bad, good = tmp_path / "bad.py", rule_file(tmp_path)
    bad.write_text(text, encoding="utf-8")
    collected = load_rule_files([bad, good])
    assert [rule.name for rule in collected.rules] == ["door"]
    assert [failure.plugin for failure in collected.failures] == [str(bad)]
    if sentence is None:
        assert collected.failures[0].sentence.startswith("ValueError: check f: ")
        assert f"({tmp_path.name}/bad.py, line 3: @rule.check(Link, " in collected.failures[0].sentence
    else:
        assert collected.failures[0].sentence == sentence.format(tmp_path.name)


def test_a_path_that_is_not_a_file_is_reported(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    names = [tmp_path, tmp_path / "none.py", tmp_path / "pipe"]
    assert load_rule_files(names) == Collected(
        failures=(
            PluginFailure(str(names[0]), "it is a folder without a Python file that could be a rule"),
            PluginFailure(str(names[1]), "it cannot be read: no such file or directory"),
            PluginFailure(str(names[2]), "it is not a file; a plugin on the command line is a Python file"),
        )
    )


def test_named_on_the_command_line_its_rules_are_applied(tmp_path: Path) -> None:
    named = ("--plugin", rule_file(tmp_path))
    result = called("inspect", TAMARACK, "--only", "door", "--output", "json", *named, folder=tmp_path)
    assert result.returncode == 1, result.stderr
    (reading,) = json.loads(result.stdout)["specs"][0]["readings"]
    told_of = (reading["rule"], reading["verdict"], reading["place"]["path"])
    assert told_of == ("door", "error", "vehicle.track")
    assert called("inspect", TAMARACK, "--only", "door", folder=tmp_path).returncode == 2


def test_a_rule_that_exits_or_raises_gives_status_3_and_the_others_run(tmp_path: Path) -> None:
    files = [
        rule_file(tmp_path, "leaves", body="raise SystemExit(0)"),
        rule_file(tmp_path, "raises", body="1 / 0"),
        rule_file(tmp_path),
    ]
    named = [word for file in files for word in ("--plugin", file)]
    result = called("inspect", TAMARACK, "--quiet", *named, folder=tmp_path)
    assert result.returncode == 3
    failed = [line.partition(":")[0] for line in result.stdout.splitlines() if line.startswith("FAILED")]
    assert failed == ["FAILED   leaves on whole build", "FAILED   raises on whole build"]
    assert "\nERROR    whole build, track: " in f"\n{result.stdout}"


def test_a_slow_rule_is_reported_with_its_time_and_exit_status_3(tmp_path: Path) -> None:
    slow = rule_file(tmp_path, "slow", top="import time", body="time.sleep(1.1)")
    result = called("inspect", TAMARACK, "--only", "slow", "--quiet", "--plugin", slow.name, folder=tmp_path)
    assert result.returncode == 3
    last = result.stdout.splitlines()[-1]
    assert last.startswith("FAILED   plugin slow.py: its rule 'slow' is slow: it took 1.")
    assert last.endswith(f" s on {TAMARACK}")
    assert "\nERROR    whole build, track: " in result.stdout  # its readings are kept


@pytest.mark.parametrize("where", ["rule", "change", "import", "subject", "when"])
def test_an_interruption_says_what_was_running(where: str, tmp_path: Path) -> None:
    loop = f"open({str(tmp_path / 'begun')!r}, 'w').close()\n{'' if where == 'import' else '    '}while True: pass"
    if where == "rule":
        file = rule_file(tmp_path, body=loop)
    elif where == "import":
        file = rule_file(tmp_path, top=loop)
    else:
        file = rule_file(tmp_path, top=f"def for_ever(job, build):\n    {loop}\n")
        written, instead = {
            "change": ('Words("choose another axle")', "Words(for_ever)"),
            "subject": ("    Build, ", "    made('axle', for_ever), "),
            "when": ('place="vehicle.track",', 'place="vehicle.track", when=for_ever,'),
        }[where]
        text = file.read_text(encoding="utf-8")
        assert text.count(written) == 1
        file.write_text(text.replace(written, instead), encoding="utf-8")
    with subprocess.Popen(
        [*COMMAND, "inspect", TAMARACK, "--only", "door", "--plugin", file.name],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # noqa: PLW1509  # whatever the shell
    ) as process:
        try:
            for _ in range(600):
                if (tmp_path / "begun").exists():
                    break
                with pytest.raises(subprocess.TimeoutExpired):
                    process.wait(0.05)
            process.send_signal(signal.SIGINT)
            out, error = process.communicate(timeout=20)
        finally:
            process.kill()
    assert process.returncode == 130
    assert out == ""
    said = "The plugin door.py was being loaded" if where == "import" else "The rule door was running"
    assert [line for line in error.splitlines() if line] == [said, "Interrupted"]


def test_a_plugins_output_is_handed_the_record(tmp_path: Path) -> None:
    more = """

@hook
def buildcheck_outputs():
    return [
        OutputFormat("tally", lambda record: f"{record['specs'][0]['count']['error']} to put right\\n"),
        OutputFormat("breaks", lambda record: record["no such key"]),
        OutputFormat("number", lambda record: 3),
    ]
"""
    file = rule_file(tmp_path, more=more)
    arguments = ["inspect", TAMARACK, "--plugin", file.name, "--output"]
    result = called(*arguments, "tally", folder=tmp_path)
    assert (result.returncode, result.stdout, result.stderr) == (1, "1 to put right\n", "")
    result = called(*arguments, "breaks", "--to", "out.txt", folder=tmp_path)
    assert (result.returncode, result.stdout) == (3, "")
    assert result.stderr.startswith("The plugin door.py failed: its output 'breaks': KeyError: 'no such key' (")
    assert result.stderr.endswith('door.py, line 28: OutputFormat("breaks", lambda record: record["no such key"]),)\n')
    assert not (tmp_path / "out.txt").exists()
    result = called(*arguments, "number", folder=tmp_path)
    assert (result.returncode, result.stdout) == (3, "")
    sentence = "The plugin door.py failed: its output 'number': it returns int; return the text to write ("
    assert result.stderr.startswith(sentence)
    assert result.stderr.endswith("door.py, line 29)\n")
    result = called(*arguments, "taly", folder=tmp_path)
    assert result.returncode == 2
    assert 'There is no output format "taly"; did you mean "tally"?' in result.stderr


def test_a_plugins_quantities_are_cycled_and_a_failing_one_gives_status_3(tmp_path: Path) -> None:
    sound = """

@hook
def buildcheck_quantities():
    return [Quantity("rear-room", "axle", "rear room", "room behind the axle; less is nearer", Dimension.LENGTH,
                     lambda moving: 0.1 + moving.forward)]
"""
    file = rule_file(tmp_path, more=sound)
    arguments = ["cycle", TAMARACK, "--plugin", file.name, "--steps", "1", "--output", "json", "--only"]
    result = called(*arguments, "rear-room", "--only", "axle-forward", folder=tmp_path)
    assert result.returncode == 0, result.stderr
    forward, room = ([value["si"] for value in each["values"]] for each in json.loads(result.stdout)["columns"])
    assert room == pytest.approx([0.1 + each for each in forward], rel=1e-12)
    assert abs(forward[0]) > 0.01
    file.write_text(file.read_text(encoding="utf-8").replace("0.1 + moving.forward", "0.1"), encoding="utf-8")
    result = called(*arguments, "rear-room", "--only", "axle-forward", folder=tmp_path)
    assert result.returncode == 3
    assert (
        "The quantity rear-room could not be computed: its plugin failed: ValueError: it gives an array"
        in result.stderr
    )


def test_names_that_a_plugin_adds_are_accepted_with_their_properties(tmp_path: Path) -> None:
    more = """

@hook
def buildcheck_joint_kinds():
    return [JointKind("dry-bushing", "60000 lb/in")]

@hook
def buildcheck_bolt_grades():
    return [BoltGrade("shop-9", "240 ksi", "1 in")]
"""
    file = rule_file(tmp_path, more=more)
    text = TAMARACK.read_text(encoding="utf-8")
    bushed = text.replace("kind: rubber, radial_stiffness: 14000 lb/in", "kind: dry-bushing")
    bolted = text.replace("grade: sae-8", "grade: shop-9")
    assert (bushed.count("dry-bushing"), bolted.count("shop-9") > 1) == (2, True)
    found = []
    for number, changed in enumerate((text, bushed, bolted)):
        spec = tmp_path / f"{number}.buildcheck.yaml"
        spec.write_text(changed, encoding="utf-8")
        assert called("inspect", spec.name, folder=tmp_path).returncode == (2 if number else 0)
        result = called("inspect", spec.name, "--plugin", file.name, "--output", "json", folder=tmp_path)
        found.append(json.loads(result.stdout)["specs"][0])
    wanted = "radial stiffness of a dry-bushing joint"
    assumed = [(each["what"], each["value"]["si"]) for each in found[1]["assumptions"] if "joint" in each["what"]]
    assert assumed == [(wanted, pytest.approx(60000 * 175.12683524647636))] * 2  # the arms, written once
    # Grade 8 has a proof strength of 120 ksi, half as much, so the same torque takes up twice the share of it.
    assert shares(found[2]) == pytest.approx({subject: share / 2 for subject, share in shares(found[0]).items()})
    assert len(shares(found[0])) == 19  # of 2 brackets, 16 joints and a brace


def test_a_metal_that_a_plugin_adds_is_treated_as_it_says(tmp_path: Path) -> None:
    """A casting of the shop's own, treated as gray iron: a bracket welded to it is an error."""
    more = """

@hook
def buildcheck_metals():
    return [Metal("foundry-mix", "gray-iron")]
"""
    file = rule_file(tmp_path, more=more)
    spec = tmp_path / "mix.buildcheck.yaml"
    faults = TAMARACK.with_name("proposal-with-faults.buildcheck.yaml").read_text(encoding="utf-8")
    spec.write_text(faults.replace("material: ductile-iron", "material: foundry-mix"), encoding="utf-8")
    assert called("inspect", spec.name, folder=tmp_path).returncode == 2
    result = called("inspect", spec.name, "--plugin", file.name, "--output", "json", folder=tmp_path)
    readings = json.loads(result.stdout)["specs"][0]["readings"]
    found = {each["found"] for each in readings if each["quantity"] == "not-gray-iron"}
    assert found == {"gray iron"}


def shares(inspected: dict[str, object]) -> dict[str, float]:
    readings = inspected["readings"]
    assert isinstance(readings, list)
    return {each["subject"]: each["value"]["si"] for each in readings if each["quantity"] == "preload"}
