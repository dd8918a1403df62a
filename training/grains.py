"""Grains of zircon and tin oxide in the expansion of a coat: which measured rows hold any, and what practice says.

The glaze and enamel papers of the database measured poured glass, in which zirconia is dissolved, so that they tell
nothing of grains: only what the papers are about is read here, no value of theirs. What remains are judged glazes with
zircon or tin oxide among ``practice_outcomes.csv``, each worked out in several ways. ``python -m training grains``.
"""

from __future__ import annotations

import csv
import lzma
from collections import Counter
from dataclasses import replace
from typing import Any, Final

import numpy as np

from glazecalc.models.expansion import expansion, melted_expansion
from glazecalc.models.filler import TIN, ZIRCON, grains
from glazecalc.values.data import read_csv
from training.data import Array
from training.held_out import FOLDER, read
from training.practice import Judged, cross_entropy, judged, predicted
from training.split import PAPERS

_GLASS_BULK: Final = 41.7
"""Of a glaze glass [GPa] (handbook value, from memory)."""


def glaze_paper_rows() -> dict[str, Any]:
    """Of the held-out rows of glaze papers: how many hold more than a melt takes up in a kiln, by kind of paper."""
    held = read("expansion")
    white = grains(held.composition)
    many = held.glaze & (white.share > 0.0) if white is not None else np.zeros(len(held.glaze), dtype=bool)
    with lzma.open(FOLDER / "expansion.csv.xz", "rt", encoding="utf-8", newline="") as stream:
        records = [row["record"] for row in csv.DictReader(stream)]
    papers = {row["sciglass_id"]: row for row in read_csv(PAPERS)}
    mine = [papers[records[i]] for i in np.flatnonzero(many) if records[i] in papers]
    return {
        "glazes": int(held.glaze.sum()),
        "with_grains": int(many.sum()),
        "papers": len({row["source"] for row in mine}),
        "families": dict(Counter(row["family"] for row in mine).most_common()),
    }


def judged_whites() -> dict[str, Any]:
    """Cross-entropy of the judged glazes that hold grains, by how their expansion is worked out."""
    data = judged()
    white = grains(data.moles)
    assert white is not None
    rows = np.flatnonzero(white.share > 0.0)
    coat, melted, glass = (p.value[rows] for p in (
        expansion(data.moles), melted_expansion(data.moles), melted_expansion(white.melt),
    ))  # fmt: skip
    zircon, tin = white.zircon[rows], white.tin[rows]
    ways = {
        "all melted": melted,
        "grains, as shipped": coat,
        "grains, mean by volume": _mean(glass, zircon, tin, (1.0, 1.0, 1.0)),
        "grains, mean by volume and bulk modulus": _mean(glass, zircon, tin, (_GLASS_BULK, ZIRCON.bulk, TIN.bulk)),
    }
    return {
        "glazes": [data.ids[i] for i in rows],
        "floor": round(float(cross_entropy(data, data.chances[rows], rows)), 4),
        "cross_entropy": {name: round(_scored(data, rows, value), 4) for name, value in ways.items()},
        "mean_expansion": {name: round(float(value.mean()), 3) for name, value in ways.items()},
    }


def _mean(glass: Array, zircon: Array, tin: Array, weights: tuple[float, float, float]) -> Array:
    """Mean expansion of the phases, each by its volume times its weight, (n,)."""
    parts = np.stack([1.0 - zircon - tin, zircon, tin]) * np.array(weights)[:, None]
    values = np.stack([glass, np.full_like(glass, ZIRCON.expansion), np.full_like(glass, TIN.expansion)])
    return np.asarray((parts * values).sum(axis=0) / parts.sum(axis=0))


def _scored(data: Judged, rows: Any, value: Array) -> float:
    whole = data.value.copy()
    whole[rows] = value
    return cross_entropy(data, predicted(replace(data, value=whole), rows), rows)


def grains_scores() -> dict[str, Any]:
    """Both, for the model card of the expansion."""
    return {"glaze_papers": glaze_paper_rows(), "judged": judged_whites()}
