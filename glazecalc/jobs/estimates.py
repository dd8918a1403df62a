"""What is estimated of a fired glaze from its composition: the one place that says which models answer."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import Array, Composition, mole_fractions
from glazecalc.models.body import REFERENCE_DEGC, mean_over, mixture_expansion, phases
from glazecalc.models.coat import on_ware, ware_figures
from glazecalc.models.domain import FITTED
from glazecalc.models.expansion import expansion, expansion_slopes
from glazecalc.models.firing import FiringRange, firing_range
from glazecalc.models.lead import with_lead
from glazecalc.models.prediction import Practice, Prediction, estimate_row
from glazecalc.models.surface import liquidus_temperature, youngs_modulus
from glazecalc.models.viscosity import SOFTENING, Curves, temperature_on, viscosity_curves
from glazecalc.values.answers import NINETY, Basis, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.data import figures, sources
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


def firing_secants(fractions: Array, sd: Array) -> Array:
    """Slopes of both ends of the firing range with the moles of each oxide that sum to one [degC per mol], (2, k).

    Each slope is that over one standard deviation of one composition, ``fractions`` and ``sd`` (1, k), so that a curve
    counts for what it does in that space; an oxide that does not vary has none.
    """
    varied = np.flatnonzero(sd[0] > 0)
    moved = fractions + sd[:, varied].T * np.eye(sd.shape[1])[varied]
    ranges = firing_range(np.vstack([fractions, mole_fractions(moved)]))
    ends = np.stack([ranges.low.value, ranges.high.value])
    slopes = np.zeros((len(ends), sd.shape[1]))
    slopes[:, varied] = (ends[:, 1:] - ends[:, :1]) / sd[0, varied]
    return slopes


def firing_range_of(
    fractions: Array, sd: Array, slopes: Array | None = None, curves: Curves | None = None
) -> FiringRange:
    """Firing range [degC] of n recipes, each end with the spread of the analyses in its interval.

    ``slopes`` are those of :func:`firing_secants` for a composition near by; not given, those of the first. ``curves``
    are those of the same recipes where they are known already.
    """
    range_ = firing_range(fractions, curves=curves)
    if not sd.any():
        return range_
    slopes = firing_secants(fractions[:1], sd[:1]) if slopes is None else slopes
    low, high = np.sqrt(np.square(slopes) @ np.square(sd.T))
    return FiringRange(widened(range_.low, low), widened(range_.high, high))


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
_DIRECT: Final = {
    "expansion": expansion, "youngs_modulus": youngs_modulus, "liquidus_temperature": liquidus_temperature,
}  # fmt: skip
_ON_CURVES: Final = {"softening_temperature": SOFTENING, **{f"temperature_at_log_viscosity_{n}": n for n in (3, 4, 6)}}
"""Temperatures at which the melt has a viscosity, with that [log10 of Pa.s]."""
ARRAY_NAMES: Final = (
    "expansion", "transition_temperature", "softening_temperature", "youngs_modulus", "liquidus_temperature",
    *list(_ON_CURVES)[1:],
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
    curves = None if _DIRECT.keys() >= set(names) else viscosity_curves(mole_fractions, practice=practice)
    estimates: dict[str, Prediction] = {}
    for name in (name for name in ARRAY_NAMES if name in names):
        if curves is None or name in _DIRECT:
            estimates[name] = _DIRECT[name](mole_fractions, practice=practice)
        else:
            estimates[name] = temperature_on(curves, _ON_CURVES[name], name) if name in _ON_CURVES else curves.glass
    estimates = {name: with_lead(one, mole_fractions) for name, one in estimates.items()}
    if sd is not None and "expansion" in estimates:
        estimates["expansion"] = widened(estimates["expansion"], expansion_sigma(mole_fractions, sd))
    return estimates


def glaze_estimates(composition: Composition, row: int = 0) -> tuple[Estimate, ...]:
    """The estimates of one composition; one without any oxide the models know has none."""
    one = composition.mole_fractions[row : row + 1]
    arrays = glaze_arrays(one, sd=composition.relative_sd[row : row + 1])
    named = (p for name, p in arrays.items() if not name.startswith("temperature_at"))
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


def reasoned_body_expansion(composition: Composition, ware: str = "other", cone: Cone | None = None) -> Estimate:
    """A rough expansion of a clay from its fired chemistry [1e-6/K, 20-600 degC], by the rule of mixture.

    Its interval is never narrower than the rule's own or that of the class of ware, and wider below cone
    01, where feldspar has not melted."""
    shares = phases(composition.mole_fractions[:1])
    value = float(mixture_expansion(shares)[0])
    usual = ware_figures(ware)
    class_half = (usual.high - usual.low) / 2.0 if ware != "other" else 0.0
    half = max(figures("body_mixture")["rule_half_width"].value, class_half)
    caveats = [
        f"rule of mixture: {100 * shares.glass[0]:.0f} % glass, {100 * shares.mullite[0]:.0f} % mullite, "
        f"{100 * shares.quartz[0]:.0f} % free quartz",
        mean_over(REFERENCE_DEGC),
    ]
    if cone is not None and cone < Cone("01"):
        half *= 1.5
        caveats.append("the rule supposes that the feldspar has melted; at this cone it has not")
    ids = (
        "porcelain_expansion_1993", "potash_phases_1955", "lime_phases_1915", "expansion_factors_1970", "quartz_memory",
    )  # fmt: skip
    return Estimate(
        "body_expansion", value, max(value - half, 0.5), value + half, "1e-6/K", Basis.TYPICAL, ids, tuple(caveats)
    )
