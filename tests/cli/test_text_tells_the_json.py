"""What a potter must act on stands in the text just as in the JSON, which is dumped from the results without a text's renderer.

Texts are compared by their letters and digits alone: where lines are broken and signs spelt out is the terminal's affair.
"""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import DEMO, Ran

COMMANDS = (
    "check shoal-clear --full", "check jar-seafoam --full", "weigh shoal-clear --dry 500g", "weigh shoal-clear --slurry 4L --use brush",
    "weigh shoal-clear --pieces mug:4", "weigh lagoon-blue --dry 37g", "tiles shoal-clear brine-crackle --plan line --full",
    "tiles shoal-clear --plan additions --add Rutile:0,2,4 --full", "tiles shoal-clear brine-crackle old-pier --plan triaxial --full",
    "firing --kind bisque --full", "firing --kind slow-cooled --cone 6 --full", "kiln --recipe shoal-clear --room Shed --full", "body --fired 4in", "first",
    "adjust brine-crackle --full", "adjust --target rock-pool --full", "swap shoal-clear Whiting Wollastonite --full", "compare shoal-clear old-pier --full",
    "learn", "learn --kiln 'Shed kiln'", "materials kaolin", "formula shoal-clear --explain --models",
)  # fmt: skip
TOLD = {
    "sentence", "recipe", "body", "kiln", "circuit", "target", "old", "new", "ware", "colour", "name", "aliases", "notes", "title", "cone_range", "wanted",
    "verdicts.message", "cautions", "next_steps", "reasons", "lines.material", "lines.written", "lines.scale", "batch.lines.material",
    "options.sentence", "options.changes.material", "options.recipe.material", "options.notes", "options.to_bucket", "options.proof.sentence",
    "options.proof.tiles.id", "goals.words", "points.id", "points.recipe.material", "corners.letter", "corners.name",
    "corners.lines.material", "corners.lines.scale", "corner_names", "pots.base", "pots.steps.tile", "pots.steps.material", "safety.stage", "safety.text",
    "segments.why", "witness_cones", "reached_cone", "reached_cone_low", "reached_cone_high", "circuits.name", "place.room", "place.reasons.message",
    "place.releases.gas", "place.releases.of", "place.releases.caution", "place.cautions", "stacking.piece", "missing.what", "missing.standard", "missing.how",
    "missing.arithmetic", "by_cone.cone", "glaze.name", "glaze.stated_cone", "glaze.looks", "glaze.recipe.material", "check.sentence", "check.verdicts.message",
    "check.cautions", "batch.cautions", "batch.wanted", "tiles.place", "tiles.tells", "differences", "recipes.name", "recipes.relatives.name",
    "recipes.relatives.words", "recipes.character.words", "next_tiles.name", "next_tiles.how", "explanations.oxide", "explanation_reference",
}  # fmt: skip
"""What is told of the results, by its place in their JSON."""


def plain(text: str) -> str:
    return "".join(sign for sign in text.casefold().replace("deg", "") if sign.isalnum())


def leaves(held: Any, place: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    if isinstance(held, dict):
        for key, value in held.items():
            yield from leaves(value, (*place, key))
    elif isinstance(held, list):
        for value in held:
            yield from leaves(value, place)
    elif isinstance(held, str) and held:
        yield ".".join(place), held


@pytest.mark.parametrize("line", COMMANDS)
def test_the_text_holds_what_is_to_be_acted_on(line: str, run: Callable[..., Ran], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(DEMO, tmp_path / "studio")
    monkeypatch.chdir(tmp_path / "studio")
    cards = {card.stem for card in Path().glob("*.txt")}
    words = [f"{word}.txt" if word in cards else word for word in shlex.split(line)]
    got, document = run(*words), run(*words, "--json").json
    told = plain(got.out + got.err)
    said = [(place, text) for result in document["results"] for place, text in leaves(result) if place in TOLD]
    said += [(place, text) for place, text in leaves(document["problems"]) if place in ("message", "hint")]
    assert len(said) >= 5, "a document that holds nothing proves nothing"
    assert [(place, text) for place, text in said if plain(text) not in told] == []
