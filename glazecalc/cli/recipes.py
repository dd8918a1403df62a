"""``check``, ``formula``, ``compare``: what a recipe is and how it will do."""

from __future__ import annotations

import sys
from typing import Annotated

from glazecalc.cli.frame import Told, command, opened, painter, stop_on_errors
from glazecalc.cli.options import AsOption, Chosen, FullOption, RecipesArgument, Usual, flag, opt
from glazecalc.values.answers import Problem, ProblemsError, worst


@command("check", "recipes/shoal-clear.txt", 'recipes/old-pier.txt --kiln "Shed kiln" --cone 10 --json')
def check(
    recipes: RecipesArgument,
    where: Chosen = Chosen(),
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> Told:
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
    problems += requests.said_once(bench, [result.recipe for result in results], **where.names())
    stop_on_errors(problems, usual.strict)
    paint = painter(sys.stdout)
    texts = [*(check_text(r, bench.studio.units, paint, full) for r in results), ranking_text(results)]
    text = ("\n\n" + "=" * 80 + "\n\n").join(filter(None, texts))
    return Told(results, text, worst(r.answer for r in results), problems)


@command("formula", "recipes/shoal-clear.txt", "recipes/shoal-clear.txt --basis weight --explain")
def formula(
    recipes: RecipesArgument,
    basis: Annotated[str, opt("--basis", "unity|mole|weight", "Which figures come first.")] = "unity",
    flux: Annotated[str, opt("--flux", "customary|colourants-out|alumina", "Which oxides add up to 1.")] = "customary",
    explain: Annotated[bool, flag("--explain", "Show which oxides push the expansion up or down.")] = False,
    models: Annotated[bool, flag("--models", "Show the expansion by published factors too.")] = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> Told:
    """Turn recipes into their fired composition: unity molecular formula, mole % and weight %."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.formula import formula_text

    bench = opened(recipes, usual, named, needs_studio=False)
    results, problems = requests.formula(bench, bench.recipes, basis=basis, flux=flux, explain=explain, models=models)
    text = "\n\n".join(formula_text(r, basis, bench.studio.units) for r in results)
    return Told(results, text, problems=[*bench.problems, *problems])


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
) -> Told:
    """Set recipes side by side: materials, formula, estimates, answers, and the differences that matter."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.changes import compare_text

    bench = opened(recipes, usual, named)
    result, problems = requests.compare(bench, bench.recipes, **where.names())
    text = compare_text(result, bench.studio.units, full)
    return Told([result], text, problems=[*bench.problems, *problems])
