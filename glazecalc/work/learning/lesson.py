"""The job of ``learn --body``: what the tiles taught of a clay, and which recipe or rung of a series to
fire next.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from glazecalc.judge.typed import quoted
from glazecalc.models.body import known_body
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Body, Kiln, Recipe, RecipeLine
from glazecalc.values.learning import Learned, Lesson, TileLine
from glazecalc.values.records import TileRecord
from glazecalc.work.formula import compose_recipe
from glazecalc.work.glaze import glaze_estimates
from glazecalc.work.learning.evidence import FamilyBook, evidence, glaze_on_tile
from glazecalc.work.learning.learn import (
    GlazeOnTile,
    TileEvidence,
    average_family,
    evidence_for,
    family_likelihoods,
    grid_estimate,
    ground_of,
    learn,
    learned_estimate,
    posterior,
)
from glazecalc.work.learning.next_tile import best_next
from glazecalc.work.pantry import Pantry

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
    """What ``tiles`` taught of ``body`` at ``cone``, and the next tiles to fire from ``recipes`` of the
    studio.

    Recipes and rungs that do not mature at the cone, or that the kiln's plate does not reach, are not
    offered."""
    book = FamilyBook()
    used, passed = evidence(tiles, body.name, cone, book)
    learned = learn(body, used, cone, reasoned)
    ground = ground_of(known_body(body, cone, None, reasoned))
    candidates, how = _candidates(recipes, shelf, cone, kiln, book)
    count = min(_NEXT, tiles_per_firing) if tiles_per_firing else _NEXT
    best = best_next(ground, candidates, family_likelihoods(ground, used), count)
    offered = tuple(replace(tile, how=how.get(tile.name, "")) for tile in best)
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
    return (
        f"The tiles contradict {whose} figure for {body.name}: it says {says.low:.1f} to {says.high:.1f} x 1e-6/K from "
        f"20 to 600 degC, but the tiles would be {times:.0f} times likelier on a clay of about {alone.value:.1f} "
        f"({alone.low:.1f} to {alone.high:.1f}). Ask for the figure of this lot, and look at the tiles again.",
    )


def _tile_lines(
    tiles: Sequence[TileRecord], used: Sequence[TileEvidence], passed: Sequence[tuple[str, str]], learned: Learned
) -> tuple[TileLine, ...]:
    weights, reasons = dict(learned.weights), dict(passed)
    expansions = {tile.id: tile.glaze.value for tile in used}
    lines = []
    for tile in tiles:
        if tile.id in weights or tile.id in reasons:
            result = ", ".join(r.value for r in tile.results) or "waiting"
            name = tile.glaze or (tile.recipe.name if tile.recipe else "")
            lines.append(
                TileLine(tile.id, name, result, expansions.get(tile.id), weights.get(tile.id), reasons.get(tile.id, ""))
            )
    return tuple(lines)


def _candidates(
    recipes: Iterable[Recipe], shelf: Pantry, cone: Cone | None, kiln: Kiln | None, book: FamilyBook
) -> tuple[list[tuple[str, GlazeOnTile]], dict[str, str]]:
    """Name and glaze of every tile that can be offered, and the command that lays out a rung, by its name."""
    found: list[tuple[str, GlazeOnTile]] = []
    how: dict[str, str] = {}
    for recipe in recipes:
        if recipe.kind in ("glaze", "composition") and _can_be_fired(recipe, cone, kiln):
            rungs = _rungs(recipe, shelf)
            how |= {rung.name: command for rung, command in rungs}
            for rung in (recipe, *(rung for rung, _ in rungs)):
                glaze = _glaze(rung, shelf, book)
                if glaze is not None:
                    found.append((rung.name, glaze))
    return found, how


def _can_be_fired(recipe: Recipe, cone: Cone | None, kiln: Kiln | None) -> bool:
    if recipe.cone is None:
        return cone is not None
    if kiln is not None and kiln.cone is not None and kiln.cone < (cone or recipe.cone.low):
        return False
    return cone is None or recipe.cone.low <= cone <= recipe.cone.high


def _rungs(recipe: Recipe, shelf: Pantry) -> list[tuple[Recipe, str]]:
    """A graded series on a recipe: each rung named for what was added to 100 parts of the base, and the command that
    lays it out."""
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
            command = (
                f'glazecalc tiles {quoted(recipe.file or "")} --plan additions --add "{material}:{percent:g}" --record'
            )
            rungs.append((rung, command if recipe.file else ""))
    return rungs


def _glaze(recipe: Recipe, shelf: Pantry, book: FamilyBook) -> GlazeOnTile | None:
    composition, _, problems = compose_recipe(recipe, shelf)
    if composition is None or any(p.is_error for p in problems):
        return None
    estimates = {e.name: e for e in glaze_estimates(composition)}
    if "expansion" not in estimates or estimates["expansion"].extrapolated:
        return None
    return glaze_on_tile(estimates, book.name(composition.mole_fractions[0], recipe.name))
