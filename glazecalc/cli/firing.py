"""``firing``: a schedule for a cone, or what a given schedule does."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    JsonOption,
    KilnOption,
    Outcome,
    StrictOption,
    StudioOption,
    UnitsOption,
    finish,
)

if TYPE_CHECKING:
    from glazecalc.jobs.firing import FiringPlace
    from glazecalc.jobs.setup import Bench
    from glazecalc.values.answers import Problem
    from glazecalc.values.results.firing import FiringReport


EPILOG = """Examples:

  glazecalc firing --cone 6 --kiln "Shed kiln" --hold 10min

  glazecalc firing --schedule my-schedule.csv --cone 6 --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("firing", epilog=EPILOG)(firing)


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
    damp: Annotated[bool, typer.Option("--damp", help="The ware is not bone dry.")] = False,
    body: BodyOption = None,
    circuit: CircuitOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show a schedule for a cone, which cone bends when, and whether the kiln can follow."""
    import sys

    from glazecalc.cli.frame import painter, stop_on_errors, wants_colour
    from glazecalc.jobs.setup import open_bench
    from glazecalc.render.json import firing_json
    from glazecalc.render.text.firing import firing_text

    bench = open_bench((), studio, strict, units, needs_studio=False)
    names = (kiln, circuit, body)
    if schedule is not None:
        report, found = _given(bench, schedule, cone, names)
    else:
        report, found = _planned(bench, cone, (kind, hold, wall, damp), names), ()
    problems = [*bench.problems, *found, *report.problems]
    stop_on_errors(problems, strict)
    text = firing_text(report, bench.studio.units, painter(wants_colour(sys.stdout)))
    finish(Outcome("firing", [firing_json(report)], text, report.answer, problems), as_json)


def _given(
    bench: Bench, schedule: str, cone: str | None, names: tuple[str | None, ...]
) -> tuple[FiringReport, tuple[Problem, ...]]:
    """What the schedule in a file does."""
    from glazecalc.files.schedule import read_schedule
    from glazecalc.jobs.firing import weigh_schedule
    from glazecalc.jobs.setting import cone_named
    from glazecalc.values.answers import ProblemsError

    legs, problems = read_schedule(schedule)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    title = "schedule" if schedule == "-" else f"schedule {Path(schedule).name}"
    return weigh_schedule(legs, cone_named(cone), _place(bench, names), title), problems


def _planned(
    bench: Bench,
    cone: str | None,
    wish: tuple[str, str | None, str | None, bool],
    names: tuple[str | None, ...],
) -> FiringReport:
    """A schedule for a cone."""
    from glazecalc.cli.asked import quantity
    from glazecalc.jobs.firing import FiringWish, plan_firing
    from glazecalc.jobs.setting import cone_named
    from glazecalc.values.answers import ProblemsError, did_you_mean, error
    from glazecalc.values.results.firing import FIRING_KINDS

    kind, hold, wall, damp = wish
    chosen = next((k for k in FIRING_KINDS if k == kind.casefold().strip()), None)
    if chosen is None:
        hint = did_you_mean(kind, FIRING_KINDS) or f"choose {', '.join(FIRING_KINDS)}"
        raise ProblemsError([error("kind", f"--kind {kind[:40]!r} is not a kind of firing", hint)])
    aim = cone_named(cone) or bench.studio.defaults.cone
    if aim is None:
        raise ProblemsError([error("no-cone", "no cone is named to fire to", "add --cone 6, or a --schedule")])
    hold_h = (
        1.0 / 6.0 if hold is None else 0.0 if hold.strip() in ("0", "0min") else quantity(hold, "time", "h", "--hold")
    )
    if hold_h is None or hold_h > 24:
        raise ProblemsError([error("hold", f"--hold {hold!r} is longer than a day", "write --hold 10min")])
    wall_mm = quantity(wall, "length", "mm", "--wall")
    if wall_mm is not None and wall_mm > 100:
        raise ProblemsError([error("wall", f"--wall {wall!r} is thicker than any ware", "write --wall 6mm")])
    wished = FiringWish(chosen, aim, hold_h, wall_mm, "damp" if damp else "dry")
    return plan_firing(wished, _place(bench, names))


def _place(bench: Bench, names: tuple[str | None, ...]) -> FiringPlace:
    """Kiln, circuit and clay from names and the studio's defaults; the kiln as its recorded firings teach
    it."""
    from glazecalc.jobs.firing import FiringPlace
    from glazecalc.jobs.learn_kiln import learned_draws
    from glazecalc.jobs.setting import pick
    from glazecalc.jobs.setup import firings_of

    studio, (kiln, circuit, body) = bench.studio, names
    usual = studio.defaults
    chosen = pick(studio.kilns, kiln, usual.kiln, "kiln", studio)
    at_home = chosen is not None and usual.kiln is not None and chosen.name.casefold() == usual.kiln.casefold()
    wired = pick(studio.circuits, circuit, usual.circuit, "circuit", studio) if circuit or at_home else None
    firings = firings_of(studio, chosen) if chosen is not None else ()
    return FiringPlace(
        kiln=chosen,
        circuit=wired,
        body=pick(studio.bodies, body, usual.body, "body", studio),
        draws=learned_draws(chosen, firings, studio.circuits) if chosen is not None and firings else None,
        limits=studio.limits,
        folder=studio.folder,
    )
