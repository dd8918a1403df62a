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


def clay_releases(raw_clay_g: float) -> tuple[Release, ...]:
    """Gases of a bisque or once-firing of this much bone-dry clay: typical shares with wide ranges."""
    found = []
    for row in read_table("releases"):
        low, middle, high = (raw_clay_g * float(row[f"clay_{k}percent"]) / 100 for k in ("low_", "", "high_"))
        found.append(_release(row, middle, low, high, "clay", row["clay_source"]))
    return tuple(found)


def glaze_releases(species_g: Mapping[str, tuple[float, float]], of: str = "glaze") -> tuple[Release, ...]:
    """Gases of a glaze: name of gas -> least and most that can come off [g]; the names are those of the
    table.

    Raises
    ------
    KeyError
        for a gas that is not in the table.
    """
    rows = {row["gas"]: row for row in read_table("releases")}
    return tuple(
        _release(rows[gas], (low + high) / 2, low, high, of, rows[gas]["source"])
        for gas, (low, high) in species_g.items()
    )


def _release(row: Mapping[str, str], middle: float, low: float, high: float, of: str, source: str) -> Release:
    start, end = float(row["from_degC"]), float(row["to_degC"])
    return Release(row["gas"], middle, low, high, of, start, end, row["caution"], source)
