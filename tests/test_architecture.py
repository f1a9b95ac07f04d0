"""The code keeps to its plan: which packages there are, what each may import, and no import in a circle."""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterable, Mapping
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any

import grimp
import pytest

ROOT = Path(__file__).parent.parent
SETTINGS: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
OURS = ("buildcheck", "buildcheck_rules", "buildcheck_schemas")

# What each package may import, and why. What is not listed is forbidden, and what is listed is used.
# `buildcheck` alone is its __init__.py.
MAY_IMPORT: dict[str, dict[str, str]] = {
    "spec": {
        "buildcheck_schemas": "the JSON Schemas are files of that package",
    },
    "build": {
        "spec": "amounts, spec paths, and the names that plugins add",
    },
    "axle": {},
    "steering": {
        "axle": "vectors and rotations, and the poses that carry the linkage",
    },
    "clearance": {
        "axle": "the algebra of vectors",
    },
    "strength": {
        "axle": "vectors, and the rigid arm whose joints carry the load",
        "spec": "the system of units: the tables for welds have a column for each",
    },
    "job": {
        "spec": "amounts and their words, the nearest name, the guard around a plugin's quantity",
        "build": "the build that is solved",
        "axle": "where the axle goes",
        "steering": "how the wheels turn",
        "clearance": "how near parts come to each other",
        "strength": "what parts carry and can carry",
    },
    "checks": {
        "spec": "amounts, places in the spec, the standard's own document and schema",
        "build": "the subjects of checks, and the changed builds",
        "job": "the quantities that are held to limits",
    },
    "plugins": {
        "spec": "the guard around foreign code, and the schema of a shop's fields",
        "build": "the classes that a plugin's rule may name",
        "job": "the quantities that a plugin adds",
        "checks": "the rules that a plugin adds",
        "strength": "the grades of bolt that are taken",
    },
    "shop": {
        "spec": "reading and checking a record",
        "build": "every value that a spec states",
        "job": "the parts list that is cut and ordered",
        "checks": "the hold points and the inspection that are signed",
    },
    "api": {
        "spec": "Dimension and the errors that a rule may see",
        "build": "the classes of parts",
        "job": "what a rule asks of the job",
        "checks": "rule, limit, subject and change",
        "plugins": "the hooks",
    },
    "output": {
        "spec": "amounts, places in the spec, and how YAML writes a value",
        "build": "the parts that are shown",
        "job": "curves, the drawing, the cycle, the loads",
        "checks": "readings, rules and hold points",
        "plugins": "the plugins that failed are part of every outcome",
        "shop": "the signed stages that are shown",
    },
    "library": {
        "spec": "reading a spec, and changing its data",
        "build": "the build of a spec",
        "job": "the cycle and the loads",
        "checks": "the inspection",
        "plugins": "the plugins that a spec is read with",
        "output": "a reading is printed in the words of the record",
        "shop": "two states of a build compared",
    },
    "testing": {
        "spec": "specs as plain data, and their schema",
        "build": "sound builds",
        "job": "the quantities of a changed build",
        "checks": "the inspection that assertions are made of",
        "plugins": "the rules of a plugin",
    },
    "commands": {
        "spec": "places, amounts and the guard",
        "build": "sides and stages by name",
        "job": "the cycle and the loads",
        "checks": "the inspection and the shop's standard",
        "plugins": "loading the plugins",
        "output": "the formats",
        "library": "a spec that was read",
        "shop": "signing, and judging what was signed",
    },
    "__main__": {
        "commands": "it starts the command",
    },
    "buildcheck": {
        "build": "types that a caller needs",
        "job": "types that a caller needs",
        "checks": "types that a caller needs",
        "library": "the functions",
        "shop": "types that a caller needs",
    },
    "buildcheck_rules": {
        "api": "the built-in rules are a plugin like a shop's own: what api lacks, a shop lacks too",
    },
    "buildcheck_schemas": {},
}

# Which package may use a library that is not Python's own, and why.
LIBRARIES: dict[str, dict[str, str]] = {
    "numpy": {
        "axle": "arrays over poses",
        "steering": "arrays over poses",
        "clearance": "arrays over poses",
        "strength": "arrays over load cases",
        "job": "hands arrays on",
        "checks": "a shop's own limit looks at a curve",
        "output": "curves, and the room that lines leave for letters",
        "library": "a series over poses is an array",
    },
    "ruamel": {"spec": "hostile text is read in one place, which builds nothing but plain data"},
    "jsonschema": {"spec": "what the schema library calls an error becomes a plain sentence in one place"},
    "pluggy": {"plugins": "an inspection is the same whoever brought the rule"},
    "jinja2": {"output": "the page of the report"},
    "markupsafe": {"output": "the page of the report"},
    "hypothesis": {"testing": "builds drawn at random"},
    "click": {"commands": "everything else can be used as a library, without a terminal"},
    "cryptography": {"shop": "signatures with a key of the shop's"},
    "platformdirs": {"commands": "where a user keeps a shop's standard"},
}

# What stands directly under buildcheck/.
FILES = {"__init__.py", "__main__.py", "api.py", "py.typed"}
PACKAGES = {
    *("spec", "build", "axle", "steering", "clearance", "strength", "job", "checks", "plugins", "testing", "output"),
    *("shop", "library", "commands"),
}

