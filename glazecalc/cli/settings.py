"""From a command's options and the studio's defaults to the setting a recipe is judged in."""

from __future__ import annotations

from glazecalc.cli.open import Bench, cone_named, pick
from glazecalc.values.inputs import Recipe
from glazecalc.work.check import Setting, firing_cone


def setting_for(
    bench: Bench, recipe: Recipe, body: str | None, kiln: str | None, circuit: str | None, cone: str | None
) -> Setting:
    """The clay, kiln, circuit and cone a recipe is judged with. Raises ProblemsError for an unknown name."""
    studio = bench.studio
    defaults = studio.defaults
    return Setting(
        body=pick(studio.bodies, body, defaults.body, "body", studio),
        kiln=pick(studio.kilns, kiln, defaults.kiln, "kiln", studio),
        circuit=pick(studio.circuits, circuit, defaults.circuit, "circuit", studio),
        cone=firing_cone(recipe, cone_named(cone), defaults),
        limits=studio.limits,
    )
