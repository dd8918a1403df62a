"""What is estimated of a fired glaze from its composition: the one place that says which models answer."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import Array, Composition, mole_fractions
from glazecalc.models.coat import on_ware
from glazecalc.models.domain import FITTED
from glazecalc.models.expansion import expansion, expansion_slopes
from glazecalc.models.firing import FiringRange, firing_range
from glazecalc.models.lead import with_lead
from glazecalc.models.prediction import Practice, Prediction, estimate_row
from glazecalc.models.surface import liquidus_temperature, youngs_modulus
from glazecalc.models.viscosity import SOFTENING, Curves, temperature_on, viscosity_curves
from glazecalc.values.answers import NINETY, Estimate
from glazecalc.values.data import sources
from glazecalc.values.oxides import INDEX

# What the spread of the materials' analyses does to an estimate: carried to first order, oxide by oxide.

WORTH_SAYING: Final = 0.4
"""Share of a model's own standard deviation from which the analyses' share in the interval is said."""
_VARY: Final = "a good part of the interval is that the analyses of the materials vary"
_FITTED_PLACES: Final = [INDEX[oxide] for oxide in FITTED]


def expansion_sigma(fractions: Array, sd: Array, slopes: Array | None = None) -> Array:
    """Standard deviation that the analyses give the expansion [1e-6/K], shape (n,).

    ``slopes`` (1, 16), those of a composition near by, may stand for all, which is several times faster.
    """
    share = fractions[:, _FITTED_PLACES]
    slopes = expansion_slopes(fractions) if slopes is None else slopes
    pull = slopes - np.sum(slopes * share, axis=1, keepdims=True)
    return np.asarray(np.sqrt(np.sum(np.square(pull * sd[:, _FITTED_PLACES]), axis=1)))


def secants(values: Callable[[Array], Array], fractions: Array, sd: Array) -> Array:
    """Slopes of some values with the moles of each oxide where they sum to one, shape (values, k).

    ``values`` gives shape (values, n) for mole fractions (n, k). Each slope is that over one standard deviation of
    one composition, ``fractions`` and ``sd`` (1, k), so that a curve counts for what it does in that space; an oxide
    that does not vary has none.
    """
    varied = np.flatnonzero(sd[0] > 0)
    moved = fractions + sd[:, varied].T * np.eye(sd.shape[1])[varied]
    told = values(np.vstack([fractions, mole_fractions(moved)]))
    slopes = np.zeros((len(told), sd.shape[1]))
    slopes[:, varied] = (told[:, 1:] - told[:, :1]) / sd[0, varied]
    return slopes


def firing_secants(fractions: Array, sd: Array) -> Array:
    """Slopes of both ends of the firing range of one composition, (1, k) each [degC per mol], shape (2, k)."""

    def ends(fractions: Array) -> Array:
        found = firing_range(fractions)
        return np.stack([found.low.value, found.high.value])

    return secants(ends, fractions, sd)


def firing_range_of(
    fractions: Array, sd: Array, slopes: Array | None = None, curves: Curves | None = None
) -> FiringRange:
    """Firing range [degC] of n recipes, each end with the spread of the analyses in its interval.

    ``slopes`` are those of :func:`firing_secants` for a composition near by; not given, those of the first. ``curves``
    are those of the same recipes where they are known already.
    """
    found = firing_range(fractions, curves=curves)
    if not sd.any():
        return found
    slopes = firing_secants(fractions[:1], sd[:1]) if slopes is None else slopes
    low, high = np.sqrt(np.square(slopes) @ np.square(sd.T))
    return FiringRange(widened(found.low, low), widened(found.high, high))


def widened(prediction: Prediction, sigma: Array) -> Prediction:
    """The prediction with a further, independent standard deviation (n,) in its unit; the interval keeps its shape."""
    total = np.hypot(prediction.sigma, sigma)
    wider = np.divide(total, prediction.sigma, out=np.ones_like(total), where=prediction.sigma > 0)
    value = prediction.value
    return replace(
        prediction,
        low=value - wider * (value - prediction.low),
        high=value + wider * (prediction.high - value),
        sigma=total,
        notes=(*prediction.notes, _VARY) if np.any(sigma > WORTH_SAYING * prediction.sigma) else prediction.notes,
    )


ON_WARE: Final = "expansion_on_ware"
POSSIBLE: Final = {
    "expansion": (0.5, 20.0), "transition_temperature": (250.0, 1000.0), "softening_temperature": (350.0, 1400.0),
    "youngs_modulus": (30.0, 160.0), "liquidus_temperature": (500.0, 2000.0), "firing_range": (500.0, 2000.0),
}  # fmt: skip
"""Between which figures any glass lies [the unit of each estimate]; a figure outside is an artefact of a model far from
its data and is given out nowhere (handbook ranges of silicate glasses, from memory)."""
SHOWN_VISCOSITIES: Final = (3, 4, 6)
"""log10 viscosities [Pa.s] whose temperatures a table of estimates shows."""


_TRANSITION: Final = "transition_temperature"
_ON_CURVES: Final = {
    "softening_temperature": SOFTENING, **{f"temperature_at_log_viscosity_{n}": float(n) for n in SHOWN_VISCOSITIES},
}  # fmt: skip
ARRAY_NAMES: Final = (
    "expansion", "transition_temperature", "softening_temperature", "youngs_modulus", "liquidus_temperature",
    *(f"temperature_at_log_viscosity_{n}" for n in SHOWN_VISCOSITIES),
)  # fmt: skip
"""What :func:`glaze_arrays` answers, in its order."""


def glaze_arrays(
    mole_fractions: Array,
    *,
    practice: Practice = "glaze",
    sd: Array | None = None,
    names: Collection[str] = ARRAY_NAMES,
) -> dict[str, Prediction]:
    """Every estimate that chemistry alone gives, for n compositions of shape (n, k), by the names of the contract.

    ``sd`` (n, k), the standard deviation of the moles of each oxide where their sum is one, widens the expansion.
    ``names`` asks for fewer.
    """
    direct = {
        "expansion": expansion, "youngs_modulus": youngs_modulus, "liquidus_temperature": liquidus_temperature,
    }  # fmt: skip
    on_curves = {_TRANSITION, *_ON_CURVES} & set(names)
    curves = viscosity_curves(mole_fractions, practice=practice) if on_curves else None
    found: dict[str, Prediction] = {}
    for name in (name for name in ARRAY_NAMES if name in names):
        if name in direct:
            found[name] = direct[name](mole_fractions, practice=practice)
        elif name == _TRANSITION and curves is not None:
            found[name] = curves.glass
        elif curves is not None:
            found[name] = temperature_on(curves, _ON_CURVES[name], name)
    found = {name: with_lead(one, mole_fractions) for name, one in found.items()}
    if sd is not None and "expansion" in found:
        found["expansion"] = widened(found["expansion"], expansion_sigma(mole_fractions, sd))
    return found


def glaze_estimates(composition: Composition, row: int = 0) -> tuple[Estimate, ...]:
    """The estimates of one composition; one without any oxide the models know has none."""
    one = composition.mole_fractions[row : row + 1]
    found = glaze_arrays(one, sd=composition.relative_sd[row : row + 1])
    named = (p for name, p in found.items() if not name.startswith("temperature_at"))
    estimates = [estimate_row(p) for p in named if possible(p.name, float(p.value[0]))]
    bulk = next((e for e in estimates if e.name == "expansion"), None)
    return tuple(estimates) if bulk is None else (*estimates, coat_estimate(bulk, one))


def possible(name: str, value: float) -> bool:
    """Whether a glass can have this value of an estimate; not a number never."""
    low, high = POSSIBLE.get(name, (-math.inf, math.inf))
    return low <= value <= high


def coat_estimate(bulk: Estimate, mole_fractions: Array) -> Estimate:
    """The expansion of the glaze as it lies on ware, from that of its melt; ``mole_fractions`` (1, k)."""
    middle, deviation = (bulk.low + bulk.high) / 2.0, (bulk.high - bulk.low) / (2.0 * NINETY)
    value, sigma = (float(x[0]) for x in on_ware([middle], [deviation], mole_fractions))
    caveat = "the coat dissolves clay and grows crystals, so it expands less than its melt"
    return replace(
        bulk, name=ON_WARE, value=value, low=value - NINETY * sigma, high=value + NINETY * sigma,
        sources=(*bulk.sources, "soft_coats_1978", "practice_judgements"), caveats=(*bulk.caveats, caveat),
    )  # fmt: skip


def cited(estimates: Iterable[Estimate], first: Sequence[str] = (), last: Sequence[str] = ()) -> tuple[str, ...]:
    """The printable sources behind some estimates, each once, between those of the ids ``first`` and ``last``."""
    ids = dict.fromkeys((*first, *(s for e in estimates for s in e.sources), *last))
    return tuple(sources().get(i, i) for i in ids)
