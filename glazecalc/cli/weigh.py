"""``weigh``: a batch sheet for the scale at hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import Told, command, finish, one_of, opened, refuse
from glazecalc.cli.options import AsOption, RecipesArgument, Usual
from glazecalc.values.answers import Problem

if TYPE_CHECKING:
    from glazecalc.jobs.amount import Wanted
    from glazecalc.jobs.bench import Bench
    from glazecalc.values.inputs import Scale
    from glazecalc.values.results.weigh import BucketResult, WeighResult


@command(
    "weigh",
    "recipes/shoal-clear.txt --dry 500g",
    'recipes/lagoon-blue.txt --bucket 3L --cup 31g:185g:131g --add "Red iron oxide:2%"',
    more="Amounts take a unit: g, kg, oz, lb; mL, L, fl oz, pint, quart, gallon (US).",
)
def weigh(
    recipes: RecipesArgument,
    dry: Annotated[
        str | None, typer.Option("--dry", metavar="MASS", help="Dry weight of the whole batch. [default: 500g]")
    ] = None,
    base: Annotated[
        str | None, typer.Option("--base", metavar="MASS", help="Dry weight of the base; additions on top.")
    ] = None,
    slurry: Annotated[str | None, typer.Option("--slurry", metavar="VOLUME", help="Volume of slurry.")] = None,
    pieces: Annotated[
        list[str] | None, typer.Option("--pieces", metavar="NAME:COUNT", help="Pieces of the studio to coat.")
    ] = None,
    fill: Annotated[
        str | None, typer.Option("--fill", metavar="CONTAINER", help="A dip pot of the studio to fill.")
    ] = None,
    piece: Annotated[
        str | None, typer.Option("--piece", metavar="NAME", help="The piece that must go under in it.")
    ] = None,
    bucket: Annotated[
        str | None,
        typer.Option(
            "--bucket", metavar="AMOUNT", help="What is left in a bucket: volume, or weight without the bucket."
        ),
    ] = None,
    add: Annotated[
        list[str] | None,
        typer.Option("--add", metavar="MATERIAL:PERCENT", help="Add to the bucket, percent of its dry content."),
    ] = None,
    to_sg: Annotated[
        float | None, typer.Option("--to-sg", metavar="SG", help="Bring the bucket to this specific gravity.")
    ] = None,
    sg: Annotated[
        float | None,
        typer.Option("--sg", metavar="SG", help="Specific gravity of the slurry. [default: usual for its use]"),
    ] = None,
    cup: Annotated[
        str | None,
        typer.Option(
            "--cup",
            metavar="EMPTY:FULL:WATER",
            help="Specific gravity from a cup weighed empty, full of slurry, full of water (or its volume).",
        ),
    ] = None,
    use: Annotated[str, typer.Option("--use", metavar="dip|spray|brush|cast", help="How the glaze is put on.")] = "dip",
    coat: Annotated[
        str | None, typer.Option("--coat", metavar="LENGTH", help="Thickness of the dry coat. [default: 1mm]")
    ] = None,
    recover: Annotated[
        list[str] | None,
        typer.Option("--recover", metavar="LINE=GRAMS", help="What really went in of a line: 0, 120g, 2x."),
    ] = None,
    scale: Annotated[
        list[str] | None,
        typer.Option("--scale", metavar="STEP[:MOST[:LEAST]]", help="Scale in place of the studio's; twice for two."),
    ] = None,
    tolerance: Annotated[
        str | None,
        typer.Option("--tolerance", metavar="PERCENT", help="How far a line may be off. [default: the studio's]"),
    ] = None,
    shopping: Annotated[
        bool, typer.Option("--shopping", help="One shopping list for all recipes, less stock.csv.")
    ] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print a table, safe to open in a spreadsheet.")] = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> None:
    """Weigh out a batch: every line on your scale, its error, the water, the smallest batch that is good."""
    from glazecalc.cli import asked
    from glazecalc.jobs import requests
    from glazecalc.jobs.weigh import scales_of

    bench = opened(recipes, usual, named)
    for_bucket = [*(add or []), *([str(to_sg)] if to_sg is not None else [])]
    _check_options(usual.as_json, as_csv, bucket, for_bucket, shopping)
    scales, remarks = (asked.scales(scale), ()) if scale else scales_of(bench.studio)
    remarks = (*remarks, *requests.said_of(bench, bench.recipes, scales))
    limit = (
        bench.studio.limits.weighing_tolerance_percent if tolerance is None else asked.percent(tolerance, "--tolerance")
    )
    wanted = _wanted(bench, dry, base, slurry, pieces or [], fill, piece, sg, cup, use, coat, default=bucket is None)
    results: list[WeighResult | BucketResult]
    if bucket is not None:
        results = _buckets(bench, scales, bucket, wanted, add or [], to_sg, limit)
    else:
        results = _batches(bench, scales, wanted, recover or [], limit)
    _leave(bench, scales, results, remarks, shopping, usual.as_json, as_csv)


def _check_options(as_json: bool, as_csv: bool, bucket: str | None, for_bucket: list[str], shopping: bool) -> None:

    if as_json and as_csv:
        refuse("usage", "--json and --csv cannot both be printed", "choose one")
    if for_bucket and bucket is None:
        refuse("usage", "--add and --to-sg go with --bucket", "say what is in the bucket: --bucket 3L")
    if shopping and bucket is not None:
        refuse("usage", "--shopping does not go with --bucket", "choose one")


def _wanted(
    bench: Bench, dry: str | None, base: str | None, slurry: str | None, pieces: list[str], fill: str | None,
    piece: str | None, sg: float | None, cup: str | None, use: str, coat: str | None, *, default: bool,
) -> Wanted:  # fmt: skip
    from glazecalc.cli import asked
    from glazecalc.jobs.amount import USES, Wanted

    use_as = one_of("--use", use, USES)
    nothing = all(x is None for x in (dry, base, slurry, fill)) and not pieces
    studio = bench.studio
    return Wanted(
        dry_g=500.0 if nothing and default else asked.mass_g(dry, "--dry"),
        base_g=asked.mass_g(base, "--base"),
        slurry_mL=asked.volume_mL(slurry, "--slurry"),
        pieces=asked.pieces(pieces, studio),
        pot=None if fill is None else asked.thing(studio.containers, fill, "container", studio),
        dipped=None if piece is None else asked.thing(studio.pieces, piece, "piece", studio),
        gravity=sg,
        cup=asked.cup(cup),
        use=use_as,
        coat_mm=asked.coat_mm(coat),
    )


def _batches(
    bench: Bench, scales: tuple[Scale, ...], wanted: Wanted, recover: list[str], limit: float
) -> list[WeighResult | BucketResult]:
    from glazecalc.cli import asked
    from glazecalc.jobs import requests

    if recover and len(bench.recipes) != 1:
        refuse("usage", "--recover mends one batch", "name one recipe")
    slips = asked.pairs(recover, "--recover", "grams")
    results: list[WeighResult | BucketResult] = []
    for recipe in bench.recipes:
        result, _ = requests.weigh(bench, recipe, wanted, scales=scales, tolerance_percent=limit)
        if slips:
            in_pot = {name: asked.went_in(name, text, result) for name, text in slips}
            result, _ = requests.weigh(bench, recipe, wanted, scales=scales, tolerance_percent=limit, slipped=in_pot)
        results.append(result)
    return results


def _buckets(
    bench: Bench,
    scales: tuple[Scale, ...],
    bucket: str,
    wanted: Wanted,
    add: list[str],
    to_sg: float | None,
    limit: float,
) -> list[WeighResult | BucketResult]:
    from glazecalc.cli import asked
    from glazecalc.jobs.weigh import Bucket, in_bucket

    if wanted.gravity is None and wanted.cup is None:
        hint = "measure it with any cup: --cup EMPTY:FULL:WATER, or give --sg"
        refuse("gravity", "how thick the slurry in the bucket is must be known", hint)
    mass, volume = asked.mass_or_volume(bucket, "--bucket")
    additions = [(name, asked.percent(text, "--add")) for name, text in asked.pairs(add, "--add", "percent")]
    return [
        in_bucket(recipe, bench.pantry, scales, Bucket(volume, mass), wanted, additions, to_gravity=to_sg,
                  tolerance_percent=limit)
        for recipe in bench.recipes
    ]  # fmt: skip


def _leave(
    bench: Bench,
    scales: tuple[Scale, ...],
    results: list[WeighResult | BucketResult],
    remarks: Sequence[Problem],
    shopping: bool,
    as_json: bool,
    as_csv: bool,
) -> None:
    from glazecalc.jobs.amount import shopping_list
    from glazecalc.render.json import for_json
    from glazecalc.render.text import weigh as weigh_text
    from glazecalc.render.words import at_the_scale, csv_text, scale_note
    from glazecalc.values.results.weigh import WeighResult

    asked = bench.studio.units
    units = at_the_scale(asked, [scale.resolution_g for scale in scales])
    batches = [r for r in results if isinstance(r, WeighResult)]
    buckets = [r for r in results if not isinstance(r, WeighResult)]
    listed = shopping_list(batches, bench.studio, bench.pantry) if shopping else None
    told = [*batches, *buckets]
    if listed is not None:
        told[:1] = [{**for_json(told[0]), "shopping": listed}]
    if as_csv and listed is not None:
        text = csv_text(weigh_text.SHOPPING_COLUMNS, weigh_text.shopping_rows(listed))
    elif listed is not None:
        text = weigh_text.shopping_text(listed, asked)
    elif as_csv:
        text = csv_text(weigh_text.WEIGH_COLUMNS, weigh_text.weigh_rows(results))
    else:
        sheets = [weigh_text.weigh_text(r, units) for r in batches] + [
            weigh_text.bucket_text(r, units) for r in buckets
        ]
        text = "\n\n\n".join(sheets)
        text = "\n\n".join(part for part in (scale_note(asked, units), text) if part)
    problems = [*bench.problems, *remarks, *(p for r in results for p in r.problems)]
    finish(Told(command="weigh", results=told, text=text, problems=problems), as_json)
