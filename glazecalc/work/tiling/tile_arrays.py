"""What to expect of every tile of a blend, or of a hundred thousand of them, as arrays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.blends import Array, Parts
from glazecalc.chemistry.unity import CONVENTIONS, unity
from glazecalc.work.changing.outlook import outlook_of
from glazecalc.work.setting import Setting
from glazecalc.work.tiling.blending import Blend

AT_A_TIME: Final = 10_000
"""Tiles estimated together: keeps the memory small and the caches warm."""


@dataclass(frozen=True, slots=True)
class TileArrays:
    """Figures of n tiles.

    ``unity`` (n, k); ``expansion`` [1e-6/K]; the chances of crazing, shivering, soundness and maturing at the cone
    [fraction], each (n,). ``known`` says whether the models know the ground.
    """

    unity: Array
    expansion: Array
    crazes: Array
    shivers: Array
    sound: Array
    matures: Array
    known: NDArray[np.bool_]


def tile_arrays(blend: Blend, parts: Array | Parts, setting: Setting) -> TileArrays:
    """The figures of tiles of these ``parts`` (n, c)."""
    look = outlook_of(setting, blend.composition(parts[:1]))
    pieces = []
    for start in range(0, len(parts), AT_A_TIME):
        composition = blend.composition(parts[start : start + AT_A_TIME])
        found = look(composition)
        formula = unity(composition.moles, CONVENTIONS["customary"])
        chances = (found.crazes, found.shivers, found.sound, found.matures)
        pieces.append((formula, found.expansion, *chances, found.known))
    return TileArrays(*(np.concatenate(column) for column in zip(*pieces, strict=True)))
