"""A recipe becomes its fired composition and the formula a potter reads."""

from __future__ import annotations

import math

import numpy as np

from glazecalc.chemistry.composition import (
    CONVENTIONS,
    Composition,
    Convention,
    alkali_fraction,
    compose,
    from_moles,
    moles_from_weight_percent,
    silica_alumina,
    unity,
    unity_sd,
    vector,
)
from glazecalc.jobs.materials import Pantry, ResolvedLine, is_stand_in, resolve, table_of
from glazecalc.values.answers import NINETY, Problem, error
from glazecalc.values.inputs import Recipe
from glazecalc.values.oxides import INDEX, OXIDE_TABLE
from glazecalc.values.results.check import Batch, BatchLine, Formula, FormulaLine, Ratios


def compose_recipe(recipe: Recipe, shelf: Pantry) -> tuple[Composition | None, Batch | None, tuple[Problem, ...]]:
    """The fired composition (n = 1) of a card and its batch as understood.

    The composition is None for a bought glaze, and where a problem is an error.
    """
    if recipe.kind == "bought":
        return None, None, ()
    if recipe.kind == "composition":
        return _compose_oxides(recipe), None, ()
    lines, problems = resolve(recipe, shelf, doubt=True)
    if any(p.is_error for p in problems):
        return None, None, problems
    if not lines:
        return None, None, (*problems, error("empty-recipe", "the card lists no materials", file=recipe.file))
    composition = compose(np.array([[r.line.amount for r in lines]]), table_of(lines))
    if not composition.moles.sum() > 0:
        nothing = error("nothing-left", "nothing is left of this batch after firing", file=recipe.file)
        return None, None, (*problems, nothing)
    return composition, batch_of(recipe, lines), problems


def _compose_oxides(recipe: Recipe) -> Composition:
    amounts = np.zeros(len(OXIDE_TABLE))
    for entry in recipe.composition:
        amounts += vector({entry.oxide: entry.amount})
    return from_moles(moles_from_weight_percent(amounts) if recipe.basis == "weight" else amounts)


def batch_of(recipe: Recipe, lines: tuple[ResolvedLine, ...]) -> Batch:
    """A recipe's lines with the material each means and its percent of the base total."""
    base = recipe.base_total or recipe.addition_total
    return Batch(
        lines=tuple(
            BatchLine(
                written=r.line.material, material=r.material.name, amount=r.line.amount,
                percent=100 * r.line.amount / base, addition=r.line.addition, hazards=r.material.hazards,
                known=not is_stand_in(r.material),
            )
            for r in lines
        ),
        base_total=recipe.base_total,
        addition_total=recipe.addition_total,
    )  # fmt: skip


def formula_of(composition: Composition, convention: Convention = CONVENTIONS["customary"]) -> Formula:
    """A composition (n = 1) as the formula a potter reads: oxides present, ratios, loss on ignition."""
    moles, moles_sd = composition.moles[:1], composition.moles_sd[:1]
    units = unity(moles, convention)[0]
    half = NINETY * unity_sd(moles, moles_sd, convention)[0]
    mole, weight = 100 * composition.mole_fractions[0], composition.weight_percent[0]
    lines = tuple(
        FormulaLine(
            oxide=oxide.symbol, role=oxide.role.value,
            unity=known(units[i]), unity_low=known(max(units[i] - half[i], 0.0)), unity_high=known(units[i] + half[i]),
            mole_percent=float(mole[i]), weight_percent=float(weight[i]),
        )
        for i, oxide in enumerate(OXIDE_TABLE) if moles[0, i] > 0
    )  # fmt: skip
    return Formula(
        lines=lines,
        ratios=_ratios(composition, convention),
        convention=convention.name,
        convention_text=convention.text,
        loss_on_ignition_percent=float(composition.loss_on_ignition_percent[0]),
        solids_density=known(composition.solids_density[0]),
    )


def _ratios(composition: Composition, convention: Convention) -> Ratios:
    moles = composition.moles[:1]
    alkalis = known(alkali_fraction(moles, CONVENTIONS["customary"])[0])
    return Ratios(
        silica_alumina=known(silica_alumina(moles)[0]),
        alkali_fraction=alkalis,
        earth_fraction=None if alkalis is None else 1 - alkalis,
        boron_unity=known(unity(moles, convention)[0, INDEX["B2O3"]]),
    )


def known(number: float) -> float | None:
    """A number, or None in place of not-a-number."""
    return float(number) if math.isfinite(number) else None
