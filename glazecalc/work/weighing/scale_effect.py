"""What the scale's steps do to the unity formula and to the expansion of the fired glaze."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from glazecalc.chemistry.composition import Array, Composition, MaterialTable, compose
from glazecalc.chemistry.unity import CONVENTIONS, unity
from glazecalc.chemistry.weights import Weighed
from glazecalc.values.interval import NINETY
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.weighing import Effect
from glazecalc.work.glaze import glaze_estimates

SMALLEST_UNITY = 0.0005
"""An oxide below this in the unity formula is not worth a line."""


def scale_effects(
    table: MaterialTable, dry_g: Sequence[float], lines: Sequence[Weighed], *, is_body: bool = False
) -> tuple[Effect, ...]:
    """The formula by the recipe and as weighed, with the 90 % interval of the readings, then the expansion.

    A clay's formula is per mole of alumina, and its expansion is not a glass's. ``table`` has a row per line;
    ``dry_g`` (m,) are the dry targets. A reading is taken as evenly likely anywhere within half a step, so its
    standard deviation is that half step over the square root of three; the lines' effects are independent and found
    by moving each line in turn.
    """
    recipe = np.asarray(dry_g, dtype=float)
    drying = recipe / np.array([w.target_g for w in lines])
    shown = np.array([w.shown_g for w in lines]) * drying
    spread = np.array([w.reading_g / np.sqrt(3) for w in lines]) * drying
    rows = np.vstack([recipe, shown, shown + np.diag(spread)])
    composition = compose(rows, table)
    oxides = _oxides(composition, "alumina" if is_body else "customary")
    return (*oxides, *([] if is_body else _expansion(composition)))


def _oxides(composition: Composition, convention: str) -> list[Effect]:
    figures = unity(composition.moles, CONVENTIONS[convention])
    present = np.flatnonzero(np.nan_to_num(figures[0]) >= SMALLEST_UNITY)
    return [_effect(SYMBOLS[i], figures[:, i], "mol") for i in present]


def _expansion(composition: Composition) -> list[Effect]:
    found = [
        next((e.value for e in glaze_estimates(composition, row) if e.name == "expansion"), None)
        for row in range(len(composition.moles))
    ]
    if any(value is None for value in found):
        return []
    return [_effect("expansion", np.array(found, dtype=float), "1e-6/K")]


def _effect(name: str, column: Array, unit: str) -> Effect:
    """``column`` (2 + m,): by the recipe, as weighed, and with each line moved by its deviation."""
    recipe, weighed = float(column[0]), float(column[1])
    half = NINETY * float(np.sqrt(((column[2:] - weighed) ** 2).sum()))
    return Effect(name, recipe, weighed, weighed - half, weighed + half, unit)
