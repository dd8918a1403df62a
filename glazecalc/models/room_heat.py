"""Heat and gases that a firing gives to its room."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from glazecalc.values.data import read_table
from glazecalc.values.kiln_report import Release

AIR_WH_PER_M3K: Final = 0.336
"""Heat capacity of air at room temperature, 1.2 kg/m3 times 1008 J/(kg K), in Wh/(m3 K)."""


def temperature_rise_bound_K(heat_W: float, exhaust_m3_per_h: float) -> float:
    """Upper bound on the lasting warming of a room [K]: all the heat goes into the air drawn through it.

    Walls and floor take part of the heat and lower it; air that bypasses the room raises it near the kiln.

    Raises
    ------
    ValueError
        if no air is drawn through.
    """
    if exhaust_m3_per_h <= 0:
        raise ValueError("without an air flow there is no bound on the warming")
    return heat_W / (AIR_WH_PER_M3K * exhaust_m3_per_h)


def releases(species_g: Mapping[str, float]) -> tuple[Release, ...]:
    """Gases of one firing: grams by name of gas, with when most comes off and the caution that belongs to it.

    The names are those of ``materials/releases.csv``.

    Raises
    ------
    KeyError
        for a gas that is not in the table.
    """
    rows = {row["gas"]: row for row in read_table("releases")}
    found = []
    for gas, grams in species_g.items():
        row = rows[gas]
        found.append(
            Release(gas, grams, float(row["from_degC"]), float(row["to_degC"]), row["caution"], row["source"])
        )
    return tuple(found)


def known_gases() -> tuple[str, ...]:
    """The gases of the table, in the order they are told."""
    return tuple(row["gas"] for row in read_table("releases"))
