"""Heat input and preheat against published tables and worked numbers."""

import pytest

from buildcheck.strength.weld_heat import ARC_EFFICIENCY, heat_input, least_preheat, made_for, other_metal

DEGF = {32: 273.15, 50: 283.15, 150: 338.7055556, 225: 380.3722222, 300: 422.0388889}


def test_the_heat_input_of_en_1011() -> None:
    """Q = k U I / (1000 v) in kJ/mm, EN 1011-1 (formula from memory); k of SSAB's table after EN 1011-1, table 1."""
    assert heat_input("gas-metal-arc", 22, 180, 0.005) / 1e6 == pytest.approx(0.6336, rel=1e-12)
    assert heat_input("gas-tungsten-arc", 12, 120, 0.0015) / 1e6 == pytest.approx(0.576, rel=1e-12)
    assert {process: ARC_EFFICIENCY[process] for process in ("shielded-metal-arc", "gas-tungsten-arc")} == {
        "shielded-metal-arc": 0.8,
        "gas-tungsten-arc": 0.6,
    }


@pytest.mark.parametrize(
    ("millimetres", "plain", "low_hydrogen"),
    [(3, 32, 32), (19, 32, 32), (20, 150, 50), (38, 150, 50), (39, 225, 150), (63.5, 225, 150), (64, 300, 225)],
)
def test_the_least_preheat_of_d1_1(millimetres: float, plain: int, low_hydrogen: int) -> None:
    """AWS D1.1, categories A and B, as quoted by TI 809: bands of 3 to 19, to 38, to 63.5 mm and beyond."""
    thickness = millimetres / 1000
    assert least_preheat(thickness, "shielded-metal-arc", "E6011") == pytest.approx(DEGF[plain])
    for process, filler in (
        ("shielded-metal-arc", "E7018"),
        ("gas-metal-arc", "ER70S-6"),
        ("flux-cored-arc", "E71T-1"),
    ):
        assert least_preheat(thickness, process, filler) == pytest.approx(DEGF[low_hydrogen])


@pytest.mark.parametrize(
    ("filler", "processes"),
    [
        ("E7018", ("shielded-metal-arc",)),
        ("E6011", ("shielded-metal-arc",)),
        ("E11018-M", ("shielded-metal-arc",)),
        ("ER70S-6", ("gas-metal-arc", "gas-tungsten-arc")),
        ("ER80S-D2", ("gas-metal-arc", "gas-tungsten-arc")),
        ("E70C-6M", ("gas-metal-arc",)),
        ("E71T-1", ("flux-cored-arc",)),
        ("E71T1-C1A2", ("flux-cored-arc",)),
        ("super rod", None),
    ],
)
def test_a_class_names_its_process(filler: str, processes: tuple[str, ...] | None) -> None:
    """AWS A5.1, A5.5, A5.18, A5.20 and A5.28; from memory."""
    assert made_for(filler) == processes


@pytest.mark.parametrize(
    ("filler", "metal"),
    [
        ("E308L-16", "stainless steel"),
        ("ER309LSi", "stainless steel"),
        ("316L", "stainless steel"),
        ("ENiFe-CI", "nickel"),
        ("ERNi-1", "nickel"),
        ("ERCuSi-A", "copper"),
        ("ER4043", "aluminium"),
        ("ER5356", "aluminium"),
        *((steel, None) for steel in ("ER70S-6", "E7018", "E71T-1", "E11018-M", "ER80S-D2", "E6010", "E70C-6M")),
    ],
)
def test_the_metal_of_a_filler_by_its_class(filler: str, metal: str | None) -> None:
    """AWS A5.1, A5.4, A5.7, A5.9, A5.10, A5.14, A5.15, A5.18 and A5.20: the names of classes, from memory."""
    assert other_metal(filler) == metal
