"""A few tiles from the old recipe to the new, so that a bucket is changed on evidence."""

from __future__ import annotations

from typing import Final

import numpy as np

from glazecalc.jobs.aim import Aim
from glazecalc.values.arrays import Array
from glazecalc.values.results.adjust import Proof, ProofTile

TILES: Final = 4
"""Tiles of a proof line, both ends included."""


def proof_line(aim: Aim, old: Array, new: Array) -> Proof:
    """A line blend by dry weight from the amounts ``old`` (m,) to ``new`` (m,), with each tile's chances."""
    parts = np.arange(TILES)
    share = (parts / (TILES - 1))[:, None]
    forecast = aim.forecast((1 - share) * old + share * new)
    tiles = tuple(
        ProofTile(
            id=chr(ord("A") + i), old_parts=TILES - 1 - i, new_parts=i,
            sound_probability=float(forecast.sound[i]) if aim.goals.fit else None,
            matures_probability=float(forecast.matures[i]) if aim.goals.melt else None,
        )
        for i in range(TILES)
    )  # fmt: skip
    sentence = (
        f"Prove it with {TILES} tiles on your clay before you change a bucket: mix 100 g of the old and 100 g of the "
        "new, blend them as below, fire them together, then shock them hot and cold."
    )
    return Proof(tiles, sentence)
