"""``start``: a demo studio to edit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from glazecalc.cli.frame import ForceOption, JsonOption, Outcome, finish

EPILOG = """Examples:

  glazecalc start my-studio

  glazecalc start my-studio --bare
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("start", epilog=EPILOG)(start)


def start(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make; it may exist already.")],
    bare: Annotated[bool, typer.Option("--bare", help="Only studio.toml and materials.csv, no demo recipes.")] = False,
    force: ForceOption = False,
    as_json: JsonOption = False,
) -> None:
    """Make a studio folder to edit: studio.toml, materials.csv and demo recipe cards."""
    from glazecalc.jobs.start import start_studio

    files = start_studio(folder, bare=bare, force=force)
    card = "" if bare else f"\nThen try:\n  glazecalc check {folder / 'shoal-clear.txt'}"
    text = (
        f"Made {folder} with {len(files)} files. The studio and its recipes are invented for the demo:\n"
        f"put your own clay, kiln, circuit and scale into {folder / 'studio.toml'}, your own materials\n"
        f"into materials.csv{'' if bare else ', and what stands on your shelf into stock.csv'}.{card}"
    )
    finish(Outcome("start", [{"folder": str(folder), "files": list(files)}], text), as_json)
