"""Springs in series, the ring that stops the upper one, and gas, against arithmetic by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from buildcheck.build import Missing, read_build
from buildcheck.build.springs import Coilover
from buildcheck.job.springs import Springs

INCH, POUND = 0.0254, 4.4482216152605
RATE = POUND / INCH


def coilover(**fields: Any) -> Coilover:
    """A coilover of 200 over 300 lb/in, 30 in extended, with an inch of preload."""
    springs = [
        {"rate": 200, "free_length": 12, "solid_length": 4},
        {"rate": 300, "free_length": 12, "solid_length": 6},
    ]
    data = {"springs": springs, "extended_length": 30, "compressed_length": 18, "preload": 1, **fields}
    data = {key: value for key, value in data.items() if value is not None}
    build = read_build({"format": 1, "units": "inch-pound", "coilovers": {"coilover": {"both": data}}})
    return build.coilovers["coilover"].left


def test_two_springs_in_series() -> None:
    """200 and 300 lb/in make 120 lb/in; three of 150, 250 and 350 make 73.94 lb/in."""
    assert Springs(coilover()).rate == pytest.approx(120 * RATE, rel=1e-12)
    three = coilover(springs=[{"rate": rate} for rate in (150, 250, 350)])
    assert Springs(three).rate == pytest.approx(73.9436619718 * RATE, rel=1e-10)


def test_force_grows_from_the_preload() -> None:
    springs = Springs(coilover())
    assert springs.compression(30 * INCH) == pytest.approx(INCH)
    assert springs.force(30 * INCH) == pytest.approx(120 * POUND)
    assert springs.force(25 * INCH) == pytest.approx(6 * 120 * POUND)
    assert springs.compression(31.5 * INCH) == pytest.approx(-0.5 * INCH)
    assert springs.force(31.5 * INCH) == 0.0  # loose, and springs do not pull


def test_the_ring_takes_the_upper_spring_out_of_action() -> None:
    """The upper spring stops after 3 in at 600 lbf, when both have given 3 + 2 in; from there 300 lb/in alone."""
    springs = Springs(coilover(upper_spring_stop=9))
    assert springs.force(26 * INCH) == pytest.approx(600 * POUND)
    assert springs.force(27 * INCH) == pytest.approx(480 * POUND)
    assert springs.force(24 * INCH) == pytest.approx((600 + 2 * 300) * POUND)
    # At 1200 lbf the upper has given its 3 in (5 in left of 3), the lower 4 in of its 6 (2 in left of 4).
    room = springs.room_before_bind(24 * INCH)
    assert (room.share, room.left) == pytest.approx((0.5, 2 * INCH))
    assert room.path == "coilovers.coilover.both.springs[1]"
    alone = Springs(coilover(springs=[{"rate": 200}], upper_spring_stop=9))
    assert alone.force(24 * INCH) == pytest.approx(7 * 200 * POUND)  # a ring needs a spring below it


def test_what_is_left_before_the_coils_touch() -> None:
    """At 720 lbf 3.6 in of 8 in, and 2.4 in of 6 in, are taken: 4.4 of 3.6 and 3.6 of 2.4; the first has less."""
    springs = Springs(coilover())
    assert springs.room_before_bind(25 * INCH).share == pytest.approx(4.4 / 3.6)
    assert springs.room_before_bind(31 * INCH).share == math.inf
    with pytest.raises(Missing, match=r"springs\[0\]\.free_length"):
        Springs(coilover(springs=[{"rate": 200, "solid_length": 4}])).room_before_bind(25 * INCH)


def test_gas_presses_on_the_shaft() -> None:
    """200 psi on a 7/8 in shaft: 120.26 lbf."""
    gas = Springs(coilover(gas_charged=True, gas_pressure=200, shaft_diameter="7/8 in")).gas_force
    assert gas / POUND == pytest.approx(200 * math.pi / 4 * 0.875**2, rel=1e-12)
    assert Springs(coilover()).gas_force == 0.0
    assert Springs(coilover(gas_charged=False, gas_pressure=200)).gas_force == 0.0
    with pytest.raises(Missing, match=r"gas_pressure"):
        _ = Springs(coilover(gas_charged=True, shaft_diameter=1)).gas_force
