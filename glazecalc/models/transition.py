"""Glass transition temperature: below it a glaze is solid and stress stays.

Fitted on measured glasses; see ``docs/models/transition.md`` for the data, the range and the errors.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.fitted import predict
from glazecalc.models.prediction import Practice, Prediction

Array = NDArray[np.float64]

KEY: Final = "transition"


def transition_temperature(mole_fractions: Array, *, practice: Practice = "glaze") -> Prediction:
    """Glass transition temperature [degC] with its 90 % interval, for compositions of shape (n, k) in fixed order."""
    return predict(KEY, mole_fractions, practice)
