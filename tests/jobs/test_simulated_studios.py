"""The first studios of the simulation of tests/bench/simulate_studios.py, and whether its card still tells the truth."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from glazecalc.jobs.fit import Coat
from glazecalc.values.records import TileResult
from tests.bench import simulate_studios as simulation
from tests.bench import studios
from tests.bench.simulate_studios import CARD, FIRST, MARKS, ROOT, Found

SEED = 20


@pytest.fixture(scope="module")
def found() -> Found:
    return simulation.run(FIRST, SEED)


def test_drawn_errors_are_the_models_real_ones():
    # docs/models/results.json: errors of the expansion on the measured glazes of the papers kept for testing.
    held_out = json.loads((ROOT / "docs/models/results.json").read_text(encoding="utf-8"))["held_out"][
        "expansion_glaze"
    ]
    errors, sigmas = np.abs(studios.real_errors()[0]), studios.real_errors()[1]
    assert np.median(errors) == pytest.approx(held_out["median"], rel=0.01)
    assert np.quantile(errors, 0.9) == pytest.approx(held_out["p90"], rel=0.01)
    assert np.mean(errors <= 1.6448536 * sigmas) == pytest.approx(held_out["coverage"], abs=0.01)
    assert 2 * 1.6448536 * np.median(sigmas) == pytest.approx(held_out["width"], rel=0.02)


def test_a_made_glaze_is_off_by_a_real_error():
    rng = np.random.default_rng(8)
    errors, _ = studios.real_errors()
    for i in range(20):
        glaze = studios.make_glaze(rng, i)
        off = glaze.true_value - glaze.estimates["expansion"].value
        assert np.abs(errors - off).min() < 1e-9 or glaze.true_value == 1.0


def test_intervals_hold_and_narrow_and_the_suggestion_pays(found):
    # Goals for 300 studios: 86 to 95 %, under half, and a positive paired difference; these few are a first look.
    assert found.in90.sum() >= 9
    assert found.ratio.mean() < 0.6
    assert (found.random5 - found.best5).mean() > 0.0


def test_what_is_said_goes_with_what_happens(found):
    pieces = simulation.together(found.pieces)
    for kind in simulation.KINDS:
        said, happened = np.array(pieces.said[kind]), np.array(pieces.happened[kind])
        assert said.mean() == pytest.approx(happened.mean(), abs=0.06)
        assert np.mean((said - happened) ** 2) < 0.75 * happened.var(), "better than always saying the usual share"


def test_the_card_carries_the_figures_of_this_code(found):
    block = CARD.read_text(encoding="utf-8").split(MARKS[0])[1].split(MARKS[1])[0]
    assert f"300 studios, seed {SEED} " in block
    assert simulation.of_the_first(found) in block, "run: python -m tests.bench.simulate_studios --write"


def test_the_physics_of_a_piece():
    # A glaze that shrinks far more than its clay crazes, one that shrinks far less shivers, whatever the strengths.
    rng = np.random.default_rng(2)
    studio = studios.make_studio(rng)
    glaze = studio.glazes[0]
    for shift, result in ((6.0, TileResult.CRAZED_AT_ONCE), (-12.0, TileResult.SHIVERED)):
        other = replace(glaze, true_value=studio.true_clay.value + shift, strength=26.5, limit=150.0)
        assert studios.fire(rng, studio, other, Coat(), 1.0) is result
