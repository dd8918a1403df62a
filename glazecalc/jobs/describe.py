"""The job behind `formula`: what is in the fired glaze, why its expansion is what it is, and second opinions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.chemistry.composition import CONVENTIONS, Array
from glazecalc.jobs.cautions import metals
from glazecalc.jobs.check import cited
from glazecalc.jobs.estimates import glaze_estimates
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import Pantry
from glazecalc.models.additive import additive_expansion, additive_models
from glazecalc.models.expansion import contributions, expansion_slopes
from glazecalc.models.prediction import estimate_row
from glazecalc.values.answers import Problem, ProblemsError, did_you_mean, error
from glazecalc.values.inputs import Recipe
from glazecalc.values.oxides import INDEX
from glazecalc.values.results.formula import Explanation, FormulaResult, PublishedExpansion

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
        composition, batch, found = compose_recipe(recipe, shelf)
        problems += found
        if recipe.kind == "bought":
            problems.append(error("no-formula", f"{recipe.name} is a bought glaze without a recipe: it has no formula",
                                  "check it with: glazecalc check", recipe.file))  # fmt: skip
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
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    return tuple(results), tuple(problems)


def second_opinions(mole_fractions: Array) -> tuple[PublishedExpansion, ...]:
    """The expansion of one composition by each published additive set, with its measured error as interval."""
    return tuple(
        PublishedExpansion(estimate_row(additive_expansion(key, mole_fractions)), model.from_degC, model.to_degC)
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
    found, slopes = contributions(mole_fractions), expansion_slopes(mole_fractions)
    pushes = [
        Explanation(
            oxide=oxide,
            mole_percent=100 * float(mole_fractions[0, INDEX[oxide]]),
            push=float(found.push[0, i]),
            one_more=None if oxide in ("SiO2", "SnO2") else float(slopes[0, i]) / 100,
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
