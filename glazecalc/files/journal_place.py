"""Edge in and out: the studio's journal of tiles, firings and batches. Imports ``values`` only."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

FILE_NAME: Final = "journal.sqlite"
"""The journal's file in a studio folder."""
OWNER: Final = b"glzj"
"""What marks a file as a journal of ours: SQLite's application id, bytes 68 to 71 of its header (sqlite.org, Database
File Format, 1.3)."""
_SQLITE: Final = b"SQLite format 3\0"
_BESIDE: Final = ("-wal", "-shm", "-journal")


def journal_exists(folder: Path) -> bool:
    """Whether the studio has a journal, be it one that cannot be opened; an empty file, as a full disk leaves behind,
    is none yet."""
    path = folder / FILE_NAME
    try:
        return path.stat().st_size > 0 or not path.is_file()
    except (OSError, ValueError):
        return os.path.lexists(path)


def of_a_journal(path: Path) -> bool:
    """Whether ``path`` is a journal, one of SQLite's files beside it, or where a studio's journal would be.

    Links are followed, and a journal under another name is known by its header. Raises OSError where the system
    refuses to say.
    """
    place = os.path.realpath(path)
    main = next((place.removesuffix(end) for end in _BESIDE if place.endswith(end)), place)
    return os.path.basename(main) == FILE_NAME or _is_ours(place) or (main != place and _is_ours(main))


def _is_ours(place: str) -> bool:
    if not os.path.isfile(place):
        return False
    with open(place, "rb") as stream:
        head = stream.read(72)
    return head.startswith(_SQLITE) and head[68:] == OWNER
