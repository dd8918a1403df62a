"""``adjust`` and ``swap``: a recipe changed, and written as a card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import Told, command, finish, opened, refuse, stop_on_errors
from glazecalc.cli.options import AsOption, Chosen, ForceOption, FullOption, OutputOption, RecipeArgument, Usual
from glazecalc.values.answers import Problem, remark

if TYPE_CHECKING:
    from glazecalc.values.results.adjust import Option

RecipeMaybe = Annotated[
    str | None,
    typer.Argument(metavar="RECIPE", help="Recipe card to change; not needed with --target."),
]
TargetOption = Annotated[
    str | None,
    typer.Option("--target", metavar="CARD", help="Card whose formula is wanted: make a batch of it from the shelf."),
]
UseOption = Annotated[
    list[str] | None,
    typer.Option(
        "--use", metavar="M", help="Material that may be used or moved, though not in stock or kept; repeat it."
    ),
]
WithoutOption = Annotated[
    list[str] | None, typer.Option("--without", metavar="M", help="Material that must not be used; repeat it.")
]
LimitOption = Annotated[
    list[str] | None,
    typer.Option("--limit", metavar="M=PERCENT", help="Most of a material in 100 of base; repeat it."),
]
MostOption = Annotated[
    int | None, typer.Option("--max-materials", min=1, max=30, metavar="N", help="Most materials in the base.")
]
KeepOption = Annotated[
    list[str] | None,
    typer.Option("--keep", metavar="surface|colour", help="What to keep before all else; repeat it."),
]
PickOption = Annotated[int, typer.Option("--pick", metavar="N", help="Which option to write.")]


@command(
    "adjust",
    'recipes/brine-crackle.txt --body "Harbour stoneware"',
    "--target recipes/rock-pool.txt --without Dolomite",
)
def adjust(
    recipe: RecipeMaybe = None,
    target: TargetOption = None,
    where: Chosen = Chosen(),
    use: UseOption = None,
    without: WithoutOption = None,
    limit: LimitOption = None,
    max_materials: MostOption = None,
    keep: KeepOption = None,
    output: OutputOption = None,
    pick: PickOption = 1,
    force: ForceOption = False,
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> None:
    """Change a recipe as little as it takes to fit the clay and melt at the cone."""
    from glazecalc.jobs import requests
    from glazecalc.jobs.palette import Wishes
    from glazecalc.render.text.changes import adjust_text, batch_result_text

    if (recipe is None) == (target is None):
        hint = "name a recipe to change, or --target with a card whose formula is wanted"
        refuse("usage", "either a recipe or --target is needed, not both", hint)
    bench = opened([recipe or target or ""], usual, named)
    card, shown = bench.recipes[0], bench.studio.units
    wishes = Wishes(tuple(use or ()), tuple(without or ()), limits(limit or ()), max_materials)
    if target is not None:
        batch, remarks = requests.batch(bench, card, wishes=wishes, **where.names())
        options = batch.options
        outcome = Told("adjust", [batch], batch_result_text(batch, shown, full))
    else:
        result, remarks = requests.adjust(bench, card, wishes=wishes, keep=_kept(keep), **where.names())
        options = result.options
        outcome = Told("adjust", [result], adjust_text(result, shown, full), answer=result.answer)
    stop_on_errors(remarks, usual.strict)
    written = write_card(options, pick, output, force)
    finish(replace(outcome, problems=[*bench.problems, *remarks, *written]), usual.as_json)


def _kept(words: list[str] | None) -> tuple[str, ...]:

    for word in words or ():
        if word not in ("surface", "colour"):
            refuse("keep", f"--keep {word!r} is not known", "choose surface or colour")
    return tuple(words or ())


@command(
    "swap",
    'recipes/shoal-clear.txt "Potash feldspar" "Soda feldspar"',
    "recipes/lagoon-blue.txt Dolomite Talc Whiting -o lagoon-without-dolomite.txt",
)
def swap(
    recipe: RecipeArgument,
    old: Annotated[str, typer.Argument(metavar="OLD", help="Material of the recipe to do without.")],
    new: Annotated[list[str], typer.Argument(metavar="NEW...", help="Materials to take its place.")],
    where: Chosen = Chosen(),
    output: OutputOption = None,
    pick: PickOption = 1,
    force: ForceOption = False,
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> None:
    """Replace a material and keep the fired formula; say what could not be matched and what came along."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.changes import swap_text

    bench = opened([recipe], usual, named)
    result, remarks = requests.swap(bench, bench.recipes[0], old, new, **where.names())
    stop_on_errors(remarks, usual.strict)
    problems = [*bench.problems, *remarks, *write_card(result.options, pick, output, force)]
    text = swap_text(result, bench.studio.units, full)
    finish(Told("swap", [result], text, problems=problems), usual.as_json)


def limits(texts: Sequence[str]) -> tuple[tuple[str, float], ...]:
    """``Kaolin=20`` as the material and its most parts in 100 of base. Raises ProblemsError."""
    from glazecalc.cli.asked import percent

    found = []
    for text in texts:
        name, equals, amount = text.rpartition("=")
        if not equals or not name.strip():
            refuse("limit", f"--limit {text!r} is not a limit", 'write --limit "Kaolin=20"')
        found.append((name.strip(), percent(amount, "--limit")))
    return tuple(found)


def write_card(options: Sequence[Option], pick: int, path: Path | None, force: bool) -> list[Problem]:
    """Write the picked option, counted from 1, as a recipe card; says so. Raises ProblemsError if it cannot."""
    from glazecalc.files.writing import write_file
    from glazecalc.render.text.changes import card_text

    if path is None:
        return []
    if not options:
        refuse("nothing-to-write", "there is no option to write", "see the answer without -o")
    if not 1 <= pick <= len(options):
        refuse("pick", f"there is no option {pick}", f"there are {len(options)}, counted from 1")
    write_file(path, card_text(options[pick - 1].recipe), force)
    hint = "plan the proof with: glazecalc tiles OLD NEW --plan line --size 4"
    return [remark("written", f"option {pick} is written", hint, str(path))]
