"""From a unity formula to a batch: a recipe from the shelf, of few materials, within tolerance of the formula."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import CONVENTIONS, MaterialTable, from_moles, material_table
from glazecalc.jobs.by_hand import by_hand, leading_oxide
from glazecalc.jobs.cautions import DRY_POWDER, NOT_TESTED, metals_of, poison_first
from glazecalc.jobs.character import character_cost
from glazecalc.jobs.check import check
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import Pantry, coarse, poisonous
from glazecalc.jobs.newcomers import EVERYDAY_DUST, newcomers
from glazecalc.jobs.palette import Wishes
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.sparse import Mix, fewest_materials
from glazecalc.jobs.weighable import rounded_to, steps_for
from glazecalc.values.answers import Problem, ProblemsError, did_you_mean, error
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Material, Recipe, RecipeLine
from glazecalc.values.oxides import INDEX, SYMBOLS
from glazecalc.values.results.adjust import BatchResult, Change, HandStep, Kind, Option, OxideShift

TOLERANCE: Final = 0.01
"""An oxide within this of the formula counts as met [mol per flux sum]."""
HAND_TOLERANCE: Final = 0.03
"""Leftovers of real materials that the hand method shrugs at [mol per flux sum]."""
CLASSICAL: Final = (
    "Potash feldspar", "Soda feldspar", "Whiting", "Dolomite", "Talc", "Zinc oxide", "Strontium carbonate",
    "Barium carbonate",
    "Lithium carbonate", "Kaolin", "Silica", "Red iron oxide", "Bone ash", "Titania", "Tin oxide", "Colemanite",
)  # fmt: skip
"""What the hand method is taught with (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Materials a batch may be made of, with how much each is to be avoided [counted in materials], (m,)."""

    materials: tuple[Material, ...]
    table: MaterialTable
    dislike: Array
    upper: Array | None


def resolve_batch(
    target: Recipe,
    shelf: Pantry,
    stock: Sequence[str],
    setup: Setup,
    *,
    wishes: Wishes | None = None,
    resolution_g: float | None = None,
    tolerance: float = TOLERANCE,
) -> BatchResult:
    """Recipes from the shelf for the fired formula of ``target``, which may be a composition or any recipe card.

    Options: as few materials as it takes; then the classical hand method's batch, where it applies and differs.

    Raises
    ------
    ProblemsError
        if the card has no formula, a name is unknown, or the solver fails.
    """
    wishes = wishes or Wishes()
    moles = target_moles(target, shelf)
    offer = offered(shelf, stock, wishes)
    few = fewest_materials(
        offer.table.moles, moles, tolerance, at_most=wishes.at_most, dislike=offer.dislike, upper=offer.upper
    )
    job = _Job(target, shelf, setup, offer, moles, tolerance, steps_for(resolution_g))
    options = [] if not len(few.used) else [_option(job, few, "As few materials as it takes", ())]
    steps = hand_steps(offer, moles, tolerance)
    if steps is not None:
        hand = _mix_of(offer, steps, moles)
        same = {offer.table.names[i] for i in few.used} == {s.material for s in steps}
        if same and options:
            options = [_option(job, few, "As few materials as it takes, as the hand method has it", steps)]
        else:
            options.append(_option(job, hand, "By the hand method", steps))
    wanted = formula_of(from_moles(moles[None, :]))
    made = [o.after.formula for o in options]
    lead = poison_first(target.name, wanted, made)
    named = [(target.name, wanted), *(("What stands below", formula) for formula in made)]
    return BatchResult(
        target=target, target_unity=tuple((SYMBOLS[i], float(moles[i])) for i in np.flatnonzero(moles > 0)),
        options=tuple(options), sentence=lead + _sentence(target, options), tolerance=tolerance,
        cautions=(*metals_of(named), DRY_POWDER, NOT_TESTED),
        infeasible_because="" if options else "nothing on the shelf holds any oxide of this formula",
    )  # fmt: skip


def target_moles(target: Recipe, shelf: Pantry) -> Array:
    """The unity formula asked for, (k,); where there is no flux, its moles brought to a sum of one."""
    composition, _, problems = compose_recipe(target, shelf)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if composition is None:
        message = f"{target.name} has no formula to aim at"
        raise ProblemsError([error("no-formula", message, "give a card with kind: composition", target.file)])
    moles = composition.moles[0]
    flux = float(moles @ CONVENTIONS["customary"].mask)
    return np.asarray(moles / (flux if flux > 0 else float(moles.sum())))


def offered(shelf: Pantry, stock: Sequence[str], wishes: Wishes) -> Offer:
    """The materials of the shelf and the wishes. Raises ProblemsError for an unknown name or an empty shelf."""
    problems: list[Problem] = []
    found: dict[str, Material] = {}
    barred = {_known(shelf, name, "--without", problems) for name in wishes.without}
    for option, names in (("--use", wishes.use), ("stock", stock)):
        for name in names:
            material = shelf.find(name) if option == "stock" else _known(shelf, name, option, problems)
            if option == "stock" and material is not None and (poisonous(material) or coarse(material)):
                continue
            if material is not None and material not in barred:
                found.setdefault(material.name, material)
    limits = {m.name: most for m, most in ((_known(shelf, n, "--limit", problems), x) for n, x in wishes.limit) if m}
    if not found and not problems:
        problems.append(
            error("no-material", "there is no material to make it from", "name some with --use, or write stock.csv")
        )
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    materials = tuple(found.values())
    wished = {m.name for m in materials[: len(wishes.use)]}
    table = material_table(materials)
    upper = None if not limits else np.array([limits.get(m.name, np.inf) for m in materials])
    return Offer(materials, table, np.array([0.0 if m.name in wished else dislike(m) for m in materials]), upper)


def _known(shelf: Pantry, name: str, option: str, problems: list[Problem]) -> Material | None:
    material = shelf.find(name)
    if material is None:
        hint = did_you_mean(name, shelf.names()) or "list them with: glazecalc materials"
        problems.append(error("unknown-material", f"{option}: no material is called {name!r}", hint))
    return material


def dislike(material: Material) -> float:
    """How much a material is avoided, counted in materials: what dissolves in the slip, poisons, or melts slowly."""
    toxic = bool(set(material.hazards) - EVERYDAY_DUST)
    return (
        {"soluble": 2.5, "partly": 0.3, "no": 0.0}[material.solubility]
        + 0.6 * toxic
        + 1.2 * material.slow_melting
        - 0.3 * material.plastic
    )


def hand_steps(offer: Offer, moles: Array, tolerance: float) -> tuple[HandStep, ...] | None:
    """The hand method with the classical materials on offer, one for each oxide that is wanted; None where it fails."""
    names = [m.name for m in offer.materials]
    picked: dict[str, int] = {}
    for name in (n for classic in CLASSICAL for n in (classic, f"{classic}, ideal") if n in names):
        i = names.index(name)
        lead = leading_oxide(offer.table.moles[i])
        if moles[INDEX[lead]] > tolerance:
            picked.setdefault(lead, i)
    rows = list(picked.values())
    steps = by_hand(moles, [names[i] for i in rows], offer.table.moles[rows], HAND_TOLERANCE)
    return None if steps is None else tuple(s for s in steps if s.weight > 1e-6)


def _mix_of(offer: Offer, steps: Sequence[HandStep], moles: Array) -> Mix:
    amounts = np.zeros(len(offer.materials))
    for step in steps:
        amounts[offer.table.names.index(step.material)] = step.weight
    return Mix(amounts, amounts @ offer.table.moles - moles)


@dataclass(frozen=True, slots=True)
class _Job:
    target: Recipe
    shelf: Pantry
    setup: Setup
    offer: Offer
    moles: Array
    tolerance: float
    steps: tuple[float, ...]


def _option(job: _Job, mix: Mix, lead: str, steps: tuple[HandStep, ...]) -> Option:
    amounts = _rounded(job, mix)
    reached = _unity(amounts @ job.offer.table.moles)
    off = reached - job.moles
    worst = float(np.abs(off).max())
    exact = worst <= job.tolerance
    order = np.argsort(-amounts, kind="stable")
    lines = tuple(
        RecipeLine(material=job.offer.table.names[i], amount=float(round(amounts[i], 9)))
        for i in order
        if amounts[i] > 0
    )
    recipe = Recipe(name=f"{job.target.name}, as a batch", cone=job.target.cone, surface=job.target.surface,
                    atmosphere=job.target.atmosphere, lines=lines,
                    source=f"made to the formula of {job.target.name}")  # fmt: skip
    told = f"every oxide within {max(worst, 0.001):.3f}" if exact else f"an oxide off by up to {worst:.2f}"
    return Option(
        kind=Kind.RESOLVE,
        sentence=f"{lead}: {len(lines)} material{'s' if len(lines) > 1 else ''}, {told} of the formula.",
        changes=tuple(Change(line.material, 0.0, line.amount) for line in lines),
        recipe=recipe,
        after=check(recipe, job.shelf, job.setup),
        character=character_cost(job.moles, reached),
        meets_goals=exact,
        exact=exact,
        notes=newcomers(job.offer.materials, np.zeros(len(amounts)), amounts),
        came_along=_shifts(job.moles, reached, (job.moles < 5e-4) & (reached > 5e-4)),
        not_matched=_shifts(job.moles, reached, np.abs(off) > job.tolerance),
        steps=steps,
        objective=worst,
    )


def _rounded(job: _Job, mix: Mix) -> Array:
    """Amounts brought to 100 in the coarsest weighable steps that leave the formula as near as the exact ones do."""
    amounts = 100.0 * mix.amounts / mix.amounts.sum()
    for step in job.steps:
        tried = rounded_to(amounts, step)[0]
        worst = float(np.abs(_unity(tried @ job.offer.table.moles) - job.moles).max())
        lost = ((amounts > 0) & (tried <= 0)).any()
        if not lost and worst <= max(1.02 * mix.worst(), 0.5 * job.tolerance):
            return tried
    return rounded_to(amounts, job.steps[-1])[0]


def _unity(moles: Array) -> Array:
    flux = float(moles @ CONVENTIONS["customary"].mask)
    return np.asarray(moles / (flux if flux > 0 else max(float(moles.sum()), 1e-30)))


def _shifts(before: Array, after: Array, which: NDArray[np.bool_]) -> tuple[OxideShift, ...]:
    cost = {s.oxide: s.notices for s in character_cost(before, after).shifts}
    return tuple(
        OxideShift(SYMBOLS[i], float(before[i]), float(after[i]), cost.get(SYMBOLS[i], 0.0))
        for i in np.flatnonzero(which)
    )


def _sentence(target: Recipe, options: Sequence[Option]) -> str:
    if not options:
        return f"{target.name} cannot be made from this shelf."
    best = options[0]
    if best.exact:
        return f"{target.name} can be made from the shelf. {best.sentence}"
    missing = ", ".join(f"{s.oxide} {s.before:.2f} comes out {s.after:.2f}" for s in best.not_matched)
    return f"{target.name} cannot be made exactly from this shelf; the nearest: {missing}."
