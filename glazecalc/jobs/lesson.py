"""The job of ``learn --body``: what the tiles taught of a clay, and which recipe or rung of a series to fire next."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np

from glazecalc.jobs.estimates import glaze_estimates
from glazecalc.jobs.fit import fit_arrays
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.learn import (
    RESULTS,
    FamilyBook,
    GlazeOnTile,
    Ground,
    TileEvidence,
    average_family,
    chances,
    evidence,
    evidence_for,
    family_likelihoods,
    glaze_on_tile,
    grid_estimate,
    ground_of,
    learn,
    learned_estimate,
    posterior,
)
from glazecalc.jobs.materials import Pantry
from glazecalc.models.body import known_body
from glazecalc.models.coat import figure
from glazecalc.models.cones import rated_cone
from glazecalc.values.answers import NINETY, Basis, Estimate, Problem
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Kiln, Recipe, RecipeLine
from glazecalc.values.names import quoted
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.records import FrozenLine, FrozenRecipe, TileRecord
from glazecalc.values.results.learn import Learned, Lesson, NextTile, TileLine
from glazecalc.values.texts import phrase

# Which tile to fire next: the one whose result is expected to tell most about the clay.

_MOST_COUNTED: Final = 24
"""Expected information is worked out for at most this many candidates."""


def result_chances(ground: Ground, glaze: GlazeOnTile, known: Array | None = None) -> Array:
    """Probability of each result of a tested tile given growth and expansion, (4, K, T), in the order of RESULTS.

    ``known`` is the likelihood of the tiles of the same family fired so far, (K, T, D, S).
    """
    possible = chances(ground, glaze)
    revealed = figure("test_reveals").value
    if known is not None:
        base = average_family(known)
        parts = [average_family(possible.likelihood(result, revealed) * known) / base for result in RESULTS]
        table = np.array(parts)
        return np.asarray(table / table.sum(axis=0))
    # for a new family the likelihoods are linear, so averages come first
    crazes = average_family(possible.crazes)
    once, shivers = average_family(possible.once[None]), average_family(possible.shivers[None])
    later = revealed * (crazes - once)
    sound = np.maximum(1.0 - once - later - shivers, 0.0)
    table = np.array(list(np.broadcast_arrays(sound, once, later, shivers)))
    slips = figure("record_slips").value
    return np.asarray((1.0 - slips) * table / table.sum(axis=0) + slips / len(RESULTS))


def information_bits(weights: Array, table: Array) -> float:
    """Mutual information [bits] of a result and the clay's expansion; ``weights`` (K, T), ``table`` (R, K, T)."""
    joint = (table * weights).sum(axis=1)
    independent = joint.sum(axis=1, keepdims=True) * weights.sum(axis=0)
    where = joint > 1e-300
    return float(np.sum(joint[where] * np.log(joint[where] / independent[where])) / math.log(2.0))


def best_next(
    ground: Ground,
    candidates: Sequence[tuple[str, GlazeOnTile]],
    known: Mapping[str, Array],
    n: int = 3,
) -> tuple[NextTile, ...]:
    """The ``n`` tiles to fire together that should tell most, best first.

    ``known`` holds the likelihoods of the recorded families
    (:func:`glazecalc.jobs.learn.family_likelihoods`). The first is the best alone; each further one adds
    most to those before it, one of a family as long as there are others."""
    weights = posterior(ground, [average_family(part) for part in known.values()])
    candidates = _likeliest_to_tell(ground, weights, candidates)
    tables = [result_chances(ground, glaze, known.get(glaze.family)) for _, glaze in candidates]
    chosen: list[int] = []
    so_far = np.ones((1, *weights.shape))
    while len(chosen) < min(n, len(candidates), 4):
        taken = {candidates[i][1].family for i in chosen}
        free = [i for i in range(len(candidates)) if i not in chosen]
        fresh = [i for i in free if candidates[i][1].family not in taken] or free
        gains = {i: information_bits(weights, _both(so_far, tables[i])) for i in fresh}
        best = max(fresh, key=lambda i: (gains[i], -i))
        so_far = _both(so_far, tables[best])
        chosen.append(best)
    return tuple(_next_tile(ground, candidates[i][0], weights, tables[i]) for i in chosen)


