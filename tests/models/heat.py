"""Heat in a kiln, counted afresh for the tests of energy."""

from __future__ import annotations

import numpy as np

from glazecalc.models.kiln import LAYERS, KilnModel


def stored_J(model: KilnModel, places_degC: np.ndarray) -> np.ndarray:
    """Heat above room temperature [J]; places (4, n): the chamber, then the layers of the wall."""
    above = places_degC - model.room_degC
    return model.chamber_J_per_K * above[0] + model.wall_J_per_K / LAYERS * above[1:].sum(0)
