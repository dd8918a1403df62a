"""`adjust` towards a cone: a glaze too stiff is brought to mature, one that runs is stiffened (common practice)."""

from __future__ import annotations

from glazecalc.jobs.setup import Setup
from glazecalc.models.firing import SURE
from glazecalc.values.answers import Answer
from glazecalc.values.cones import Cone
from tests.jobs.adjust_cases import LIMESTONE, chances_at, run, setting, sound_percent
from tests.jobs.cases import clay, recipe_of


def test_a_cone_10_glaze_is_brought_to_mature_at_cone_6() -> None:
    """The four-three-two-one limestone glaze (common practice) is not sure to melt at cone 6; boron brings it down."""
    assert chances_at(LIMESTONE, "6").matures[0] < SURE
    melt_only = Setup(cone=Cone("6"))
    result = run(LIMESTONE, where=melt_only)
    assert result.answer is Answer.FITS
    for option in result.options:
        assert chances_at(option.recipe, "6").matures[0] >= SURE - 1e-9
        assert str(option.recipe.cone) == "6"
        assert option.proof is not None
        ripening = [t.matures_probability for t in option.proof.tiles]
        assert ripening[-1] == max(ripening)


def test_both_goals_are_met_at_once() -> None:
    result = run(LIMESTONE, where=setting(70.0, clay(6.8), "6"))
    assert result.options
    for option in result.options:
        assert chances_at(option.recipe, "6").matures[0] >= SURE - 1e-9
        assert sound_percent(option.after) >= 70.0


def test_a_runny_glaze_is_stiffened() -> None:
    runny = recipe_of({"Frit, high-calcium borosilicate": 70, "Kaolin": 14, "Silica": 16})
    assert chances_at(runny, "6").runs[0] > 0.8
    result = run(runny, where=Setup(cone=Cone("6")))
    assert result.options
    assert all(chances_at(o.recipe, "6").matures[0] >= SURE - 1e-9 for o in result.options)


def test_what_no_shelf_melts_is_said() -> None:
    refractory = recipe_of({"Kaolin": 60, "Silica": 35, "Whiting": 5})
    result = run(refractory, stock=("Silica", "Kaolin"), where=Setup(cone=Cone("04")))
    assert result.options == ()
    assert result.infeasible_because


# ---- when nothing does it -----------------------------------------------------------------------
