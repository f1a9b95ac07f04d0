"""Bolts against printed tables.

Inch threads: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., table 8-2; the SAE grades its
table 8-9 (SAE J429), the metric classes its table 8-11; bolts in shear its example 8-6. Metric threads: ISO 898-1, as
tables of proof loads reproduce its stress areas; M8 also in Shigley's table 8-1. What is marked so is from memory of
ISO 898-1.
"""

import math

import numpy as np
import pytest

from buildcheck.spec.threads import thread
from buildcheck.strength.bolts import (
    INCH,
    KPSI,
    MPA,
    pin_capacity,
    proof_strength,
    shear_capacity,
    single_shear_capacity,
    slip_resistance,
    tightening_torque,
)

KIP = 4448.2216152605
POUND = KIP / 1000
SQUARE_MILLIMETRE = 1e-6

# Size, tensile stress area and minor area as printed, in2. Shigley, table 8-2.
INCH_THREADS = [
    ("3/8-16", "0.0775", "0.0678"),
    ("7/16-14", "0.1063", "0.0933"),
    ("1/2-13", "0.1419", "0.1257"),
    ("9/16-12", "0.182", "0.162"),
    ("5/8-11", "0.226", "0.202"),
    ("3/4-10", "0.334", "0.302"),
    ("7/8-9", "0.462", "0.419"),
    ("1-8", "0.606", "0.551"),
    ("1/2-20", "0.1599", "0.1486"),
    ("9/16-18", "0.203", "0.189"),
    ("5/8-18", "0.256", "0.240"),
    ("3/4-16", "0.373", "0.351"),
    ("7/8-14", "0.509", "0.480"),
    ("1-12", "0.663", "0.625"),
]
# Size and tensile stress area as printed, mm2. ISO 898-1; the fine threads from memory of it.
METRIC_THREADS = [
    ("M8x1.25", "36.6"),
    ("M10x1.5", "58.0"),
    ("M12x1.75", "84.3"),
    ("M14x2", "115"),
    ("M16x2", "157"),
    ("M18x2.5", "192"),
    ("M20x2.5", "245"),
    ("M24x3", "353"),
    ("M12x1.25", "92.1"),
    ("M14x1.5", "125"),
    ("M16x1.5", "167"),
]
# Grade, size of the smallest and the largest bolt of the row, proof strength in kpsi. Shigley, table 8-9 (SAE J429).
SAE_GRADES = [
    ("sae-2", "1/4-20", "3/4-10", 55),
    ("sae-2", "7/8-9", "1 1/2-6", 33),
    ("sae-5", "1/4-20", "1-8", 85),
    ("sae-5", "1 1/8-7", "1 1/2-6", 74),
    ("sae-8", "1/4-20", "1 1/2-6", 120),
]
# Class, smallest and largest bolt, proof strength in MPa. Shigley, table 8-11; class 8.8 up to 16 mm from memory of
# ISO 898-1, which the printed proof load of an M14 bears out (66.7 kN on 115 mm2).
METRIC_CLASSES = [
    ("8.8", "M5x0.8", "M16x2", 580),
    ("8.8", "M18x2.5", "M36x4", 600),
    ("10.9", "M5x0.8", "M36x4", 830),
    ("12.9", "M5x0.8", "M36x4", 970),
]


def half_of_last_digit(printed: str) -> float:
    """How far a number may be from its printed form: half a unit of the last printed digit."""
    decimals = len(printed.partition(".")[2])
    return 0.5 * 10.0**-decimals


@pytest.mark.parametrize(("size", "stress_area", "minor_area"), INCH_THREADS)
def test_inch_threads_as_printed(size: str, stress_area: str, minor_area: str) -> None:
    bolt = thread(size)
    for area, printed in ((bolt.tensile_stress_area, stress_area), (bolt.minor_area, minor_area)):
        beyond = area / INCH**2 - float(printed)
        # The table cuts 1/2-20 (0.15995) and 7/8-14 (0.48055) off where it rounds the others.
        assert -half_of_last_digit(printed) <= beyond < 2 * half_of_last_digit(printed)


@pytest.mark.parametrize(("size", "stress_area"), METRIC_THREADS)
def test_metric_threads_as_printed(size: str, stress_area: str) -> None:
    area = thread(size).tensile_stress_area / SQUARE_MILLIMETRE
    assert area == pytest.approx(float(stress_area), abs=half_of_last_digit(stress_area))


def test_minor_area_of_a_metric_thread_as_printed() -> None:
    """Shigley, table 8-1: M8 x 1.25, 32.8 mm2."""
    assert thread("M8x1.25").minor_area / SQUARE_MILLIMETRE == pytest.approx(32.8, abs=0.05)


@pytest.mark.parametrize(("grade", "smallest", "largest", "kpsi"), SAE_GRADES)
def test_proof_strength_of_sae_grades(grade: str, smallest: str, largest: str, kpsi: float) -> None:
    for size in (smallest, largest):
        assert proof_strength(grade, thread(size).diameter) == pytest.approx(kpsi * KPSI, rel=1e-12)


@pytest.mark.parametrize(("grade", "smallest", "largest", "megapascals"), METRIC_CLASSES)
def test_proof_strength_of_metric_classes(grade: str, smallest: str, largest: str, megapascals: float) -> None:
    for size in (smallest, largest):
        assert proof_strength(grade, thread(size).diameter) == pytest.approx(megapascals * MPA, rel=1e-12)


@pytest.mark.parametrize(("grade", "size"), [("sae-8", "1 3/4-5"), ("10.9", "M39x4")])
def test_no_proof_strength_beyond_the_table(grade: str, size: str) -> None:
    assert proof_strength(grade, thread(size).diameter) is None


