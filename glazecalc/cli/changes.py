"""``adjust`` and ``swap``: a recipe changed, and written as a card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from glazecalc.cli.frame import Told, command, opened, stop_on_errors
from glazecalc.cli.options import AsOption, Chosen, ForceOption, FullOption, Text, Texts, Usual, arg, opt
from glazecalc.values.answers import Problem, refuse, remark

if TYPE_CHECKING:
    from glazecalc.values.results.adjust import Option


@dataclass(frozen=True, slots=True)
class Card:
    """Which option is written as a card, and where."""

    output: Annotated[Path | None, opt("--out -o", "FILE", "Write an option as a recipe card.")] = None
    pick: Annotated[int, opt("--pick", "N", "Which option to write.")] = 1
    force: ForceOption = False

    def write(self, options: Sequence[Option]) -> list[Problem]:
        """Write the picked option, counted from 1; says so. Raises ProblemsError if it cannot."""
        from glazecalc.files.writing import write_file
        from glazecalc.render.text.changes import card_text

        if self.output is None:
            return []
        if not options:
            refuse("nothing-to-write", "there is no option to write", "see the answer without -o")
        if not 1 <= self.pick <= len(options):
            refuse("pick", f"there is no option {self.pick}", f"there are {len(options)}, counted from 1")
        write_file(self.output, card_text(options[self.pick - 1].recipe), self.force)
        hint = "plan the proof with: glazecalc tiles OLD NEW --plan line --size 4"
        return [remark("written", f"option {self.pick} is written", hint, str(self.output))]


@command(
    "adjust",
    'recipes/brine-crackle.txt --body "Harbour stoneware"',
    "--target recipes/rock-pool.txt --without Dolomite",
)
def adjust(
    recipe: Annotated[Text, arg("RECIPE", "Recipe card to change; not needed with --target.")] = None,
    target: Annotated[
        Text, opt("--target", "CARD", "Card whose formula is wanted: make a batch of it from the shelf.")
    ] = None,
    where: Chosen = Chosen(),
    use: Annotated[
        Texts, opt("--use", "M", "Material that may be used or moved, though not in stock or kept; repeat it.")
    ] = None,
    without: Annotated[Texts, opt("--without", "M", "Material that must not be used; repeat it.")] = None,
    limit: Annotated[Texts, opt("--limit", "M=PERCENT", "Most of a material in 100 of base; repeat it.")] = None,
    max_materials: Annotated[
        int | None, opt("--max-materials", "N", "Most materials in the base.", min=1, max=30)
    ] = None,
    keep: Annotated[Texts, opt("--keep", "surface|colour", "What to keep before all else; repeat it.")] = None,
    card: Card = Card(),
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> Told:
    """Change a recipe as little as it takes to fit the clay and melt at the cone."""
    from glazecalc.jobs import requests
    from glazecalc.jobs.palette import Wishes
    from glazecalc.render.text.changes import adjust_text, batch_result_text

    if (recipe is None) == (target is None):
        hint = "name a recipe to change, or --target with a card whose formula is wanted"
        refuse("usage", "either a recipe or --target is needed, not both", hint)
    bench = opened([recipe or target or ""], usual, named)
    (meant,), units = bench.recipes, bench.studio.units
    wishes = Wishes(tuple(use or ()), tuple(without or ()), _limits(limit or ()), max_materials)
    if target is not None:
        batch, remarks = requests.batch(bench, meant, wishes=wishes, **where.names())
        options, told = batch.options, Told([batch], batch_result_text(batch, units, full))
    else:
        for word in keep or ():
            if word not in ("surface", "colour"):
                refuse("keep", f"--keep {word!r} is not known", "choose surface or colour")
        result, remarks = requests.adjust(bench, meant, wishes=wishes, keep=tuple(keep or ()), **where.names())
        options, told = result.options, Told([result], adjust_text(result, units, full), result.answer)
    stop_on_errors(remarks, usual.strict)
    return replace(told, problems=[*bench.problems, *remarks, *card.write(options)])


@command(
    "swap",
    'recipes/shoal-clear.txt "Potash feldspar" "Soda feldspar"',
    "recipes/lagoon-blue.txt Dolomite Talc Whiting -o lagoon-without-dolomite.txt",
)
def swap(
    recipe: Annotated[
        str, arg("RECIPE", "Recipe card: a file path, the name of a card in the studio, or - for stdin.", of="recipe")
    ],
    old: Annotated[str, arg("OLD", "Material of the recipe to do without.")],
    new: Annotated[list[str], arg("NEW...", "Materials to take its place.")],
    where: Chosen = Chosen(),
    card: Card = Card(),
    full: FullOption = False,
    named: AsOption = None,
    usual: Usual = Usual(),
) -> Told:
    """Replace a material and keep the fired formula; say what could not be matched and what came along."""
    from glazecalc.jobs import requests
    from glazecalc.render.text.changes import swap_text

    bench = opened([recipe], usual, named)
    result, remarks = requests.swap(bench, bench.recipes[0], old, new, **where.names())
    stop_on_errors(remarks, usual.strict)
    problems = [*bench.problems, *remarks, *card.write(result.options)]
    return Told([result], swap_text(result, bench.studio.units, full), problems=problems)


def _limits(texts: Sequence[str]) -> tuple[tuple[str, float], ...]:
    """``Kaolin=20`` as the material and its most parts in 100 of base. Raises ProblemsError."""
    from glazecalc.cli.asked import percent

    found = []
    for text in texts:
        name, equals, amount = text.rpartition("=")
        if not equals or not name.strip():
            refuse("limit", f"--limit {text!r} is not a limit", 'write --limit "Kaolin=20"')
        found.append((name.strip(), percent(amount, "--limit")))
    return tuple(found)
