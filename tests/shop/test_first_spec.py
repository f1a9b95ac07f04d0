"""The first spec of a job: every layout can be inspected at once, as it is and with its places filled in."""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from called import called
from sampling import sampled

import buildcheck
from buildcheck.build import Build, Point, read_build
from buildcheck.shop.first_spec import AXLES, LAYOUTS, PLACE, first_spec, next_spec
from buildcheck.spec.document import Document, read_text
from buildcheck.spec.quantity import System
from buildcheck.spec.schema import problems_in

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.buildcheck.yaml"))
TAMARACK = Path(__file__).parents[2] / "examples" / "tamarack" / "proposal.buildcheck.yaml"
EVERY = list(product(LAYOUTS, AXLES, System))


def document(text: str) -> Document:
    read = read_text(text, "text")
    assert problems_in(read) == ()
    return read


def filled_in(text: str) -> str:
    return text.replace(f"{PLACE} ", "").replace(f'"{PLACE}"', "x")


def inspected(text: str, folder: Path) -> buildcheck.Result:
    file = folder / "first.buildcheck.yaml"
    file.write_text(text, encoding="utf-8")
    return buildcheck.inspect(buildcheck.read(file), changes=False)


@pytest.mark.parametrize(("layout", "axle", "system"), EVERY)
def test_it_is_valid_and_inspected_without_an_error_or_a_failure(
    layout: str, axle: str, system: System, tmp_path: Path
) -> None:
    result = inspected(first_spec(layout, axle, system), tmp_path)
    assert (result.errors, result.warnings, result.failures) == ((), (), ())
    assert len(result.ok) > 60
    assert len(result.not_checked) > 30, "what is still to fill in is named"


@sampled(keep=4)
@pytest.mark.parametrize(("layout", "axle", "system"), EVERY)
def test_each_place_can_be_filled_in_where_it_is(layout: str, axle: str, system: System, tmp_path: Path) -> None:
    text = first_spec(layout, axle, system)
    as_it_is, whole = inspected(text, tmp_path), inspected(filled_in(text), tmp_path)
    assert whole.failures == ()
    # A joint that is there has more to say of it: its bolt, its thread, its rating. What was asked for is there now.
    assert len(whole.ok) > len(as_it_is.ok)
    before, after = ({path for each in result.not_checked for path in each.missing} for result in (as_it_is, whole))
    assert before - after
    # A crossover drag link over triangulated links steers the axle over bumps, as it does on the road.
    steers = {"axle-location", "lateral-bar-parallel"} if (layout, axle) == ("triangulated", "front") else set()
    assert {reading.rule for reading in whole.errors} <= steers


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_rear_axle_is_the_front_one_turned_about_and_a_wheelbase_behind(layout: str) -> None:
    front, rear = (read_build(document(first_spec(layout, axle, System.INCH_POUND)).data) for axle in AXLES)
    for name in front.links:
        for one, other in zip(front.links[name], rear.links[name], strict=True):
            for end in ("frame", "axle", "axle_upper", "axle_lower"):
                if one.has(end):
                    x, y, z = getattr(one, end)
                    assert getattr(other, end) == pytest.approx(Point(-108 * 0.0254 - x, y, z))


@pytest.mark.parametrize(("layout", "axle"), list(product(LAYOUTS, AXLES)))
def test_both_systems_of_units_describe_the_same_truck_to_a_millimetre(layout: str, axle: str) -> None:
    def points(build: Build) -> list[Point]:
        return [link.frame for sides in build.links.values() for link in sides] + [
            coilover.axle for sides in build.coilovers.values() for coilover in sides
        ]

    one, other = (read_build(document(first_spec(layout, axle, system)).data) for system in System)
    assert np.array(points(one)) == pytest.approx(np.array(points(other)), abs=0.00051)


def test_a_lateral_bar_where_the_links_do_not_hold_the_axle_sideways() -> None:
    made = {layout: document(first_spec(layout, "front", System.METRIC)).data for layout in LAYOUTS}
    assert {layout: "lateral_bar" in data for layout, data in made.items()} == {
        "radius-arms": True,
        "three-link": True,
        "four-link": True,
        "triangulated": False,
    }


def test_a_name_of_any_kind_is_kept() -> None:
    for name in ("Otter", "yes", "a: b # c", 'he said "so"', "1"):
        assert document(first_spec("radius-arms", "front", System.METRIC, name)).data["build"]["name"] == name


