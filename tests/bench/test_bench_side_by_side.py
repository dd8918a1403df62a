"""Ten thousand glazes through the models, beside three other ways to spend the time. Run: pytest tests/bench -o addopts= -s

* the bare products of matrices that the models need, in plain numpy, lying in cache (``training/speed.py`` says which);
* the forward pass of a published neural network for properties of glasses, in plain numpy, with random weights: what it
  costs, not what it says. Four hidden layers of 280, 500, 390 and 480 neurons between 98 inputs and 85 properties (D. R.
  Cassar, Ceram. Int. 49 (2023) 36013; the sizes from memory);
* a spreadsheet that works out the unity formula alone: 17 formulas a row, opened and recalculated without a window.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from xml.sax.saxutils import quoteattr

import numpy as np
import pytest

from glazecalc import api
from glazecalc.chemistry.oxides import molar_mass
from glazecalc.jobs.estimates import glaze_arrays
from glazecalc.values.oxides import INDEX, SYMBOLS
from tests.bench.test_bench_tables import OXIDES, glasses
from training.speed import bare_products

GLAZES = 10_000
LAYERS = (98, 280, 500, 390, 480, 85)
MODELS = 5
"""Models with a domain and a spread of their own; that of the viscosity has two surfaces more."""
FLUXES = ("Na2O", "K2O", "CaO", "MgO", "ZnO")


def least(work: Callable[[], object], turns: int = 7) -> float:
    """Least processor time of some turns [s]."""
    found = []
    for _ in range(turns):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def network() -> Callable[[], object]:
    rng = np.random.default_rng(0)
    weights = [rng.normal(0, a**-0.5, (a, b)) for a, b in pairwise(LAYERS)]
    inputs = rng.random((GLAZES, LAYERS[0]))

    def forward() -> np.ndarray:
        at = inputs
        for weight in weights[:-1]:
            at = at @ weight
            at = np.logaddexp(0.0, at)
        return at @ weights[-1]

    return forward


def test_models_beside_products_and_a_network() -> None:
    frame = glasses(GLAZES)
    moles = np.zeros((GLAZES, len(SYMBOLS)))
    moles[:, [INDEX[oxide] for oxide in OXIDES]] = frame[OXIDES].to_numpy()
    moles /= moles.sum(axis=1, keepdims=True)
    products = bare_products(moles, False)
    bare = MODELS * least(products)
    ours, table, net = least(lambda: glaze_arrays(moles)), least(lambda: api.estimate_table(frame)), least(network(), 3)
    print(f"\n{GLAZES} glazes, time of the processor: bare products of {MODELS} models {1000 * bare:.1f} ms")
    for name, seconds in (("models", ours), ("models from a table to a table", table), ("neural network", net)):
        print(
            f"{name}: {1000 * seconds:.0f} ms, {seconds / bare:.1f} x the bare products, {seconds / ours:.1f} x the models"
        )
    assert ours <= 6.0 * bare
    assert ours < net


def sheet(rows: int) -> str:
    """A flat OpenDocument spreadsheet (ISO/IEC 26300): oxides in weight %, then moles, their fluxes' sum, unity."""
    cells = []
    amounts = glasses(rows)[OXIDES].to_numpy().tolist()
    fluxes = [OXIDES.index(oxide) for oxide in FLUXES]
    for row, given in enumerate(amounts, start=1):
        values = [f'<table:table-cell office:value-type="float" office:value="{x}"/>' for x in given]
        moles = [f"of:=[.{chr(65 + i)}{row}]/{molar_mass(oxide)}" for i, oxide in enumerate(OXIDES)]
        total = "of:=" + "+".join(f"[.{chr(73 + i)}{row}]" for i in fluxes)
        unity = [f"of:=[.{chr(73 + i)}{row}]/[.Q{row}]" for i in range(len(OXIDES))]
        worked = [f"<table:table-cell table:formula={quoteattr(f)}/>" for f in (*moles, total, *unity)]
        cells.append(f"<table:table-row>{''.join(values + worked)}</table:table-row>")
    names = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document {names} office:version="1.3" '
        'office:mimetype="application/vnd.oasis.opendocument.spreadsheet"><office:body><office:spreadsheet>'
        f'<table:table table:name="unity">{"".join(cells)}</table:table></office:spreadsheet></office:body></office:document>'
    )


def recalculated(office: str, folder: Path, rows: int) -> tuple[float, list[float]]:
    """Processor time of opening, recalculating and writing a sheet of some rows [s], and its first row."""
    (folder / "unity.fods").write_text(sheet(rows), encoding="utf-8")
    words = [
        office,
        "--headless",
        f"-env:UserInstallation=file://{folder}/profile",
        "--convert-to",
        "csv",
        "unity.fods",
    ]
    before = os.times()
    subprocess.run(words, cwd=folder, capture_output=True, check=True, timeout=300)
    after = os.times()
    first = (folder / "unity.csv").read_text(encoding="utf-8").splitlines()[0]
    spent = after.children_user + after.children_system - before.children_user - before.children_system
    return spent, [float(cell) for cell in first.split(",")]


def test_beside_a_spreadsheet(tmp_path: Path) -> None:
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        pytest.skip("no LibreOffice is installed here")
    recalculated(office, tmp_path, 1)  # the first start makes a profile
    empty, _ = recalculated(office, tmp_path, 1)
    whole, first = recalculated(office, tmp_path, GLAZES)
    given = glasses(GLAZES)[OXIDES].iloc[0]
    moles = {oxide: given[oxide] / molar_mass(oxide) for oxide in OXIDES}
    unity = moles["SiO2"] / sum(moles[flux] for flux in FLUXES)
    assert first[len(OXIDES) * 2 + 1] == pytest.approx(unity, rel=1e-6, abs=0.01)
    frame = glasses(GLAZES)
    ours = least(lambda: api.estimate_table(frame))
    print(
        f"\n{GLAZES} unity formulas by a spreadsheet: {whole - empty:.2f} s of the processor beyond its start ({empty:.2f} s), "
    )
    print(f"{(whole - empty) / ours:.0f} x the estimates of as many glazes")
