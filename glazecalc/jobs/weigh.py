"""The job behind `weigh`: a batch sheet for this scale, with its water, its errors and what they do."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from glazecalc.chemistry.batches import (
    Weighed,
    density_error,
    dry_in_mass,
    dry_per_mL,
    mixed_density,
    scale_for,
    smallest_batch,
    volume_mL,
    water_g,
    water_to_change,
    weigh_out,
    weighed_moist,
    worst_error_percent,
)
from glazecalc.chemistry.composition import CONVENTIONS, Array, Composition, MaterialTable, compose, unity
from glazecalc.jobs.amount import Quantity, Wanted, check_gravity, gravity_of, how_much, mend, slurry_figure
from glazecalc.jobs.cautions import cautions, metals, poisons
from glazecalc.jobs.estimates import glaze_arrays, possible
from glazecalc.jobs.formula import batch_of, formula_of
from glazecalc.jobs.materials import Pantry, ResolvedLine, is_stand_in, material_warnings, not_known, resolve, table_of
from glazecalc.values.answers import NINETY, Basis, Estimate, Problem, ProblemsError, error, remark, stop_at_errors
from glazecalc.values.inputs import Material, Recipe, RecipeLine, Scale, Studio
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.results.check import Batch
from glazecalc.values.results.weigh import (
    BucketAddition,
    BucketResult,
    Effect,
    PreBlend,
    SmallLine,
    Stock,
    Water,
    WeighLine,
    WeighResult,
)
from glazecalc.values.texts import phrase

USUAL_SCALE = Scale(name="a kitchen scale", resolution_g=1.0)
"""Taken where the studio names no scale."""
KNOWN_DENSITY_SPREAD = 0.05
"""Half-width of the 90 % interval of a solids density whose materials are all known [g/mL] (judgement)."""


@dataclass(frozen=True, slots=True)
class Resolved:
    """A recipe ready to be weighed: its lines with their materials, its batch, its composition, what was found."""

    recipe: Recipe
    lines: tuple[ResolvedLine, ...]
    batch: Batch
    composition: Composition
    problems: tuple[Problem, ...]

    @property
    def name(self) -> str:
        """The card's name."""
        return self.recipe.name

    @property
    def amounts(self) -> tuple[float, ...]:
        """The card's amounts."""
        return tuple(r.line.amount for r in self.lines)


def ready(recipe: Recipe, shelf: Pantry) -> Resolved:
    """The recipe with every material found.

    Raises ProblemsError if the card holds no batch, or a material is unknown.
    """
    what = {"bought": "is a bought glaze", "composition": "gives oxides, not materials"}.get(recipe.kind)
    if what or not recipe.lines:
        message = f"{recipe.name} {what or 'lists no materials'}: there is nothing to weigh"
        raise ProblemsError([error("nothing-to-weigh", message, "weigh a card that lists materials", recipe.file)])
    lines, problems = resolve(recipe, shelf, doubt=True)
    stop_at_errors(problems)
    composition = compose(np.array([[r.line.amount for r in lines]]), table_of(lines))
    return Resolved(recipe, lines, batch_of(recipe, lines), composition, problems)


