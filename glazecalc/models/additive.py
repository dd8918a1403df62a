"""Published additive expansion factors: second opinions beside the fitted model, each on its own basis and range.

Mean linear expansion [1e-6/K] = sum of share x factor. Factors are in ``coefficients/additive.csv`` as printed
(1e-7/K per mole fraction or per weight %), with their source. The errors in ``coefficients/additive_models.csv`` are
measured on the same glasses as the fitted model (``python -m training fit``).
"""

from __future__ import annotations

from functools import cache
from typing import Final, NamedTuple

import numpy as np

from glazecalc.chemistry.oxides import MOLAR_MASSES
from glazecalc.models.domain import COEFFICIENTS
from glazecalc.models.prediction import Prediction
from glazecalc.values.arrays import Array
from glazecalc.values.data import read_csv, rows_as
from glazecalc.values.oxides import INDEX, SYMBOLS

_MOST_WITHOUT_FACTOR: Final = 0.02
"""Share of the composition [fraction, on the model's basis] without a factor above which a model is extrapolated."""


class AdditiveModel(NamedTuple):
    """One published set of factors, on the ``basis`` of ``mole`` or ``weight``.

    ``error_*`` are measured minus calculated [1e-6/K] on ``glasses`` measured glasses of the glaze range:
    median, 5th and 95th percentile.
    """

    key: str
    title: str
    basis: str
    from_degC: float
    to_degC: float
    source: str
    glasses: int
    error_median: float
    error_p05: float
    error_p95: float

    @property
    def year(self) -> str:
        """The year it was published in."""
        return self.source.rpartition("_")[2]


@cache
def additive_models() -> dict[str, AdditiveModel]:
    """The published sets by key, best first."""
    return {model.key: model for model in rows_as(AdditiveModel, read_csv(COEFFICIENTS / "additive_models.csv"))}


@cache
def factors(key: str) -> dict[str, float]:
    """Printed factors of one set by oxide [1e-7/K per mole fraction, or per weight %]."""
    rows = read_csv(COEFFICIENTS / "additive.csv")
    return {row["oxide"]: float(row["factor"]) for row in rows if row["model"] == key}


@cache
def _factor_array(key: str) -> Array:
    return np.array([factors(key).get(symbol, 0.0) for symbol in SYMBOLS])


def _shares(mole_fractions: Array, by_weight: bool, whole: float = 1.0) -> Array:
    """Shares of the oxides in ``whole`` by mole or by weight, shape (n, k); not a number for a nil composition."""
    parts = np.asarray(mole_fractions, dtype=float) * (MOLAR_MASSES if by_weight else 1.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(whole * parts / parts.sum(axis=1, keepdims=True))


def _boron_ratio(x: Array) -> Array:
    """Appen's psi: what the fluxes offer per mole of boric oxide after alumina has taken its share; shape (n,)."""
    full = x[:, [INDEX["Na2O"], INDEX["K2O"], INDEX["BaO"]]].sum(axis=1)
    most = x[:, [INDEX["CaO"], INDEX["SrO"], INDEX["CdO"], INDEX["PbO"]]].sum(axis=1)
    some = x[:, [INDEX["Li2O"], INDEX["MgO"], INDEX["ZnO"]]].sum(axis=1)
    boron = np.maximum(x[:, INDEX["B2O3"]], 1e-9)
    return (full + 0.7 * most + 0.3 * some - x[:, INDEX["Al2O3"]]) / boron


def appen(mole_fractions: Array) -> Array:
    """Appen's factors, mole %, 20-400 degC: mean linear expansion [1e-6/K], shape (n,) from shape (n, k).

    Silica, boric oxide, titania, potash and lead depend on what is beside them, as printed.
    Source: A. A. Appen, Khimiya stekla, Leningrad 1970 (from memory, checked against measured glasses).
    """
    x = _shares(mole_fractions, by_weight=False)
    silica = 100.0 * x[:, INDEX["SiO2"]]
    alkali = 100.0 * x[:, [INDEX["Li2O"], INDEX["Na2O"], INDEX["K2O"]]].sum(axis=1)
    per_mole = np.broadcast_to(_factor_array("appen"), x.shape).copy()
    per_mole[:, INDEX["SiO2"]] -= np.maximum(silica - 67.0, 0.0)
    per_mole[:, INDEX["B2O3"]] = np.clip(12.5 * (4.0 - _boron_ratio(x)) - 50.0, -50.0, 0.0)
    per_mole[:, INDEX["TiO2"]] -= 1.5 * np.clip(silica - 50.0, 0.0, 30.0)
    per_mole[:, INDEX["K2O"]] -= 40.0 * (x[:, INDEX["Na2O"]] < 0.01)
    per_mole[:, INDEX["PbO"]] += np.clip(5.0 * (alkali - 3.0), 0.0, 60.0)
    value: Array = 0.1 * (x * per_mole).sum(axis=1)
    return value


_LINEAR: Final = {"english_turner": 0.1, "winkelmann_schott": 0.1 / 3.0, "mayer_havas": 0.1 / 3.0}
"""What turns a printed factor per weight % into a linear one [1e-6/K]: two of the sets print cubic expansions."""


def by_weight(key: str, mole_fractions: Array) -> Array:
    """Mean linear expansion [1e-6/K] by a set of factors per weight %, shape (n,) from shape (n, k).

    ``english_turner``, 25-90 degC: S. English, W. E. S. Turner, J. Am. Ceram. Soc. 10 (1927) 551 and 12 (1929) 760.
    ``winkelmann_schott``, cubic, 20-100 degC: A. Winkelmann, O. Schott, Ann. Phys. Chem. 51 (1894) 730.
    ``mayer_havas``, cubic, for enamels: M. Mayer, B. Havas, Sprechsaal 42 (1909) 497 and 44 (1911) 188.
    (All from memory.)
    """
    value: Array = _LINEAR[key] * _shares(mole_fractions, True, 100.0) @ _factor_array(key)
    return value


def additive_expansion(key: str, mole_fractions: Array) -> Prediction:
    """Mean linear expansion [1e-6/K] by the published set ``key``, with the interval its measured errors give.

    The value is what the printed factors say; the 90 % interval is where measured glasses of that value lie, so it
    need not be centred on the value. It is stretched to hold the value. Raises KeyError for an unknown set.
    """
    model = additive_models()[key]
    x = np.asarray(mole_fractions, dtype=float)
    value = appen(x) if key == "appen" else by_weight(key, x)
    unknown = [symbol not in factors(key) for symbol in SYMBOLS]
    low, high, middle = (
        f"{abs(error):.1f} {'lower' if error < 0 else 'higher'}"
        for error in (model.error_p05, model.error_p95, model.error_median)
    )
    notes = [f"of {model.glasses} measured glasses nine in ten were {low} to {high}, the middle one {middle}"]
    if not model.error_p05 < 0 < model.error_p95:
        notes.append(f"so its figure is mostly too {'low' if model.error_p05 >= 0 else 'high'}")
    return Prediction(
        name=f"expansion_factors_{model.year}",
        unit="1e-6/K",
        value=value,
        low=value + min(model.error_p05, 0.0),
        high=value + max(model.error_p95, 0.0),
        sigma=np.full(len(value), (model.error_p95 - model.error_p05) / 3.29),
        extrapolated=_shares(x, model.basis == "weight")[:, unknown].sum(axis=1) > _MOST_WITHOUT_FACTOR,
        mole_fractions=x,
        model="additive",
        practice="glass",
        sources=(model.source,),
        notes=tuple(notes),
    )
