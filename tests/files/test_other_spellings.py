"""One thing written in the many ways people write it: heads of cards, columns and sheets, kinds, scales, files that are no text.

The words are those of trade and of spreadsheets (common practice, no source); figures are the same in every spelling.
"""

from __future__ import annotations

import gzip
import sqlite3
from pathlib import Path

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.files.materials import read_materials
from glazecalc.files.problems import Findings
from glazecalc.files.schedule import read_schedule
from glazecalc.files.studio import read_studio
from glazecalc.files.text import read_text
from glazecalc.values.inputs import Recipe
from tests.files.supplier_sheets import read_supplier_sheet

LINES = "Potash feldspar 40\nSilica 30\nWhiting 20\nKaolin 10\n"
HEADS = {
    "name": "name; title; glaze; glaze name; recipe; recipe name", "surface": "surface; finish; texture",
    "atmosphere": "atmosphere; firing; atm; kiln atmosphere", "source": "source; from; origin; author; by",
    "notes": "notes; note; comment; comments; remark; remarks; description; application", "proven": "proven; proven on; used for",
}  # fmt: skip


def card(text: str) -> Recipe:
    recipe, problems = read_recipe_text(text)
    assert recipe is not None, problems
    return recipe


@pytest.mark.parametrize(("key", "typed"), [(key, word) for key, words in HEADS.items() for word in words.split("; ")])
@pytest.mark.parametrize("sign", [": ", " = "])
def test_a_card_s_head_in_other_words(key: str, typed: str, sign: str) -> None:
    held = card(f"{typed.capitalize()}{sign}reduction\n\n{LINES}")
    assert getattr(held, key) == "reduction" and len(held.lines) == 4


@pytest.mark.parametrize("typed", ["cone", "cones", "firing cone", "fire to", "fired to", "temperature", "temp"])
def test_a_card_s_cone_in_other_words(typed: str) -> None:
    held = card(f"name: x\n{typed}: 5-6\n\n{LINES}").cone
    assert held is not None and (str(held.low), str(held.high)) == ("5", "6")


@pytest.mark.parametrize(
    ("kind", "typed"),
    [("glaze", w) for w in ("glaze", "recipe", "slip", "engobe")] + [("body", w) for w in ("body", "clay", "clay body", "Clay  Body.")]
    + [("bought", w) for w in ("bought", "jar", "commercial", "shop")],
)  # fmt: skip
@pytest.mark.parametrize("key", ["kind", "type"])
def test_a_card_s_kind_in_other_words(kind: str, typed: str, key: str) -> None:
    assert card(f"name: x\ncone: 6\n{key}: {typed}\n\n{'' if kind == 'bought' else LINES}").kind == kind


@pytest.mark.parametrize("typed", ["composition", "analysis", "oxides"])
def test_a_composition_in_other_words(typed: str) -> None:
    held = card(f"name: x\nkind: {typed}\nbasis: weight\n\nSiO2 70\nCaO 20\nK2O 10\n")
    assert held.kind == "composition" and [(o.oxide, o.amount) for o in held.composition] == [("SiO2", 70), ("CaO", 20), ("K2O", 10)]


@pytest.mark.parametrize(
    ("basis", "typed"),
    [("unity", w) for w in ("unity", "unity formula", "formula", "Seger", "UMF")]
    + [("mole", w) for w in ("mole", "moles", "mol", "mole %", "mol%", "mol %", "mole percent")]
    + [("weight", w) for w in ("weight", "weight %", "wt", "wt%", "wt %", "weight percent", "mass", "mass %")],
)
@pytest.mark.parametrize("key", ["basis", "base on"])
def test_the_basis_of_a_composition_in_other_words(basis: str, typed: str, key: str) -> None:
    assert card(f"name: x\nkind: composition\n{key}: {typed}\n\nSiO2 3.5\nAl2O3 0.4\nCaO 0.7\nK2O 0.3\n").basis == basis


AMOUNTS = (
    "amount; amt; %; percent; percentage; parts; grams; gram; g; weight; quantity; qty; mass; parts by weight; weight %; batch; "
    "amount (g); amount (%); weight (g); moles; mole; mol; value"
)  # fmt: skip


