"""Published additive expansion factors: second opinions beside the fitted model, each on its own basis and range.

Mean linear expansion [1e-6/K] = sum of share x factor. Factors are in ``coefficients/additive.csv`` as printed
(1e-7/K per mole fraction or per weight %), with their source. The errors in ``coefficients/additive_models.csv`` are
measured on the same glasses as the fitted model (``python -m training fit``).
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final, Literal

import numpy as np

from glazecalc.chemistry.oxides import MOLAR_MASSES
from glazecalc.models.prediction import Prediction
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX, SYMBOLS

_FOLDER: Final = Path(__file__).parent / "coefficients"
_MOST_WITHOUT_FACTOR: Final = 0.02
"""Share of the composition [fraction, on the model's basis] without a factor above which a model is extrapolated."""


@dataclass(frozen=True, slots=True)
class AdditiveModel:
    """One published set of factors.

    ``error_*`` are measured minus calculated [1e-6/K] on ``glasses`` measured glasses of the glaze range:
    median, 5th and 95th percentile.
    """

    key: str
    title: str
    year: int
    basis: Literal["mole", "weight"]
    from_degC: float
    to_degC: float
    source: str
    glasses: int
    error_median: float
    error_p05: float
    error_p95: float


def _rows(name: str) -> list[dict[str, str]]:
    with (_FOLDER / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@cache
def additive_models() -> dict[str, AdditiveModel]:
    """The published sets by key, best first."""
    return {
        row["key"]: AdditiveModel(
            key=row["key"],
            title=row["title"],
            year=int(row["source"].rpartition("_")[2]),
            basis="mole" if row["basis"] == "mole" else "weight",
            from_degC=float(row["from_degC"]),
            to_degC=float(row["to_degC"]),
            source=row["source"],
            glasses=int(row["glasses"]),
            error_median=float(row["error_median"]),
            error_p05=float(row["error_p05"]),
            error_p95=float(row["error_p95"]),
        )
        for row in _rows("additive_models.csv")
    }


@cache
def factors(key: str) -> dict[str, float]:
    """Printed factors of one set by oxide [1e-7/K per mole fraction, or per weight %]."""
    return {row["oxide"]: float(row["factor"]) for row in _rows("additive.csv") if row["model"] == key}


@cache
def _factor_array(key: str) -> Array:
    array = np.array([factors(key).get(symbol, 0.0) for symbol in SYMBOLS])
    array.setflags(write=False)
    return array


def weight_percent(mole_fractions: Array) -> Array:
    """Weight % of compositions given as mole fractions, shape (n, k)."""
    weights = np.asarray(mole_fractions, dtype=float) * MOLAR_MASSES
    with np.errstate(invalid="ignore", divide="ignore"):
        return 100.0 * weights / weights.sum(axis=1, keepdims=True)


def _normalised(mole_fractions: Array) -> Array:
    x = np.asarray(mole_fractions, dtype=float)
    with np.errstate(invalid="ignore", divide="ignore"):
        return x / x.sum(axis=1, keepdims=True)


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
    x = _normalised(mole_fractions)
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


def english_turner(mole_fractions: Array) -> Array:
    """English and Turner's factors, weight %, 25-90 degC: mean linear expansion [1e-6/K], shape (n,).

    Source: S. English, W. E. S. Turner, J. Am. Ceram. Soc. 10 (1927) 551 and 12 (1929) 760 (from memory).
    """
    value: Array = 0.1 * weight_percent(mole_fractions) @ _factor_array("english_turner")
    return value


def winkelmann_schott(mole_fractions: Array) -> Array:
    """Winkelmann and Schott's cubic factors divided by three, weight %, 20-100 degC: linear [1e-6/K], shape (n,).

    Source: A. Winkelmann, O. Schott, Ann. Phys. Chem. 51 (1894) 730 (from memory).
    """
    value: Array = 0.1 / 3.0 * weight_percent(mole_fractions) @ _factor_array("winkelmann_schott")
    return value


def mayer_havas(mole_fractions: Array) -> Array:
    """Mayer and Havas's cubic factors for enamels divided by three, weight %: linear [1e-6/K], shape (n,).

    Source: M. Mayer, B. Havas, Sprechsaal 42 (1909) 497 and 44 (1911) 188 (from memory).
    """
    value: Array = 0.1 / 3.0 * weight_percent(mole_fractions) @ _factor_array("mayer_havas")
    return value


_FUNCTIONS: Final[dict[str, Callable[[Array], Array]]] = {
    "appen": appen,
    "english_turner": english_turner,
    "winkelmann_schott": winkelmann_schott,
    "mayer_havas": mayer_havas,
}


def share_without_factor(key: str, mole_fractions: Array) -> Array:
    """Share of each composition, on the set's own basis, whose oxides have no printed factor [fraction], shape (n,)."""
    known = np.array([symbol in factors(key) for symbol in SYMBOLS])
    shares = _normalised(mole_fractions) if key == "appen" else 0.01 * weight_percent(mole_fractions)
    missing: Array = shares[:, ~known].sum(axis=1)
    return missing


def _off(error: float) -> str:
    return f"{abs(error):.1f} {'lower' if error < 0 else 'higher'}"


def _at_an_edge(model: AdditiveModel) -> tuple[str, ...]:
    if model.error_p05 < 0 < model.error_p95:
        return ()
    side = "low" if model.error_p05 >= 0 else "high"
    return (f"so its figure is mostly too {side}",)


def additive_expansion(key: str, mole_fractions: Array) -> Prediction:
    """Mean linear expansion [1e-6/K] by the published set ``key``, with the interval its measured errors give.

    The value is what the printed factors say; the 90 % interval is where measured glasses of that value lie, so it
    need not be centred on the value. It is stretched to hold the value. Raises KeyError for an unknown set.
    """
    model = additive_models()[key]
    x = np.asarray(mole_fractions, dtype=float)
    value = _FUNCTIONS[key](x)
    notes = (
        f"of {model.glasses} measured glasses nine in ten were {_off(model.error_p05)} to "
        f"{_off(model.error_p95)}, the middle one {_off(model.error_median)}",
        *_at_an_edge(model),
    )
    return Prediction(
        name=f"expansion_factors_{model.year}",
        unit="1e-6/K",
        value=value,
        low=value + min(model.error_p05, 0.0),
        high=value + max(model.error_p95, 0.0),
        sigma=np.full(len(value), (model.error_p95 - model.error_p05) / 3.29),
        extrapolated=share_without_factor(key, x) > _MOST_WITHOUT_FACTOR,
        mole_fractions=x,
        model="additive",
        practice="glass",
        sources=(model.source,),
        notes=notes,
    )
