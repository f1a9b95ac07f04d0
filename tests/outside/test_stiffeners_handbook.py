"""Gussets against the section of a beam by numpy, and against printed numbers.

Sources: beam theory; Shigley's Mechanical Engineering Design, table 9-2 (a line of weld of a length d: d^2 / 6), from
memory; AISC 360, table B4.1a, from memory.
"""

import numpy as np
import pytest

from buildcheck.strength.stiffeners import gusset_stress, gusset_weld_force, most_slender

KSI = 6894757.293168361


def test_the_stress_is_that_of_strips_of_a_section() -> None:
    """Two gussets of 6 mm by 50 mm under 1000 N m: the moment is the sum over thin strips of a linear stress."""
    width, thickness, count = 0.050, 0.006, 2
    stress = float(gusset_stress(np.array([1000.0]), count, thickness, width)[0])
    strips = (np.arange(20000) + 0.5) / 20000 * width - width / 2
    carried = count * thickness * np.sum(stress * strips / (width / 2) * strips) * width / 20000
    assert carried == pytest.approx(1000.0, rel=1e-6)
    assert stress == pytest.approx(200e6)


def test_the_fillets_are_lines_on_both_sides() -> None:
    """A moment on four lines of weld of 50 mm: the largest force on a unit of length gives the moment back."""
    width, count = 0.050, 2
    force = float(gusset_weld_force(np.array([1000.0]), count, width)[0])
    along = (np.arange(20000) + 0.5) / 20000 * width - width / 2
    carried = 2 * count * np.sum(force * along / (width / 2) * along) * width / 20000
    assert carried == pytest.approx(1000.0, rel=1e-6)


def test_the_slenderness_of_steel() -> None:
    """AISC 360, table B4.1a, for 36 ksi and 29 000 ksi: 15.9 (case 1) and 39.7 (case 6); 13.5 and 33.7 for 50 ksi; from
    memory."""
    for strength, one_free, both_held in ((36, 15.9, 39.7), (50, 13.5, 33.7)):
        assert most_slender(strength * KSI, free_edge=True, modulus=29000 * KSI) == pytest.approx(one_free, abs=0.05)
        assert most_slender(strength * KSI, free_edge=False, modulus=29000 * KSI) == pytest.approx(both_held, abs=0.05)
