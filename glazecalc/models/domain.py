"""Products of a small matrix with a wide one, on one thread.

A linear algebra library hands a product to a second thread as soon as it is a little larger than these pieces; for
matrices this thin the hand-over costs more than the product, many times more on a busy machine.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.filler import DISSOLVED_TIN, DISSOLVED_ZIRCONIA, melt_of
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX, SYMBOLS

PIECE: Final = 384
"""Columns at a time: keeps a row times 24 x columns below the hand-over."""
_LARGEST: Final = 64**3
"""Multiplications at a time: keeps a product of two matrices below the hand-over."""


def small_product(left: Array, right: Array, out: Array | None = None) -> Array:
    """``left @ right`` for a small left, shape (m, p) or (p,), and a wide right, shape (p, n); into ``out``."""
    n = right.shape[1]
    answer = np.empty((*left.shape[:-1], n)) if out is None else out
    columns = max(min(PIECE, _LARGEST // left.size), 1)
    for start in range(0, n, columns):
        piece = slice(start, start + columns)
        np.matmul(left, right[:, piece], out=answer[..., piece])
    return answer


# From any composition to the sixteen oxides the fitted models know, and how far it lies from their data.

FITTED: Final[tuple[str, ...]] = SYMBOLS[:16]
"""The oxides of the fitted models, in their order."""
COUNTED_AS: Final[dict[str, tuple[str, float]]] = {
    "FeO": ("Fe2O3", 0.5),
    "Rb2O": ("K2O", 1.0),
    "Cs2O": ("K2O", 1.0),
    "HfO2": ("ZrO2", 1.0),
}
"""Oxide -> (fitted oxide, moles of it per mole)."""
SMALL_ADDITIONS: Final[tuple[str, ...]] = (
    *("CoO", "NiO", "CuO", "Cr2O3", "V2O5", "Sb2O3", "SnO2", "CeO2"),
    *("Pr2O3", "Nd2O3", "Er2O3", "As2O3", "SO3", "Cl"),
)
BARRED: Final[tuple[str, ...]] = tuple(
    symbol for symbol in SYMBOLS[16:] if symbol not in COUNTED_AS and symbol not in SMALL_ADDITIONS
)
_ALL_MELTED: Final = ("additive",)
"""Models that count undissolved grains as melted."""
SMALL_LIMIT: Final = 0.04
"""Mole fraction of small additions together above which an estimate is extrapolated."""
TRACE_LIMIT: Final = 0.005
"""Mole fraction of barred oxides together above which an estimate is extrapolated."""
COEFFICIENTS: Final = Path(__file__).parent / "coefficients"


@cache
def coefficients(model: str) -> dict[str, Any]:
    """The coefficient file of a fitted model as the training run wrote it."""
    loaded: dict[str, Any] = json.loads((COEFFICIENTS / f"{model}.json").read_text(encoding="utf-8"))
    return loaded


def folding_matrix() -> Array:
    """Matrix (18, k - 16) from the oxides that are not fitted to the 16 that are, small additions and barred oxides."""
    matrix = np.zeros((len(SYMBOLS), len(FITTED) + 2))
    for symbol, (target, per_mole) in COUNTED_AS.items():
        matrix[INDEX[symbol], INDEX[target]] = per_mole
    for symbol in SMALL_ADDITIONS:
        matrix[INDEX[symbol], -2] = 1.0
    for symbol in BARRED:
        matrix[INDEX[symbol], -1] = 1.0
    return np.ascontiguousarray(matrix[len(FITTED) :].T)


@dataclass(frozen=True, slots=True, eq=False)
class Domain:
    """Where a model was fitted: range of each oxide [mole fraction] and the cloud of its data.

    ``whitening`` (16, 16) brings the data to unit covariance and their middle to ``whitened_centre`` (16,);
    ``reach`` is the distance that 99 % of the fitted glasses of the glaze range stay within.
    """

    low: Array
    high: Array
    whitening: Array
    whitened_centre: Array
    reach: float


def domain_from(held: dict[str, Any]) -> Domain:
    """A domain as it is written in a coefficient file."""
    return Domain(
        low=np.array(held["low_mole_percent"]) / 100.0,
        high=np.array(held["high_mole_percent"]) / 100.0,
        whitening=np.array(held["whitening"]),
        whitened_centre=np.array(held["centre"]) @ np.array(held["whitening"]),
        reach=float(held["reach"]),
    )


@cache
def domain(model: str) -> Domain:
    """The domain written in the coefficient file of ``model``."""
    return domain_from(coefficients(model)["domain"])


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Compositions brought to the fitted oxides, with what was left out on the way.

    ``fitted`` is oxide-major, shape (16, n). ``small`` is the mole fraction of small additions in the whole
    composition, shape (n,), or None where no row holds anything beside the fitted oxides. ``distance`` from the middle
    of the data is in units of the data's own spread; ``outside`` marks rows no verdict may rest on.
    """

    fitted: Array
    small: Array | None
    distance: Array
    outside: NDArray[np.bool_]


_FOLDING: Final = folding_matrix()


