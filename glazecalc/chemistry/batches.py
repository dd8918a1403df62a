"""What a scale shows for a batch: the best rounding, how far a line can be off, and the least batch that is good.

A scale of step r shows whole multiples of r, and a reading stands for anything within half a step of it. So
a line is off by the rounding of its target to a step, and may be off by half a step more. Both are counted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Scale

_EXACT: Final = 1e-9
"""A target this near a whole number of steps [steps] is one."""
LARGEST_BATCH_G: Final = 1e6
_CHUNK: Final = 4096


def round_to_steps(targets: Sequence[float], *, total_may_move: float = 0.0) -> tuple[int, ...]:
    """Whole steps for lines of a batch, given the exact targets [steps], so that the worst line is off least.

    Every line takes the step below or above its target, at least one; the steps sum to the rounded total. Among those
    roundings the one returned has the least worst relative error, and of these the least sum of squared relative
    errors. When the one-step minimum makes that total unreachable, the nearest reachable is kept.

    Where every line at its nearest step moves the total by no more than ``total_may_move`` [steps], that is returned.

    >>> round_to_steps([2.4, 3.4, 4.2]), round_to_steps([2.4, 3.4, 4.2], total_may_move=1)
    ((2, 4, 4), (2, 3, 4))
    """
    exact = [float(t) for t in targets]
    near = [round(t) for t in exact]
    nearest = tuple(max(n, 1) if t > 0 else 0 for n, t in zip(near, exact, strict=True))
    if abs(sum(nearest) - sum(exact)) <= total_may_move:
        return nearest
    floors = [n if abs(t - n) < _EXACT else math.floor(t) for t, n in zip(exact, near, strict=True)]
    steps = [max(f, 1) if t > 0 else 0 for f, t in zip(floors, exact, strict=True)]
    free = [i for i, (s, t) in enumerate(zip(steps, exact, strict=True)) if t - s > _EXACT]
    raised = min(max(round(sum(exact)) - sum(steps), 0), len(free))
    for i in _raise_which(free, exact, steps, raised):
        steps[i] += 1
    return tuple(steps)


def _raise_which(free: list[int], exact: list[float], steps: list[int], count: int) -> list[int]:
    """Which ``count`` of the ``free`` lines go up a step: bottleneck first, then least squares."""
    down = {i: (exact[i] - steps[i]) / exact[i] for i in free}
    up = {i: (steps[i] + 1 - exact[i]) / exact[i] for i in free}
    settled = [abs(s - t) / t for i, (s, t) in enumerate(zip(steps, exact, strict=True)) if t > 0 and i not in down]
    least = max(settled, default=0.0)

    def possible(limit: float) -> bool:
        must = [i for i in free if down[i] > limit]
        may = [i for i in free if up[i] <= limit]
        return len(must) <= count <= len(may) and all(up[i] <= limit for i in must)

    levels = sorted({least, *(x for x in (*down.values(), *up.values()) if x > least)})
    limit = next(level for level in levels if possible(level))
    must = [i for i in free if down[i] > limit]
    others = [i for i in free if down[i] <= limit and up[i] <= limit]
    others.sort(key=lambda i: (up[i] ** 2 - down[i] ** 2, i))
    return must + others[: count - len(must)]


def worst_error_percent(target_g: float, shown_g: float, reading_g: float) -> float:
    """How far a line can be off [%]: its rounding, and ``reading_g``, what the scale's last digit hides."""
    return 100 * (abs(shown_g - target_g) + reading_g) / target_g


@dataclass(frozen=True, slots=True)
class Weighed:
    """One line on a scale: ``shown_g`` is what to read, ``reading_g`` what the last digit hides, in ``goes`` goes.

    ``below_minimum`` is true where the scale is not to be trusted with so little.
    """

    target_g: float
    shown_g: float
    reading_g: float
    scale: Scale
    goes: int
    below_minimum: bool

    @property
    def error_percent(self) -> float:
        """Rounding error [% of this line], positive when too much is shown."""
        return 100 * (self.shown_g - self.target_g) / self.target_g

    @property
    def worst_percent(self) -> float:
        """Furthest the line can be off [% of this line]."""
        return worst_error_percent(self.target_g, self.shown_g, self.reading_g)

    def within(self, tolerance_percent: float) -> bool:
        """Whether this line can be trusted to be within tolerance."""
        return not self.below_minimum and self.worst_percent <= tolerance_percent * (1 + 1e-12)