DONE: dict[str, Any] = {
    "attachments.arm_axle_bracket.left.fit_up": {"gap": "1/32 in"},
    "attachments.arm_axle_bracket.left.as_welded": {"order": 1},
    "attachments.arm_axle_bracket.right.as_bolted": {"marked": True},
    "waivers": [
        {
            "rule": "link-flatness", "place": "links.arm", "reason": "why", "who": "me",
            "date": "2026-03-14", "until_stage": "tacked",
        }
    ],
    "build.stage": "driven",
}  # fmt: skip


def test_the_next_spec_keeps_the_plan_and_nothing_of_what_was_done() -> None:
    last = buildcheck.read(TAMARACK).changed(DONE)
    data = document(next_spec(last.text, last.document.data, "Otter", "last.buildcheck.yaml")).data
    assert data["build"] == {
        "name": "Otter",
        "shop": "an invented shop",
        "stage": "proposal",
        "intended_use": "street-and-trail",
    }
    assert data["records"] == {"tape_tolerance": "1/16 in", "gauge_tolerance": "0.2 deg", "scale_tolerance": "20 lb"}
    assert not {"parts", "support", "waivers"} & data.keys()
    assert "heat_sensitive_parts" not in data["axle"]
    assert "identified_by" not in data["axle"]["centre_section"]
    brackets = [part for sides in data["attachments"].values() for part in sides.values()]
    assert not any({"fit_up", "as_welded", "as_bolted"} & part.keys() for part in brackets)
    for section in ("vehicle", "links", "lateral_bar", "steering", "coilovers", "limit_straps", "driveshaft", "travel"):
        assert data[section] == last.document.data[section]


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.name)
def test_every_line_that_stays_is_as_it_was(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    made = next_spec(text, read_text(text, "text").data, "", file.name).splitlines()
    kept = [line for line in made[2:] if line in text.splitlines()]
    assert len(kept) >= len(made) - 7
    assert made[0].startswith(f"# Started from {file.name}")


def test_the_command_writes_a_spec_that_can_be_inspected_at_once(tmp_path: Path) -> None:
    file = tmp_path / "otter.buildcheck.yaml"
    ended = called("begin", file, "--layout", "three-link", "--axle", "rear", "--units", "metric", "--name", "Otter")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert f"buildcheck inspect {file}" in ended.stdout
    seen = called("inspect", file)
    assert seen.returncode == 0
    assert "build     Otter" in seen.stdout
    again = called("begin", tmp_path / "next.buildcheck.yaml", "--from", file)
    assert again.returncode == 0
    assert called("inspect", tmp_path / "next.buildcheck.yaml").returncode == 0


ALL = ("--layout", "four-link", "--axle", "front", "--units", "metric")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("t.buildcheck.yaml",), "A new spec needs --layout and --axle and --units; or --from SPEC"),
        (("t.buildcheck.yaml", "--layout", "four-link", "--axle", "front"), "A new spec needs --units"),
        (("t.yaml", *ALL), "does not end in .buildcheck.yaml"),
        ((".buildcheck.yaml", *ALL), "does not end in .buildcheck.yaml"),
        (("t.buildcheck.yaml", "--from", "last", "--axle", "rear"), "leave out --axle"),
        (("no/such/folder/t.buildcheck.yaml", *ALL), "cannot be written: no such file or directory"),
        (("t.buildcheck.yaml", "--from", "absent.buildcheck.yaml"), "there is no such file"),
        (("t.buildcheck.yaml", "--layout", "five-link", *ALL[2:]), "'five-link' is not one of"),
    ],
)
def test_wrong_usage_writes_nothing_and_says_what_is_wanted(
    arguments: tuple[str, ...], sentence: str, tmp_path: Path
) -> None:
    ended = called("begin", *arguments, folder=tmp_path)
    assert ended.returncode == 2
    assert sentence in re.sub(r"\s+", " ", ended.stderr)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_never_overwritten(tmp_path: Path) -> None:
    file = tmp_path / "t.buildcheck.yaml"
    file.write_text("mine", encoding="utf-8")
    assert called("begin", file, *ALL).returncode == 2
    link = tmp_path / "link.buildcheck.yaml"
    link.symlink_to(tmp_path / "nowhere")
    assert called("begin", link, *ALL).returncode == 2
    assert file.read_text(encoding="utf-8") == "mine"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["link.buildcheck.yaml", "t.buildcheck.yaml"]
