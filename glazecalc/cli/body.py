"""``body``: what is known of a clay."""

from __future__ import annotations

import re
from typing import Annotated

import typer

from glazecalc.cli.frame import ConeOption, JsonOption, StudioOption, Told, UnitsOption, finish

EPILOG = """Examples:

  glazecalc body "Harbour stoneware"

  glazecalc body "Harbour stoneware" --cone 6 --fired 100mm --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("body", epilog=EPILOG)(body)


def body(
    name: Annotated[
        str | None, typer.Argument(metavar="[BODY]", help="Clay of the studio. [default: the studio's]")
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
    from glazecalc.jobs import requests
    from glazecalc.jobs.bench import open_bench
    from glazecalc.render.text.learn import clay_text

    bench = open_bench((), studio, units=units)
    report, problems = requests.body(bench, name, cone=cone, fired_mm=quantity(fired, "length", "mm", "--fired"))
    shown = bench.studio.units
    inches = fired is not None and re.search(r"[\d\s](?:in|inch|inches|\"|ft|feet|')\.?\s*$", fired) is not None
    text = clay_text(report, shown.model_copy(update={"length": "in"}) if inches else shown)
    finish(Told("body", [report], text, problems=[*bench.problems, *problems]), as_json)
