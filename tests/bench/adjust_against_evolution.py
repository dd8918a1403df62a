"""The re-solve set beside scipy's differential evolution on seeded cases: the same objective, amounts and goals.

Run from the repository root: ``PYTHONPATH=. python tests/bench/adjust_against_evolution.py [CASES [PLAIN]]``. Prints
a line per case and fails (exit 1) if ours is worse by more than 1 % of the objective in any case, or less than 20 times
faster than scipy's plain defaults in the median of the first PLAIN cases (unpolished, which favours it). In every case
differential evolution (R. Storn, K. Price, J. Global Optim. 11 (1997) 341) also runs vectorised, so that the array
models serve it as well as they serve us; that is told beside it.
"""

from __future__ import annotations

import sys
import time

import numpy as np
from scipy.optimize import differential_evolution

from tests.jobs.cases import seeded_aim

WORST_RATIO = 1.01
SPEED = 20.0
LEAST = 0.1
"""Below a tenth of a squared noticeable step, one per cent is of this much: thousandths are nothing to see."""


def evolved(aim, seed: int, vectorised: bool) -> tuple[float, float]:
    """Best objective by differential evolution, and the time it took [s]."""
    columns = aim.palette.free
    rows = np.where(aim.palette.fixed, aim.palette.start, 0.0)

    def objective(x: np.ndarray) -> np.ndarray | float:
        points = x.T if x.ndim == 2 else x[None, :]
        amounts = np.tile(rows, (len(points), 1))
        amounts[:, columns] = points + 1e-9
        value = aim.objective(aim.palette.scaled_back(amounts))
        return value if x.ndim == 2 else float(value[0])

    begun = time.perf_counter()
    kind = {"vectorized": True, "updating": "deferred"} if vectorised else {}
    found = differential_evolution(objective, [(0.0, 1.0)] * len(columns), seed=seed, polish=False, **kind)
    return float(found.fun), time.perf_counter() - begun


def ours(aim) -> tuple[float, float]:
    """Best objective by our own search, and the time it took [s]."""
    from glazecalc.jobs.adjust import starting_points
    from glazecalc.jobs.re_solve import best_mix

    begun = time.perf_counter()
    solved = best_mix(aim, starting_points(aim), len(aim.palette.free))
    return solved.objective, time.perf_counter() - begun


def main(cases: int, plain: int) -> int:
    ours(seeded_aim(0))  # imports and tables are not part of either time
    worst, speeds, vector_speeds = 0.0, [], []
    print("case  materials     ours    evolution  vectorised   ours s  evolution s  vectorised s")
    for seed in range(cases):
        aim = seeded_aim(seed)
        value, seconds = ours(aim)
        by_vector, less_slow = evolved(aim, seed, vectorised=True)
        by_evolution, slow = evolved(aim, seed, vectorised=False) if seed < plain else (np.nan, np.nan)
        best = float(np.nanmin([by_evolution, by_vector]))
        worst = max(worst, (value - best) / max(best, LEAST))
        speeds.append(slow / seconds)
        vector_speeds.append(less_slow / seconds)
        print(
            f"{seed:4d} {len(aim.palette.free):9d} {value:11.4f} {by_evolution:11.4f} {by_vector:11.4f} "
            f"{seconds:8.3f} {slow:12.2f} {less_slow:13.2f}",
            flush=True,
        )
    print(
        f"worst excess over evolution {100 * worst:.2f} %; median speed-up against the vectorised "
        f"{np.median(vector_speeds):.0f} x, against the plain {np.nanmedian([*speeds, np.nan][: max(plain, 1)]):.0f} x"
    )
    return 0 if worst <= WORST_RATIO - 1 and np.nanmedian(speeds[: max(plain, 1)]) >= SPEED else 1


if __name__ == "__main__":
    sys.exit(main(*(int(a) for a in [*sys.argv[1:], *("50", "5")[len(sys.argv) - 1 :]])))