def _likeliest_to_tell(
    ground: Ground, weights: Array, candidates: Sequence[tuple[str, GlazeOnTile]]
) -> list[tuple[str, GlazeOnTile]]:
    """The candidates whose result is least certain by the check's own figures: the others are not worth the count."""
    if len(candidates) <= _MOST_COUNTED:
        return list(candidates)
    curve = weights.sum(axis=0)
    middle = float(np.dot(curve, ground.thetas))
    clay = ground.clay.given_reference(middle, _deviation(ground.thetas, curve), ground.clay.basis)
    uncertain = []
    for _, glaze in candidates:
        found = fit_arrays([glaze.value], [glaze.sigma], glaze.set_degC, glaze.modulus_GPa, clay, coat=glaze.coat)
        parts = np.array([found.crazing_probability[0], found.shivering_probability[0], found.sound_probability[0]])
        uncertain.append(float(-(parts * np.log(np.maximum(parts, 1e-12))).sum()))
    best = sorted(range(len(candidates)), key=lambda i: -uncertain[i])[:_MOST_COUNTED]
    return [candidates[i] for i in sorted(best)]


def _both(first: Array, second: Array) -> Array:
    """Probabilities of two tiles' results together, given growth and expansion: (R, K, T) x (4, K, T)."""
    return np.asarray((first[:, None] * second[None]).reshape(-1, *second.shape[1:]))


def _next_tile(ground: Ground, name: str, weights: Array, table: Array) -> NextTile:
    joint = (table * weights).sum(axis=1)
    chance = joint.sum(axis=1)
    widths = [2.0 * NINETY * _deviation(ground.thetas, row) for row in joint]
    return NextTile(
        name=name,
        information_bits=information_bits(weights, table),
        outcomes=tuple((result, float(p)) for result, p in zip(RESULTS, chance, strict=True)),
        width_after=float(np.dot(chance, widths)),
    )


def _deviation(thetas: Array, weights: Array) -> float:
    total = weights.sum()
    if total <= 0.0:
        return 0.0
    mean = float(np.dot(thetas, weights) / total)
    return math.sqrt(max(float(np.dot((thetas - mean) ** 2, weights) / total), 0.0))


SERIES: Final[tuple[tuple[str, tuple[float, ...]], ...]] = (
    ("Silica", (5.0, 10.0, 15.0, 20.0, 25.0)),
    ("Soda feldspar", (10.0, 20.0, 30.0)),
)
"""Rungs of a graded series: parts to add to 100 of a base; silica lowers the expansion, soda feldspar
raises it.
"""
_NEXT: Final = 3
_CONTRADICTS: Final = 5.0
"""How many times likelier tiles must be without a clay's figure before they are said to contradict it; a judgement."""


def lesson(
    body: Body,
    tiles: Sequence[TileRecord],
    recipes: Iterable[Recipe],
    shelf: Pantry,
    *,
    cone: Cone | None = None,
    kiln: Kiln | None = None,
    reasoned: Estimate | None = None,
    tiles_per_firing: int | None = None,
) -> Lesson:
    """What ``tiles`` taught of ``body`` at ``cone``, and the next tiles to fire from ``recipes`` of the studio.

    Recipes and rungs that do not mature at the cone, or that the kiln's plate does not reach, are not
    offered."""
    book = FamilyBook()
    used, passed = evidence(tiles, body.name, cone, book)
    learned = learn(body, used, cone, reasoned)
    ground = ground_of(known_body(body, cone, None, reasoned))
    candidates, how = _candidates(recipes, shelf, cone, kiln, book)
    count = min(_NEXT, tiles_per_firing) if tiles_per_firing else _NEXT
    best = best_next(ground, candidates, family_likelihoods(ground, used), count)
    offered = tuple(replace(tile, **how.get(tile.name, {})) for tile in best)
    remarks = ("no recipe of the studio can be fired for this: its cone must be one the kiln reaches",)
    return Lesson(
        body=body.name,
        cone=None if cone is None else cone.name,
        learned=learned,
        tiles=_tile_lines(tiles, used, passed, learned),
        next_tiles=offered,
        tiles_per_firing=tiles_per_firing,
        remarks=(*_clash_with_figure(body, used, cone), *(() if candidates else remarks)),
    )


def _clash_with_figure(body: Body, used: Sequence[TileEvidence], cone: Cone | None) -> tuple[str, ...]:
    """Says so where the tiles are much likelier on some clay of the same class than on one as the figure says."""
    if body.expansion is None or not used:
        return ()
    given = known_body(body, cone)
    figure, usual = ground_of(given), ground_of(known_body(body.model_copy(update={"expansion": None}), cone))
    here, there = ([average_family(part) for part in family_likelihoods(g, used).values()] for g in (figure, usual))
    times = evidence_for(usual, there) / max(evidence_for(figure, here), 1e-300)
    if times < _CONTRADICTS:
        return ()
    says = grid_estimate(figure, figure.prior, given.basis, (), ())
    alone = learned_estimate(usual, posterior(usual, there).sum(axis=0), len(used))
    whose = "the measured" if given.basis is Basis.MEASURED else "the supplier's"
    contradict = (
        "The tiles contradict {} figure for {}: it says {:.1f} to {:.1f} x 1e-6/K from {20 to 600 degC}, but the tiles "
        "would be {:.0f} times likelier on a clay of about {:.1f} ({:.1f} to {:.1f}). Ask for the figure of this lot, "
        "and look at the tiles again."
    )
    figures = (says.low, says.high, times, alone.value, alone.low, alone.high)
    return (phrase(contradict, whose, body.name, *figures),)


