"""Plates of brackets against printed examples, and against the stresses of a section by numpy.

Sources, read in part: AISC design example D.7 (a pin plate of A36), AISC 360, sections D5 and J7. The metric lug and
the tab are computed with the same formulas. Buckling: AISC 360-22, section F11, read; beside it the exact equations of
a narrow bar and of a plate, solved by scipy.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import eigh
from scipy.optimize import brentq

from buildcheck.strength.plates import (
    K_BENT,
    K_COMPRESSED,
    K_FREE_EDGE,
    hole_strength,
    plate_buckles_at,
    root_stress,
    tips_over_at,
)

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


STEEL, SHEAR = 200e9, 200e9 / 2.6


def test_a_flat_bar_yields_as_it_tips_over_where_the_specification_says_so() -> None:
    """AISC 360-22, F11: where L d / t^2 = 1.9 E / F_y the critical stress is F_y, and 1.52 - 0.274 * 1.9 is 1.00."""
    length, width, strength = 0.5, 0.1, 250e6
    thickness = math.sqrt(length * width * strength / (1.9 * STEEL))
    stress = tips_over_at(length, width, thickness, STEEL) / (thickness * width**2 / 6)
    assert stress == pytest.approx(strength, rel=1e-12)
    assert pytest.approx(1.0, abs=0.001) == 1.52 - 0.274 * 1.9


def test_the_bar_of_the_docstring() -> None:
    moment = tips_over_at(12 * INCH, 3 * INCH, 0.25 * INCH, 29e6 * KSI / 1000)
    assert moment / (KIP * INCH) == pytest.approx(35.87, abs=0.01)


def exact_tipping(length: float, width: float, thickness: float, tip: float) -> float:
    """Moment at the root at which a force at the free end tips a narrow bar over, by its differential equation.

    (G J b')' + P^2 x^2 b / (E I) = 0 for its twist b, x from the free end: b' = 0 there, and b = 0 at the root. Its
    width falls evenly to `tip` of that at the root. Source: Timoshenko and Gere, Theory of Elastic Stability, section
    6.4, from memory; for an even width the answer is 4.013 sqrt(E I G J) / L^2.
    """

    def twist_at_root(force: float) -> float:
        def slope(x: float, state: np.ndarray) -> list[float]:
            across = width * (tip + (1 - tip) * x / length) * thickness**3
            twist, torque = state
            return [torque / (SHEAR * across / 3), -((force * x) ** 2) * twist / (STEEL * across / 12)]

        return float(solve_ivp(slope, (0.0, length), [1.0, 0.0], rtol=1e-9, atol=1e-12).y[0, -1])

    scale = math.sqrt(STEEL * SHEAR / 36) * width * thickness**3 / length**2
    return float(brentq(twist_at_root, 1.5 * scale, 4.5 * scale)) * length


def test_a_cantilever_of_even_width_by_its_differential_equation() -> None:
    length, width, thickness = 0.3, 0.08, 0.005
    exact = exact_tipping(length, width, thickness, 1.0)
    scale = math.sqrt(STEEL * SHEAR / 36) * width * thickness**3 / length
    assert exact / scale == pytest.approx(4.013, abs=0.001)
    assert 0.7 < tips_over_at(length, width, thickness, STEEL) / exact < 0.8


@pytest.mark.parametrize("tip", [0.3, 0.5, 0.7])
def test_a_plate_that_is_narrower_at_its_joint_tips_over_no_earlier(tip: float) -> None:
    """The formula takes it as wide as at its root, which its margin on a force at the free end makes good."""
    assert tips_over_at(0.3, 0.08, 0.005, STEEL) <= 1.03 * exact_tipping(0.3, 0.08, 0.005, tip)


def energy_factor(*, bent: bool, free_edge: bool, waves: float) -> float:
    """Buckling factor of a plate of a width of 1 with half waves of a length, by the least energy of a series (Ritz).

    The strain energy of a plate and the work of its edge forces: Timoshenko and Gere, Theory of Elastic Stability,
    section 9.2, from memory. It pivots at its held edges; a free one is at y = 1.
    """
    y, weights = np.polynomial.legendre.leggauss(60)
    y, weights = (y + 1) / 2, weights / 2
    terms, poisson, k = range(1, 13), 0.3, math.pi / waves
    if free_edge:
        shape = [[y**n, n * y ** (n - 1), n * (n - 1) * y ** max(n - 2, 0)] for n in terms]
        f, df, ddf = (np.array(each) for each in zip(*shape, strict=True))
    else:
        f, df, ddf = (
            np.array([make(n * math.pi) for n in terms])
            for make in (
                lambda w: np.sin(w * y),
                lambda w: w * np.cos(w * y),
                lambda w: -(w**2) * np.sin(w * y),
            )
        )
    pressure = 1 - 2 * y if bent else np.ones_like(y)

    def integral(a: np.ndarray, b: np.ndarray, by: np.ndarray) -> np.ndarray:
        return np.einsum("iy,jy,y->ij", a, b, weights * by)

    one_each = np.ones_like(y)
    crossed = integral(f, ddf, one_each)
    stiffness = (
        k**4 * integral(f, f, one_each)
        - poisson * k**2 * (crossed + crossed.T)
        + integral(ddf, ddf, one_each)
        + 2 * (1 - poisson) * k**2 * integral(df, df, one_each)
    )
    # The work of the edge forces is the smaller matrix: its largest eigenvalue is one over the least load.
    largest = float(eigh(k**2 * integral(f, f, pressure), stiffness, eigvals_only=True)[-1])
    return 1 / largest / math.pi**2


@pytest.mark.parametrize(
    ("factor", "bent", "free_edge"),
    [(K_COMPRESSED, False, False), (K_BENT, True, False), (K_FREE_EDGE, False, True)],
)
def test_buckling_factors_by_the_energy_of_a_plate(factor: float, bent: bool, free_edge: bool) -> None:
    """The least over the length of the half waves; a free edge has the least in waves that are very long."""
    lengths = [20.0] if free_edge else np.linspace(0.5, 1.5, 101)
    least = min(energy_factor(bent=bent, free_edge=free_edge, waves=each) for each in lengths)
    assert factor == pytest.approx(least, rel=0.01)


def test_the_stress_of_the_docstring_and_of_the_standard() -> None:
    """EN 1993-1-5 has sigma_E = 190 000 (t / b)^2 N/mm2 for steel of 210 GPa (from memory)."""
    assert plate_buckles_at(0.4, 0.01, 4.0, 210e9) == pytest.approx(474.5e6, rel=1e-3)
    assert plate_buckles_at(1.0, 0.01, 1.0, 210e9) == pytest.approx(190e3 * 1e6 * 1e-4, rel=0.002)
