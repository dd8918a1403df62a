"""What is known of a clay: the rule of mixture, shrinkage, wet size, tightness, missing tests."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.chemistry.composition import from_moles, vector
from glazecalc.chemistry.oxides import MOLAR_MASSES
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.body import (
    clay_report,
    judge_tight,
    published_shrinkage,
    usual_cone,
    wet_size,
)
from glazecalc.jobs.estimates import reasoned_body_expansion
from glazecalc.jobs.materials import pantry
from glazecalc.jobs.setup import setup_for
from glazecalc.models.body import mixture_expansion, phases
from glazecalc.models.coat import ware_figures
from glazecalc.render.text.learn import clay_text
from glazecalc.values.answers import Answer, Basis, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.data import read_table, sources
from glazecalc.values.inputs import AtCone, Body, Defaults, Recipe, RecipeLine, Studio, UnitChoice

SHELF = pantry(built_in_materials())
CARD = Recipe(
    name="white", kind="body",
    lines=(RecipeLine(material="Kaolin", amount=50.0), RecipeLine(material="Potash feldspar", amount=25.0),
           RecipeLine(material="Silica", amount=25.0)),
)  # fmt: skip
BODY = Body(
    name="Buff", ware="stoneware", cone_low=Cone("5"), cone_high=Cone("10"),
    absorption_percent=(AtCone(cone=Cone("5"), percent=7.0), AtCone(cone=Cone("10"), percent=0.4)),
    shrinkage_percent=(AtCone(cone=Cone("10"), percent=13.0),),
)  # fmt: skip


def weight(**percent: float) -> np.ndarray:
    moles = vector(percent) / MOLAR_MASSES
    return (moles / moles.sum())[None, :]


def test_phases_close_and_hold_every_oxide():
    x = weight(SiO2=68, Al2O3=25, K2O=4, Na2O=1, CaO=1, Fe2O3=1)
    found = phases(x)
    assert found.glass + found.mullite + found.quartz == pytest.approx(1.0)
    assert found.glass_moles.sum() == pytest.approx(1.0)


def test_pure_clay_substance_makes_mullite_and_silica():
    # Fired kaolin, Al2O3 2 SiO2: all alumina to 3:2 mullite leaves 4/3 mole of silica (from memory, any
    # textbook).
    found = phases(weight(SiO2=2 * 60.083, Al2O3=101.96))
    mullite, silica = (3 * 101.96 + 2 * 60.083) / 3 / 3.16, 4 / 3 * 60.083 / 2.65
    assert float(found.mullite[0]) == pytest.approx(mullite / (mullite + silica), rel=1e-3)
    assert float(found.glass[0]) == pytest.approx(0.0, abs=1e-12)


def test_nothing_but_flux_is_all_glass():
    found = phases(weight(K2O=9.5, Al2O3=10.9, SiO2=79.6))
    assert float(found.glass[0]) == pytest.approx(1.0, abs=0.02)


def test_reasoned_expansion_is_never_better_than_typical():
    composition = from_moles(weight(SiO2=70, Al2O3=24, K2O=4, Na2O=1))
    for ware in ("porcelain", "stoneware", "other"):
        found = reasoned_body_expansion(composition, ware, Cone("10"))
        assert found.basis is Basis.TYPICAL
        usual = ware_figures(ware)
        assert found.high - found.low >= 3.0 - 1e-9
        assert ware == "other" or found.high - found.low >= usual.high - usual.low
    low_fire = reasoned_body_expansion(composition, "earthenware", Cone("06"))
    usual = ware_figures("earthenware")
    assert low_fire.high - low_fire.low == pytest.approx(1.5 * (usual.high - usual.low))


def test_quartz_raises_the_expansion():
    values = [mixture_expansion(phases(weight(SiO2=s, Al2O3=94 - s, K2O=4, Na2O=2)))[0] for s in (66, 72, 78)]
    assert values == sorted(values)


def test_report_of_a_clay_with_a_card():
    found = clay_report(BODY, SHELF, recipe=CARD, cone=Cone("10"), fired_mm=87.0)
    assert found.formula is not None and found.phases is not None
    assert found.estimate("body_expansion") is not None
    assert found.wet_size is not None and found.wet_size.wet_mm == pytest.approx(100.0)
    assert [v.answer for v in found.verdicts] == [Answer.FITS, Answer.FITS]
    assert [m.what for m in found.missing] == ["expansion"]
    assert found.tiles == 0


def test_missing_figures_come_with_their_arithmetic():
    found = clay_report(Body(name="Bag"), SHELF, cone=Cone("6"))
    texts = {m.what: m.arithmetic for m in found.missing}
    assert "= 2.5 %" in texts["absorption at this cone"]
    assert "= 12 %" in texts["shrinkage at this cone"]
    assert "growth by damp" in texts
    assert found.verdicts[1].answer is Answer.CANNOT_SAY


def test_wet_size_undoes_the_shrinkage():
    # By the definition (ASTM C326), numbers invented: 100 mm wet, 87 mm fired is 13 %.
    shrinks = Estimate("shrinkage", 13.0, 12.5, 13.5, "%", Basis.MEASURED)
    assert wet_size(87.0, shrinks).wet_mm == pytest.approx(100.0)


def test_bone_dry_lies_between_wet_and_fired():
    # Two stages multiply, numbers invented: 6 % in drying and 7 % in firing are 1 - 0.94 x 0.93 = 12.58 % in all.
    shrinks = Estimate("shrinkage", 12.58, 12.0, 13.0, "%", Basis.MEASURED)
    assert wet_size(87.42, shrinks, 6.0).dry_mm == pytest.approx(94.0)
    assert wet_size(87.42, shrinks).dry_mm is None
    stated = BODY.model_copy(update={"drying_shrinkage_percent": 6.0})
    found = clay_report(stated, SHELF, cone=Cone("10"), fired_mm=87.0)
    assert found.wet_size is not None and found.wet_size.dry_mm == pytest.approx(94.0)
    assert "Bone dry it is then 94 mm." in " ".join(clay_text(found, UnitChoice()).split())


@pytest.mark.parametrize(
    ("value", "answer"), [(0.2, Answer.FITS), (1.1, Answer.CANNOT_SAY), (3.0, Answer.DOES_NOT_FIT)]
)
def test_tightness(value, answer):
    soaks = Estimate("absorption", value, max(value - 0.3, 0.0), value + 0.3, "%", Basis.SUPPLIER)
    verdict = judge_tight("Buff", Cone("6"), soaks, 1.0)
    assert verdict.answer is answer
    assert "0.5, 1, up to 3 %" in verdict.message


def test_cone_a_clay_is_meant_for():
    assert usual_cone(BODY, Cone("6")) == Cone("6")
    assert usual_cone(BODY, Cone("04")) == Cone("5")
    assert usual_cone(BODY, Cone("12")) == Cone("10")
    assert usual_cone(Body(name="x"), None) is None


def test_published_shrinkages_rise_with_heat():
    # H. Hecht 1891, sixteen clays (Dingler 284 p. 213-214): medians rise from the melting heat of silver to
    # cone 12.
    medians = [np.median(published_shrinkage(t)) for t in (962.0, 1180.0, 1280.0, 1370.0)]
    assert medians == sorted(medians)
    assert len(read_table("clay_shrinkage")) == 96


def test_every_figure_names_a_known_source():
    for name in ("strengths", "body_classes", "body_phases", "body_mixture", "fit_tests", "clay_shrinkage"):
        rows = read_table(name)
        assert rows
        assert {row["source"] for row in rows} <= set(sources()), name
    for row in read_table("strengths") + read_table("body_mixture"):
        assert float(row["low"]) <= float(row["value"]) <= float(row["high"]), row["name"]
    for row in read_table("body_classes"):
        assert float(row["low"]) < float(row["expansion"]) < float(row["high"])
        assert float(row["absorption_low"]) <= float(row["absorption_percent"]) <= float(row["absorption_high"])


def test_a_clay_card_is_judged_as_the_clay_that_names_it():
    white = Body(name="White", recipe="white-clay", cone_low=Cone("9"), cone_high=Cone("10"))
    studio = Studio(folder="studio", bodies=(white, Body(name="Other")), defaults=Defaults(body="Other"))
    card = Recipe(name="White clay", kind="body", file="studio/white-clay.txt")
    assert setup_for(studio, card).body == white
    assert setup_for(studio, card, body="Other").body is not white
    assert setup_for(studio, card.model_copy(update={"file": "studio/new.txt"})).body is None
    assert setup_for(studio, Recipe(name="Glaze")).body == studio.bodies[1]
