"""The terms a fitted model is built from: the sixteen oxides and eight balances between them.

A balance is what glass chemistry names as the turning points of a composition: alkali left over after alumina has
taken its share, what is left for boric oxide to become four-fold, mixed alkalis. Each is smooth, so a model built
on them has a slope for every oxide everywhere. Arrays here are oxide-major, shape (16, n): a row is one oxide.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.product import small_product
from glazecalc.values.oxides import SYMBOLS

Array = NDArray[np.float64]

_OXIDES: Final = SYMBOLS[:16]
_SOFTNESS: Final = 0.02
"""How gradually a balance turns from zero to its straight line [mole fraction]."""
_FLOOR: Final = 0.01
"""Keeps a ratio finite where both of its oxides are absent [mole fraction]."""
BALANCES: Final[tuple[str, ...]] = (
    "alkali over alumina",
    "flux over alumina",
    "flux over alumina, by strength",
    "flux over alumina and boric oxide",
    "boric oxide made four-fold by all flux",
    "boric oxide made four-fold by alkali",
    "soda beside potash",
    "lithia beside other alkali",
)


def _row(**weights: float) -> list[float]:
    return [weights.get(symbol, 0.0) for symbol in _OXIDES]


_ALKALI: Final = dict.fromkeys(("Li2O", "Na2O", "K2O"), 1.0)
_EARTHS: Final = dict.fromkeys(("MgO", "CaO", "SrO", "BaO", "ZnO"), 1.0)
_STRENGTH: Final = {
    **dict.fromkeys(("Na2O", "K2O", "BaO"), 1.0),
    **dict.fromkeys(("CaO", "SrO"), 0.7),
    **dict.fromkeys(("Li2O", "MgO", "ZnO"), 0.3),
}
_LINEAR: Final[Array] = np.array(
    [
        _row(**_ALKALI, Al2O3=-1.0),
        _row(**_ALKALI, **_EARTHS, Al2O3=-1.0),
        _row(**_STRENGTH, Al2O3=-1.0),
        _row(**_ALKALI, **_EARTHS, Al2O3=-1.0, B2O3=-1.0),
    ]
)
_B, _LI, _NA, _K = (_OXIDES.index(s) for s in ("B2O3", "Li2O", "Na2O", "K2O"))
SIZE: Final = 16 + len(BALANCES)


def terms(fitted: Array) -> Array:
    """The sixteen oxides and the eight balances, shape (24, n), from mole fractions, shape (16, n)."""
    out = np.empty((SIZE, fitted.shape[1]))
    out[:16] = fitted
    return fill_balances(out)


def fill_balances(out: Array) -> Array:
    """Fill the last eight rows of ``out`` (24, n) from its first sixteen, in place; returns it."""
    fitted, balances = out[:16], out[16:]
    left = small_product(_LINEAR, fitted, balances[:4])
    root = np.multiply(left, left, out=balances[4:])
    root += _SOFTNESS**2
    left += np.sqrt(root, out=root)
    left *= 0.5
    both = fitted[_NA] + fitted[_K]
    _met(fitted[_B], left[2], out[20])
    _met(fitted[_B], left[0], out[21])
    np.multiply(fitted[_NA], fitted[_K], out=out[22])
    out[22] /= both + _FLOOR
    _met(fitted[_LI], both, out[23])
    return out


def _met(first: Array, second: Array, out: Array) -> None:
    """Half the harmonic mean of two shares, finite where both are absent, into ``out``; all of shape (n,)."""
    total = first + second
    total += _FLOOR
    np.multiply(first, second, out=out)
    out /= total


def term_slopes(fitted: Array) -> Array:
    """Slope of every term with every oxide, shape (24, 16, n), for mole fractions of shape (16, n)."""
    n = fitted.shape[1]
    out = np.zeros((SIZE, 16, n))
    out[:16] = np.eye(16)[:, :, None]
    left = _LINEAR @ fitted
    rise = 0.5 * (1.0 + left / np.sqrt(left * left + _SOFTNESS**2))
    out[16:20] = _LINEAR[:, :, None] * rise[:, None, :]
    value = terms(fitted)
    for at, source in ((20, 18), (21, 16)):
        boron, flux = fitted[_B], value[source]
        below = (boron + flux + _FLOOR) ** 2
        out[at] = (boron * (boron + _FLOOR) / below) * out[source]
        out[at, _B] += flux * (flux + _FLOOR) / below
    soda, potash, lithia = fitted[_NA], fitted[_K], fitted[_LI]
    both = soda + potash
    below = (both + _FLOOR) ** 2
    out[22, _NA] = potash * (potash + _FLOOR) / below
    out[22, _K] = soda * (soda + _FLOOR) / below
    below = (both + lithia + _FLOOR) ** 2
    out[23, _LI] = both * (both + _FLOOR) / below
    out[23, _NA] = out[23, _K] = lithia * (lithia + _FLOOR) / below
    return out
