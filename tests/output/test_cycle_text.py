"""The cycling sheet as text: exact at 80 columns, and within any width it is given room for."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hand_cycled import COLUMNS, column, cycled
from hand_made import DEGREE, INCH

from buildcheck.build import read_build
from buildcheck.job.cycle import cycle
from buildcheck.output.cycle_text import sheet
from buildcheck.output.outcome import Cycled
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import Dimension

TAMARACK = Path(__file__).parents[2] / "examples" / "tamarack" / "proposal.buildcheck.yaml"
AT_60 = """\
CYCLING SHEET
  build     Bench
  shop      an invented shop
  use       not stated
  holds     2 radius arms, lateral bar
  way       2.000 in down to 3.000 in up, at 5 heights
  held      rolled 6.00 deg, right side up
  spec      bench.buildcheck.yaml, in inch-pound units

                     POST           LEFT SIDE
                              sink
               axle             of
             height   lean    base     gap
                 in    deg      in      in
full droop   -2.000   1.25   0.500  10.000
             -1.000   1.00   0.250  11.000
ride height   0.000   0.50   0.000  12.000
             +1.500  -0.25  -0.125  12.500
full bump    +3.000  out of the axle's reach
spread                1.50   0.625   2.500

                     RIGHT SIDE
               axle
             height     gap          share
                 in      in              %
full droop   -2.000  10.500           none
             -1.000  11.250           none
ride height   0.000  12.000           50.0
             +1.500  12.250  without bound
full bump    +3.000  out of the axle's reach
spread                1.750            0.0

spread: the largest less the smallest of the rows above it

CANNOT FOLLOW
  The links do not let the axle reach 3.000 in up (full
    bump), with its roll held.
  right-gate-share: none at 2 heights from 2.000 in down
    (full droop) to 1.000 in down, where what moves it
    cannot follow the axle.

NOT COMPUTED
  hinge: lateral_bar.tube is not in the spec; it goes under
    bench.buildcheck.yaml:9:1
  latch: the latch has no value in this build

COLUMNS
  What each one means, and its sign: give --meanings too.

FOR INFORMATION ONLY
  No rule compares these with a limit: sink, left-gate-gap,
    right-gate-gap, right-gate-share.

CAUTIONS
"""


def tables(text: str) -> list[list[str]]:
    """The tables of a sheet, line by line, from the names of the groups to the spread."""
    found = re.findall(r"(?:^|\n)( {20}.*?\nspread [^\n]*)\n", text, re.DOTALL)
    return [each.splitlines() for each in found]


def test_the_sheet_is_this() -> None:
    told = sheet(cycled(roll=-6 * DEGREE), width=60)
    assert told.partition("CAUTIONS\n")[0] + "CAUTIONS\n" == AT_60


def test_the_cautions_of_cycling_stand_at_the_end() -> None:
    told = " ".join(sheet(cycled(), width=80).partition("CAUTIONS\n")[2].split())
    for word in ("stands", "level floor", "chocked", "springs out", "both locks", "brake lines", "the truck decides"):
        assert word in told


def test_the_meanings_on_request() -> None:
    told = sheet(cycled(), meanings=True).partition("COLUMNS\n")[2].partition("\n\n")[0].splitlines()
    assert told[0] == "  axle height: rise of the axle centre from ride height; upwards (bump) positive"
    assert told[2] == "  post, sink of base (sink): what sink is"
    assert len(told) == 1 + len(COLUMNS)


def test_a_group_without_room_is_split_and_each_part_has_the_heights() -> None:
    wide = [column(f"q{index}", "post", "one", Dimension.LENGTH, INCH, *range(5)) for index in range(9)]
    parts = tables(sheet(cycled(*wide), width=50))
    assert [part[0].strip() for part in parts] == ["POST", "POST, MORE", "POST, MORE"]
    for part in parts:
        assert [line[:19].split()[-1] for line in part[-6:-1]] == ["-2.000", "-1.000", "0.000", "+1.500", "+3.000"]


@pytest.mark.parametrize("width", [60, 80, 120, None])
def test_no_line_of_a_real_sheet_is_wider_than_the_screen_and_every_number_is_there(width: int | None) -> None:
    document = read_file(TAMARACK)
    build = read_build(document.data)
    spec = Cycled("tamarack", document, build, cycle(build, steps=4))
    told = tables(sheet(spec, width=width))
    assert max(len(line) for table in told for line in table) <= (width or 80)
    # Whatever way the tables are cut, a height's cells in a row are those of one table with room for all.
    (whole,) = tables(sheet(spec, width=1000))
    heights = range(-10, -1)
    assert [" ".join(" ".join(table[row][19:] for table in told).split()) for row in heights] == [
        " ".join(whole[row][19:].split()) for row in heights
    ]


def test_colour_only_marks_what_the_words_say() -> None:
    plain, coloured = (sheet(cycled(), width=80, colour=colour) for colour in (False, True))
    assert "\x1b" not in plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
    assert "\x1b[1mride height   0.000" in coloured


def test_a_lock_beyond_that_of_the_spec_is_said() -> None:
    document = read_file(TAMARACK)
    build = read_build(document.data)
    told = sheet(Cycled("tamarack", document, build, cycle(build, steps=1, lock=-33 * DEGREE)))
    assert (
        "  held      level; steering wheel held where the inner wheel is turned 33.00 deg to the right at ride height, "
        "which is more than the spec's lock angle, 25.50 deg\n"
    ) in told
