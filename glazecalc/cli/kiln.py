"""``kiln``: may it be plugged in there, how hot does it get, what does it hold and cost, where may it
stand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import (
    CircuitOption,
    ConeOption,
    JsonOption,
    Outcome,
    StrictOption,
    StudioOption,
    UnitsOption,
    finish,
)

if TYPE_CHECKING:
    from glazecalc.jobs.kiln import KilnQuestion
    from glazecalc.jobs.setup import Bench


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
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """May this kiln be plugged in there, how hot does it get, and what does a firing take?"""
    import sys

    from glazecalc.cli.frame import painter, stop_on_errors, wants_colour
    from glazecalc.jobs.kiln import check_kiln
    from glazecalc.jobs.setup import open_bench
    from glazecalc.render.json import kiln_json
    from glazecalc.render.text.kiln import kiln_text

    bench = open_bench([recipe] if recipe else [], studio, strict, units)
    report = check_kiln(_question(bench, name, circuit, room, cone))
    problems = [*bench.problems, *report.problems]
    stop_on_errors(problems, strict)
    text = kiln_text(report, bench.studio.units, painter(wants_colour(sys.stdout)))
    finish(Outcome("kiln", [kiln_json(report)], text, report.answer, problems), as_json)


def _question(bench: Bench, name: str | None, circuit: str | None, room: str | None, cone: str | None) -> KilnQuestion:
    """What is asked, from names and the studio's defaults; those belong to the default kiln."""
    from glazecalc.jobs.kiln import KilnQuestion
    from glazecalc.jobs.setting import cone_named, pick
    from glazecalc.jobs.setup import firings_of
    from glazecalc.values.answers import ProblemsError, error

    place, usual = bench.studio, bench.studio.defaults
    chosen = pick(place.kilns, name, usual.kiln, "kiln", place)
    if chosen is None:
        hint = "name one, or add a [[kiln]] to studio.toml"
        raise ProblemsError([error("no-kiln", "it is not clear which kiln is meant", hint, place.file)])
    at_home = usual.kiln is not None and chosen.name.casefold() == usual.kiln.casefold()
    return KilnQuestion(
        kiln=chosen,
        circuits=place.circuits,
        circuit=pick(place.circuits, circuit, usual.circuit, "circuit", place) if circuit or at_home else None,
        body=pick(place.bodies, None, usual.body, "body", place),
        cone=cone_named(cone) or (usual.cone if at_home else None),
        room=pick(place.rooms, room, usual.room if at_home else None, "room", place),
        room_asked=room is not None,
        pieces=place.pieces,
        firings=firings_of(place, chosen),
        recipe=bench.recipes[0] if bench.recipes else None,
        shelf=bench.pantry,
        limits=place.limits,
        units=place.units,
        folder=place.folder,
    )
