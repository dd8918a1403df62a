"""``kiln`` and ``firing``: may it be plugged in there, how hot does it get, and which cone bends when."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import Told, command, finish, opened, painter, stop_on_errors
from glazecalc.cli.options import AsOption, BodyOption, CircuitOption, ConeOption, KilnOption, Usual, completed
from glazecalc.values.answers import Problem

if TYPE_CHECKING:
    from glazecalc.jobs.bench import Bench
    from glazecalc.values.results.firing import FiringReport


@command("kiln", '"Shed kiln" --circuit "Kitchen outlet"', "--cone 6 --room Shed --json")
def kiln(
    name: Annotated[
        str | None,
        typer.Argument(
            metavar="[KILN]", help="Kiln of the studio. [default: the studio's]", autocompletion=completed("kiln")
        ),
    ] = None,
    circuit: CircuitOption = None,
    room: Annotated[
        str | None,
        typer.Option("--room", metavar="NAME", help="Room the kiln stands in.", autocompletion=completed("room")),
    ] = None,
    cone: ConeOption = None,
    recipe: Annotated[
        str | None, typer.Option("--recipe", metavar="RECIPE", help="Glaze to be fired: what it gives to the air.")
    ] = None,
    named: AsOption = None,
    full: Annotated[
        bool, typer.Option("--full", help="Tell all circuits, cones, gases and how each figure was found.")
    ] = False,
    usual: Usual = Usual(),
) -> None:
    """May this kiln be plugged in there, how hot does it get, and what does a firing take?"""
    from glazecalc.jobs import requests
    from glazecalc.render.text.kiln import kiln_text

    bench = opened([recipe] if recipe else [], usual, named)
    fired = bench.recipes[0] if bench.recipes else None
    report = requests.kiln(bench, name, circuit=circuit, room=room, cone=cone, recipe=fired)
    problems = [*bench.problems, *report.problems]
    stop_on_errors(problems, usual.strict)
    text = kiln_text(report, bench.studio.units, painter(sys.stdout), full)
    finish(Told("kiln", [report], text, report.answer, problems), usual.as_json)


@command(
    "firing",
    '--cone 6 --kiln "Shed kiln" --hold 10min',
    "--recipe recipes/lighthouse-white.txt",
    "--schedule my-schedule.csv --cone 6 --json",
)
def firing(
    cone: ConeOption = None,
    kiln: KilnOption = None,
    schedule: Annotated[
        str | None,
        typer.Option("--schedule", metavar="FILE", help="Table of rate,to,hold: what does it do? - for stdin."),
    ] = None,
    hold: Annotated[
        str | None, typer.Option("--hold", metavar="10min", help="Hold at the peak. [default: 10min]")
    ] = None,
    kind: Annotated[
        str, typer.Option("--kind", metavar="KIND", help="bisque, glaze, slow-cooled or once-fired.")
    ] = "glaze",
    wall: Annotated[
        str | None, typer.Option("--wall", metavar="6mm", help="Thickest wall of the ware. [default: the clay's]")
    ] = None,
    recipe: Annotated[
        str | None,
        typer.Option("--recipe", metavar="RECIPE", help="Glaze fired: add a drop and hold where its pits ask for it."),
    ] = None,
    damp: Annotated[bool, typer.Option("--damp", help="The ware is not bone dry.")] = False,
    body: BodyOption = None,
    circuit: CircuitOption = None,
    full: Annotated[
        bool, typer.Option("--full", help="Tell why each segment is there, all cones, and the cautions by stage.")
    ] = False,
    usual: Usual = Usual(),
) -> None:
    """Show a schedule for a cone, which cone bends when, and whether the kiln can follow."""
    from glazecalc.jobs.bench import open_bench
    from glazecalc.render.text.firing import firing_text

    cards = () if recipe is None or schedule is not None else (recipe,)
    bench = open_bench(cards, usual.studio, usual.strict, usual.units, needs_studio=False)
    names = (kiln, circuit, body)
    if schedule is not None:
        report, found = _given(bench, schedule, cone, names)
    else:
        report, found = _planned(bench, cone, (kind, hold, wall, damp), names), ()
    problems = [*bench.problems, *found, *report.problems]
    stop_on_errors(problems, usual.strict)
    text = firing_text(report, bench.studio.units, painter(sys.stdout), full)
    finish(Told("firing", [report], text, report.answer, problems), usual.as_json)


def _given(
    bench: Bench, schedule: str, cone: str | None, names: tuple[str | None, ...]
) -> tuple[FiringReport, tuple[Problem, ...]]:
    """What the schedule in a file does."""
    from glazecalc.files.schedule import read_schedule
    from glazecalc.jobs import requests

    legs, problems = read_schedule(schedule, bench.studio.units.temperature)
    stop_on_errors(problems)
    title = "schedule" if schedule == "-" else f"schedule {Path(schedule).name}"
    kiln, circuit, body = names
    report = requests.schedule(bench, legs, title=title, cone=cone, kiln=kiln, circuit=circuit, body=body)
    return report, problems


def _planned(
    bench: Bench,
    cone: str | None,
    wish: tuple[str, str | None, str | None, bool],
    names: tuple[str | None, ...],
) -> FiringReport:
    """A schedule for a cone."""
    from glazecalc.cli.asked import quantity
    from glazecalc.jobs import requests

    kind, hold, wall, damp = wish
    kiln, circuit, body = names
    none = hold is not None and hold.strip() in ("0", "0min")
    return requests.firing(
        bench,
        kind=kind,
        cone=cone,
        hold_h=0.0 if none else quantity(hold, "time", "h", "--hold"),
        wall_mm=quantity(wall, "length", "mm", "--wall"),
        dampness="damp" if damp else "dry",
        kiln=kiln,
        circuit=circuit,
        body=body,
        recipe=bench.recipes[0] if bench.recipes else None,
    )
