"""A glaze's expansion carried from the range it is quoted over to where the glaze sets, as the clay's is quoted."""

from __future__ import annotations

from dataclasses import replace

from glazecalc.models.layer import glaze_strain, setting_temperature
from glazecalc.models.normal import sigma_of
from glazecalc.models.strength import figure
from glazecalc.values.estimate import Estimate
from glazecalc.work.fit import GLAZE_TO_DEGC

NAME = "expansion_to_setting"


def setting_point(transition: Estimate | None) -> tuple[float, float]:
    """Where the glaze sets and the standard deviation of that [degC, K]; the usual one without a transition."""
    if transition is None:
        unknown = figure("set_temperature_unknown")
        return unknown.value, unknown.sigma
    value, sigma = setting_temperature(transition.value, sigma_of(transition.low, transition.high))
    return float(value), float(sigma)


def carrying_factor(set_degC: float) -> float:
    """Mean expansion from room temperature to ``set_degC`` [degC] over that to the quoted end of the range."""
    span = set_degC - figure("room_temperature").value
    return float(glaze_strain(1.0, set_degC, GLAZE_TO_DEGC)) / span


def carried_expansion(expansion: Estimate, set_degC: float) -> Estimate:
    """The glaze's mean expansion [1e-6/K] from room temperature to where it sets: to be set beside the clay's."""
    factor = carrying_factor(set_degC)
    caveat = (
        f"mean from 20 to {set_degC:.0f} degC, carried on from {expansion.value:.2f} over 20 to "
        f"{GLAZE_TO_DEGC:.0f} degC; this is the figure to set beside the clay's"
    )
    return replace(
        expansion,
        name=NAME,
        value=expansion.value * factor,
        low=expansion.low * factor,
        high=expansion.high * factor,
        caveats=(*expansion.caveats, caveat),
    )
