"""Lines of a page: wrapping that breaks no word and loses none, whatever the text."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from buildcheck.output.text_layout import Page


def page(width: int | None, text: str, *, colour: bool = False) -> str:
    made = Page(width, colour=colour)
    made.field("found", text, indent=7, column=16, bold=True)
    return str(made)


def test_a_field_goes_on_under_its_text() -> None:
    assert page(40, "a slope of twelve degrees at full bump") == (
        "       found    a slope of twelve\n                degrees at full bump\n"
    )
    assert page(None, "a slope of twelve degrees at full bump") == (
        "       found    a slope of twelve degrees at full bump\n"
    )


def test_names_and_fractions_are_not_broken_at_their_hyphens() -> None:
    for name in ("lateral-bar-parallel-and-more", "links.arm.both.frame.with_a_name_longer_than_the_line"):
        assert f"{name}\n" in page(40, f"the rule is {name}")


def test_a_line_breaks_neither_inside_an_amount_nor_before_its_unit() -> None:
    amounts = ("4 13/16 in", "-0.1875 in", "(2650 lbf)", "0.8 g", "70 %", "12 lb-ft/deg", "+1/16 in;")
    for width in range(36, 70):
        for start in range(30):
            for amount in amounts:
                told = page(width, f"{'x ' * start}{amount} more")
                assert any(amount in line for line in told.splitlines()), (width, start, amount)


def test_a_number_that_belongs_to_a_longer_word_holds_nothing_back() -> None:
    assert page(40, "spec.yaml:8:7 links.arm.both.frame") == (
        "       found    spec.yaml:8:7\n                links.arm.both.frame\n"
    )


def test_bold_is_on_the_label_alone() -> None:
    assert page(40, "a slope", colour=True) == "       \x1b[1mfound\x1b[0m    a slope\n"


def test_an_empty_line_is_never_doubled_and_never_first() -> None:
    made = Page(80, colour=False)
    made.blank()
    made.heading("ONE")
    made.blank()
    made.blank()
    made.heading("TWO")
    assert str(made) == "ONE\n\nTWO\n"


words = st.lists(st.text("abcdefgh-/.", min_size=1, max_size=30), min_size=1, max_size=20)


@given(words, st.integers(20, 130))
def test_wrapping_keeps_every_word_in_order_and_to_the_width(said: list[str], width: int) -> None:
    told = page(width, " ".join(said))
    assert told.split() == ["found", *said]
    for line in told.splitlines():
        assert len(line) <= max(width, 36) or len(line.split()) <= 2, "only a word longer than a line runs over"