def scales_of(studio: Studio) -> tuple[tuple[Scale, ...], tuple[Problem, ...]]:
    """The studio's scales, and a remark where they are the demo's; without one, a kitchen scale and a remark."""
    if studio.scales:
        return studio.scales, ()
    usual = "no scale is known: taken as {} that shows {:g g}"
    message = phrase(usual, USUAL_SCALE.name, USUAL_SCALE.resolution_g)
    hint = phrase("answer what it shows with|: glazecalc start DIR; or give --scale|")
    return (USUAL_SCALE,), (remark("no-scale", message, hint, studio.file),)


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

    Raises ProblemsError if the card cannot be weighed or it is not clear how much is wanted.
    """
    card = ready(recipe, shelf)
    total = sum(card.amounts)
    loss = float(card.composition.loss_on_ignition_percent[0])
    solids = solids_density(card)
    is_body = recipe.kind == "body"
    if is_body and wanted.use == "dip":
        wanted = replace(wanted, use="cast")
    quantity = how_much(wanted, solids.value, (recipe.base_total or total) / total, loss)
    dry = [quantity.dry_g * amount / total for amount in card.amounts]
    targets = [weighed_moist(g, r.material.moisture_percent) for g, r in zip(dry, card.lines, strict=True)]
    weighed = weigh_out(targets, scales, tolerance_percent)
    lines = _lines(card, dry, weighed, tolerance_percent)
    costs = [line.cost for line in lines if line.cost is not None]
    formula = None if is_body else formula_of(card.composition)
    return WeighResult(
        recipe=recipe, wanted=quantity.words, lines=lines, dry_g=quantity.dry_g,
        base_g=sum(line.dry_g for line in lines if not line.addition),
        additions_g=sum(line.dry_g for line in lines if line.addition),
        scale_total_g=_tidy(sum(line.scale_g for line in lines)),
        water=_water(quantity, solids, sum(targets) - quantity.dry_g),
        tolerance_percent=tolerance_percent,
        smallest_batch_g=smallest_dry_batch(card, scales, tolerance_percent),
        splits=_splits(card, lines, scales, tolerance_percent),
        effects=scale_effects(table_of(card.lines), dry, weighed, is_body=is_body),
        reasons=(*quantity.reasons, *_too_heavy(lines, scales)),
        mending=mend(lines, slipped, scales) if slipped else None,
        cautions=cautions(card.batch, formula), poisons=poisons(formula),
        cost=sum(costs) if costs else None, cost_is_complete=len(costs) == len(lines), currency=currency,
        problems=card.problems,
    )  # fmt: skip


def _splits(
    card: Resolved, lines: Sequence[WeighLine], scales: Sequence[Scale], tolerance_percent: float
) -> tuple[SmallLine, ...]:
    """The ways out for every line that is out of tolerance and an addition or small; a larger one asks for a larger
    batch. What settles at once is not drawn from a stock in water, nor is a line that would need a bucket of it."""
    splits = []
    for line, resolved in zip(lines, card.lines, strict=True):
        grams = line.target_g
        if line.within_tolerance or not (line.addition or grams < SMALL_G):
            continue
        alone = worst_error_percent(grams, line.scale_g, line.resolution_g / 2)
        stirs = resolved.material.family in STIRRED_FAMILIES and grams < SMALL_G
        stock = stock_of(line.material, grams, scales, tolerance_percent, STOCK_DRAW_ML) if stirs else None
        splits.append(SmallLine(line.material, grams, alone, pre_blend(line, lines, scales, tolerance_percent), stock))
    return tuple(splits)


def _too_heavy(lines: Sequence[WeighLine], scales: Sequence[Scale]) -> tuple[str, ...]:
    """That the pot, filled on the scale line by line, grows heavier than it carries; nothing where it does not."""
    most = max((math.inf if s.capacity_g is None else s.capacity_g for s in scales), default=math.inf)
    if all(line.running_total_g <= most for line in lines):
        return ()
    heavy = "the filled pot is heavier than the {:g g} the scale carries: weigh each line in a cup and pour it in"
    return (phrase(heavy, most),)


def smallest_dry_batch(card: Resolved, scales: Sequence[Scale], tolerance_percent: float) -> float | None:
    """The smallest dry batch [g] of which every line is within tolerance; damp materials weigh a little more."""
    damp = [weighed_moist(a, r.material.moisture_percent) for a, r in zip(card.amounts, card.lines, strict=True)]
    grams = smallest_batch([d / sum(damp) for d in damp], scales, tolerance_percent)
    return None if grams is None else grams * sum(card.amounts) / sum(damp)


def solids_density(card: Resolved) -> Estimate:
    """The density of a recipe's solids [g/mL], by the volumes of its materials."""
    densities = [np.nan if r.material.density is None else r.material.density for r in card.lines]
    value, complete = mixed_density(card.amounts, densities)
    low, high = value - KNOWN_DENSITY_SPREAD, value + KNOWN_DENSITY_SPREAD
    basis, cited, caveat = Basis.MODEL, "", "from the densities of the materials and their shares"
    if not complete:
        usual = slurry_figure("solids_density")
        low, high = min(value, usual.low), max(value, usual.high)
        unknown = ", ".join(r.material.name for r in card.lines if r.material.density is None)
        basis, cited, caveat = Basis.TYPICAL, usual.source, f"density unknown, taken as {usual.value:g}: {unknown}"
    return Estimate("solids_density", value, low, high, "g/mL", basis, (cited,) if cited else (), (caveat,))


