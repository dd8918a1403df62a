"""Supplier's sheets in many hands' styles: every row is read rightly, or refused with the reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from glazecalc.files.materials import built_in_materials
from glazecalc.files.supplier_sheet import read_supplier_sheets
from glazecalc.jobs.materials import FROM_KIND, material_facts, with_hazards
from glazecalc.values.inputs import Material, OxideAmount
from tests.files.supplier_sheets import SHEETS, Sheet


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: s.like)
def test_a_sheet_is_read_rightly_or_refused(sheet: Sheet, tmp_path: Path) -> None:
    path = tmp_path / "delivery.csv"
    path.write_text(sheet.text, encoding="utf-8")
    materials, problems = read_supplier_sheets(path)
    errors = [p.code for p in problems if p.is_error]
    if sheet.error:
        assert sheet.error in errors and not materials
        return
    assert not errors and [m.name for m in materials] == [says["name"] for says in sheet.says]
    for material, says in zip(materials, sheet.says, strict=True):
        percent = dict(material_facts(material).oxides)
        for key, value in says.items():
            if key == "said":
                assert "loi-differs" in {p.code for p in problems}
            elif key == "hazard":
                assert any(h.startswith(value) for h in with_hazards(material, built_in_materials())[0].hazards)
            elif key[0].isupper():
                assert percent[key] == pytest.approx(value, abs=0.06), key
            else:
                assert getattr(material, key) == value, key


def test_no_line_of_a_sheet_is_left_out_in_silence(tmp_path: Path) -> None:
    path = tmp_path / "delivery.csv"
    path.write_text("Harbour spar\nmesh,200\nSiO2,66\nAl2O3,19\nK2O,15\nsold in bags\n", encoding="utf-8")
    (material,), problems = read_supplier_sheets(path)
    assert material.name == "Harbour spar"
    told = " ".join(p.message for p in problems if p.code == "row-not-read")
    assert "mesh" in told and "sold in bags" in told


def made(name: str, **oxides: float) -> Material:
    loi = oxides.pop("loi", None)
    return Material(name=name, analysis=tuple(OxideAmount(oxide=o, amount=a) for o, a in oxides.items()), loi=loi)


@pytest.mark.parametrize(("material", "hazards"), [
    (made("Quay ball clay", SiO2=54, Al2O3=29, Fe2O3=1, K2O=2.2, loi=11.6), {"silica_dust"}),
    (made("Number 7", SiO2=46.5, Al2O3=37.8, loi=13.4), {"silica_dust"}),
    (made("Lagoon talc", SiO2=61, MgO=31.5, CaO=1, loi=6), {"silica_dust", "fibre_dust"}),
    (made("Frit 12", SiO2=50, B2O3=20, Na2O=10, CaO=14, Al2O3=6), {"frit_dust"}),
    (made("Old frit", PbO=60, SiO2=35, Al2O3=5), {"lead_dust", "lead_food", "lead_firing"}),
    (made("White stuff", BaO=77.4, loi=22.3), {"barium_dust", "barium_food"}),
])  # fmt: skip
def test_hazards_that_follow_from_the_kind_are_filled_in_and_marked(material: Material, hazards: set[str]) -> None:
    found, said = with_hazards(material, built_in_materials())
    assert hazards <= set(found.hazards) and FROM_KIND in found.hazards
    assert [p.code for p in said] == ["hazards-from-kind"]


def test_a_name_that_holds_a_poison_s_name_borrows_none_and_own_hazards_stay() -> None:
    leadless = made("Lead bisilicate substitute", SiO2=50, B2O3=20, Na2O=10, CaO=14, Al2O3=6)
    assert not any(h.startswith("lead") for h in with_hazards(leadless, built_in_materials())[0].hazards)
    own = made("Kaolin", SiO2=46.5, Al2O3=37.8, loi=13.4).model_copy(update={"hazards": ("inert_dust",)})
    assert with_hazards(own, built_in_materials()) == (own, ())


def test_a_stated_loss_is_kept_and_the_difference_shown() -> None:
    fact = material_facts(made("Grotto clay", SiO2=58, Al2O3=28, Fe2O3=1.5, K2O=1.5, loi=8))
    assert fact.loss_on_ignition_percent == 8 and fact.left_by_oxides_percent == pytest.approx(11)
