"""What a file of the studio said before it was written anew: kept in the folder ``earlier``, put back when asked."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from glazecalc.files.writing import one_writer, write_file

FOLDER: Final = "earlier"
_NONE: Final = ".none"
"""Ends the name of what is kept where there was no file before."""


def keep(path: Path) -> None:
    """Keep what ``path`` says now, or that it is not there, under the next free number."""
    number = max((n for n, _ in _kept(path)), default=0) + 1
    place = path.parent / FOLDER / f"{path.name}.{number}"
    if path.is_file():
        write_file(place, path.read_bytes(), force=False)
    else:
        write_file(place.with_name(place.name + _NONE), b"", force=False)


def can_put_back(path: Path) -> bool:
    """Whether anything is kept of a file."""
    return bool(_kept(path))


def put_back(path: Path) -> bool:
    """Undo the last change: the file says again what it said before; whether there was anything to put back.

    A file that was not there before is moved into ``earlier``; nothing is lost.
    """
    with one_writer(path.parent):
        kept = _kept(path)
        if not kept:
            return False
        _, place = kept[-1]
        if not place.name.endswith(_NONE):
            write_file(path, place.read_bytes(), force=True)
        elif path.is_file():
            path.replace(_free(path.parent / FOLDER / f"{path.name}.taken-back"))
        place.unlink()
    return True


def _kept(path: Path) -> list[tuple[int, Path]]:
    """What is kept of a file, the last one last."""
    folder = path.parent / FOLDER
    if not folder.is_dir():
        return []
    form = re.compile(re.escape(path.name) + r"\.([0-9]{1,9})(?:\.none)?")
    return sorted((int(m[1]), place) for place in folder.iterdir() if (m := form.fullmatch(place.name)))


def _free(place: Path) -> Path:
    number, found = 1, place
    while found.exists():
        number += 1
        found = place.with_name(f"{place.name}.{number}")
    return found
