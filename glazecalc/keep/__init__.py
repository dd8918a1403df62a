"""Edge in and out: the studio's journal of tiles, firings and batches. Imports ``values`` only."""

from typing import Final

FILE_NAME: Final = "journal.sqlite"
"""The journal's file in a studio folder."""
