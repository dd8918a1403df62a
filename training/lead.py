"""What leaving lead oxide out of the fitted models costs, on measured lead glasses: the figures of ``models/lead.py``.

The fitted models know no lead: a lead glass counts as what is left without it. What its measured expansion and
transition lie off that is fitted here, by least absolute errors, as a curve of second degree in the moles of lead, on
all papers of the database to 2009, each glass of a paper counting as one over the root of the paper's glasses.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from scipy.optimize import minimize

from glazecalc.models.expansion import expansion
from glazecalc.models.viscosity import viscosity_curves
from glazecalc.values.oxides import INDEX
from training.data import KELVIN, Array, Glasses, in_fixed_order

_MOST, _LAST_YEAR = 0.40, 2009
_BANDS: Final = ((0.02, 0.05), (0.05, 0.1), (0.1, 0.2), (0.2, 0.3), (0.3, 0.4))


def lead_glasses(glasses: Glasses, column: str) -> tuple[Array, Array, Array]:
    """Silicates of the sixteen oxides and 2 to 40 mole % lead oxide: composition (n, k), the property, weights (n,)."""
    lead = glasses.other["PbO"].to_numpy(dtype=float)
    value = glasses.properties[column].to_numpy(dtype=float)
    use = (lead >= _BANDS[0][0]) & (lead <= _MOST) & (glasses.share + lead >= 0.995) & np.isfinite(value)
    use &= (glasses.composition[:, 0] * glasses.share > 0.35) & (glasses.year <= _LAST_YEAR)
    x = in_fixed_order(glasses.composition[use] * glasses.share[use, None])
    x[:, INDEX["PbO"]] = lead[use]
    _, paper, count = np.unique(glasses.paper[use], return_inverse=True, return_counts=True)
    return x, value[use], 1.0 / np.sqrt(count[paper])


def curve(lead: Array, off: Array, weight: Array) -> tuple[float, float]:
    """The two figures a, b for which a x lead + b x lead^2 has the least absolute errors."""

    def loss(at: Array) -> float:
        return float((weight * np.abs(off - at[0] * lead - at[1] * lead**2)).sum())

    start = np.linalg.lstsq(np.stack([lead, lead**2], axis=1), off, rcond=None)[0]
    found = minimize(loss, start, method="Nelder-Mead", options={"xatol": 1e-4, "fatol": 1e-6, "maxiter": 4000}).x
    return float(found[0]), float(found[1])


def lead_as_text(glasses: Glasses) -> str:
    """The figures, and by share of lead the middle error without and with them and where nine in ten errors lie."""
    lines = []
    for name, column in (("expansion, 1e-6/K", "CTE"), ("transition, K", "Tg")):
        x, value, weight = lead_glasses(glasses, column)
        lead = x[:, INDEX["PbO"]]
        bare = expansion(x).value if column == "CTE" else viscosity_curves(x).glass.value
        off = (1e6 * value if column == "CTE" else value - KELVIN) - bare
        a, b = curve(lead, off, weight)
        lines.append(f"{name}: {a:.3g} x lead + {b:.3g} x lead^2, {len(off)} glasses")
        left = off - a * lead - b * lead**2
        for low, high in _BANDS:
            rows = (lead >= low) & (lead < high)
            lines.append(
                f"  {100 * low:2.0f} to {100 * high:2.0f} mole %, {rows.sum():3d} glasses: middle error "
                f"{np.median(off[rows]):7.2f} without, {np.median(left[rows]):6.2f} with; "
                f"nine in ten within {np.quantile(np.abs(left[rows]), 0.9):6.2f}"
            )
    return "\n".join(lines)
