"""What a scale shows for a batch: the best rounding, how far a line can be off, and the least batch that is
good.

A scale of step r shows whole multiples of r, and a reading stands for anything within half a step of it. So
a line is off by the rounding of its target to a step, and may be off by half a step more. Both are counted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.values.inputs import Scale

Array = NDArray[np.float64]

_EXACT: Final = 1e-9
"""A target this near a whole number of steps [steps] is one."""
LARGEST_BATCH_G: Final = 1e6
_CHUNK: Final = 4096


def round_to_steps(
    targets: Sequence[float], total: int | None = None, *, total_may_move: float = 0.0
) -> tuple[int, ...]:
    """Whole steps for lines of a batch, given the exact targets [steps], so that the worst line is off least.

    Every line takes the step below or above its target, at least one; the steps sum to the rounded total (or
    ``total``). Among those roundings the one returned has the least worst relative error, and of these the
    least sum of squared relative errors. When the one-step minimum makes that total unreachable, the nearest
    reachable is kept.

    Where every line at its nearest step moves the total by no more than ``total_may_move`` [steps], that is returned.

    >>> round_to_steps([2.4, 3.4, 4.2]), round_to_steps([2.4, 3.4, 4.2], total_may_move=1)
    ((2, 4, 4), (2, 3, 4))
    """
    exact = [float(t) for t in targets]
    near = [round(t) for t in exact]
    nearest = tuple(max(n, 1) if t > 0 else 0 for n, t in zip(near, exact, strict=True))
    if total is None and abs(sum(nearest) - sum(exact)) <= total_may_move:
        return nearest
    floors = [n if abs(t - n) < _EXACT else math.floor(t) for t, n in zip(exact, near, strict=True)]
    steps = [max(f, 1) if t > 0 else 0 for f, t in zip(floors, exact, strict=True)]
    free = [i for i, (s, t) in enumerate(zip(steps, exact, strict=True)) if t - s > _EXACT]
    wanted = round(sum(exact)) if total is None else total
    raised = min(max(wanted - sum(steps), 0), len(free))
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
    """One line on a scale: ``shown_g`` is what to read, ``reading_g`` what the last digit hides, in ``goes``
    goes.

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
    return tuple(_on_scale(t, g, s) for t, g, s in zip(targets_g, shown, chosen, strict=True))


def _clean(steps: int, resolution_g: float) -> float:
    """``steps`` times the resolution without the dust of binary fractions: 3 x 0.1 is 0.3."""
    return float(f"{steps * resolution_g:.12g}")


def _on_scale(target_g: float, shown_g: float, scale: Scale) -> Weighed:
    goes = 1 if scale.capacity_g is None else max(1, math.ceil(shown_g / scale.capacity_g - _EXACT))
    least = scale.minimum_g or 0.0
    return Weighed(target_g, shown_g, goes * scale.resolution_g / 2, scale, goes, target_g < least * (1 - _EXACT))


def adequate(shares: Sequence[float], batch_g: float, scales: Sequence[Scale], tolerance_percent: float) -> bool:
    """Whether every line of a batch of this size is within tolerance. ``shares`` sum to one."""
    weighed = weigh_out([batch_g * s for s in shares], scales, tolerance_percent)
    return all(w.within(tolerance_percent) for w in weighed)


def smallest_batch(
    shares: Sequence[float], scales: Sequence[Scale], tolerance_percent: float, largest_g: float = LARGEST_BATCH_G
) -> float | None:
    """The smallest batch [g] for which every line is within tolerance; None if there is none up to
    ``largest_g``.

    Every multiple of the finest step is tried, from the least that could do. ``shares`` [fraction] sum to
    one.
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
    """Batches not ruled out: no rounding beats the nearest step, on whichever scale. Shape of
    ``batches_g``."""
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
