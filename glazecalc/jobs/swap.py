"""The job behind `swap`: the same fired formula from other materials, exact where it can be, else the nearest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import CONVENTIONS
from glazecalc.jobs.aim import Aim, aim_at
from glazecalc.jobs.cautions import metals_of, poison_first
from glazecalc.jobs.character import character_cost, outweighed
from glazecalc.jobs.check import check
from glazecalc.jobs.doubt import kept_as_it_is
from glazecalc.jobs.materials import Pantry, is_stand_in, resolve, unknown_lines
from glazecalc.jobs.newcomers import newcomers
from glazecalc.jobs.options import changes_of, clay_note, to_bucket
from glazecalc.jobs.outlook import outlook_of
from glazecalc.jobs.palette import Palette, Wishes, palette_of, recipe_with
from glazecalc.jobs.proof import proof_line
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.sparse import matched_mix
from glazecalc.jobs.weighable import steps_for
from glazecalc.values.answers import Problem, ProblemsError, did_you_mean, error
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Material, Recipe
from glazecalc.values.names import fold
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.results.adjust import Goals, Kind, Option, OxideShift, SwapResult
from glazecalc.values.results.check import CheckResult

TOLERANCE: Final = 0.01
"""An oxide within this of the old formula counts as kept [mol in the formula]."""
WORTH_ANOTHER: Final = 0.5
"""One more material from the shelf is offered if it leaves at most this share of the mismatch."""
KEPT_FREE: Final = 0.7
"""Share of the tolerance that the exact amounts may use; the rest is for rounding to what can be weighed."""
PLAIN_ENOUGH: Final = 0.15
"""A swap with all else as it was is offered if no oxide is off by more [mol in the formula], or nothing is better."""
_SLIP: Final = 1e-7


@dataclass(frozen=True, slots=True)
class Swapped:
    """Amounts (m,) [the card's parts] that replace the old, how far each oxide of the unity formula is off (k,)."""

    amounts: Array
    off: Array

    @property
    def worst(self) -> float:
        """Largest deviation of any oxide [mol in the formula]."""
        return float(np.abs(self.off).max())


def swap(
    recipe: Recipe,
    shelf: Pantry,
    stock: Sequence[str],
    setup: Setup,
    old: str,
    new: Sequence[str],
    *,
    resolution_g: float | None = None,
    tolerance: float = TOLERANCE,
) -> SwapResult:
    """Replace one material of a recipe and keep its fired formula.

    Ways: new for old with all else as it was; the other lines balanced as well; one more material from the shelf where
    that brings the formula much nearer. Options with what was asked for come first, the exact ones before the others,
    so that the first is the one the sentence speaks of.

    Raises
    ------
    ProblemsError
        if the recipe does not hold ``old``, a name is unknown, or the solver fails.
    """
    gone, coming = _named(recipe, shelf, old, new)
    wishes = Wishes(use=tuple(m.name for m in coming), without=(gone.name,))
    palette = palette_of(recipe, shelf, (), wishes)
    ways = _ways(palette, recipe, shelf, stock, wishes, coming, tolerance)
    steps = steps_for(resolution_g, palette.base_total)
    job = _Job(recipe, shelf, setup, steps, tolerance, check(recipe, shelf, setup), gone.name,
               tuple(m.name for m in coming))  # fmt: skip
    options = _in_order([_option(job, kind, where, found) for kind, where, found in ways], coming)
    changed = [o.after.formula for o in options]
    lead = poison_first(recipe.name, job.before.formula, changed)
    named = [(recipe.name, job.before.formula), *(("What stands below", formula) for formula in changed)]
    return SwapResult(
        recipe=recipe, old=gone.name, new=tuple(m.name for m in coming), before=job.before,
        options=options, sentence=lead + _told(gone.name, coming, options, tolerance), cautions=metals_of(named),
        clay_percent=float(palette.clay_percent(palette.start)[0]), notes=kept_as_it_is(recipe, shelf),
    )  # fmt: skip


def exchanged(palette: Palette, columns: NDArray[np.intp], tolerance: float = TOLERANCE) -> Swapped:
    """Amounts on the free ``columns`` whose oxides, with the fixed lines, are nearest to those of the start.

    Additions and colourants keep their ratio to the fired glaze, so that the formula is kept; the base is then
    brought back to its total.
    """
    target, fixed = _target(palette)
    wanted = np.maximum(target - fixed @ palette.table.moles, 0.0)
    scale = _flux(target)
    share = 1.0 / max(palette.base_total, 1e-30)
    pull = palette.start[columns]
    moles = palette.table.moles[columns] / scale
    mix = matched_mix(moles, wanted / scale, KEPT_FREE * tolerance, pull, _SLIP * share)
    amounts = fixed.copy()
    amounts[columns] = mix.amounts
    off = _unity(amounts @ palette.table.moles) - _unity(target)
    base = float(amounts[~palette.addition].sum())
    return Swapped(amounts * (palette.base_total / base if base > 0 else 1.0), off)


def _target(palette: Palette) -> tuple[Array, Array]:
    """Oxides of the recipe as it is (k,) [mol], and the amounts (m,) of the lines that keep theirs."""
    return palette.start @ palette.table.moles, np.where(palette.fixed, palette.start, 0.0)


def _flux(moles: Array) -> float:
    """What a formula is divided by: its fluxes, or all of it where there are none [mol]."""
    flux = float(moles @ CONVENTIONS["customary"].mask)
    return flux if flux > 0 else max(float(moles.sum()), 1e-30)


def _unity(moles: Array) -> Array:
    return np.asarray(moles / _flux(moles))


def _ways(
    palette: Palette, recipe: Recipe, shelf: Pantry, stock: Sequence[str], wishes: Wishes,
    coming: Sequence[Material], tolerance: float,
) -> list[tuple[Kind, Palette, Swapped]]:  # fmt: skip
    """The ways to swap, simplest first; a deeper one only where it brings the formula nearer."""
    names = {m.name for m in coming}
    new = np.array([i for i in palette.free if palette.materials[i].name in names], dtype=int)
    others = np.setdiff1d(palette.free, new)
    plain = exchanged(replace(palette, fixed=_held(palette, others)), new, tolerance)
    ways: list[tuple[Kind, Palette, Swapped]] = [(Kind.SWAP, palette, plain)]
    if plain.worst <= tolerance / 10:
        return ways
    full = exchanged(palette, palette.free, tolerance)
    if full.worst < 0.98 * plain.worst:
        ways.append((Kind.RESOLVE, palette, full))
        uses_the_new = bool((full.amounts[new] > palette.start[new]).any())
        ways = ways[1:] if plain.worst > PLAIN_ENOUGH and uses_the_new else ways
    best = min(plain.worst, full.worst)
    if best > tolerance:
        wider = _with_one_more(recipe, shelf, stock, wishes)
        if wider is not None and wider[1].worst < WORTH_ANOTHER * best:
            ways.append((Kind.RESOLVE, *wider))
    return ways


def _held(palette: Palette, columns: NDArray[np.intp]) -> NDArray[np.bool_]:
    held = palette.fixed.copy()
    held[columns] = True
    return held


def _with_one_more(
    recipe: Recipe, shelf: Pantry, stock: Sequence[str], wishes: Wishes
) -> tuple[Palette, Swapped] | None:
    """The swap with the one more material from the shelf that helps most."""
    wide = palette_of(recipe, shelf, stock, wishes)
    asked = {m.name for m in (shelf.find(n) for n in wishes.use) if m is not None}
    known = [i for i in wide.free if i < wide.own or wide.materials[i].name in asked]
    extra = [i for i in wide.free if i not in known]
    if not extra:
        return None
    tries = [exchanged(wide, np.sort(np.append(known, i)).astype(int)) for i in extra]
    best = min(range(len(tries)), key=lambda i: (tries[i].worst, i))
    return wide, tries[best]


def _named(recipe: Recipe, shelf: Pantry, old: str, new: Sequence[str]) -> tuple[Material, tuple[Material, ...]]:
    """The materials meant. Raises ProblemsError with every name that is not known, or not in the recipe."""
    lines, problems = resolve(recipe, shelf, doubt=True)
    found: list[Problem] = list(problems)
    gone = shelf.find(old)
    held = [r.material.name for r in lines if not is_stand_in(r.material)]
    if gone is None and any(fold(line.material) == fold(old) for line in unknown_lines(recipe, shelf)):
        asked = resolve(recipe, shelf)[1]
        found = [p for p in asked if p.is_error]
    elif gone is None or gone.name not in held:
        hint = did_you_mean(old, [*held, *(r.line.material for r in lines)]) or f"it holds: {', '.join(held)}"
        found.append(error("not-in-recipe", f"{recipe.name} holds no {old}", hint, recipe.file))
    coming = []
    for name in new:
        material = shelf.find(name)
        if material is None:
            hint = did_you_mean(name, shelf.names()) or "list them with: glazecalc materials"
            found.append(error("unknown-material", f"no material is called {name!r}", hint))
        elif gone is not None and material.name == gone.name:
            found.append(error("same-material", f"{name} and {old} are the same material", "name another one"))
        else:
            coming.append(material)
    if any(p.is_error for p in found):
        raise ProblemsError(found)
    assert gone is not None
    return gone, tuple(coming)


@dataclass(frozen=True, slots=True)
class _Job:
    recipe: Recipe
    shelf: Pantry
    setup: Setup
    steps: tuple[float, ...]
    tolerance: float
    before: CheckResult
    gone: str
    asked: tuple[str, ...]


def _option(job: _Job, kind: Kind, palette: Palette, found: Swapped) -> Option:
    """One way to swap as an option: rounded to what can be weighed, its formula set against the old."""
    amounts = _rounded(palette, found, job.steps, job.tolerance)
    moles = palette.composition(np.stack([palette.start, amounts])).moles
    off = _unity(moles[1]) - _unity(moles[0])
    why = f": {job.gone} out, {' and '.join(job.asked)} in"
    recipe = recipe_with(job.recipe, palette, amounts, f"{job.recipe.name}, swapped", why)
    exact = bool(np.abs(off).max() <= job.tolerance)
    after = check(recipe, job.shelf, job.setup)
    came = np.flatnonzero((amounts > 0) & (palette.start <= 0))
    besides = tuple(palette.written[i] for i in came if palette.materials[i].name not in job.asked)
    sentence, nearest = _sentence(palette, kind, amounts, float(np.abs(off).max()), exact, job.asked)
    return Option(
        kind=kind,
        sentence=sentence,
        nearest=nearest,
        besides=besides,
        changes=changes_of(palette, amounts),
        recipe=recipe,
        after=after,
        character=outweighed(character_cost(moles[0], moles[1]), job.before, after),
        meets_goals=exact,
        exact=exact,
        to_bucket=to_bucket(palette, amounts),
        proof=proof_line(_aim(palette, job.setup), palette.start, amounts),
        notes=(*newcomers(palette.materials, palette.start, amounts), *clay_note(palette, amounts)),
        came_along=_shifts(moles, lambda before, after: before < 5e-4 < after),
        not_matched=_shifts(moles, lambda before, after: abs(after - before) > job.tolerance),
        clay_percent=float(palette.clay_percent(amounts)[0]),
        objective=float(np.abs(off).max()),
    )


def _rounded(palette: Palette, found: Swapped, steps: Sequence[float], tolerance: float) -> Array:
    """The coarsest weighable amounts that leave the formula as near as the exact ones do."""
    target = _unity(palette.start @ palette.table.moles)
    free = replace(palette, fixed=palette.fixed & ~palette.addition)
    for step in steps:
        tried = free.rounded(found.amounts, step)[0]
        lost = ((found.amounts > 0) & (tried <= 0)).any()
        worst = float(np.abs(_unity(tried @ palette.table.moles) - target).max())
        if not lost and worst <= max(1.02 * found.worst, 0.5 * tolerance):
            return tried
    return free.rounded(found.amounts, steps[-1])[0]


def _aim(palette: Palette, setup: Setup) -> Aim:
    """An aim with no goals, for the chances of the proof tiles."""
    goals = Goals(sound=0.5, matures=0.5, fit=setup.body is not None, melt=setup.cone is not None)
    return aim_at(palette, outlook_of(setup, palette.composition(palette.start)), goals)


def _shifts(moles: Array, which: Callable[[float, float], bool]) -> tuple[OxideShift, ...]:
    """Oxides of the two rows of ``moles`` that ``which`` picks by their unity before and after."""
    before, after = _unity(moles[0]), _unity(moles[1])
    cost = {s.oxide: s for s in character_cost(moles[0], moles[1]).shifts}
    picked = [i for i in range(len(SYMBOLS)) if which(float(before[i]), float(after[i]))]
    return tuple(
        OxideShift(
            SYMBOLS[i], float(before[i]), float(after[i]), cost[SYMBOLS[i]].notices if SYMBOLS[i] in cost else 0.0
        )
        for i in picked
    )


def _sentence(
    palette: Palette, kind: Kind, amounts: Array, worst: float, exact: bool, asked: Sequence[str]
) -> tuple[str, str]:
    """What an option does, and the same where it is told that nothing comes nearer."""
    came = [palette.written[i] for i in np.flatnonzero((amounts > 0) & (palette.start <= 0))]
    how = "all else in proportion" if kind is Kind.SWAP else "the other lines balanced to it"
    off = f"an oxide off by up to {worst:.2f} in the formula"
    kept = f"every oxide within {max(worst, 0.0005):.3f} of the old formula" if exact else off
    lead = f"{' and '.join(came) or 'Nothing new'} in its place"
    unused = [name for name in asked if name not in came and not _held_up(palette, amounts, name)]
    if unused:
        lead = f"No use is found for {' or '.join(unused)}; {lead[0].lower() + lead[1:] if not came else lead}"
    return f"{lead}, {how}: {kept}.", f"{lead}, {how}: the nearest there is, {off}."


def _held_up(palette: Palette, amounts: Array, name: str) -> bool:
    """Whether the recipe after the swap holds more of a material than before."""
    found = [i for i, m in enumerate(palette.materials) if name in (m.name, palette.written[i])]
    return any(amounts[i] > palette.start[i] for i in found)


def _in_order(options: Sequence[Option], coming: Sequence[Material]) -> tuple[Option, ...]:
    """What was asked for first; of that the simplest exact one, else the nearest that uses what comes in."""
    names = {m.name for m in coming}

    def place(option: Option) -> tuple[bool, bool, bool, float]:
        uses = any(c.material in names and c.after > c.before for c in option.changes)
        return bool(option.besides), not option.exact, not uses, 0.0 if option.exact else option.objective or 0.0

    first, *rest = sorted(options, key=place)
    nearer = [o for o in rest if not o.besides and (o.objective or 0.0) < (first.objective or 0.0)]
    if not first.exact and not nearer:
        first = replace(first, sentence=first.nearest)
    return (first, *rest)


def _told(old: str, coming: Sequence[Material], options: Sequence[Option], tolerance: float) -> str:
    """What became of the materials asked for; only then what one more from the shelf would do."""
    asked = [o for o in options if not o.besides]
    others = [o for o in options if o.besides]
    kept = f"the formula kept within {tolerance:g} in the formula"
    best = asked[0]
    if best.exact:
        return f"{old} can be replaced and {kept}. {best.sentence}"
    off = ", ".join(f"{s.oxide} {s.before:.2f} to {s.after:.2f}" for s in best.not_matched)
    new = " and ".join(m.name for m in coming)
    text = f"{old} cannot be replaced exactly by {new}; not matched: {off}."
    if not others:
        return text
    way = f"{kept}" if others[0].exact else "the formula kept nearer"
    return f"{text} From the shelf, not asked for, {' and '.join(others[0].besides)} too: {way}."
