"""``formula``: the fired composition of recipes."""

from __future__ import annotations

from typing import Annotated

import typer

from glazecalc.cli.frame import JsonOption, RecipesArgument, StrictOption, StudioOption, Told, UnitsOption, finish
from glazecalc.cli.opening import AsOption, opened

EPILOG = """Examples:

  glazecalc formula recipes/shoal-clear.txt

  glazecalc formula recipes/shoal-clear.txt --basis weight --explain
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("formula", epilog=EPILOG)(formula)


def formula(
    recipes: RecipesArgument,
    basis: Annotated[
        str, typer.Option("--basis", metavar="unity|mole|weight", help="Which figures come first.")
    ] = "unity",
    flux: Annotated[
        str,
        typer.Option("--flux", metavar="customary|colourants-out|alumina", help="Which oxides add up to 1."),
    ] = "customary",
    explain: Annotated[
        bool, typer.Option("--explain", help="Show which oxides push the expansion up or down.")
    ] = False,
    models: Annotated[bool, typer.Option("--models", help="Show the expansion by published factors too.")] = False,
    named: AsOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Turn recipes into their fired composition: unity molecular formula, mole % and weight %."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.formula import formula_text

    bench = opened(recipes, studio, strict, units, named, as_json, needs_studio=False)
    results, problems = requests.formula(bench, bench.recipes, basis=basis, flux=flux, explain=explain, models=models)
    finish(
        Told(
            command="formula",
            results=results,
            text="\n\n".join(formula_text(r, basis, bench.studio.units) for r in results),
            problems=[*bench.problems, *problems],
        ),
        as_json,
    )
