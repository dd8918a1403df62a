"""The job behind `compare`: recipes side by side, their relatives in the studio, and the differences that matter."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from glazecalc.jobs.cautions import NOT_TESTED, metals_of
from glazecalc.jobs.character import character_cost, character_point, distance_words, outweighed
from glazecalc.jobs.check import ANSWER_WORDS, check
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.materials import Pantry
from glazecalc.jobs.setup import Setup
from glazecalc.values.answers import ProblemsError, error, stop_at_errors
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Recipe
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.results.adjust import Compared, Comparison, Relative
from glazecalc.values.results.check import CheckResult

RELATIVES: Final = 3
"""How many relatives of each recipe are named."""
_RULES: Final = {
    "fit": "fit on the clay",
    "melts": "melting",
    "kiln_reaches": "the kiln's reach",
    "clay_range": "the clay's own range",
}


def compare(
    recipes: Sequence[tuple[Recipe, Setup]], shelf: Pantry, studio_recipes: Sequence[Recipe] = ()
) -> Comparison:
    """Recipes side by side, each in its own setting; the first is the one the others are held against.

    Raises ProblemsError if there are fewer than two recipes, or a card is faulty.
    """
    if len(recipes) < 2:
        raise ProblemsError([error("one-recipe", "there is only one recipe to compare", "name two or more")])
    checks = [check(recipe, shelf, setup) for recipe, setup in recipes]
    moles = []
    for recipe, _ in recipes:
        composition, _, problems = compose_recipe(recipe, shelf)
        stop_at_errors(problems)
        moles.append(None if composition is None else composition.moles[0])
    # a studio's card without moles is left out; its faults are its own affair
    cards = [(other, compose_recipe(other, shelf)[0]) for other in studio_recipes if other.kind != "body"]
    family = [(other, composition.moles[0]) for other, composition in cards if composition is not None]
    entries: list[Compared] = []
    for (recipe, _), result, own in zip(recipes, checks, moles, strict=True):
        away = None
        if entries and own is not None and moles[0] is not None:
            away = outweighed(character_cost(moles[0], own), checks[0], result)
        entries.append(Compared(result, away, () if own is None else relatives(recipe, own, family)))
    held = metals_of([(c.recipe.name, c.formula) for c in checks])
    return Comparison(
        tuple(entries), _materials(checks), _oxides(checks), differences(entries), differences(entries, oxides=0),
        (*held, NOT_TESTED),
    )  # fmt: skip


def relatives(recipe: Recipe, moles: Array, family: Sequence[tuple[Recipe, Array]]) -> tuple[Relative, ...]:
    """The studio's recipes nearest in character, nearest first, the recipe itself left out."""
    others = [(r, m) for r, m in family if r.name != recipe.name]
    if not others:
        return ()
    points = character_point(np.stack([moles, *(m for _, m in others)]))
    distance = np.sqrt(((points[1:] - points[0]) ** 2).sum(axis=1))
    order = np.argsort(distance, kind="stable")[:RELATIVES]
    return tuple(
        Relative(others[i][0].name, others[i][0].file, float(distance[i]), distance_words(float(distance[i])))
        for i in order
    )


def _materials(checks: Sequence[CheckResult]) -> tuple[tuple[str, tuple[float | None, ...]], ...]:
    """Percent of base of every material of any recipe, in the order they first appear; additions marked with +."""
    tables = [
        {(line.addition, line.material): line.percent for line in c.batch.lines} if c.batch else {} for c in checks
    ]
    lines = sorted(dict.fromkeys(line for table in tables for line in table), key=lambda line: line[0])
    return tuple(
        ("+ " * addition + name, tuple(table.get((addition, name)) for table in tables)) for addition, name in lines
    )


def _oxides(checks: Sequence[CheckResult]) -> tuple[tuple[str, tuple[float | None, ...]], ...]:
    """Unity formula of every recipe, in the fixed order of the oxides."""
    tables = [c.formula.unity() if c.formula else {} for c in checks]
    present = [s for s in SYMBOLS if any(t.get(s, 0.0) >= 0.0005 for t in tables)]
    return tuple((s, tuple(t.get(s) for t in tables)) for s in present)


def differences(entries: Sequence[Compared], oxides: int = 4) -> tuple[str, ...]:
    """What tiles and use showed of each, then what sets the others apart from the first, the most telling first, with
    what as many ``oxides`` do."""
    first = entries[0].check
    lines = [f"{e.check.recipe.name}: {v.shown}" for e in entries for v in e.check.verdicts if v.shown]
    for entry in entries[1:]:
        name = entry.check.recipe.name
        lines += [f"{name}: {line}" for line in (*_verdicts(first, entry.check), *_expansion(first, entry.check))]
        if entry.character is not None:
            lines.append(f"{name}: {entry.character.words}, beside {first.recipe.name}.")
            lines += [f"{name}: {sentence}" for sentence in entry.character.sentences[:oxides]]
    return tuple(lines)


def _verdicts(first: CheckResult, other: CheckResult) -> list[str]:
    """Rules on which the two answers differ."""
    was = {v.rule: v.answer for v in first.verdicts}
    return [
        f"{_RULES.get(v.rule, v.rule)}: {ANSWER_WORDS[v.answer]}, against {ANSWER_WORDS[was[v.rule]]} for "
        f"{first.recipe.name}."
        for v in other.verdicts if v.rule in was and was[v.rule] is not v.answer
    ]  # fmt: skip


def _expansion(first: CheckResult, other: CheckResult) -> list[str]:
    """How the expansions differ, if by more than their common doubt or by enough to matter."""
    a, b = first.estimate("expansion"), other.estimate("expansion")
    if a is None or b is None or math.isclose(a.value, b.value, abs_tol=0.1):
        return []
    way, risk = ("higher", "crazes") if b.value > a.value else ("lower", "shivers")
    apart = f"{abs(b.value - a.value):.1f} x 1e-6/K {way} than {first.recipe.name}"
    return [f"expansion {b.value:.1f}, {apart}: it {risk} sooner."]
