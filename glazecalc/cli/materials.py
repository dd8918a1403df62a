"""``materials``: list, show, add and check raw materials."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from glazecalc.cli.frame import ForceOption, JsonOption, Outcome, StudioOption, UnitsOption, finish

EPILOG = """Examples:

  glazecalc materials "nepheline syenite"

  glazecalc materials frit

  glazecalc materials --add delivery-sheet.csv --studio my-studio

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
        typer.Option("--add", metavar="SHEET.csv", help="Add a supplier's analysis to the studio's materials.csv."),
    ] = None,
    alias: Annotated[
        list[str] | None,
        typer.Option("--alias", metavar="NAME=MATERIAL", help="Remember what a word on your cards means."),
    ] = None,
    force: ForceOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the known raw materials, show one, or add a supplier's analysis."""
    from glazecalc.jobs.bench import open_bench
    from glazecalc.jobs.materials import material_facts, what_to_write
    from glazecalc.render.text.materials import holding_text, list_text, material_json, material_text
    from glazecalc.values.answers import ProblemsError, error

    if add is not None:
        _add(add, studio or Path(), force, as_json)
    bench = open_bench((), studio, units=units, needs_studio=False, named=alias or ())
    lost = next((p for p in bench.problems if p.code == "alias-not-kept"), None)
    if lost is not None:
        raise ProblemsError([error("no-studio", "there is no studio to remember it", lost.hint, bench.studio.folder)])
    if alias and name is None:
        text = "\n".join(f"{word} means {meant}" for word, meant in bench.studio.aliases)
        rows = [{"alias": word, "material": meant} for word, meant in bench.studio.aliases]
        finish(Outcome("materials", rows, text, problems=bench.problems), as_json)
    if name is None:
        facts = [material_facts(m) for m in bench.pantry.materials]
        finish(
            Outcome("materials", [material_json(f) for f in facts], list_text(facts), problems=bench.problems), as_json
        )
    found = bench.pantry.find(name)
    if found is None:
        held = [material_facts(m) for m in bench.pantry.holding(name)]
        if not held:
            hint = what_to_write(name, bench.pantry)
            raise ProblemsError([error("unknown-material", f"no material is called {name!r}", hint)])
        text = holding_text(name, held)
        finish(Outcome("materials", [material_json(f) for f in held], text, problems=bench.problems), as_json)
    fact = material_facts(found)
    finish(Outcome("materials", [material_json(fact)], material_text(fact), problems=bench.problems), as_json)


def _add(sheet: Path, folder: Path, force: bool, as_json: bool) -> None:
    from glazecalc.cli.frame import stop_on_errors
    from glazecalc.files.materials import write_materials_row
    from glazecalc.files.supplier_sheet import read_supplier_sheet
    from glazecalc.jobs.materials import material_facts
    from glazecalc.render.text.materials import material_json, material_text

    material, problems = read_supplier_sheet(sheet)
    stop_on_errors(problems)
    assert material is not None
    fact = material_facts(material)
    path = folder / "materials.csv"
    more = write_materials_row(path, material, force=force)
    stop_on_errors((*problems, *more))
    text = f"Added to {path}:\n\n{material_text(fact)}"
    finish(Outcome("materials", [material_json(fact)], text, problems=(*problems, *more)), as_json)
