"""``report``: one printable page for a recipe, an index over a studio."""

from __future__ import annotations

from collections.abc import Sequence
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
    StrictOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)
from glazecalc.cli.opening import AsOption, opened
from glazecalc.cli.tiles import AddOption, SizeOption

if TYPE_CHECKING:
    from glazecalc.values.results.page import Page


EPILOG = """Examples:

  glazecalc report recipes/shoal-clear.txt -o shoal-clear.html

  glazecalc report recipes/shoal-clear.txt recipes/brine-crackle.txt --plan line --size 5 -o line.html

  glazecalc report --all --studio recipes -o pages --figures pictures

Open the page in any browser and print it from there, on Letter or A4; --pdf does that where a browser is found.
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("report", epilog=EPILOG)(report)


def report(
    recipes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[RECIPE...]", help="Recipe cards: file paths, names of cards in the studio, or - for stdin."
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="FILE|DIR", help="Page to write; a folder for several recipes or --all."),
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Every card of the studio, with an index page.")] = False,
    figures: Annotated[
        Path | None, typer.Option("--figures", metavar="DIR", help="Write the pictures too, as SVG and PNG.")
    ] = None,
    pdf: Annotated[
        bool, typer.Option("--pdf", help="Print each page to PDF beside it, if a browser is found.")
    ] = False,
    plan: Annotated[
        str | None,
        typer.Option(
            "--plan",
            metavar="line|triaxial|square|additions|ladder",
            help="Add test tiles: one page, of the first recipe.",
        ),
    ] = None,
    size: SizeOption = None,
    add: AddOption = None,
    dry: Annotated[str, typer.Option("--dry", metavar="MASS", help="Dry weight of the batch sheet.")] = "500g",
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    named: AsOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    force: ForceOption = False,
    as_json: JsonOption = False,
) -> None:
    """Make a page to print and hang above the bench: answer, formula, fit, firing, batch sheet, cautions."""
    from glazecalc.cli.pages import Order, today, write_pages
    from glazecalc.jobs.bench import card_names, studio_folder
    from glazecalc.values.answers import ProblemsError, error, worst

    names = list(recipes or [])
    if every and (plan or size or add):
        raise ProblemsError([error("usage", "--plan goes with named recipes, not with --all")])
    if bool(names) == every:
        raise ProblemsError([error("usage", "name recipes, or ask for --all", "glazecalc report RECIPE -o FILE.html")])
    if every:
        names = card_names(studio_folder([], studio))
        studio = studio or Path()
    if not names:
        raise ProblemsError([error("no-recipe", "this studio has no recipe cards", file=str(studio))])
    bench = opened(() if every else names, studio, strict, units, named, as_json)
    order = Order(names=names, every=every, out=out, figures=figures, pdf=pdf, dry=dry, body=body, kiln=kiln,
                  circuit=circuit, cone=cone, strict=strict, force=force, today=today(), plan=plan, size=size,
                  add=tuple(add or ()))  # fmt: skip
    written = write_pages(bench, order)
    finish(
        Told(
            command="report",
            results=[_result(page, files) for page, files in written.pages],
            text="\n".join(f"Wrote {path}" for path in written.files),
            answer=worst(page.check.answer for page, _ in written.pages) if not every else None,
            problems=[*bench.problems, *written.problems],
        ),
        as_json,
    )


def _result(page: Page, files: Sequence[Path]) -> dict[str, object]:
    from glazecalc.render.json import for_json

    return {**for_json(page.check), "files": [str(path) for path in files], "pictures": len(page.pictures)}