@pytest.mark.parametrize("head", AMOUNTS.split("; "))
@pytest.mark.parametrize("added", ["addition", "add", "additional", "is addition"])
def test_the_columns_of_a_table_in_other_words(head: str, added: str) -> None:
    rows = "Potash feldspar,40,\nSilica,30,\nWhiting,20,\nKaolin,10,\nRutile,4,yes\n"
    held = card(f"material,{head},{added}\n{rows}")
    assert [(line.material, line.amount, line.addition) for line in held.lines] == [
        ("Potash feldspar", 40, False), ("Silica", 30, False), ("Whiting", 20, False), ("Kaolin", 10, False), ("Rutile", 4, True),
    ]  # fmt: skip


@pytest.mark.parametrize("kept", ["", "-", "--", "\u2013", "\u2014", "n.d.", "n.b.", "nd", "n/d", "n.a.", "NA", "n/a", "nil", "none", "bdl", "b.d.l.", "0"])
def test_a_cell_that_says_nothing_is_none_of_it(kept: str, tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_text(f"name,SiO2,Al2O3,K2O\nOwn,70,30,{kept}\n", encoding="utf-8")
    (found,), problems = read_materials(tmp_path / "m.csv")
    assert {o.oxide: o.amount for o in found.analysis if o.amount} == {"SiO2": 70, "Al2O3": 30} and not [p for p in problems if p.is_error]


@pytest.mark.parametrize("word", ["trace", "Traces", "tr", "tr.", "T"])
def test_a_trace_is_counted_as_none_and_said(word: str, tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_text(f"name,SiO2,Al2O3,K2O\nOwn,70,30,{word}\n", encoding="utf-8")
    (found,), problems = read_materials(tmp_path / "m.csv")
    assert {o.oxide for o in found.analysis if o.amount} == {"SiO2", "Al2O3"} and "trace" in {p.code for p in problems}


@pytest.mark.parametrize(("cell", "counted"), [("<2", 1), ("\u22642", 1), ("less than 2", 1), ("max 2", 1), ("max. 2", 1), ("under 2", 1), (">2", 2), ("\u22652", 2),
                                               ("more than 2", 2), ("min. 2", 2), ("over 2", 2), ("~2", 2), ("\u22482", 2), ("about 2", 2), ("approx. 2", 2),
                                               ("ca. 2", 2), ("2 \u00b1 0.1", 2), ("2 +/- 0.1", 2), ("2 %", 2)])  # fmt: skip
def test_a_limit_is_counted_half_below_and_whole_above(cell: str, counted: float, tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_text(f"name;SiO2;Al2O3;K2O\nOwn;69;29;{cell}\n", encoding="utf-8")
    (found,), problems = read_materials(tmp_path / "m.csv")
    assert {o.oxide: o.amount for o in found.analysis}["K2O"] == counted
    assert ("limit-given" in {p.code for p in problems}) == (not cell.startswith(("~", "\u2248", "a", "ca", "2")))


COLUMNS = {
    "name": "name; material", "aliases": "aliases; alias; also called", "spread_percent": "spread_percent; spread", "hazards": "hazards; hazard",
    "moisture_percent": "moisture_percent; moisture", "price_per_kg": "price_per_kg; price; price per kg", "density": "density; specific gravity",
    "notes": "notes; note", "lot": "lot; lot number; batch",
}  # fmt: skip
CELLS = {
    "name": ("Own", "Own"), "aliases": ("mine", ("mine",)), "spread_percent": ("5", 5), "hazards": ("lead_dust", ("lead_dust",)), "moisture_percent": ("3", 3),
    "price_per_kg": ("2.5", 2.5), "density": ("2.6", 2.6), "notes": ("dusty", "dusty"), "lot": ("B7", "B7"),
}  # fmt: skip


@pytest.mark.parametrize(("field", "typed"), [(f, w) for f, words in COLUMNS.items() for w in words.split("; ")])
def test_a_column_of_materials_in_other_words(field: str, typed: str, tmp_path: Path) -> None:
    cell, value = CELLS[field]
    first = "" if field == "name" else "name,"
    row = "" if field == "name" else "Own,"
    (tmp_path / "m.csv").write_text(f"{first}{typed},SiO2,Al2O3\n{row}{cell},70,30\n", encoding="utf-8")
    (found,), problems = read_materials(tmp_path / "m.csv")
    assert getattr(found, field) == value and not [p for p in problems if p.code == "unknown-column"]


@pytest.mark.parametrize("typed", ["yes", "Y", "true", "1", "x"])
def test_a_flag_may_be_set_in_any_words(typed: str, tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_text(f"name,SiO2,Al2O3,plastic,slow_melting\nOwn,70,30,{typed},\nOther,70,30,,{typed}\n", encoding="utf-8")
    (own, other), _ = read_materials(tmp_path / "m.csv")
    assert (own.plastic, own.slow_melting, other.plastic, other.slow_melting) == (True, False, False, True)


# Oxides by the names chemistry gives them.
NAMED = {
    "SiO2": "silica; silicon dioxide; silicon oxide", "Al2O3": "alumina; aluminium oxide; aluminum oxide", "CaO": "calcium oxide; lime",
    "MgO": "magnesium oxide; magnesia", "K2O": "potassium oxide; potash", "Na2O": "sodium oxide; soda", "Fe2O3": "iron oxide; ferric oxide",
    "TiO2": "titania; titanium dioxide; titanium oxide", "B2O3": "boric oxide; boron oxide; boron trioxide", "ZnO": "zinc oxide",
    "Li2O": "lithium oxide; lithia", "SrO": "strontium oxide", "BaO": "barium oxide", "ZrO2": "zirconium oxide; zirconia",
    "P2O5": "phosphorus pentoxide", "MnO": "manganese oxide", "PbO": "lead oxide",
}  # fmt: skip


@pytest.mark.parametrize(("oxide", "name"), [(oxide, name) for oxide, names in NAMED.items() for name in names.split("; ")])
def test_a_sheet_may_name_its_oxides_in_words(oxide: str, name: str, tmp_path: Path) -> None:
    others = [("Silica", 60.0), ("Alumina", 20.0), ("Lime", 12.0)]
    rows = [(label, figure) for label, figure in others if {"Silica": "SiO2", "Alumina": "Al2O3", "Lime": "CaO"}[label] != oxide]
    left = 100 - sum(figure for _, figure in rows)
    text = "Sand lot 7\n\n" + "\n".join(f"{label}  {figure:g}" for label, figure in [*rows, (name.capitalize(), left)])
    (tmp_path / "s.txt").write_text(text + "\n", encoding="utf-8")
    found, problems = read_supplier_sheet(tmp_path / "s.txt")
    assert found is not None, problems
    assert {o.oxide: o.amount for o in found.analysis}[oxide] == pytest.approx(left) and len(found.analysis) == len(rows) + 1


ABOVE = (
    "Oxide; Oxides; Component; Constituent; Compound; Analysis; Chemical analysis; Typical analysis; Chemical composition; Typical chemical analysis; "
    "Composition; Analyse; Oxid; Oxyde; Teneur; Gehalt; Anteil; Komponente"
)  # fmt: skip


@pytest.mark.parametrize("head", ABOVE.split("; "))
@pytest.mark.parametrize("unit", ["wt %", "Weight %", "Percent", "%", "Value", "Result", "wt.-%"])
def test_the_words_above_the_figures_are_no_name(head: str, unit: str, tmp_path: Path) -> None:
    (tmp_path / "own spar.csv").write_text(f"{head},{unit}\nSiO2,65\nAl2O3,19\nK2O,16\n", encoding="utf-8")
    found, problems = read_supplier_sheet(tmp_path / "own spar.csv")
    assert found is not None, problems
    assert found.name == "own spar" and {o.oxide: o.amount for o in found.analysis} == {"SiO2": 65, "Al2O3": 19, "K2O": 16}


@pytest.mark.parametrize(
    ("field", "label", "cell", "value"),
    [("name", w, "Own spar", "Own spar") for w in ("Name", "Material", "Product", "Product name", "Grade", "Sample")]
    + [("source", w, "The pit", "The pit") for w in ("Source", "Supplier")] + [("lot", w, "B7", "B7") for w in ("Lot", "Lot number", "Lot no", "Batch")]
    + [("density", w, "2.6", 2.6) for w in ("Density", "Specific gravity")] + [("price_per_kg", w, "2.5", 2.5) for w in ("Price", "Price per kg")]
    + [("moisture_percent", "Moisture", "3", 3), ("spread_percent", "Spread", "5", 5), ("spread_percent", "Spread percent", "5", 5), ("date", "Date", "2026-01-02", "2026-01-02")]
    + [("loi", w, "1.5", 1.5) for w in ("LOI", "L.O.I.", "Loss on ignition", "Ignition loss", "Loss", "Gl\u00fchverlust", "Perte au feu")],
)  # fmt: skip
def test_what_a_sheet_says_beside_its_oxides(field: str, label: str, cell: str, value: object, tmp_path: Path) -> None:
    (tmp_path / "s.csv").write_text(f"{label},{cell}\nSiO2,64\nAl2O3,18.5\nK2O,16\n", encoding="utf-8")
    found, problems = read_supplier_sheet(tmp_path / "s.csv")
    assert found is not None, problems
    assert getattr(found, field) == value and len(found.analysis) == 3


# 270 degF/h is 150 degC/h and 1112 degF is 600 degC (a degree Fahrenheit is 5/9 of one Celsius, NIST SP 811).
RATES = {150: "rate; rate degC per h; rate degC_h; rate C per h; rate C_h; rate degC; rate C", 270: "rate degF per h; rate degF_h; rate F per h; rate F_h; rate degF; rate F"}
TOPS = {600: "to; to degC; to C", 1112: "to degF; to F"}
HOLDS = {0.5: "hold h; hold hours; hold hour", 30: "hold min; hold minutes; hold mins"}


@pytest.mark.parametrize(("rate", "fast"), [(w, figure) for figure, words in RATES.items() for w in words.split("; ")])
@pytest.mark.parametrize(("to", "top"), [(w, figure) for figure, words in TOPS.items() for w in words.split("; ")])
@pytest.mark.parametrize(("hold", "long"), [(w, figure) for figure, words in HOLDS.items() for w in words.split("; ")])
def test_a_schedule_s_columns_name_their_units(rate: str, fast: float, to: str, top: float, hold: str, long: float, tmp_path: Path) -> None:
    (tmp_path / "f.csv").write_text(f"{rate},{to},{hold}\n{fast},{top},{long}\n".replace(" ", "_"), encoding="utf-8")
    (leg,), problems = read_schedule(tmp_path / "f.csv")
    assert (leg.rate_degC_per_h, leg.to_degC, leg.hold_h) == pytest.approx((150, 600, 0.5)) and not [p for p in problems if p.is_error]


@pytest.mark.parametrize(
    ("ware", "typed"),
    [("terracotta", w) for w in ("terracotta", "terra-cotta", "terra cotta", "redware", "red earthenware")] + [("earthenware", w) for w in ("low fire", "low-fire", "Earthenware")]
    + [("stoneware", w) for w in ("stoneware", "mid-fire", "mid fire", "high-fire", "high fire")] + [("bone china", w) for w in ("bone", "bone china")],
)  # fmt: skip
@pytest.mark.parametrize("key", ["ware", "class"])
def test_a_clay_s_class_in_other_words(ware: str, typed: str, key: str, tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text(f'[[body]]\nname = "x"\n{key} = "{typed}"\n', encoding="utf-8")
    assert read_studio(tmp_path)[0].bodies[0].ware == ware


# The first bytes of files that are no text: the signatures of their formats' own specifications (from memory).
FIRST = {
    "PDF": b"%PDF-1.7\n", "zip": b"PK\x03\x04\x14\x00", "old spreadsheet": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "rich text": b"{\\rtf1\\ansi", "picture": b"\x89PNG\r\n\x1a\n",
    "a picture": b"\xff\xd8\xff\xe0", "picture,": b"GIF89a", "compressed": gzip.compress(b"Silica 10\n"),
}  # fmt: skip


@pytest.mark.parametrize("what", FIRST)
def test_a_file_that_is_no_text_is_named_and_not_read(what: str, tmp_path: Path) -> None:
    (tmp_path / "x.txt").write_bytes(FIRST[what] + b" rest")
    found = Findings("x.txt")
    assert read_text(tmp_path / "x.txt", found) is None
    assert [p.code for p in found.problems] == ["not-text"] and what.removeprefix("a ").rstrip(",") in found.problems[0].message


def test_a_database_is_no_card(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "x.txt") as base:
        base.execute("create table t (a)")
    found = Findings("x.txt")
    assert read_text(tmp_path / "x.txt", found) is None and "a database" in found.problems[0].message
