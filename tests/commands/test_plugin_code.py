"""A plugin's code that fails, leaves or returns nonsense, wherever it runs: status 3 and one sentence that names it."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from sampling import sampled
from specs_and_rules import STEEP
from specs_and_rules import run as run_in_a_process

from buildcheck.commands.command import run

HEAD = """\
from buildcheck.api import *
BUILDCHECK_INTERFACE = 2
class Leaving(str):
    def leave(self, *_, **__): raise SystemExit(0)
    __str__ = __format__ = __eq__ = __len__ = __bool__ = __hash__ = translate = replace = encode = leave
class Hose:
    path, label, which = "lateral_bar", "hose", ""
    def __init__(self, **changes): vars(self).update(changes)
PRACTICE, CLIP = common_practice("it is so"), Words("fit a clip")
"""
RULE = """\
my_rule = Rule("my-rule", area=Area.SAFETY, page={page}, samples={samples})
@my_rule.{kind}({subject}, {limit}, basis={basis}, change={change}, place={place}{more})
def bar_length(job, part):
    \"\"\"Length of the bar.\"\"\"
    {body}
other_rule = Rule("other-rule", area=Area.SAFETY, page="It is so.\\n\\nChecked: it.")
@other_rule.must(Build, wanted="a clip", basis=PRACTICE, change=CLIP, place="lateral_bar")
def fixed(job, build):
    \"\"\"It is fixed.\"\"\"
    return met(True, "a clip", otherwise="loose")
