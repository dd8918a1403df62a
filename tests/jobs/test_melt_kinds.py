"""What practice says of the melting of each kind of glaze: common practice, no source, unless a source is named."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.api import recipe_from_text, shelf
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.melt import maturing, melt_of
from glazecalc.models.cones import temperature_degC
from glazecalc.models.firing import Maturing, firing_range, maturity
from glazecalc.models.viscosity import SOFTENING, temperature_on, viscosity_curves
from glazecalc.values.answers import Answer
from glazecalc.values.cones import Cone

CLEAR = "20 Potash feldspar, 20 Kaolin, 20 Silica, 20 Wollastonite, 20 Frit; high-calcium borosilicate"
IRON = "42 Soda feldspar, 12 Bone ash, 12 Talc, 21 Silica, 9 Kaolin, 4 Lithium carbonate, + 11 Red iron oxide"
CRYSTALS = "50 Frit; high-alkali, 27 Zinc oxide, 22 Silica, 1 Kaolin"


def card(lines: str, cone: str | None = None):
    said = "" if cone is None else f"cone: {cone}\n"
    rows = "\n".join(line.strip().replace(";", ",") for line in lines.split(","))
    return recipe_from_text(f"name: x\n{said}\n{rows}\n")


def moles(lines: str) -> np.ndarray:
    found = compose_recipe(card(lines), shelf())[0]
    assert found is not None
    return found.mole_fractions


def state(lines: str, cone: str) -> Maturing:
    return maturity(firing_range(moles(lines)), temperature_degC(Cone(cone))).state[0]


@pytest.mark.parametrize(("lines", "cone"), [
    ("100 Nepheline syenite", "8"), ("45 Nepheline syenite, 30 Soda feldspar, 15 Kaolin, 10 Spodumene", "10"),
    ("45 Nepheline syenite, 15 Spodumene, 11 Soda feldspar, 15 Ball clay, 10 Kaolin, 4 Soda ash", "10"),
    ("35 Potash feldspar, 30 Whiting, 25 Kaolin, 10 Silica", "10"),
    ("28 Wollastonite, 28 Kaolin, 17 Frit; high-calcium borosilicate, 15 Nepheline syenite, 12 Silica", "6"),
    ("50 Potash feldspar, 22 Dolomite, 25 Kaolin, 3 Whiting", "10"),
    ("36 Spodumene, 20 Silica, 14 Kaolin, 12 Whiting, 10 Dolomite, 4 Lithium carbonate", "6"),
    ("45 Potash feldspar, 27 Silica, 17 Whiting, 11 Kaolin, + 9 Red iron oxide", "10"), (IRON, "6"),
    (CLEAR, "6"), (f"{CLEAR}, + 12 Zircon", "6"), (f"{CLEAR}, + 8 Tin oxide", "6"),
], ids=["nepheline", "shino", "carbon trap", "lime matte 10", "lime matte 6", "magnesia matte", "lithia matte", "tenmoku",
        "iron red", "clear", "zircon white", "tin white"])  # fmt: skip
def test_what_potters_fire_there_matures_there(lines: str, cone: str) -> None:
    assert state(lines, cone) is Maturing.MATURES


@pytest.mark.parametrize(("lines", "cone"), [
    ("70 Kaolin, 30 Silica", "10"), ("20 Kaolin, 25 Whiting, 55 Silica", "06"),
    ("36 Kaolin, 38 Whiting, 26 Silica", "04"), ("40 Potash feldspar, 20 Whiting, 30 Silica, 10 Kaolin", "04"),
], ids=["kaolin and silica", "earths at 06", "the lime eutectic at 04", "a cone 10 clear at 04"])  # fmt: skip
def test_a_mix_is_no_glass_below_its_own_melting(lines: str, cone: str) -> None:
    """Lime, alumina and silica melt together at 1170 degC at the lowest (phase diagram, from memory); cone 04 is 1063."""
    assert state(lines, cone) is Maturing.UNDERFIRED


@pytest.mark.parametrize("frit", ["calcium borosilicate with alumina", "high-calcium borosilicate"])
def test_ninety_of_frit_runs_at_cone_6_whatever_its_card_says(frit: str) -> None:
    lines = f"90 Frit; {frit}, 10 Kaolin"
    assert state(lines, "6") is Maturing.LIKELY_TO_RUN
    verdict = told(lines, "6")
    assert verdict.answer is Answer.DOES_NOT_FIT
    assert "catch tray" in verdict.message
    assert "shelf" in verdict.message


def test_kaolin_and_silica_are_underfired_whatever_their_card_says() -> None:
    """They melt together at 1587 degC at the lowest (phase diagram of silica and alumina, from memory)."""
    for cone in ("6", "10", "13"):
        verdict = told("70 Kaolin, 30 Silica", cone)
        assert verdict.answer is Answer.DOES_NOT_FIT
        assert f"Underfired at cone {cone} (over 99 % likely)" in verdict.message
        assert "a heat above cone 14" in verdict.message
        assert f"The card says cone {cone}, but the chemistry is too far off." in verdict.message


@pytest.mark.parametrize(("lines", "cool", "hot"), [
    ("100 Potash feldspar", "4", "10"), ("100 Soda feldspar", "4", "9"), ("100 Nepheline syenite", "2", "8"),
    ("90 Nepheline syenite, 10 Ball clay", "2", "9"), ("90 Soda feldspar, 10 Whiting", "2", "9"),
])  # fmt: skip
def test_feldspars_nearly_alone_are_told_and_melt_where_potters_fire_them(lines: str, cool: str, hot: str) -> None:
    assert told(lines, cool, said=False).answer is Answer.DOES_NOT_FIT
    verdict = told(lines, hot, said=True)
    assert verdict.answer is Answer.FITS
    assert "and hotter" in verdict.message
    assert told(lines, hot, said=False).answer is not Answer.DOES_NOT_FIT


def test_zircon_alone_is_told_no_range_from_outside_the_data() -> None:
    recipe = card("100 Zircon", "6")
    composition = compose_recipe(recipe, shelf())[0]
    estimates, verdict, _ = maturing(recipe, composition, melt_of(composition, Cone("6")), Cone("6"))
    assert not estimates
    assert "outside what the estimates know" in verdict.message


def test_a_crystalline_glaze_is_fluid_by_design() -> None:
    verdict = told(CRYSTALS, "9")
    assert verdict.answer is Answer.FITS
    assert "meant to be very fluid" in verdict.message
    assert "catch tray" in verdict.message


def told(lines: str, cone: str, *, said: bool = True):
    recipe = card(lines, cone if said else None)
    composition = compose_recipe(recipe, shelf())[0]
    return maturing(recipe, composition, melt_of(composition, Cone(cone)), Cone(cone))[1]


def test_a_cards_cone_narrows_the_range_and_it_is_said() -> None:
    plain, narrowed = (ranged(CLEAR, cone) for cone in (None, "6"))
    assert plain.low < narrowed.low < temperature_degC(Cone("6")) < narrowed.high < plain.high
    assert narrowed.caveats[0].startswith("with the card's cone 6; by chemistry alone cone ")
    verdict = told(CLEAR, "6")
    assert "the card says cone 6; with it cone 5 to " in verdict.message
    assert ", by chemistry alone cone 02 to 13." in verdict.message


def test_a_card_that_the_chemistry_contradicts_narrows_nothing() -> None:
    lines = "90 Frit; high-calcium borosilicate, 10 Kaolin"
    assert ranged(lines, "6") == ranged(lines, None)


def ranged(lines: str, cone: str | None):
    recipe = card(lines, cone)
    composition = compose_recipe(recipe, shelf())[0]
    return maturing(recipe, composition, melt_of(composition, Cone("6")), Cone("6"))[0][0]


def test_an_iron_glaze_sets_below_where_it_softens() -> None:
    curves = viscosity_curves(moles(IRON))
    assert curves.glass.value[0] + 50.0 < temperature_on(curves, SOFTENING).value[0]


def test_twelve_of_zircon_hardly_move_the_melting() -> None:
    plain, white = moles(CLEAR), moles(f"{CLEAR}, + 12 Zircon")
    shift = firing_range(white).low.value[0] - firing_range(plain).low.value[0]
    assert 0.0 < shift < 20.0


def test_grains_of_tin_stiffen_less_than_their_oxide_would_change() -> None:
    plain, white = moles(CLEAR), moles(f"{CLEAR}, + 8 Tin oxide")
    shift = firing_range(white).low.value[0] - firing_range(plain).low.value[0]
    assert 0.0 < shift < 15.0
