"""The main job on cards made here: each answer is reached for its own reason."""

from __future__ import annotations

import pytest

from glazecalc.api import check, formula, open_studio, recipe_from_text
from glazecalc.values.answers import Answer, ProblemsError
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Studio

STUDIO = open_studio(data_root() / "recipes")
CLEAR = "name: Clear\ncone: 6\n\nPotash feldspar 40\nSilica 30\nWhiting 20\nKaolin 10\n"


def answers(text: str, **names: str) -> dict[str, Answer]:
    return {v.rule: v.answer for v in check(recipe_from_text(text), STUDIO, **names).verdicts}


def test_each_rule_answers_for_itself() -> None:
    assert answers(CLEAR)["clay_range"] is Answer.FITS
    assert answers(CLEAR, cone="9")["clay_range"] is Answer.DOES_NOT_FIT
    assert answers(CLEAR, cone="10")["kiln_reaches"] is Answer.DOES_NOT_FIT


@pytest.mark.parametrize("material", ["Bentonite", "Kaolin", "Silica", "Zircon", "Fireclay", "Alumina", "Tin oxide"])
def test_what_melts_in_no_kiln_has_no_yes_on_fit_and_no_range_from_outside_the_data(material: str) -> None:
    """No material of these is a glaze at cone 6 (common practice, no source)."""
    result = check(recipe_from_text(f"name: x\ncone: 6\n\n{material} 100\n"), STUDIO)
    told = {v.rule: v.answer for v in result.verdicts}
    assert told["fit"] is not Answer.FITS
    assert told["melts"] is not Answer.FITS
    range_ = result.estimate("firing_range")
    assert range_ is None or not range_.extrapolated


def test_nothing_named_is_never_a_pass() -> None:
    result = check(recipe_from_text(CLEAR), Studio(folder="."))
    assert result.answer is Answer.CANNOT_SAY
    assert {v.answer for v in result.verdicts if v.rule in ("fit", "kiln_reaches")} == {Answer.CANNOT_SAY}


def test_a_jar_is_judged_as_far_as_its_label_goes() -> None:
    found = answers("name: Jar\nkind: bought\ncone: 5-6\n")
    assert found["fit"] is Answer.CANNOT_SAY
    assert found["clay_range"] is Answer.FITS


def test_a_body_recipe_is_not_judged_as_a_glaze() -> None:
    result = check(
        recipe_from_text("name: Body\nkind: body\ncone: 6\n\nKaolin 50\nSilica 25\nPotash feldspar 25\n"), STUDIO
    )
    assert result.estimate("expansion") is None
    assert result.formula is not None
    assert result.formula.unity()["Al2O3"] == pytest.approx(1)


def test_lead_is_named_among_the_cautions() -> None:
    text = "name: Old\ncone: 06\n\nRed lead 60\nSilica 30\nKaolin 10\n"
    result = check(recipe_from_text(text), STUDIO)
    assert any("lead" in line for line in result.cautions)
    assert result.answer is not Answer.FITS
    assert {v.rule: v.answer for v in result.verdicts}["fit"] is not Answer.FITS


def test_every_caution_ends_with_the_ware_not_being_tested() -> None:
    for text in (CLEAR, "name: Jar\nkind: bought\ncone: 6\n"):
        assert check(recipe_from_text(text), STUDIO).cautions[-1].startswith("Not tested for food or drink")


def test_problems_come_together() -> None:
    with pytest.raises(ProblemsError) as stop:
        check(recipe_from_text("name: Bad\ncone: 6\n\nWhitting 20\nSilicka 80\n"), STUDIO)
    assert [p.code for p in stop.value.problems] == ["unknown-material"] * 2


def test_limestone_glaze_has_its_published_formula() -> None:
    """The limestone glaze of 40, 30, 20 and 10 (B. Leach, A Potter's Book, 1940; recipe from memory), worked by hand
    with ideal formula weights 556.7, 60.08, 100.09 and 258.2: K2O 0.264, CaO 0.736, Al2O3 0.407, SiO2 3.71."""
    text = "name: Limestone\ncone: 10\n\nPotash feldspar, ideal 40\nSilica 30\nWhiting 20\nKaolin, ideal 10\n"
    unity = formula(recipe_from_text(text)).formula.unity()
    assert unity["K2O"] == pytest.approx(0.264, abs=0.01)
    assert unity["CaO"] == pytest.approx(0.736, abs=0.01)
    assert unity["Al2O3"] == pytest.approx(0.407, abs=0.01)
    assert unity["SiO2"] == pytest.approx(3.71, abs=0.02)


def test_glaze_and_clay_are_set_side_by_side_over_one_range() -> None:
    result = check(recipe_from_text(CLEAR), STUDIO)
    glaze, carried, clay = (result.estimate(n) for n in ("expansion", "expansion_to_setting", "body_expansion"))
    assert glaze is not None
    assert carried is not None
    assert clay is not None
    assert carried.value > glaze.value, "expansion rises with temperature"
    to = next(c.split(" degC")[0] for c in carried.caveats if c.startswith("mean from 20 to "))
    assert any(c.startswith(to) for c in clay.caveats), "one range for both"


def test_lead_leads() -> None:
    result = check(recipe_from_text("name: Old\ncone: 06\n\nRed lead 60\nSilica 30\nKaolin 10\n"), STUDIO)
    assert "lead" in result.sentence
    assert "lead" in result.cautions[0]
