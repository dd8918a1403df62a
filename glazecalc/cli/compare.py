"""``compare``: recipes side by side."""

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
    RecipesArgument,
    StrictOption,
    StudioOption,
    UnitsOption,
    finish,
)

if TYPE_CHECKING:
    from glazecalc.values.inputs import Recipe


EPILOG = """Examples:

  glazecalc compare recipes/shoal-clear.txt recipes/brine-crackle.txt

  glazecalc compare recipes/old-pier.txt recipes/kelp-celadon.txt --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("compare", epilog=EPILOG)(compare)


def compare(
    recipes: RecipesArgument,
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Set recipes side by side: materials, formula, estimates, answers, and the differences that matter."""
    from glazecalc.jobs.compare import compare as run_compare
    from glazecalc.jobs.setup import open_bench, taught_setting
    from glazecalc.render.json import comparison_json
    from glazecalc.render.text.changes import compare_text

    bench = open_bench(recipes, studio, strict, units)
    pairs = [(r, taught_setting(bench, r, body=body, kiln=kiln, circuit=circuit, cone=cone)) for r in bench.recipes]
    result = run_compare(pairs, bench.pantry, studio_cards(Path(bench.studio.folder)))
    text = compare_text(result, bench.studio.units)
    finish(Outcome("compare", [comparison_json(result)], text, problems=bench.problems), as_json)


def studio_cards(folder: Path) -> tuple[Recipe, ...]:
    """Every card of a studio that can be read; the others' faults are told when they are checked."""
    from glazecalc.files.card import read_recipe
    from glazecalc.jobs.setup import card_names

    cards = (read_recipe(str(folder / f"{name}.txt"))[0] for name in card_names(folder))
    return tuple(card for card in cards if card is not None)
