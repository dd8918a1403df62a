"""``compare``: recipes side by side."""

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
    full: FullOption = False,
    named: AsOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Set recipes side by side: materials, formula, estimates, answers, and the differences that matter."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.changes import compare_text

    bench = opened(recipes, studio, strict, units, named, as_json)
    result, found = requests.compare(bench, bench.recipes, body=body, kiln=kiln, circuit=circuit, cone=cone)
    text = compare_text(result, bench.studio.units, full)
    finish(Told("compare", [result], text, problems=[*bench.problems, *found]), as_json)