@hook
def buildcheck_rules(): return [my_rule, other_rule]
"""
SOUND = {
    "kind": "check",
    "subject": "Build",
    "limit": "at_least(error='24 in')",
    "basis": "PRACTICE",
    "change": "CLIP",
    "place": "'lateral_bar'",
    "page": "'It is so.\\n\\nChecked: it.'",
    "samples": "()",
    "more": "",
    "body": "return 1.0",
}
MUST = {"kind": "must", "limit": "wanted='a clip'"}
RULE_LINE = HEAD.count("\n") + 2
BODY_LINE = RULE_LINE + 3


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

    def rule(self, body: str = SOUND["body"], **settings: str) -> None:
        self.write(RULE.format(**{**SOUND, **settings, "body": body}))

    def run(self, *arguments: str, spec: bool = True) -> Ended:
        named = [*arguments, *(["steep.buildcheck.yaml"] if spec else []), "--plugin", "shop/hose.py"]
        self._monkeypatch.setattr(sys, "argv", ["buildcheck", *named])
        status = run()
        return Ended(status, *self._capsys.readouterr())


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Shop:
    return Shop(tmp_path, monkeypatch, capsys)


NO_NUMBER = "return a number, a spot of a curve, or met(...)"
# What a check returns is seen after its last line, so that the place is that of the function, without a line of text.
BAD_VALUES = {
    "pass": "bar-length returns nothing; did you forget to write `return`?",
    "return": "bar-length returns nothing; did you forget to write `return`?",
    "return True": f"bar-length returns True; {NO_NUMBER}",
    "return 'ok'": f"bar-length returns 'ok'; {NO_NUMBER}",
    "return [1.0]": f"bar-length returns [1.0]; {NO_NUMBER}",
    "import numpy as np; return np.zeros(2)": f"bar-length returns array([0., 0.]); {NO_NUMBER}",
    "yield 1.0": "bar-length yields; write `return` in place of `yield`, and a check for each number",
    "return float('nan')": "ValueError: bar-length came out as nan",
    "return float('-inf')": "ValueError: bar-length came out as -inf",
    "return Spot(float('nan'))": "ValueError: bar-length came out as nan",
    "return Spot('1 in')": "bar-length returns a spot of '1 in', which is not a number",
    "return Spot(True)": "bar-length returns a spot of True, which is not a number",
    "return Spot(1.0, 5)": "TypeError: the pose of bar-length is 5; take it from a spot of a curve",
    "return Spot(1.0, why=5)": "TypeError: what follows from it needs a text, got 5",
    "return Spot(1.0, without=(5,))": "TypeError: what is left out needs a text, got 5",
    "return Spot(1.0, missing=(5,))": "TypeError: a spec path that is missing needs a text, got 5",
    "return Area.LINKS": f"bar-length returns <Area.LINKS: 'links'>; {NO_NUMBER}",
    "return Sample": "bar-length returns <class 'buildcheck.checks.rule.Sample'>; ",
}
# What fails on the way has the place of the line, and shows it.
BAD_LINES = {
    "1 / 0": "ZeroDivisionError: division by zero",
    "exit(0)": "SystemExit: 0",
    "return met(1, '', otherwise='')": "TypeError: met() needs True or False, got 1",
    "return met(None, '', otherwise='')": "TypeError: met() needs True or False, got None",
    "return met([], '', otherwise='')": "TypeError: met() needs True or False, got []",
    "return met(True, 5, otherwise='b')": "TypeError: met() for what it found takes words, got 5",
    "return met(True, '', otherwise='b')": "TypeError: met() for what it found takes words, got ''",
    "return met(False, '', otherwise='')": "TypeError: otherwise= takes words, got ''",
    "return met(False, 'a', otherwise=' ')": "TypeError: otherwise= takes words, got ' '",
    "return met(False, 'a', otherwise='b', why=5)": "TypeError: why= takes a text, got 5",
}


@pytest.mark.parametrize(
    ("body", "sentence", "place"),
    [
        *((body, sentence, f"line {BODY_LINE}: {body}") for body, sentence in BAD_LINES.items()),
        *((body, sentence, f"line {RULE_LINE}") for body, sentence in BAD_VALUES.items()),
    ],
)
def test_a_check_that_gives_nonsense_fails_alone_by_its_name_file_and_line(
    shop: Shop, body: str, sentence: str, place: str
) -> None:
    shop.rule(body, **MUST if "met(" in body else {})
    told = shop.run("inspect", "--only", "my-rule", "--only", "other-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    (failed,) = [each for each in told.out.splitlines() if each.startswith("FAILED")]
    assert failed.startswith(f"FAILED   my-rule on whole build: the rule failed: {sentence}")
    assert failed.endswith(f" (shop/hose.py, {place}); steep.buildcheck.yaml")


# What else of a check is computed or called.
BAD_FUNCTIONS = [
    ({"place": "lambda job, part: 5"}, "TypeError: its place needs a text, got 5"),
    ({"place": "lambda job, part: 'lateral_baar'"}, "ValueError: "),
    ({"place": "lambda: 'lateral_bar'"}, "TypeError: <lambda>() takes 0 positional arguments but 2 were given"),
    ({"more": ", effect=lambda job, part: None"}, "TypeError: its effect needs a text, got None"),
    ({"more": ", when=lambda job, part: ''"}, "its `when` returned ''; return None, or why the check does not apply"),
    ({"more": ", when=lambda job, part: 5"}, "its `when` returned 5; return None, or why the check does not apply"),
    ({"more": ", when=lambda job: None"}, "TypeError: <lambda>() takes 1 positional argument but 2 were given"),
    ({"change": "Words(lambda job, part: 5)"}, "in the change of bar-length, TypeError: a change gives "),
    (
        {"change": "(Computed(lambda job, part: [5]), CLIP)"},
        "in the change of bar-length, AttributeError: 'int' object",
    ),
    (
        {"change": "(Move('frame').of(lambda job, part: 'lateral_bar'), CLIP)"},
        "in the change of bar-length, of() returned 'lateral_bar'; return the part of the build to change, or None",
    ),
    (
        {
            "subject": "made('hose', lambda job, build: [Hose(label='')])",
            "change": "(Move('frame'), CLIP)",
            "place": "''",
        },
        "in the change of bar-length, the subject is not a part of the build; say with of() which part to change",
    ),
    (
        {"change": "(NextSize('length', len, says='{amount}').of(lambda job, part: [part]), CLIP)"},
        "in the change of bar-length, of() returned [",
    ),
    ({"change": "(Move('nose').of(lambda job, part: job.build.lateral_bar), CLIP)"}, "in the change of bar-length, "),
    (
        {"change": "(Resize('frame').of(lambda job, part: job.build.lateral_bar), CLIP)"},
        "in the change of bar-length, ",
    ),
]


@pytest.mark.parametrize(("settings", "sentence"), BAD_FUNCTIONS)
def test_what_else_is_computed_for_a_check_fails_alone(shop: Shop, settings: dict[str, str], sentence: str) -> None:
    shop.rule("return 0.1", **settings)
    told = shop.run("inspect", "--only", "my-rule", "--only", "other-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    (failed,) = [each for each in told.out.splitlines() if each.startswith("FAILED")]
    assert failed.startswith(f"FAILED   my-rule on whole build: the rule failed: {sentence}")
    assert " (shop/hose.py, line " in failed


MADE = [
    ("[Hose(label=5)]", "the label of a hose needs a text, got 5"),
    ("[Hose(path=None)]", "the path of a hose needs a text, got None"),
    ("5", "the function that makes each hose returns 5; yield them, or return a list"),
    ("None", "the function that makes each hose returns None; yield them, or return a list"),
    ("'hose'", "the function that makes each hose returns 'hose'; yield them, or return a list"),
    ("(Hose() for _ in iter(int, 1))", "it makes more than 500 of the kind hose for one part"),
    ("[Hose(which=Leaving('left'))]", "SystemExit: 0"),
    ("[1 / 0]", "ZeroDivisionError: division by zero"),
    ("exit(0)", "SystemExit: 0"),
]


@pytest.mark.parametrize(("made", "sentence"), MADE, ids=[made for made, _ in MADE])
def test_subjects_that_a_rule_makes_fail_alone_and_never_without_end(shop: Shop, made: str, sentence: str) -> None:
    shop.rule(subject=f"made('hose', lambda job, build: {made})")
    told = shop.run("inspect", "--only", "my-rule", "--only", "other-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    (failed,) = [each for each in told.out.splitlines() if each.startswith("FAILED")]
    assert failed.startswith(f"FAILED   my-rule on hose: the rule failed: bar-length: {sentence}")
    assert " (shop/hose.py, line " in failed


def test_an_async_check_fails_by_name_and_python_says_nothing(shop: Shop) -> None:
    shop.rule()
    file = Path("shop/hose.py")
    file.write_text(
        file.read_text(encoding="utf-8").replace("def bar_length", "async def bar_length"), encoding="utf-8"
    )
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    gc.collect()
    assert (told.status, told.err) == (3, "")
    assert (
        f"bar-length is an async function; write `def` in place of `async def` (shop/hose.py, line {RULE_LINE})"
        in told.out
    )


@pytest.mark.parametrize("arguments", ["job", "job, part, pose", ""])
def test_a_check_of_a_wrong_number_of_arguments_fails_by_name(shop: Shop, arguments: str) -> None:
    shop.rule()
    file = Path("shop/hose.py")
    file.write_text(file.read_text(encoding="utf-8").replace("bar_length(job, part)", f"bar_length({arguments})"))
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    assert "the rule failed: TypeError: bar_length() " in told.out
    assert f" (shop/hose.py, line {RULE_LINE})" in told.out


def without_plugin(told: Any) -> tuple[int, str, str]:
    """Status and both outputs, without the line that names the plugin in use."""
    line, rest = told.out.split("\n", 1)
    assert line.startswith("PLUGIN   shop/hose.py (sha256 ")
    return told.status, rest, told.err


def test_numbers_and_answers_of_an_array_are_as_good_as_pythons_own(shop: Shop) -> None:
    shop.rule("import numpy as np; return np.float32(1)", more=", effect='far'")
    assert without_plugin(shop.run("inspect", "--only", "my-rule", "--quiet")) == (0, "", "")
    shop.rule("import numpy as np; return met(np.bool_(True), 'a', otherwise='b')", **MUST)
    assert without_plugin(shop.run("inspect", "--only", "my-rule", "--quiet")) == (0, "", "")


def test_the_report_says_on_standard_error_which_rule_failed(shop: Shop) -> None:
    shop.rule("return True")
    told = shop.run("report", "--to", "report.html")
    assert (told.status, told.out) == (3, "")
    sentence = f"the rule failed: bar-length returns True; {NO_NUMBER} (shop/hose.py, line {RULE_LINE})"
    assert told.err == f"my-rule on whole build: {sentence}\n"
    assert Path("report.html").exists()


# What is wrong with a rule itself is seen as it is loaded, by every command. What is wrong with a whole rule is seen as
# the hook offers it, and the other rules are used.

UNFIT = [
    ({"page": "'It is so.'"}, "has no page; write a title, an empty line and a text, and give them as page="),
    ({"samples": "[Sample(5, {})]"}, "has a sample that is not made like Sample("),
    ({"samples": "[Sample(' ', {})]"}, "has a sample that is not made like Sample("),
    (
        {"samples": "[Sample('short', {}, {}, {'bar-length': 24})]"},
        "has a sample with the value 'bar-length': 24; write it with its unit, as '6 in'",
    ),
    ({"basis": "Basis(' ')"}, "has a limit without a basis"),
    (
        {"samples": "[Sample('short', {'units': 'metric'}, {'slack': Verdict.ERROR})]"},
        "has a sample that finds 'slack': <Verdict.ERROR: 'error'>; name one of its limits, and a Verdict",
    ),
    (
        {"more": ", name='it is fixed'"},
        "has a limit named 'it is fixed'; a name has small letters and hyphens, such as",
    ),
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


FIXED_TWICE = """\
@other_rule.must(Build, wanted="a clip", basis=PRACTICE, change=CLIP)
def fixed(job, build):
    \"\"\"It is fixed.\"\"\"
    return met(True, "a clip", otherwise="loose")
