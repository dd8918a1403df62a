"""Records that the tests of the journal share."""

from __future__ import annotations

import pytest

from glazecalc.values.answers import ProblemsError
from glazecalc.values.records import (
    BatchRecord,
    FiringRecord,
    FrozenLine,
    FrozenRecipe,
    Reading,
    TileRecord,
    TileResult,
    WitnessCone,
)

RECIPE = FrozenRecipe(
    "Shoal clear", "glaze", "6", (FrozenLine("Whiting", 16.0), FrozenLine("Red iron oxide", 2.0, True)),
    (("SiO2", 0.7), ("CaO", 0.3)),
)  # fmt: skip
TILE = TileRecord(recipe=RECIPE, body="Pale", results=(TileResult.SOUND, TileResult.PINHOLED), thickness_mm=0.3)
FIRING = FiringRecord(
    kiln="Shed", cones=(WitnessCone("5", "down"), WitnessCone("6", "half")), readings=(Reading(1.0, 300.0),), hours=7.5
)
BATCH = BatchRecord(recipe=RECIPE, dry_g=500.0, weighed=(("Whiting", 80.0),), lots=(("Whiting", "A-7"),))


def code_of(raised: pytest.ExceptionInfo[ProblemsError]) -> str:
    """The code of the first problem."""
    return raised.value.problems[0].code
