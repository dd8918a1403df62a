"""What a studio has recorded, as values; nothing where there is no journal."""

from __future__ import annotations

from pathlib import Path

from glazecalc.keep import journal_exists
from glazecalc.keep.journal import Journal
from glazecalc.values.inputs import Kiln, Studio
from glazecalc.values.records import FiringRecord, TileRecord


def recorded_tiles(folder: Path) -> tuple[TileRecord, ...]:
    """The tiles of a studio folder; none where there is no journal."""
    if not journal_exists(folder):
        return ()
    with Journal(folder) as journal:
        return journal.tiles()


def firings_of(studio: Studio, kiln: Kiln) -> tuple[FiringRecord, ...]:
    """The firings a studio has recorded of one of its kilns.

    One that names no kiln is taken as its only where the studio has no other.
    """
    own = ("", kiln.name.casefold()) if len(studio.kilns) == 1 else (kiln.name.casefold(),)
    return tuple(f for f in recorded_firings(Path(studio.folder)) if f.kiln.casefold() in own)


def recorded_firings(folder: Path) -> tuple[FiringRecord, ...]:
    """The firings of a studio folder; none where there is no journal."""
    if not journal_exists(folder):
        return ()
    with Journal(folder) as journal:
        return journal.firings()