def scale_for(target_g: float, scales: Sequence[Scale]) -> Scale:
    """The finest scale that bears the line in one go; else the one that bears most.

    Raises
    ------
    ValueError
        if there is no scale.
    """
    if not scales:
        raise ValueError("there is no scale")
    bearing = [s for s in scales if s.capacity_g is None or target_g <= s.capacity_g]
    if bearing:
        return min(bearing, key=lambda s: s.resolution_g)
    return max(scales, key=lambda s: s.capacity_g or math.inf)


def weigh_out(
    targets_g: Sequence[float], scales: Sequence[Scale], total_tolerance_percent: float = 0.0
) -> tuple[Weighed, ...]:
    """Each line of a batch on the scale that suits it, rounded best among the lines that share a scale [g].

    Every line is at its nearest step where that moves the total of those lines by no more than
    ``total_tolerance_percent``; else their total is kept.
    """
    chosen = [scale_for(t, scales) for t in targets_g]
    shown = [0.0] * len(chosen)
    for scale in dict.fromkeys(chosen):
        rows = [i for i, s in enumerate(chosen) if s is scale]
        exact = [targets_g[i] / scale.resolution_g for i in rows]
        steps = round_to_steps(exact, total_may_move=total_tolerance_percent / 100 * sum(exact))
        for i, count in zip(rows, steps, strict=True):
            shown[i] = _clean(count, scale.resolution_g)
    weighed = []
    for target_g, shown_g, scale in zip(targets_g, shown, chosen, strict=True):
        goes = 1 if scale.capacity_g is None else max(1, math.ceil(shown_g / scale.capacity_g - _EXACT))
        too_little = target_g < (scale.minimum_g or 0.0) * (1 - _EXACT)
        weighed.append(Weighed(target_g, shown_g, goes * scale.resolution_g / 2, scale, goes, too_little))
    return tuple(weighed)


def _clean(steps: int, resolution_g: float) -> float:
    """``steps`` times the resolution without the dust of binary fractions: 3 x 0.1 is 0.3."""
    return float(f"{steps * resolution_g:.12g}")


def adequate(shares: Sequence[float], batch_g: float, scales: Sequence[Scale], tolerance_percent: float) -> bool:
    """Whether every line of a batch of this size is within tolerance. ``shares`` sum to one."""
    weighed = weigh_out([batch_g * s for s in shares], scales, tolerance_percent)
    return all(w.within(tolerance_percent) for w in weighed)


def smallest_batch(
    shares: Sequence[float], scales: Sequence[Scale], tolerance_percent: float, largest_g: float = LARGEST_BATCH_G
) -> float | None:
    """The smallest batch [g] for which every line is within tolerance; None if there is none up to ``largest_g``.

    Every multiple of the finest step is tried, from the least that could do. ``shares`` [fraction] sum to one.
    """
    if tolerance_percent <= 0:
        return None
    grid = min(s.resolution_g for s in scales)
    fractions = np.array([s for s in shares if s > 0])
    least_g = min(s.minimum_g or 0.0 for s in scales) / float(fractions.min())
    first = max(1, math.floor(grid / 2 / (tolerance_percent / 100 * float(fractions.min())) / grid),
                math.floor(least_g * (1 - _EXACT) / grid))  # fmt: skip
    last = int(largest_g / grid)
    while first <= last:
        steps = np.arange(first, min(first + _CHUNK, last + 1))
        for count in steps[_may_do(steps * grid, fractions, scales, tolerance_percent)]:
            batch = _clean(int(count), grid)
            if adequate(fractions.tolist(), batch, scales, tolerance_percent):
                return batch
        first += _CHUNK
    return None


