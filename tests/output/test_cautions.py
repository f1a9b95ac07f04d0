"""The cautions are wherever somebody reads what to do: on every sheet, on each rule's page, with loads and cycle."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
from called import called

from buildcheck.output.rule_text import page_of
from buildcheck.plugins.loading import collect
from buildcheck.spec.quantity import System

TAMARACK = Path(__file__).parents[2] / "examples" / "tamarack" / "proposal.buildcheck.yaml"
RULES = {rule.name: rule for rule in collect().rules}
CAUTIONS = {
    "stands": "stands",
    "springs": "spring",
    "gas charges": "never heated, (welded on, )?cut or punctured",
    "zinc fume": "(zinc fume|zinc.*the fume)",
    "fire watch": "fire watch",
    "brakes": "brakes",
    "first drive": "first drive",
    "local codes": "local codes, inspection and licensed practice decide",
    "a qualified welder": "qualified welder",
}


def missing_from(text: str) -> list[str]:
    """The cautions that a text or a page does not have."""
    words = " ".join(html.unescape(re.sub("<[^>]+>", " ", text)).replace("\u00a0", " ").casefold().split())
    return [caution for caution, said in CAUTIONS.items() if not re.search(said, words)]


@pytest.mark.parametrize("name", RULES)
def test_each_caution_is_on_the_page_of_each_rule(name: str) -> None:
    assert missing_from(page_of(RULES[name], System.METRIC)) == []


@pytest.mark.parametrize("command", ["loads", "cycle"])
def test_each_caution_is_beside_the_numbers(command: str) -> None:
    assert missing_from(called(command, TAMARACK).stdout) == []


@pytest.mark.parametrize("kind", ["measure", "cut", "order", "torque", "follow-up"])
def test_each_caution_is_on_every_sheet(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "sheet.html"
    assert called("sheet", TAMARACK, "--kind", kind, "--to", file).returncode == 0
    assert missing_from(file.read_text(encoding="utf-8")) == []
