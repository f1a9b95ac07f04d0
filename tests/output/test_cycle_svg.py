"""A cycle as a picture: which panels, axes and curves; nothing from elsewhere, and of a spec only text."""

from __future__ import annotations

import json
import math
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hand_cycled import NONE, column, cycled
from hand_made import INCH, SPEC

from buildcheck.build import read_build
from buildcheck.job.cycle import cycle
from buildcheck.output.chart import STROKES, Axis, Beyond, Curve, panel, round_step
from buildcheck.output.curve_limits import bounds_in_use
from buildcheck.output.cycle_svg import picture
from buildcheck.output.ladder import travel
from buildcheck.output.outcome import Cycled
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import Dimension

EXAMPLES = Path(__file__).parents[2] / "examples"
SVG = "{http://www.w3.org/2000/svg}"


def parts(text: str) -> list[ElementTree.Element]:
    """The parts of the picture: its head, each panel, its foot."""
    return [each for each in ElementTree.fromstring(text) if each.tag == f"{SVG}g"]


def words(part: ElementTree.Element) -> list[str]:
    return [each.text or "" for each in part.iter(f"{SVG}text")]


def test_the_panels_with_their_axes_and_labels() -> None:
    head, *panels, foot = parts(picture(cycled()))
    assert words(head)[0] == "Cycling sheet: Bench"
    titles = ["Post: lean", "Post: sink of base", "Gap", "Share"]
    assert [words(each)[0] for each in panels] == [f"{title} (not at every height)" for title in titles]
    for each, up in zip(panels, ["angle, deg", "length, in", "length, in", "ratio, %"], strict=True):
        assert {"ride height", "axle height, in", up} <= set(words(each))
    assert {"-2", "-1", "0", "1", "2", "3", "10.0", "12.5", "left", "right"} <= set(words(panels[2]))
    dashes = [path.get("stroke-dasharray") for path in panels[2].iter(f"{SVG}path")]
    assert dashes == ["none", STROKES[1]]
    assert "The links do not let the axle reach 3.000 in up (full" in words(foot)[0]
    assert words(foot)[-1] == "Computed from the spec, not measured."


def test_curves_share_a_panel_where_none_flattens_another() -> None:
    large = column("a", "post", "large", Dimension.LENGTH, INCH, 0, 10, 20, 30, 40)
    alike = column("b", "post", "alike", Dimension.LENGTH, INCH, 5, 10, 15, 20, 25)
    small = column("c", "post", "small", Dimension.LENGTH, INCH, 0, 0.1, 0.2, 0.3, 0.4)
    same = column("d", "post", "same", Dimension.LENGTH, INCH, 0, 0.1, 0.2, 0.3, 0.4)
    _, one, other, _ = parts(picture(cycled(large, small, alike, same)))
    assert words(one)[0] == "Post: large, alike"
    assert words(other)[0] == "Post: small, same"
    assert "small and same" in words(other)  # they lie on each other
    assert len(list(other.iter(f"{SVG}path"))) == 1


def test_what_has_no_value_breaks_its_curve() -> None:
    broken = column("a", "post", "lean", Dimension.LENGTH, INCH, 1, 2, NONE, 3, math.inf)
    never = column("b", "pole", "lean", Dimension.LENGTH, INCH, *[NONE] * 5)
    _, one, other, _ = parts(picture(cycled(broken, never)))
    (path,) = one.iter(f"{SVG}path")
    assert re.sub("[^ML]", "", path.get("d") or "") == "MLM"
    assert words(other)[0] == "Pole: lean (not at every height)"
    assert not list(other.iter(f"{SVG}path"))


def test_a_panel_is_this() -> None:
    def shown(number: float, decimals: int) -> str:
        return f"{number:.{decimals}f}"

    across = Axis("height, in", -1.0, 1.0, round_step(-1.0, 1.0), shown)
    up = Axis("length, in", 1.0, 6.0, 5.0, shown).to_ticks()
    assert list(across.ticks()) == [(-1.0, "-1.0"), (-0.5, "-0.5"), (0.0, "0.0"), (0.5, "0.5"), (1.0, "1.0")]
    assert (up.low, up.high) == (0.0, 10.0)
    drawn = list(panel("Gap", across, up, [-1.0, 0.0, 1.0], [Curve("left", (0.0, 5.0, 10.0))], (0.0, "ride"), 80.0))
    # The frame: 64 to 380 - 80 = 300 across, 194 up to 36.
    assert '<rect x="64.0" y="36.0" width="236.0" height="158.0"/>' in drawn
    assert '<path d="M64.0 194.0L182.0 115.0L300.0 36.0" stroke-dasharray="none"/>' in drawn
    assert drawn[-1] == '<text x="309.0" y="40.0">left</text>'


