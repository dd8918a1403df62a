"""``record`` and ``journal``: write down tiles, firings and batches, and read them again."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from glazecalc.cli.frame import BodyOption, JsonOption, StudioOption, finish

EPILOG = """Examples:

  glazecalc journal --kind tile --body "Harbour stoneware"

  glazecalc journal --undo

  glazecalc journal --export journal.csv
"""


def register(app: typer.Typer) -> None:
    """Add the commands to ``app``."""
    from glazecalc.cli.record import record

    app.add_typer(record, name="record")
    app.command("journal", epilog=EPILOG)(journal)


def journal(
    entry: Annotated[str | None, typer.Argument(metavar="[ID]", help="Show this entry with its earlier forms.")] = None,
    kind: Annotated[
        str | None, typer.Option("--kind", metavar="tile|firing|batch", help="Only entries of this kind.")
    ] = None,
    body: BodyOption = None,
    glaze: Annotated[
        str | None, typer.Option("--glaze", metavar="WORD", help="Only glazes with this word in the name.")
    ] = None,
    result: Annotated[str | None, typer.Option("--result", metavar="WORD", help="Only tiles with this result.")] = None,
    since: Annotated[
        str | None, typer.Option("--since", metavar="DATE", help="Only from this day on: 2026-03-31.")
    ] = None,
    withdrawn: Annotated[bool, typer.Option("--withdrawn", help="The entries that were taken back.")] = False,
    history: Annotated[bool, typer.Option("--history", help="What was done, act by act, the last one last.")] = False,
    undo: Annotated[
        bool, typer.Option("--undo", help="Take back what was written last; again: the one before that.")
    ] = False,
    redo: Annotated[bool, typer.Option("--redo", help="Do again what was undone last.")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print the entries as CSV, safe for a spreadsheet.")] = False,
    export: Annotated[Path | None, typer.Option("--export", metavar="FILE.csv", help="Save the whole journal.")] = None,
    bring: Annotated[Path | None, typer.Option("--import", metavar="FILE.csv", help="Take in a saved journal.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is already there.")] = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """List what was recorded, show one entry, undo, or save and restore the whole journal."""
    from glazecalc.cli.notebook import (
        EntriesWanted,
        export_csv,
        import_csv,
        listed,
        pick_entries,
        print_csv,
        shown,
        told_acts,
        turned_back,
    )
    from glazecalc.values.answers import ProblemsError, error

    folder = studio or Path()
    if sum((undo, redo, history, export is not None, bring is not None, entry is not None)) > 1:
        hint = "one entry is taken back with: glazecalc record tile --id AAC --withdraw"
        raise ProblemsError([error("usage", "these options do not go together", hint)])
    if undo or redo:
        finish(turned_back(folder, again=redo), as_json)
    if history:
        finish(told_acts(folder), as_json)
    if export is not None:
        finish(export_csv(folder, export, force), as_json)
    if bring is not None:
        finish(import_csv(folder, bring), as_json)
    if entry is not None:
        finish(shown(folder, entry, kind), as_json)
    wanted = EntriesWanted(kind, body, glaze, result, since, withdrawn)
    entries = pick_entries(folder, wanted)
    if as_csv and not as_json:
        print_csv(entries)
        raise typer.Exit
    finish(listed(entries, wanted, folder), as_json)
