"""A plugin's code that fails, leaves or returns nonsense, wherever it runs: status 3 and one sentence that names it."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from specs_and_rules import STEEP
from specs_and_rules import run as run_in_a_process

from buildcheck.commands.command import run

HEAD = """\
from buildcheck.api import *
BUILDCHECK_INTERFACE = 1
HELD = Limit("bar-length", "length of the bar", Dimension.LENGTH, at_least(error="24 in"), common_practice("it is so"))
OTHER = Limit("bar-length", "length of the bar", Dimension.LENGTH, at_least(error="1 in"), common_practice("it is so"))
NEED = Requirement("fixed", "it is fixed", common_practice("it is so"))
class Leaving(str):
    def leave(self, *_, **__): raise SystemExit(0)
    __str__ = __format__ = __eq__ = __len__ = __bool__ = __hash__ = translate = replace = encode = leave
"""
RULE = """\
@rule("my-rule", area=Area.SAFETY, subject="build", limits={limits}, samples={samples}{more})
def my_rule(job, build):
    \"\"\"It is so.

    What it checks: it.
    \"\"\"
    {body}
@rule("other-rule", area=Area.SAFETY, subject="build", limits=[NEED])
def other_rule(job, build):
    \"\"\"It is so.

    What it checks: it.
    \"\"\"
    yield require(NEED, met=True, found="a clip", wanted="a clip", place="lateral_bar")
@hook
def buildcheck_rules(): return [my_rule, other_rule]
"""
RULE_LINE = HEAD.count("\n") + 1
BODY_LINE = RULE_LINE + 6


class Ended(NamedTuple):
    status: int
    out: str
    err: str


class Shop:
    """A spec with a plugin beside it, and the command run on both in this process."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        monkeypatch.chdir(folder)
        Path("shop").mkdir()
        Path("steep.buildcheck.yaml").write_text(STEEP, encoding="utf-8")
        self._monkeypatch, self._capsys = monkeypatch, capsys

    def write(self, text: str) -> None:
        Path("shop/hose.py").write_text(HEAD + text, encoding="utf-8")

    def rule(self, body: str = "yield", limits: str = "[HELD, NEED]", samples: str = "[]", more: str = "") -> None:
        self.write(RULE.format(body=body, limits=limits, samples=samples, more=more))

    def run(self, *arguments: str, spec: bool = True) -> Ended:
        named = [*arguments, *(["steep.buildcheck.yaml"] if spec else []), "--plugin", "shop/hose.py"]
        self._monkeypatch.setattr(sys, "argv", ["buildcheck", *named])
        status = run()
        return Ended(status, *self._capsys.readouterr())


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Shop:
    return Shop(tmp_path, monkeypatch, capsys)


