"""A table of any length is estimated row by row: order and ids kept, bad rows reported, memory bounded."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pytest

from glazecalc.api import formula, recipe_from_text
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.materials import pantry
from glazecalc.jobs.screen import ScreenBasis, Screened, screen
from glazecalc.values.answers import ProblemsError, is_known

SHELF = pantry(built_in_materials())
PROPERTIES = (
    "expansion", "transition_temperature", "softening_temperature", "youngs_modulus", "liquidus_temperature",
    "temperature_at_log_viscosity_3", "temperature_at_log_viscosity_4", "temperature_at_log_viscosity_6",
)  # fmt: skip


def screened(
    path: Path, basis: ScreenBasis = "mole", chunk_rows: int = 50_000
) -> tuple[Screened, list[dict[str, str]]]:
    out = io.StringIO()
    done = screen(path, out, SHELF, basis=basis, chunk_rows=chunk_rows)
    return done, list(csv.DictReader(io.StringIO(out.getvalue())))


def table(folder: Path, text: str) -> Path:
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_columns_of_the_contract(tmp_path: Path) -> None:
    _, rows = screened(table(tmp_path, "id,SiO2,Al2O3,Na2O,CaO\n06,70,8,12,10\n"))
    estimates = [p + s for p in PROPERTIES for s in ("", "_low", "_high")]
    assert list(rows[0]) == [
        "id",
        *estimates,
        "basis",
        *(f"{p}_{end}" for end in ("basis", "interval") for p in PROPERTIES),
    ]
    assert {rows[0][f"{p}_interval"] for p in PROPERTIES[1:]} == {"glass"}, "no kiln's measurements stand behind them"
    assert rows[0]["expansion_interval"] == "glaze"
    assert rows[0]["id"] == "06", "an id is text"
    for name in PROPERTIES:
        assert float(rows[0][f"{name}_low"]) < float(rows[0][name]) < float(rows[0][f"{name}_high"])


@pytest.mark.parametrize(("basis", "text"), [
    ("mole", "id,K2O,CaO,Al2O3,SiO2\na,3,7,5,40\n"),
    ("unity", "id,K2O,CaO,Al2O3,SiO2\na,0.3,0.7,0.5,4\n"),
    ("weight", "id,K2O,CaO,Al2O3,SiO2\na,28.2588,39.2539,50.98064,240.3372\n"),
    ("recipe", 'id,"Potash feldspar, ideal",Whiting,Silica,"Kaolin, ideal"\na,166.99768,70.0607,108.151,51.63254\n'),
])  # fmt: skip
def test_every_basis_leads_to_the_same_glass(tmp_path: Path, basis: ScreenBasis, text: str) -> None:
    """Seger's cone 4 formula, by moles, unity, weight and batch (weights from the molar masses in periodictable)."""
    _, rows = screened(table(tmp_path, text), basis)
    _, moles = screened(table(tmp_path, "id,K2O,CaO,Al2O3,SiO2\na,3,7,5,40\n"))
    assert float(rows[0]["expansion"]) == pytest.approx(float(moles[0]["expansion"]), rel=1e-4)


def test_one_row_and_many_are_the_same_path(tmp_path: Path) -> None:
    card = "name: a\ncone: 6\n\nNepheline syenite 40\nWhiting 20\nSilica 25\nKaolin 15\n"
    alone = {e.name: e for e in formula(recipe_from_text(card)).estimates}
    _, rows = screened(table(tmp_path, "id,Nepheline syenite,Whiting,Silica,Kaolin\na,40,20,25,15\n"), "recipe")
    for name in PROPERTIES[:5]:
        assert float(rows[0][name]) == pytest.approx(alone[name].value, rel=1e-5)
        assert float(rows[0][f"{name}_low"]) == pytest.approx(alone[name].low, rel=1e-5)