@other_rule.must("""

# A check that cannot be meant ends the loading of its file, at its line.
NOT_MEANT = [
    ({"limit": "at_most()"}, "ValueError: check bar-length: the limit bounds nothing"),
    ({"limit": "at_most(error='24')"}, 'ValueError: check bar-length: the limit "24" needs one kind of unit'),
    ({"limit": "at_most(error='1 lb')"}, 'ValueError: check bar-length: the limit "1 lb" may be a '),
    ({"limit": "at_most(error='1 in', warning='5 deg')"}, "ValueError: check bar-length: the limit "),
    ({"limit": "at_most(warning='2 in', error='1 in')"}, "ValueError: check bar-length: its error bound is inside"),
    ({"limit": "between(error=('2 in', '1 in'))"}, "ValueError: check bar-length: its lower bound is above its upper"),
    ({"change": "Move('frame')"}, "ValueError: check bar-length: a list of changes ends in Words"),
    ({"change": "()"}, "ValueError: check bar-length: a list of changes ends in Words"),
    (
        {**MUST, "more": ", otherwise=Verdict.WAIVED"},
        "ValueError: check bar-length: a requirement that is not met is never waived",
    ),
    ({"change": "5"}, "TypeError: check bar-length: change= takes a change of buildcheck.api or a list of them"),
    ({"subject": "'link'"}, "TypeError: check bar-length: a check looks at a class of the build (Link, Coilover,"),
    ({"subject": "str"}, "TypeError: check bar-length: a check looks at a class of the build (Link, Coilover,"),
    ({"subject": "Pair[str]"}, "TypeError: check bar-length: a check looks at a class of the build (Link, Coilover,"),
    ({"more": ", follows=('fixd',)"}, "ValueError: check bar-length: it follows another: there is no check"),
    (
        {"more": ", follows='fixed'"},
        "TypeError: check bar-length: follows= takes a tuple of names of checks, got 'fixed'",
    ),
    ({"more": ", follows=5"}, "TypeError: check bar-length: follows= takes a tuple of names of checks, got 5"),
    ({"more": ", plase='lateral_bar'"}, "TypeError: check bar-length: there is no keyword"),
    ({"more": ", of=5"}, 'TypeError: check bar-length: there is no keyword "of"'),
    ({"more": ", compares=5"}, "TypeError: check bar-length: compares= takes True or False, got 5"),
    (
        {"more": ", effect=None"},
        "TypeError: check bar-length: effect= takes a text or a function of (job, subject), got",
    ),
    ({"more": ", when=5"}, "TypeError: check bar-length: when= takes a function of (job, subject) or None, got 5"),
    (
        {"more": ", from_stage='tacked'"},
        "TypeError: check bar-length: from_stage= takes a Stage of buildcheck.api or N",
    ),
    (
        {"more": ", error_basis='so'"},
        "TypeError: check bar-length: error_basis= takes a basis, such as common_practice(",
    ),
    (
        {"more": ", dimension='length'"},
        "TypeError: check bar-length: dimension= takes a Dimension of buildcheck.api or",
    ),
    ({"more": ", name=5"}, "TypeError: name= takes a text, got 5"),
    ({"place": "5"}, "TypeError: check bar-length: place= takes a text or a function of (job, subject), got 5"),
    ({"basis": "'so'"}, "TypeError: check bar-length: basis= takes a basis, such as common_practice(...), got 'so'"),
    ({"basis": "common_practice(' ')"}, "TypeError: common_practice() takes words, got ' '"),
    ({"basis": "published('TWI', 5)"}, "TypeError: published() for its text takes words, got 5"),
    (
        {"change": "('a longer bar', CLIP)"},
        "TypeError: check bar-length: change= takes a change of buildcheck.api or a",
    ),
    (
        {"change": "(CLIP, Move('frame'), CLIP)"},
        "ValueError: check bar-length: only the last change of a list is Words",
    ),
    ({"change": "Words(' ')"}, "TypeError: Words takes words or a function of (job, subject), got ' '"),
    ({"change": "(Resize('length', most='2'), CLIP)"}, "TypeError: most= takes an amount with its unit, got '2'"),
    ({"change": "(Resize('length').of(5), CLIP)"}, "TypeError: of() takes a function of (job, subject), got 5"),
    ({"limit": "between(error='6 in')"}, "TypeError: error= takes None or its two ends, such as ("),
    ({**MUST, "limit": "wanted=5"}, "TypeError: check bar-length: wanted= takes words, got 5"),
    ({**MUST, "limit": "wanted=''"}, "TypeError: check bar-length: wanted= takes words, got ''"),
    ({**MUST, "more": ", otherwise='error'"}, "TypeError: check bar-length: otherwise= takes a Verdict of buildcheck."),
]

# So does a rule that cannot be meant, at the line that makes it.
RULE_NOT_MEANT = [
    (
        '"my-rule", area=Area.SAFETY',
        '"my-rule", area=5',
        "TypeError: rule 'my-rule': area= takes an Area of buildcheck.api, got 5",
    ),
    ("samples=()", "samples=5", "TypeError: rule 'my-rule': samples= takes samples; make each with Sample, got 5"),
    (
        "samples=()",
        "samples=['short']",
        "TypeError: rule 'my-rule': samples= takes samples; make each with Sample, got",
    ),
    ("samples=()", "title=5", "TypeError: rule 'my-rule': title= takes a text, got 5"),
    (
        "samples=()",
        "from_stage='tacked'",
        "TypeError: rule 'my-rule': from_stage= takes a Stage of buildcheck.api, got",
    ),
    ('"my-rule", ', "5, ", "TypeError: rule 5: name= takes words, got 5"),
]


@pytest.mark.parametrize(("written", "instead", "sentence"), RULE_NOT_MEANT)
def test_a_rule_that_cannot_be_meant_is_refused_with_its_line(
    shop: Shop, written: str, instead: str, sentence: str
) -> None:
    shop.rule()
    file = Path("shop/hose.py")
    text = file.read_text(encoding="utf-8")
    assert text.count(written) == 1
    file.write_text(text.replace(written, instead), encoding="utf-8")
    refused_at(shop, sentence, RULE_LINE - 1)


@pytest.mark.parametrize(("settings", "sentence"), NOT_MEANT)
def test_a_check_that_cannot_be_meant_is_refused_with_its_line(
    shop: Shop, settings: dict[str, str], sentence: str
) -> None:
    shop.rule(**settings)
    refused_at(shop, sentence, RULE_LINE)


@pytest.mark.parametrize(
    ("written", "instead", "sentence", "line"),
    [
        ('    """Length of the bar."""\n', "", "ValueError: check bar-length: it needs a docstring", RULE_LINE),
        ("@other_rule.must(", FIXED_TWICE, "ValueError: check fixed: the rule has a check of this name already", None),
        ("'It is so.\\n\\nChecked: it.'", "__doc__", "", RULE_LINE - 1),
    ],
)
def test_a_docstring_that_is_not_there_and_a_second_check_of_a_name_are_refused(
    shop: Shop, written: str, instead: str, sentence: str, line: int | None
) -> None:
    shop.rule()
    file = Path("shop/hose.py")
    text = file.read_text(encoding="utf-8")
    assert text.count(written) == 1
    file.write_text(text.replace(written, instead), encoding="utf-8")
    refused_at(shop, sentence, line)


def refused_at(shop: Shop, sentence: str, line: int | None) -> None:
    """The file is not used, for one reason, with its line where that is known."""
    told = shop.run("rules", spec=False)
    assert told.status == 3
    assert told.err.startswith(f"The plugin shop/hose.py could not be used: {sentence}")
    assert f" (shop/hose.py, line {line or ''}" in told.err
    assert told.err.count("\n") == 1
    assert "my-rule" not in told.out
    assert "other-rule" not in told.out


@sampled(2)
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
    "a message": {"body": "class E(Exception): __str__ = Leaving.leave\n    raise E()"},
    "a value that is shown": {"body": "class E: __repr__ = Leaving.leave\n    return E()"},
    "what is missing": {
        "body": "class M(Missing):\n        path = property(Leaving.leave)\n        def __init__(self): pass\n"
        "    raise M()"
    },
    "what cannot be reached": {"body": "class U(Unreached): __str__ = Leaving.leave\n    raise U()"},
    "what it cannot tell": {"body": "class U(CannotTell): __str__ = Leaving.leave\n    raise U()"},
    "an answer": {"body": "class A: __eq__ = Leaving.leave\n    return met(A(), '', otherwise='')", **MUST},
    "another class": {"body": "class A: __class__ = property(Leaving.leave)\n    return A()"},
    "a number": {"body": "class A(float): __float__ = Leaving.leave\n    return A(1)"},
    "a change": {"body": "return 0.1", "change": "(Computed(lambda job, part: exit(0)), CLIP)"},
    "the words of a change": {"body": "return 0.1", "change": "Words(lambda job, part: exit(0))"},
    "the part to change": {"body": "return 0.1", "change": "(Move('frame').of(lambda job, part: exit(0)), CLIP)"},
    "a subject": {"subject": "each(Link, where=lambda job, link: exit(0))"},
    "when it applies": {"more": ", when=lambda job, part: exit(0)"},
    "its place": {"place": "lambda job, part: exit(0)"},
    "its effect": {"more": ", effect=lambda job, part: exit(0)"},
    "click": {"body": "import click; raise click.exceptions.Exit(0)"},
}


@pytest.mark.parametrize("settings", LEAVES.values(), ids=LEAVES)
def test_a_rule_does_not_end_the_run_from_anywhere_in_it(shop: Shop, settings: dict[str, str]) -> None:
    shop.rule(**settings)
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    subject = "link" if "subject" in settings else "whole build"
    assert told.out.count(f"FAILED   my-rule on {subject}: the rule failed: ") == 1
    assert "(shop/hose.py, line " in told.out


def test_texts_of_a_class_of_the_plugins_own_are_plain_before_anybody_reads_them(shop: Shop) -> None:
    texts = {
        "place": "lambda job, part: Leaving('units')",
        "more": ", effect=lambda job, part: Leaving('e')",
        "change": "Words(Leaving('c'))",
    }
    for settings in ({}, MUST):
        limit = {"limit": "wanted=Leaving('w')"} if settings else {}
        body = "return met(False, '', otherwise=Leaving('o'))" if settings else "return 0.1"
        shop.rule(body, **{**settings, **limit, **texts})
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
    place = f"(shop/hose.py, line {line}: def leave(*_): raise SystemExit(0))"
    sentence = f"could not be computed: its plugin failed: SystemExit: 0 {place}"
    names = ("left-lower-link-room", "left-upper-link-room", "right-upper-link-room", "hose-room")
    assert failed == [f"The quantity {name} {sentence}" for name in names]
    assert told.status == 3
    assert "caster" in told.out or "axle-forward" in told.out


def test_an_output_that_leaves_fails_by_name(shop: Shop) -> None:
    shop.write(OFFERS["outputs"])
    told = shop.run("inspect", "--output", "tally")
    written = 'def buildcheck_outputs(): return [OutputFormat("tally", lambda record: exit(0))]'
    place = f"(shop/hose.py, line {HEAD.count(chr(10)) + 3}: {written})"
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
    interrupts = "lambda *_: (_ for _ in ()).throw(KeyboardInterrupt)"
    for settings in (
        {"body": "raise KeyboardInterrupt"},
        {"body": "try: raise KeyboardInterrupt\n    finally: open('closed', 'w').close()"},
        {"body": "return 0.1", "change": f"Words({interrupts})"},
        {"body": "return 0.1", "change": f"(Computed({interrupts}), CLIP)"},
        {"more": f", when={interrupts}"},
        {"place": interrupts},
        {"subject": f"each(Link, where={interrupts})"},
        {"subject": f"made('hose', {interrupts})"},
    ):
        shop.rule(**settings)
        with pytest.raises(KeyboardInterrupt):
            shop.run("inspect", "--only", "my-rule")


# Python's own lines.


def test_arithmetic_without_a_result_is_a_failure_and_no_line_of_pythons(shop: Shop) -> None:
    shop.rule("import numpy as np; return 1.0 / np.zeros(1)[0] * 0 + 1")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert (told.status, told.err) == (3, "")
    sentence = "the rule failed: RuntimeWarning: divide by zero encountered in scalar divide"
    assert f"{sentence} (shop/hose.py, line {BODY_LINE}: import numpy as np; return 1.0 / " in told.out


@pytest.mark.filterwarnings("default")
def test_any_other_warning_is_a_sentence(shop: Shop) -> None:
    shop.rule("import warnings; warnings.warn('an old hose'); return 1.0")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    assert without_plugin(told) == (0, "", f"Python warns: UserWarning: an old hose (shop/hose.py, line {BODY_LINE})\n")


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
    shop.rule(f"{body}\n    return 1.0")
    told = shop.run("inspect", "--only", "my-rule", "--quiet")
    gc.collect()
    assert without_plugin(told)[:2] == (3, "")
    assert told.err.startswith(f"The plugin shop/hose.py failed unseen: {error}")
    assert told.err.count("\n") == 1


def test_what_fails_as_the_interpreter_ends_shows_no_traceback(tmp_path: Path) -> None:
    text = HEAD + RULE.format(**SOUND)
    text += "class D: __del__ = Leaving.leave\nKEPT = D()\nimport atexit; atexit.register(exit)\n"
    (tmp_path / "hose.py").write_text(text, encoding="utf-8")
    (tmp_path / "steep.buildcheck.yaml").write_text(STEEP, encoding="utf-8")
    told = run_in_a_process(
        "inspect", tmp_path / "steep.buildcheck.yaml", "--plugin", tmp_path / "hose.py", "--only", "my-rule", "--quiet"
    )
    assert (told.returncode, told.stderr) == (0, "")
    [line] = told.stdout.splitlines()
    assert line.startswith("PLUGIN   ")
