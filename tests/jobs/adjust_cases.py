"""A glaze to change, a shelf, and a shorthand for the job, for the tests of `adjust`."""

from __future__ import annotations

from typing import Any

from glazecalc.jobs.adjust import adjust
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.setup import Setup
from glazecalc.models.cones import temperature_degC
from glazecalc.models.firing import firing_range, maturity
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Limits, Recipe
from glazecalc.values.results.adjust import AdjustResult
from tests.jobs.cases import clay, recipe_of, shelf

CRACKLE = recipe_of(
    {"Nepheline syenite": 52, "Soda feldspar": 20, "Frit, high-alkali": 8, "Whiting": 10, "Silica": 6, "Kaolin": 4},
    {"Copper carbonate": 2},
)
STOCK = ("Silica", "Kaolin", "Whiting", "Talc", "Dolomite", "Frit, high-calcium borosilicate")


def setting(level: float = 60.0, body: Body | None = None, cone: str | None = None) -> Setup:
    """A clay to fit; without a cone melting is not asked, so that the two goals can be tested apart."""
    fired = None if cone is None else Cone(cone)
    return Setup(body=body or clay(6.8), cone=fired, limits=Limits(sound_percent=level))


def run(recipe: Recipe, stock: tuple[str, ...] = STOCK, where: Setup | None = None, **more: Any) -> AdjustResult:
    return adjust(recipe, shelf(), stock, where or setting(), resolution_g=0.1, **more)


def sound_percent(result: Any) -> float:
    chances = {e.name: e.value for e in result.estimates}
    return 100 * (1 - chances["crazing_probability"] - chances["shivering_probability"])


LIMESTONE = recipe_of({"Potash feldspar": 40, "Silica": 30, "Whiting": 20, "Kaolin": 10}, name="cone 10 limestone")


def chances_at(recipe: Recipe, cone: str) -> Any:
    composition, _, _ = compose_recipe(recipe, shelf())
    assert composition is not None
    return maturity(firing_range(composition.mole_fractions), temperature_degC(Cone(cone)))
