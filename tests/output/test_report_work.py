"""The work order of the report: findings that ask for one change are one row, with its inputs before and after."""

from __future__ import annotations

from pathlib import Path

import pytest
from reports import inspected

from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.checks.work_order import Line as OrderLine
from buildcheck.checks.work_order import Named, ValueChange, WorkOrder
from buildcheck.output.amounts import AMOUNT, held_in_html
from buildcheck.output.items import items
from buildcheck.output.report.page import page
from buildcheck.output.report.work import proven_work, work
from buildcheck.spec.quantity import Dimension

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
SPECS = sorted(EXAMPLES.glob("**/*.buildcheck.yaml"))


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_every_finding_is_in_one_row_and_rows_are_numbered_through(spec: Path) -> None:
    found = inspected(spec)
    made = work(found, items(found))
    assert [line.number for line in made.lines] == list(range(1, len(made.lines) + 1))
    assert sorted(item.number for line in made.lines for item in line.items) == [each.number for each in items(found)]
    assert all(line.inputs for line in made.changes)
    assert not any(line.inputs for line in made.decide)
    for lines in (made.changes, made.decide):
        errors = [line.error for line in lines]
        assert errors == sorted(errors, reverse=True)  # what has to be put right comes first


def test_a_row_has_the_largest_amount_of_its_findings_with_its_inputs_before_and_after() -> None:
    found = inspected(FAULTS)
    made = work(found, items(found))
    arms = next(line for line in made.changes if "frame end of the left and right arm" in line.says)
    cures = [item.reading.cure for item in arms.items]
    sizes = [cure.size for cure in cures if cure is not None]
    assert len(set(sizes)) > 1
    assert arms.several
    largest = max(sizes) / 0.0254
    links = found.build.links["arm"]
    for one, link in zip(arms.inputs, links, strict=True):
        assert float(one.was.split()[0]) == pytest.approx(link.frame.z / 0.0254)
        assert float(one.becomes.split()[0]) == pytest.approx(link.frame.z / 0.0254 - largest)
    assert float(arms.by.split()[0]) == pytest.approx(-largest)
    assert arms.path == "links.arm.left.frame.z"
    assert dict(arms.mends)["slope at ride"] == tuple(i for i in arms.items if i.reading.quantity == "slope-at-ride")


def test_every_row_names_the_part_that_is_changed() -> None:
    found = inspected(FAULTS)
    made = {line.says: line.part for line in work(found, items(found)).changes}
    leg = next(part for says, part in made.items() if says.startswith("make the leg"))
    assert leg == "left and right arm frame bracket weld"
    assert next(part for says, part in made.items() if says.startswith("tighten to")) == (
        "left lateral bar axle bracket bolts"
    )
    assert made["make the right arm 3/8 in shorter"] == ""  # the words say it
    for says, part in made.items():
        named = set(f"{says} {part}".replace(",", "").split())
        assert named & {"arm", "bar", "stop", "coilover", "strap", "line", "driveshaft", "bracket", "pitman"}, says
    assert "<bdi>left and right arm frame bracket weld</bdi>" in page(found, "1")


def test_a_change_to_an_amount_says_what_it_becomes() -> None:
    found = inspected(FAULTS)
    bolt = next(line for line in work(found, items(found)).changes if line.says.startswith("tighten to"))
    assert (bolt.inputs[0].was, bolt.inputs[0].becomes, bolt.by) == ("60.0 lb-ft", "154.0 lb-ft", "")


def test_opposite_ways_are_rows_of_their_own() -> None:
    found = inspected(FAULTS)
    numbered = items(found)
    one = next(item for item in numbered if item.reading.cure is not None and item.reading.cure.change)
    cure = one.reading.cure
    assert cure is not None
    assert cure.change is not None
    turned = one.reading._replace(cure=cure._replace(change=-cure.change), verdict=Verdict.WARNING)
    other = type(one)(99, turned)
    rows = work(found, (one, other)).changes
    assert [[item.number for item in line.items] for line in rows] == [[one.number], [99]]
    assert [line.verdict for line in rows] == ["error", "warning"]


def test_a_sound_spec_has_nothing_that_must_be_put_right() -> None:
    found = inspected(TAMARACK)
    assert not any(line.error for line in work(found, items(found)).lines)
    assert work(found, ()).lines == ()


def test_a_proven_order_has_its_own_lines_and_leaves_the_rest_to_decide() -> None:
    found = inspected(FAULTS)
    numbered = items(found)
    arms = [item for item in numbered if item.reading.quantity == "slope-at-ride"]
    steer, *rest = [item for item in numbered if item not in arms]

    def name(reading: Reading) -> Named:
        return Named(reading.rule, reading.quantity, reading.subject, reading.of, reading.verdict)

    path, was = "links.arm.left.frame.z", found.build.value("links.arm.left.frame.z")
    line = OrderLine(
        1, (ValueChange(path, was, was - 0.0254, Dimension.LENGTH),), "", tuple(name(item.reading) for item in arms)
    )
    order = WorkOrder(
        (line,),
        left=tuple((name(item.reading), "no") for item in rest),
        mended=tuple(name(item.reading) for item in (*arms, steer)),
    )
    made = proven_work(found, numbered, order)
    (first,) = made.changes
    assert first.says == "move the frame end of the left arm down 1 in"
    assert first.by == "-1 in"
    assert float(first.inputs[0].becomes.split()[0]) == pytest.approx(was / 0.0254 - 1)
    assert first.items == tuple(arms)
    assert made.together == (steer,)
    assert sorted(item.number for each in made.decide for item in each.items) == [item.number for item in rest]
    assert not any(each.inputs for each in made.decide)
    assert made.proven
    told = page(found, "1", order=order)
    assert "All changes together were tried as a whole" in told
    assert f'id="item-{steer.number}"' in told


@pytest.mark.parametrize(
    ("html", "held"),
    [
        ("<p>by 4 13/16 in, or 2 lb</p>", "<p>by <span class=q>4 13/16 in,</span> or <span class=q>2 lb</span></p>"),
        ('<a title="4 in">x 3 in</a>', '<a title="4 in">x <span class=q>3 in</span></a>'),
        (
            "<svg><title>a</title><text>4 in</text></svg> 5 mm",
            "<svg><title>a</title><text>4 in</text></svg> <span class=q>5 mm</span>",
        ),
        ("<p>links.arm 63, M12</p>", "<p>links.arm 63, M12</p>"),
        ("<p>scale 1 : 20</p>", "<p>scale <span class=q>1 : 20</span></p>"),
        ("<p>(-0.5 deg)</p>", "<p>(<span class=q>-0.5 deg)</span></p>"),
    ],
)
def test_amounts_are_held_together_where_text_runs(html: str, held: str) -> None:
    assert held_in_html(html) == held


def test_one_or_two_numbers_and_the_word_after_them_are_an_amount() -> None:
    assert [found[0] for found in AMOUNT.finditer("down 4 13/16 in from 24.75 in to +1 in")] == [
        "4 13/16 in",
        "24.75 in",
        "+1 in",
    ]
