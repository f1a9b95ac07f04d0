"""No public function, method or class of buildcheck is there for the tests alone."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[1]

# What the command line's library calls by name.
CALLED_FROM_OUTSIDE = {
    ("buildcheck/commands/cycle.py", "Angle.convert"),
    ("buildcheck/commands/command.py", "_InOrderOfUse.list_commands"),
    ("buildcheck/commands/command.py", "_InOrderOfUse.resolve_command"),
    ("buildcheck/commands/plugged.py", "_Named.convert"),
}


class Definition(NamedTuple):
    """A function, method or class: the file that it stands in, and its name with those around it."""

    file: str
    name: str

    @property
    def own(self) -> str:
        return self.name.rpartition(".")[2]

    def within(self) -> Iterator[Definition]:
        """It and all that stand around it."""
        parts = self.name.split(".")
        yield from (Definition(self.file, ".".join(parts[:count])) for count in range(len(parts), 0, -1))


class Use(NamedTuple):
    """A name that the code speaks of, and the definition in which it does."""

    name: str
    where: Definition | None


def read(files: list[Path]) -> tuple[set[Definition], list[Use]]:
    """All definitions and all uses; a text that could be a name counts as a use of it, as in getattr and __all__."""
    definitions: set[Definition] = set()
    uses: list[Use] = []

    def walk(node: ast.AST, file: str, where: Definition | None) -> None:
        for child in ast.iter_child_nodes(node):
            inside = where
            if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                inside = Definition(file, f"{where.name}.{child.name}" if where else child.name)
                definitions.add(inside)
            elif isinstance(child, ast.Name) and isinstance(child.ctx, ast.Load):
                uses.append(Use(child.id, where))
            elif isinstance(child, ast.Attribute):
                uses.append(Use(child.attr, where))
            elif isinstance(child, ast.Constant) and isinstance(child.value, str):
                uses.append(Use(child.value, where))
            walk(child, file, inside)

    for path in files:
        walk(ast.parse(path.read_text(encoding="utf-8")), path.relative_to(ROOT).as_posix(), None)
    return definitions, uses


def unused(definitions: set[Definition], uses: list[Use]) -> set[Definition]:
    """What is named nowhere else, nor what only such things name."""
    dead: set[Definition] = set()
    while True:
        live = [use for use in uses if use.where is None or dead.isdisjoint(use.where.within())]
        named = Counter(use.name for use in live)
        # A function that calls itself is not used by that; one that calls another of its name uses the other.
        by_itself = Counter(use.where for use in live if use.where is not None and use.where.own == use.name)
        more = {
            each for each in definitions - dead if not each.own.startswith("__") and named[each.own] == by_itself[each]
        }
        if not more:
            return dead
        dead |= more


def test_every_function_method_and_class_is_used_outside_the_tests() -> None:
    files = [path for folder in ("buildcheck", "rules", "examples") for path in sorted((ROOT / folder).rglob("*.py"))]
    definitions, uses = read(files)
    ours = {each for each in definitions if each.file.startswith("buildcheck/")}
    assert len(ours) > 1000
    assert {(each.file, each.name) for each in unused(ours, uses)} == CALLED_FROM_OUTSIDE


def test_what_is_used_by_dead_code_alone_is_dead() -> None:
    first, second, third = (Definition("buildcheck/a.py", name) for name in ("first", "second", "Third.method"))
    uses = [Use("second", first), Use("first", first), Use("method", second), Use("Third", None)]
    assert unused({first, second, third}, uses) == {first, second, third}
    assert unused({first, second, third}, [*uses, Use("first", None)]) == set()


def test_a_function_of_the_same_name_that_calls_another_one_uses_it() -> None:
    check, method = Definition("rules/a.py", "leg"), Definition("buildcheck/b.py", "Strengths.leg")
    by_check, by_method = Use("leg", check), Use("leg", method)
    assert unused({check, method}, [by_check, by_method]) == set()
    assert unused({check, method}, [by_check]) == {check, method}
    assert unused({method}, [by_method]) == {method}
