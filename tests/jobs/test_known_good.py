"""A glaze that is known to be sound on a clay calibrates that clay, and with it the glazes near it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from glazecalc import api
from glazecalc.values.data import data_root


def studio(folder: Path, good: str) -> api.Studio:
    """The demo with a clay known by its class only, and a glaze known to be good on it."""
    shutil.copytree(data_root() / "recipes", folder)
    path = folder / "studio.toml"
    lines = [
        good if line.startswith("expansion = { value = 5.5") else line
        for line in path.read_text(encoding="utf-8").splitlines()
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return api.open_studio(folder)


def sound(place: api.Studio, name: str) -> float:
    found = api.check(api.recipe_from_file(Path(place.folder) / f"{name}.txt"), place)
    chances = {e.name: e.value for e in found.estimates}
    return 1.0 - chances["crazing_probability"] - chances["shivering_probability"]


def test_a_known_good_glaze_raises_its_own_and_its_neighbours_chance(tmp_path: Path) -> None:
    before = studio(tmp_path / "before", "")
    after = studio(tmp_path / "after", 'known_good = ["lagoon-blue"]')
    assert sound(after, "lagoon-blue") > sound(before, "lagoon-blue") + 0.15
    assert sound(after, "shoal-clear") > sound(before, "shoal-clear")
    assert sound(after, "brine-crackle") < 0.25, "a crackle stays one"
    lesson = api.learn_body(after)
    assert lesson.learned.posterior.high - lesson.learned.posterior.low < 2.0


def test_tiles_and_compare_speak_of_what_use_and_tiles_showed_as_check_does(tmp_path: Path) -> None:
    place = studio(tmp_path / "known", 'known_good = ["lagoon-blue"]')
    cards = [api.recipe_from_file(tmp_path / "known" / f"{name}.txt") for name in ("lagoon-blue", "shoal-clear")]
    cards[1] = cards[1].model_copy(update={"proven": "mugs at cone 6"})
    said = [next(v.message for v in api.check(card, place).verdicts if v.rule == "fit") for card in cards]
    assert said[0].startswith("Your tile came out sound")
    assert said[1].startswith("The card says that people use it for mugs at cone 6")
    beside = api.compare(cards, place).differences
    assert [line.split(": ", 1)[1] for line in beside[:2]] == [text.split(". ")[0] + "." for text in said]
    plan = api.tiles(cards, place, plan="line", size=(3,))
    told = [note for note in plan.notes if note.startswith("Tile ")]
    assert [note.split(": ", 1)[0] for note in told] == [f"Tile {p.id}" for p in (plan.points[0], plan.points[-1])]
    for note, point, text in zip(told, (plan.points[0], plan.points[-1]), said, strict=True):
        assert note.split(": ", 1)[1] == text.split(". ")[0] + "."
        assert next(v.message for v in point.check.verdicts if v.rule == "fit").startswith(text.split(". ")[0])


def test_a_known_good_glaze_without_a_card_is_an_error(tmp_path: Path) -> None:
    place = studio(tmp_path / "odd", 'known_good = ["lagoon-blu"]')
    with pytest.raises(api.ProblemsError) as stop:
        sound(place, "shoal-clear")
    assert "lagoon-blue" in stop.value.problems[0].hint