def test_chunks_do_not_show(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    draws = rng.random((257, 4)) * [20, 1, 12, 10] + [60, 8, 0, 0]
    lines = [f"{i:04d}," + ",".join(f"{x:.3f}" for x in row) for i, row in enumerate(draws)]
    path = table(tmp_path, "id,SiO2,Al2O3,Na2O,CaO\n" + "\n".join(lines) + "\n")
    _, whole = screened(path)
    _, pieces = screened(path, chunk_rows=50)
    for a, b in zip(whole, pieces, strict=True):
        assert (a["id"], a["basis"]) == (b["id"], b["basis"])
        np.testing.assert_allclose(*([float(row[p] or "nan") for p in PROPERTIES] for row in (a, b)), rtol=1e-5)
    assert [r["id"] for r in whole] == [f"{i:04d}" for i in range(257)]


def test_bad_rows_are_reported_with_their_line_and_kept(tmp_path: Path) -> None:
    text = "id,SiO2,Na2O\na,70,30\nb,seventy,30\nc,-1,30\nd,inf,1\ne,0,0\nf,,30\n=cmd,70,30\n"
    done, rows = screened(table(tmp_path, text))
    assert [r["id"] for r in rows] == ["a", "b", "c", "d", "e", "f", "=cmd"]
    assert [r["basis"] == "error" for r in rows] == [False, True, True, True, True, False, False]
    assert {p.line for p in done.problems} == {3, 4, 5, 6}
    assert done.bad_rows == 4
    assert rows[1]["expansion"] == ""


def test_a_table_without_ids_is_numbered(tmp_path: Path) -> None:
    _, rows = screened(table(tmp_path, "SiO2,Na2O,CaO,Al2O3\n70,12,10,8\n71,12,9,8\n"))
    assert [r["row"] for r in rows] == ["1", "2"]


@pytest.mark.parametrize("head", ["expansion", "liquidus_temperature_low", "basis", "youngs_modulus_basis"])
def test_ids_under_the_head_of_an_estimate_are_numbered_and_that_is_said(tmp_path: Path, head: str) -> None:
    done, rows = screened(table(tmp_path, f"{head},SiO2,Al2O3,Na2O,CaO\n9.9,70,8,12,10\n8.8,71,8,12,9\n"))
    _, plain = screened(table(tmp_path, "id,SiO2,Al2O3,Na2O,CaO\n9.9,70,8,12,10\n8.8,71,8,12,9\n"))
    assert [r["row"] for r in rows] == ["1", "2"]
    assert [{**r, "row": ""} for r in rows] == [{"row": "", **{k: r[k] for k in r if k != "id"}} for r in plain]
    assert [(p.code, head in p.message) for p in done.problems] == [("unused-column", True)]


def test_every_estimate_says_its_own_basis(tmp_path: Path) -> None:
    """What check says of each estimate of the same oxides is what its column says."""
    oxides = {"SiO2": 67.0, "Al2O3": 2.0, "Na2O": 3.0, "CaO": 5.0, "ZnO": 23.0}
    lines = "\n".join(f"{oxide} {amount}" for oxide, amount in oxides.items())
    alone = formula(recipe_from_text(f"name: a\ncone: 6\nkind: composition\nbasis: mole\n\n{lines}\n")).estimates
    text = f"id,{','.join(oxides)}\na,{','.join(map(str, oxides.values()))}\nb,0,0,0,0,0\n"
    _, rows = screened(table(tmp_path, text))
    told = {name: rows[0][f"{name}_basis"] for name in PROPERTIES}
    assert told.items() >= {e.name: e.basis.value for e in alone if e.name in PROPERTIES}.items()
    assert set(told.values()) == {"model", "extrapolated"}, "a case in which they differ"
    assert rows[0]["basis"] == told["expansion"]
    assert {rows[1][f"{name}_basis"] for name in PROPERTIES} == {"error"}


@pytest.mark.parametrize("oxides", [
    {"SiO2": 100.0}, {"SiO2": 40.0, "Na2O": 60.0}, {"SiO2": 10.0, "ZrO2": 60.0, "P2O5": 30.0},
    {"SiO2": 67.0, "Al2O3": 2.0, "Na2O": 3.0, "CaO": 5.0, "ZnO": 23.0},
])  # fmt: skip
def test_figures_that_check_would_not_show_are_left_empty(tmp_path: Path, oxides: dict[str, float]) -> None:
    """A cell holds a figure where, and only where, `check` shows one; the basis still says why."""
    lines = "\n".join(f"{oxide} {amount}" for oxide, amount in oxides.items())
    alone = formula(recipe_from_text(f"name: a\ncone: 6\nkind: composition\nbasis: mole\n\n{lines}\n")).estimates
    _, rows = screened(table(tmp_path, f"id,{','.join(oxides)}\na,{','.join(map(str, oxides.values()))}\n"))
    shown = {e.name: is_known(e) for e in alone if e.name in PROPERTIES}
    assert len(oxides) == 5 or not all(shown.values()), "a case in which something is not known"
    for name, known in shown.items():
        assert [rows[0][name + end] != "" for end in ("", "_low", "_high")] == [known] * 3, name
        assert rows[0][f"{name}_basis"] == "extrapolated" or known


def test_outside_the_fit_is_said(tmp_path: Path) -> None:
    _, rows = screened(table(tmp_path, "id,SiO2,PbO\na,40,60\nb,100,0\n"))
    assert [r["basis"] for r in rows] == ["extrapolated", "extrapolated"]


@pytest.mark.parametrize(("text", "code"), [
    ("", "empty-table"), ("id,SiO2,K20\na,1,1\n", "unknown-column"), ("id,name\na,b\n", "no-columns"),
])  # fmt: skip
def test_a_table_that_cannot_be_used(tmp_path: Path, text: str, code: str) -> None:
    with pytest.raises(ProblemsError) as stop:
        screened(table(tmp_path, text))
    assert code in [p.code for p in stop.value.problems]


def test_rows_longer_or_shorter_than_the_head_are_reported_never_shifted(tmp_path: Path) -> None:
    """Ragged rows are not CSV (RFC 4180, 2.4: each line should contain the same number of fields)."""
    text = 'id,SiO2,Na2O,CaO\na,70,20,10,5\nb,70,20,10\nc,70,20\nd,70,20,10,,\n"e\nf",70,20,10\ng,70\n'
    done, rows = screened(table(tmp_path, text))
    assert [r["id"] for r in rows] == ["a", "b", "c", "d", "e\nf", "g"]
    assert [r["basis"] == "error" for r in rows] == [True, False, True, False, False, True]
    assert [(p.code, p.line) for p in done.problems] == [("bad-row", 2), ("bad-row", 4), ("bad-row", 8)]
    assert "5 cells where the head has 4" in done.problems[0].message
    assert rows[1]["expansion"] == rows[3]["expansion"] == rows[4]["expansion"]


def test_every_row_longer_than_the_head(tmp_path: Path) -> None:
    done, rows = screened(table(tmp_path, "id,SiO2,Na2O\na,70,20,10\nb,60,20,10\n"))
    assert (done.bad_rows, [r["id"] for r in rows]) == (2, ["a", "b"])


def test_six_digits_are_written(tmp_path: Path) -> None:
    _, rows = screened(table(tmp_path, "id,SiO2,Al2O3,Na2O,CaO\n1.23456789,70,8,12,10\n"))
    figures = {key: cell for key, cell in rows[0].items() if key != "id" and not key.endswith(("basis", "interval"))}
    digits = [len(cell.replace(".", "").lstrip("0")) for cell in figures.values()]
    assert max(digits) <= 6
    assert rows[0]["id"] == "1.23456789"


def test_materials_without_their_basis_are_told_which(tmp_path: Path) -> None:
    with pytest.raises(ProblemsError) as stop:
        screened(table(tmp_path, "name,Whiting,Silica\na,20,80\n"))
    assert "--basis recipe" in stop.value.problems[0].hint


def test_columns_of_words_are_no_slips_of_materials(tmp_path: Path) -> None:
    text = "name,Cone,colour,Silica,Kaolin,Whiting,Potash feldspar\na,6,blue,30,10,20,40\n"
    done, rows = screened(table(tmp_path, text), "recipe")
    assert {p.code for p in done.problems} == {"unused-column"}
    assert rows[0]["basis"] == "model"
    for slipped, cell in (("Whitting", "20"), ("Silicca", "3")):
        with pytest.raises(ProblemsError, match="not known"):
            screened(table(tmp_path, f"id,Silica,{slipped}\na,30,{cell}\n"), "recipe")
    done, _ = screened(table(tmp_path, "id,SiO2,Al2O3,CaO,Na20\na,60,10,20,soft\n"))
    assert {p.code for p in done.problems} == {"unused-column"}


def test_a_column_that_stands_twice_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(ProblemsError, match="twice"):
        screened(table(tmp_path, "id,SiO2,SiO2\na,60,10\n"))


def test_columns_without_a_head_are_named_by_their_place(tmp_path: Path) -> None:
    _, rows = screened(table(tmp_path, ",SiO2,,Na2O,CaO,Al2O3\na,70,,12,10,8\n"))
    assert rows[0]["column 1"] == "a"
    assert rows[0]["basis"] == "model"


def test_a_table_of_too_many_columns_is_refused_at_once(tmp_path: Path) -> None:
    wide = ",".join(["id", "SiO2", *(f"c{i}" for i in range(100_000))])
    with pytest.raises(ProblemsError) as raised:
        screened(table(tmp_path, f"{wide}\n{'1,' * 100_001}1\n"))
    assert [(p.code, p.line) for p in raised.value.problems] == [("too-many-columns", 1)]


def test_unused_columns_are_named_up_to_ten(tmp_path: Path) -> None:
    names = ",".join(f"note {i}" for i in range(500))
    done, rows = screened(table(tmp_path, f"id,SiO2,CaO,{names}\na,60,20{',x' * 500}\n"))
    assert len(rows) == 1
    assert [p.code for p in done.problems] == ["unused-column"] * 11
    assert "490 more columns" in done.problems[-1].message


def test_a_line_without_an_end_is_no_table(tmp_path: Path) -> None:
    with pytest.raises(ProblemsError) as raised:
        screened(Path("/dev/zero"))
    assert raised.value.problems[0].code == "not-a-file"
    (tmp_path / "long.csv").write_text("1" * 40_000_000, encoding="utf-8")
    with pytest.raises(ProblemsError) as raised:
        screened(tmp_path / "long.csv")
    assert raised.value.problems[0].code == "csv"