def _water(quantity: Quantity, solids: Estimate, moisture_g: float) -> Water:
    """The water and the volume of a batch, ``moisture_g`` of the water being in the materials."""
    water = float(water_g(quantity.dry_g, quantity.gravity, solids.value))
    return Water(
        specific_gravity=quantity.gravity, solids_density=solids,
        water_g=water, water_to_add_g=max(water - moisture_g, 0.0),
        slurry_mL=float(volume_mL(quantity.dry_g, quantity.gravity, solids.value)),
        dry_g_per_L=1000 * float(dry_per_mL(quantity.gravity, solids.value)),
    )  # fmt: skip


def _lines(
    card: Resolved, dry: Sequence[float], weighed: Sequence[Weighed], tolerance_percent: float
) -> tuple[WeighLine, ...]:
    """The lines of a sheet, with their places in the order of weighing: the base before the additions, the smallest
    line first.

    A slip with a small line costs most to mend, and costs nothing while the rest is not yet in the pot: the
    other lines are then simply weighed larger.
    """
    lines = [
        _weigh_line(r, percent.percent, grams, on_scale, tolerance_percent)
        for r, percent, grams, on_scale in zip(card.lines, card.batch.lines, dry, weighed, strict=True)
    ]
    running = 0.0
    order = sorted(range(len(lines)), key=lambda i: (lines[i].addition, lines[i].target_g, i))
    for position, i in enumerate(order, start=1):
        running = _tidy(running + lines[i].scale_g)
        lines[i] = replace(lines[i], order=position, running_total_g=running)
    return tuple(lines)


def _weigh_line(
    resolved: ResolvedLine, percent: float, dry_g: float, weighed: Weighed, tolerance_percent: float
) -> WeighLine:
    """One line of a sheet; its place in the order is given later."""
    material, line = resolved.material, resolved.line
    price = material.price_per_kg
    return WeighLine(
        material=material.name, written=line.material, addition=line.addition, percent=percent, dry_g=dry_g,
        target_g=weighed.target_g, scale_g=weighed.shown_g, error_percent=weighed.error_percent,
        reading_percent=100 * weighed.reading_g / weighed.target_g,
        within_tolerance=weighed.within(tolerance_percent), below_minimum=weighed.below_minimum,
        scale=weighed.scale.name, resolution_g=weighed.scale.resolution_g, goes=weighed.goes,
        order=1, running_total_g=weighed.shown_g, moisture_percent=material.moisture_percent,
        hazards=material.hazards, cost=None if price is None else weighed.target_g / 1000 * price,
        card_line=line.line, known=not is_stand_in(material),
    )  # fmt: skip


# A line too small for the scale: blend it dry with part of a larger line, or draw it from a stock in water.

FOLDS: Final = (5, 10, 20, 50, 100)
"""How many times the small line's weight is taken of the blend."""
LARGEST_BLEND_G: Final = 500.0
SMALL_G: Final = 5.0
"""A line lighter than this is small [g] (judgement)."""
STIRRED_FAMILIES: Final = frozenset({"colourant"})
"""Families fine enough to be drawn from a stirred stock; feldspar, silica and clay settle (common practice)."""
STOCK_DRAW_ML: Final = 50.0
_NICE: Final = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)


