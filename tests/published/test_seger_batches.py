"""Seger's cones 1 to 10: ten batches and their exact formulas.

Source: H. Seger, Thonindustrie-Zeitung 1886 p. 135, as reported in Dingler's Polytechnisches Journal 261 (1886) p. 41-42.
The weights assume feldspar 557, quartz 60, kaolin 259, marble 100, iron oxide 160; with modern atomic weights the
formulas return within the relative deviation listed beside each.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from glazecalc.chemistry.composition import CONVENTIONS, compose, material_table, unity
from glazecalc.values.inputs import Material
from glazecalc.values.oxides import INDEX

with (Path(__file__).parent / "seger_batches.csv").open(encoding="utf-8", newline="") as _stream:
    ROWS = list(csv.DictReader(_stream))
COLUMNS = {
    "feldspar_parts": "K2O.Al2O3.6SiO2", "marble_CaCO3_parts": "CaCO3", "quartz_parts": "SiO2",
    "iron_oxide_Fe2O3_parts": "Fe2O3", "zettlitz_kaolin_parts": "Al2O3.2SiO2.2H2O",
}  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"cone {r['cone_seger_1886']}")
def test_batch_returns_its_formula(row: dict[str, str]) -> None:
    table = material_table([Material(name=c, kind="ideal", formula=f) for c, f in COLUMNS.items()])
    amounts = np.array([[float(row[c] or 0) for c in COLUMNS]])
    got = unity(compose(amounts, table).moles, CONVENTIONS["customary"])[0]
    for oxide in ("K2O", "CaO", "Al2O3", "Fe2O3", "SiO2"):
        assert got[INDEX[oxide]] == pytest.approx(float(row[oxide] or 0), rel=0.004, abs=1e-9), oxide
        assert got[INDEX[oxide]] == pytest.approx(float(row[f"modern_recalc_{oxide}"] or 0), abs=0.0011), oxide