def test_what_is_beyond_both_limits_is_hatched_up_to_the_edge_of_the_frame() -> None:
    def shown(number: float, decimals: int) -> str:
        return f"{number:.{decimals}f}"

    axis = Axis("x", 0.0, 10.0, 5.0, shown)
    limits = [Beyond("warning", 2.0, 7.5), Beyond("error", -math.inf, 10.0)]
    drawn = list(panel("Gap", axis, axis, [0.0, 10.0], [Curve("left", (0.0, 5.0))], (0.0, "ride"), 80.0, limits))
    # The frame is 158 high, from 194 for 0 up to 36 for 10: a quarter of it is above 7.5 and a fifth below 2.
    assert [line for line in drawn if "beyond" in line] == [
        f'<rect class="beyond" style="fill: url(#beyond-warning)" x="64.0" y="{top}" width="236.0" height="{height}"/>'
        for top, height in (("36.0", "39.5"), ("162.4", "31.6"))
    ]
    assert [line for line in drawn if "limit" in line] == [
        f'<line x1="64.0" y1="{y}" x2="300.0" y2="{y}" class="limit warning"/>' for y in ("75.5", "162.4")
    ]


def test_the_limits_of_the_checks_are_hatched_where_they_hold() -> None:
    document = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml")
    build = read_build(document.data)
    bounds = bounds_in_use(build, collect().rules)

    def hatched(roll: float) -> dict[str, list[str]]:
        spec = Cycled(document.name, document, build, cycle(build, roll=roll))
        return {
            words(part)[0]: [word for word in words(part) if "warning " in word]
            for part in parts(picture(spec, bounds))
            if any("beyond" in (each.get("class") or "") for each in part.iter(f"{SVG}rect"))
        }

    assert hatched(0.0) == {
        "Axle: forward": ["warning outside -1.000 in to 1.000 in, error outside -1.500 in to 1.500"],
        "Axle: yaw": ["warning above 0.25 deg, error above 0.75 deg from ride height (side-"],
        "Steering: steer, other wheel": ["warning above 1.50 deg, error above 4.00 deg from droop to bump"],
        "Driveshaft: output joint": ["warning below 2.00 deg, error below 0.00 deg left to its largest angle"],
        "Driveshaft: pinion joint": ["warning below 2.00 deg, error below 0.00 deg left to its largest angle"],
    }
    assert hatched(0.1) == {}


@pytest.mark.parametrize(
    ("low", "high", "step"), [(0, 6, 1), (0, 6.01, 2), (-6, 5, 2), (0, 0.031, 0.01), (20, 47, 5), (0, 120000, 20000)]
)
def test_ticks_stand_at_round_numbers(low: float, high: float, step: float) -> None:
    assert round_step(low, high) == pytest.approx(step, rel=1e-12)


def test_labels_keep_clear_of_each_other_and_stay_inside() -> None:
    def shown(number: float, decimals: int) -> str:
        return f"{number:.{decimals}f}"

    axis = Axis("x", 0.0, 1.0, 0.5, shown)
    for end in (0.0, 0.5, 1.0):
        curves = [Curve(name, (0.0, end)) for name in "abcd"]
        told = [text for text in panel("t", axis, axis, [0.0, 1.0], curves, (0.0, "m"), 80.0) if text[-8:-7] in "abcd"]
        heights = [float(re.findall(r'y="([0-9.]+)"', text)[0]) - 4 for text in told]
        assert len(heights) == 4
        assert all(after - before >= 13.0 - 1e-9 for before, after in pairwise(heights))
        assert heights[0] >= 36.0
        assert heights[-1] <= 194.0


HOSTILE = "</text><script>alert(1)</script>&\"'<!--]]>"


def test_a_hostile_name_is_text() -> None:
    told = picture(cycled(spec=SPEC.replace("name: Bench", f"name: {json.dumps(HOSTILE)}")))
    root = ElementTree.fromstring(told)
    assert {each.tag.removeprefix(SVG) for each in root.iter()} == {
        "svg", "title", "style", "g", "text", "line", "rect", "path",
    }  # fmt: skip
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == f"Cycling sheet: {HOSTILE}"


@pytest.mark.parametrize("path", sorted(EXAMPLES.rglob("t*.buildcheck.yaml")), ids=lambda path: path.stem)
def test_every_quantity_is_drawn_and_nothing_comes_from_elsewhere(path: Path) -> None:
    document = read_file(path)
    build = read_build(document.data)
    found = cycle(build, steps=3)
    told = picture(Cycled("spec", document, build, found))
    text = " ".join(word for part in parts(told) for word in words(part)).casefold()
    assert [column.quantity.name for column in found.columns if column.quantity.heading.split()[-1] not in text] == []
    assert re.findall(r"https?:|href|url\((?!#)|@import|<image|<script|\bon[a-z]+=|NaN|nan|inf\b", told) == [
        "http:"  # the name of the language alone
    ]
    ladder = travel(build)  # the one that the report draws
    assert ladder is None or "".join(ladder.drawing.elements) in told.replace("\n", "")
    root = ElementTree.fromstring(told)
    assert (root.get("viewBox") or "").split()[2:] == [root.get("width"), root.get("height")]


