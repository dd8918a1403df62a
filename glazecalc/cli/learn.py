"""``learn``: what recorded tiles and firings say of the clay's expansion and the kiln's reach."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    JsonOption,
    KilnOption,
    Outcome,
    StudioOption,
    UnitsOption,
    finish,
)

if TYPE_CHECKING:
    from glazecalc.jobs.setup import Bench
    from glazecalc.values.answers import Problem
    from glazecalc.values.inputs import Recipe


EPILOG = """Examples:

  glazecalc learn --body "Harbour stoneware"

  glazecalc learn --kiln "Shed kiln" --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("learn", epilog=EPILOG)(learn)


def learn(
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Learn the clay's expansion from recorded tiles, or the kiln's reach from recorded firings."""
    from glazecalc.jobs.setup import open_bench

    bench = open_bench((), studio, units=units)
    folder = studio or Path()
    if kiln is not None and body is None:
        finish(_of_kiln(bench, kiln, circuit), as_json)
    finish(_of_body(bench, folder, body, kiln, cone), as_json)


def _of_body(bench: Bench, folder: Path, body: str | None, kiln: str | None, cone: str | None) -> Outcome:
    from glazecalc.jobs.body import reasoned_body_expansion, usual_cone
    from glazecalc.jobs.formula import compose_recipe
    from glazecalc.jobs.lesson import lesson
    from glazecalc.jobs.setting import cone_named, pick, studio_option
    from glazecalc.jobs.setup import body_recipe, recorded_tiles
    from glazecalc.render.text.learn import lesson_json, lesson_text
    from glazecalc.values.answers import ProblemsError, error

    studio = bench.studio
    clay = pick(studio.bodies, body, studio.defaults.body, "body", studio)
    if clay is None:
        hint = "name one with --body, or add a [[body]] to studio.toml"
        raise ProblemsError([error("no-body", "it is not clear which clay is meant", hint, studio.file)])
    fired_in = pick(studio.kilns, kiln, studio.defaults.kiln, "kiln", studio)
    at = cone_named(cone) or usual_cone(clay, studio.defaults.cone)
    recipe, found_card = body_recipe(clay, folder)
    composition = None if recipe is None else compose_recipe(recipe, bench.pantry)[0]
    cards, problems = _cards(folder)
    found = lesson(
        clay, recorded_tiles(folder), cards, bench.pantry,
        cone=at, kiln=fired_in,
        reasoned=None if composition is None else reasoned_body_expansion(composition, clay.ware, at),
        tiles_per_firing=_tiles_per_firing(bench, fired_in),
    )  # fmt: skip
    return Outcome(
        "learn",
        [lesson_json(found)],
        lesson_text(found, studio_option(str(folder))),
        problems=[*bench.problems, *found_card, *problems],
    )


def _cards(folder: Path) -> tuple[list[Recipe], list[Problem]]:
    """The studio's recipe cards; one that cannot be read is left out with a remark."""
    from glazecalc.files.card import read_recipe
    from glazecalc.jobs.setup import card_names
    from glazecalc.values.answers import remark

    cards, problems = [], []
    for name in card_names(folder):
        path = folder / f"{name}.txt"
        card, found = read_recipe(str(path))
        if card is None or any(p.is_error for p in found):
            problems.append(
                remark("card-left-out", "this card cannot be read and is left out", "see: glazecalc check", str(path))
            )
        else:
            cards.append(card)
    return cards, problems


def _tiles_per_firing(bench: Bench, kiln: object) -> int | None:
    from glazecalc.jobs.tile_places import places
    from glazecalc.values.inputs import Kiln

    tile = next((p for p in bench.studio.pieces if "tile" in p.name.casefold()), None)
    if tile is None or not isinstance(kiln, Kiln):
        return None
    found = places(kiln, tile, 1)
    return None if found is None else found[1]


def _of_kiln(bench: Bench, name: str, circuit: str | None) -> Outcome:
    from glazecalc.jobs.learn_kiln import learn_kiln
    from glazecalc.jobs.setting import pick
    from glazecalc.jobs.setup import firings_of
    from glazecalc.render.text.kiln import kiln_learned_json, kiln_learned_text

    studio = bench.studio
    kiln = pick(studio.kilns, name, None, "kiln", studio)
    assert kiln is not None
    usual = studio.defaults.kiln is not None and kiln.name.casefold() == studio.defaults.kiln.casefold()
    on = pick(studio.circuits, circuit, studio.defaults.circuit, "circuit", studio) if circuit or usual else None
    found = learn_kiln(kiln, firings_of(studio, kiln), on, studio.circuits)
    problems = [*bench.problems, *found.problems]
    return Outcome("learn", [kiln_learned_json(found)], kiln_learned_text(found, studio.units), problems=problems)
