"""Whatever is wrong with a spec is told in one run: values and keys that are refused, and what the schema finds."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sampling import draws

from buildcheck.spec.document import Unreadable, read_text
from buildcheck.spec.place import join
from buildcheck.spec.plain_yaml import MAX_PROBLEMS, MORE
from buildcheck.spec.schema import problems_in

HEAD = "format: 1\nunits: metric\n"


def said(text: str) -> list[tuple[int, int, str, str]]:
    found = [(p.line, p.column, p.path, p.sentence) for p in problems_in(read_text(text, "a spec"))]
    assert len(set(found)) == len(found)
    return found


def places(text: str) -> list[tuple[int, int, str]]:
    return [told[:3] for told in said(text)]


def test_refused_values_and_the_schema_in_one_list() -> None:
    text = HEAD + "axle:\n  position: on\n  castor: 5\n  centre: [0, 010, x]\ntravel: {bump: .nan, drop: 1}\n"
    assert said(text) == [
        (
            4,
            13,
            "axle.position",
            '"on" can mean a word or a switch; write true or false, or put quotes around the word',
        ),
        (5, 3, "axle.castor", '"castor" is not a key of axle; did you mean "caster"?'),
        (
            6,
            15,
            "axle.centre[1]",
            '"010" starts with a zero, which some programs read as base 8; leave the zero out, or put quotes around it '
            "if it is text",
        ),
        (
            6,
            20,
            "axle.centre[2]",
            'axle.centre[2]: "x" cannot be read as a length: it does not start with a number; write it like 875 mm',
        ),
        (
            7,
            16,
            "travel.bump",
            '".nan" is not a number that a truck can have; write a finite number, or put quotes around it if it is '
            "text",
        ),
        (7, 22, "travel.drop", '"drop" is not a key of travel; did you mean "droop"?'),
    ]


@pytest.mark.parametrize(
    "trap", ["on", "1:30", "010", ".nan", "1e400", "1_000", "0x1F", '"\\0"', "*a", "!!str 5", "! x"]
)
@pytest.mark.parametrize(
    ("spec", "path"),
    [
        ("vehicle: {wheelbase: %s}", "vehicle.wheelbase"),  # a quantity
        ("build: {name: %s}", "build.name"),  # a text
        ("build: {date: %s}", "build.date"),  # a text of one form
        ("axle: {position: %s}", "axle.position"),  # a choice
        ("axle: {centre: [0, %s, 0]}", "axle.centre[1]"),  # in a list
        ("vehicle: %s", "vehicle"),  # a whole section
        ("links: {arm: {both: {kind: %s}}}", "links.arm.both.kind"),  # what other keys depend on
        ("links: {arm: %s}", "links.arm"),
        ("format: %s", "format"),
    ],
)
def test_a_refused_value_is_reported_once_and_not_by_the_schema(spec: str, path: str, trap: str) -> None:
    head = HEAD if "format" not in spec else "units: metric\n"
    assert [place[2] for place in places(f"{head}{spec % trap}\n")] == [path]
    assert [place[2] for place in places(f"{head}winch: 1\n{spec % trap}\n")] == ["winch", path]


@pytest.mark.parametrize(
    ("spec", "wanted"),
    [
        # Of a key given twice the first value counts, and the schema sees it.
        ("travel: {bump: x, bump: 5}", [(3, 10, "travel.bump"), (3, 19, "travel.bump")]),
        ("travel: {bump: 5, bump: x, drop: 1}", [(3, 19, "travel.bump"), (3, 28, "travel.drop")]),
        ("winch: 1\ntravel: {bump: 5}\ntravel: {droop: 010}", [(3, 1, "winch"), (5, 1, "travel"), (5, 17, "")]),
        # A key that cannot be read may be the one that a group needs, so the group is not called empty.
        ("links: {no: {}}", [(3, 9, "links")]),
        ("links: {3: {}, arm: 5}", [(3, 9, "links"), (3, 16, "links.arm")]),
        ("links: {~: {}}\nwinch: 1", [(3, 9, "links"), (4, 1, "winch")]),
        ("? [a, b]\n: 1\nwinch: 1", [(3, 3, ""), (5, 1, "winch")]),
        # What has a name is read; where the name is used, nothing is.
        ("travel: &a {bump: x}\nvehicle: *a", [(3, 9, "travel"), (3, 13, "travel.bump"), (4, 10, "vehicle")]),
        ("travel: {bump: &a x}", [(3, 10, "travel.bump"), (3, 16, "travel.bump")]),
        ("travel: !!map {bump: x}", [(3, 9, "travel"), (3, 16, "travel.bump")]),
    ],
)
def test_keys_names_and_types_that_are_refused_stop_nothing(spec: str, wanted: list[tuple[int, int, str]]) -> None:
    assert places(f"{HEAD}{spec}\n") == wanted


@pytest.mark.parametrize(
    "broken",
    [
        "a: [1, 2\n",
        "a: 'x\n",
        "a: b: c\n",
        "---\nb: 1\n",
        "a:\n\tb: 1\n",
        "a: {<<: {b: 1}}\n",
        "a: " + "[" * 30 + "]" * 30,
    ],
)
def test_a_broken_structure_is_reported_with_earlier_refusals_only(broken: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_text(f"{HEAD}winch: 1\n{broken}", "a spec")
    assert len(caught.value.problems) == 1
    if "\t" in broken:
        return  # characters come before everything else
    with pytest.raises(Unreadable) as caught:
        read_text(f"{HEAD}winch: on\n{broken}", "a spec")
    assert len(caught.value.problems) == 2
    assert caught.value.problems[0].line == 3


def test_there_are_no_data_while_anything_is_refused() -> None:
    document = read_text("a: 1\nb: on\n", "a spec")
    assert document.legible == {"a": 1, "b": None}
    assert document.unread == {"b"}
    assert [problem.path for problem in document.problems] == ["b"]
    with pytest.raises(Unreadable) as caught:
        _ = document.data
    assert caught.value.problems == document.problems
    sound = read_text("a: 1\n", "a spec")
    assert (sound.data, sound.problems, sound.unread) == ({"a": 1}, (), frozenset())


def test_both_kinds_together_are_listed_up_to_the_limit() -> None:
    def both(count: int) -> list[tuple[int, int, str, str]]:
        return said(HEAD + "".join(f"nonsense_{n}: 1\n" for n in range(count)) + "vehicle: {wheelbase: on}\n")

    assert len(both(MAX_PROBLEMS - 1)) == MAX_PROBLEMS
    assert both(MAX_PROBLEMS - 1)[-1][2] == "vehicle.wheelbase"
    assert len(both(MAX_PROBLEMS)) == MAX_PROBLEMS + 1
    assert both(MAX_PROBLEMS)[-1][2:] == ("vehicle.wheelbase", MORE)


# A sound spec, spoiled at places drawn at random: each leaf as it is written, and how the schema can be broken there.
LENGTHS = ("x", "1000 m", "true", "[]", "3 kN", "")
WORDS = ("5", "{}", "true", "[a]", "")
SOUND: dict[str, Any] = {
    "build": {"name": ("Larch", WORDS), "date": ("2026-03-14", ("2026-02-30", "5", "March")), "shop": ("a", WORDS)},
    "vehicle": {"wheelbase": ("2600", LENGTHS), "track": ("1500", LENGTHS)},
    "axle": {"position": ("front", ("middle", "3", "[]")), "caster": ("5 deg", ("400 deg", "x", "{}"))},
    "links": {
        "upper": {"both": {"kind": ("two-point", ("one-point", "4")), "length": ("800", LENGTHS)}},
        "lower": {
            "left": {"kind": ("two-point", ("", "[]")), "length": ("800", LENGTHS)},
            "right": {"kind": ("radius-arm", ("arm",)), "length": ("810 mm", LENGTHS)},
        },
    },
    "travel": {"bump": ("100", LENGTHS), "droop": ("100", LENGTHS), "articulation": ("10 deg", ("400 deg", "x", "{}"))},
}
TRAPS = ("on", "Yes", "n", "1:30", "010", "0x1F", "1_000", ".nan", "-.inf", "1e400", "1" * 16, '"\\0"', "*a", "!!str a")
TRAP_KEYS = ("on", "3", "~", "010", "<none>", "[a]")


@dataclass
class Spoiled:
    """A spec as text, line by line, and where its problems must be told."""

    draw: Any
    lines: list[str] = field(default_factory=HEAD.splitlines)
    wanted: list[tuple[int, int, str]] = field(default_factory=list)

    def write(self, group: dict[str, Any], path: str, indent: int) -> None:
        pad = " " * indent
        for key, held in group.items():
            line, where = f"{pad}{key}:", join(path, key)
            if isinstance(held, dict):
                self.lines.append(line)
                self.write(held, where, indent + 2)
            else:
                self.write_leaf(line, where, *held)
            if self.draw(0, 11) == 0:  # the same key once more
                self.add(f"{line} ignored", indent + 1, where)
        if self.draw(0, 5) == 0:
            self.add(f"{pad}zzz: 1", indent + 1, join(path, "zzz"))
        if self.draw(0, 5) == 0:
            trap = TRAP_KEYS[self.draw(0, len(TRAP_KEYS) - 1)]
            if trap == "<none>":
                self.add(f"{pad}: 1", indent + 1, path)
            elif trap == "[a]":
                self.add(f"{pad}? [a]", indent + 3, path)
                self.lines.append(f"{pad}: 1")
            else:
                self.add(f"{pad}{trap}: 1", indent + 1, path)

    def write_leaf(self, line: str, where: str, sound: str, mistakes: tuple[str, ...]) -> None:
        column = len(line) - len(line.lstrip()) + 1
        match self.draw(0, 5):
            case 0:
                trap = TRAPS[self.draw(0, len(TRAPS) - 1)]
                self.add(f"{line} {trap}", len(line) + 2, where)
            case 1:
                mistake = mistakes[self.draw(0, len(mistakes) - 1)]
                self.add(f"{line} {mistake}".rstrip(), column, where)
            case _:
                self.lines.append(f"{line} {sound}")

    def add(self, line: str, column: int, path: str) -> None:
        self.lines.append(line)
        self.wanted.append((len(self.lines), column, path))


@draws(150)
@given(st.data())
def test_all_planted_mistakes_are_reported_in_one_run_once_each_in_file_order(data: st.DataObject) -> None:
    spoiled = Spoiled(lambda least, most: data.draw(st.integers(least, most)))
    spoiled.write(SOUND, "", 0)
    assert places("\n".join(spoiled.lines) + "\n") == sorted(spoiled.wanted, key=lambda place: place[:2])


def test_what_the_planted_spec_starts_from_is_sound() -> None:
    spoiled = Spoiled(lambda least, most: most)
    spoiled.write(SOUND, "", 0)
    assert spoiled.wanted == []
    assert places("\n".join(spoiled.lines) + "\n") == []
