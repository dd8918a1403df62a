"""``report`` and ``labels``: pages to print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import Told, command, finish, one_of, opened, refuse
from glazecalc.cli.options import (
    AddOption,
    AsOption,
    BodyOption,
    Chosen,
    ConeOption,
    ForceOption,
    JsonOption,
    RecipesArgument,
    SizeOption,
    StrictOption,
    StudioOption,
    UnitsOption,
    Usual,
)
from glazecalc.values.answers import remark, worst

if TYPE_CHECKING:
    from glazecalc.values.results.page import Label, Page


@command(
    "report",
    "recipes/shoal-clear.txt -o shoal-clear.html",
    "recipes/shoal-clear.txt recipes/brine-crackle.txt --plan line --size 5 -o line.html",
    "--all --studio recipes -o pages --figures pictures",
    more="Open the page in any browser and print it from there, on Letter or A4; --pdf does that where a browser is "
    "found.",
)
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
    where: Chosen = Chosen(),
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

    names = list(recipes or [])
    if every and (plan or size or add):
        refuse("usage", "--plan goes with named recipes, not with --all")
    if bool(names) == every:
        refuse("usage", "name recipes, or ask for --all", "glazecalc report RECIPE -o FILE.html")
    if every:
        names = card_names(studio_folder([], studio))
        studio = studio or Path()
    if not names:
        refuse("no-recipe", "this studio has no recipe cards", file=str(studio))
    bench = opened(() if every else names, Usual(strict, studio, units, as_json), named)
    order = Order(names=names, every=every, out=out, figures=figures, pdf=pdf, dry=dry, where=where,
                  strict=strict, force=force, today=today(), plan=plan, size=size,
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


@command(
    "labels",
    'recipes/shoal-clear.txt --kind bucket --dry 1500g --sg 1.5 --tare "dip pot" -o bucket.html',
    "recipes/lagoon-blue.txt --kind tile --ids L1,L2,L3 --start 7 -o tiles.html",
    more="The sheet (columns, rows, sizes, gaps, the printer's offset) is [labels] in studio.toml. Print at 100 %.",
)
def labels(
    recipes: RecipesArgument,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FILE", help="Page to write.")] = Path("labels.html"),
    kind: Annotated[str, typer.Option("--kind", metavar="bucket|jar|tile", help="What the label goes on.")] = "bucket",
    start: Annotated[
        int, typer.Option("--start", metavar="N", help="First free place on a part-used sheet, counted row by row.")
    ] = 1,
    copies: Annotated[int, typer.Option("--copies", metavar="N", help="Labels of each recipe.", min=1, max=1000)] = 1,
    ids: Annotated[str, typer.Option("--ids", metavar="A,B,...", help="One label for each of these marks.")] = "",
    date: Annotated[str | None, typer.Option("--date", metavar="TEXT", help="Date to print. [default: today]")] = None,
    density: Annotated[
        float | None,
        typer.Option("--sg", metavar="SG", help="Specific gravity to stir the slurry to.", min=1, max=3.5),
    ] = None,
    dry: Annotated[str | None, typer.Option("--dry", metavar="MASS", help="Dry glaze in the bucket.")] = None,
    tare: Annotated[
        str | None,
        typer.Option(
            "--tare", metavar="MASS|CONTAINER", help="Weight of the empty bucket, or a container of the studio."
        ),
    ] = None,
    body: BodyOption = None,
    cone: ConeOption = None,
    named: AsOption = None,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    force: ForceOption = False,
    as_json: JsonOption = False,
) -> None:
    """Print labels: name, mark, cone, date, specific gravity, dry grams, the bucket's own weight, hazards."""
    from glazecalc.cli import asked
    from glazecalc.cli.pages import today
    from glazecalc.files.writing import write_file
    from glazecalc.jobs.labels import label_run, make_labels
    from glazecalc.jobs.requests import said_of
    from glazecalc.jobs.setup import setup_for
    from glazecalc.render.labels import crowded, labels_html
    from glazecalc.values.results.page import LABEL_KINDS

    found = one_of("--kind", kind, LABEL_KINDS)
    bench = opened(recipes, Usual(strict, studio, units, as_json), named)
    made: list[Label] = []
    for recipe in bench.recipes:
        setup = setup_for(bench.studio, recipe, body=body, cone=cone)
        made += make_labels(
            recipe, bench.pantry, found, ids=[i.strip() for i in ids.split(",") if i.strip()], copies=copies,
            cone=str(setup.cone or ""), date=today() if date is None else date, density=density,
            body=setup.body.name if setup.body and found == "tile" else "",
            dry_g=asked.mass_g(dry, "--dry"), tare_g=_tare(bench.studio, tare),
        )  # fmt: skip
    run = label_run(made, bench.studio.labels, start)
    write_file(out, labels_html(run, bench.studio.units), force)
    problems = [
        remark("label-crowded", f"not all the text of {name!r} fits a label of this size", "use a larger label")
        for name in crowded(run, bench.studio.units)
    ]
    result = {"file": str(out), "labels": len(made), "kind": found, "start": start,
              "page": run.sheet.page, "per_sheet": run.sheet.columns * run.sheet.rows}  # fmt: skip
    text = f"Wrote {out} with {len(made)} label{'' if len(made) == 1 else 's'}"
    problems = [*bench.problems, *problems, *said_of(bench, bench.recipes, cone=cone)]
    finish(Told("labels", [result], text, problems=problems), as_json)


def _tare(studio: object, text: str | None) -> float | None:
    from glazecalc.cli import asked
    from glazecalc.values.inputs import Studio

    assert isinstance(studio, Studio)
    if text is None:
        return None
    if text.strip()[:1].isdigit():
        return asked.mass_g(text, "--tare")
    pot = asked.thing(studio.containers, text, "container", studio)
    if pot.tare_g is None:
        refuse("tare", f"{pot.name} has no tare_g in studio.toml", "weigh it empty, or give --tare 240g")
    return pot.tare_g
