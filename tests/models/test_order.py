"""Transition, setting, softening and fluid melt lie on one curve: their order holds in any mix of oxides."""

from __future__ import annotations

import numpy as np

from glazecalc.jobs.estimates import glaze_arrays
from glazecalc.models.coat import setting_temperature
from glazecalc.models.viscosity import SOFTENING, TRANSITION, temperature_on, viscosity_curves
from glazecalc.values.oxides import INDEX, SYMBOLS

GLAZES = 100_000


def random_glazes(seed: int = 15) -> np.ndarray:
    """Seeded mixes of the sixteen fitted oxides: usual glazes, and mixes with any oxide up to nearly all."""
    rng = np.random.default_rng(seed)
    usual = np.array([65, 8, 8, 1, 5, 4, 4, 12, 0.5, 0.5, 2, 0.3, 0.3, 1.0, 0.1, 0.3]) + 0.05
    x = np.zeros((GLAZES, len(SYMBOLS)))
    half = GLAZES // 2
    x[:half, :16] = rng.dirichlet(0.4 * usual, half)
    x[half:, :16] = rng.dirichlet(np.full(16, 0.5), GLAZES - half)
    x[:, INDEX["SnO2"]] = np.where(rng.random(GLAZES) < 0.2, 0.05 * rng.random(GLAZES), 0.0)
    return x


def test_no_contradiction_of_order_in_100_000_glazes() -> None:
    found = glaze_arrays(random_glazes())
    transition, softening = found["transition_temperature"].value, found["softening_temperature"].value
    setting, _ = setting_temperature(transition)
    levels = [found[f"temperature_at_log_viscosity_{n}"].value for n in (6, 4, 3)]
    assert all(np.isfinite(v).all() for v in (transition, softening, *levels))
    assert np.all(transition < softening)
    assert np.all(softening < levels[0])
    assert np.all(levels[0] < levels[1])
    assert np.all(levels[1] < levels[2])
    told = ~found["transition_temperature"].extrapolated
    assert told.sum() > 10_000
    assert np.all(setting[told] < softening[told])


def test_the_transition_lies_on_the_curve() -> None:
    """But for grains, which stiffen the whole and not the glass between them."""
    x = random_glazes()[:2000]
    x[:, [INDEX["ZrO2"], INDEX["SnO2"]]] = 0.0
    curves = viscosity_curves(x)
    assert np.allclose(temperature_on(curves, TRANSITION).value, curves.glass.value)
    assert np.all(temperature_on(curves, SOFTENING).value > curves.glass.value)
