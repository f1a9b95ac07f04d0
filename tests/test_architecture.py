"""The code keeps to the plan of the house: who may import whom."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

import grimp
import pytest
from importlinter.cli import EXIT_STATUS_ERROR, EXIT_STATUS_SUCCESS, lint_imports

ROOT = Path(__file__).parent.parent
PROJECT = ROOT / "pyproject.toml"
SETTINGS: dict[str, Any] = tomllib.loads(PROJECT.read_text(encoding="utf-8"))
CONTRACTS: list[dict[str, Any]] = SETTINGS["tool"]["importlinter"]["contracts"]


def kept(config: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    status = lint_imports(config_filename=str(config), no_cache=True)
    return status, capsys.readouterr().out


def test_every_import_contract_is_kept(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(ROOT)
    status, told = kept(PROJECT, capsys)
    assert status == EXIT_STATUS_SUCCESS, told
    assert f"Contracts: {len(CONTRACTS)} kept, 0 broken." in " ".join(told.split())


@pytest.mark.parametrize(
    ("written", "instead"),
    [
        ('    "checks",\n    "job | limit",\n', '    "job | limit",\n    "checks",\n'),  # a floor in the wrong place
        ('    "yaml_scalar",\n    "place",\n]', '    "yaml_scalar",\n]'),  # a room without a place
        ('source_modules = ["buildcheck.motion"]\nforbidden_modules = ["click",', '{0}["numpy", "click",'),
        ('forbidden_modules = [\n    "buildcheck.build",', 'forbidden_modules = [\n    "buildcheck.api",'),
    ],
)
def test_a_broken_contract_would_be_found(
    written: str, instead: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    text = PROJECT.read_text(encoding="utf-8")
    assert text.count(written) == 1
    spoiled = tmp_path / "pyproject.toml"
    spoiled.write_text(text.replace(written, instead.format(written.removesuffix('["click",'))), encoding="utf-8")
    status, told = kept(spoiled, capsys)
    assert status == EXIT_STATUS_ERROR, told


def test_every_contract_says_why() -> None:
    text = PROJECT.read_text(encoding="utf-8")
    parts = text.split("[[tool.importlinter.contracts]]\n")[1:]
    assert len(parts) == len(CONTRACTS) > 0
    assert all(part.startswith("# ") for part in parts)


def test_the_packages_stand_where_the_plan_puts_them() -> None:
    tool = SETTINGS["tool"]["setuptools"]
    assert tool["package-dir"]["buildcheck_rules"] == "rules"
    assert tool["package-dir"]["buildcheck_schemas"] == "schemas"
    listed = {package for package in tool["packages"] if package.startswith("buildcheck.")}
    inits = (ROOT / "buildcheck").glob("*/**/__init__.py")
    found = {".".join(file.parent.relative_to(ROOT).parts) for file in inits}
    assert listed == found, "a package that an installation would leave out"


@pytest.fixture(scope="module")
def graph() -> Any:
    return grimp.build_graph(
        "buildcheck", "buildcheck_rules", "buildcheck_schemas", include_external_packages=True, cache_dir=None
    )


@pytest.mark.parametrize(
    ("room", "allowed"),
    [
        ("buildcheck.motion", {"numpy"}),
        ("buildcheck.quantity", set()),
        ("buildcheck.units", set()),
        ("buildcheck.strength", set()),
        ("buildcheck.place", set()),
        ("buildcheck.build", set()),
        ("buildcheck.job", {"numpy"}),
        ("buildcheck.rule", set()),
        ("buildcheck.standard", {"numpy"}),
        ("buildcheck.waivers", set()),
        ("buildcheck.inspection", set()),
        ("buildcheck.signing", set()),
        ("buildcheck.plugins", {"pluggy"}),
        ("buildcheck.schema", {"jsonschema"}),
        ("buildcheck_rules", set()),
        ("buildcheck_schemas", set()),
    ],
)
def test_a_room_needs_no_library_but_its_own(graph: Any, room: str, allowed: set[str]) -> None:
    modules = {room, *graph.find_descendants(room)}
    imported = {
        name.partition(".")[0] for module in modules for name in graph.find_modules_directly_imported_by(module)
    }
    ours = {"buildcheck", "buildcheck_rules", "buildcheck_schemas"}
    assert imported - ours - set(sys.stdlib_module_names) == allowed
