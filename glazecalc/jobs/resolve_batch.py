"""From a unity formula to a batch: a recipe from the shelf, of few materials, within tolerance of the formula."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import MaterialTable, from_moles, material_table, per_flux
from glazecalc.jobs.cautions import DRY_POWDER, NOT_TESTED, of_changes
from glazecalc.jobs.character import character_cost
from glazecalc.jobs.check import check
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import EVERYDAY_DUST, Pantry, newcomers
from glazecalc.jobs.options import TOLERANCE, beside_formula, coarsest, nearness
from glazecalc.jobs.palette import Wishes, rounded_to, steps_for, uninvited, wished
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.sparse import Mix, fewest_materials
from glazecalc.values.answers import ProblemsError, error, stop_at_errors
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Material, Recipe, RecipeLine
from glazecalc.values.oxides import INDEX, SYMBOLS
from glazecalc.values.results.adjust import BatchResult, Change, HandStep, Kind, Option
from glazecalc.values.texts import phrase

HAND_TOLERANCE: Final = 0.03
"""Leftovers of real materials that the hand method shrugs at [mol per flux sum]."""
CLASSICAL: Final = (
    "Potash feldspar", "Soda feldspar", "Whiting", "Dolomite", "Talc", "Zinc oxide", "Strontium carbonate",
    "Barium carbonate",
    "Lithium carbonate", "Kaolin", "Silica", "Red iron oxide", "Bone ash", "Titania", "Tin oxide", "Colemanite",
)  # fmt: skip
"""What the hand method is taught with (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """A unity formula wanted, (k,), the materials a batch of it may be made of, as a table too, and the steps it may be
    weighed in [parts in 100, coarsest first]."""

    target: Recipe
    shelf: Pantry
    setup: Setup
    moles: Array
    materials: tuple[Material, ...]
    table: MaterialTable
    steps: tuple[float, ...]


def resolve_batch(
    target: Recipe,
    shelf: Pantry,
    stock: Sequence[str],
    setup: Setup,
    *,
    wishes: Wishes | None = None,
    resolution_g: float | None = None,
) -> BatchResult:
    """Recipes from the shelf for the fired formula of ``target``, which may be a composition or any recipe card.

    Options: as few materials as it takes; then the classical hand method's batch, where it applies and differs.

    Raises ProblemsError if the card has no formula, a name is unknown, or the solver fails.
    """
    wishes = wishes or Wishes()
    moles = target_moles(target, shelf)
    materials, disliked, upper = _offered(shelf, stock, wishes)
    table = material_table(materials)
    few = fewest_materials(table.moles, moles, TOLERANCE, at_most=wishes.at_most, dislike=disliked, upper=upper)
    job = _Job(target, shelf, setup, moles, materials, table, steps_for(resolution_g))
    steps = _hand_steps(table, moles)
    by_hand_too = steps is not None and {table.names[i] for i in few.used} == {s.material for s in steps}
    options = []
    if len(few.used) and steps is not None and by_hand_too:
        options.append(_option(job, few, "As few materials as it takes, as the hand method has it", steps))
    elif len(few.used):
        options.append(_option(job, few, "As few materials as it takes", ()))
    if steps is not None and not (options and by_hand_too):
        weights = {step.material: step.weight for step in steps}
        hand = np.array([weights.get(name, 0.0) for name in table.names])
        options.append(_option(job, Mix(hand, hand @ table.moles - moles), "By the hand method", steps))
    lead, cautions = of_changes(target.name, formula_of(from_moles(moles[None, :])), [o.after.formula for o in options])
    return BatchResult(
        target=target, target_unity=tuple((SYMBOLS[i], float(moles[i])) for i in np.flatnonzero(moles > 0)),
        options=tuple(options), sentence=lead + _sentence(target, options), tolerance=TOLERANCE,
        cautions=(*cautions, DRY_POWDER, NOT_TESTED),
        infeasible_because="" if options else "nothing on the shelf holds any oxide of this formula",
    )  # fmt: skip


def target_moles(target: Recipe, shelf: Pantry) -> Array:
    """The unity formula asked for, (k,); where there is no flux, its moles brought to a sum of one."""
    composition, _, problems = compose_recipe(target, shelf)
    stop_at_errors(problems)
    if composition is None:
        message = f"{target.name} has no formula to aim at"
        raise ProblemsError([error("no-formula", message, "give a card with kind: composition", target.file)])
    return per_flux(composition.moles[0])


def _offered(
    shelf: Pantry, stock: Sequence[str], wishes: Wishes
) -> tuple[tuple[Material, ...], Array, Array | None]:  # fmt: skip
    """The materials of the shelf and the wishes, how much each is to be avoided [counted in materials], (m,), and the
    most of each [parts in 100 of the batch], (m,). Raises ProblemsError for an unknown name or an empty shelf."""
    known, unknown = wished(wishes, shelf)
    problems = list(unknown)
    asked = [known[name] for name in wishes.use if name in known]
    barred = [known[name] for name in wishes.without if name in known]
    materials = tuple({m.name: m for m in (*asked, *uninvited(shelf, stock)) if m not in barred}.values())
    if not materials and not problems:
        hint = phrase("name some| with --use|, or write stock.csv")
        problems.append(error("no-material", "there is no material to make it from", hint))
    stop_at_errors(problems)
    limits = {known[name].name: most for name, most in wishes.limit}
    upper = np.array([limits.get(m.name, np.inf) for m in materials]) if limits else None
    disliked = np.array([0.0 if m in asked else dislike(m) for m in materials])
    return materials, disliked, upper


def dislike(material: Material) -> float:
    """How much a material is avoided, counted in materials: what dissolves in the slip, poisons, or melts slowly."""
    toxic = bool(set(material.hazards) - EVERYDAY_DUST)
    dissolves = {"soluble": 2.5, "partly": 0.3, "no": 0.0}[material.solubility]
    return dissolves + 0.6 * toxic + 1.2 * material.slow_melting - 0.3 * material.plastic


def _hand_steps(table: MaterialTable, moles: Array) -> tuple[HandStep, ...] | None:
    """The hand method with the classical materials on offer, one for each oxide that is wanted; None where it fails."""
    picked: dict[str, int] = {}
    for name in (n for classic in CLASSICAL for n in (classic, f"{classic}, ideal") if n in table.names):
        i = table.names.index(name)
        lead = leading_oxide(table.moles[i])
        if moles[INDEX[lead]] > TOLERANCE:
            picked.setdefault(lead, i)
    rows = list(picked.values())
    steps = by_hand(moles, [table.names[i] for i in rows], table.moles[rows], HAND_TOLERANCE)
    return None if steps is None else tuple(s for s in steps if s.weight > 1e-6)


def _option(job: _Job, mix: Mix, lead: str, steps: tuple[HandStep, ...]) -> Option:
    exact = 100.0 * mix.amounts / mix.amounts.sum()
    amounts = coarsest(mix, job.table.moles, job.moles, job.steps, lambda step: rounded_to(exact, step)[0])
    reached = per_flux(amounts @ job.table.moles)
    lines = tuple(
        RecipeLine(material=job.table.names[i], amount=float(round(amounts[i], 9)))
        for i in np.argsort(-amounts, kind="stable") if amounts[i] > 0
    )  # fmt: skip
    recipe = Recipe(name=f"{job.target.name}, as a batch", cone=job.target.cone, surface=job.target.surface,
                    atmosphere=job.target.atmosphere, lines=lines,
                    source=f"made to the formula of {job.target.name}")  # fmt: skip
    option = Option(
        kind=Kind.RESOLVE, sentence="", changes=tuple(Change(line.material, 0.0, line.amount) for line in lines),
        recipe=recipe, after=check(recipe, job.shelf, job.setup), character=character_cost(job.moles, reached),
        meets_goals=False, notes=newcomers(job.materials, np.zeros(len(amounts)), amounts), steps=steps,
    )  # fmt: skip
    option = beside_formula(option, job.moles, reached)
    count = f"{len(lines)} material{'s' if len(lines) > 1 else ''}"
    return replace(option, sentence=f"{lead}: {count}, {nearness(option)} of the formula.")


def _sentence(target: Recipe, options: Sequence[Option]) -> str:
    if not options:
        return f"{target.name} cannot be made from this shelf."
    best = options[0]
    if best.exact:
        return f"{target.name} can be made from the shelf. {best.sentence}"
    missing = ", ".join(f"{s.oxide} {s.before:.2f} comes out {s.after:.2f}" for s in best.not_matched)
    return f"{target.name} cannot be made exactly from this shelf; the nearest: {missing}."


# The classical stepwise way from a unity formula to a batch, as potters were taught it with pencil and paper.
#
# One oxide after another is brought in by one material, whatever else it brings is crossed off, clay brings what
# alumina is left and quartz what silica is left. It works when every step leaves nothing below zero. (Seger 1886 wrote
# his cones this way; common practice since.)

ORDER: Final = (
    "P2O5", "TiO2", "ZrO2", "SnO2", "F", "Li2O", "B2O3", "K2O", "Na2O", "MgO", "BaO", "SrO", "ZnO", "PbO", "MnO", "CoO",
    "CuO", "NiO", "Cr2O3", "V2O5", "Fe2O3", "CaO", "Al2O3", "SiO2",
)  # fmt: skip
"""Which oxide is crossed off first."""
_WORTH: Final = 0.08
"""A material leads with an oxide only if it holds more than this share of its moles."""


def leading_oxide(moles_per_g: Array) -> str:
    """The oxide a material is brought in for: the first of :data:`ORDER` that it holds in earnest.

    >>> import numpy as np
    >>> from glazecalc.chemistry.composition import vector
    >>> leading_oxide(vector({"K2O": 1, "Al2O3": 1, "SiO2": 6})), leading_oxide(vector({"Al2O3": 1, "SiO2": 2}))
    ('K2O', 'Al2O3')
    """
    most = _WORTH * float(moles_per_g.sum())
    leads = (symbol for symbol in ORDER if moles_per_g[INDEX[symbol]] > most)
    return next(leads, SYMBOLS[int(np.argmax(moles_per_g))])


def by_hand(target: Array, names: Sequence[str], moles: Array, tolerance: float = 0.005) -> tuple[HandStep, ...] | None:
    """The steps from the unity formula ``target`` (k,) to a batch of the materials ``moles`` (m, k) [mol/g].

    Returns None where the method does not apply: two materials lead with one oxide, an oxide is brought in excess, or
    something is left over beyond ``tolerance`` [mol per flux sum].
    """
    leads = [leading_oxide(row) for row in moles]
    if len(set(leads)) != len(leads):
        return None
    left, steps = target.copy(), []
    for i in sorted(range(len(names)), key=lambda i: ORDER.index(leads[i]) if leads[i] in ORDER else len(ORDER)):
        lead = INDEX[leads[i]]
        weight = max(float(left[lead] / moles[i, lead]), 0.0)
        brings = weight * moles[i]
        left = left - brings
        if left.min() < -tolerance:
            return None
        named = tuple((SYMBOLS[j], float(brings[j])) for j in np.flatnonzero(brings > 1e-6))
        steps.append(HandStep(names[i], leads[i], float(brings[lead]), named, weight))
    return tuple(steps) if np.abs(left).max() <= tolerance else None
