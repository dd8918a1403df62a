"""``check``: the main job."""

from __future__ import annotations

import typer

from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    FullOption,
    JsonOption,
    KilnOption,
    RecipesArgument,
    StrictOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)
from glazecalc.cli.opening import AsOption, opened

EPILOG = """Examples:

  glazecalc check recipes/shoal-clear.txt

  glazecalc check recipes/old-pier.txt --kiln "Shed kiln" --cone 10 --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("check", epilog=EPILOG)(check)


def check(
    recipes: RecipesArgument,
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    full: FullOption = False,
    named: AsOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Will this glaze fit the clay, melt at the cone, and does the kiln get there?"""
    import sys

    from glazecalc.cli.frame import painter, stop_on_errors, wants_colour
    from glazecalc.jobs import requests
    from glazecalc.render.text.check import check_text, ranking_text
    from glazecalc.values.answers import Problem, ProblemsError, worst
    from glazecalc.values.results.check import CheckResult

    bench = opened(recipes, studio, strict, units, named, as_json)
    problems: list[Problem] = list(bench.problems)
    results: list[CheckResult] = []
    for recipe in bench.recipes:
        try:
            result = requests.check(bench, recipe, body=body, kiln=kiln, circuit=circuit, cone=cone)
        except ProblemsError as stop:
            problems += stop.problems
            continue
        results.append(result)
        problems += [p for p in result.problems if p.code not in requests.SAID]
    judged = [result.recipe for result in results]
    problems += requests.said_once(bench, judged, body=body, kiln=kiln, circuit=circuit, cone=cone)
    stop_on_errors(problems, strict)
    paint = painter(wants_colour(sys.stdout))
    texts = [check_text(r, bench.studio.units, paint, full) for r in results]
    finish(
        Told(
            command="check",
            results=results,
            text=("\n\n" + "=" * 80 + "\n\n").join(t for t in (*texts, ranking_text(results)) if t),
            answer=worst(r.answer for r in results),
            problems=problems,
        ),
        as_json,
    )
