"""The job behind `adjust`: a short ladder of changes that fit and melt, the smallest first, or why there is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from glazecalc.jobs.aim import Aim, aim_at, goals_of, outlook_of
from glazecalc.jobs.cautions import of_changes
from glazecalc.jobs.check import check, hinges, is_used, kept_as_it_is
from glazecalc.jobs.materials import Pantry, only_doubt
from glazecalc.jobs.one_change import Candidates, one_material, one_trade, refined
from glazecalc.jobs.options import Task, option_of
from glazecalc.jobs.palette import Palette, Wishes, palette_of, recipe_with, steps_for
from glazecalc.jobs.progress import tell
from glazecalc.jobs.re_solve import best_mix, weighed
from glazecalc.jobs.reach import fired_at
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.why_not import (
    ANOTHER_GLAZE,
    MOST_ON_AN_UNKNOWN_CLAY,
    WhyNot,
    a_glaze,
    clay_is_known,
    marked,
    not_a_glaze,
    tiles_instead,
    why_not,
)
from glazecalc.values.answers import Answer, ProblemsError, error, listed
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.adjust import AdjustResult, Kind, Option
from glazecalc.values.texts import joined, phrase

CANDIDATES_REFINED = 6
"""How many of the best single changes are refined to the last weighable step."""
CANNOT_CHANGE = {
    "bought": ("is a bought glaze without a recipe", "see what is known of it with|: glazecalc check|"),
    "composition": ("gives a formula, not materials", "make a batch of it first|: glazecalc adjust --target CARD|"),
    "body": ("is a clay, not a glaze", "see what is known of it with|: glazecalc body|"),
}
TRIFLE: Final = 0.01
"""Share of the base below which a line is left out of a recipe that is rebalanced."""
SCATTER = 200
"""Mixtures scattered over the palette for further starting points."""
PRICE_OF_A_NEWCOMER = 1.0
"""A single change with a material the recipe already has is taken unless a new one saves this [squared steps]."""


SPARE: Final = 0.1
"""How much surer a change aims to be where a little of the recipe is not known, so that it holds whatever that is."""
SUREST: Final = 0.95
STOPS: Final = ("kiln_reaches", "clay_range")
"""Verdicts of `check` that no change of the recipe alters."""


def adjust(
    recipe: Recipe,
    shelf: Pantry,
    stock: Sequence[str],
    setup: Setup,
    *,
    wishes: Wishes | None = None,
    keep: tuple[str, ...] = (),
    resolution_g: float | None = None,
) -> AdjustResult:
    """The smallest changes of a recipe that fit the clay and melt at the cone.

    Parameters
    ----------
    stock
        Names of the materials on the shelf, which may be used beside the recipe's own.
    resolution_g
        Smallest step of the scale [g].

    Raises ProblemsError if the card or a wish is faulty, there is nothing to aim for, or a solver fails.
    """
    if recipe.kind in CANNOT_CHANGE:
        what, hint = CANNOT_CHANGE[recipe.kind]
        raise ProblemsError([error("no-recipe-to-change", f"{recipe.name} {what}", phrase(hint), recipe.file)])
    palette = palette_of(recipe, shelf, stock, wishes or Wishes())
    before = check(recipe, shelf, setup)
    outlook = outlook_of(setup, palette.composition(palette.start))
    aim = aim_at(palette, outlook, goals_of(setup, keep), keep)
    task = Task(recipe, shelf, setup, aim, steps_for(resolution_g, palette.base_total), before)
    start = palette.scaled_back(palette.start)
    kept = bool(np.allclose(start[0], palette.start)) and bool(palette.allowed(start)[0])
    if kept and (bool(aim.met(start)[0]) or _used_and_good(task)) and not hinges(before.verdicts):
        return _nothing_to_do(task)
    if only_doubt(recipe, shelf):
        sound, matures = (max(p, min(p + SPARE, SUREST)) for p in (aim.goals.sound, aim.goals.matures))
        surer = replace(aim, goals=replace(aim.goals, sound=sound, matures=matures))
        result = _changed(replace(task, aim=surer))
        if result.answer is Answer.FITS:
            return replace(result, goals=aim.goals)
    return _changed(task)


def _used_and_good(task: Task) -> bool:
    """Whether `check` says yes to a card that people use, which the aim does not count."""
    asked = {v.rule: v.answer for v in task.before.verdicts if v.rule not in STOPS}
    return is_used(task.recipe) and bool(asked) and all(answer is Answer.FITS for answer in asked.values())


def _nothing_to_do(task: Task) -> AdjustResult:
    """The answer for a recipe that meets its goals; what `check` says no to all the same, no recipe mends."""
    name, asked = task.recipe.name, "; ".join(task.aim.goals.words[:-1])
    stops = [v for v in task.before.verdicts if v.answer is Answer.DOES_NOT_FIT]
    if stops:
        reason = WhyNot(joined(" ", (v.message for v in stops)), tuple(v.rule for v in stops))
        no_change = "No change of {} helps: {} But for that it meets what is asked ({})."
        sentence = phrase(no_change, name, reason.sentence, asked)
        return _result(task, (), Answer.DOES_NOT_FIT, sentence, reason)
    return _result(task, (), Answer.FITS, f"{name} needs no change: it already meets what is asked ({asked}).")


def _changed(task: Task) -> AdjustResult:
    """The answer of one task of which the recipe as it is does not do."""
    ladder = _ladder(task)
    tell("checking what was found", 4, 5)
    meeting = [_option(task, rung) for rung in ladder if rung.met]
    known = clay_is_known(task.setup) or not task.aim.goals.fit
    near = [o for o in meeting if known or o.character.distance <= MOST_ON_AN_UNKNOWN_CLAY]
    glazes = [o for o in near if a_glaze(task.before, o)]
    itself = [o for o in glazes if o.character.distance < ANOTHER_GLAZE]
    options = tuple(marked(o) for o in itself or glazes)
    return _changes_offered(task, options) if options else _none_fits(task, ladder, known, bool(meeting))


def _changes_offered(task: Task, options: tuple[Option, ...]) -> AdjustResult:
    """The answer where changes do it, but for what no change alters, and for what hangs on an unknown material."""
    recipe = task.recipe
    options = tuple(o for o in options if not hinges(o.after.verdicts)) or options
    stops = [v.message for v in task.before.verdicts if v.rule in STOPS and v.answer is Answer.DOES_NOT_FIT]
    if stops:
        helps = "No change of {} helps at this cone: {} But for that: {}"
        sentence = phrase(helps, recipe.name, joined(" ", stops), _headline(recipe, options))
        return _result(task, options, Answer.DOES_NOT_FIT, sentence)
    doubt = hinges(options[0].after.verdicts)
    if doubt:
        sentence = phrase("Cannot say that this makes {} fit: {} {}", recipe.name, options[0].sentence, doubt)
        return _result(task, options, Answer.CANNOT_SAY, sentence)
    return _result(task, options, Answer.FITS, _headline(recipe, options))


def _headline(recipe: Recipe, options: Sequence[Option]) -> str:
    if all(o.character.distance >= ANOTHER_GLAZE for o in options):
        return phrase("{} cannot be made to fit and stay itself. {}", recipe.name, options[0].sentence)
    return phrase("{} can be changed to fit. The simplest: {}", recipe.name, options[0].sentence)


def _none_fits(task: Task, ladder: Sequence[Rung], known: bool, met: bool) -> AdjustResult:
    """The answer where no change can be shown: why, and the nearest or the tiles to fire instead."""
    name = task.recipe.name
    nearest = min(ladder, key=lambda rung: rung.objective)
    reason = None if met else why_not(task.aim, task.shelf, nearest.amounts)
    if not known and (reason is None or reason.binding != ("melt",)):
        reason = tiles_instead(task.recipe, task.before, task.setup)
        sentence = phrase("Cannot say how to change {}: {}", name, reason.sentence)
        return _result(task, (), Answer.CANNOT_SAY, sentence, reason)
    if reason is None:
        reason = not_a_glaze()
        sentence = f"No change of {name} is offered: {reason.sentence}"
        return _result(task, (), Answer.DOES_NOT_FIT, sentence, reason)
    option = replace(_option(task, nearest), meets_goals=False)
    shown = marked(option) if a_glaze(task.before, option) else None
    hangs = reason.unknowable or (shown is not None and bool(hinges(shown.after.verdicts)))
    answer = Answer.CANNOT_SAY if hangs else Answer.DOES_NOT_FIT
    sentence = phrase("No change of {} from this shelf does it: {}", name, reason.sentence)
    return _result(task, (), answer, sentence, reason, shown)


def _result(
    task: Task, options: tuple[Option, ...], answer: Answer, sentence: str, reason: WhyNot | None = None,
    nearest: Option | None = None,
) -> AdjustResult:  # fmt: skip
    palette, before = task.aim.palette, task.before
    changed = [o.after.formula for o in (*options, nearest) if o is not None]
    lead, cautions = of_changes(task.recipe.name, before.formula, changed)
    return AdjustResult(
        recipe=task.recipe, goals=task.aim.goals, before=before, options=options, answer=answer,
        sentence=lead + sentence, cautions=cautions,
        infeasible_because=reason.sentence if reason else "" if options else "no change is needed",
        binding=reason.binding if reason else (), would_help=reason.would_help if reason else (), nearest=nearest,
        shelf=tuple(m.name for m in palette.materials[palette.own :]),
        clay_percent=float(palette.clay_percent(palette.start)[0]), notes=kept_as_it_is(task.recipe, task.shelf),
    )  # fmt: skip


# The ladder: one material, one trade, a full re-solve; each as it would be weighed.


@dataclass(frozen=True, slots=True, eq=False)
class Rung:
    """Amounts (m,) that were found, as they would be weighed, with their kind and objective; ``moved`` is the column
    of the one material whose change it is."""

    kind: Kind
    amounts: Array
    objective: float
    met: bool
    moved: int = -1


def _ladder(task: Task) -> list[Rung]:
    """The best of each kind, as far as there is one."""
    aim, palette = task.aim, task.aim.palette
    tell("trying each material alone", 1, 5)
    singles, trades = one_material(palette), one_trade(palette)
    single = _best_of(task, Kind.ONE_MATERIAL, singles)
    tell("trying one material for another", 2, 5)
    simple = [rung for rung in (single, _best_of(task, Kind.SWAP, trades)) if rung]
    tell("solving the whole recipe again", 3, 5)
    solved = best_mix(aim, starting_points(aim, [rung.amounts for rung in simple]), at_most(palette)).amounts
    plain, tidy = (weighed(aim, each, task.steps) for each in (solved, without_trifles(palette, solved)))
    return [*simple, Rung(Kind.RESOLVE, *(tidy if tidy.met or not plain.met else plain))]


def _best_of(task: Task, kind: Kind, candidates: Candidates) -> Rung | None:
    """The best single change of a kind, refined and rounded."""
    palette = task.aim.palette
    if not len(candidates.amounts) or not palette.few_enough(np.where(palette.upper > 0, palette.start, 0.0))[0]:
        return None
    rows = candidates.best(task.aim.objective(candidates.amounts))[:CANDIDATES_REFINED]
    ends = zip(refined(task.aim, candidates, rows, task.steps), candidates.column[rows].tolist(), strict=True)
    rungs = [
        Rung(kind, *end, moved)
        for end, moved in ends if palette.few_enough(end.amounts)[0] and np.isfinite(end.objective)
    ]  # fmt: skip

    def price(rung: Rung) -> float:
        return rung.objective + PRICE_OF_A_NEWCOMER * int(((rung.amounts > 0) & (palette.start <= 0)).sum())

    return min(rungs, key=price, default=None)


def starting_points(aim: Aim, changes: Sequence[Array] = ()) -> list[Array]:
    """Where a re-solve starts: the recipe as it is, changes found already, and the two best of a fixed scatter of
    mixtures (Halton points on the simplex, half way to the recipe)."""
    palette, columns = aim.palette, aim.palette.free
    rows = np.tile(np.where(palette.fixed, palette.start, 0.0), (SCATTER, 1))
    rows[:, columns] = np.log(_halton(SCATTER, len(columns))) ** 2
    rows = 0.5 * palette.scaled_back(rows) + 0.5 * palette.scaled_back(palette.start)
    best = np.argsort(aim.objective(rows), kind="stable")[:2]
    return [palette.start, *changes, *rows[best]]


def _halton(count: int, dimensions: int) -> Array:
    """The first points of the Halton sequence in (0, 1), (count, dimensions): scipy's, whose import takes a second."""
    bases = [p for p in range(2, 700) if all(p % q for q in range(2, int(p**0.5) + 1))][:dimensions]
    points, share = np.zeros((count, dimensions)), np.ones(dimensions)
    left = np.repeat(np.arange(1, count + 1)[:, None], dimensions, axis=1)
    while left.any():
        share /= bases
        points += share * (left % bases)
        left //= bases
    return np.clip(points, 1e-6, 1 - 1e-6)


