"""Seger cones 4 to 12 bend at one viscosity: H. Seger, Thonindustrie-Zeitung 1886 p. 135 (Dingler 261), formulas;
Edward Orton Jr. Ceramic Foundation chart of 2016, self-supporting column, temperatures at 60 degC/h."""

from __future__ import annotations

import numpy as np

from glazecalc.models.firing import SEGER_BENDING
from glazecalc.models.viscosity import log_viscosity_on, temperature_at, viscosity_curves
from glazecalc.values.oxides import INDEX, SYMBOLS

# cone: alumina, silica beside 0.3 K2O 0.7 CaO; degC at 60 degC/h
CONES = {
    4: (0.5, 4, 1162), 5: (0.5, 5, 1186), 6: (0.6, 6, 1222), 7: (0.7, 7, 1239), 8: (0.8, 8, 1249),
    9: (0.9, 9, 1260), 10: (1.0, 10, 1285), 11: (1.2, 12, 1294), 12: (1.4, 14, 1306),
}  # fmt: skip


def formulas() -> np.ndarray:
    x = np.zeros((len(CONES), len(SYMBOLS)))
    for row, (alumina, silica, _) in zip(x, CONES.values(), strict=True):
        row[INDEX["K2O"]], row[INDEX["CaO"]] = 0.3, 0.7
        row[INDEX["Al2O3"]], row[INDEX["SiO2"]] = alumina, silica
    return x / x.sum(axis=1, keepdims=True)


def test_one_viscosity_bends_every_cone_within_15_K() -> None:
    gap = temperature_at(formulas(), SEGER_BENDING).value - [degC for *_, degC in CONES.values()]
    assert np.abs(gap).max() <= 15.0


def test_the_viscosity_at_bending_does_not_drift_with_the_cone() -> None:
    level = log_viscosity_on(viscosity_curves(formulas()), [degC for *_, degC in CONES.values()]).value
    assert level.std() <= 0.1
    assert abs(level.mean() - SEGER_BENDING) <= 0.1
