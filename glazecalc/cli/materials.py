"""``materials``: list, show, add and check raw materials."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from glazecalc.cli.frame import ForceOption, JsonOption, StudioOption, Told, UnitsOption, finish

EPILOG = """Examples:

  glazecalc materials "nepheline syenite"

  glazecalc materials frit

  glazecalc materials --add delivery-sheet.csv --studio my-studio

  glazecalc materials --stock "Silica=3.2kg" --studio my-studio

  glazecalc materials --alias "old spar=Potash feldspar" --studio my-studio
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("materials", epilog=EPILOG)(materials)


def materials(
    name: Annotated[
        str | None,
        typer.Argument(metavar="[NAME]", help="Material to show, or words to look for; all are listed without it."),
    ] = None,
    add: Annotated[
        Path | None,
        typer.Option("--add", metavar="SHEET.csv", help="Add a supplier's analyses to the studio's materials.csv."),
    ] = None,
    remove: Annotated[
        str | None, typer.Option("--remove", metavar="NAME", help="Take an own material out of materials.csv.")
    ] = None,
    rename: Annotated[
        str | None,
        typer.Option("--rename", metavar="OLD=NEW", help="Rename an own material; cards still read the old name."),
    ] = None,
    stock: Annotated[
        list[str] | None,
        typer.Option(
            "--stock",
            metavar="NAME=MASS",
            help='What stands on the shelf: 3.2kg; "NAME=?" is there, "NAME=" takes it off. Repeat it.',
        ),
    ] = None,
    undo: Annotated[
        bool, typer.Option("--undo", help="Put materials.csv and stock.csv back as before the last change.")
    ] = False,
    alias: Annotated[
        list[str] | None,
        typer.Option("--alias", metavar="NAME=MATERIAL", help="Remember what a word on your cards means."),
    ] = None,
    force: ForceOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the known raw materials, show one; add, rename or remove your own; write down your stock."""
    from glazecalc.cli import own_materials as own
    from glazecalc.jobs.bench import open_bench
    from glazecalc.jobs.materials import material_facts, what_to_write
    from glazecalc.render.text.materials import holding_text, list_text, material_text
    from glazecalc.values.answers import ProblemsError, error

    folder = studio or Path()
    if sum((add is not None, remove is not None, rename is not None, bool(stock), undo)) > 1:
        raise ProblemsError([error("usage", "one change at a time: --add, --remove, --rename, --stock or --undo", "")])
    if add is not None:
        finish(own.added(add, folder, force), as_json)
    if remove is not None:
        finish(own.removed(folder, remove), as_json)
    if rename is not None:
        finish(own.renamed(folder, rename), as_json)
    if stock:
        finish(own.stocked(folder, stock), as_json)
    if undo:
        finish(own.undone(folder), as_json)
    bench = open_bench((), studio, units=units, needs_studio=False, named=alias or ())
    lost = next((p for p in bench.problems if p.code == "alias-not-kept"), None)
    if lost is not None:
        raise ProblemsError([error("no-studio", "there is no studio to remember it", lost.hint, bench.studio.folder)])
    if alias and name is None:
        text = "\n".join(f"{word} means {meant}" for word, meant in bench.studio.aliases)
        rows = [{"alias": word, "material": meant} for word, meant in bench.studio.aliases]
        finish(Told("materials", rows, text, problems=bench.problems), as_json)
    if name is None:
        facts = [material_facts(m) for m in bench.pantry.materials]
        finish(Told("materials", facts, list_text(facts), problems=bench.problems), as_json)
    found = bench.pantry.find(name)
    if found is None:
        held = [material_facts(m) for m in bench.pantry.holding(name)]
        if not held:
            hint = what_to_write(name, bench.pantry)
            raise ProblemsError([error("unknown-material", f"no material is called {name!r}", hint)])
        text = holding_text(name, held)
        finish(Told("materials", held, text, problems=bench.problems), as_json)
    fact = material_facts(found)
    finish(Told("materials", [fact], material_text(fact), problems=bench.problems), as_json)
