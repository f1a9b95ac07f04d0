"""Bolt groups, prying, joint stiffness and stripping against printed examples.

Sources: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., example 8-7, and the solutions manual of
the 8th ed., problems 8-25 and 8-28; Segui, Steel Design, 6th ed., problem 8.2-1; Bhandari, Design of Machine Elements,
example 7.5 (as a published program works it out); Tamboli (ed.), Handbook of Structural Steel Connection Design and
Details, 2009, page 107; NASA Reference Publication 1228, Fastener Design Manual. What is computed with the same formula
is marked so.
"""

import math

import numpy as np
import pytest

from buildcheck.spec.threads import thread
from buildcheck.strength.bolt_groups import (
    BoltGroup,
    Flange,
    Layer,
    in_line,
    in_two_rows,
    joint_constant,
    on_circle,
    pull_out,
    pull_with_prying,
)

INCH = 0.0254


def one(number: float) -> np.ndarray:
    return np.array([number])


def test_four_bolts_with_an_eccentric_load() -> None:
    """Shigley, example 8-7: 16 kN and 6800 N m on four bolts at (75, 60) mm: 4 kN, 17.7 kN; the two near bolts carry
    21.0 kN, where the two do not add up; in the worst direction they would."""
    group = BoltGroup(in_two_rows(4, 0.150, 0.120), 0.03)
    direct, turned = group.most_in_shear(one(16e3), one(0.0)), group.most_in_shear(one(0.0), one(6800.0))
    assert direct == pytest.approx(4e3)
    assert turned == pytest.approx(17.7e3, abs=50)
    assert 21.0e3 < group.most_in_shear(one(16e3), one(6800.0)) <= direct + turned + 1e-9


def test_a_line_of_four_bolts() -> None:
    """Segui, problem 8.2-1: four bolts at 3 in, 198 in kip: 19.8 kip on the outer one; with 9 kip in its direction,
    2.25 more."""
    group = BoltGroup(in_line(4, 3.0), 1.0)
    assert group.most_in_shear(one(0.0), one(198.0)) == pytest.approx(19.8)
    assert group.most_in_shear(one(9.0), one(198.0)) == pytest.approx(22.05)


def test_a_bolt_circle_that_tips() -> None:
    """Shigley, solutions of the 8th ed., problem 8-28: M = 12 000 lbf in, R = 4 in, 12 bolts: 2 M / (R N) = 500 lbf."""
    assert BoltGroup(on_circle(12, 8.0), 1.0).most_in_tension(one(0.0), one(12e3)) == pytest.approx(500.0)


def test_tipping_about_the_middle_is_above_the_books_about_the_edge() -> None:
    """Bhandari, example 7.5: 25 kN at 100 mm, two rows of two, 150 and 25 mm from the lower edge: 8108 N. About the
    middle of the bolts, as here, it is more; about one axis it is 2500 / (4 x 0.0625^2) x 0.0625."""
    group = BoltGroup(in_two_rows(4, 1e9, 0.125), 0.025)  # so long a row that the moment is about the row alone
    found = group.most_in_tension(one(0.0), one(2500.0))
    assert found == pytest.approx(10e3, rel=1e-6)
    assert found > 8108.0


@pytest.mark.parametrize(("pull", "expected"), [(4000.0, 1000.0), (-4000.0, 0.0)])
def test_a_pull_is_shared_and_a_push_is_none(pull: float, expected: float) -> None:
    assert BoltGroup(on_circle(4, 0.1), 0.02).most_in_tension(one(pull), one(0.0)) == pytest.approx(expected)


def test_one_row_turns_about_the_edge_of_the_foot() -> None:
    """Statics: three bolts 20 mm from the edge hold 600 N m about their row by 600 / 0.020 / 3 each; about the axis
    across it, the outer ones by 600 x 0.05 / (2 x 0.05^2). The worst direction is between."""
    group = BoltGroup(in_line(3, 0.05), 0.02)
    assert group.most_in_tension(one(0.0), one(600.0)) == pytest.approx(math.hypot(10e3, 6e3))


