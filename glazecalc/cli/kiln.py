"""``kiln``: may it be plugged in there, how hot does it get, what does it hold and cost, where may it
stand.
"""

from __future__ import annotations

from typing import Annotated

import typer

from glazecalc.cli.frame import (
    CircuitOption,
    ConeOption,
    JsonOption,
    StrictOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)
from glazecalc.cli.opening import AsOption, opened

EPILOG = """Examples:

  glazecalc kiln "Shed kiln" --circuit "Kitchen outlet"

  glazecalc kiln --cone 6 --room Shed --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("kiln", epilog=EPILOG)(kiln)


def _complete(kind: str) -> object:
    def complete(ctx: typer.Context, incomplete: str) -> list[str]:
        from glazecalc.cli.frame import names

        return names(kind, ctx.params, incomplete)

    return complete


def kiln(
    name: Annotated[
        str | None,
        typer.Argument(
            metavar="[KILN]", help="Kiln of the studio. [default: the studio's]", autocompletion=_complete("kiln")
        ),
    ] = None,
    circuit: CircuitOption = None,
    room: Annotated[
        str | None,
        typer.Option("--room", metavar="NAME", help="Room the kiln stands in.", autocompletion=_complete("room")),
    ] = None,
    cone: ConeOption = None,
    recipe: Annotated[
        str | None, typer.Option("--recipe", metavar="RECIPE", help="Glaze to be fired: what it gives to the air.")
    ] = None,
    named: AsOption = None,
    full: Annotated[
        bool, typer.Option("--full", help="Tell all circuits, cones, gases and how each figure was found.")
    ] = False,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """May this kiln be plugged in there, how hot does it get, and what does a firing take?"""
    import sys

    from glazecalc.cli.frame import painter, stop_on_errors, wants_colour
    from glazecalc.jobs import requests
    from glazecalc.render.text.kiln import kiln_text

    bench = opened([recipe] if recipe else [], studio, strict, units, named, as_json)
    fired = bench.recipes[0] if bench.recipes else None
    report = requests.kiln(bench, name, circuit=circuit, room=room, cone=cone, recipe=fired)
    problems = [*bench.problems, *report.problems]
    stop_on_errors(problems, strict)
    text = kiln_text(report, bench.studio.units, painter(wants_colour(sys.stdout)), full)
    finish(Told("kiln", [report], text, report.answer, problems), as_json)
