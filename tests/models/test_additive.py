"""The published additive factors, worked by hand from the printed tables."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.chemistry.oxides import MOLAR_MASSES
from glazecalc.models.additive import (
    additive_expansion,
    additive_models,
    appen,
    by_weight,
    factors,
)
from glazecalc.models.prediction import estimate_row
from glazecalc.values.oxides import INDEX, SYMBOLS


def moles(**shares: float) -> np.ndarray:
    x = np.zeros((1, len(SYMBOLS)))
    for symbol, share in shares.items():
        x[0, INDEX[symbol]] = share
    return x


def weights(**percent: float) -> np.ndarray:
    x = np.zeros((1, len(SYMBOLS)))
    for symbol, value in percent.items():
        x[0, INDEX[symbol]] = value / MOLAR_MASSES[INDEX[symbol]]
    return x / x.sum()


def test_jena_63_by_winkelmann_and_schott() -> None:
    """A lime glass is 2.79e-5 cubic by their factors (Dingler 289:ar289091 p. 257; worked by hand)."""
    x = weights(SiO2=73.1, Na2O=18.0, CaO=8.0, As2O3=0.3)
    by_hand = (0.8 * 73.1 + 10.0 * 18.0 + 5.0 * 8.0 + 2.0 * 0.3) / 99.4 * 100 / 3 * 0.1
    assert by_weight("winkelmann_schott", x)[0] == pytest.approx(by_hand, rel=1e-6)
    assert 3 * by_weight("winkelmann_schott", x)[0] == pytest.approx(27.9, abs=0.3)


def test_appen_by_hand() -> None:
    """60 SiO2, 10 Al2O3, 10 B2O3, 10 Na2O, 10 CaO (mole %): psi = (10 + 7 - 10)/10 = 0.7, so B2O3 counts -8.75."""
    x = moles(SiO2=60, Al2O3=10, B2O3=10, Na2O=10, CaO=10)
    by_hand = 0.60 * 38 - 0.10 * 30 + 0.10 * (12.5 * (4 - 0.7) - 50) + 0.10 * 395 + 0.10 * 130
    assert appen(x)[0] == pytest.approx(0.1 * by_hand)


def test_appen_silica_above_67_and_potash_without_soda() -> None:
    x = moles(SiO2=75, K2O=15, CaO=10)
    by_hand = 0.75 * (38 - 8) + 0.15 * 425 + 0.10 * 130
    assert appen(x)[0] == pytest.approx(0.1 * by_hand)


def test_english_turner_and_mayer_havas_by_hand() -> None:
    x = weights(SiO2=70, Na2O=15, CaO=10, Al2O3=5)
    assert by_weight("english_turner", x)[0] == pytest.approx(0.1 * (70 * 0.05 + 15 * 4.32 + 10 * 1.63 + 5 * 0.14))
    assert by_weight("mayer_havas", x)[0] == pytest.approx(0.1 * (70 * 0.8 + 15 * 10 + 10 * 5 + 5 * 5) / 3)


@pytest.mark.parametrize("key", ["appen", "english_turner", "winkelmann_schott", "mayer_havas"])
def test_every_set_says_its_range_and_error(key: str) -> None:
    model = additive_models()[key]
    assert model.glasses > 3000
    assert model.error_p05 < model.error_median < model.error_p95
    assert all(symbol in INDEX for symbol in factors(key))
    answer = additive_expansion(key, weights(SiO2=70, Na2O=15, CaO=10, Al2O3=5))
    assert answer.low[0] <= answer.value[0] <= answer.high[0]


def test_oxides_without_a_factor_are_extrapolated() -> None:
    x = weights(SiO2=60, Na2O=15, CaO=10, TiO2=15)
    assert additive_expansion("english_turner", x).extrapolated[0]
    assert not additive_expansion("appen", x).extrapolated[0]


def test_appen_is_the_tightest() -> None:
    """Measured on the same glasses, the order of the spreads is that of SciGlass comparisons (computed)."""
    width = {key: m.error_p95 - m.error_p05 for key, m in additive_models().items()}
    assert width["appen"] == min(width.values())


@pytest.mark.parametrize("key", list(additive_models()))
def test_second_opinions_state_their_measured_error(key: str) -> None:
    model = additive_models()[key]
    assert model.glasses > 3000
    caveats = " ".join(estimate_row(additive_expansion(key, moles(SiO2=3.5, Al2O3=0.4, CaO=0.7, Na2O=0.3))).caveats)
    low, high = (f"{abs(e):.1f} {'lower' if e < 0 else 'higher'}" for e in (model.error_p05, model.error_p95))
    assert f"of {model.glasses} measured glasses nine in ten were {low} to {high}" in caveats
    assert ("so its figure is mostly" in caveats) is not (model.error_p05 < 0 < model.error_p95)
