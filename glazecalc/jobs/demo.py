"""Says of an answer that it rests on what the demo invented - recipe, clay, kiln, outlet, scale - left as shipped."""

from __future__ import annotations

from functools import cache
from typing import Final

from glazecalc.values.answers import Problem, remark
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Body, Circuit, Kiln, Material, Recipe, Scale, Studio

Thing = Body | Kiln | Circuit | Scale
_NAMES: Final = frozenset({
    "Harbour stoneware", "Dune earthenware", "Gull porcelain", "Shed kiln", "Guild kiln", "Shed outlet",
    "Kitchen outlet", "Far end of the garden", "Guild wall", "Guild wall, 208 volts", "bench scale",
})  # fmt: skip
"""What the demo calls its things; a studio with other names is not compared with it."""
_CARDS: Final = {
    "Brine crackle": "brine-crackle", "Driftwood matte": "driftwood-matte", "Glasswort": "glasswort",
    "Gull porcelain body": "gull-porcelain", "Seafoam, from a jar": "jar-seafoam",
    "Kelp celadon": "kelp-celadon", "Lagoon blue": "lagoon-blue", "Lighthouse white": "lighthouse-white",
    "Night harbour": "night-harbour", "Old pier limestone": "old-pier", "Rock pool, from a book": "rock-pool",
    "Shoal clear": "shoal-clear", "Spray clear": "spray-clear", "Spring tide": "spring-tide",
    "Verdigris satin": "verdigris",
}  # fmt: skip
"""Name of each of the demo's cards, with the stem of its file."""
_SOURCE: Final = "invented for the demo"
"""What the demo's own materials name as their source."""


def demo_remark(*things: Thing | Recipe | Material | None) -> tuple[Problem, ...]:
    """A remark that names the things which are the demo's, unchanged; none where there are none."""
    untouched = [t.name for t in things if t is not None and _is_shipped(t)]
    if not untouched:
        return ()
    names = "; ".join(dict.fromkeys(untouched))
    text = f"invented for the demo and left as it was: {names}; this answer is not about your own things"
    return (remark("demo-data", text, "answer a few questions about your own: glazecalc start DIR"),)


def _is_shipped(thing: Thing | Recipe | Material) -> bool:
    if isinstance(thing, Recipe):
        return thing.name in _CARDS and _batch(thing) == _card(_CARDS[thing.name])
    if isinstance(thing, Material):
        return thing.source == _SOURCE
    return thing.name in _NAMES and _plain(thing) in _shipped()


@cache
def _shipped() -> tuple[Thing, ...]:
    from glazecalc.files.studio import read_studio

    demo: Studio = read_studio(data_root() / "recipes")[0]
    things: tuple[Thing, ...] = (*demo.bodies, *demo.kilns, *demo.circuits, *demo.scales)
    return tuple(_plain(thing) for thing in things)


def _plain(thing: Thing) -> Thing:
    """The thing without the line it stands on."""
    return thing if isinstance(thing, Scale) else thing.model_copy(update={"line": None})


@cache
def _card(stem: str) -> tuple[object, ...]:
    from glazecalc.files.card import read_recipe

    recipe = read_recipe(data_root() / "recipes" / f"{stem}.txt")[0]
    return () if recipe is None else _batch(recipe)


def _batch(recipe: Recipe) -> tuple[object, ...]:
    """What a card is made of, wherever it stands."""
    lines = tuple((line.material, line.amount, line.addition) for line in recipe.lines)
    return (lines, tuple((oxide.oxide, oxide.amount) for oxide in recipe.composition))