def test_on_a_narrow_screen_the_panels_stand_one_below_the_other() -> None:
    told = picture(cycled())
    moved = re.findall(r"\.part-(\d+) \{ transform: translate\((-?\d+)px, (\d+)px\) scale\(2\); \}", told)
    assert [int(part) for part, _, _ in moved] == list(range(6))
    assert {x for _, x, _ in moved} == {"0"}
    heights = [int(y) for _, _, y in moved]
    assert heights == sorted(set(heights))
    assert "(max-width: 600px)" in told


MOVING = ["tamarack/proposal", "tamarack/proposal-with-faults", "three-link-metric", "four-link-rear"]
LETTER = {"title": 7.2, "small": 5.4, "": 6.4}
"""Width of a letter, in the drawing's unit: of 12-unit bold, 10-unit and 12-unit sans-serif, rounded up."""


def outside(picture_text: str) -> list[str]:
    """What lies outside the view box, and each rectangle without a positive size."""
    root = ElementTree.fromstring(picture_text)
    left, top, width, height = map(float, (root.get("viewBox") or "").split())
    found: list[str] = []

    def points(each: ElementTree.Element) -> list[tuple[float, float]]:
        kind, number = each.tag.removeprefix(SVG), dict(each.items())
        if kind == "line":
            return [(float(number[f"x{end}"]), float(number[f"y{end}"])) for end in (1, 2)]
        if kind == "path":
            numbers = [float(value) for value in re.findall(r"-?[0-9.]+", number["d"])]
            return list(zip(numbers[::2], numbers[1::2], strict=True))
        if kind not in ("rect", "text"):
            return []
        x, y = float(number["x"]), float(number["y"])
        if kind == "rect":
            wide, high = float(number["width"]), float(number["height"])
            if not (wide > 0.0 and high > 0.0):
                found.append(f"rect {wide} by {high}")
            return [(x, y), (x + wide, y + high)]
        long = len(each.text or "") * LETTER[number.get("class", "")]
        if "rotate" in number.get("transform", ""):
            return [(x - 10, y - long / 2), (x + 3, y + long / 2)]
        start = x - long * {"middle": 0.5, "end": 1.0}.get(number.get("text-anchor", ""), 0.0)
        return [(start, y - 10), (start + long, y + 3)]

    for part in parts(picture_text):
        moved = re.fullmatch(r"translate\((-?\d+) (-?\d+)\)", part.get("transform") or "")
        assert moved is not None
        across, down = float(moved[1]), float(moved[2])
        for each in part:
            for x, y in points(each):
                if not (left <= x + across <= left + width and top <= y + down <= top + height):
                    found.append(f"{each.tag.removeprefix(SVG)} {each.text or ''} at {x + across} {y + down}")
    return found


@pytest.mark.parametrize("held", [{}, {"roll": 0.1}, {"roll": -0.1, "steps": 1}, {"lock": 0.35}], ids=str)
@pytest.mark.parametrize("name", MOVING)
def test_everything_has_a_size_and_lies_on_the_page(name: str, held: dict[str, float]) -> None:
    spec = read_file(EXAMPLES / f"{name}.buildcheck.yaml")
    build = read_build(spec.data)
    found = cycle(build, **held)  # type: ignore[arg-type]
    for shown in (found, *(found.only([each.quantity.name]) for each in found.columns[:3])):
        drawn = picture(Cycled(spec.name, spec, build, shown))
        assert drawn.count("<rect ") > 0
        assert outside(drawn) == []


def test_long_words_are_wrapped_and_stay_on_the_page() -> None:
    """Headings as a plugin may have them: four curves that lie on each other, and one of a single long word."""
    headings = [
        f"{word} of the joint at the lower end of the rearmost link" for word in ("bind", "give", "turn", "sag")
    ]
    same = [
        column(f"c{n}", "post", heading, Dimension.LENGTH, INCH, 0, 1, 2, 3, 4) for n, heading in enumerate(headings)
    ]
    word = column("d", "pole", "x" * 300, Dimension.LENGTH, INCH, 0, 1, 2, 3, 4)
    drawn = picture(cycled(*same, word))
    assert outside(drawn) == []
    _, one, other, _ = parts(drawn)
    assert " ".join(words(one)).startswith(f"Post: {', '.join(headings)}")
    assert "".join(line for line in words(other) if set(line) <= set("x .")).startswith("x" * 100)