def _may_do(
    batches_g: NDArray[np.floating], fractions: Array, scales: Sequence[Scale], tolerance_percent: float
) -> NDArray[np.bool_]:
    """Batches not ruled out: no rounding beats the nearest step, on whichever scale. Shape of ``batches_g``."""
    targets = batches_g[:, None] * fractions
    best = np.full(targets.shape, np.inf)
    for scale in scales:
        step = scale.resolution_g
        off = np.abs(np.round(targets / step) * step - targets) + step / 2
        best = np.minimum(best, np.where(targets >= (scale.minimum_g or 0.0) * (1 - _EXACT), off, np.inf))
    return np.asarray((best <= targets * tolerance_percent / 100 * (1 + 1e-9)).all(axis=1))


def least_extra(targets_g: Sequence[float], in_pot_g: Sequence[float]) -> tuple[float, ...]:
    """The least extra of every line [g] that brings a pot back to its recipe, given what is in it.

    The line that is furthest over sets the size of the new batch: no line needs less than nothing, and at
    least one needs nothing, so no smaller mending exists. Targets are positive.

    >>> least_extra([50.0, 30.0, 20.0], [60.0, 30.0, 20.0])
    (0.0, 6.0, 4.0)
    """
    factor = max(got / want for got, want in zip(in_pot_g, targets_g, strict=True))
    factor = max(factor, 0.0)
    extras = [factor * want - got for got, want in zip(in_pot_g, targets_g, strict=True)]
    return tuple(max(e, 0.0) if abs(e) > 1e-12 * factor * w else 0.0 for e, w in zip(extras, targets_g, strict=True))


# Blends: which parts of which corner go into each tile, and what the mixture of corners is.

Parts = NDArray[np.int64]


def line_parts(members: int) -> Parts:
    """A line from the first corner to the second in equal steps, shape (members, 2).

    >>> line_parts(3).tolist()
    [[2, 0], [1, 1], [0, 2]]
    """
    _at_least("a line", members, 2)
    second = np.arange(members)
    return np.column_stack([members - 1 - second, second])


def triaxial_parts(members: int) -> Parts:
    """A triangle with ``members`` on an edge, row by row from the first corner; n (n + 1) / 2 tiles, shape (_, 3).

    >>> triaxial_parts(2).tolist()
    [[1, 0, 0], [0, 1, 0], [0, 0, 1]]
    """
    _at_least("a triangle", members, 2)
    whole = members - 1
    rows = [(whole - row, row - third, third) for row in range(members) for third in range(row + 1)]
    return np.array(rows)


def square_parts(rows: int, columns: int) -> Parts:
    """A rectangle between four corners (top left, top right, bottom left, bottom right), shape (rows x columns, 4).

    Bilinear: the parts of a tile are whole and sum to (rows - 1)(columns - 1).

    >>> square_parts(2, 3).tolist()[1]
    [1, 1, 0, 0]
    """
    _at_least("a square", min(rows, columns), 2)
    down, across = rows - 1, columns - 1
    places = [(i, j) for i in range(rows) for j in range(columns)]
    return np.array([((down - i) * (across - j), (down - i) * j, i * (across - j), i * j) for i, j in places])


def addition_parts(*levels: Sequence[float]) -> Parts:
    """A base with every combination of additions [% of the base]: whole parts of base and of each addition.

    The last material changes fastest. The base's parts are 100, or the least multiple that makes every part whole.

    >>> addition_parts([0, 0.5, 2]).tolist()
    [[200, 0], [200, 1], [200, 4]]
    """
    exact = [[Fraction(str(level)) for level in each] for each in levels]
    if not exact or any(not each or min(each) < 0 for each in exact):
        raise ValueError("additions are percentages from 0 up")
    scale = math.lcm(*(level.denominator for each in exact for level in each))
    grids = np.meshgrid(*([int(level * scale) for level in each] for each in exact), indexing="ij")
    columns = [grid.ravel() for grid in grids]
    return np.column_stack([np.full(len(columns[0]), 100 * scale), *columns])


def _at_least(what: str, given: int, least: int) -> None:
    if given < least:
        raise ValueError(f"{what} needs at least {least} tiles on an edge")


