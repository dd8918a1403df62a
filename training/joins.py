"""Melts along the feldspar and nepheline joins, where alkali balances alumina: few of them are in the glass database.

``viscosity_joins.csv`` holds measured viscosities of melts of six oxides that lie neither within 0.3 mole % of a melt
already fitted nor of a held-out one. They come from the data that the MIT-licensed package imelt 2.2.0 ships (C. Le
Losq and others, Geochim. Cosmochim. Acta 314 (2021) 27; reference from memory), which name no papers: groups of like
compositions stand for papers. Every fourth group is kept back from fit, choice and calibration (``kept_back``).

``python -m training.joins FILE`` cuts the table from a file of that collection: mole %, K, log10 viscosity in Pa.s.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.cluster.hierarchy import fcluster, linkage
from scipy.spatial import cKDTree

from glazecalc.models.domain import FITTED
from glazecalc.models.viscosity import glass_transition, temperature_at
from training.data import KELVIN, Array, Glasses, Mask, in_fixed_order, read_glasses
from training.split import FOLDS, LAST_FITTED_YEAR, glaze_core, split
from training.surface import nearness

JOINS: Final = Path(__file__).parent / "viscosity_joins.csv"
OXIDES: Final = ("SiO2", "Al2O3", "Na2O", "K2O", "MgO", "CaO")
_GROUP: Final = 3.0
"""Melts of one group lie within this distance of each other [mole %]."""
_SAME: Final = 0.3
_KEEP_BACK: Final = 4
_SEED: Final = 15
_LEAST_NEARNESS: Final = 0.02
_AT_TRANSITION: Final = 12.0
_AT_THREE: Final = (2.0, 4.0)


@dataclass(frozen=True, slots=True, eq=False)
class Joins:
    """The melts: ``melt`` is the row of each point in ``composition`` (n, 16) [mole fraction]."""

    composition: Array
    group: NDArray[np.int64]
    kept_back: Mask
    melt: NDArray[np.int64]
    log_viscosity: Array
    degC: Array

    def part(self, kept_back: bool) -> Joins:
        """The melts that are kept back, or the others, with their points."""
        rows = np.flatnonzero(self.kept_back == kept_back)
        place = np.full(len(self.composition), -1)
        place[rows] = np.arange(len(rows))
        points = place[self.melt] >= 0
        return Joins(
            self.composition[rows], self.group[rows], self.kept_back[rows], place[self.melt[points]],
            self.log_viscosity[points], self.degC[points],
        )  # fmt: skip

    def transitions(self) -> Array:
        """Temperature at log10 viscosity 12 between two measured points [degC], not a number where none lie about."""
        found = np.full(len(self.composition), np.nan)
        for i in range(len(found)):
            mine = self.melt == i
            order = np.argsort(self.log_viscosity[mine])
            level, degC = self.log_viscosity[mine][order], self.degC[mine][order]
            if level[0] <= _AT_TRANSITION <= level[-1]:
                found[i] = np.interp(_AT_TRANSITION, level, degC)
        return found


def _compositions(table: Any) -> Array:
    x = np.zeros((len(table), len(FITTED)))
    for oxide in OXIDES:
        x[:, FITTED.index(oxide)] = table[oxide].to_numpy(dtype=float)
    return np.asarray(x / x.sum(axis=1, keepdims=True))


def read_joins() -> Joins:
    """The melts of ``viscosity_joins.csv``."""
    table = pd.read_csv(JOINS)
    melt, first = np.unique(table["melt"].to_numpy(), return_index=True)
    one = table.iloc[first]
    return Joins(
        _compositions(one),
        one["group"].to_numpy(dtype=np.int64),
        one["kept_back"].to_numpy() == 1,
        np.searchsorted(melt, table["melt"].to_numpy()).astype(np.int64),
        table["log10_viscosity_Pa_s"].to_numpy(dtype=float),
        table["T_K"].to_numpy(dtype=float) - KELVIN,
    )


def behind(data: Any, joins: Joins, which: Mask | slice, weight: float = 1.0) -> dict[str, Any]:
    """What a fit takes of the records in ``data`` with ``which`` melts of the joins behind them; a group of like melts
    stands for a paper."""
    x, group = joins.composition[which], joins.group[which]
    return {
        "composition": np.vstack([data.composition, x]),
        "paper": np.concatenate([data.paper, data.paper.max() + 1 + group]),
        "year": np.concatenate([data.year, np.full(len(x), LAST_FITTED_YEAR)]),
        "fold": np.concatenate([data.fold, group % FOLDS]),
        "weight": np.concatenate([data.weight, weight * nearness(x)]),
        "core": np.concatenate([data.core, glaze_core(x, np.ones(len(x)))]),
    }


def _far_from(x: Array, others: Array) -> Mask:
    known = np.unique(np.round(others, 4), axis=0)
    return np.asarray(cKDTree(100.0 * known).query(100.0 * x)[0] >= _SAME)


def cut(glasses: Glasses, source: Path, fitted: Array) -> int:
    """Write ``viscosity_joins.csv`` from a file of the collection; returns how many melts it holds."""
    table = pd.read_csv(source)
    number = table.groupby(list(OXIDES), sort=False).ngroup().to_numpy()
    one = table.groupby(list(OXIDES), sort=False).first().reset_index()
    x = _compositions(one)
    group = fcluster(linkage(100.0 * x, "complete"), _GROUP, "distance")
    names = np.random.default_rng(_SEED).permutation(np.unique(group))
    kept_back = np.isin(group, names[: len(names) // _KEEP_BACK])
    sets = split(glasses)
    held = (sets.after | sets.glaze_calibrate | sets.glaze_test) & (glasses.share > 0.99)
    use = (nearness(x) >= _LEAST_NEARNESS) & _far_from(x, glasses.composition[held]) & _far_from(x, fitted)
    with JOINS.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(["melt", "group", "kept_back", *OXIDES, "T_K", "log10_viscosity_Pa_s"])
        for i in np.flatnonzero(use[number]):
            melt, row = number[i], table.iloc[i]
            level, degC = float(row["log10_viscosity_Pa_s"]), float(row["T_K"]) - KELVIN
            if -0.5 <= level <= 12.6 and 250.0 <= degC <= 2000.0:
                shares = [f"{float(row[o]):g}" for o in OXIDES]
                writer.writerow([melt, group[melt], int(kept_back[melt]), *shares, f"{row['T_K']:g}", f"{level:g}"])
    return int(use.sum())


def _score(error: Array, low: Array, high: Array, truth: Array, outside: Mask, melts: int) -> dict[str, Any]:
    return {
        "melts": melts,
        "points": len(error),
        "median_error_K": round(float(np.median(np.abs(error))), 1),
        "bias_K": round(float(np.median(error)), 1),
        "inside": round(float(np.mean((truth >= low) & (truth <= high))), 3),
        "told_as_model": round(float(np.mean(~outside)), 3),
    }


def joins_scores() -> dict[str, Any]:
    """Errors on the melts kept back: of the temperature at log10 viscosity 2 to 4, and of the transition."""
    kept = read_joins().part(True)
    x = in_fixed_order(kept.composition)
    near = (kept.log_viscosity >= _AT_THREE[0]) & (kept.log_viscosity <= _AT_THREE[1])
    melt, truth = kept.melt[near], kept.degC[near]
    three = temperature_at(x[melt], kept.log_viscosity[near], practice="glass")
    glass = kept.transitions()
    known = np.isfinite(glass)
    transition = glass_transition(x[known], practice="glass")
    return {
        "log_viscosity_3": _score(
            truth - three.value, three.low, three.high, truth, three.extrapolated, len(np.unique(melt))
        ),
        "transition": _score(
            glass[known] - transition.value, transition.low, transition.high, glass[known], transition.extrapolated,
            int(known.sum()),
        ),
    }  # fmt: skip


if __name__ == "__main__":
    from training.viscosity import database_melts

    read = read_glasses()
    print(cut(read, Path(sys.argv[1]), database_melts(read).composition), "melts")
