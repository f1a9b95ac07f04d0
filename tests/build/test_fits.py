"""The quick yes or no of the classes is the verdict of the schema that is made from them."""

from __future__ import annotations

import copy
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from random_specs import ILL_TYPED, drawn_value, spoiled

from buildcheck.build.fits import fits
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.document import read_text
from buildcheck.spec.quantity import System
from buildcheck.spec.schema import _added_names, _validator, schema
from buildcheck.testing.rewritten import at, places_in
from buildcheck.testing.specs import SOUND, sound_spec

ADDED = Additions(joint_kinds={"dry-bushing": 5e7}, bolt_grades={"class-14": ()}, metals={"tool-steel": "alloy-steel"})
EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.buildcheck.yaml"))


def accepted(data: Any, additions: Additions = NOTHING_ADDED) -> bool:
    """The verdict of the schema."""
    metric = isinstance(data, dict) and data.get("units") == "metric"
    valid: bool = _validator(System.METRIC if metric else System.INCH_POUND, _added_names(additions)).is_valid(data)
    return valid


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_the_examples_fit(path: Path) -> None:
    assert fits(read_text(path.read_text(encoding="utf-8"), path.name).data)


def changed_in_one_place(random: Random, spec: Any) -> Any:
    spec = copy.deepcopy(spec)
    places = [path for path, _ in places_in(spec) if path] if isinstance(spec, dict) else []
    if not places:
        return random.choice(ILL_TYPED)
    path = random.choice(places)
    holder: Any = at(spec, path[:-1])
    match random.randrange(4):
        case 0:
            del holder[path[-1]]
        case 1:
            holder[path[-1]] = random.choice(ILL_TYPED)
        case 2 if isinstance(holder, dict):
            holder[random.choice(("left", "axle", "axle_upper", "until_date", "Both"))] = holder[path[-1]]
        case _:
            holder[path[-1]] = copy.deepcopy(at(spec, random.choice(places)))
    return spec


def documents(count: int) -> Iterator[Any]:
    """Specs of a few sections drawn from the schema, each as it was drawn and with one place changed, and now and then
    a sound one that is spoiled."""
    sections = list(schema()["properties"])
    for number in range(count):
        random = Random(number)
        if number % 20 == 0:
            yield spoiled(random, sound_spec(SOUND))
        few = {"format", "units", *random.sample(sections, random.randint(1, 3))}
        held = {name: node for name, node in schema()["properties"].items() if name in few}
        spec = {"format": 1, "units": "metric", **drawn_value(random, {**schema(), "properties": held}, ill=0.0)}
        yield spec
        yield changed_in_one_place(random, spec)


def test_the_verdict_is_that_of_the_schema() -> None:
    verdicts = {True: 0, False: 0}
    for spec in documents(400):
        fitting = fits(spec)
        assert fitting is accepted(spec), spec
        verdicts[fitting] += 1
    assert min(verdicts.values()) > 200


WAIVER = {"rule": "r", "place": "axle", "reason": "agreed", "who": "foreman", "date": "2026-03-14"}


@pytest.mark.parametrize(
    ("spec", "fitting"),
    [
        ({"waivers": [{**WAIVER, "until_stage": "cycled"}]}, True),
        ({"waivers": [{**WAIVER, "until_date": "2026-05-01"}]}, True),
        ({"waivers": [WAIVER]}, False),
        ({"waivers": [{**WAIVER, "until_stage": "cycled", "until_date": "2026-05-01"}]}, False),
        ({"steering": {"tie_rod": {"joined_to": "drag-link"}, "drag_link": {"ends_on": "knuckle"}}}, True),
        ({"steering": {"tie_rod": {"joined_to": "knuckle"}, "drag_link": {"ends_on": "tie-rod"}}}, True),
        ({"steering": {"tie_rod": {"joined_to": "drag-link"}, "drag_link": {"ends_on": "tie-rod"}}}, False),
    ],
)
def test_one_of_two_keys_and_two_that_do_not_go_together(spec: dict[str, Any], fitting: bool) -> None:
    whole = {"format": 1, "units": "metric", **spec}
    assert (fits(whole), accepted(whole)) == (fitting, fitting)


@pytest.mark.parametrize(
    "spec",
    [
        {"lateral_bar": {"joints": {"frame": {"kind": "dry-bushing"}}}},
        {"lateral_bar": {"joints": {"frame": {"bolt": {"grade": "class-14"}}}}},
        {"lateral_bar": {"tube": {"material": "tool-steel"}}},
    ],
)
def test_a_name_that_a_plugin_adds_fits_where_the_plugin_is_in_use(spec: dict[str, Any]) -> None:
    whole = {"format": 1, "units": "metric", **spec}
    assert (fits(whole), accepted(whole)) == (False, False)
    assert (fits(whole, ADDED), accepted(whole, ADDED)) == (True, True)


def test_fields_of_a_shop_are_left_to_the_schema_of_the_plugin_that_owns_them() -> None:
    spec = {"format": 1, "units": "metric", "shop": {"ours": {"bay": 3}}}
    assert fits(spec)
    assert not fits(spec, Additions(shop_fields={"ours": {"type": "object"}}))
    assert fits(spec, Additions(shop_fields={"theirs": {"type": "object"}}))


def test_a_valid_spec_is_read_without_the_library_that_reads_schemas() -> None:
    program = "import sys, buildcheck; buildcheck.read(sys.argv[1]); print('jsonschema' in sys.modules)"
    made = subprocess.run([sys.executable, "-c", program, str(EXAMPLES[0])], capture_output=True, text=True, check=True)
    assert made.stdout == "False\n"
