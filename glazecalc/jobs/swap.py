"""The job behind `swap`: the same fired formula from other materials, exact where it can be, else the nearest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import flux_sum, per_flux
from glazecalc.jobs.aim import aim_at, outlook_of
from glazecalc.jobs.cautions import of_changes
from glazecalc.jobs.check import check, kept_as_it_is
from glazecalc.jobs.materials import Pantry, not_known, resolve, unknown_lines
from glazecalc.jobs.options import TOLERANCE, Task, beside_formula, coarsest, nearness, option_of
from glazecalc.jobs.palette import Palette, Wishes, palette_of, recipe_with, steps_for
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.sparse import Mix, matched_mix
from glazecalc.values.answers import did_you_mean, error, stop_at_errors
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Recipe
from glazecalc.values.names import fold
from glazecalc.values.results.adjust import Goals, Kind, Option, SwapResult
from glazecalc.values.texts import phrase

WORTH_ANOTHER: Final = 0.5
"""One more material from the shelf is offered if it leaves at most this share of the mismatch."""
KEPT_FREE: Final = 0.7
"""Share of the tolerance that the exact amounts may use; the rest is for rounding to what can be weighed."""
PLAIN_ENOUGH: Final = 0.15
"""A swap with all else as it was is offered if no oxide is off by more [mol in the formula], or nothing is better."""
_SLIP: Final = 1e-7


def swap(
    recipe: Recipe,
    shelf: Pantry,
    stock: Sequence[str],
    setup: Setup,
    old: str,
    new: Sequence[str],
    *,
    resolution_g: float | None = None,
) -> SwapResult:
    """Replace one material of a recipe and keep its fired formula.

    Ways: new for old with all else as it was; the other lines balanced as well; one more material from the shelf where
    that brings the formula much nearer. Options with what was asked for come first, the exact ones before the others,
    so that the first is the one the sentence speaks of.

    Raises ProblemsError if the recipe does not hold ``old``, a name is unknown, or the solver fails.
    """
    gone, coming = _named(recipe, shelf, old, new)
    wishes = Wishes(use=coming, without=(gone,))
    palette = palette_of(recipe, shelf, (), wishes)
    before, steps = check(recipe, shelf, setup), steps_for(resolution_g, palette.base_total)
    goals = Goals(sound=0.5, matures=0.5, fit=setup.body is not None, melt=setup.cone is not None)
    options = []
    for kind, used, mix in _ways(palette, recipe, shelf, stock, wishes):
        aim = aim_at(used, outlook_of(setup, used.composition(used.start)), goals)  # for the chances of the proof tiles
        options.append(_option(Task(recipe, shelf, setup, aim, steps, before), kind, mix, wishes))
    ordered = _in_order(options, coming)
    lead, cautions = of_changes(recipe.name, before.formula, [o.after.formula for o in ordered])
    return SwapResult(
        recipe=recipe, old=gone, new=coming, before=before, options=ordered,
        sentence=lead + _headline(gone, coming, ordered), cautions=cautions,
        clay_percent=float(palette.clay_percent(palette.start)[0]), notes=kept_as_it_is(recipe, shelf),
    )  # fmt: skip


def exchanged(palette: Palette, columns: NDArray[np.intp]) -> Mix:
    """Amounts on the free ``columns`` whose oxides, with the fixed lines, are nearest to those of the start.

    Additions and colourants keep their ratio to the fired glaze, so that the formula is kept; the base is then
    brought back to its total.
    """
    target, fixed = palette.start @ palette.table.moles, np.where(palette.fixed, palette.start, 0.0)
    wanted = np.maximum(target - fixed @ palette.table.moles, 0.0)
    scale = flux_sum(target)
    share = 1.0 / max(palette.base_total, 1e-30)
    pull = palette.start[columns]
    moles = palette.table.moles[columns] / scale
    mix = matched_mix(moles, wanted / scale, KEPT_FREE * TOLERANCE, pull, _SLIP * share)
    amounts = fixed.copy()
    amounts[columns] = mix.amounts
    off = per_flux(amounts @ palette.table.moles) - per_flux(target)
    base = float(amounts[~palette.addition].sum())
    return Mix(amounts * (palette.base_total / base if base > 0 else 1.0), off)


def _ways(
    palette: Palette, recipe: Recipe, shelf: Pantry, stock: Sequence[str], wishes: Wishes
) -> list[tuple[Kind, Palette, Mix]]:  # fmt: skip
    """The ways to swap, simplest first; a deeper one only where it brings the formula nearer."""
    new = np.array([i for i in palette.free if palette.materials[i].name in wishes.use], dtype=int)
    held = palette.fixed.copy()
    held[np.setdiff1d(palette.free, new)] = True
    plain = exchanged(replace(palette, fixed=held), new)
    ways: list[tuple[Kind, Palette, Mix]] = [(Kind.SWAP, palette, plain)]
    if plain.worst() <= TOLERANCE / 10:
        return ways
    full = exchanged(palette, palette.free)
    if full.worst() < 0.98 * plain.worst():
        uses_the_new = bool((full.amounts[new] > palette.start[new]).any())
        ways = [] if plain.worst() > PLAIN_ENOUGH and uses_the_new else ways
        ways.append((Kind.RESOLVE, palette, full))
    best = min(plain.worst(), full.worst())
    if best > TOLERANCE:
        wide = palette_of(recipe, shelf, stock, wishes)
        extra = [i for i in wide.free if i >= wide.own and wide.materials[i].name not in wishes.use]
        tries = [exchanged(wide, np.setdiff1d(wide.free, [j for j in extra if j != i])) for i in extra]
        helps = min(tries, key=Mix.worst, default=None)
        if helps is not None and helps.worst() < WORTH_ANOTHER * best:
            ways.append((Kind.RESOLVE, wide, helps))
    return ways


def _named(recipe: Recipe, shelf: Pantry, old: str, new: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """The names meant. Raises ProblemsError with every name that is not known, or not in the recipe."""
    lines, doubts = resolve(recipe, shelf, doubt=True)
    problems = list(doubts)
    gone = shelf.find(old)
    held = [r.material.name for r in lines if r.known]
    if gone is None and any(fold(line.material) == fold(old) for line in unknown_lines(recipe, shelf)):
        problems = [p for p in resolve(recipe, shelf)[1] if p.is_error]
    elif gone is None or gone.name not in held:
        hint = did_you_mean(old, [*held, *(r.line.material for r in lines)]) or f"it holds: {', '.join(held)}"
        problems.append(error("not-in-recipe", f"{recipe.name} holds no {old}", hint, recipe.file))
    coming = []
    for name in new:
        material = shelf.find(name)
        if material is None:
            problems.append(not_known(name, shelf))
        elif gone is not None and material.name == gone.name:
            problems.append(error("same-material", f"{name} and {old} are the same material", "name another one"))
        else:
            coming.append(material.name)
    stop_at_errors(problems)
    assert gone is not None
    return gone.name, tuple(coming)


def _option(task: Task, kind: Kind, mix: Mix, wishes: Wishes) -> Option:
    """One way to swap as an option: rounded to what can be weighed, its formula set against the old."""
    palette = task.aim.palette
    target = per_flux(palette.start @ palette.table.moles)
    free = replace(palette, fixed=palette.fixed & ~palette.addition)
    amounts = coarsest(mix, palette.table.moles, target, task.steps, lambda step: free.rounded(mix.amounts, step)[0])
    why = f": {wishes.without[0]} out, {' and '.join(wishes.use)} in"
    card = recipe_with(task.recipe, palette, amounts, f"{task.recipe.name}, swapped", why)
    option = option_of(task, kind, amounts, card, _sentence(palette, kind, amounts, wishes.use))
    before, after = palette.composition(np.stack([palette.start, amounts])).moles
    came = np.flatnonzero((amounts > 0) & (palette.start <= 0))
    besides = tuple(palette.written[i] for i in came if palette.materials[i].name not in wishes.use)
    return replace(beside_formula(option, per_flux(before), per_flux(after)), besides=besides)


def _sentence(palette: Palette, kind: Kind, amounts: Array, asked: Sequence[str]) -> str:
    """What is done, without its full stop."""
    came = [palette.written[i] for i in np.flatnonzero((amounts > 0) & (palette.start <= 0))]
    more = {name for i in np.flatnonzero(amounts > palette.start)
            for name in (palette.materials[i].name, palette.written[i])}  # fmt: skip
    how = "all else in proportion" if kind is Kind.SWAP else "the other lines balanced to it"
    lead = f"{' and '.join(came) or 'Nothing new'} in its place"
    unused = [name for name in asked if name not in came and name not in more]
    if unused:
        lead = f"No use is found for {' or '.join(unused)}; {lead[0].lower() + lead[1:] if not came else lead}"
    return f"{lead}, {how}"


def _in_order(options: Sequence[Option], coming: Sequence[str]) -> tuple[Option, ...]:
    """What was asked for first; of that the simplest exact one, else the nearest that uses what comes in.

    How near each comes is said at the end of its sentence.
    """

    def place(option: Option) -> tuple[bool, bool, bool, float]:
        uses = any(c.material in coming and c.after > c.before for c in option.changes)
        return bool(option.besides), not option.exact, not uses, 0.0 if option.exact else option.objective or 0.0

    first, *rest = sorted(options, key=place)
    nearer = [o for o in rest if not o.besides and (o.objective or 0.0) < (first.objective or 0.0)]
    lead = "" if first.exact or nearer else "the nearest there is, "
    return tuple(
        replace(o, sentence=f"{o.sentence}: {lead if o is first else ''}{nearness(o)} "
                            f"{'of the old formula' if o.exact else 'in the formula'}.")
        for o in (first, *rest)
    )  # fmt: skip


def _headline(old: str, coming: Sequence[str], options: Sequence[Option]) -> str:
    """What became of the materials asked for; only then what one more from the shelf would do."""
    best = next(o for o in options if not o.besides)
    kept = f"the formula kept within {TOLERANCE:g} in the formula"
    if best.exact:
        return phrase("{} can be replaced and {}. {}", old, kept, best.sentence)
    off = ", ".join(f"{s.oxide} {s.before:.2f} to {s.after:.2f}" for s in best.not_matched)
    text = f"{old} cannot be replaced exactly by {' and '.join(coming)}; not matched: {off}."
    other = next((o for o in options if o.besides), None)
    if other is None:
        return text
    nearer = kept if other.exact else "the formula kept nearer"
    return f"{text} From the shelf, not asked for, {' and '.join(other.besides)} too: {nearer}."
