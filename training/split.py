"""What is fitted, what is kept out, and what the errors are reported on.

Kept out of every fit and every choice: records after :data:`LAST_FITTED_YEAR`, and every record of a paper about
real glazes or enamels. The paper (author and year) is the unit: whole papers are left out when models are compared.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.domain import FITTED
from glazecalc.values.data import read_csv
from training.data import Array, Glasses, Mask

LAST_FITTED_YEAR: Final = 2009
FOLDS: Final = 10
PAPERS: Final = Path(__file__).parent / "glaze_papers.csv"
_AT: Final = {symbol: i for i, symbol in enumerate(FITTED)}


@dataclass(frozen=True, slots=True)
class GlazePapers:
    """Record ids of papers about real glazes and enamels, by what they may be used for."""

    calibrate: frozenset[str]
    test: frozenset[str]


def glaze_papers() -> GlazePapers:
    """The list of records of glaze and enamel papers, with their use."""
    rows = read_csv(PAPERS)
    return GlazePapers(
        calibrate=frozenset(row["sciglass_id"] for row in rows if row["use"] == "calibrate"),
        test=frozenset(row["sciglass_id"] for row in rows if row["use"] == "test"),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Split:
    """Masks over all records, shape (n,): what may be fitted, held-out set (a), and the two uses of (b)."""

    fit: Mask
    after: Mask
    glaze_calibrate: Mask
    glaze_test: Mask


def split(glasses: Glasses) -> Split:
    """The one split every model keeps."""
    ids = glasses.properties["ID"]
    papers = glaze_papers()
    calibrate = ids.isin(papers.calibrate).to_numpy()
    test = ids.isin(papers.test).to_numpy()
    glaze = np.isin(glasses.paper, np.unique(glasses.paper[calibrate | test]))
    late = glasses.year > LAST_FITTED_YEAR
    return Split(fit=~late & ~glaze, after=late, glaze_calibrate=calibrate, glaze_test=test)


def group_sums(composition: Array) -> dict[str, Array]:
    """Mole % of each oxide, and of the alkalis and of lime, magnesia, strontia, baryta and zinc oxide together."""
    percent = {symbol: 100.0 * composition[:, i] for symbol, i in _AT.items()}
    percent["alkali"] = percent["Li2O"] + percent["Na2O"] + percent["K2O"]
    percent["earths"] = sum((percent[s] for s in ("MgO", "CaO", "SrO", "BaO", "ZnO")), start=np.zeros(len(composition)))
    return percent


def _caps(p: dict[str, Array]) -> Mask:
    mask = (p["Al2O3"] < 22) & (p["B2O3"] < 30) & (p["alkali"] < 20) & (p["P2O5"] < 5)
    for symbol in ("TiO2", "ZrO2", "Fe2O3", "MnO"):
        mask = mask & (p[symbol] < 10)
    return np.asarray(mask)


def glaze_core(composition: Array, share: Array) -> Mask:
    """Compositions on which errors are reported: the middle of the glaze range."""
    p = group_sums(composition)
    inner = (p["SiO2"] >= 45) & (p["SiO2"] <= 82) & (p["Al2O3"] > 3) & (p["alkali"] > 1) & (p["earths"] > 2)
    return np.asarray(_caps(p) & inner & (share >= 0.995))


def glaze_paper_range(composition: Array, share: Array) -> Mask:
    """Compositions of the glaze papers that count: lead- and fluorine-free, no lower limit on alumina or flux."""
    p = group_sums(composition)
    return np.asarray(_caps(p) & (p["SiO2"] >= 40) & (p["SiO2"] <= 85) & (share >= 0.995))


def folds(paper: NDArray[np.int64], seed: int = 0) -> NDArray[np.int64]:
    """Fold of each row, 0 to FOLDS - 1, whole papers together."""
    _, dense = np.unique(paper, return_inverse=True)
    order = np.random.default_rng(seed).permutation(dense.max() + 1)
    return np.asarray(order[dense] % FOLDS)