BAD_FINDINGS = {
    "hold(HELD, 1.0, place='lateral_bar', effect=None)": "TypeError: the effect of bar-length needs a text, got None",
    "hold(HELD, 1.0, place='lateral_bar', of=5)": "TypeError: the `of` of bar-length needs a text, got 5",
    "hold(HELD, 1.0, place=5)": "TypeError: the place of bar-length needs a text, got 5",
    "hold(HELD, 1.0, place='lateral_bar', cure=5)": (
        "TypeError: the cure of bar-length is 5; it needs a text or a function"
    ),
    "hold(HELD, True, place='lateral_bar')": "TypeError: bar-length needs a number, got True",
    "hold(HELD, [1.0], place='lateral_bar')": "TypeError: bar-length needs a number, got [1.0]",
    "hold(HELD, Spot(1.0, 5), place='lateral_bar')": (
        "TypeError: the pose of bar-length is 5; take it from a spot of a curve"
    ),
    "hold('bar-length', 1.0, place='lateral_bar')": (
        "TypeError: 'bar-length' is no limit; hold() takes one of the rule's limits, require() the others"
    ),
    "require(NEED, met=1, found='', wanted='', place='lateral_bar')": (
        "TypeError: fixed is met or not: `met` needs True or False, got 1"
    ),
    "require(NEED, met=True, found=5, wanted='', place='lateral_bar')": (
        "TypeError: the found of fixed needs a text, got 5"
    ),
    "does_not_apply(5)": "TypeError: the reason needs a text, got 5",
    "1 / 0": "ZeroDivisionError: division by zero",
    "exit(0)": "SystemExit: 0",
}
# What is seen only after the finding was yielded, or returned, has the place of the function.
BAD_RULES = {
    "hold(HELD, 1.0, place='lateral_bar')": "it returned None; did you forget to write `yield`?",
    "return hold(HELD, 1.0, place='lateral_bar')": "it returned a finding; did you forget to write `yield`?",
    "return 'ok'": "it returned 'ok'; did you forget to write `yield`?",
    "return 5": "it returned 5; did you forget to write `yield`?",
    "yield 5": "TypeError: a rule yields hold(...), require(...) or does_not_apply(...), not 5",
    "yield hold(HELD, float('nan'), place='lateral_bar')": "ValueError: bar-length came out as nan",
    "yield hold(HELD, float('-inf'), place='lateral_bar')": "ValueError: bar-length came out as -inf",
    "yield hold(OTHER, 1.0, place='lateral_bar')": (
        "LookupError: the limit 'bar-length' is of another rule; my-rule has one of that name of its own"
    ),
    "yield hold(HELD, 1.0, place='lateral_bar')._replace(effect=None)": (
        "TypeError: the effect of bar-length needs a text, got None"
    ),
    "yield hold(HELD, 0.1, place='lateral_bar', cure=lambda _: 'longer')": (
        "in the cure of bar-length, TypeError: it gives 'longer'; give a Cure, or None where there is none"
    ),
    "yield hold(HELD, 0.1, place='lateral_bar', cure=lambda _: Cure('by {amount}', float('nan'), Dimension.LENGTH))": (
        "in the cure of bar-length, ValueError: it gives Cure(words='by {amount}', amount=nan"
    ),
}


