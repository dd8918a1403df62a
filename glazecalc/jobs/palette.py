"""Which materials a change may use, how much of each, and which lines stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.chemistry.composition import (
    COLOURING,
    Composition,
    MaterialTable,
    compose,
    material_table,
    moles_per_gram,
)
from glazecalc.chemistry.formulas import FormulaError
from glazecalc.chemistry.oxides import MOLAR_MASSES
from glazecalc.jobs.materials import Pantry, ResolvedLine, coarse, is_stand_in, not_known, poisonous, resolve
from glazecalc.values.answers import Problem, ProblemsError, error, stop_at_errors
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Material, Recipe, RecipeLine
from glazecalc.values.names import fold
from glazecalc.values.texts import phrase

COLOURING_SHARE: Final = 0.3
"""Weight share of colourant and opacifier oxides above which a material is one (common practice, no source)."""
USUAL_CLAY: Final = (10.0, 20.0)
"""Clay in 100 of base that keeps a slip up without making it crawl (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the user says of materials: may be used, must not be, at most so many parts per 100 of base."""

    use: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    limit: tuple[tuple[str, float], ...] = ()
    at_most: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Palette:
    """Materials as columns: the recipe's own lines first, then what the shelf offers.

    ``start`` and ``upper`` (m,) [the card's parts]; ``fixed`` (m,) marks lines that keep their amount (colourants,
    opacifiers, all additions); ``addition`` (m,) those over the base. ``own`` lines of the card.
    """

    materials: tuple[Material, ...]
    written: tuple[str, ...]
    table: MaterialTable
    start: Array
    upper: Array
    fixed: NDArray[np.bool_]
    addition: NDArray[np.bool_]
    own: int
    at_most: int | None = None

    @property
    def summed(self) -> NDArray[np.bool_]:
        """Columns whose amounts share the free part of the base, (m,)."""
        return ~self.fixed & ~self.addition

    @property
    def free_total(self) -> float:
        """Sum of the base amounts that may move [the card's parts]; it is kept."""
        return float(self.start[self.summed].sum())

    @property
    def base_total(self) -> float:
        """The base total of the card [its parts]; it is kept."""
        return float(self.start[~self.addition].sum())

    @property
    def free(self) -> NDArray[np.intp]:
        """Columns whose amounts may move."""
        return np.flatnonzero(~self.fixed & (self.upper > 0))

    def composition(self, amounts: Array) -> Composition:
        """Fired compositions of rows of amounts (n, m) [the card's parts]."""
        return compose(np.atleast_2d(amounts), self.table)

    def scaled_back(self, amounts: Array) -> Array:
        """Rows of amounts (n, m) with nothing barred or below zero and the free part of the base at its total.

        A row with nothing free in it gets the same of everything that may be used.
        """
        amounts = np.where(self.fixed, self.start, np.maximum(np.atleast_2d(amounts), 0.0))
        amounts[:, ~self.fixed & (self.upper <= 0)] = 0.0
        empty = amounts[:, self.summed].sum(axis=1) <= 1e-9 * self.free_total
        amounts[np.ix_(empty, self.summed & (self.upper > 0))] = 1.0
        total = amounts[:, self.summed].sum(axis=1, keepdims=True)
        scale = np.divide(self.free_total, total, out=np.zeros_like(total), where=total > 0)
        amounts[:, self.summed] *= scale
        return amounts

    def rounded(self, amounts: Array, step: float, kept: NDArray[np.bool_] | None = None) -> Array:
        """Rows of amounts (n, m) in whole steps: the base total kept, additions that may move each to the nearest.

        Lines marked in ``kept`` (m,) are as on the card.
        """
        if kept is not None and kept.any():
            others = self.summed & ~kept
            left = self.free_total - float(self.start[kept].sum())
            amounts = np.where(kept, self.start, amounts)
            amounts[:, others] *= left / amounts[:, others].sum(axis=1, keepdims=True)
        result = rounded_to(amounts, step, ~self.summed if kept is None else ~self.summed | kept)
        loose = self.addition & ~self.fixed
        result[:, loose] = np.round(result[:, loose] / step) * step
        return result

    def few_enough(self, amounts: Array) -> NDArray[np.bool_]:
        """Whether the base of each row of amounts (n, m) has no more materials than were asked for, (n,)."""
        lines = (np.atleast_2d(amounts)[:, ~self.addition] > 1e-6 * self.base_total).sum(axis=1)
        return np.asarray(lines <= (np.inf if self.at_most is None else self.at_most))

    def clay_percent(self, amounts: Array) -> Array:
        """Plastic clay in 100 of base for rows of amounts (n, m), additions counted too, (n,)."""
        plastic = np.array([m.plastic for m in self.materials])
        return np.asarray(100.0 * np.atleast_2d(amounts)[:, plastic].sum(axis=1) / self.base_total)

    def clay_off(self, amounts: Array) -> Array:
        """How far the clay is outside both the usual and what it was, (n,) [parts per 100 of base]."""
        was, now = float(self.clay_percent(self.start)[0]), self.clay_percent(amounts)
        least, most = min(USUAL_CLAY[0], was), max(USUAL_CLAY[1], was)
        return np.asarray(np.maximum(0.0, np.maximum(least - now, now - most)))

    def allowed(self, amounts: Array) -> NDArray[np.bool_]:
        """Whether rows of amounts (n, m) keep within the limits and leave a base, (n,)."""
        within = (amounts <= np.where(self.fixed, np.inf, self.upper) + 1e-9).all(axis=1)
        return np.asarray(within & (amounts[:, self.summed].sum(axis=1) > 0))

    def only(self, columns: NDArray[np.intp]) -> Palette:
        """The same with nothing but these free columns allowed."""
        upper = np.zeros_like(self.upper)
        upper[columns] = self.upper[columns]
        return replace(self, upper=np.where(self.fixed, self.upper, upper))

    def wider(self, more: Sequence[Material], upper: ArrayLike) -> Palette:
        """The same with ``more`` materials at its end, of each no more than ``upper`` [the card's parts]."""
        materials, none = (*self.materials, *more), np.zeros(len(more), dtype=bool)
        return replace(
            self, materials=materials, written=(*self.written, *(m.name for m in more)),
            table=material_table(materials), start=np.append(self.start, np.zeros(len(more))),
            upper=np.append(self.upper, upper),
            fixed=np.append(self.fixed, none), addition=np.append(self.addition, none),
        )  # fmt: skip


def colours(material: Material) -> bool:
    """Whether a material is in a glaze for its colour or its opacity."""
    weights = moles_per_gram(material) * MOLAR_MASSES
    total = float(weights.sum())
    return total > 0 and float(weights @ COLOURING) > COLOURING_SHARE * total


def palette_of(recipe: Recipe, pantry: Pantry, shelf: Sequence[str], wishes: Wishes) -> Palette:
    """The palette for changing a recipe.

    Raises ProblemsError if the card or a wish names an unknown material, or nothing may move.
    """
    lines, problems = resolve(recipe, pantry, doubt=True)
    known, unknown = wished(wishes, pantry, [r.material for r in lines if is_stand_in(r.material)])
    stop_at_errors((*problems, *unknown))
    barred = {known[name].name for name in wishes.without}
    freed = {known[name].name for name in wishes.use} | {known[name].name for name, _ in wishes.limit}
    base = recipe.base_total
    if base <= 0:
        raise ProblemsError([error("no-base", "the card has no base to change, only additions", file=recipe.file)])
    merged = _merged(lines)
    taken = {m.material.name for m in merged} | barred
    offered = [m for m in uninvited(pantry, shelf) if not _colours_or_breaks(m)]
    extra = {m.name: m for m in (*(known[name] for name in wishes.use), *offered) if m.name not in taken}
    own = [r.material for r in merged]
    addition = np.array([r.line.addition for r in merged])
    keeps = [
        m.name not in barred and (is_stand_in(m) or (m.name not in freed and (adds or colours(m))))
        for m, adds in zip(own, addition, strict=True)
    ]
    limits = {known[name].name: percent * base / 100.0 for name, percent in wishes.limit}
    palette = Palette(
        materials=tuple(own), written=tuple(r.line.material for r in merged), table=material_table(own),
        start=np.array([r.line.amount for r in merged]),
        upper=np.array([0.0 if m.name in barred else limits.get(m.name, np.inf) for m in own]),
        fixed=np.array(keeps), addition=addition, own=len(own), at_most=wishes.at_most,
    ).wider(tuple(extra.values()), [limits.get(name, np.inf) for name in extra])  # fmt: skip
    if palette.free_total <= 0 or not (palette.summed & (palette.upper > 0)).any():
        use = phrase("name one| with --use|")
        raise ProblemsError([error("nothing-free", "no material of this recipe may be changed", use)])
    return palette


def _merged(lines: Sequence[ResolvedLine]) -> list[ResolvedLine]:
    """Lines of one material, on one side of the base, brought together."""
    merged: dict[tuple[str, bool], ResolvedLine] = {}
    for r in lines:
        key = (r.material.name, r.line.addition)
        if key in merged:
            line = merged[key].line
            r = ResolvedLine(line.model_copy(update={"amount": line.amount + r.line.amount}), r.material)
        merged[key] = r
    return sorted(merged.values(), key=lambda r: r.line.addition)


def wished(
    wishes: Wishes, pantry: Pantry, unknown: Sequence[Material] = ()
) -> tuple[dict[str, Material], tuple[Problem, ...]]:
    """The materials of the wishes by their words; one of the card that is ``unknown`` may be named too."""
    stand_ins = {fold(m.name): m for m in unknown}
    known: dict[str, Material] = {}
    problems: list[Problem] = []
    limited = [name for name, _ in wishes.limit]
    for option, names in (("--use", wishes.use), ("--without", wishes.without), ("--limit", limited)):
        for name in names:
            material = pantry.find(name) or stand_ins.get(fold(name))
            if material is None:
                problems.append(not_known(name, pantry, option))
            else:
                known[name] = material
    return known, tuple(problems)


def uninvited(pantry: Pantry, shelf: Sequence[str]) -> list[Material]:
    """The materials of the shelf that may come into a recipe though nobody names them."""
    stocked = [m for m in map(pantry.find, shelf) if m is not None]
    return [m for m in stocked if not poisonous(m) and not coarse(m)]


def _colours_or_breaks(material: Material) -> bool:
    try:
        return colours(material) or float(moles_per_gram(material).sum()) == 0.0
    except FormulaError:
        return True


def recipe_with(recipe: Recipe, palette: Palette, amounts: Array, name: str, why: str) -> Recipe:
    """A card with those amounts (m,); lines of nil are left out, new materials stand after the old.

    What the card said of the fired surface, and its notes, are of the old recipe: in their place stands that it was
    changed, ``why``, and that it has not been fired.
    """
    lines = tuple(
        RecipeLine(material=palette.written[i], amount=float(round(amounts[i], 9)), addition=bool(palette.addition[i]))
        for i in sorted(range(len(amounts)), key=lambda i: (bool(palette.addition[i]), i))
        if round(amounts[i], 9) > 0
    )
    notes = f"changed from {recipe.name}{why}; not fired"
    return recipe.model_copy(
        update={"name": name, "lines": lines, "file": None, "surface": "", "notes": notes, "proven": ""}
    )


# Amounts rounded to what can be weighed, the total kept: largest remainders, for one batch or many thousands.

NICE_STEPS: Final = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Steps a recipe is written in [parts per 100 of base], coarsest first."""
TEST_BATCH_G: Final = 100.0
"""Smallest batch that changed recipes are meant to be weighed for [g]."""


def finest_step(resolution_g: float | None) -> float:
    """The finest step [parts per 100] that shows on a scale of ``resolution_g`` in a 100 g test batch.

    >>> finest_step(0.1), finest_step(1.0), finest_step(None)
    (0.1, 1.0, 0.1)
    """
    wanted = 0.1 if resolution_g is None else resolution_g * 100.0 / TEST_BATCH_G
    return next((s for s in reversed(NICE_STEPS) if s >= wanted * (1 - 1e-9)), NICE_STEPS[0])


def steps_for(resolution_g: float | None, base_total: float = 100.0) -> tuple[float, ...]:
    """Steps to try [the card's parts], coarsest first, none finer than the scale shows."""
    finest = finest_step(resolution_g)
    return tuple(s * base_total / 100.0 for s in NICE_STEPS if s >= finest * (1 - 1e-9))


def rounded_to(amounts: Array, step: float, fixed: NDArray[np.bool_] | None = None) -> Array:
    """Rows of amounts as whole steps, each row's total kept, nothing below zero.

    ``amounts`` (n, m); the columns marked in ``fixed`` (m,) stay as they are. Largest remainders get the steps that
    rounding down left over; what is less than a step stays on the row's largest line. A zero stays zero.
    """
    amounts = np.atleast_2d(np.asarray(amounts, dtype=float))
    free = np.ones(amounts.shape[1], dtype=bool) if fixed is None else ~fixed
    part = np.where(free, amounts, 0.0)
    whole = np.floor(part / step + 1e-9)
    remainder = np.where(part > 0, part / step - whole, -1.0)
    left = (part.sum(axis=1) - whole.sum(axis=1) * step) / step
    count = np.clip(np.floor(left + 1e-6), 0, None).astype(int)
    rank = np.argsort(np.argsort(-remainder, axis=1, kind="stable"), axis=1, kind="stable")
    whole += (rank < count[:, None]) & (part > 0)
    result = np.where(free, whole * step, amounts)
    rest = amounts.sum(axis=1) - result.sum(axis=1)
    biggest = np.argmax(np.where(free, result, -1.0), axis=1)
    result[np.arange(len(result)), biggest] += rest
    return np.where(np.abs(result) < 1e-12, 0.0, result)
