"""Tables of materials: the shipped one, a studio's own, a supplier's sheet, and a row added without losing another."""

from __future__ import annotations

import csv
import time
from pathlib import Path

import pytest
from molmass import Formula

from glazecalc.files.card import read_recipe_text
from glazecalc.files.materials import TO_OXIDE, built_in_materials, label_of, read_materials
from glazecalc.files.studio_edit import write_materials_rows
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.oxides import SYMBOLS
from tests.files.supplier_sheets import read_supplier_sheet


def test_built_in_materials_are_the_rows_of_the_shipped_table() -> None:
    with (data_root() / "materials" / "materials.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    materials = built_in_materials()
    assert [m.name for m in materials] == [row["name"] for row in rows]
    assert len(materials) >= 90
    for material, row in zip(materials, rows, strict=True):
        assert {a.oxide: a.amount for a in material.analysis} == {s: float(row[s]) for s in SYMBOLS if row.get(s)}
        assert material.loi == (float(row["loi"]) if row["loi"] else None)
        assert material.aliases == tuple(a.strip() for a in row["aliases"].split(";") if a.strip())


def test_built_in_materials_load_within_their_budget() -> None:
    best = 9.0
    for _ in range(5):
        built_in_materials.cache_clear()
        began = time.process_time()
        built_in_materials()
        best = min(best, time.process_time() - began)
    assert best < 0.025


def test_own_table(tmp_path: Path) -> None:
    path = tmp_path / "materials.csv"
    path.write_text(
        "name;aliases;SiO2 (%);al2o3;K2O;L.O.I.;density;price per kg;hazards;lot\n"
        "Shed spar;spar; 66,5;18,2;14,8;0,5;2,6;1,20;silica dust;A7\n"
        '"Beach ash";;<0,5;tr;-;;;;;\n'
        "Bone;;;;;;;;;\n"
    )
    materials, problems = read_materials(path)
    assert [m.name for m in materials] == ["Shed spar"]
    spar = materials[0]
    assert {a.oxide: a.amount for a in spar.analysis} == {"SiO2": 66.5, "Al2O3": 18.2, "K2O": 14.8}
    assert (spar.loi, spar.density, spar.price_per_kg, spar.lot, spar.own, spar.line) == (0.5, 2.6, 1.2, "A7", True, 2)
    assert {(p.line, p.code) for p in problems if p.is_error} == {(3, "sum-far-off"), (4, "one-description")}


@pytest.mark.parametrize(
    ("label", "what", "symbol"),
    [
        ("SiO2", "oxide", "SiO2"),
        ("sio2", "oxide", "SiO2"),
        ("SiO\N{SUBSCRIPT TWO} (wt %)", "oxide", "SiO2"),
        ("L.O.I.", "loi", ""),
        ("Loss on ignition", "loi", ""),
        ("LOI (1000C)", "loi", ""),
        ("K20", "misspelt", "K2O"),
        ("Al203", "misspelt", "Al2O3"),
        ("Fe", "element", "Fe"),
        ("K2O+Na2O", "several", "K2O+Na2O"),
        ("Na2O / K2O", "several", "Na2O+K2O"),
        ("colour", "other", "colour"),
        ("No", "other", "No"),
    ],
)
def test_labels_of_an_analysis(label: str, what: str, symbol: str) -> None:
    assert label_of(label) == (what, symbol)


@pytest.mark.parametrize("element", TO_OXIDE)
def test_factors_from_element_to_oxide_against_another_library(element: str) -> None:
    """Molar masses of molmass, a general-purpose registry library."""
    oxide, factor = TO_OXIDE[element]
    per_formula = {item.symbol: item.count for item in Formula(oxide).composition().values()}[element]
    assert factor == pytest.approx(Formula(oxide).mass / Formula(element).mass / per_formula, rel=1e-4)


SHEETS = {
    "down": "Name,Shed spar\nOxide,%\nSiO2,66.0\nAl2O3,18.0\nK2O,12.0\nNa2O,3.0\nLOI,1.0\nTotal,100.0\n",
    "semicolons and decimal commas": "Name;Shed spar\nSiO2;66,0\nAl2O3;18,0\nK2O;12,0\nNa2O;3\nL.O.I.;1,0\nTotal;100\n",
    "tabs": "Product\tShed spar\nSiO2\t66\nAl2O3\t18\nK2O\t12\nNa2O\t3\nLoss on ignition\t1\n",
    "spaces": "Shed spar\n\nTypical analysis\nSiO2      66.0 %\nAl2O3     18.0 %\nK2O  12\nNa2O 3.0\nLOI 1.0\n",
    "colons": "Name: Shed spar\nSiO2: 66\nAl2O3: 18\nK2O: 12\nNa2O: 3\nLOI: 1\n",
    "across": "name,SiO2,Al2O3,K2O,Na2O,LOI\nShed spar,66,18,12,3,1\n",
    "across, titled": "Name,Shed spar\nSiO2,Al2O3,K2O,Na2O,LOI\n66,18,12,3,1\n",
    "parts per million": "Name,Shed spar\nSiO2,66\nAl2O3,18\nK2O,12\nNa2O,3\nLOI,1\nFe2O3,250 ppm\n",
}


@pytest.mark.parametrize("layout", SHEETS)
def test_every_layout_of_a_sheet_gives_the_same_material(layout: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.csv"
    path.write_text(SHEETS[layout])
    material, problems = read_supplier_sheet(path)
    assert material is not None, problems
    analysis = {a.oxide: a.amount for a in material.analysis}
    assert analysis.pop("Fe2O3", 0.025) == pytest.approx(0.025)
    assert (material.name, material.loi, material.kind, material.own) == ("Shed spar", 1.0, "supplier", True)
    assert analysis == {"SiO2": 66, "Al2O3": 18, "K2O": 12, "Na2O": 3}


@pytest.mark.parametrize(
    ("rows", "code", "hint"),
    [
        ("SiO2,66\nAl2O3,18\nK20,15\nLOI,1\n", "unknown-oxide", "K2O"),
        ("Si,30.2\nAl2O3,18\n", "element-not-oxide", "64.61 % SiO2"),
        ("SiO2,66\nAl2O3,18\nK2O+Na2O,15\nLOI,1\n", "oxides-together", ""),
        ("SiO2,6.6\nAl2O3,1.8\nLOI,1\n", "sum-far-off", ""),
        ("SiO2,66\nSiO2,66\n", "named-twice", ""),
        ("SiO2,trace\nAl2O3,99\nLOI,1\n", "trace", ""),
        ("SiO2,<0.1\nAl2O3,99\nLOI,1\n", "limit-given", ""),
        ("SiO2,60\nAl2O3,30\n", "loi-missing", ""),
        ("SiO2,60\nAl2O3,34\nLOI,1\n", "sum-off", ""),
        ("SiO2,60\nAl2O3,39\nLOI,1\nTotal,98\n", "total-disagrees", ""),
        ("SiO2,48,5\nAl2O3,37,5\nLOI,14,0\n", "comma-ambiguous", ""),
    ],
)
def test_slips_of_a_sheet_are_said(rows: str, code: str, hint: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.csv"
    path.write_text("name,x\n" + rows)
    said = [p for p in read_supplier_sheet(path)[1] if p.code == code]
    assert said and hint in said[0].hint


def spar(name: str = "Shed spar", **more: object) -> Material:
    analysis = (OxideAmount(oxide="SiO2", amount=66.0), OxideAmount(oxide="SrO", amount=33.0))
    return Material(name=name, analysis=analysis, loi=1.0, **more)  # type: ignore[arg-type]


def test_row_is_written_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "materials.csv"
    assert write_materials_rows(path, [spar(aliases=("a", "b"), hazards=("silica_dust",), source="a sheet, 2026")]) == ()
    materials, problems = read_materials(path)
    assert problems == ()
    assert materials == (spar(aliases=("a", "b"), hazards=("silica_dust",), source="a sheet, 2026", own=True,
                              file=str(path), line=2),)  # fmt: skip


def test_other_rows_columns_and_comments_stay(tmp_path: Path) -> None:
    path = tmp_path / "materials.csv"
    path.write_text('# mine\nname;colour;CaO;loi\n"Chalk; soft";white;56,0;44,0\n')
    assert write_materials_rows(path, [spar()]) == ()
    text = path.read_text()
    assert text.startswith('# mine\nname;colour;CaO;loi;SiO2;SrO\n"Chalk; soft";white;56,0;44,0;;\n')
    assert [m.name for m in read_materials(path)[0]] == ["Chalk; soft", "Shed spar"]


def test_a_name_that_is_there_is_replaced_only_when_asked(tmp_path: Path) -> None:
    path = tmp_path / "materials.csv"
    write_materials_rows(path, [spar()])
    before = path.read_bytes()
    problems = write_materials_rows(path, [spar("SHED SPAR")])
    assert [p.code for p in problems] == ["name-twice"] and path.read_bytes() == before
    assert write_materials_rows(path, [spar("SHED SPAR")], force=True) == ()
    assert [m.name for m in read_materials(path)[0]] == ["SHED SPAR"]


def test_a_row_keeps_that_it_dissolves_melts_slowly_and_is_plastic(tmp_path: Path) -> None:
    """Each stands in a column of its own; a row written and read, or replaced, loses none of them."""
    path = tmp_path / "materials.csv"
    ash = spar().model_copy(update={"solubility": "partly", "slow_melting": True, "plastic": True})
    for force in (False, True):
        assert write_materials_rows(path, [ash], force=force) == ()
        (kept,) = read_materials(path)[0]
        assert (kept.solubility, kept.slow_melting, kept.plastic) == ("partly", True, True)


def test_a_damaged_table_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "materials.csv"
    for damaged in (b"PK\x03\x04 spreadsheet", b"SiO2,Al2O3\n1,2\n"):
        path.write_bytes(damaged)
        assert any(p.is_error for p in write_materials_rows(path, [spar()]))
        assert path.read_bytes() == damaged
    assert [entry.name for entry in tmp_path.iterdir()] == ["materials.csv"]


def test_a_folder_that_is_missing_is_said(tmp_path: Path) -> None:
    problems = write_materials_rows(tmp_path / "nowhere" / "materials.csv", [spar()])
    assert [p.code for p in problems] == ["cannot-write"]


def test_a_table_that_was_changed_meanwhile_is_left_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import glazecalc.files.studio_edit as own

    path = tmp_path / "materials.csv"
    path.write_text("name,SiO2\nBeach sand,98\n", encoding="utf-8")
    made = own.with_row

    def slowly(*given: object) -> str | None:
        path.write_text("name,SiO2\nBeach sand,99\n", encoding="utf-8")
        return made(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(own, "with_row", slowly)
    assert [p.code for p in write_materials_rows(path, [spar("Shed spar")])] == ["changed-meanwhile"]
    assert "99" in path.read_text(encoding="utf-8")
    assert [p.name for p in tmp_path.iterdir()] == ["materials.csv"]


@pytest.mark.parametrize(("cell", "held"), [("", ("not_entered",)), ("none", ()), ("silica_dust", ("silica_dust",))])
def test_an_own_material_without_a_word_on_hazards_is_cautioned_against(tmp_path, cell, held):
    table = tmp_path / "materials.csv"
    table.write_text(f"name,SiO2,loi,hazards\nBucket sand,99,1,{cell}\n", encoding="utf-8")
    materials, _ = read_materials(table)
    assert materials[0].hazards == held


def test_a_name_with_marks_of_a_page_is_found_as_a_card_reads_it(tmp_path: Path) -> None:
    table = tmp_path / "materials.csv"
    table.write_text("name,SiO2,CaO\nFrit <b>&amp;</b>,60,40\n", encoding="utf-8")
    (material,), _ = read_materials(table)
    card, _ = read_recipe_text("name: Reef\n\nFrit <b>&amp;</b>  60\nSilica  40\n", "reef.txt")
    assert card is not None and card.lines[0].material in material.aliases


@pytest.mark.parametrize(("cell", "loi"), [("-", 0.0), ("n.d.", 0.0), ("-0.4", -0.4), ("1.5 %", 1.5)])
def test_a_loss_on_ignition_is_read_alike_in_an_own_table_and_on_a_sheet(tmp_path, cell, loi):
    """A dash is how sheets write that nothing was found (common practice, no source)."""
    own, sheet = tmp_path / "materials.csv", tmp_path / "sheet.csv"
    own.write_text(f"name,SiO2,loi\nBucket sand,99,{cell}\n", encoding="utf-8")
    sheet.write_text(f"name,Bucket sand\nSiO2,99\nLOI,{cell}\n", encoding="utf-8")
    assert [m.loi for m in read_materials(own)[0]] == [loi] == [m.loi for m in [read_supplier_sheet(sheet)[0]] if m]


@pytest.mark.parametrize("head", ["KNa2O", "KNaO", "K2O.Na2O", "R2O", "RO", "R2O3", "alkalis", "Alkalies", "total alkalis", "K2O+Na2O", "Na2O & K2O", "CaO/MgO", "Fe2O3 and TiO2"])
def test_a_column_of_several_oxides_is_refused(head: str, tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_text(f"name,SiO2,Al2O3,{head}\nOwn,70,20,10\n", encoding="utf-8")
    _, problems = read_materials(tmp_path / "m.csv")
    assert [(p.code, p.line) for p in problems if p.is_error] == [("oxides-together", 1)]


def test_a_name_copied_from_a_web_page_is_found_as_it_was_meant(tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_text("name,SiO2,Al2O3\nSand &amp; grit,90,10\nPlain sand,90,10\n", encoding="utf-8")
    (first, second), _ = read_materials(tmp_path / "m.csv")
    assert "Sand & grit" in first.aliases and second.aliases == ()
