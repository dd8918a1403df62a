"""The job behind `weigh`: a batch sheet for this scale, with its water, its errors and what they do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from glazecalc.chemistry.composition import Composition, compose
from glazecalc.chemistry.slurry import dry_per_mL, mixed_density, volume_mL, water_g, weighed_moist
from glazecalc.chemistry.weights import Weighed, smallest_batch, weigh_out
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Recipe, Scale, Studio
from glazecalc.values.problem import Problem, ProblemsError, error, remark
from glazecalc.values.report import Batch
from glazecalc.values.weighing import Mending, Split, Water, WeighLine, WeighResult
from glazecalc.work.cautions import cautions
from glazecalc.work.formula import batch_of, formula_of
from glazecalc.work.pantry import Pantry, ResolvedLine, resolve, table_of
from glazecalc.work.weighing.amount import Quantity, Wanted, how_much, slurry_figure
from glazecalc.work.weighing.recover import mend
from glazecalc.work.weighing.scale_effect import scale_effects
from glazecalc.work.weighing.splitting import SMALL_G, STIRRED_FAMILIES, split

USUAL_SCALE = Scale(name="a kitchen scale", resolution_g=1.0)
"""Taken where the studio names no scale."""
KNOWN_DENSITY_SPREAD = 0.05
"""Half-width of the 90 % interval of a solids density whose materials are all known [g/mL] (judgement)."""


@dataclass(frozen=True, slots=True)
class Resolved:
    """A recipe ready to be weighed: its lines with their materials, its batch, its composition, what was
    found."""

    recipe: Recipe
    lines: tuple[ResolvedLine, ...]
    batch: Batch
    composition: Composition
    problems: tuple[Problem, ...]

    @property
    def amounts(self) -> tuple[float, ...]:
        """The card's amounts."""
        return tuple(r.line.amount for r in self.lines)


def ready(recipe: Recipe, shelf: Pantry) -> Resolved:
    """The recipe with every material found.

    Raises
    ------
    ProblemsError
        if the card holds no batch, or a material is unknown.
    """
    if recipe.kind in ("bought", "composition") or not recipe.lines:
        what = {"bought": "is a bought glaze", "composition": "gives oxides, not materials"}.get(recipe.kind)
        message = f"{recipe.name} {what or 'lists no materials'}: there is nothing to weigh"
        raise ProblemsError([error("nothing-to-weigh", message, "weigh a card that lists materials", recipe.file)])
    lines, problems = resolve(recipe, shelf)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    composition = compose(np.array([[r.line.amount for r in lines]]), table_of(lines))
    return Resolved(recipe, lines, batch_of(recipe, lines), composition, problems)


def scales_of(studio: Studio) -> tuple[tuple[Scale, ...], tuple[Problem, ...]]:
    """The studio's scales; without one, a kitchen scale and a remark."""
    if studio.scales:
        return studio.scales, ()
    message = f"no scale in studio.toml: taken as {USUAL_SCALE.name} that shows {USUAL_SCALE.resolution_g:g} g"
    return (USUAL_SCALE,), (remark("no-scale", message, "add [scale] resolution_g, or give --scale", studio.file),)


def weigh(
    recipe: Recipe,
    shelf: Pantry,
    scales: Sequence[Scale],
    wanted: Wanted,
    *,
    tolerance_percent: float = 2.0,
    slipped: Mapping[str, float] | None = None,
    currency: str = "",
) -> WeighResult:
    """The batch sheet of one recipe.

    ``slipped`` names lines of which other than the target is in the pot [g], to be mended.

    Raises
    ------
    ProblemsError
        if the card cannot be weighed or it is not clear how much is wanted.
    """
    card = ready(recipe, shelf)
    total = sum(card.amounts)
    loss = float(card.composition.loss_on_ignition_percent[0])
    solids = solids_density(card)
    if recipe.kind == "body" and wanted.use == "dip":
        wanted = replace(wanted, use="cast")
    quantity = how_much(wanted, solids.value, (recipe.base_total or total) / total, loss)
    dry = [quantity.dry_g * amount / total for amount in card.amounts]
    targets = [weighed_moist(g, r.material.moisture_percent) for g, r in zip(dry, card.lines, strict=True)]
    weighed = weigh_out(targets, scales, tolerance_percent)
    lines = _lines(card, dry, weighed, tolerance_percent)
    cost, cost_is_complete = _cost(lines)
    return WeighResult(
        recipe=recipe,
        wanted=quantity.words,
        lines=lines,
        dry_g=quantity.dry_g,
        base_g=sum(line.dry_g for line in lines if not line.addition),
        additions_g=sum(line.dry_g for line in lines if line.addition),
        scale_total_g=float(f"{sum(line.scale_g for line in lines):.12g}"),
        water=water_of(quantity, solids, sum(targets) - quantity.dry_g),
        tolerance_percent=tolerance_percent,
        smallest_batch_g=smallest_dry_batch(card, scales, tolerance_percent),
        splits=_splits(card, lines, scales, tolerance_percent),
        effects=scale_effects(table_of(card.lines), dry, weighed, is_body=recipe.kind == "body"),
        reasons=quantity.reasons,
        mending=_mending(lines, slipped, scales),
        cautions=cautions(card.batch, None if recipe.kind == "body" else formula_of(card.composition)),
        cost=cost,
        cost_is_complete=cost_is_complete,
        currency=currency,
        problems=card.problems,
    )


