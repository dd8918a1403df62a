"""Seeded cases for the search: recipes of a few materials, a clay, a level to reach."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np

from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.aim import Aim, aim_at, outlook_of
from glazecalc.jobs.materials import Pantry, pantry
from glazecalc.jobs.palette import Wishes, palette_of
from glazecalc.jobs.setup import Setup
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, GivenExpansion, Recipe, RecipeLine
from glazecalc.values.results.adjust import Goals

FELDSPARS = ("Potash feldspar", "Soda feldspar", "Nepheline syenite")
FLUXES = ("Whiting", "Dolomite", "Talc", "Wollastonite", "Frit, high-calcium borosilicate", "Zinc oxide")


def shelf() -> Pantry:
    return pantry(built_in_materials())


def taught(tiles: Sequence[Any] = (), firings: Sequence[Any] = ()) -> Any:
    """Stands for the studio that a setting learns of clay and kiln from."""
    return SimpleNamespace(
        tiles=lambda body: tuple(tiles), firings=lambda kiln: tuple(firings), composition=lambda body: None
    )


def clay(value: float = 7.0, spread: float = 0.3) -> Body:
    """A clay whose expansion is measured, invented for the tests."""
    given = GivenExpansion(value=value, low=value - spread, high=value + spread, to_degC=500.0)
    return Body(name="test clay", ware="stoneware", expansion=given)


def recipe_of(amounts: dict[str, float], additions: dict[str, float] | None = None, name: str = "test glaze") -> Recipe:
    lines = [RecipeLine(material=m, amount=a) for m, a in amounts.items()]
    lines += [RecipeLine(material=m, amount=a, addition=True) for m, a in (additions or {}).items()]
    return Recipe(name=name, lines=tuple(lines))


def seeded_recipe(seed: int, most: int = 6) -> Recipe:
    """A plausible glaze: a feldspar, silica, kaolin and one to three fluxes."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, most - 2))
    fluxes = [str(f) for f in rng.choice(FLUXES, size=count, replace=False)]
    names = [str(rng.choice(FELDSPARS)), "Silica", "Kaolin", *fluxes]
    middle = np.array([45.0, 20.0, 10.0, *[25.0 / count] * count])
    amounts = middle * rng.uniform(0.5, 1.6, size=len(names))
    amounts = np.round(100 * amounts / amounts.sum(), 1)
    amounts[0] = round(100 - amounts[1:].sum(), 1)
    return recipe_of({n: float(a) for n, a in zip(names, amounts, strict=True)})


def seeded_aim(seed: int, most: int = 6) -> Aim:
    """The aim of bringing a seeded recipe, which crazes on its clay, to a seeded level; odd seeds must melt as well."""
    rng = np.random.default_rng(10_000 + seed)
    body, level = clay(float(rng.uniform(5.4, 6.4))), float(rng.choice([0.5, 0.55, 0.6, 0.65]))
    return aim_for(seeded_recipe(seed, most), body, level, melt=seed % 2 == 1)


def aim_for(recipe: Recipe, body: Body, level: float, wishes: Wishes | None = None, melt: bool = False) -> Aim:
    palette = palette_of(recipe, shelf(), (), wishes or Wishes())
    setting = Setup(body=body, cone=Cone("6"))
    goals = Goals(sound=level, matures=0.6, fit=True, melt=melt)
    return aim_at(palette, outlook_of(setting, palette.composition(palette.start)), goals)
