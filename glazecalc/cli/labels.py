"""``labels``: labels for buckets, jars and tiles, on the sheet of studio.toml."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import (
    BodyOption,
    ConeOption,
    ForceOption,
    JsonOption,
    RecipesArgument,
    StrictOption,
    StudioOption,
    Told,
    UnitsOption,
    finish,
)
from glazecalc.cli.opening import AsOption, opened

if TYPE_CHECKING:
    from glazecalc.values.results.page import Label


EPILOG = """Examples:

  glazecalc labels recipes/shoal-clear.txt --kind bucket --dry 1500g --sg 1.5 --tare "dip pot" -o bucket.html

  glazecalc labels recipes/lagoon-blue.txt --kind tile --ids L1,L2,L3 --start 7 -o tiles.html

The sheet (columns, rows, sizes, gaps, the printer's offset) is [labels] in studio.toml. Print at 100 %.
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("labels", epilog=EPILOG)(labels)


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
    from glazecalc.values.answers import ProblemsError, error, remark
    from glazecalc.values.results.page import LABEL_KINDS

    found = next((k for k in LABEL_KINDS if k == kind), None)
    if found is None:
        raise ProblemsError(
            [error("kind", f"--kind {kind!r} is not known", f"choose one of: {', '.join(LABEL_KINDS)}")]
        )
    bench = opened(recipes, studio, strict, units, named, as_json)
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
    from glazecalc.values.answers import ProblemsError, error
    from glazecalc.values.inputs import Studio

    assert isinstance(studio, Studio)
    if text is None:
        return None
    if text.strip()[:1].isdigit():
        return asked.mass_g(text, "--tare")
    pot = asked.thing(studio.containers, text, "container", studio)
    if pot.tare_g is None:
        raise ProblemsError(
            [error("tare", f"{pot.name} has no tare_g in studio.toml", "weigh it empty, or give --tare 240g")]
        )
    return pot.tare_g
