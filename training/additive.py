"""Measure the published additive expansion factors on the glasses the fitted model is judged on."""

from __future__ import annotations

from typing import Final

import numpy as np

from glazecalc.models.additive import additive_expansion, additive_models
from glazecalc.models.domain import COEFFICIENTS
from glazecalc.values.data import read_csv
from training.data import Glasses, in_fixed_order, write_csv
from training.fit import PROPERTIES
from training.split import glaze_core, split
from training.surface import values_of

FILE: Final = COEFFICIENTS / "additive_models.csv"
_BELIEVED: Final = (1.0, 16.0)


def measure_additive(glasses: Glasses) -> None:
    """Write the 5th, 50th and 95th percentile of measured minus calculated for each published set."""
    values, known = values_of(glasses, PROPERTIES[0])
    use = known & split(glasses).fit & glaze_core(glasses.composition, glasses.share)
    use &= (values >= _BELIEVED[0]) & (values <= _BELIEVED[1])
    x = in_fixed_order(glasses.composition[use])
    rows = read_csv(FILE)
    for row in rows:
        error = values[use] - additive_expansion(row["key"], x).value
        low, middle, high = np.quantile(error, [0.05, 0.5, 0.95])
        row.update(glasses=str(len(error)), error_median=f"{middle:.3f}")
        row.update(error_p05=f"{low:.3f}", error_p95=f"{high:.3f}")
    write_csv(FILE, rows)
    additive_models.cache_clear()
