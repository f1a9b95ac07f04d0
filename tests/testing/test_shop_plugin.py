"""The example plugin, from its source. CI runs its own tests where it is installed from its wheel."""

from __future__ import annotations

import tomllib
from importlib.metadata import EntryPoint
from pathlib import Path

import pytest

from buildcheck.plugins.loading import Collected, collect
from buildcheck.spec.schema import problems_in
from buildcheck.testing import changed, check_samples, document_of, sound_spec

PLUGIN = Path(__file__).parents[2] / "examples/shop-plugin"


@pytest.fixture
def collected(monkeypatch: pytest.MonkeyPatch) -> Collected:
    monkeypatch.syspath_prepend(str(PLUGIN / "src"))
    project = tomllib.loads((PLUGIN / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    points = project["entry-points"]["buildcheck"]
    return collect([EntryPoint(name, value, "buildcheck") for name, value in points.items()])


def test_it_offers_three_rules_a_quantity_and_fields(collected: Collected) -> None:
    assert collected.failures == ()
    assert [rule.name for rule in collected.rules] == ["joint-thread", "coilover-lean", "approved-procedure"]
    assert [quantity.name for quantity in collected.quantities] == ["lean"]
    assert [fields.key for fields in collected.shop_fields] == ["our_shop"]
    for rule in collected.rules:
        check_samples(rule)


def test_its_names_are_free_beside_the_built_in_ones(collected: Collected) -> None:
    points = [
        EntryPoint("built-in", "buildcheck_rules", "buildcheck"),
        EntryPoint("our-shop", "our_shop", "buildcheck"),
    ]
    together = collect(points)
    assert together.failures == ()
    assert {rule.name for rule in collected.rules} < {rule.name for rule in together.rules}


def test_the_samples_write_valid_shop_fields(collected: Collected) -> None:
    for rule in collected.rules:
        for sample in rule.samples:
            document = document_of(changed(sound_spec(), sample.change))
            assert problems_in(document, additions=collected.additions) == ()
