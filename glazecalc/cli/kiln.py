"""``kiln`` and ``firing``: may it be plugged in there, how hot does it get, and which cone bends when."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from glazecalc.cli.frame import Told, command, opened, painter, stop_on_errors
from glazecalc.cli.options import (
    AsOption,
    BodyOption,
    CircuitOption,
    ConeOption,
    KilnOption,
    Text,
    Usual,
    arg,
    flag,
    opt,
)
from glazecalc.values.answers import Problem


@command("kiln", '"Shed kiln" --circuit "Kitchen outlet"', "--cone 6 --room Shed --json")
def kiln(
    name: Annotated[Text, arg("[KILN]", "Kiln of the studio. [default: the studio's]", of="kiln")] = None,
    circuit: CircuitOption = None,
    room: Annotated[Text, opt("--room", "NAME", "Room the kiln stands in.", of="room")] = None,
    cone: ConeOption = None,
    recipe: Annotated[Text, opt("--recipe", "RECIPE", "Glaze to be fired: what it gives to the air.")] = None,
    named: AsOption = None,
    full: Annotated[bool, flag("--full", "Tell all circuits, cones, gases and how each figure was found.")] = False,
    usual: Usual = Usual(),
) -> Told:
    """May this kiln be plugged in there, how hot does it get, and what does a firing take?"""
    from glazecalc.jobs import requests
    from glazecalc.render.text.kiln import kiln_text

    bench = opened([recipe] if recipe else [], usual, named)
    fired = bench.recipes[0] if bench.recipes else None
    report = requests.kiln(bench, name, circuit=circuit, room=room, cone=cone, recipe=fired)
    problems = [*bench.problems, *report.problems]
    stop_on_errors(problems, usual.strict)
    return Told([report], kiln_text(report, bench.studio.units, painter(sys.stdout), full), report.answer, problems)


@command(
    "firing",
    '--cone 6 --kiln "Shed kiln" --hold 10min',
    "--recipe recipes/lighthouse-white.txt",
    "--schedule my-schedule.csv --cone 6 --json",
)
def firing(
    cone: ConeOption = None,
    kiln: KilnOption = None,
    schedule: Annotated[Text, opt("--schedule", "FILE", "Table of rate,to,hold: what does it do? - for stdin.")] = None,
    hold: Annotated[Text, opt("--hold", "10min", "Hold at the peak. [default: 10min]")] = None,
    kind: Annotated[str, opt("--kind", "KIND", "bisque, glaze, slow-cooled or once-fired.")] = "glaze",
    wall: Annotated[Text, opt("--wall", "6mm", "Thickest wall of the ware. [default: the clay's]")] = None,
    recipe: Annotated[
        Text, opt("--recipe", "RECIPE", "Glaze fired: add a drop and hold where its pits ask for it.")
    ] = None,
    damp: Annotated[bool, flag("--damp", "The ware is not bone dry.")] = False,
    body: BodyOption = None,
    circuit: CircuitOption = None,
    full: Annotated[
        bool, flag("--full", "Tell why each segment is there, all cones, and the cautions by stage.")
    ] = False,
    usual: Usual = Usual(),
) -> Told:
    """Show a schedule for a cone, which cone bends when, and whether the kiln can follow."""
    from glazecalc.cli.asked import quantity
    from glazecalc.files.schedule import read_schedule
    from glazecalc.jobs import requests
    from glazecalc.jobs.bench import open_bench
    from glazecalc.render.text.firing import firing_text

    cards = () if recipe is None or schedule is not None else (recipe,)
    bench = open_bench(cards, usual.studio, usual.strict, usual.units, needs_studio=False)
    found: tuple[Problem, ...] = ()
    if schedule is not None:
        legs, found = read_schedule(schedule, bench.studio.units.temperature)
        stop_on_errors(found)
        title = "schedule" if schedule == "-" else f"schedule {Path(schedule).name}"
        report = requests.schedule(bench, legs, title=title, cone=cone, kiln=kiln, circuit=circuit, body=body)
    else:
        none = hold is not None and hold.strip() in ("0", "0min")
        report = requests.firing(
            bench, kind=kind, cone=cone, hold_h=0.0 if none else quantity(hold, "time", "h", "--hold"),
            wall_mm=quantity(wall, "length", "mm", "--wall"), dampness="damp" if damp else "dry", kiln=kiln,
            circuit=circuit, body=body, recipe=bench.recipes[0] if bench.recipes else None,
        )  # fmt: skip
    problems = [*bench.problems, *found, *report.problems]
    stop_on_errors(problems, usual.strict)
    return Told([report], firing_text(report, bench.studio.units, painter(sys.stdout), full), report.answer, problems)
