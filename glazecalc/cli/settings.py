"""From a command's options and the studio's defaults to the setting a recipe is judged in."""

from __future__ import annotations

from glazecalc.cli.open import Bench, cone_named, pick
from glazecalc.values.inputs import Recipe
from glazecalc.work.check import Setting, firing_cone


def setting_for(
    bench: Bench, recipe: Recipe, body: str | None, kiln: str | None, circuit: str | None, cone: str | None
) -> Setting:
    """The clay, kiln, circuit and cone a recipe is judged with.

    The default circuit is where the default kiln stands; another kiln has a circuit only where one is named.
    Raises ProblemsError for an unknown name.
    """
    studio, defaults = bench.studio, bench.studio.defaults
    chosen = pick(studio.kilns, kiln, defaults.kiln, "kiln", studio)
    usual = chosen is not None and defaults.kiln is not None and chosen.name.casefold() == defaults.kiln.casefold()
    return Setting(
        body=pick(studio.bodies, body, defaults.body, "body", studio),
        kiln=chosen,
        circuit=pick(studio.circuits, circuit, defaults.circuit, "circuit", studio) if circuit or usual else None,
        cone=firing_cone(recipe, cone_named(cone), defaults),
        limits=studio.limits,
    )
