"""What a potter has to know of a glaze from a jar, of which only the label is known (common practice, no source)."""

from __future__ import annotations

from glazecalc.jobs.amount import slurry_figure
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Recipe


def jar_steps(recipe: Recipe, cone: Cone | None) -> tuple[str, ...]:
    """How a jar is put on, alone and over another; ``cone`` is the one it is to be fired to."""
    if recipe.kind != "bought":
        return ()
    coats = slurry_figure("coats_brush")
    return (
        f"Brush it as its label says; where that is silent, {coats.low:g} to {coats.high:g} coats, each across the "
        "last and when the last has lost its shine, dry overnight before firing; one coat is mostly thin and patchy",
        _label(recipe, cone),
        "Two jars over each other melt lower and run further than either: try the pair on a tile that stands upright "
        "in a catch tray, in both orders, before it goes on a pot",
        "On upright walls keep the second glaze to the upper third and leave a finger's breadth bare above the foot: "
        "it gathers and runs there, and a drip takes the shelf with it",
    )


def _label(recipe: Recipe, cone: Cone | None) -> str:
    if recipe.cone is None:
        return "Write the cone of the label on the card (cone: 5-6): it is all that is known of its melting"
    if cone is None:
        return f"Its label says cone {recipe.cone}: fire it to none other than that"
    if recipe.cone.low <= cone <= recipe.cone.high:
        return f"Its label says cone {recipe.cone}, and cone {cone} is on it; at the hotter end it runs more"
    side = "hotter: it may run off the pot" if cone > recipe.cone.high else "cooler: it may stay dry and rough"
    return f"Its label says cone {recipe.cone}, and cone {cone} is {side}"