Imports = Mapping[str, Iterable[str]]


def graph_of(*, typing: bool) -> dict[str, set[str]]:
    """What each module of ours imports, wherever in it; with what is imported for types alone, or without."""
    graph = grimp.build_graph(
        *OURS, include_external_packages=True, exclude_type_checking_imports=not typing, cache_dir=None
    )
    return {
        module: graph.find_modules_directly_imported_by(module)
        for module in graph.modules
        if module.partition(".")[0] in OURS
    }


@pytest.fixture(scope="module")
def imports() -> Imports:
    return graph_of(typing=True)


def package_of(module: str) -> str:
    """The package that a module belongs to, as the tables call it; of a library its name."""
    first, _, rest = module.partition(".")
    return rest.partition(".")[0] or first if first == "buildcheck" else first


def imported(imports: Imports) -> dict[str, set[str]]:
    """What the modules of each package import from others."""
    found: dict[str, set[str]] = {}
    for module, others in imports.items():
        package = package_of(module)
        found.setdefault(package, set()).update(package_of(other) for other in others)
        found[package] -= {package, *sys.stdlib_module_names}
    return found


def circle_in(imports: Imports) -> list[str]:
    """Modules that import each other in a circle; empty where none do."""
    try:
        TopologicalSorter(imports).prepare()
    except CycleError as error:
        circle: list[str] = error.args[1]
        return circle
    return []


def test_every_package_imports_what_it_may_and_no_more(imports: Imports) -> None:
    ours = {package: others - LIBRARIES.keys() for package, others in imported(imports).items()}
    # Its files are read by importlib.resources, which no import shows.
    ours["spec"].add("buildcheck_schemas")
    assert ours == {package: set(others) for package, others in MAY_IMPORT.items()}


def test_every_library_is_used_where_it_may_be_and_nowhere_else(imports: Imports) -> None:
    found = imported(imports)
    foreign = {name for others in found.values() for name in others} - MAY_IMPORT.keys()
    assert {name: {package for package, others in found.items() if name in others} for name in foreign} == {
        name: set(packages) for name, packages in LIBRARIES.items()
    }


def test_a_library_is_imported_by_no_more_modules_than_is_promised(imports: Imports) -> None:
    def users(library: str) -> set[str]:
        return {module for module, others in imports.items() if library in map(package_of, others)}

    assert users("ruamel") == {"buildcheck.spec.plain_yaml", "buildcheck.spec.marks"}
    assert users("jsonschema") == {"buildcheck.spec.schema", "buildcheck.spec.shop_schema"}
    assert users("pluggy") == {"buildcheck.plugins.hooks", "buildcheck.plugins.loading"}


def test_every_permission_says_why() -> None:
    reasons = [reason for table in (MAY_IMPORT, LIBRARIES) for allowed in table.values() for reason in allowed.values()]
    assert len(reasons) > 50
    assert all(len(reason.split()) > 1 for reason in reasons)


def test_no_package_imports_another_in_a_circle() -> None:
    assert circle_in(MAY_IMPORT) == []


def test_no_module_imports_another_in_a_circle() -> None:
    assert circle_in(graph_of(typing=False)) == []


def test_an_import_that_is_not_allowed_would_be_found() -> None:
    made = {
        "buildcheck.axle.poses": {"numpy", "math", "buildcheck.axle.vectors"},
        "buildcheck.axle.vectors": {"buildcheck.job"},
        "buildcheck.api": {"buildcheck.checks.rule"},
        "buildcheck": {"buildcheck.library.spec"},
        "buildcheck_rules.weld_size": {"buildcheck.api", "buildcheck_rules"},
    }
    assert imported(made) == {
        "axle": {"numpy", "job"},
        "api": {"checks"},
        "buildcheck": {"library"},
        "buildcheck_rules": {"api"},
    }


def test_a_circle_would_be_found() -> None:
    assert circle_in({"a": ["b"], "b": ["c"], "c": []}) == []
    assert set(circle_in({"a": ["b"], "b": ["c"], "c": ["a"]})) == {"a", "b", "c"}


def test_nothing_else_stands_in_the_folder_of_buildcheck() -> None:
    entries = {each for each in (ROOT / "buildcheck").iterdir() if each.name != "__pycache__"}
    assert {each.name for each in entries if each.is_file()} == FILES
    assert {each.name for each in entries if each.is_dir()} == PACKAGES
    assert PACKAGES | {"api", "__main__"} == MAY_IMPORT.keys() - set(OURS)


def test_an_installation_has_every_package() -> None:
    tool = SETTINGS["tool"]["setuptools"]
    assert tool["package-dir"]["buildcheck_rules"] == "rules"
    assert tool["package-dir"]["buildcheck_schemas"] == "schemas"
    listed = {package for package in tool["packages"] if package.startswith("buildcheck.")}
    inits = (ROOT / "buildcheck").glob("*/**/__init__.py")
    found = {".".join(file.parent.relative_to(ROOT).parts) for file in inits}
    assert listed == found, "a package that an installation would leave out"


def test_no_two_test_files_have_one_name() -> None:
    names = [path.name for path in (ROOT / "tests").rglob("*.py") if path.name != "conftest.py"]
    assert sorted(names) == sorted(set(names))
