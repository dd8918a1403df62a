"""``weigh``: a batch sheet for the scale at hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from glazecalc.cli.frame import Told, command, one_of, opened
from glazecalc.cli.options import AsOption, CsvOption, RecipesArgument, Text, Texts, Usual, flag, opt
from glazecalc.values.answers import refuse

if TYPE_CHECKING:
    from glazecalc.jobs.amount import Wanted
    from glazecalc.jobs.bench import Bench
    from glazecalc.values.inputs import Scale
    from glazecalc.values.results.weigh import BucketResult, WeighResult


@dataclass(frozen=True, slots=True)
class Batch:
    """How much is wanted, or what is in the bucket; how it is put on, and on which scale it is weighed."""

    dry: Annotated[Text, opt("--dry", "MASS", "Dry weight of the whole batch. [default: 500g]")] = None
    base: Annotated[Text, opt("--base", "MASS", "Dry weight of the base; additions on top.")] = None
    slurry: Annotated[Text, opt("--slurry", "VOLUME", "Volume of slurry.")] = None
    pieces: Annotated[Texts, opt("--pieces", "NAME:COUNT", "Pieces of the studio to coat.")] = None
    fill: Annotated[Text, opt("--fill", "CONTAINER", "A dip pot of the studio to fill.")] = None
    piece: Annotated[Text, opt("--piece", "NAME", "The piece that must go under in it.")] = None
    bucket: Annotated[
        Text, opt("--bucket", "AMOUNT", "What is left in a bucket: volume, or weight without the bucket.")
    ] = None
    add: Annotated[Texts, opt("--add", "MATERIAL:PERCENT", "Add to the bucket, percent of its dry content.")] = None
    to_sg: Annotated[float | None, opt("--to-sg", "SG", "Bring the bucket to this specific gravity.")] = None
    sg: Annotated[float | None, opt("--sg", "SG", "Specific gravity of the slurry. [default: usual for its use]")] = (
        None
    )
    cup: Annotated[
        Text,
        opt(
            "--cup", "EMPTY:FULL:WATER",
            "Specific gravity from a cup weighed empty, full of slurry, full of water (or its volume).",
        ),
    ] = None  # fmt: skip
    use: Annotated[str, opt("--use", "dip|spray|brush|cast", "How the glaze is put on.")] = "dip"
    coat: Annotated[Text, opt("--coat", "LENGTH", "Thickness of the dry coat. [default: 1mm]")] = None
    recover: Annotated[Texts, opt("--recover", "LINE=GRAMS", "What really went in of a line: 0, 120g, 2x.")] = None
    scale: Annotated[Texts, opt("--scale", "STEP[:MOST[:LEAST]]", "Scale in place of the studio's; twice for two.")] = (
        None
    )
    tolerance: Annotated[Text, opt("--tolerance", "PERCENT", "How far a line may be off. [default: the studio's]")] = (
        None
    )
    shopping: Annotated[bool, flag("--shopping", "One shopping list for all recipes, less stock.csv.")] = False


@command(
    "weigh",
    "recipes/shoal-clear.txt --dry 500g",
    'recipes/lagoon-blue.txt --bucket 3L --cup 31g:185g:131g --add "Red iron oxide:2%"',
    more="Amounts take a unit: g, kg, oz, lb; mL, L, fl oz, pint, quart, gallon (US).",
)
def weigh(
    recipes: RecipesArgument,
    batch: Batch = Batch(),
    as_csv: CsvOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> Told:
    """Weigh out a batch: every line on your scale, its error, the water, the smallest batch that is good."""
    from glazecalc.cli import asked
    from glazecalc.jobs import requests
    from glazecalc.jobs.weigh import scales_of

    bench = opened(recipes, usual, named)
    if usual.as_json and as_csv:
        refuse("usage", "--json and --csv cannot both be printed", "choose one")
    if (batch.add or batch.to_sg is not None) and batch.bucket is None:
        refuse("usage", "--add and --to-sg go with --bucket", "say what is in the bucket: --bucket 3L")
    if batch.shopping and batch.bucket is not None:
        refuse("usage", "--shopping does not go with --bucket", "choose one")
    scales, remarks = (asked.scales(batch.scale), ()) if batch.scale else scales_of(bench.studio)
    remarks = (*remarks, *requests.said_of(bench, bench.recipes, scales))
    usual_limit = bench.studio.limits.weighing_tolerance_percent
    limit = usual_limit if batch.tolerance is None else asked.percent(batch.tolerance, "--tolerance")
    wanted = _wanted(bench, batch)
    results = (_batches if batch.bucket is None else _buckets)(bench, batch, wanted, scales, limit)
    rows, text = _shown(bench, scales, results, batch.shopping, as_csv)
    return Told(rows, text, problems=[*bench.problems, *remarks, *(p for r in results for p in r.problems)])


def _wanted(bench: Bench, batch: Batch) -> Wanted:
    """What the options want. Raises ProblemsError for one that cannot be read."""
    from glazecalc.cli import asked
    from glazecalc.jobs.amount import USES, Wanted

    studio, fill, piece = bench.studio, batch.fill, batch.piece
    use = one_of("--use", batch.use, USES)
    nothing = all(x is None for x in (batch.dry, batch.base, batch.slurry, fill, batch.bucket)) and not batch.pieces
    return Wanted(
        dry_g=500.0 if nothing else asked.mass_g(batch.dry, "--dry"),
        base_g=asked.mass_g(batch.base, "--base"),
        slurry_mL=asked.volume_mL(batch.slurry, "--slurry"),
        pieces=asked.pieces(batch.pieces or (), studio),
        pot=None if fill is None else asked.thing(studio.containers, fill, "container", studio),
        dipped=None if piece is None else asked.thing(studio.pieces, piece, "piece", studio),
        gravity=batch.sg,
        cup=asked.cup(batch.cup),
        use=use,
        coat_mm=asked.coat_mm(batch.coat),
    )


def _batches(
    bench: Bench, batch: Batch, wanted: Wanted, scales: tuple[Scale, ...], limit: float
) -> Sequence[WeighResult | BucketResult]:
    from glazecalc.cli import asked
    from glazecalc.jobs import requests

    if batch.recover and len(bench.recipes) != 1:
        refuse("usage", "--recover mends one batch", "name one recipe")
    slips = asked.pairs(batch.recover or (), "--recover", "grams")
    results = []
    for recipe in bench.recipes:
        result, _ = requests.weigh(bench, recipe, wanted, scales=scales, tolerance_percent=limit)
        if slips:
            in_pot = {name: asked.went_in(name, text, result) for name, text in slips}
            result, _ = requests.weigh(bench, recipe, wanted, scales=scales, tolerance_percent=limit, slipped=in_pot)
        results.append(result)
    return results


def _buckets(
    bench: Bench, batch: Batch, wanted: Wanted, scales: tuple[Scale, ...], limit: float
) -> Sequence[WeighResult | BucketResult]:
    from glazecalc.cli import asked
    from glazecalc.jobs.weigh import Bucket, in_bucket

    if wanted.gravity is None and wanted.cup is None:
        hint = "measure it with any cup: --cup EMPTY:FULL:WATER, or give --sg"
        refuse("gravity", "how thick the slurry in the bucket is must be known", hint)
    mass, volume = asked.mass_or_volume(batch.bucket or "", "--bucket")
    additions = [(n, asked.percent(text, "--add")) for n, text in asked.pairs(batch.add or (), "--add", "percent")]
    return [
        in_bucket(recipe, bench.pantry, scales, Bucket(volume, mass), wanted, additions, to_gravity=batch.to_sg,
                  tolerance_percent=limit)
        for recipe in bench.recipes
    ]  # fmt: skip


def _shown(
    bench: Bench, scales: Sequence[Scale], results: Sequence[WeighResult | BucketResult], shopping: bool, as_csv: bool
) -> tuple[list[object], str]:
    """The results for JSON, and their text: sheets, a shopping list, or a table of either."""
    from glazecalc.jobs.amount import shopping_list
    from glazecalc.render.json import for_json
    from glazecalc.render.text import weigh as text
    from glazecalc.render.words import at_the_scale, csv_text, scale_note
    from glazecalc.values.results.weigh import WeighResult

    batches = [r for r in results if isinstance(r, WeighResult)]
    if shopping:
        to_buy = shopping_list(batches, bench.studio, bench.pantry)
        rows: list[object] = [{**for_json(batches[0]), "shopping": to_buy}, *batches[1:]]
        if as_csv:
            return rows, csv_text(text.SHOPPING_COLUMNS, text.shopping_rows(to_buy))
        return rows, text.shopping_text(to_buy, bench.studio.units)
    if as_csv:
        return [*results], csv_text(text.WEIGH_COLUMNS, text.weigh_rows(results))
    units = at_the_scale(bench.studio.units, [scale.resolution_g for scale in scales])
    sheets = [text.weigh_text(r, units) if isinstance(r, WeighResult) else text.bucket_text(r, units) for r in results]
    return [*results], "\n\n".join(filter(None, (scale_note(bench.studio.units, units), "\n\n\n".join(sheets))))
