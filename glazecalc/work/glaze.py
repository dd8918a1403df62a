"""What is estimated of a fired glaze from its composition: the one place that says which models answer."""

from __future__ import annotations

import math
from typing import Final

from glazecalc.chemistry.composition import Array, Composition
from glazecalc.models.expansion import contributions, expansion, expansion_slopes
from glazecalc.models.liquidus import liquidus_temperature
from glazecalc.models.modulus import youngs_modulus
from glazecalc.models.prediction import Practice, Prediction, estimate_row
from glazecalc.models.transition import transition_temperature
from glazecalc.models.viscosity import SOFTENING, temperature_on, viscosity_curves
from glazecalc.values.estimate import Estimate
from glazecalc.values.oxides import INDEX
from glazecalc.values.report import Explanation
from glazecalc.work.analyses import expansion_sigma, widened

SHOWN_VISCOSITIES: Final = (3, 4, 6)
"""log10 viscosities [Pa.s] whose temperatures a table of estimates shows."""

_PUSH_WORTH_SAYING: Final = 0.05
"""Push [1e-6/K] from which an oxide that the glaze lacks is listed."""


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


def push_of_oxides(mole_fractions: Array) -> tuple[tuple[Explanation, ...], str]:
    """How far each oxide pushes the expansion [1e-6/K], largest push first, and from what.

    ``mole_fractions`` (1, k). The pushes add up to the difference from the reference that the text names.
    """
    found, slopes = contributions(mole_fractions), expansion_slopes(mole_fractions)
    pushes = [
        Explanation(
            oxide=oxide,
            mole_percent=100 * float(mole_fractions[0, INDEX[oxide]]),
            push=float(found.push[0, i]),
            one_more=None if oxide == "SiO2" else float(slopes[0, i]) / 100,
        )
        for i, oxide in enumerate(found.oxides)
        if mole_fractions[0, INDEX[oxide]] > 0 or abs(found.push[0, i]) >= _PUSH_WORTH_SAYING
    ]
    total = found.reference_value + float(found.push[0].sum())
    reference = (
        "'one more': what one mole % more of the oxide, in place of silica, would change. 'push': what it does against "
        f"the average glass of the fit ({found.reference_value:.1f}), which holds more of some oxides; the pushes make "
        f"up the whole way to {total:.1f}."
    )
    return tuple(sorted(pushes, key=lambda e: -abs(e.push))), reference
