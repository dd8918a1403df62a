"""``learn``: what recorded tiles and firings say of the clay's expansion and the kiln's reach."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    JsonOption,
    KilnOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)

if TYPE_CHECKING:
    from glazecalc.jobs.bench import Bench


EPILOG = """Examples:

  glazecalc learn --body "Harbour stoneware"

  glazecalc learn --kiln "Shed kiln" --json
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("learn", epilog=EPILOG)(learn)


def learn(
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Learn the clay's expansion from recorded tiles, or the kiln's reach from recorded firings."""
    from glazecalc.jobs.bench import open_bench

    bench = open_bench((), studio, units=units)
    if kiln is not None and body is None:
        finish(_of_kiln(bench, kiln, circuit), as_json)
    finish(_of_body(bench, body, kiln, cone), as_json)


def _of_body(bench: Bench, body: str | None, kiln: str | None, cone: str | None) -> Told:
    from glazecalc.jobs import requests
    from glazecalc.jobs.setup import studio_option
    from glazecalc.render.text.learn import lesson_text

    lesson, problems = requests.learn_body(bench, body, kiln=kiln, cone=cone)
    text = lesson_text(lesson, bench.studio.units, studio_option(bench.studio.folder))
    return Told("learn", [lesson], text, problems=[*bench.problems, *problems])


def _of_kiln(bench: Bench, name: str, circuit: str | None) -> Told:
    from glazecalc.jobs import requests
    from glazecalc.render.text.kiln import kiln_learned_text

    learned = requests.learn_kiln(bench, name, circuit=circuit)
    text = kiln_learned_text(learned, bench.studio.units)
    return Told("learn", [learned], text, problems=[*bench.problems, *learned.problems])
