"""Size of a kiln chamber: volume, areas, brick, and what stands inside."""

from __future__ import annotations

import math
from functools import cache
from typing import Final, NamedTuple

from glazecalc.values.data import read_table
from glazecalc.values.inputs import Interior

LITRES_PER_CUBIC_FOOT: Final = 28.316846592
_OCTAGON_AREA: Final = 2.0 * math.tan(math.pi / 8) * 1.0
_OCTAGON_GIRTH: Final = 8.0 * math.tan(math.pi / 8)

SHELF_THICKNESS_MM: Final = 15.0
SHELF_DENSITY_KG_PER_M3: Final = 2000.0
WARE_KG_PER_LITRE: Final = 0.17
"""A full load: eight mugs of 0.35 kg in a chamber of 16.4 L (common practice)."""
WARE_HEAT_J_PER_KGK: Final = 1050.0


class Brick(NamedTuple):
    """An insulating brick: density [kg/m3], the middle of its range; heat capacity [J/(kg K)]; conductivity
    rising with heat.

    The conductivity is ``k0 + k1 T`` [W/(m K)], T in degC, the line through the table's figures.
    """

    name: str
    density: float
    heat_capacity: float
    k0: float
    k1: float
    source: str


class Chamber(NamedTuple):
    """A chamber and its wall: volume [m3], inner, outer and mean area [m2], wall [m], brick volume [m3]."""

    volume_m3: float
    floor_m2: float
    inner_m2: float
    outer_m2: float
    wall_m: float
    brick_m3: float

    @property
    def mean_m2(self) -> float:
        """Geometric mean of the two areas: exact for a hollow sphere, within a few per cent for a box
        [m2].
        """
        return math.sqrt(self.inner_m2 * self.outer_m2)


def floor_and_girth(interior: Interior, extra_mm: float = 0.0) -> tuple[float, float]:
    """Floor area [m2] and girth [m] of a chamber, grown by ``extra_mm`` on every side."""
    width = (interior.width_mm + 2 * extra_mm) / 1000.0
    if interior.shape == "round":
        return math.pi / 4 * width**2, math.pi * width
    if interior.shape == "octagon":
        return _OCTAGON_AREA * width**2, _OCTAGON_GIRTH * width
    depth = ((interior.depth_mm or interior.width_mm) + 2 * extra_mm) / 1000.0
    return width * depth, 2 * (width + depth)


def chamber(interior: Interior, wall_mm: float) -> Chamber:
    """The chamber of this inside [mm] and wall [mm]; floor and lid are as thick as the wall."""
    height = interior.height_mm / 1000.0
    tall = height + 2 * wall_mm / 1000.0
    floor, girth = floor_and_girth(interior)
    footprint, outline = floor_and_girth(interior, wall_mm)
    return Chamber(
        volume_m3=floor * height,
        floor_m2=floor,
        inner_m2=girth * height + 2 * floor,
        outer_m2=outline * tall + 2 * footprint,
        wall_m=wall_mm / 1000.0,
        brick_m3=footprint * tall - floor * height,
    )


def contents_J_per_K(room: Chamber, shelves: int, load_share: float = 1.0) -> float:
    """Heat capacity of shelves and ware [J/K]; ``load_share`` is of a full load."""
    shelf_kg = room.floor_m2 * SHELF_THICKNESS_MM / 1000.0 * SHELF_DENSITY_KG_PER_M3
    ware_kg = WARE_KG_PER_LITRE * room.volume_m3 * 1000.0 * load_share
    return (shelf_kg * shelves + ware_kg) * WARE_HEAT_J_PER_KGK


@cache
def bricks() -> dict[str, Brick]:
    """The wall materials of ``materials/bricks.csv`` by name."""
    found = {}
    for row in read_table("bricks"):
        at = {t: float(row[f"conductivity_{t}_degC"]) for t in (400, 800, 1000)}
        mean_t, mean_k = sum(at) / 3, sum(at.values()) / 3
        slope = sum((t - mean_t) * (k - mean_k) for t, k in at.items()) / sum((t - mean_t) ** 2 for t in at)
        low, high = float(row["density_low_kg_per_m3"]), float(row["density_high_kg_per_m3"])
        found[row["name"]] = Brick(
            name=row["name"],
            density=math.sqrt(low * high),
            heat_capacity=float(row["heat_capacity_J_per_kgK"]),
            k0=mean_k - slope * mean_t,
            k1=slope,
            source=row["source"],
        )
    return found


USUAL_BRICK: Final = "insulating firebrick group 23"
