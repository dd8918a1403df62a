"""``first``: a glaze to begin with on this clay, in this kiln, from this shelf."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    ForceOption,
    JsonOption,
    KilnOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)

if TYPE_CHECKING:
    from glazecalc.values.answers import Problem
    from glazecalc.values.results.first import FirstGlaze

EPILOG = """Examples:

  glazecalc first --studio my-studio

  glazecalc first --body "Harbour stoneware" --cone 6 -o first-glaze.txt
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("first", epilog=EPILOG)(first)


def first(
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    output: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write the glaze as a recipe card.")
    ] = None,
    force: ForceOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Propose a plain glaze to begin with: 100 g on your scale, four tiles, and what to look for."""
    from glazecalc.jobs import requests
    from glazecalc.jobs.bench import open_bench
    from glazecalc.render.text.first import first_text

    bench = open_bench((), studio, units=units)
    result = requests.first(bench, body=body, kiln=kiln, circuit=circuit, cone=cone)
    written = [] if output is None else [_write(result, output, force)]
    text = first_text(result, bench.studio.units)
    problems = [*bench.problems, *result.problems, *written]
    finish(Told("first", [result], text, answer=result.answer, problems=problems), as_json)


def _write(result: FirstGlaze, path: Path, force: bool) -> Problem:
    from glazecalc.files.writing import write_file
    from glazecalc.render.text.changes import card_text
    from glazecalc.values.answers import ProblemsError, error, remark

    if result.chosen is None:
        raise ProblemsError([error("nothing-to-write", "no glaze is proposed", "see the answer without -o")])
    write_file(path, card_text(result.chosen.recipe), force)
    return remark("written", "the glaze is written as a card", f"check it: glazecalc check {path}", str(path))
