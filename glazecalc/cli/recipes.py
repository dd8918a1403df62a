"""``check``, ``formula``, ``compare``: what a recipe is and how it will do."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from glazecalc.cli.frame import Told, command, finish, opened, painter, stop_on_errors
from glazecalc.cli.options import AsOption, Chosen, FullOption, RecipesArgument, Usual
from glazecalc.values.answers import Problem, ProblemsError, worst


@command("check", "recipes/shoal-clear.txt", 'recipes/old-pier.txt --kiln "Shed kiln" --cone 10 --json')
def check(
    recipes: RecipesArgument,
    where: Chosen = Chosen(),
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> None:
    """Will this glaze fit the clay, melt at the cone, and does the kiln get there?"""
    from glazecalc.jobs import requests
    from glazecalc.render.text.check import check_text, ranking_text
    from glazecalc.values.results.check import CheckResult

    bench = opened(recipes, usual, named)
    problems: list[Problem] = list(bench.problems)
    results: list[CheckResult] = []
    for recipe in bench.recipes:
        try:
            result = requests.check(bench, recipe, **where.names())
        except ProblemsError as stop:
            problems += stop.problems
            continue
        results.append(result)
        problems += [p for p in result.problems if p.code not in requests.SAID]
    judged = [result.recipe for result in results]
    problems += requests.said_once(bench, judged, **where.names())
    stop_on_errors(problems, usual.strict)
    paint = painter(sys.stdout)
    texts = [check_text(r, bench.studio.units, paint, full) for r in results]
    finish(
        Told(
            command="check",
            results=results,
            text=("\n\n" + "=" * 80 + "\n\n").join(t for t in (*texts, ranking_text(results)) if t),
            answer=worst(r.answer for r in results),
            problems=problems,
        ),
        usual.as_json,
    )


@command("formula", "recipes/shoal-clear.txt", "recipes/shoal-clear.txt --basis weight --explain")
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
    usual: Usual = Usual(),
) -> None:
    """Turn recipes into their fired composition: unity molecular formula, mole % and weight %."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.formula import formula_text

    bench = opened(recipes, usual, named, needs_studio=False)
    results, problems = requests.formula(bench, bench.recipes, basis=basis, flux=flux, explain=explain, models=models)
    finish(
        Told(
            command="formula",
            results=results,
            text="\n\n".join(formula_text(r, basis, bench.studio.units) for r in results),
            problems=[*bench.problems, *problems],
        ),
        usual.as_json,
    )


@command(
    "compare",
    "recipes/shoal-clear.txt recipes/brine-crackle.txt",
    "recipes/old-pier.txt recipes/kelp-celadon.txt --json",
)
def compare(
    recipes: RecipesArgument,
    where: Chosen = Chosen(),
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> None:
    """Set recipes side by side: materials, formula, estimates, answers, and the differences that matter."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.changes import compare_text

    bench = opened(recipes, usual, named)
    result, found = requests.compare(bench, bench.recipes, **where.names())
    text = compare_text(result, bench.studio.units, full)
    finish(Told("compare", [result], text, problems=[*bench.problems, *found]), usual.as_json)
