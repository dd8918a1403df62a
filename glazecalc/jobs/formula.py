"""A recipe becomes its fired composition and the formula a potter reads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import (
    CONVENTIONS,
    Array,
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
from glazecalc.jobs.cautions import metals
from glazecalc.jobs.estimates import cited, glaze_estimates
from glazecalc.jobs.materials import Pantry, ResolvedLine, resolve, table_of
from glazecalc.models.additive import additive_expansion, additive_models
from glazecalc.models.expansion import contributions, expansion_slopes
from glazecalc.models.prediction import estimate_row
from glazecalc.values.answers import NINETY, Problem, ProblemsError, did_you_mean, error, stop_at_errors
from glazecalc.values.inputs import Recipe
from glazecalc.values.oxides import INDEX, OXIDE_TABLE
from glazecalc.values.results.check import Batch, BatchLine, Formula, FormulaLine, Ratios
from glazecalc.values.results.formula import Explanation, FormulaResult, PublishedExpansion
from glazecalc.values.texts import phrase


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
                known=r.known,
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
    alkalis = known(alkali_fraction(moles, CONVENTIONS["customary"])[0])
    return Formula(
        lines=lines,
        ratios=Ratios(
            silica_alumina=known(silica_alumina(moles)[0]),
            alkali_fraction=alkalis,
            earth_fraction=None if alkalis is None else 1 - alkalis,
            boron_unity=known(units[INDEX["B2O3"]]),
        ),
        convention=convention.name,
        convention_text=convention.text,
        loss_on_ignition_percent=float(composition.loss_on_ignition_percent[0]),
        solids_density=known(composition.solids_density[0]),
    )


def known(number: float) -> float | None:
    """A number, or None in place of not-a-number."""
    return float(number) if math.isfinite(number) else None


# The job behind `formula`: what is in the fired glaze, why its expansion is what it is, and second opinions.

BASES = ("unity", "mole", "weight")
_PUSH_WORTH_SAYING: Final = 0.05
"""Push [1e-6/K] from which an oxide that the glaze lacks is listed."""


def describe(
    recipes: Sequence[Recipe],
    shelf: Pantry,
    *,
    basis: str = "unity",
    flux: str = "customary",
    explain: bool = False,
    models: bool = False,
) -> tuple[tuple[FormulaResult, ...], tuple[Problem, ...]]:
    """The fired composition of each card.

    Raises
    ------
    ProblemsError
        for an unknown ``basis`` or ``flux``, or with every problem found in the cards, if one is an error.
    """
    problems = [p for p in (_unknown("basis", basis, BASES), _unknown("flux", flux, tuple(CONVENTIONS))) if p]
    if problems:
        raise ProblemsError(problems)
    results: list[FormulaResult] = []
    for recipe in recipes:
        composition, batch, remarks = compose_recipe(recipe, shelf)
        problems += remarks
        if recipe.kind == "bought":
            problems.append(error("no-formula", f"{recipe.name} is a bought glaze without a recipe: it has no formula",
                                  phrase("check it with|: glazecalc check|"), recipe.file))  # fmt: skip
        if composition is None:
            continue
        estimates = glaze_estimates(composition) if recipe.kind != "body" else ()
        pushes, reference = _push_of_oxides(composition.mole_fractions) if explain and estimates else ((), "")
        fired = formula_of(composition, CONVENTIONS[flux])
        results.append(
            FormulaResult(
                recipe=recipe,
                batch=batch,
                formula=fired,
                cautions=metals(fired) if recipe.kind != "body" else (),
                estimates=estimates,
                explanations=pushes,
                explanation_reference=reference,
                models=second_opinions(composition.mole_fractions) if models else (),
                sources=cited(estimates),
            )
        )
    stop_at_errors(problems)
    return tuple(results), tuple(problems)


def second_opinions(mole_fractions: Array) -> tuple[PublishedExpansion, ...]:
    """The expansion of one composition by each published additive set, with its measured error as interval."""
    return tuple(
        PublishedExpansion(
            estimate_row(additive_expansion(key, mole_fractions)),
            model.from_degC,
            model.to_degC,
            f"{model.title} {model.year}",
        )
        for key, model in additive_models().items()
    )


def _unknown(what: str, value: str, choices: Sequence[str]) -> Problem | None:
    if value in choices:
        return None
    hint = did_you_mean(value, choices) or f"choose one of: {', '.join(choices)}"
    return error(what, f"--{what} {value!r} is not known", hint)


def _push_of_oxides(mole_fractions: Array) -> tuple[tuple[Explanation, ...], str]:
    """How far each oxide pushes the expansion [1e-6/K], largest push first, and from what.

    ``mole_fractions`` (1, k). The pushes add up to the difference from the reference that the text names.
    """
    parts, slopes = contributions(mole_fractions), expansion_slopes(mole_fractions)
    pushes = [
        Explanation(
            oxide=oxide,
            mole_percent=100 * float(mole_fractions[0, INDEX[oxide]]),
            push=float(parts.push[0, i]),
            one_more=None if oxide in ("SiO2", "SnO2") else float(slopes[0, i]) / 100,
        )
        for i, oxide in enumerate(parts.oxides)
        if mole_fractions[0, INDEX[oxide]] > 0 or abs(parts.push[0, i]) >= _PUSH_WORTH_SAYING
    ]
    total = parts.reference_value + float(parts.push[0].sum())
    reference = (
        "'one more': what one mole % more of the oxide, in place of silica, would change. 'push': what it does against "
        f"the average glass of the fit ({parts.reference_value:.1f}), which holds more of some oxides; the pushes make "
        f"up the whole way to {total:.1f}."
    )
    return tuple(sorted(pushes, key=lambda e: -abs(e.push))), reference