def mix(parts: ArrayLike, corners: ArrayLike) -> Array:
    """Amounts of the materials in each tile: ``parts`` (n, c) times the corners' amounts (c, m), shape (n, m)."""
    return np.asarray(parts, dtype=float) @ np.asarray(corners, dtype=float)


def shares(parts: ArrayLike, weights: ArrayLike | None = None) -> Array:
    """Parts as fractions that sum to one in each row, shape of ``parts``; ``weights`` (c,) is what one part weighs.

    Of parts that are volumes of slurries the weights are the dry content of each corner's slurry [g/mL]: a denser one
    weighs more than its parts.
    """
    weighed = np.asarray(parts, dtype=float) * (1.0 if weights is None else np.asarray(weights, dtype=float))
    return np.asarray(weighed / weighed.sum(axis=1, keepdims=True))


def corner_totals(tile_shares: ArrayLike, dry_g_each: float, waste_percent: float = 0.0) -> Array:
    """Dry matter of each corner that the whole plan takes [g], shape (c,)."""
    taken = np.asarray(tile_shares, dtype=float).sum(axis=0) * dry_g_each
    return np.asarray(taken * (1 + waste_percent / 100))


def pot_additions(levels: Sequence[float], base_g: float, tile_g: float) -> list[float]:
    """What to add to one pot between tiles [g], so that it passes through rising ``levels`` [% of the base].

    The pot starts with ``base_g`` of base [dry g]; before each tile the addition to its level goes in, and each tile
    takes ``tile_g`` of the mixture with it, base and addition alike. One figure per level.

    Raises
    ------
    ValueError
        if the levels do not rise, or the pot runs dry.
    """
    base, added, additions = base_g, 0.0, []
    for level in levels:
        extra = base * level / 100 - added
        if extra < -1e-9 * base_g:
            raise ValueError("the levels must rise")
        added += max(extra, 0.0)
        additions.append(max(extra, 0.0))
        left = 1 - tile_g / (base + added)
        if left <= 0:
            raise ValueError("the pot is too small for so many tiles")
        base, added = base * left, added * left
    return additions


# Slurry, water and coat: Brongniart's relation and what follows from it.

USUAL_SOLIDS_DENSITY: Final = 2.6
"""Density of a glaze's solids where a material's own is unknown [g/mL] (Handbook for Australian Potters)."""


def dry_per_mL(slurry_density: ArrayLike, solids_density: ArrayLike) -> Array:
    """Dry matter in a slurry [g per mL], from its density and that of its solids [g/mL]; the two broadcast.

    >>> round(1000 * float(dry_per_mL(1.5, 2.5)), 1)
    833.3
    """
    density, solids = np.asarray(slurry_density, dtype=float), np.asarray(solids_density, dtype=float)
    return (density - 1) * solids / (solids - 1)


def slurry_density(dry_g_per_mL: ArrayLike, solids_density: ArrayLike) -> Array:
    """Density of a slurry [g/mL] that holds so much dry matter per mL: the inverse of :func:`dry_per_mL`."""
    solids = np.asarray(solids_density, dtype=float)
    return 1 + np.asarray(dry_g_per_mL, dtype=float) * (solids - 1) / solids


def volume_mL(dry_g: ArrayLike, specific_gravity: ArrayLike, solids_density: ArrayLike) -> Array:
    """Volume of slurry that so much dry matter makes [mL]."""
    return np.asarray(dry_g, dtype=float) / dry_per_mL(specific_gravity, solids_density)


def water_g(dry_g: ArrayLike, specific_gravity: ArrayLike, solids_density: ArrayLike) -> Array:
    """Water in the slurry that so much dry matter makes [g]."""
    dry, gravity = np.asarray(dry_g, dtype=float), np.asarray(specific_gravity, dtype=float)
    return volume_mL(dry, gravity, solids_density) * gravity - dry


def dry_in_mass(slurry_g: ArrayLike, specific_gravity: ArrayLike, solids_density: ArrayLike) -> Array:
    """Dry matter in so many grams of slurry [g]."""
    gravity = np.asarray(specific_gravity, dtype=float)
    return np.asarray(slurry_g, dtype=float) / gravity * dry_per_mL(gravity, solids_density)