def pre_blend(
    line: WeighLine, lines: Sequence[WeighLine], scales: Sequence[Scale], tolerance_percent: float
) -> PreBlend | None:
    """The dry blend within tolerance that takes least of the small material; else the most exact one; None
    if no other line is large enough. The carrier is the largest line of the base."""
    carriers = [other for other in lines if not other.addition and other.material != line.material]
    carrier = max(carriers, key=lambda other: other.target_g, default=None)
    if carrier is None:
        return None
    tried = [
        _blend(line, carrier, fold, start, scales)
        for fold in FOLDS if (fold - 1) * line.target_g <= carrier.target_g
        for start in _nice_grams(line.target_g, scales) if start * fold <= LARGEST_BLEND_G
    ]  # fmt: skip
    good = [blend for blend in tried if blend.error_percent <= tolerance_percent]
    if good:
        return min(good, key=lambda blend: (blend.blend_g + blend.carrier_blend_g, blend.error_percent))
    return min(tried, key=lambda blend: blend.error_percent, default=None)


def _nice_grams(least_g: float, scales: Sequence[Scale]) -> list[float]:
    step = min(s.resolution_g for s in scales)
    floor = max(least_g, min(s.minimum_g or s.resolution_g for s in scales))
    grams = (factor * 10.0**power for power in range(-3, 3) for factor in _NICE)
    return [g for g in grams if g >= floor and abs(g / step - round(g / step)) < 1e-6]


def _blend(line: WeighLine, carrier: WeighLine, fold: int, start_g: float, scales: Sequence[Scale]) -> PreBlend:
    rest = start_g * (fold - 1)
    take = line.target_g * fold
    step = scale_for(take, scales).resolution_g
    taken = max(round(take / step), 1) * step
    share = 1 / fold
    error = (
        (1 - share) * (_half_step(start_g, scales) / start_g + _half_step(rest, scales) / rest)
        + (abs(taken - take) + step / 2) / take
    )  # fmt: skip
    less = taken * (1 - share)
    return PreBlend(line.material, carrier.material, start_g, rest, _tidy(taken), less, 100 * error)


def _half_step(grams: float, scales: Sequence[Scale]) -> float:
    return scale_for(grams, scales).resolution_g / 2


def _tidy(grams: float) -> float:
    return float(f"{grams:.12g}")


def stock_of(
    material: str, target_g: float, scales: Sequence[Scale], tolerance_percent: float, draw_mL: float
) -> Stock | None:
    """A stock in water of which ``draw_mL`` bring ``target_g``: the least stock that is within tolerance, else the
    most exact up to a litre; None if a litre is too little."""
    read = slurry_figure("syringe_error").value / draw_mL + slurry_figure("jug_error").value / 100
    tried = []
    for grams in _nice_grams(target_g, scales):
        volume = grams / target_g * draw_mL
        if volume <= 1000:
            error = 100 * (_half_step(grams, scales) / grams + read)
            tried.append(Stock(material, grams, volume, draw_mL, draw_mL - target_g / 2.6, error))
    good = [s for s in tried if s.error_percent <= tolerance_percent]
    return good[0] if good else min(tried, key=lambda s: s.error_percent, default=None)


# What the scale's steps do to the unity formula and to the expansion of the fired glaze.

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
    figures = unity(composition.moles, CONVENTIONS["alumina" if is_body else "customary"])
    present = np.flatnonzero(np.nan_to_num(figures[0]) >= SMALLEST_UNITY)
    oxides = [_effect(SYMBOLS[i], figures[:, i], "mol") for i in present]
    expansion = glaze_arrays(composition.mole_fractions, names=("expansion",))["expansion"].value
    if is_body or not all(possible("expansion", value) for value in expansion.tolist()):
        return tuple(oxides)
    return (*oxides, _effect("expansion", expansion, "1e-6/K"))


def _effect(name: str, column: Array, unit: str) -> Effect:
    """``column`` (2 + m,): by the recipe, as weighed, and with each line moved by its deviation."""
    recipe, weighed = float(column[0]), float(column[1])
    half = NINETY * float(np.sqrt(((column[2:] - weighed) ** 2).sum()))
    return Effect(name, recipe, weighed, weighed - half, weighed + half, unit)


# What is left in a bucket, and how to add an oxide to it by percent of its dry content.

CUP_VOLUME_ERROR = 0.01
"""How far a cup's volume is usually off [fraction] (judgement)."""


