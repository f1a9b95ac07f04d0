"""Plates of brackets against printed examples, and against the stresses of a section by numpy.

Sources, read in part: AISC design example D.7 (a pin plate of A36), AISC 360, sections D5 and J7. The metric lug and
the tab are computed with the same formulas.
"""

import math

import numpy as np
import pytest

from buildcheck.strength.plates import hole_strength, root_stress

INCH, KIP, KSI = 0.0254, 4448.2216152605, 6894757.293168361


def one(number: float) -> np.ndarray:
    return np.array([number])


def test_the_bearing_of_a_pin_plate() -> None:
    """Example D.7: 1 in pin, 1/2 in of A36: 32.4 kip by 1.8 F_y A."""
    found = hole_strength(1.0 * INCH, 2.75 * INCH, 0.5 * INCH, 36 * KSI)
    assert found.bearing / KIP == pytest.approx(32.4, abs=0.05)


def test_the_tearing_of_a_pin_plate() -> None:
    """The same: 95.7 kip in shear on 2 t (a + d/2) = 2.75 in2, and 94.5 kip in tension on b of 1.63 in, both by the
    tensile strength of 58 ksi; a is the clear distance, so the middle of the hole is 2.75 in from the edge."""
    found = hole_strength(1.0 * INCH, 2.75 * INCH, 0.5 * INCH, 58 * KSI)
    assert found.tear_out / KIP == pytest.approx(95.7, abs=0.05)
    assert found.net_tension / KIP == pytest.approx(94.5, abs=0.1)  # the book rounds 16 mm to 0.63 in


def test_a_metric_lug_near_its_edges() -> None:
    """Computed: 10 mm of 400 MPa, a bolt of 17 mm, 25 mm from its middle to the edges: b of 16.5 mm, 132 kN."""
    found = hole_strength(0.017, 0.025, 0.010, 400e6)
    assert found.net_tension == pytest.approx(132.0e3)
    assert found.tear_out == pytest.approx(0.6 * 400e6 * 2 * 0.010 * 0.025)


def test_a_hole_at_the_edge_holds_nothing_beside_it() -> None:
    assert hole_strength(0.016, 0.008, 0.010, 250e6).net_tension == 0.0


def test_a_tab_across_its_flat_and_in_its_plane() -> None:
    """6000 N at 45 mm on a tab of 50 by 6 mm: 900 MPa across its flat, 108 MPa in its plane."""
    zero, moment = one(0.0), one(6000 * 0.045)
    assert root_stress(zero, zero, moment, 1, 0.050, 0.006) == pytest.approx(900e6)
    assert root_stress(zero, moment, zero, 1, 0.050, 0.006) == pytest.approx(108e6)
    assert root_stress(zero, moment, zero, 2, 0.050, 0.006) == pytest.approx(54e6)


def test_a_force_alone_counts_as_shear_by_distortion_energy() -> None:
    """The von Mises stress of pure shear, by the eigenvalues of its tensor."""
    shear = 9000 / (0.05 * 0.006)
    first, second, third = np.linalg.eigvalsh([[0, shear, 0], [shear, 0, 0], [0, 0, 0]])
    mises = math.sqrt(((first - second) ** 2 + (second - third) ** 2 + (third - first) ** 2) / 2)
    assert root_stress(one(9000.0), one(0.0), one(0.0), 1, 0.05, 0.006) == pytest.approx(mises)


def test_it_is_never_below_the_stress_of_the_section() -> None:
    """Navier's stress with shear and thrust at the corners of the section, over directions of a force at a lever."""
    width, thickness, lever = 0.06, 0.008, 0.09
    area, strong, weak = width * thickness, thickness * width**2 / 6, width * thickness**2 / 6
    for direction in np.random.default_rng(3).normal(size=(200, 3)):
        force = 5000 * direction / np.linalg.norm(direction)  # x in the plane, y across the flat, z away from the root
        normal = abs(force[0]) * lever / strong + abs(force[1]) * lever / weak + abs(force[2]) / area
        shear = math.hypot(force[0], force[1]) / area
        found = root_stress(one(5000.0), one(abs(force[0]) * lever), one(abs(force[1]) * lever), 1, width, thickness)
        # Shear is even over the section; in the corner, where bending is most, there is none.
        assert found[0] >= max(normal, math.sqrt(3) * shear)