def water_to_change(dry_g: float, now: float, wanted: float, solids_density: float) -> float:
    """Water to add [g] to bring a slurry from one specific gravity to another; negative: to take off."""
    return float(water_g(dry_g, wanted, solids_density) - water_g(dry_g, now, solids_density))


def mixed_density(grams: ArrayLike, densities: ArrayLike) -> tuple[float, bool]:
    """Density of mixed solids [g/mL] by their volumes, and whether every density was known.

    ``grams`` (m,) [g], ``densities`` (m,) [g/mL], nan where unknown and then taken as usual.
    """
    mass, rho = np.asarray(grams, dtype=float), np.asarray(densities, dtype=float)
    known = np.isfinite(rho) | (mass == 0)
    rho = np.where(np.isfinite(rho), rho, USUAL_SOLIDS_DENSITY)
    return float(mass.sum() / (mass / rho).sum()), bool(known.all())


def density_from_cup(empty_g: float, full_g: float, volume_mL: float) -> float:
    """Density of a slurry [g/mL] from a cup weighed empty and full.

    Raises
    ------
    ValueError
        if the cup holds nothing.
    """
    if not (volume_mL > 0 and full_g > empty_g >= 0):
        raise ValueError("the full cup must weigh more than the empty one, and hold something")
    return (full_g - empty_g) / volume_mL


def density_error(empty_g: float, full_g: float, volume_mL: float, step_g: float, volume_error_mL: float) -> float:
    """How far the density of a cup can be off [g/mL], half a scale step at each weighing and an error of the volume."""
    density = density_from_cup(empty_g, full_g, volume_mL)
    return math.hypot(step_g / math.sqrt(2) / volume_mL, density * volume_error_mL / volume_mL)


def coat_grams(area_cm2: float, coat_mm: float, packing: float, solids_density: float) -> float:
    """Dry glaze on an area [g]: thickness of the dry coat times the share of it that is solid times its density."""
    return area_cm2 * coat_mm / 10 * packing * solids_density


def fired_thickness_mm(dry_g_per_cm2: float, loss_on_ignition_percent: float, glass_density: float) -> float:
    """Thickness of the fired coat [mm] that so much dry glaze per cm2 melts down to."""
    return 10 * dry_g_per_cm2 * (1 - loss_on_ignition_percent / 100) / glass_density


def dip_volume_mL(width_mm: float, level_mm: float, displaced_mL: float) -> float:
    """Slurry [mL] in a round pot that stands at ``level_mm`` once a piece that displaces so much is under."""
    return math.pi / 4 * width_mm**2 * level_mm / 1000 - displaced_mL


def weighed_moist(dry_g: float, moisture_percent: float) -> float:
    """What to weigh [g] of a damp material for so much of it dry; moisture in % of the dry weight.

    The convention of H. Norsker, J. Danisch, Glazes for the Self-reliant Potter (GTZ, 1993), section 16.3.1.

    >>> round(weighed_moist(3500.0, 8.7), 1)
    3804.5
    """
    return dry_g * (1 + moisture_percent / 100)


# Shrinkage and water absorption of clay, from a ruler and a scale.


def shrinkage_percent(before_mm: float, after_mm: float) -> float:
    """Linear shrinkage [% of the length before].

    >>> shrinkage_percent(100, 87)
    13.0
    """
    return 100 * (before_mm - after_mm) / before_mm


def length_after_mm(before_mm: float, percent: float) -> float:
    """Length [mm] after a shrinkage of ``percent`` of the length before. Stages multiply: 6 and 7 % are not 13 %.

    >>> round(length_after_mm(length_after_mm(100, 6), 7), 2)
    87.42
    """
    return before_mm * (1 - percent / 100)


def absorption_percent(fired_g: float, soaked_g: float) -> float:
    """Water absorption [% of the fired weight], soaked by two hours of boiling and cooling in the water."""
    return 100 * (soaked_g - fired_g) / fired_g