@dataclass(frozen=True, slots=True)
class Bucket:
    """A bucket of slurry, by its volume [mL] or its mass without the bucket [g]; one of the two."""

    volume_mL: float | None = None
    mass_g: float | None = None


def in_bucket(
    recipe: Recipe,
    shelf: Pantry,
    scales: Sequence[Scale],
    bucket: Bucket,
    wanted: Wanted,
    additions: Sequence[tuple[str, float]] = (),
    *,
    to_gravity: float | None = None,
    tolerance_percent: float = 2.0,
) -> BucketResult:
    """The dry content of a bucket and the weights of ``additions`` (material, % of the dry content).

    ``wanted`` says how its density is known (``gravity`` or ``cup``); ``to_gravity`` is one to bring it to.

    Raises ProblemsError for an unknown material, a bucket that is not described, or a slurry that cannot be.
    """
    card = ready(recipe, shelf)
    gravity, why = gravity_of(wanted)
    solids = solids_density(card)
    for each in (gravity, to_gravity):
        if each is not None:
            check_gravity(each, solids.value)
    volume, mass, dry = _content(bucket, gravity, solids.value)
    lines = tuple(_addition(name, percent, dry, shelf, scales, tolerance_percent) for name, percent in additions)
    added = sum(line.line.dry_g for line in lines)
    damp = sum(line.line.target_g for line in lines) - added
    cup, gravity_error = wanted.cup, None
    if cup is not None:
        step, volume_error = min(s.resolution_g for s in scales), CUP_VOLUME_ERROR * cup.volume_mL
        gravity_error = density_error(cup.empty_g, cup.full_g, cup.volume_mL, step, volume_error)
    fired = formula_of(card.composition)
    coming = tuple(dict.fromkeys(w for name, _ in additions for w in material_warnings(named(name, shelf))))
    return BucketResult(
        recipe=recipe, specific_gravity=gravity, specific_gravity_error=gravity_error, solids_density=solids,
        slurry_mL=volume, slurry_g=mass, dry_g=dry,
        dry_error_percent=None if gravity_error is None else 100 * gravity_error / (gravity - 1),
        water_g=mass - dry,
        water_for_same_gravity_g=max(float(water_g(added, gravity, solids.value)) - damp, 0.0),
        additions=lines, wanted_gravity=to_gravity,
        water_to_wanted_g=None if to_gravity is None else water_to_change(dry, gravity, to_gravity, solids.value),
        reasons=(why, "percents are of everything dry in the bucket, additions already in it included"),
        cautions=(*coming, *cautions(card.batch, fired)), held=(*metals(fired), *coming), problems=card.problems,
    )  # fmt: skip


def _content(bucket: Bucket, gravity: float, solids: float) -> tuple[float, float, float]:
    """Volume [mL], mass [g] and dry matter [g] of a bucket."""
    if (bucket.volume_mL is None) == (bucket.mass_g is None):
        raise ProblemsError([error("bucket", "a bucket is given by its volume or by its net weight", "--bucket 3L")])
    if bucket.volume_mL is not None:
        volume = bucket.volume_mL
        return volume, volume * gravity, volume * float(dry_per_mL(gravity, solids))
    mass = bucket.mass_g or 0.0
    return mass / gravity, mass, float(dry_in_mass(mass, gravity, solids))


def _addition(
    name: str, percent: float, dry_g: float, shelf: Pantry, scales: Sequence[Scale], tolerance_percent: float
) -> BucketAddition:
    material = named(name, shelf)
    grams = dry_g * percent / 100
    weighed = weigh_out([weighed_moist(grams, material.moisture_percent)], scales)[0]
    resolved = ResolvedLine(RecipeLine(material=name, amount=percent, addition=True), material)
    return BucketAddition(material.name, percent, _weigh_line(resolved, percent, grams, weighed, tolerance_percent))


def named(name: str, shelf: Pantry) -> Material:
    """The material of that name. Raises ProblemsError with suggestions if there is none."""
    material = shelf.find(name)
    if material is None:
        raise ProblemsError([not_known(name, shelf)])
    return material
