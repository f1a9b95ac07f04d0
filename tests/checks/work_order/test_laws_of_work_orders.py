"""Laws of work orders: the mirror image, other units, a list carried out, and every byte that is not its own."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from random import Random
from typing import Any

import pytest
from sampling import sampled

import buildcheck
from buildcheck.checks.work_order import ValueChange
from buildcheck.spec.quantity import Dimension
from buildcheck.spec.written import stated_at
from buildcheck.testing.rewritten import OTHER, in_other_units, mirror_image, sides_written_out

ROOT = Path(__file__).parents[3]
MINIMAL = ROOT / "examples/minimal.buildcheck.yaml"
THREE_LINK = ROOT / "examples/three-link-metric.buildcheck.yaml"

# A step of a length in each system: 1/16 in and 1 mm.
STEP = 0.0016

SPOILED: dict[str, tuple[Path, dict[str, Any]]] = {
    "arms far from level, and a bar on one side": (
        MINIMAL,
        {"links.arm.both.frame": [-39, 15, 26], "lateral_bar.axle": [5.5, 16.5, 19.9]},
    ),
    "one arm too high": (MINIMAL, {"links.arm.right.frame": [-39, -15, 23]}),
    "a shaft that goes solid": (THREE_LINK, {"driveshaft.shortest_length": 1102.194}),
}


def spec_of(data: Any, folder: Path) -> buildcheck.Spec:
    """A spec with these data, that goes the whole way through a file."""
    file = folder / "drawn.buildcheck.yaml"
    file.write_text(json.dumps(data, indent=1), encoding="utf-8")
    return buildcheck.read(file)


def spoiled(name: str) -> buildcheck.Spec:
    path, changes = SPOILED[name]
    return buildcheck.read(path).changed(changes)


def written(order: buildcheck.Order) -> list[ValueChange]:
    return [change for line in order.lines for change in line.changes]


def on_the_other_side(path: str) -> str:
    return ".".join(OTHER.get(step, step) for step in path.split("."))


@pytest.mark.parametrize("name", list(SPOILED)[1:])
def test_the_mirror_image_of_a_build_has_the_mirror_image_of_its_work_order(name: str, tmp_path: Path) -> None:
    data = sides_written_out(spoiled(name).document.data)
    order, image = (buildcheck.work_order(spec_of(each, tmp_path)) for each in (data, mirror_image(data)))
    assert written(order)
    across = {
        on_the_other_side(change.path): -change.becomes if change.path.endswith(".y") else change.becomes
        for change in written(order)
    }
    assert {change.path: change.becomes for change in written(image)} == pytest.approx(across, abs=1e-9)
    assert len(order.lines) == len(image.lines)


@pytest.mark.parametrize("name", list(SPOILED)[1:])
def test_in_the_other_units_the_work_order_differs_by_a_step_at_most(name: str, tmp_path: Path) -> None:
    data = spoiled(name).document.data
    order, other = (
        written(buildcheck.work_order(spec_of(each, tmp_path))) for each in (data, in_other_units(Random(15), data))
    )
    assert [change.path for change in order] == [change.path for change in other]
    for one, two in zip(order, other, strict=True):
        assert one.dimension is two.dimension is Dimension.LENGTH
        assert one.becomes == pytest.approx(two.becomes, abs=2 * STEP)


@pytest.mark.parametrize("name", SPOILED)
def test_a_work_order_that_was_carried_out_is_empty(name: str) -> None:
    order = buildcheck.work_order(spoiled(name))
    again = buildcheck.work_order(order.revised())
    assert order.lines
    assert (order.record.left, again.record.left) == ((), ())
    assert again.lines == ()


LAYOUTS = {
    "flow": """links:
  arm:
    both: {kind: radius-arm, frame: [-39, 15, 26],  axle_upper: [3,17,17.8] , axle_lower: [-3, 17, 14 5/8 in]}   # arms
""",
    "block": """links:
  arm:
    both:
      kind:   radius-arm
      frame:   # level?
        - -39
        - 15 in
        -   26   # too high
      axle_upper: [3, 17, 17.8]
      axle_lower: [-3, 17, 14.6]
""",
    "fractions": """links:
  arm:
    both: {kind: radius-arm, frame: [-39, 15, 26 1/8 in], axle_upper: [3, 17, 17 13/16 in], axle_lower: [-3, 17, 14.6]}
""",
    "sides apart": """links:
  arm:
    left: {kind: radius-arm, frame: [-39, 15, 26], axle_upper: [3, 17, 17.8], axle_lower: [-3, 17, 14.6]}
    right:
      kind: radius-arm
      frame: [-39, -15, 26]
      axle_upper: [3, -17, 17.8]
      axle_lower: [-3, -17, 14.6]
""",
}
REST = (
    "# Invented.\n\nformat: 1\nunits:  inch-pound   # tape in inches\n\naxle: {position: front}\n"
    'vehicle: {tyre: {static_radius: "16"}}\n{links}\n'
    "lateral_bar: {frame: [5.5, 16.5, 22.75], axle: [5.5, -16.5, 19.9]}  # as bought\n"
)


@sampled(2, each=lambda line_end, **_: line_end)
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_revised_spec_keeps_every_byte_but_those_of_the_values(layout: str, line_end: str, tmp_path: Path) -> None:
    text = REST.replace("{links}", LAYOUTS[layout]).replace("\n", line_end)
    file = tmp_path / "truck.buildcheck.yaml"
    file.write_bytes(text.encode())
    spec = buildcheck.read(file)
    order = buildcheck.work_order(spec)
    revised = order.revised().text
    assert order.lines
    assert without_numbers(text, numbers_in(spec, order)) == without_numbers(
        revised, numbers_in(order.revised(), order)
    )


def numbers_in(spec: buildcheck.Spec, order: buildcheck.Order) -> Iterable[str]:
    """The values that a work order writes, as a spec writes them."""
    return [str(stated_at(spec.document.data, change.path)) for change in written(order)]


def without_numbers(text: str, numbers: Iterable[str]) -> str:
    for number in numbers:
        assert number in text
        text = text.replace(number, "#", 1)
    return text
