"""Which cone a change aims at, what is on the shelf, and how a solved recipe is made weighable."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from glazecalc.files.studio import read_studio
from glazecalc.jobs.adjust import starting_points
from glazecalc.jobs.materials import USUAL_SHELF, material_warnings, shelf_of
from glazecalc.jobs.palette import steps_for
from glazecalc.jobs.re_solve import best_mix, weighed
from glazecalc.jobs.reach import cone_within_reach, fired_at
from glazecalc.jobs.setup import setup_for
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import ConeRange, Recipe, Studio
from glazecalc.values.records import FiringRecord, Reading
from tests.jobs.cases import seeded_aim, shelf, taught

STUDIO, _ = read_studio(Path(__file__).resolve().parents[2] / "recipes")
CONE_10 = Recipe(name="hot", cone=ConeRange(low=Cone("10"), high=Cone("10")))


def test_a_recipe_too_hot_for_the_kiln_is_aimed_lower() -> None:
    aimed, told = cone_within_reach(setup_for(STUDIO, CONE_10), STUDIO.defaults)
    assert aimed == "6"  # the studio's usual cone, which its kiln reaches
    assert "does not surely reach cone 10" in told


def test_a_kiln_that_reaches_it_keeps_the_cone() -> None:
    warm = CONE_10.model_copy(update={"cone": ConeRange(low=Cone("04"), high=Cone("04"))})
    assert cone_within_reach(setup_for(STUDIO, warm), STUDIO.defaults) == (None, "")
    no_kiln = setup_for(Studio(folder="."), CONE_10)
    assert cone_within_reach(no_kiln, STUDIO.defaults) == (None, "")


def test_a_kiln_is_aimed_at_as_its_firings_teach_it() -> None:
    """A kiln that crawls to 1030 degC at full power is not aimed at cone 6, whatever its plate says."""
    degC = (350.0, 560.0, 700.0, 800.0, 875.0, 930.0, 970.0, 1000.0, 1020.0, 1030.0)
    crawls = FiringRecord(
        kiln="Shed kiln", volts=118.0, on_elements=35, readings=tuple(Reading(h, t) for h, t in enumerate(degC, 1))
    )
    six = CONE_10.model_copy(update={"cone": ConeRange(low=Cone("6"), high=Cone("6"))})
    setting = setup_for(STUDIO, six)
    assert cone_within_reach(setting, STUDIO.defaults) == (None, "")
    aimed, told = cone_within_reach(replace(setting, bench=taught(firings=[crawls])), STUDIO.defaults)
    assert aimed is not None
    assert Cone("08") < Cone(aimed) < Cone("1")
    assert "does not surely reach cone 6" in told


def test_the_new_card_bears_the_cone_it_was_made_for() -> None:
    assert str(fired_at(CONE_10, Cone("6")).cone) == "6"
    assert fired_at(CONE_10, Cone("10")) is CONE_10
    assert fired_at(CONE_10, None) is CONE_10


def test_the_shelf_is_the_stock_and_the_studios_own_materials() -> None:
    names, problems = shelf_of(STUDIO)
    assert problems == ()
    assert set(names) == {n for n, g in STUDIO.stock if g > 0} | {m.name for m in STUDIO.materials}
    emptied = STUDIO.model_copy(update={"stock": (("Silica", 0.0), ("Whiting", 20.0)), "materials": ()})
    assert shelf_of(emptied)[0] == ("Whiting",)
    assumed, problems = shelf_of(Studio(folder="."))
    assert assumed == USUAL_SHELF
    assert [p.code for p in problems] == ["no-stock"]
    assert all(shelf().find(name) is not None for name in USUAL_SHELF)


@pytest.mark.parametrize("seed", [3, 4, 6])
@pytest.mark.parametrize("resolution_g", [0.1, 0.5, 1.0])
def test_what_is_weighed_keeps_the_goal_and_the_total(seed: int, resolution_g: float) -> None:
    aim = seeded_aim(seed)
    solved = best_mix(aim, starting_points(aim), 6)
    amounts, objective, met = weighed(aim, solved.amounts, steps_for(resolution_g))
    assert amounts.sum() == pytest.approx(aim.palette.base_total)
    assert met == bool(aim.met(amounts[None, :])[0])
    assert objective == pytest.approx(float(aim.objective(amounts[None, :])[0]))
    steps = amounts / resolution_g
    assert steps == pytest.approx(np.round(steps), abs=1e-6)
    if resolution_g <= 0.5:
        assert met


@pytest.mark.parametrize(
    ("name", "how"),
    [
        ("Borax", "soluble"),
        ("Soda ash", "soluble"),
        ("Lithium carbonate", "partly"),
        ("Silica", "no"),
        ("Kaolin", "no"),
    ],
)
def test_what_dissolves_in_the_slip_is_known(name: str, how: str) -> None:
    """Common practice, no source: borax and soda ash dissolve, lithium carbonate a little, silica and clay do not."""
    material = shelf().find(name)
    assert material is not None
    assert material.solubility == how
    assert any("dissolves" in w for w in material_warnings(material)) == (how == "soluble")
