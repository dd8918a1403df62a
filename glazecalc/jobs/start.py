"""Makes a studio folder to edit, from the shipped demo studio."""

from __future__ import annotations

from pathlib import Path

from glazecalc.files.writing import taken, write_file
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.data import data_root


def start_studio(folder: Path, *, bare: bool = False, force: bool = False) -> tuple[str, ...]:
    """Copy the demo studio into ``folder``; the names of the files written. ``bare`` leaves the recipe cards out.

    Raises
    ------
    ProblemsError
        if a file would be overwritten without ``force``, or the folder cannot be written.
    """
    source = data_root() / "recipes"
    files = sorted(p for p in source.iterdir() if p.suffix in (".toml", ".csv") or (p.suffix == ".txt" and not bare))
    try:
        if taken(folder) and not folder.is_dir():
            what = "that is a file" if folder.exists() else "a link that leads nowhere stands there"
            raise ProblemsError([error("not-a-folder", what, "name a new folder", str(folder))])
        there = [p.name for p in files if taken(folder / p.name)]
        if there and not force:
            names = ", ".join(there[:4]) + (" ..." if len(there) > 4 else "")
            raise ProblemsError([error("exists", f"already there: {names}", "--force replaces them", str(folder))])
        folder.mkdir(parents=True, exist_ok=True)
        for path in files:
            write_file(folder / path.name, path.read_bytes(), force)
    except (OSError, ValueError) as exc:
        said = exc.strerror if isinstance(exc, OSError) and exc.strerror else str(exc)
        raise ProblemsError([error("cannot-write", said, file=str(folder))]) from None
    return tuple(p.name for p in files)
