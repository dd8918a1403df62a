"""What a studio has recorded, as values; nothing where there is no journal."""

from __future__ import annotations

from pathlib import Path

from glazecalc.keep.journal import Journal, journal_exists
from glazecalc.values.records import FiringRecord, TileRecord


def recorded_tiles(folder: Path) -> tuple[TileRecord, ...]:
    """The tiles of a studio folder; none where there is no journal."""
    if not journal_exists(folder):
        return ()
    with Journal(folder) as journal:
        return journal.tiles()


def recorded_firings(folder: Path) -> tuple[FiringRecord, ...]:
    """The firings of a studio folder; none where there is no journal."""
    if not journal_exists(folder):
        return ()
    with Journal(folder) as journal:
        return journal.firings()
