"""``adjust``: the smallest change that fits and melts; with ``--target``, a batch for a formula from a book."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    ForceOption,
    FullOption,
    JsonOption,
    KilnOption,
    StrictOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)
from glazecalc.cli.opening import AsOption, opened

EPILOG = """Examples:

  glazecalc adjust recipes/brine-crackle.txt --body "Harbour stoneware"

  glazecalc adjust --target recipes/rock-pool.txt --without Dolomite
"""

RecipeMaybe = Annotated[
    str | None,
    typer.Argument(metavar="RECIPE", help="Recipe card to change; not needed with --target."),
]
TargetOption = Annotated[
    str | None,
    typer.Option("--target", metavar="CARD", help="Card whose formula is wanted: make a batch of it from the shelf."),
]
UseOption = Annotated[
    list[str] | None,
    typer.Option(
        "--use", metavar="M", help="Material that may be used or moved, though not in stock or kept; repeat it."
    ),
]
WithoutOption = Annotated[
    list[str] | None, typer.Option("--without", metavar="M", help="Material that must not be used; repeat it.")
]
LimitOption = Annotated[
    list[str] | None,
    typer.Option("--limit", metavar="M=PERCENT", help="Most of a material in 100 of base; repeat it."),
]
MostOption = Annotated[
    int | None, typer.Option("--max-materials", min=1, max=30, metavar="N", help="Most materials in the base.")
]
KeepOption = Annotated[
    list[str] | None,
    typer.Option("--keep", metavar="surface|colour", help="What to keep before all else; repeat it."),
]
OutputOption = Annotated[
    Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write an option as a recipe card.")
]
PickOption = Annotated[int, typer.Option("--pick", metavar="N", help="Which option to write.")]


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("adjust", epilog=EPILOG)(adjust)


def adjust(
    recipe: RecipeMaybe = None,
    target: TargetOption = None,
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    use: UseOption = None,
    without: WithoutOption = None,
    limit: LimitOption = None,
    max_materials: MostOption = None,
    keep: KeepOption = None,
    output: OutputOption = None,
    pick: PickOption = 1,
    force: ForceOption = False,
    full: FullOption = False,
    named: AsOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Change a recipe as little as it takes to fit the clay and melt at the cone."""
    from glazecalc.cli.changed import limits, write_card
    from glazecalc.cli.frame import stop_on_errors
    from glazecalc.jobs import requests
    from glazecalc.jobs.palette import Wishes
    from glazecalc.render.text.changes import adjust_text, batch_result_text
    from glazecalc.values.answers import ProblemsError, error

    if (recipe is None) == (target is None):
        hint = "name a recipe to change, or --target with a card whose formula is wanted"
        raise ProblemsError([error("usage", "either a recipe or --target is needed, not both", hint)])
    bench = opened([recipe or target or ""], studio, strict, units, named, as_json)
    card, shown = bench.recipes[0], bench.studio.units
    wishes = Wishes(tuple(use or ()), tuple(without or ()), limits(limit or ()), max_materials)
    names = {"body": body, "kiln": kiln, "circuit": circuit, "cone": cone}
    if target is not None:
        batch, remarks = requests.batch(bench, card, wishes=wishes, **names)
        options = batch.options
        outcome = Told("adjust", [batch], batch_result_text(batch, shown, full))
    else:
        result, remarks = requests.adjust(bench, card, wishes=wishes, keep=_kept(keep), **names)
        options = result.options
        outcome = Told("adjust", [result], adjust_text(result, shown, full), answer=result.answer)
    stop_on_errors(remarks, strict)
    written = write_card(options, pick, output, force)
    finish(replace(outcome, problems=[*bench.problems, *remarks, *written]), as_json)


def _kept(words: list[str] | None) -> tuple[str, ...]:
    from glazecalc.values.answers import ProblemsError, error

    for word in words or ():
        if word not in ("surface", "colour"):
            raise ProblemsError([error("keep", f"--keep {word!r} is not known", "choose surface or colour")])
    return tuple(words or ())