@pytest.mark.parametrize(
    ("body", "sentence", "line"),
    [
        *((f"yield {body}", sentence, BODY_LINE) for body, sentence in BAD_FINDINGS.items()),
        *((body, sentence, RULE_LINE) for body, sentence in BAD_RULES.items()),
    ],
)
def test_a_rule_that_gives_nonsense_fails_alone_by_its_name_file_and_line(
    shop: Shop, body: str, sentence: str, line: int
) -> None:
    shop.rule(body)
    told = shop.run("inspect", "--only", "my-rule", "--only", "other-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    failed = [each for each in told.out.splitlines() if each.startswith("FAILED")]
    assert len(failed) == 1
    assert failed[0].startswith(f"FAILED   my-rule on whole build: the rule failed: {sentence}")
    place = f" (shop/hose.py, line {BODY_LINE if 'cure=lambda' in body else line}); steep.buildcheck.yaml"
    assert failed[0].endswith(place)


@pytest.mark.parametrize("body", ["return None", "yield hold(HELD, 1.0, place='lateral_bar')"])
def test_an_async_rule_fails_by_name_and_python_says_nothing(shop: Shop, body: str) -> None:
    shop.rule(body)
    file = Path("shop/hose.py")
    file.write_text(file.read_text(encoding="utf-8").replace("def my_rule", "async def my_rule"), encoding="utf-8")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    assert f"it is an async function; write `def` in place of `async def` (shop/hose.py, line {RULE_LINE})" in told.out


def test_numbers_and_answers_of_an_array_are_as_good_as_pythons_own(shop: Shop) -> None:
    body = "import numpy as np; yield hold(HELD, np.float32(1), place='lateral_bar', effect='far'); "
    shop.rule(body + "yield require(NEED, met=np.bool_(True), found='', wanted='', place='')")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert told == (0, "", "")


def test_a_returned_list_of_findings_is_as_good_as_a_yield(shop: Shop) -> None:
    shop.rule("return [hold(HELD, 1.0, place='lateral_bar')]")
    assert shop.run("inspect", "--only", "my-rule", "--quiet") == (0, "", "")


def test_the_report_says_on_standard_error_which_rule_failed(shop: Shop) -> None:
    shop.rule("yield hold(HELD, 1.0, place='lateral_bar', effect=None)")
    told = shop.run("report", "--to", "report.html")
    assert (told.status, told.out) == (3, "")
    sentence = (
        f"the rule failed: TypeError: the effect of bar-length needs a text, got None (shop/hose.py, line {BODY_LINE})"
    )
    assert told.err == f"my-rule on whole build: {sentence}\n"
    assert Path("report.html").exists()


# What is wrong with a rule itself is seen as it is loaded, by every command.

UNFIT = [
    ({"limits": "[HELD, HELD]"}, "has two limits named 'bar-length'; each needs a name of its own"),
    (
        {"limits": "[NEED._replace(name='it is fixed')]"},
        "has a limit named 'it is fixed'; a name has small letters and",
    ),
    ({"limits": "[NEED._replace(meaning=5)]"}, "needs words for the meaning of its limit 'fixed', got 5"),
    ({"limits": "[NEED._replace(basis='so')]"}, "has a limit without a basis"),
    (
        {"limits": "[NEED._replace(if_not='bad')]"},
        ": 'fixed' is a warning, an error or not checked where it is not met, not 'bad'",
    ),
    ({"samples": "['short']"}, "has 'short' among its samples; make one with Sample"),
    ({"samples": "[Sample(5, {})]"}, "has a sample that is not made like Sample("),
    (
        {"samples": "[Sample('short', {'units': 'metric'}, {'slack': Verdict.ERROR})]"},
        "has a sample that finds 'slack': <Verdict.ERROR: 'error'>; name one of its limits, and a Verdict",
    ),
    ({"more": ", also=[('wheel', print)]"}, "asks for subjects of the unknown kind 'wheel'"),
    ({"more": ", also=[('build', 5)]"}, "needs a function for its subject 'build', got 5"),
]


@pytest.mark.parametrize(("settings", "sentence"), UNFIT)
def test_a_rule_that_is_not_whole_is_named_and_the_others_are_used(
    shop: Shop, settings: dict[str, str], sentence: str
) -> None:
    shop.rule(**settings)
    told = shop.run("rules", spec=False)
    assert told.status == 3
    assert told.err.startswith("The plugin shop/hose.py could not be used: its rule 'my-rule'")
    assert sentence in told.err
    assert told.err.endswith(f" (shop/hose.py, line {RULE_LINE})\n")
    assert told.err.count("\n") == 1
    assert "other-rule" in told.out
    assert "my-rule" not in told.out


@pytest.mark.parametrize(
    "command", [["inspect", "--quiet"], ["cycle", "--steps", "1"], ["loads"], ["report", "--to", "report.html"]]
)
def test_it_is_named_by_every_command(shop: Shop, command: list[str]) -> None:
    settings, sentence = UNFIT[0]
    shop.rule(**settings)
    told = shop.run(*command)
    assert told.status == 3
    (said,) = [each for each in (told.out + told.err).splitlines() if "my-rule" in each]
    assert said.endswith(f"its rule 'my-rule' {sentence} (shop/hose.py, line {RULE_LINE})")
    assert "shop/hose.py" in said.partition("its rule")[0]


# The way out, from wherever a plugin's code can run.

LEAVES = {
    "a message": "class E(Exception): __str__ = Leaving.leave\n    raise E()",
    "a value that is shown": "class E: __repr__ = Leaving.leave\n    yield E()",
    "what is missing": (
        "class M(Missing):\n        path = property(Leaving.leave)\n        def __init__(self): pass\n    raise M()"
    ),
    "what cannot be reached": "class U(Unreached): __str__ = Leaving.leave\n    raise U()",
    "an answer": "class A: __eq__ = Leaving.leave\n    yield require(NEED, met=A(), found='', wanted='', place='')",
    "another class": "class A: __class__ = property(Leaving.leave)\n    yield A()",
    "an iterator": "class A: __iter__ = Leaving.leave\n    yield from A()",
    "a cure": "yield hold(HELD, 0.1, place='', cure=lambda _: exit(0))",
    "the words of a cure": "yield hold(HELD, 0.1, place='', cure=lambda _: Cure(Leaving('x'), also=Leaving('y')))",
    "click": "import click; raise click.exceptions.Exit(0)",
    "its end": "yield hold(HELD, 1.0, place='')\n    exit(0)",
}


@pytest.mark.parametrize("body", LEAVES.values(), ids=LEAVES)
def test_a_rule_does_not_end_the_run_from_anywhere_in_it(shop: Shop, body: str) -> None:
    shop.rule(body)
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    assert told.out.count("FAILED   my-rule on whole build: the rule failed: ") == 1
    assert "(shop/hose.py, line " in told.out


def test_a_rule_that_leaves_as_it_is_closed_hides_nothing(shop: Shop) -> None:
    shop.rule("try: yield hold(HELD, float('nan'), place='')\n    finally: exit(0)")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    assert "the rule failed: ValueError: bar-length came out as nan" in told.out


def test_texts_of_a_class_of_the_plugins_own_are_plain_before_anybody_reads_them(shop: Shop) -> None:
    shop.rule("yield hold(HELD, 0.1, place=Leaving('units'), of=Leaving('o'), effect=Leaving('e'), cure=Leaving('c'))")
    for output in (["--quiet"], ["--output", "json"], []):
        told = shop.run("inspect", "--only", "my-rule", *output)
        assert (told.status, told.err) == (1, "")
        assert "bar" in told.out


OFFERS = {
    "quantities": """
def none(moving, part): return moving.forward
def leave(*_): raise SystemExit(0)
@hook
def buildcheck_quantities():
    return [Family("link", "link", "room", "room", "room of the {part}", Dimension.LENGTH, none, leave),
            Quantity("hose-room", "axle", "room", "room; less is nearer", Dimension.LENGTH, leave)]
""",
    "outputs": """
@hook
def buildcheck_outputs(): return [OutputFormat("tally", lambda record: exit(0))]
""",
}


def test_a_quantity_that_leaves_or_cannot_say_which_parts_it_fits_fails_alone(shop: Shop) -> None:
    shop.write(OFFERS["quantities"])
    told = shop.run("cycle", "--steps", "1")
    failed = [each for each in told.err.splitlines() if each.startswith("The quantity ")]
    line = HEAD.count("\n") + 3
    sentence = f"could not be told: its plugin failed: SystemExit: 0 (shop/hose.py, line {line})"
    names = ("left-lower-link-room", "left-upper-link-room", "right-upper-link-room", "hose-room")
    assert failed == [f"The quantity {name} {sentence}" for name in names]
    assert told.status == 3
    assert "caster" in told.out or "axle-forward" in told.out


def test_an_output_that_leaves_fails_by_name(shop: Shop) -> None:
    shop.write(OFFERS["outputs"])
    told = shop.run("inspect", "--output", "tally")
    place = f"(shop/hose.py, line {HEAD.count(chr(10)) + 3})"
    assert told == (3, "", f"The plugin shop/hose.py failed: its output 'tally': SystemExit: 0 {place}\n")


@pytest.mark.parametrize(
    "offered",
    [
        'def buildcheck_joint_kinds(): return [JointKind(Leaving("dry-bushing"), Leaving("100 lb/in"))]',
        'def buildcheck_metals(): return [Metal(Leaving("shop-steel"), Leaving("alloy-steel"))]',
        'def buildcheck_bolt_grades(): return [BoltGrade(Leaving("b-9"), Leaving("900 MPa"), Leaving("1 in"))]',
        'def buildcheck_shop_fields(): return [ShopFields(Leaving("ours"), {Leaving("type"): Leaving("object")})]',
        'def buildcheck_outputs(): return [OutputFormat(Leaving("tally"), lambda record: Leaving("one"))]',
    ],
)
def test_whatever_a_plugin_offers_ends_no_run_unheard(shop: Shop, offered: str) -> None:
    """It is taken as plain data, or it is a failure by name: never status 0 without a word."""
    shop.write(f"@hook\n{offered}\n")
    more = ["--output", "tally"] if "outputs" in offered else []
    told = shop.run("inspect", *more)
    assert told.out or told.err
    if told.status == 3:
        assert "shop/hose.py" in told.out + told.err
    else:
        assert (told.status, told.err) == (1, "")  # what the spec itself gives


def test_a_schema_that_never_ends_is_3_and_names_its_key(shop: Shop) -> None:
    shop.write(
        "@hook\ndef buildcheck_shop_fields():\n"
        '    return [ShopFields("our_shop", {"properties": {"bay": {"$ref": "#/properties/bay"}}})]\n'
    )
    spec = Path("steep.buildcheck.yaml")
    spec.write_text(STEEP + "shop: {our_shop: {bay: 2}}\n", encoding="utf-8")
    told = shop.run("inspect")
    assert (told.status, told.out) == (3, "")
    assert told.err.startswith("A plugin failed: the schema of its shop.our_shop: RecursionError: ")


def test_an_interruption_passes_every_guard(shop: Shop) -> None:
    for body in (
        "raise KeyboardInterrupt",
        "yield hold(HELD, 0.1, place='', cure=lambda _: (_ for _ in ()).throw(KeyboardInterrupt))",
    ):
        shop.rule(f"try:\n        {body}\n        yield\n    finally: exit(0)" if body.startswith("yield") else body)
        with pytest.raises(KeyboardInterrupt):
            shop.run("inspect", "--only", "my-rule")


# Python's own lines.


def test_arithmetic_without_a_result_is_a_failure_and_no_line_of_pythons(shop: Shop) -> None:
    shop.rule("import numpy as np; yield hold(HELD, 1.0 / np.zeros(1)[0] * 0 + 1, place='')")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    sentence = "the rule failed: RuntimeWarning: divide by zero encountered in scalar divide"
    assert f"{sentence} (shop/hose.py, line {BODY_LINE})" in told.out


@pytest.mark.filterwarnings("default")
def test_any_other_warning_is_a_sentence(shop: Shop) -> None:
    shop.rule("import warnings; warnings.warn('an old hose'); yield hold(HELD, 1.0, place='')")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert told == (0, "", f"Python warns: UserWarning: an old hose (shop/hose.py, line {BODY_LINE})\n")


@pytest.mark.parametrize(
    ("body", "error"),
    [
        ("class D: __del__ = Leaving.leave\n    D()", "SystemExit: 0"),
        (
            "import threading; t = threading.Thread(target=lambda: 1 / 0); t.start(); t.join()",
            "ZeroDivisionError: division",
        ),
    ],
)
def test_what_fails_where_python_can_only_print_it_is_3_and_names_the_plugin(shop: Shop, body: str, error: str) -> None:
    shop.rule(f"{body}\n    yield hold(HELD, 1.0, place='')")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    gc.collect()
    assert (told.status, told.out) == (3, "")
    assert told.err.startswith(f"The plugin shop/hose.py failed unseen: {error}")
    assert told.err.count("\n") == 1


def test_what_fails_as_the_interpreter_ends_shows_no_traceback(tmp_path: Path) -> None:
    text = HEAD + RULE.format(body="yield hold(HELD, 1.0, place='')", limits="[HELD]", samples="[]", more="")
    text += "class D: __del__ = Leaving.leave\nKEPT = D()\nimport atexit; atexit.register(exit)\n"
    (tmp_path / "hose.py").write_text(text, encoding="utf-8")
    (tmp_path / "steep.buildcheck.yaml").write_text(STEEP, encoding="utf-8")
    told = run_in_a_process(
        "inspect", tmp_path / "steep.buildcheck.yaml", "--plugin", tmp_path / "hose.py", "--only", "my-rule", "--quiet"
    )
    assert (told.returncode, told.stdout, told.stderr) == (0, "", "")
