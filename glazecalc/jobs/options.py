"""A change found becomes an option a potter can read: what to do, what it costs, before and after, how to prove it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from glazecalc.jobs.aim import Aim
from glazecalc.jobs.character import character_cost, outweighed
from glazecalc.jobs.check import check
from glazecalc.jobs.materials import newcomers
from glazecalc.jobs.palette import USUAL_CLAY, Palette, recipe_with
from glazecalc.jobs.reach import fired_at
from glazecalc.values.arrays import Array
from glazecalc.values.results.adjust import Change, Kind, Option, Proof, ProofTile

if TYPE_CHECKING:
    from glazecalc.jobs.adjust import Task

BUCKET_SHARE = 0.003
"""Extras below this share of the dry glaze are left out of what to stir into a bucket."""
LARGE_LINE = 0.05
"""Share of the recipe from which on a line is hardly touched by rounding."""
SLIGHT_CLAY = 1.0
"""Clay that is not worth a word [parts per 100 of base]."""
MOST_INTO_BUCKET = 80.0
"""Most that is stirred into a bucket rather than mixed afresh [g per 100 g of dry glaze]."""


def option_of(task: Task, kind: Kind, amounts: Array, meets: bool, objective: float) -> Option:
    """The option for amounts (m,), checked again as it would be weighed."""
    palette = task.aim.palette
    named = f"{task.recipe.name}, {_SUFFIX[kind]}"
    recipe = fired_at(recipe_with(task.recipe, palette, amounts, named, _purpose(task)), task.setup.cone)
    moles = palette.composition(np.stack([palette.start, amounts])).moles
    changes = changes_of(palette, amounts)
    after = check(recipe, task.shelf, task.setup)
    return Option(
        kind=kind,
        sentence=_sentence(palette, kind, amounts),
        changes=changes,
        recipe=recipe,
        after=after,
        character=outweighed(character_cost(moles[0], moles[1]), task.before, after),
        meets_goals=meets,
        to_bucket=to_bucket(palette, amounts),
        proof=proof_line(task.aim, palette.start, amounts),
        notes=(*newcomers(palette.materials, palette.start, amounts), *clay_note(palette, amounts)),
        clay_percent=float(palette.clay_percent(amounts)[0]),
        objective=objective,
    )


def clay_note(palette: Palette, amounts: Array) -> tuple[str, ...]:
    """What to do where too little or too much clay is in the slip (common practice, no source).

    Bentonite holds a slip up in much smaller amounts than other clay.
    """
    clay = float(palette.clay_percent(amounts)[0])
    least, most = USUAL_CLAY
    if clay > most + SLIGHT_CLAY:
        return (f"{clay:.0f} % of it is clay: it may shrink and crawl. Use some of the kaolin calcined.",)
    held = any("bentonite" in m.name.casefold() and x > 0 for m, x in zip(palette.materials, amounts, strict=True))
    if clay < least - SLIGHT_CLAY and not held:
        return (f"Only {clay:.0f} % of it is clay: it settles and dusts. Stir in 1 to 2 % bentonite.",)
    return ()


def _purpose(task: Task) -> str:
    """What the change is for, as it stands in the notes of the card."""
    setup, goals = task.setup, task.aim.goals
    if goals.fit and setup.body is not None:
        return f" to fit {setup.body.name}"
    return f" to melt at cone {setup.cone}"


_SUFFIX = {
    Kind.ONE_MATERIAL: "one material changed",
    Kind.SWAP: "one material traded",
    Kind.RESOLVE: "the whole recipe rebalanced",
}


def changes_of(palette: Palette, amounts: Array) -> tuple[Change, ...]:
    """Every line that differs, the largest change first."""
    moved = amounts - palette.start
    order = sorted(np.flatnonzero(np.abs(moved) > 1e-9), key=lambda i: (-abs(moved[i]), i))
    return tuple(
        Change(palette.written[i], float(palette.start[i]), float(amounts[i]), bool(palette.addition[i])) for i in order
    )


def _sentence(palette: Palette, kind: Kind, amounts: Array) -> str:
    """The change in one plain sentence."""
    per = 100.0 / palette.base_total
    if kind is Kind.RESOLVE:
        came = [palette.written[i] for i in np.flatnonzero((amounts > 0) & (palette.start <= 0))]
        went = [palette.written[i] for i in np.flatnonzero((amounts <= 0) & (palette.start > 0))]
        words = [f"add {_and(came)}" if came else "", f"drop {_and(went)}" if went else ""]
        return f"Rebalance the recipe: {', '.join(w for w in words if w) or 'the same materials in new amounts'}."
    if kind is Kind.ONE_MATERIAL:
        i = _lone(palette, amounts)
        before, after = palette.start[i] * per, amounts[i] * per
        if after <= 0:
            return f"Leave out the {palette.written[i]}, everything else in proportion."
        if before <= 0:
            return f"Bring in {palette.written[i]}: {after:.3g} in 100 of base, everything else in proportion."
        way = "More" if after > before else "Less"
        amount = f"from {before:.3g} to {after:.3g} in 100 of base"
        return f"{way} {palette.written[i]}: {amount}, everything else in proportion."
    moved = (amounts - palette.start) * per
    down, up = int(np.argmin(moved)), int(np.argmax(moved))
    if amounts[down] <= 0:
        return f"Put {palette.written[up]} in the place of all the {palette.written[down]} ({-moved[down]:.3g} in 100)."
    return f"Trade {-moved[down]:.3g} parts in 100 of {palette.written[down]} for {palette.written[up]}."


def _lone(palette: Palette, amounts: Array) -> int:
    """The one material that was changed: all others kept their proportions."""
    summed = np.flatnonzero(palette.summed & ((palette.start > 0) | (amounts > 0)))
    loose = np.flatnonzero(palette.addition & (np.abs(amounts - palette.start) > 1e-9))
    if len(loose):
        return int(loose[0])
    with np.errstate(divide="ignore"):
        factor = np.where(palette.start[summed] > 0, amounts[summed] / palette.start[summed], np.inf)
    usual = np.median(factor[np.isfinite(factor)])
    away = np.abs(amounts[summed] - usual * palette.start[summed])
    return int(summed[int(np.argmax(away))])


def to_bucket(palette: Palette, amounts: Array) -> str:
    """What to stir into a batch already mixed to make it the new recipe, or why that cannot be."""
    old, total = palette.start, float(palette.start.sum())
    gone = (old > 0) & (amounts <= 1e-9)
    if gone.any():
        name = palette.written[int(np.argmax(gone))]
        return f"A bucket already mixed cannot be changed this way: {name} would have to come out."
    large = old >= min(LARGE_LINE * total, float(old.max()))
    factor = float((amounts[large] / old[large]).min())
    extra = (amounts / factor - old) / total * 100.0
    told = [i for i in np.argsort(-extra, kind="stable") if extra[i] > 100 * BUCKET_SHARE]
    if not told:
        return ""
    if extra[told].sum() > MOST_INTO_BUCKET:
        return "A bucket already mixed would need more stirred in than is in it: mix a fresh bucket."
    words = _and([f"{extra[i]:.1f} g {palette.written[i]}" for i in told])
    makes = 100 + extra[told].sum()
    return f"Into a bucket already mixed, for every 100 g of dry glaze in it: {words}. It makes {makes:.0f} g."


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


# A few tiles from the old recipe to the new, so that a bucket is changed on evidence.

TILES: Final = 4
"""Tiles of a proof line, both ends included."""


def proof_line(aim: Aim, old: Array, new: Array) -> Proof:
    """A line blend by dry weight from the amounts ``old`` (m,) to ``new`` (m,), with each tile's chances."""
    parts = np.arange(TILES)
    share = (parts / (TILES - 1))[:, None]
    forecast = aim.forecast((1 - share) * old + share * new)
    tiles = tuple(
        ProofTile(
            id=chr(ord("A") + i), old_parts=TILES - 1 - i, new_parts=i,
            sound_probability=float(forecast.sound[i]) if aim.goals.fit else None,
            matures_probability=float(forecast.matures[i]) if aim.goals.melt else None,
        )
        for i in range(TILES)
    )  # fmt: skip
    sentence = (
        f"Prove it with {TILES} tiles on your clay before you change a bucket: mix 100 g of the old and 100 g of the "
        "new, blend them as below, fire them together, then shock them hot and cold."
    )
    return Proof(tiles, sentence)