def at_most(palette: Palette) -> int:
    """Most free materials of a re-solve: as asked, else one more than the recipe has and no fewer than four."""
    kept = int((palette.fixed & ~palette.addition).sum())
    own = int((palette.summed[: palette.own] & (palette.start[: palette.own] > 0)).sum())
    loose = int((palette.addition & ~palette.fixed).sum())
    asked = palette.at_most
    return max((max(own + 1, 4) if asked is None else asked - kept) + loose, 1)


def without_trifles(palette: Palette, amounts: Array) -> Array:
    """The amounts (m,) without base lines too small to matter that the recipe did not have as such."""
    least = TRIFLE * palette.base_total
    own = (palette.start > 0) & (palette.start < least)
    drop = palette.summed & ~own & (amounts > 0) & (amounts < least)
    kept: Array = palette.scaled_back(np.where(drop, 0.0, amounts))[0]
    return kept


# A rung as an option, in words.

_SUFFIX = {
    Kind.ONE_MATERIAL: "one material changed",
    Kind.SWAP: "one material traded",
    Kind.RESOLVE: "the whole recipe rebalanced",
}


def _option(task: Task, rung: Rung) -> Option:
    setup, palette = task.setup, task.aim.palette
    purpose = f" to melt at cone {setup.cone}" if setup.body is None else f" to fit {setup.body.name}"
    card = recipe_with(task.recipe, palette, rung.amounts, f"{task.recipe.name}, {_SUFFIX[rung.kind]}", purpose)
    option = option_of(task, rung.kind, rung.amounts, fired_at(card, setup.cone), _sentence(palette, rung))
    return replace(option, meets_goals=rung.met, objective=rung.objective)


