"""``tiles``: test tiles that teach something, computed before anything is mixed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from glazecalc.cli.frame import Told, command, one_of, opened
from glazecalc.cli.options import (
    AddOption,
    AsOption,
    Chosen,
    CsvOption,
    FullOption,
    RecipesArgument,
    SizeOption,
    Text,
    Usual,
    flag,
    opt,
)
from glazecalc.values.answers import refuse

if TYPE_CHECKING:
    from glazecalc.jobs.bench import Bench
    from glazecalc.jobs.blending import Addition
    from glazecalc.jobs.tiles import TileOrder

_LEVEL = re.compile(r"\d{1,3}(?:\.\d{1,4})?\s*%?|\.\d{1,4}\s*%?")


@dataclass(frozen=True, slots=True)
class Plan:
    """What is asked of a plan of tiles."""

    plan: Annotated[
        Text,
        opt(
            "--plan", "line|triaxial|square|additions|ladder|grid",
            "Shape of the plan. [default: by the number of recipes]",
        ),
    ] = None  # fmt: skip
    size: SizeOption = None
    add: AddOption = None
    choose: Annotated[int | None, opt("--choose", "N", "Only the N tiles of the plan that tell most.")] = None
    by: Annotated[str, opt("--by", "dry|volume", "Blend by dry weight, or by volume of slurry.")] = "dry"
    sg: Annotated[Text, opt("--sg", "SG[:SG...]", "Specific gravity of the slurries, one or one a corner.")] = None
    each: Annotated[Text, opt("--each", "MASS", "Dry glaze to mix for one tile. [default: 50g]")] = None
    waste: Annotated[Text, opt("--waste", "PERCENT", "More of each corner for what is lost. [default: 10]")] = None
    tile: Annotated[Text, opt("--tile", "NAME", "Tile of the studio ([[piece]]). [default: test tile]")] = None
    series: Annotated[str, opt("--series", "LETTER", "First letter of the tiles' marks.")] = "A"


@command(
    "tiles",
    "recipes/shoal-clear.txt recipes/brine-crackle.txt --plan line",
    'recipes/shoal-clear.txt --plan additions --add "Copper carbonate:0,1,2,4" --record',
)
def tiles(
    recipes: RecipesArgument,
    plan: Plan = Plan(),
    record: Annotated[
        bool, flag("--record", "Write the tiles into the studio's journal, which gives them their marks.")
    ] = False,
    where: Chosen = Chosen(),
    as_csv: CsvOption = False,
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> Told:
    """Plan test tiles: whole parts, weights, what each should do, where it stands in the kiln."""
    from glazecalc.jobs import requests
    from glazecalc.jobs.weigh import scales_of
    from glazecalc.render.text.tiles import tiles_columns, tiles_rows, tiles_text
    from glazecalc.render.words import at_the_scale, csv_text, scale_note

    if usual.as_json and as_csv:
        refuse("usage", "--json and --csv cannot both be printed", "choose one")
    bench = opened(recipes, usual, named)
    result, remarks = requests.tiles(bench, bench.recipes, tile_order(bench, plan), **where.names(), record=record)
    if as_csv:
        text = csv_text(tiles_columns(result), tiles_rows(result))
    else:
        units = at_the_scale(bench.studio.units, [scale.resolution_g for scale in scales_of(bench.studio)[0]])
        text = "\n\n".join(filter(None, (scale_note(bench.studio.units, units), tiles_text(result, units, full))))
    return Told([result], text, problems=[*bench.problems, *remarks, *result.problems])


def tile_order(bench: Bench, plan: Plan) -> TileOrder:
    """What the options ask of a plan. Raises ProblemsError for an option that cannot be read."""
    from glazecalc.cli import asked
    from glazecalc.jobs.tiles import EACH_G, TileOrder
    from glazecalc.values.results.tiles import BLEND_BY

    usual = {1: "additions", 2: "line", 3: "triaxial", 4: "square"}.get(len(bench.recipes), "square")
    blend_by = one_of("--by", plan.by, BLEND_BY)
    if not re.fullmatch(r"[A-Za-z]{1,3}", plan.series):
        refuse("series", f"--series {plan.series!r} is not a letter", "write --series B")
    return TileOrder(
        plan=plan.plan or usual,
        size=None if plan.size is None else _size(plan.size),
        additions=tuple(_addition(text) for text in plan.add or ()),
        by=blend_by,
        gravities=() if plan.sg is None else tuple(_gravity(part) for part in plan.sg.split(":")),
        each_g=asked.mass_g(plan.each, "--each") or EACH_G,
        waste_percent=None if plan.waste is None else asked.percent(plan.waste, "--waste"),
        tile=None if plan.tile is None else asked.thing(bench.studio.pieces, plan.tile, "piece", bench.studio),
        choose=plan.choose,
        series=plan.series.upper(),
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
