"""``screen``: estimates for a whole table of compositions."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from glazecalc.cli.frame import Plain, Told, as_errors, command, tell_problems
from glazecalc.cli.options import ForceOption, Text, Usual, arg, opt
from glazecalc.values.answers import ProblemsError, did_you_mean, error, refuse


@command(
    "screen",
    "glasses.csv -o estimates.csv",
    "recipes.csv --basis recipe --as glaze -o estimates.csv",
    "glasses.parquet --columns expansion -o expansions.parquet",
    more="""The first column that holds no amounts is kept as the id. Each estimate has its
ends _low and _high, and in NAME_basis whether a model knows such glasses
(model) or not (extrapolated); the column basis is that of the expansion.
NAME_interval says what the ends are meant for: a glaze from a kiln, or a clean
glass, also where --as glaze was asked for and no kiln's figures are known.
A figure so far outside what a model knows that it says nothing is left empty.
Names that end in .parquet are read and written as Parquet (needs pyarrow).""",
)
def screen(
    table: Annotated[Path, arg("TABLE", "A row per composition; columns headed by oxides or materials.")],
    out: Annotated[Path | None, opt("--out -o", "OUT", "Where to write. [default: stdout]")] = None,
    basis: Annotated[str, opt("--basis", "mole|weight|unity|recipe", "What the columns hold.")] = "mole",
    practice: Annotated[str, opt("--as", "glaze|glass", "Intervals for a glaze or for a clean glass.")] = "glaze",
    columns: Annotated[Text, opt("--columns", "NAME,NAME", "Only these estimates. [default: all]")] = None,
    force: ForceOption = False,
    usual: Usual = Usual(),
) -> Told:
    """Estimate expansion, viscosity, transition, stiffness and liquidus for many compositions at once."""
    from glazecalc.files.writing import free_place
    from glazecalc.jobs.bench import open_bench
    from glazecalc.jobs.screen import BASES, PRACTICES, is_parquet, need_arrow

    for what, value, choices in (("basis", basis, BASES), ("as", practice, PRACTICES)):
        if value not in choices:
            hint = did_you_mean(value, choices) or f"choose one of: {', '.join(choices)}"
            refuse(what, f"--{what} {value!r} is not known", hint)
    if usual.as_json and out is None:
        refuse("usage", "--json needs --out: stdout holds the JSON document then", "add -o OUT.csv")
    if out is not None:
        free_place(out, force)
        if is_parquet(out):
            need_arrow(out)
    bench = open_bench((), usual.studio, units=usual.units, needs_studio=False)
    names = None if columns is None else [name.strip() for name in columns.split(",")]
    wanted = {"basis": basis, "practice": practice, "columns": names}
    if out is None:
        done = _run(table, Plain(sys.stdout), bench, wanted, False)
        nothing = [error("no-rows", "no row could be read", "see the notes", str(table))] if _none_read(done) else []
        tell_problems([*nothing, *(as_errors(done.problems) if usual.strict else done.problems)])
        typer.echo(_done(done, practice), err=True)
        raise typer.Exit(2 if (usual.strict and done.problems) or _none_read(done) else 0)
    done = _to_file(table, out, bench, wanted, force, usual.strict)
    result = {"rows": done.rows, "bad_rows": done.bad_rows, "as": practice, "out": str(out)}
    return Told([result], f"{_done(done, practice)}: {out}", problems=[*bench.problems, *done.problems])


def _none_read(done: Any) -> bool:
    return bool(done.rows) and done.bad_rows == done.rows


def _done(done: Any, practice: str) -> str:
    """How the table went: rows read and estimated, rows that could not be.

    >>> from types import SimpleNamespace as Done
    >>> _done(Done(rows=1, bad_rows=0), "glaze"), _done(Done(rows=3, bad_rows=1), "glaze")
    ('1 row estimated as glaze; all could be read', '2 rows estimated as glaze; 1 could not be read')
    """
    good = done.rows - done.bad_rows
    read = f"{done.bad_rows} could not be read" if done.bad_rows else "all could be read"
    return f"{good} row{'' if good == 1 else 's'} estimated as {practice}; {read}"


def _to_file(table: Path, out: Path, bench: Any, wanted: dict[str, Any], force: bool, strict: bool) -> Any:
    """The whole table or nothing; with ``strict`` nothing where there is a problem, and nothing if no row was read."""
    from glazecalc.files.writing import write_by
    from glazecalc.jobs.screen import is_parquet

    done: list[Any] = []

    def write(place: Path) -> None:
        watched = sys.stderr.isatty()
        if is_parquet(out):
            done.append(_run(table, place, bench, wanted, watched))
        else:
            with place.open("w", encoding="utf-8", newline="") as stream:
                done.append(_run(table, stream, bench, wanted, watched))
        if (strict and done[0].problems) or _none_read(done[0]):
            what = error("no-rows", "no row could be read: nothing was written", "see the notes above", str(table))
            raise ProblemsError([*done[0].problems, *([] if strict else [what])])

    write_by(out, write, force)
    return done[0]


def _run(table: Path, target: Any, bench: Any, wanted: dict[str, Any], show_progress: bool) -> Any:
    from glazecalc.jobs.screen import count_rows, screen
    from glazecalc.render.words import safe_cell

    if not show_progress:
        return screen(table, target, bench.pantry, guard=safe_cell, **wanted)
    with typer.progressbar(length=count_rows(table), label="screening", file=sys.stderr) as bar:
        return screen(table, target, bench.pantry, guard=safe_cell, progress=bar.update, **wanted)
