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
    from glazecalc.values.data import data_root
    from glazecalc.values.problem import ProblemsError, error

    source = data_root() / "recipes"
    files = sorted(p for p in source.iterdir() if p.suffix in (".toml", ".csv") or (p.suffix == ".txt" and not bare))
    there = [p.name for p in files if (folder / p.name).exists()]
    if folder.exists() and not folder.is_dir():
        raise ProblemsError([error("not-a-folder", "that is a file", "name a new folder", str(folder))])
    if there and not force:
        names = ", ".join(there[:4]) + (" ..." if len(there) > 4 else "")
        raise ProblemsError([error("exists", f"already there: {names}", "--force replaces them", str(folder))])
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path in files:
            (folder / path.name).write_bytes(path.read_bytes())
    except OSError as exc:
        raise ProblemsError([error("cannot-write", exc.strerror or str(exc), file=str(folder))]) from None
    card = "" if bare else f"\nThen try:\n  glazecalc check {folder / 'shoal-clear.txt'}"
    text = (
        f"Made {folder} with {len(files)} files. The studio and its recipes are invented for the demo:\n"
        f"put your own clay, kiln, circuit and scale into {folder / 'studio.toml'}.{card}"
    )
    finish(Outcome("start", [{"folder": str(folder), "files": [p.name for p in files]}], text), as_json)
