"""What lead oxide does to the expansion and the transition of a glass, for models that know no lead.

Such an estimate stays extrapolated and no verdict rests on it; but the figure shown beside it is not one of a glass
without its lead, which would expand far less. Curves of least absolute errors on measured lead glasses to 2009
(``python -m training lead`` prints them and what is left): nine in ten then lie within 1.5 to 3e-6/K and 60 to 95 K.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from glazecalc.models.prediction import Prediction
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX

PULLS: Final[dict[str, tuple[float, float, float]]] = {
    "expansion": (3.16, 27.8, 4.0),
    "transition_temperature": (-616.0, 653.0, 250.0),
}
"""By estimate: a and b of a x lead + b x lead^2, lead as mole fraction, and the standard deviation for each mole
fraction up to :data:`DOUBT_TO`, all in the estimate's unit."""
DOUBT_TO: Final = 0.20


def with_lead(bare: Prediction, mole_fractions: Array) -> Prediction:
    """The prediction for glasses that hold lead, (n, k), moved and widened by it; the same where none does."""
    lead = mole_fractions[:, INDEX["PbO"]] / np.maximum(mole_fractions.sum(axis=1), 1e-30)
    if bare.name not in PULLS or not lead.any():
        return bare
    linear, square, doubt = PULLS[bare.name]
    pull, wide = linear * lead + square * lead**2, doubt * np.minimum(lead, DOUBT_TO)
    sigma = np.hypot(bare.sigma, wide)
    scale = np.divide(sigma, bare.sigma, out=np.ones_like(sigma), where=bare.sigma > 0)
    low, high = (bare.value - bare.low) * scale, (bare.high - bare.value) * scale
    value = bare.value + pull
    return replace(bare, value=value, low=value - low, high=value + high, sigma=sigma)