def test_prying_of_a_flange() -> None:
    """Tamboli, page 107: a 7/8 in bolt of 40.6 kip, b 2.035 in, a 1.3125 in, p 3 in, t 0.715 in, 65 ksi by 0.9: t_c of
    1.215 in, 23.7 kip."""
    flange = Flange(2.035, 1.3125, 3.0, 0.715, 15 / 16, 0.9 * 65)
    assert pull_with_prying(40.6, 7 / 8, flange) == pytest.approx(23.7, abs=0.07)
    # The flange of the book is so thin that its edge distance does not count (alpha 1.44); at 1.215 in nothing pries.
    assert pull_with_prying(40.6, 7 / 8, flange._replace(thickness=1.216)) == 40.6
    assert pull_with_prying(40.6, 7 / 8, flange._replace(thickness=1.213)) < 40.6


@pytest.mark.parametrize("thickness", [0.9, 1.0, 1.1, 1.2])
def test_a_thicker_flange_is_in_equilibrium(thickness: float) -> None:
    """Thornton's statics, worked out anew: bolt B = T + Q; the edge pushes back by Q at a'; the flange yields at the
    stem, p F t^2 / 4 = T b' - Q a', or the bolt line bends less than its net section allows, delta of that."""
    flange = Flange(2.035, 1.3125, 3.0, thickness, 15 / 16, 58.5)
    pull = pull_with_prying(40.6, 7 / 8, flange)
    plastic = 3.0 * 58.5 * thickness**2 / 4
    pry = 40.6 - pull
    assert pull * (2.035 - 7 / 16) - pry * (1.3125 + 7 / 16) == pytest.approx(plastic, rel=1e-9)
    assert pry * (1.3125 + 7 / 16) <= (1 - 15 / 16 / 3) * plastic * (1 + 1e-9)


def test_the_stiffness_of_steel_in_steel() -> None:
    """Computed with Shigley, equation 8-22 (from memory) for members of one metal: M12, 30 mm, 207 GPa: 2.498 MN/mm;
    a curve fitted to finite elements in the same book gives 2.514."""
    modulus, length, size = 207e9, 0.030, 0.012
    members = (
        0.5774
        * math.pi
        * modulus
        * size
        / (2 * math.log(5 * (0.5774 * length + 0.5 * size) / (0.5774 * length + 2.5 * size)))
    )
    assert members == pytest.approx(2.498097e9, rel=1e-4)
    bolt = math.pi * size**2 * modulus / (4 * length)
    found = joint_constant(size, [Layer(0.018, modulus), Layer(0.012, modulus)], modulus)
    assert found == pytest.approx(bolt / (bolt + members), rel=1e-4)
    fitted = modulus * size * 0.78715 * math.exp(0.62873 * size / length)
    assert found == pytest.approx(bolt / (bolt + fitted), rel=0.01)


def test_the_stiffness_of_iron_under_steel() -> None:
    """Solutions of Shigley, 8th ed., problem 8-25: 1/2 in, 0.595 in of steel (30 Mpsi) on 0.25 in of iron (14.5 Mpsi):
    k_m of 12.87 Mlbf/in; its second frustum begins a fiftieth of an inch narrower than 30 deg make it."""
    members = 12.87e6 * 175.12683524647636
    size, length = 0.5 * INCH, 0.845 * INCH
    bolt = math.pi * size**2 * 206.8e9 / (4 * length)
    found = joint_constant(size, [Layer(0.595 * INCH, 206.8e9), Layer(0.25 * INCH, 99.97e9)], 206.8e9)
    assert found == pytest.approx(bolt / (bolt + members), rel=5e-3)


def test_a_thread_in_aluminium() -> None:
    """NASA RP-1228: pi d F L / 3. 1/2-13, whose pitch diameter is 0.450 in, 1 in deep in aluminium of 27 ksi:
    12 723 lbf (computed with the same formula)."""
    size = thread("1/2-13")
    assert size.pitch_diameter / INCH == pytest.approx(0.4500, abs=5e-5)
    assert pull_out(0.450, 1.0, 27e3) == pytest.approx(12723, abs=1)


# Pitch diameters of the basic profile as ASME B1.1 and ISO 724 print them, from memory: in and mm.
@pytest.mark.parametrize(
    ("size", "printed", "unit"),
    [("3/8-16", 0.3344, INCH), ("5/8-11", 0.5660, INCH), ("3/4-10", 0.6850, INCH), ("M10x1.5", 9.026, 1e-3)],
)
def test_pitch_diameters(size: str, printed: float, unit: float) -> None:
    assert thread(size).pitch_diameter / unit == pytest.approx(printed, abs=6e-4 * (1 if unit == 1e-3 else 0.1))