def _sentence(palette: Palette, rung: Rung) -> str:
    """The change in one plain sentence."""
    amounts, start, written = rung.amounts, palette.start, palette.written
    if rung.kind is Kind.RESOLVE:
        came = listed([written[i] for i in np.flatnonzero((amounts > 0) & (start <= 0))])
        went = listed([written[i] for i in np.flatnonzero((amounts <= 0) & (start > 0))])
        words = [f"add {came}" if came else "", f"drop {went}" if went else ""]
        return f"Rebalance the recipe: {', '.join(w for w in words if w) or 'the same materials in new amounts'}."
    barred = listed([written[i] for i in np.flatnonzero(~palette.fixed & (palette.upper <= 0) & (start > 0))])
    before = f"Leave out the {barred}. " if barred else ""
    return before + (_more_or_less if rung.kind is Kind.ONE_MATERIAL else _traded)(palette, rung)


def _more_or_less(palette: Palette, rung: Rung) -> str:
    per, name = 100.0 / palette.base_total, palette.written[rung.moved]
    before, after = palette.start[rung.moved] * per, rung.amounts[rung.moved] * per
    if after <= 0:
        change = f"Leave out the {name}"
    elif before <= 0:
        change = f"Bring in {name}: {after:.3g} in 100 of base"
    else:
        change = f"{'More' if after > before else 'Less'} {name}: from {before:.3g} to {after:.3g} in 100 of base"
    return f"{change}, everything else in proportion."


def _traded(palette: Palette, rung: Rung) -> str:
    moved = (rung.amounts - palette.scaled_back(palette.start)[0]) * 100.0 / palette.base_total
    down, up = int(np.argmin(moved)), int(np.argmax(moved))
    if rung.amounts[down] <= 0:
        return f"Put {palette.written[up]} in the place of all the {palette.written[down]} ({-moved[down]:.3g} in 100)."
    return f"Trade {-moved[down]:.3g} parts in 100 of {palette.written[down]} for {palette.written[up]}."
