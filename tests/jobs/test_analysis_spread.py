"""The spread of the materials' analyses, carried into the expansion's interval, against drawing analyses at random."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from glazecalc.chemistry.composition import Composition, from_moles
from glazecalc.jobs.bench import open_bench
from glazecalc.jobs.estimates import expansion_sigma, firing_range_of, glaze_estimates
from glazecalc.jobs.formula import compose_recipe
from glazecalc.models.expansion import expansion
from glazecalc.models.firing import firing_range

ROOT = Path(__file__).parents[2]


def composition_of(card: str) -> Composition:
    bench = open_bench([str(ROOT / "recipes" / f"{card}.txt")])
    found, _, _ = compose_recipe(bench.recipes[0], bench.pantry)
    assert found is not None
    return found


@pytest.mark.parametrize("card", ["shoal-clear", "spring-tide", "spray-clear"])
def test_against_analyses_drawn_at_random(card: str) -> None:
    """First order against 20,000 draws of the moles (numpy); the ash glaze is curved, hence the width of the band."""
    one = composition_of(card)
    draws = np.maximum(np.random.default_rng(3).normal(one.moles, one.moles_sd, (20_000, one.moles.shape[1])), 0.0)
    drawn = expansion(from_moles(draws).mole_fractions).value.std()
    told = expansion_sigma(one.mole_fractions, one.relative_sd)[0]
    assert told == pytest.approx(drawn, rel=0.15)
    plain = firing_range(one.mole_fractions).low
    told = np.sqrt(firing_range_of(one.mole_fractions, one.relative_sd).low.sigma ** 2 - plain.sigma**2)[0]
    assert told == pytest.approx(firing_range(from_moles(draws).mole_fractions).low.value.std(), rel=0.3)


def test_the_estimate_of_a_recipe_is_wider_than_that_of_its_formula() -> None:
    one = composition_of("spring-tide")
    recipe, formula = glaze_estimates(one)[0], glaze_estimates(from_moles(one.moles))[0]
    assert recipe.value == formula.value
    assert recipe.high - recipe.low > 1.1 * (formula.high - formula.low)
    assert any("analyses" in caveat for caveat in recipe.caveats)
    assert not any("analyses" in caveat for caveat in formula.caveats)
