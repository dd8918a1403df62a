"""``report`` and ``labels``: pages to print."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from glazecalc.cli.frame import Told, command, one_of, opened
from glazecalc.cli.options import (
    AddOption,
    AsOption,
    BodyOption,
    Chosen,
    ConeOption,
    RecipesArgument,
    SizeOption,
    Text,
    Texts,
    Writing,
    arg,
    flag,
    opt,
)
from glazecalc.values.answers import refuse, remark, worst

if TYPE_CHECKING:
    from glazecalc.values.inputs import Studio
    from glazecalc.values.results.page import Label


@dataclass(frozen=True, slots=True)
class Order:
    """Which pages are made, and what stands on them."""

    out: Annotated[
        Path | None, opt("--out -o", "FILE|DIR", "Page to write; a folder for several recipes or --all.")
    ] = None
    every: Annotated[bool, flag("--all", "Every card of the studio, with an index page.")] = False
    figures: Annotated[Path | None, opt("--figures", "DIR", "Write the pictures too, as SVG and PNG.")] = None
    pdf: Annotated[bool, flag("--pdf", "Print each page to PDF beside it, if a browser is found.")] = False
    plan: Annotated[
        Text,
        opt("--plan", "line|triaxial|square|additions|ladder", "Add test tiles: one page, of the first recipe."),
    ] = None
    size: SizeOption = None
    add: AddOption = None
    dry: Annotated[str, opt("--dry", "MASS", "Dry weight of the batch sheet.")] = "500g"


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
        Texts, arg("[RECIPE...]", "Recipe cards: file paths, names of cards in the studio, or - for stdin.")
    ] = None,
    order: Order = Order(),
    where: Chosen = Chosen(),
    named: AsOption = None,
    usual: Writing = Writing(),
) -> Told:
    """Make a page to print and hang above the bench: answer, formula, fit, firing, batch sheet, cautions."""
    from glazecalc.cli.pages import write_pages
    from glazecalc.jobs.bench import card_names, studio_folder
    from glazecalc.render.json import for_json

    names = list(recipes or [])
    if order.every and (order.plan or order.size or order.add):
        refuse("usage", "--plan goes with named recipes, not with --all")
    if bool(names) == order.every:
        refuse("usage", "name recipes, or ask for --all", "glazecalc report RECIPE -o FILE.html")
    if order.every:
        names = card_names(studio_folder([], usual.studio))
        usual = replace(usual, studio=usual.studio or Path())
    if not names:
        refuse("no-recipe", "this studio has no recipe cards", file=str(usual.studio))
    bench = opened(() if order.every else names, usual, named)
    written = write_pages(bench, names, order, where, usual)
    return Told(
        [
            {**for_json(page.check), "files": [str(path) for path in files], "pictures": len(page.pictures)}
            for page, files in written.pages
        ],
        "\n".join(f"Wrote {path}" for path in written.files),
        None if order.every else worst(page.check.answer for page, _ in written.pages),
        [*bench.problems, *written.problems],
    )


@command(
    "labels",
    'recipes/shoal-clear.txt --kind bucket --dry 1500g --sg 1.5 --tare "dip pot" -o bucket.html',
    "recipes/lagoon-blue.txt --kind tile --ids L1,L2,L3 --start 7 -o tiles.html",
    more="The sheet (columns, rows, sizes, gaps, the printer's offset) is [labels] in studio.toml. Print at 100 %.",
)
def labels(
    recipes: RecipesArgument,
    out: Annotated[Path, opt("--out -o", "FILE", "Page to write.")] = Path("labels.html"),
    kind: Annotated[str, opt("--kind", "bucket|jar|tile", "What the label goes on.")] = "bucket",
    start: Annotated[int, opt("--start", "N", "First free place on a part-used sheet, counted row by row.")] = 1,
    copies: Annotated[int, opt("--copies", "N", "Labels of each recipe.", min=1, max=1000)] = 1,
    ids: Annotated[str, opt("--ids", "A,B,...", "One label for each of these marks.")] = "",
    date: Annotated[Text, opt("--date", "TEXT", "Date to print. [default: today]")] = None,
    density: Annotated[
        float | None, opt("--sg", "SG", "Specific gravity to stir the slurry to.", min=1, max=3.5)
    ] = None,
    dry: Annotated[Text, opt("--dry", "MASS", "Dry glaze in the bucket.")] = None,
    tare: Annotated[
        Text, opt("--tare", "MASS|CONTAINER", "Weight of the empty bucket, or a container of the studio.")
    ] = None,
    body: BodyOption = None,
    cone: ConeOption = None,
    named: AsOption = None,
    usual: Writing = Writing(),
) -> Told:
    """Print labels: name, mark, cone, date, specific gravity, dry grams, the bucket's own weight, hazards."""
    from glazecalc.cli import asked
    from glazecalc.cli.pages import today
    from glazecalc.files.writing import write_file
    from glazecalc.jobs.labels import label_run, make_labels
    from glazecalc.jobs.requests import said_of
    from glazecalc.jobs.setup import setup_for
    from glazecalc.render.labels import crowded, labels_html
    from glazecalc.values.results.page import LABEL_KINDS

    meant = one_of("--kind", kind, LABEL_KINDS)
    bench = opened(recipes, usual, named)
    made: list[Label] = []
    for recipe in bench.recipes:
        setup = setup_for(bench.studio, recipe, body=body, cone=cone)
        made += make_labels(
            recipe, bench.pantry, meant, ids=[i.strip() for i in ids.split(",") if i.strip()], copies=copies,
            cone=str(setup.cone or ""), date=today() if date is None else date, density=density,
            body=setup.body.name if setup.body and meant == "tile" else "",
            dry_g=asked.mass_g(dry, "--dry"), tare_g=_tare(bench.studio, tare),
        )  # fmt: skip
    run = label_run(made, bench.studio.labels, start)
    write_file(out, labels_html(run, bench.studio.units), usual.force)
    problems = [
        remark("label-crowded", f"not all the text of {name!r} fits a label of this size", "use a larger label")
        for name in crowded(run, bench.studio.units)
    ]
    result = {"file": str(out), "labels": len(made), "kind": meant, "start": start,
              "page": run.sheet.page, "per_sheet": run.sheet.columns * run.sheet.rows}  # fmt: skip
    text = f"Wrote {out} with {len(made)} label{'' if len(made) == 1 else 's'}"
    return Told([result], text, problems=[*bench.problems, *problems, *said_of(bench, bench.recipes, cone=cone)])


def _tare(studio: Studio, text: str | None) -> float | None:
    from glazecalc.cli import asked

    if text is None or text.strip()[:1].isdigit():
        return asked.mass_g(text, "--tare")
    pot = asked.thing(studio.containers, text, "container", studio)
    if pot.tare_g is None:
        refuse("tare", f"{pot.name} has no tare_g in studio.toml", "weigh it empty, or give --tare 240g")
    return pot.tare_g
