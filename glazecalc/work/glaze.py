"""What is estimated of a fired glaze from its composition: the one place that says which models answer."""

from __future__ import annotations

import math
from typing import Final

from glazecalc.chemistry.composition import Array, Composition
from glazecalc.models.expansion import expansion
from glazecalc.models.liquidus import liquidus_temperature
from glazecalc.models.modulus import youngs_modulus
from glazecalc.models.prediction import Practice, Prediction, estimate_row
from glazecalc.models.transition import transition_temperature
from glazecalc.models.viscosity import SOFTENING, temperature_on, viscosity_curves
from glazecalc.values.estimate import Estimate
from glazecalc.work.analyses import expansion_sigma, widened

SHOWN_VISCOSITIES: Final = (3, 4, 6)
"""log10 viscosities [Pa.s] whose temperatures a table of estimates shows."""


def glaze_arrays(
    mole_fractions: Array, *, practice: Practice = "glaze", sd: Array | None = None
) -> dict[str, Prediction]:
    """Every estimate that chemistry alone gives, for n compositions of shape (n, k), by the names of the contract.

    ``sd`` (n, k), the standard deviation of the moles of each oxide where their sum is one, widens the expansion.
    """
    curves = viscosity_curves(mole_fractions, practice=practice)
    swelling = expansion(mole_fractions, practice=practice)
    return {
        "expansion": swelling if sd is None else widened(swelling, expansion_sigma(mole_fractions, sd)),
        "transition_temperature": transition_temperature(mole_fractions, practice=practice),
        "softening_temperature": temperature_on(curves, SOFTENING, "softening_temperature"),
        "youngs_modulus": youngs_modulus(mole_fractions, practice=practice),
        "liquidus_temperature": liquidus_temperature(mole_fractions, practice=practice),
        **{
            f"temperature_at_log_viscosity_{n}": temperature_on(curves, n, f"temperature_at_log_viscosity_{n}")
            for n in SHOWN_VISCOSITIES
        },
    }


def glaze_estimates(composition: Composition, row: int = 0) -> tuple[Estimate, ...]:
    """The estimates of one composition; one without any oxide the models know has none."""
    one = composition.mole_fractions[row : row + 1]
    found = glaze_arrays(one, sd=composition.relative_sd[row : row + 1])
    named = (p for name, p in found.items() if not name.startswith("temperature_at"))
    return tuple(estimate_row(p) for p in named if math.isfinite(p.value[0]))