def _fold(mole_fractions: Array, out: Array) -> tuple[Array | None, Array | None]:
    """Bring the fitted oxides into ``out`` (16, n); returns small additions and barred oxides, (n,), all unscaled.

    Looks for the oxides that no row holds at the bits, which are all zero in an absent oxide: one even pass that also
    brings the rows into cache.
    """
    present = np.flatnonzero(np.bitwise_or.reduce(mole_fractions.view(np.int64), axis=0)[len(FITTED) :])
    out[:] = mole_fractions.T[: len(FITTED)]
    if not present.size:
        return None, None
    others = mole_fractions.T[len(FITTED) :]
    many = 2 * present.size > len(others)
    folded = small_product(_FOLDING if many else _FOLDING[:, present], others if many else others[present])
    out += folded[:-2]
    return folded[-2], folded[-1]


def _in_range(fitted: Array, where: Domain) -> NDArray[np.bool_]:
    """Rows whose every oxide is within its fitted range, shape (n,); looks row by row only where one may not be."""
    inside = np.ones(fitted.shape[1], dtype=bool)
    for i in np.flatnonzero(~(fitted.max(axis=1, initial=0.0) <= where.high)):
        inside &= fitted[i] <= where.high[i]
    for i in np.flatnonzero(where.low > 0.0):
        inside &= fitted[i] >= where.low[i]
    return inside


def place(mole_fractions: Array, where: Domain, out: Array | None = None, work: Array | None = None) -> Placed:
    """Bring compositions, shape (n, k), to the fitted oxides and judge their distance from the data of a model.

    ``out``, shape (16, n), receives the fitted oxides where it is given; ``work``, (16, n), is room to work in.
    """
    fitted = np.empty((len(FITTED), len(mole_fractions))) if out is None else out
    small, barred = _fold(mole_fractions, fitted)
    known = np.add.reduce(fitted, axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        if small is not None and barred is not None:
            whole = known + small
            whole += barred
            small /= whole
            barred /= whole
        fitted *= np.divide(1.0, known, out=known)
    white = small_product(where.whitening.T, fitted, work)
    white -= where.whitened_centre[:, None]
    distance = np.einsum("ij,ij->j", white, white)
    inside = _in_range(fitted, where)
    inside &= np.sqrt(distance, out=distance) <= where.reach
    if small is not None and barred is not None:
        inside &= (small <= SMALL_LIMIT) & (barred <= TRACE_LIMIT)
    return Placed(fitted, small, distance, np.logical_not(inside, out=inside))


def _undissolved_caveats(share: dict[str, float], melted: bool) -> list[str]:
    """Cautions on what a kiln does not dissolve; the limits are common practice, no source."""
    caveats = [
        f"{symbol} counts as melted; {what} left undissolved as an opacifier changes the estimate"
        if melted
        else f"{symbol} above {100 * limit:.1f} mol% counts as undissolved grains of {what}"
        for symbol, limit, what in (("ZrO2", DISSOLVED_ZIRCONIA[0], "zircon"), ("SnO2", DISSOLVED_TIN, "tin oxide"))
        if share.get(symbol, 0.0) > limit
    ]
    if share.get("Al2O3", 0.0) > 0.15 or share.get("SiO2", 0.0) > 0.80:
        caveats.append("alumina or quartz grains that stay undissolved are not counted by the estimate")
    return caveats


def caveats_of_row(mole_fractions: Array, model: str, practice: Literal["glaze", "glass"] = "glaze") -> tuple[str, ...]:
    """What to say beside one estimate: oxides outside the range or not in the fit; composition of shape (k,)."""
    melted = model in _ALL_MELTED or practice == "glass"
    total = float(np.sum(mole_fractions))
    share = {s: float(v) / total for s, v in zip(SYMBOLS, mole_fractions, strict=True) if v > 0}
    caveats: list[str] = []
    if share.get("PbO", 0.0) > 0.0:
        caveats.append("lead oxide is not in the fit; lead needs its own care and testing")
    if share.get("F", 0.0) > 0.0:
        caveats.append("fluorine is not in the fit, and part of it leaves in the firing")
    others = [s for s in BARRED if share.get(s, 0.0) > 0.0 and s not in ("PbO", "F")]
    if others:
        caveats.append(f"not in the fit: {', '.join(others)}")
    small = [s for s in SMALL_ADDITIONS if share.get(s, 0.0) > 0.0005]
    if small:
        caveats.append(f"{', '.join(small)} left out of the estimate, which is wider for it")
    caveats += _undissolved_caveats(share, melted)
    if model != "additive":
        where = domain(model)
        whole = np.asarray(mole_fractions, dtype=float)[None, :]
        placed = place(whole if melted else melt_of(whole, "glaze"), where)
        ranges = [
            f"{symbol} {100 * at:.1f} mol% is outside the fitted range {100 * low:.1f} to {100 * high:.1f} mol%"
            for symbol, at, low, high in zip(FITTED, placed.fitted[:, 0], where.low, where.high, strict=True)
            if at < low or at > high
        ]
        caveats += ranges
        if not ranges and placed.distance[0] > where.reach:
            caveats.append("this mix of oxides is far from the glasses the model was fitted on")
    return tuple(caveats)
