"""``body``: what is known of a clay."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from glazecalc.cli.frame import ConeOption, JsonOption, Outcome, StudioOption, UnitsOption, finish

EPILOG = """Examples:

  glazecalc body "Harbour stoneware"

  glazecalc body "Harbour stoneware" --cone 6 --fired 100mm --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("body", epilog=EPILOG)(body)


def body(
    name: Annotated[
        str | None, typer.Argument(metavar="[BODY]", help="Clay body of the studio. [default: the studio's]")
    ] = None,
    cone: ConeOption = None,
    fired: Annotated[
        str | None, typer.Option("--fired", metavar="100mm", help="Size wanted after firing: how big is it to be wet?")
    ] = None,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show a clay's expansion, absorption, shrinkage and cone range, and how to find what is not known."""
    from glazecalc.cli.asked import quantity
    from glazecalc.jobs.body import clay_report, usual_cone
    from glazecalc.jobs.setting import cone_named, pick
    from glazecalc.jobs.setup import body_recipe, open_bench, recorded_tiles
    from glazecalc.render.text.learn import clay_json, clay_text
    from glazecalc.values.answers import ProblemsError, error

    bench = open_bench((), studio, units=units)
    folder = studio or Path()
    clay = pick(bench.studio.bodies, name, bench.studio.defaults.body, "body", bench.studio)
    if clay is None:
        hint = "name one, or add a [[body]] to studio.toml"
        raise ProblemsError([error("no-body", "it is not clear which clay is meant", hint, bench.studio.file)])
    recipe, problems = body_recipe(clay, folder)
    found = clay_report(
        clay, bench.pantry, recipe=recipe, cone=cone_named(cone) or usual_cone(clay, bench.studio.defaults.cone),
        tiles=recorded_tiles(folder),
        fired_mm=quantity(fired, "length", "mm", "--fired"), limits=bench.studio.limits,
    )  # fmt: skip
    text = clay_text(found, bench.studio.units)
    finish(Outcome("body", [clay_json(found)], text, problems=[*bench.problems, *problems]), as_json)
