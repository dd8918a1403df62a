"""Zircon and tin oxide that a glaze melt does not take up: grains in the coat, in its expansion, stiffness and melt."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.models.expansion import contributions, expansion, melted_expansion
from glazecalc.models.filler import TIN, ZIRCON, expansion_with_grains, stiffened, stiffness_with_grains
from glazecalc.models.prediction import estimate_row
from glazecalc.models.surface import youngs_modulus
from glazecalc.values.oxides import INDEX, SYMBOLS

GLASS, SHARE = 6.8, np.linspace(0.0, 0.3, 7)
NONE = np.zeros(len(SHARE))
BULK, SHEAR = 41.7, 28.7


def white(zircon: float = 0.0, tin: float = 0.0) -> np.ndarray:
    """A cone 6 clear with parts by weight of zircon and tin oxide on 100, (1, k)."""
    moles = {"Na2O": 0.12, "K2O": 0.1, "CaO": 0.58, "MgO": 0.1, "ZnO": 0.1, "Al2O3": 0.38, "SiO2": 3.2, "B2O3": 0.25}
    grams = 62.0 * 0.12 + 94.2 * 0.1 + 56.1 * 0.58 + 40.3 * 0.1 + 81.4 * 0.1 + 102.0 * 0.38 + 60.1 * 3.2 + 69.6 * 0.25
    x = np.zeros((1, len(SYMBOLS)))
    for symbol, value in moles.items():
        x[0, INDEX[symbol]] = value
    x[0, INDEX["ZrO2"]] = zircon / 100.0 * grams / 183.3
    x[0, INDEX["SiO2"]] += zircon / 100.0 * grams / 183.3
    x[0, INDEX["SnO2"]] = tin / 100.0 * grams / 150.7
    return x / x.sum()


def test_expansion_with_grains_keeps_levins_rule() -> None:
    """V. M. Levin 1967 (from memory): exact for two phases whose mixture has the bulk modulus K.

    K is that of round grains (Z. Hashin, S. Shtrikman 1963, from memory).
    """
    mixture = BULK + SHARE / (1.0 / (ZIRCON.bulk - BULK) + 3.0 * (1.0 - SHARE) / (3.0 * BULK + 4.0 * SHEAR))
    part = (1.0 / mixture - 1.0 / BULK) / (1.0 / ZIRCON.bulk - 1.0 / BULK)
    told = expansion_with_grains(np.full(len(SHARE), GLASS), SHARE, NONE)
    assert told == pytest.approx(GLASS + part * (ZIRCON.expansion - GLASS), abs=0.002)


def test_expansion_with_grains_lies_between_the_plain_means() -> None:
    """By volume alone, and by volume and bulk modulus (P. S. Turner 1946, from memory)."""
    for zircon, tin in ((SHARE, NONE), (NONE, SHARE), (SHARE / 2, SHARE / 2)):
        told = expansion_with_grains(np.full(len(SHARE), GLASS), zircon, tin)
        parts = np.stack([1.0 - zircon - tin, zircon, tin])
        values = np.array([GLASS, ZIRCON.expansion, TIN.expansion])[:, None]
        by_volume = (parts * values).sum(axis=0)
        stiff = parts * np.array([BULK, ZIRCON.bulk, TIN.bulk])[:, None]
        turner = (stiff * values).sum(axis=0) / stiff.sum(axis=0)
        assert np.all(told <= by_volume + 1e-9)
        assert np.all(told >= turner - 1e-9)
        assert told[0] == pytest.approx(GLASS)


def test_stiffness_with_grains_lies_between_reuss_and_voigt() -> None:
    """W. Voigt 1889 and A. Reuss 1929 bound any mixture (from memory)."""
    glass = np.full(len(SHARE), 70.0)
    told = stiffness_with_grains(glass, SHARE, NONE)
    alone = 9.0 * ZIRCON.bulk * ZIRCON.shear / (3.0 * ZIRCON.bulk + ZIRCON.shear)
    assert told[0] == pytest.approx(70.0)
    assert np.all(told <= (1.0 - SHARE) * 70.0 + SHARE * alone + 1e-9)
    assert np.all(told >= 1.0 / ((1.0 - SHARE) / 70.0 + SHARE / alone) - 1e-9)


def test_zircon_lowers_the_expansion_of_a_coat_less_than_of_a_glass() -> None:
    """Common practice, no source: a white crazes a little less than its clear; zirconia in a frit does far more."""
    clear, coat = expansion(white()), expansion(white(12.0))
    frit = expansion(white(12.0), practice="glass")
    assert frit.value[0] < coat.value[0] - 0.1
    assert clear.value[0] - 0.5 < coat.value[0] < clear.value[0] - 0.05
    assert coat.low[0] < frit.value[0] < coat.high[0], "the interval holds the other reading"
    assert frit.value[0] == melted_expansion(white(12.0)).value[0]


def test_a_melt_takes_up_two_of_zirconia_and_none_beside_many_grains() -> None:
    """Castilone et al., J. Am. Ceram. Soc. 82 (1999), abstract: below 3 % zircon all is dissolved, from 12 % none."""
    assert expansion(white(2.5)).value[0] == melted_expansion(white(2.5)).value[0]
    assert expansion(white(6.0)).value[0] != melted_expansion(white(6.0)).value[0]


@pytest.mark.parametrize("kind", ["zircon", "tin"])
def test_the_expansion_is_smooth_and_falls_as_grains_are_added(kind: str) -> None:
    values = [expansion(white(**{kind: float(amount)})).value[0] for amount in np.arange(0.0, 20.0, 0.25)]
    steps = np.diff(values)
    assert np.all(np.abs(steps) < 0.02)
    assert values[-1] < values[0]


def test_grains_make_a_coat_stiffer() -> None:
    assert youngs_modulus(white(12.0)).value[0] > youngs_modulus(white()).value[0] + 2.0
    glass = [youngs_modulus(white(amount), practice="glass").value[0] for amount in (0.0, 12.0)]
    assert youngs_modulus(white(12.0)).value[0] != glass[1]


def test_the_pushes_of_a_white_add_up() -> None:
    x = np.vstack([white(), white(12.0), white(0.0, 8.0), white(6.0, 4.0)])
    why = contributions(x)
    assert why.reference_value + why.push.sum(axis=1) == pytest.approx(expansion(x).value, abs=1e-3)
    assert why.oxides[-1] == "SnO2"
    assert why.push[0, -1] == 0.0
    assert why.push[2, -1] < 0.0


def test_the_caution_says_which_reading_was_taken() -> None:
    grains, glass = (estimate_row(expansion(white(12.0), practice=how)) for how in ("glaze", "glass"))
    assert any("counts as undissolved grains of zircon" in caveat for caveat in grains.caveats)
    assert any("counts as melted" in caveat for caveat in glass.caveats)


def test_grains_and_crystals_stiffen_as_in_a_magma() -> None:
    """(1 - 1.65 share)^-2.5 for magmas with crystals: B. D. Marsh, Contrib. Mineral. Petrol. 78 (1981), from memory."""
    share = np.linspace(0.0, 0.45, 10)
    assert stiffened(share) == pytest.approx(-2.5 * np.log10(1.0 - 1.65 * share), abs=0.06)
