"""The travel ladder as drawn: rungs to scale, labels that keep clear of each other, and the same in words."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from reports import inspected

from buildcheck.build import Side
from buildcheck.job import Job
from buildcheck.job.ladder import Ladder, Rung, ladder
from buildcheck.output.ladder import BESIDE, LEFT, LINE, RIGHT, WIDTH, LadderDrawing, draw
from buildcheck.spec.quantity import System

EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
SPECS = [spec for spec in sorted(EXAMPLES.glob("**/*.buildcheck.yaml")) if "minimal" not in spec.name]
INCH = 0.0254


def tree(drawn: LadderDrawing) -> ElementTree.Element:
    return ElementTree.fromstring(f"<svg>{''.join(drawn.elements)}</svg>")


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_each_rung_is_to_scale_on_its_side(spec: Path) -> None:
    build = inspected(spec).build
    found = ladder(Job(build))
    drawn = draw(found, build.units)
    groups = [each for each in tree(drawn).iter("g") if each.get("data-at")]
    by_height = {(rung.at, rung.side): rung for rung in found.rungs}
    assert len(groups) == len(found.rungs) > 3
    for group in groups:
        path = group.find("path")
        assert path is not None
        inner, y, rail, x, _ = (float(each) for each in re.findall(r"-?[\d.]+", path.get("d") or ""))
        at = float(group.get("data-at") or "nan")
        assert y == pytest.approx(drawn.scale(at), abs=0.06)
        side = Side.LEFT if rail == LEFT else Side.RIGHT
        across = {inner, rail} == {LEFT, RIGHT}
        rung = next(
            rung for (height, on), rung in by_height.items() if abs(height - at) < 1e-6 and on in (side, Side.CENTRE)
        )
        assert across == (rung.side is Side.CENTRE)
        assert x < LEFT if side is Side.LEFT else x > RIGHT
        early = found.early(rung)
        assert (group.get("class") == "rung early") == early


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_no_label_lies_on_another_or_off_the_drawing(spec: Path) -> None:
    build = inspected(spec).build
    drawn = draw(ladder(Job(build)), build.units)
    for anchor in ("start", "end"):
        lines = [
            float(text.get("y") or "nan")
            for group in tree(drawn).iter("g")
            for text in group.iter("text")
            if text.get("text-anchor") == anchor
        ]
        assert all(below - above >= LINE - 0.2 for above, below in itertools.pairwise(lines))
        assert all(10 < y < drawn.height for y in lines)
    # 23 letters of a 12 unit face, at 0.53 of it in the mean.
    assert LEFT - BESIDE - 23 * 12 * 0.53 > -8
    assert RIGHT + BESIDE + 23 * 12 * 0.53 < WIDTH + 8


def test_the_words_of_a_spec_are_text_and_nothing_else() -> None:
    rungs = (Rung(0.05, Side.CENTRE, "the axle touches the <script>&", "vehicle", ends=True),)
    drawn = draw(Ladder(rungs, 0.1, 0.1, 0.2, -0.2, (), ()), System.METRIC)
    assert "<script>" not in "".join(drawn.elements)
    said = " ".join(text.text or "" for group in tree(drawn).iter("g") for text in group.iter("text"))
    assert said == "+50 axle touches the <script>&"
    assert drawn.in_words == ("the axle touches the <script>&: 50.0 mm up, before the stated end",)


def test_travel_that_is_lost_is_hatched_from_its_first_end_to_the_stated_one() -> None:
    build = inspected(FAULTS).build
    found = ladder(Job(build))
    drawn = draw(found, build.units)
    boxes = [each for each in tree(drawn).iter("rect") if each.get("class") == "lost-hatch"]
    spans = [(float(each.get("y") or 0), float(each.get("y") or 0) + float(each.get("height") or 0)) for each in boxes]
    first_up = min(rung.at for rung in found.rungs if found.early(rung) and rung.at > 0)
    first_down = max(rung.at for rung in found.rungs if found.early(rung) and rung.at < 0)
    expected = [(drawn.scale(found.bump), drawn.scale(first_up)), (drawn.scale(first_down), drawn.scale(-found.droop))]
    for one, other in zip(spans, expected, strict=True):
        assert one == pytest.approx(other, abs=0.11)
    sound = inspected(EXAMPLES / "tamarack" / "proposal.buildcheck.yaml").build
    assert not any("lost" in each for each in draw(ladder(Job(sound)), sound.units).elements)