def _tile_lines(
    tiles: Sequence[TileRecord], used: Sequence[TileEvidence], passed: Sequence[tuple[str, str]], learned: Learned
) -> tuple[TileLine, ...]:
    weights, reasons = dict(learned.weights), dict(passed)
    expansions = {tile.id: tile.glaze.value for tile in used}
    lines = []
    for tile in tiles:
        if tile.id in weights or tile.id in reasons:
            result = ", ".join(r.value for r in tile.results) or "waiting"
            reason, weight = reasons.get(tile.id, ""), weights.get(tile.id)
            lines.append(TileLine(tile.id, tile.glaze_name, result, expansions.get(tile.id), weight, reason))
    return tuple(lines)


def _candidates(
    recipes: Iterable[Recipe], shelf: Pantry, cone: Cone | None, kiln: Kiln | None, book: FamilyBook
) -> tuple[list[tuple[str, GlazeOnTile]], dict[str, dict[str, Any]]]:
    """Name and glaze of every tile that can be offered, and by its name how it is made (fields of NextTile)."""
    found: list[tuple[str, GlazeOnTile]] = []
    how: dict[str, dict[str, Any]] = {}
    for recipe in recipes:
        if recipe.kind in ("glaze", "composition") and _can_be_fired(recipe, cone, kiln):
            rungs = _rungs(recipe, shelf)
            how |= {recipe.name: {"card": recipe.file or ""}, **{rung.name: made for rung, made in rungs}}
            for rung in (recipe, *(rung for rung, _ in rungs)):
                glaze = _glaze(rung, shelf, book)
                if glaze is not None:
                    found.append((rung.name, glaze))
    return found, how


def _can_be_fired(recipe: Recipe, cone: Cone | None, kiln: Kiln | None) -> bool:
    if recipe.cone is None:
        return cone is not None
    rated = None if kiln is None else rated_cone(kiln)
    if rated is not None and rated < (cone or recipe.cone.low):
        return False
    return cone is None or recipe.cone.low <= cone <= recipe.cone.high


def _rungs(recipe: Recipe, shelf: Pantry) -> list[tuple[Recipe, dict[str, Any]]]:
    """A graded series on a recipe: each rung named for what was added to 100 parts of the base, and how it is made."""
    if recipe.kind != "glaze" or not recipe.base_total:
        return []
    rungs = []
    for material, steps in SERIES:
        if shelf.find(material) is None:
            continue
        for percent in steps:
            line = RecipeLine(material=material, amount=percent * recipe.base_total / 100.0)
            name = f"{recipe.name} + {percent:g} % {material.casefold()}"
            rung = recipe.model_copy(update={"name": name[:200], "lines": (*recipe.lines, line)})
            add, card = f"{material}:{percent:g}", recipe.file or ""
            how = f'glazecalc tiles {quoted(card)} --plan additions --add "{add}" --record'
            rungs.append((rung, {"how": how, "card": card, "add": add} if card else {}))
    return rungs


def _glaze(recipe: Recipe, shelf: Pantry, book: FamilyBook) -> GlazeOnTile | None:
    composition = compose_recipe(recipe, shelf)[0]
    if composition is None:
        return None
    estimates = {e.name: e for e in glaze_estimates(composition)}
    if "expansion" not in estimates or estimates["expansion"].extrapolated:
        return None
    return glaze_on_tile(estimates, book.name(composition.mole_fractions[0], recipe.name))


# A recipe as it was mixed, frozen with the composition it had on that day.


def freeze(recipe: Recipe, shelf: Pantry) -> tuple[FrozenRecipe, tuple[Problem, ...]]:
    """The recipe's lines and fired mole fractions, and what was found on the way.

    A jar glaze has neither; a recipe with a problem that is an error has no mole fractions.
    """
    composition, _, problems = compose_recipe(recipe, shelf)
    moles: tuple[tuple[str, float], ...] = ()
    if composition is not None:
        fractions = composition.mole_fractions[0].tolist()
        moles = tuple((oxide, share) for oxide, share in zip(SYMBOLS, fractions, strict=True) if share > 0)
    lines = tuple(FrozenLine(line.material, line.amount, line.addition) for line in recipe.lines)
    cone = "" if recipe.cone is None else str(recipe.cone)
    return FrozenRecipe(recipe.name, recipe.kind, cone, lines, moles), problems
