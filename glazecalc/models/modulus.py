"""Young's modulus of a glaze: how much stress a misfit makes.

Fitted on measured glasses; see ``docs/models/modulus.md`` for the data, the range and the errors.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.fitted import predict
from glazecalc.models.prediction import Practice, Prediction

Array = NDArray[np.float64]

KEY: Final = "modulus"


def youngs_modulus(mole_fractions: Array, *, practice: Practice = "glaze") -> Prediction:
    """Young's modulus [GPa] with its 90 % interval, for compositions of shape (n, k) in the fixed oxide order."""
    return predict(KEY, mole_fractions, practice)
