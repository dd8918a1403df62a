"""A change found becomes an option a potter can read: what to do, what it costs, before and after, how to prove it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import per_flux
from glazecalc.jobs.aim import Aim
from glazecalc.jobs.character import character_cost, outweighed
from glazecalc.jobs.check import check
from glazecalc.jobs.materials import Pantry, newcomers
from glazecalc.jobs.palette import USUAL_CLAY, Palette
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.sparse import Mix
from glazecalc.values.answers import listed
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Recipe
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.results.adjust import Change, Kind, Option, OxideShift, Proof, ProofTile
from glazecalc.values.results.check import CheckResult
from glazecalc.values.texts import phrase

BUCKET_SHARE = 0.003
"""Extras below this share of the dry glaze are left out of what to stir into a bucket."""
LARGE_LINE = 0.05
"""Share of the recipe from which on a line is hardly touched by rounding."""
SLIGHT_CLAY = 1.0
"""Clay that is not worth a word [parts per 100 of base]."""
TOLERANCE: Final = 0.01
"""An oxide within this of the wanted formula counts as kept [mol per flux sum]."""
PRESENT: Final = 5e-4
"""An oxide is in a formula from this on [mol per flux sum]."""
MOST_INTO_BUCKET = 80.0
"""Most that is stirred into a bucket rather than mixed afresh [g per 100 g of dry glaze]."""


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """One recipe to change: the aim, the weighable steps [the card's parts, coarsest first], and the check of the
    recipe as it is."""

    recipe: Recipe
    shelf: Pantry
    setup: Setup
    aim: Aim
    steps: tuple[float, ...]
    before: CheckResult


def option_of(task: Task, kind: Kind, amounts: Array, recipe: Recipe, sentence: str) -> Option:
    """The option for amounts (m,), which ``recipe`` has, checked again as it would be weighed."""
    palette = task.aim.palette
    before, changed = palette.composition(np.stack([palette.start, amounts])).moles
    after = check(recipe, task.shelf, task.setup)
    return Option(
        kind=kind, sentence=sentence, changes=_changes(palette, amounts), recipe=recipe, after=after,
        character=outweighed(character_cost(before, changed), task.before, after), meets_goals=False,
        to_bucket=_to_bucket(palette, amounts), proof=_proof_line(task.aim, amounts),
        notes=(*newcomers(palette.materials, palette.start, amounts), *clay_note(palette, amounts)),
        clay_percent=float(palette.clay_percent(amounts)[0]),
    )  # fmt: skip


def coarsest(mix: Mix, moles: Array, target: Array, steps: Sequence[float], rounded: Callable[[float], Array]) -> Array:
    """A mix of materials ``moles`` (m, k) ``rounded`` to the coarsest of ``steps`` [coarsest first] that loses no line
    and leaves it about as near to the unity formula ``target`` (k,); to the finest where none does."""
    most = max(1.02 * mix.worst(), 0.5 * TOLERANCE)
    for step in steps:
        tried = rounded(step)
        lost = ((mix.amounts > 0) & (tried <= 0)).any()
        if not lost and np.abs(per_flux(tried @ moles) - target).max() <= most:
            return tried
    return rounded(steps[-1])


def beside_formula(option: Option, before: Array, after: Array) -> Option:
    """The option with how near the unity formula ``after`` (k,) is to ``before`` (k,)."""
    off = np.abs(after - before)
    noticed = {s.oxide: s.notices for s in option.character.shifts}

    def shifts(which: NDArray[np.bool_]) -> tuple[OxideShift, ...]:
        return tuple(
            OxideShift(SYMBOLS[i], float(before[i]), float(after[i]), noticed.get(SYMBOLS[i], 0.0))
            for i in np.flatnonzero(which)
        )

    exact = bool(off.max() <= TOLERANCE)
    return replace(
        option, meets_goals=exact, exact=exact, objective=float(off.max()),
        came_along=shifts((before < PRESENT) & (after > PRESENT)), not_matched=shifts(off > TOLERANCE),
    )  # fmt: skip


def nearness(option: Option) -> str:
    """How near a formula was come to, in words."""
    worst = option.objective or 0.0
    return f"every oxide within {max(worst, 0.001):.3f}" if option.exact else f"an oxide off by up to {worst:.2f}"


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


def _changes(palette: Palette, amounts: Array) -> tuple[Change, ...]:
    """Every line that differs, the largest change first."""
    moved = amounts - palette.start
    order = sorted(np.flatnonzero(np.abs(moved) > 1e-9), key=lambda i: (-abs(moved[i]), i))
    return tuple(
        Change(palette.written[i], float(palette.start[i]), float(amounts[i]), bool(palette.addition[i])) for i in order
    )


def _to_bucket(palette: Palette, amounts: Array) -> str:
    """What to stir into a batch already mixed to make it the new recipe, or why that cannot be."""
    old, total = palette.start, float(palette.start.sum())
    gone = (old > 0) & (amounts <= 1e-9)
    if gone.any():
        name = palette.written[int(np.argmax(gone))]
        return f"A bucket already mixed cannot be changed this way: {name} would have to come out."
    large = old >= min(LARGE_LINE * total, float(old.max()))
    factor = float((amounts[large] / old[large]).min())
    extra = (amounts / factor - old) / total * 100.0
    stirred = [i for i in np.argsort(-extra, kind="stable") if extra[i] > 100 * BUCKET_SHARE]
    if not stirred:
        return ""
    if extra[stirred].sum() > MOST_INTO_BUCKET:
        return "A bucket already mixed would need more stirred in than is in it: mix a fresh bucket."
    words = listed([phrase("{:.1f g} {}", extra[i], palette.written[i]) for i in stirred])
    makes = 100 + extra[stirred].sum()
    every = "Into a bucket already mixed, for every {100 g} of dry glaze in it: {}. It makes {:.0f g}."
    return phrase(every, words, makes)


# A few tiles from the old recipe to the new, so that a bucket is changed on evidence.

TILES: Final = 4
"""Tiles of a proof line, both ends included."""


def _proof_line(aim: Aim, new: Array) -> Proof:
    """A line blend by dry weight from the recipe as it is to the amounts ``new`` (m,), with each tile's chances."""
    parts = np.arange(TILES)
    share = (parts / (TILES - 1))[:, None]
    forecast = aim.forecast((1 - share) * aim.palette.start + share * new)
    tiles = tuple(
        ProofTile(
            id=chr(ord("A") + i), old_parts=TILES - 1 - i, new_parts=i,
            sound_probability=float(forecast.sound[i]) if aim.goals.fit else None,
            matures_probability=float(forecast.matures[i]) if aim.goals.melt else None,
        )
        for i in range(TILES)
    )  # fmt: skip
    sentence = phrase(
        "Prove it with {} tiles on your clay before you change a bucket: mix {100 g} of the old and {100 g} of the "
        "new, blend them as below, fire them together, then shock them hot and cold.", TILES,
    )  # fmt: skip
    return Proof(tiles, sentence)
