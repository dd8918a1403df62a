"""What a potter must act on stands in the text just as in the JSON, which is dumped from the results without a text's renderer.

Texts are compared by their letters and digits alone: where lines are broken and signs spelt out is the terminal's affair.
"""

from __future__ import annotations

import re
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


NUMBERS = {
    "lines.dry_g", "lines.target_g", "lines.scale_g", "lines.running_total_g", "dry_g", "scale_total_g", "water_g", "water_to_add_g", "specific_gravity",
    "dry_g_per_L", "solids_density.value", "tolerance_percent", "smallest_batch_g", "splits.target_g", "splits.pre_blend.blend_g", "splits.pre_blend.carrier_blend_g",
    "splits.pre_blend.take_g", "splits.pre_blend.carrier_less_g", "splits.pre_blend.error_percent", "splits.stock.stock_g", "splits.stock.stock_mL", "splits.stock.take_mL",
    "points.estimates.expansion.value", "points.measures", "corners.dry_g", "corners.taken_g", "corners.specific_gravity", "corners.gravity_for_equal_dry",
    "corners.lines.scale_g", "pots.base_g", "pots.steps.add_g", "pots.steps.scale_g", "pots.steps.level_percent", "pots.tile_g", "segments.rate_degC_per_h", "segments.to_degC",
    "segments.rate_degF_per_h", "segments.to_degF", "total_h", "circuits.load_A", "circuits.minimum_breaker_A", "place.releases.from_degC", "place.releases.to_degC",
    "options.recipe.amount", "options.changes.after", "clay_percent_before", "target_unity.SiO2", "target_unity.CaO", "before.unity.SiO2", "options.after.unity.SiO2",
    "before.loss_on_ignition_percent", "before.ratios.silica_alumina", "before.estimates.expansion.value", "glaze.recipe.amount", "batch.lines.target_g", "batch.lines.scale_g",
    "batch.dry_g", "tiles.coat_mm", "tiles.dry_g", "next_tiles.width_after", "before.power_factor.value", "before.loss_factor.low", "before.heat_store_factor.high",
    "estimates.energy_per_firing.value", "estimates.energy_per_firing.low", "estimates.energy_per_firing.high", "estimates.cost_per_firing.value", "estimates.duty_factor.value",
    "estimates.hours_to_cool.value", "by_cone.shrinkage_percent", "by_cone.absorption_percent", "spread_percent", "density", "left_by_oxides_percent", "models.value", "models.low",
    "models.high", "models.from_degC", "models.to_degC", "unity.SiO2", "unity.Al2O3", "unity.CaO", "ratios.silica_alumina", "ratios.boron_unity", "batch.lines.amount", "batch.lines.percent",
}  # fmt: skip
"""Figures that are told, rounded."""


def is_told(value: float, figures: set[str]) -> bool:
    """Whether a figure stands in a text with two digits that count at least, or whole."""
    shown = [f"{abs(value):.{places}f}" for places in range(4)]
    exact = [text for text in shown if len(text.lstrip("0.").replace(".", "")) >= 2 or abs(abs(value) - float(text)) < 1e-9]
    return not figures.isdisjoint((*exact, f"{abs(value):g}"))


def plain(text: str) -> str:
    return "".join(sign for sign in text.casefold().replace("deg", "") if sign.isalnum())


def leaves(held: Any, place: tuple[str, ...] = ()) -> Iterator[tuple[str, Any]]:
    if isinstance(held, dict):
        for key, value in held.items():
            yield from leaves(value, (*place, key))
    elif isinstance(held, list):
        for value in held:
            yield from leaves(value, place)
    elif (isinstance(held, str) and held) or (isinstance(held, float) and held):
        yield ".".join(place), held


@pytest.mark.parametrize("line", COMMANDS)
def test_the_text_holds_what_is_to_be_acted_on(line: str, run: Callable[..., Ran], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(DEMO, tmp_path / "studio")
    monkeypatch.chdir(tmp_path / "studio")
    cards = {card.stem for card in Path().glob("*.txt")}
    words = [f"{word}.txt" if word in cards else word for word in shlex.split(line)]
    got, document = run(*words), run(*words, "--json").json
    told = plain(got.out + got.err)
    said = [(place, text) for result in document["results"] for place, text in leaves(result) if place in TOLD and isinstance(text, str)]
    said += [(place, text) for place, text in leaves(document["problems"]) if place in ("message", "hint")]
    assert len(said) >= 5, "a document that holds nothing proves nothing"
    assert [(place, text) for place, text in said if plain(text) not in told] == []
    figures = set(re.findall(r"\d+(?:\.\d+)?", got.out))
    held = [(place, value) for result in document["results"] for place, value in leaves(result) if place in NUMBERS and isinstance(value, float)]
    assert [(place, value) for place, value in held if not is_told(value, figures)] == []
