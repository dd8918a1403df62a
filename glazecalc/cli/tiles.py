"""``tiles``: test tiles that teach something, computed before anything is mixed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import Told, command, finish, one_of, opened, refuse
from glazecalc.cli.options import AddOption, AsOption, Chosen, CsvOption, FullOption, RecipesArgument, SizeOption, Usual

if TYPE_CHECKING:
    from glazecalc.jobs.bench import Bench
    from glazecalc.jobs.blending import Addition
    from glazecalc.jobs.tiles import TileOrder


_LEVEL = re.compile(r"\d{1,3}(?:\.\d{1,4})?\s*%?|\.\d{1,4}\s*%?")

PlanOption = Annotated[
    str | None,
    typer.Option(
        "--plan",
        metavar="line|triaxial|square|additions|ladder|grid",
        help="Shape of the plan. [default: by the number of recipes]",
    ),
]
ChooseOption = Annotated[
    int | None, typer.Option("--choose", metavar="N", help="Only the N tiles of the plan that tell most.")
]
ByOption = Annotated[
    str, typer.Option("--by", metavar="dry|volume", help="Blend by dry weight, or by volume of slurry.")
]
GravityOption = Annotated[
    str | None,
    typer.Option("--sg", metavar="SG[:SG...]", help="Specific gravity of the slurries, one or one a corner."),
]
EachOption = Annotated[
    str | None, typer.Option("--each", metavar="MASS", help="Dry glaze to mix for one tile. [default: 50g]")
]
WasteOption = Annotated[
    str | None, typer.Option("--waste", metavar="PERCENT", help="More of each corner for what is lost. [default: 10]")
]
TileOption = Annotated[
    str | None, typer.Option("--tile", metavar="NAME", help="Tile of the studio ([[piece]]). [default: test tile]")
]
SeriesOption = Annotated[str, typer.Option("--series", metavar="LETTER", help="First letter of the tiles' marks.")]
RecordOption = Annotated[
    bool, typer.Option("--record", help="Write the tiles into the studio's journal, which gives them their marks.")
]


@command(
    "tiles",
    "recipes/shoal-clear.txt recipes/brine-crackle.txt --plan line",
    'recipes/shoal-clear.txt --plan additions --add "Copper carbonate:0,1,2,4" --record',
)
def tiles(
    recipes: RecipesArgument,
    plan: PlanOption = None,
    size: SizeOption = None,
    add: AddOption = None,
    choose: ChooseOption = None,
    by: ByOption = "dry",
    sg: GravityOption = None,
    each: EachOption = None,
    waste: WasteOption = None,
    tile: TileOption = None,
    series: SeriesOption = "A",
    record: RecordOption = False,
    where: Chosen = Chosen(),
    as_csv: CsvOption = False,
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> None:
    """Plan test tiles: whole parts, weights, what each should do, where it stands in the kiln."""
    from glazecalc.jobs import requests
    from glazecalc.jobs.weigh import scales_of
    from glazecalc.render.text.tiles import tiles_columns, tiles_rows, tiles_text
    from glazecalc.render.words import at_the_scale, csv_text, scale_note

    if usual.as_json and as_csv:
        refuse("usage", "--json and --csv cannot both be printed", "choose one")
    bench = opened(recipes, usual, named)
    order = tile_order(bench, plan, size, add or [], choose, by, sg, each, waste, tile, series)
    result, remarks = requests.tiles(bench, bench.recipes, order, **where.names(), record=record)
    if as_csv:
        text = csv_text(tiles_columns(result), tiles_rows(result))
    else:
        told = at_the_scale(bench.studio.units, [scale.resolution_g for scale in scales_of(bench.studio)[0]])
        parts = (scale_note(bench.studio.units, told), tiles_text(result, told, full))
        text = "\n\n".join(part for part in parts if part)
    problems = [*bench.problems, *remarks, *result.problems]
    finish(Told(command="tiles", results=[result], text=text, problems=problems), usual.as_json)


def tile_order(
    bench: Bench, plan: str | None, size: str | None, add: list[str], choose: int | None, by: str, sg: str | None,
    each: str | None, waste: str | None, tile: str | None, series: str,
) -> TileOrder:  # fmt: skip
    """What the options ask of a plan. Raises ProblemsError for an option that cannot be read."""
    from glazecalc.cli import asked
    from glazecalc.jobs.tiles import EACH_G, TileOrder
    from glazecalc.values.results.tiles import BLEND_BY

    usual = {1: "additions", 2: "line", 3: "triaxial", 4: "square"}.get(len(bench.recipes), "square")
    blend_by = one_of("--by", by, BLEND_BY)
    if not re.fullmatch(r"[A-Za-z]{1,3}", series):
        refuse("series", f"--series {series!r} is not a letter", "write --series B")
    return TileOrder(
        plan=plan or usual,
        size=None if size is None else _size(size),
        additions=tuple(_addition(text) for text in add),
        by=blend_by,
        gravities=() if sg is None else tuple(_gravity(part) for part in sg.split(":")),
        each_g=asked.mass_g(each, "--each") or EACH_G,
        waste_percent=None if waste is None else asked.percent(waste, "--waste"),
        tile=None if tile is None else asked.thing(bench.studio.pieces, tile, "piece", bench.studio),
        choose=choose,
        series=series.upper(),
    )


def _size(text: str) -> tuple[int, ...]:

    match = re.fullmatch(r"(\d{1,4})(?:\s*[xX]\s*(\d{1,4}))?", text.strip())
    if match is None:
        refuse("size", f"--size {text!r} is not a size", "write --size 6, or --size 4x5")
    return tuple(int(part) for part in match.groups() if part)


def _gravity(text: str) -> float:
    from glazecalc.cli import asked

    value = asked.quantity(f"{text.strip()} g/mL", "density", "g/mL", "--sg")
    assert value is not None
    return value


def _addition(text: str) -> Addition:
    """``Rutile:0,2,4`` or ``Rutile``."""
    from glazecalc.cli import asked
    from glazecalc.jobs.blending import Addition

    name, colon, levels = text.rpartition(":") if ":" in text else (text, "", "")
    parts = [part.strip() for part in levels.split(",") if part.strip()]
    if not name.strip() or (colon and not parts) or not all(_LEVEL.fullmatch(part) for part in parts):
        shown = name.strip() or "Rutile"
        hint = f'write each level, commas between: --add "{shown}:0,0.5,1,2"'
        refuse("levels", f"--add {text!r} is not a material with its levels in percent", hint)
    found = dict.fromkeys(asked.percent(part, "--add") for part in parts)
    return Addition(name.strip(), tuple(sorted(found)))