def test_four_bolts_in_shear_on_their_shanks() -> None:
    """Shigley, example 8-6: four 3/4-16 grade 5 bolts, design factor 1.5, shanks in the shear plane: 57.8 kip."""
    bolt = thread("3/4-16")
    strength = proof_strength("sae-5", bolt.diameter)
    assert strength is not None
    # The example's formula 0.577 pi d2 S_p is that of four bolts with one shear plane each.
    load = shear_capacity(bolt.shank_area, strength, 4, 1) / 1.5
    assert load / KIP == pytest.approx(57.8, abs=0.05)
    assert load == pytest.approx(0.577 * math.pi * (0.75 * INCH) ** 2 * 85 * KPSI / 1.5, rel=1e-12)


def test_four_bolts_in_shear_on_their_threads() -> None:
    """Shigley, example 8-6, with the threads in the shear plane: 45.9 kip."""
    bolt = thread("3/4-16")
    strength = proof_strength("sae-5", bolt.diameter)
    assert strength is not None
    assert shear_capacity(bolt.minor_area, strength, 4, 1) / 1.5 / KIP == pytest.approx(45.9, abs=0.05)


def test_a_bolt_in_single_shear_by_the_stress_tensor() -> None:
    """The von Mises stress of the cantilever, by numpy's eigenvalues of its stress tensor, is the proof strength.

    The load acts half a grip away from where the bolt is held (Shigley, section 8-12, M = F t / 2, from memory).
    """
    shank, grip, strength = 0.5 * INCH, 1.5 * INCH, 85 * KPSI
    load = single_shear_capacity(shank, grip, strength)
    bending = load * grip / 2 * (shank / 2) / (math.pi * shank**4 / 64)
    shear = load / (math.pi * shank**2 / 4)
    first, second, third = np.linalg.eigvalsh([[bending, shear, 0], [shear, 0, 0], [0, 0, 0]])
    mises = math.sqrt(((first - second) ** 2 + (second - third) ** 2 + (third - first) ** 2) / 2)
    assert mises == pytest.approx(strength, rel=1e-4)  # 0.577 for the root of a third
    assert load / POUND == pytest.approx(1377, abs=1)


def test_a_short_grip_leaves_the_bolt_its_strength_in_shear() -> None:
    assert single_shear_capacity(0.01, 1e-9, 1e9) == pytest.approx(
        shear_capacity(math.pi / 4 * 1e-4, 1e9, 1, 1), rel=1e-9
    )


def test_a_pin_between_two_ears_by_its_bending_moments() -> None:
    """Even pressure in both ears and in the eye between them, summed along the pin by numpy: EN 1993-1-8, figure 3.11.

    A worked sheet that cites it: 5 kN on a pin of 16 mm of 235 MPa have a moment of 27.1 N m at its middle, for
    b + 4 c + 2 a of 43.4 mm, as its M = F (b + 4 c + 2 a) / 8 gives.
    """
    ear, eye, force = 10e-3, 23.4e-3, 5e3
    along = np.linspace(0.0, 2 * ear + eye, 200_001)
    load = np.where(np.abs(along - ear - eye / 2) < eye / 2, force / eye, -force / 2 / ear)
    moment = np.cumsum(np.cumsum(load)) * (along[1] - along[0]) ** 2
    assert np.max(np.abs(moment)) == pytest.approx(27.1, abs=0.05)
    most = 1 / math.hypot(
        1 / shear_capacity(math.pi / 4 * 16e-3**2, 235e6, 1, 2),
        np.max(np.abs(moment)) / force / (235e6 * math.pi * 16e-3**3 / 32),
    )
    assert pin_capacity(16e-3, 2 * ear + eye, 235e6) == pytest.approx(most, rel=1e-4)


def test_a_clamped_bolt_holds_by_friction() -> None:
    """EN 1993-1-8, equation 3.6, as a calculation sheet prints it: 171.5 kN, two faces, mu 0.4, 1.25: 109.76 kN."""
    printed = 109.76e3
    assert slip_resistance(171.5e3) == pytest.approx(printed * (0.2 / 0.4) * (1.25 / 1.1), rel=1e-9)


def test_the_torque_of_the_book() -> None:
    """Example 8-3: T = K F d with K = 0.2, 25 kip, 3/4 in is 3750 lbf in; table 8-15 has that K for zinc."""
    pound_inch = 0.1129848290276167
    assert tightening_torque(25e3 * POUND, 0.75 * INCH, "plated") / pound_inch == pytest.approx(3750.0, rel=1e-9)


def test_a_small_screw_by_another_book() -> None:
    """Mechanical Fastening, Joining and Assembly, page 85: No. 10 at 1275 lb and K = 0.2 takes 48.5 in lb."""
    pound_inch = 0.1129848290276167
    assert tightening_torque(1275 * POUND, 0.190 * INCH, "plated") / pound_inch == pytest.approx(48.5, abs=0.06)


def test_torque_for_three_quarters_of_the_proof_load() -> None:
    """5/8-11 grade 8, equation 8-31: 20 340 lbf; 211.9 lbf ft with K = 0.2 (computed with the same formulas)."""
    size = thread("5/8-11")
    strength = proof_strength("sae-8", size.diameter)
    assert strength is not None
    preload = 0.75 * size.tensile_stress_area * strength
    assert preload / POUND == pytest.approx(20340.3, rel=1e-4)
    assert tightening_torque(preload, size.diameter, "plated") / 1.3558179483314004 == pytest.approx(211.88, rel=1e-4)


@pytest.mark.parametrize(("condition", "factor"), [("dry", 0.30), ("plated", 0.20), ("oiled", 0.18)])
def test_torque_factors_as_the_book_prints_them(condition: str, factor: float) -> None:
    assert tightening_torque(1.0, 1.0, condition) == factor
