"""``swap``: the same fired formula from other materials."""

from __future__ import annotations

from typing import Annotated

import typer

from glazecalc.cli.adjust import OutputOption, PickOption
from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    ForceOption,
    FullOption,
    JsonOption,
    KilnOption,
    RecipeArgument,
    StrictOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)
from glazecalc.cli.opening import AsOption, opened

EPILOG = """Examples:

  glazecalc swap recipes/shoal-clear.txt "Potash feldspar" "Soda feldspar"

  glazecalc swap recipes/lagoon-blue.txt Dolomite Talc Whiting -o lagoon-without-dolomite.txt
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("swap", epilog=EPILOG)(swap)


def swap(
    recipe: RecipeArgument,
    old: Annotated[str, typer.Argument(metavar="OLD", help="Material of the recipe to do without.")],
    new: Annotated[list[str], typer.Argument(metavar="NEW...", help="Materials to take its place.")],
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
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
    """Replace a material and keep the fired formula; say what could not be matched and what came along."""
    from glazecalc.cli.changed import write_card
    from glazecalc.cli.frame import stop_on_errors
    from glazecalc.jobs import requests
    from glazecalc.render.text.changes import swap_text

    bench = opened([recipe], studio, strict, units, named, as_json)
    result, remarks = requests.swap(bench, bench.recipes[0], old, new, body=body, kiln=kiln, circuit=circuit, cone=cone)
    stop_on_errors(remarks, strict)
    problems = [*bench.problems, *remarks, *write_card(result.options, pick, output, force)]
    text = swap_text(result, bench.studio.units, full)
    finish(Told("swap", [result], text, problems=problems), as_json)