def _splits(
    card: Resolved, lines: Sequence[WeighLine], scales: Sequence[Scale], tolerance_percent: float
) -> tuple[Split, ...]:
    """The ways out for every line that is out of tolerance and an addition or small; a larger one asks for a larger
    batch."""
    return tuple(
        split(line, lines, scales, tolerance_percent, stirs=r.material.family in STIRRED_FAMILIES)
        for line, r in zip(lines, card.lines, strict=True)
        if not line.within_tolerance and (line.addition or line.target_g < SMALL_G)
    )


def _cost(lines: Sequence[WeighLine]) -> tuple[float | None, bool]:
    """What the priced lines cost together, None where no line has a price; and whether every line has one."""
    known = [line.cost for line in lines if line.cost is not None]
    return (sum(known) if known else None), len(known) == len(lines)


def _mending(
    lines: Sequence[WeighLine], slipped: Mapping[str, float] | None, scales: Sequence[Scale]
) -> Mending | None:
    return mend(lines, slipped, scales) if slipped else None


def smallest_dry_batch(card: Resolved, scales: Sequence[Scale], tolerance_percent: float) -> float | None:
    """The smallest dry batch [g] of which every line is within tolerance; damp materials weigh a little
    more."""
    damp = [weighed_moist(a, r.material.moisture_percent) for a, r in zip(card.amounts, card.lines, strict=True)]
    found = smallest_batch([d / sum(damp) for d in damp], scales, tolerance_percent)
    return None if found is None else found * sum(card.amounts) / sum(damp)


def solids_density(card: Resolved) -> Estimate:
    """The density of a recipe's solids [g/mL], by the volumes of its materials."""
    densities = [np.nan if r.material.density is None else r.material.density for r in card.lines]
    value, complete = mixed_density(card.amounts, densities)
    if complete:
        half = KNOWN_DENSITY_SPREAD
        return Estimate("solids_density", value, value - half, value + half, "g/mL", Basis.MODEL, (), (
            "from the densities of the materials and their shares",))  # fmt: skip
    usual = slurry_figure("solids_density")
    unknown = ", ".join(r.material.name for r in card.lines if r.material.density is None)
    low, high = min(value, usual.low), max(value, usual.high)
    caveat = f"density unknown, taken as {usual.value:g}: {unknown}"
    return Estimate("solids_density", value, low, high, "g/mL", Basis.TYPICAL, (usual.source,), (caveat,))


def water_of(quantity: Quantity, solids: Estimate, moisture_g: float) -> Water:
    """The water and the volume of a batch, ``moisture_g`` of the water being in the materials."""
    water = float(water_g(quantity.dry_g, quantity.gravity, solids.value))
    return Water(
        specific_gravity=quantity.gravity,
        solids_density=solids,
        water_g=water,
        water_to_add_g=max(water - moisture_g, 0.0),
        slurry_mL=float(volume_mL(quantity.dry_g, quantity.gravity, solids.value)),
        dry_g_per_L=1000 * float(dry_per_mL(quantity.gravity, solids.value)),
    )


def _lines(
    card: Resolved, dry: Sequence[float], weighed: Sequence[Weighed], tolerance_percent: float
) -> tuple[WeighLine, ...]:
    lines = [
        weigh_line(r, percent.percent, grams, on_scale, tolerance_percent)
        for r, percent, grams, on_scale in zip(card.lines, card.batch.lines, dry, weighed, strict=True)
    ]
    running, placed = 0.0, list(lines)
    for position, i in enumerate(weighing_order(lines), start=1):
        running = float(f"{running + lines[i].scale_g:.12g}")
        placed[i] = replace(lines[i], order=position, running_total_g=running)
    return tuple(placed)


def weigh_line(
    resolved: ResolvedLine, percent: float, dry_g: float, weighed: Weighed, tolerance_percent: float
) -> WeighLine:
    """One line of a sheet; its place in the order is given later."""
    material, line = resolved.material, resolved.line
    return WeighLine(
        material=material.name, written=line.material, addition=line.addition, percent=percent, dry_g=dry_g,
        target_g=weighed.target_g, scale_g=weighed.shown_g, error_percent=weighed.error_percent,
        reading_percent=100 * weighed.reading_g / weighed.target_g,
        within_tolerance=weighed.within(tolerance_percent), below_minimum=weighed.below_minimum,
        scale=weighed.scale.name, resolution_g=weighed.scale.resolution_g, goes=weighed.goes,
        order=1, running_total_g=weighed.shown_g, moisture_percent=material.moisture_percent,
        hazards=material.hazards, cost=None if material.price_per_kg is None else weighed.target_g / 1000 *
        material.price_per_kg, card_line=line.line,
    )  # fmt: skip


def weighing_order(lines: Sequence[WeighLine]) -> list[int]:
    """Rows in the order of weighing: the base before the additions, the smallest line first.

    A slip with a small line costs most to mend, and costs nothing while the rest is not yet in the pot: the
    other lines are then simply weighed larger.
    """
    return sorted(range(len(lines)), key=lambda i: (lines[i].addition, lines[i].target_g, i))
