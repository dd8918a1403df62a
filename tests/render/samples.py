"""One picture of every kind with figures invented for the tests; a hostile name where names are shown."""

from __future__ import annotations

import math

from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.inputs import Interior
from glazecalc.values.results.firing import HeatPoint
from glazecalc.values.results.formula import Explanation
from glazecalc.values.results.pictures import (
    BlendCell,
    BlendPicture,
    ConeMark,
    ConeRulerPicture,
    ExpansionPicture,
    FiringMark,
    HeatingPicture,
    HoursPicture,
    Leaning,
    LearnedPicture,
    Picture,
    PlacedPiece,
    PushPicture,
    RatioField,
    RulerBand,
    ShelfPicture,
    SilicaAluminaPicture,
    StiffnessPoint,
    TileMark,
    ViscosityPicture,
    Zone,
)

HOSTILE = '<script>alert(1)</script> & "x"'
LONG = "The long and winding name of a glaze that nobody would scratch into the foot of a small test tile " * 2


def estimate(value: float, low: float, high: float, basis: Basis = Basis.MODEL) -> Estimate:
    return Estimate("expansion", value, low, high, "1e-6/K", basis, ("demo",), ("mean from 20 to 600 degC",))


ZONES = (
    Zone(0.0, 5.2, "likely to shiver", Leaning.SHIVERS), Zone(5.2, 6.1, "in doubt", Leaning.DOUBTFUL),
    Zone(6.1, 7.5, "likely to stay sound", Leaning.SOUND), Zone(7.5, 8.0, "in doubt", Leaning.DOUBTFUL),
    Zone(8.0, 33.0, "likely to craze", Leaning.CRAZES),
)  # fmt: skip
CONES = tuple(
    ConeMark(name, degC)
    for name, degC in (
        ("06", 998), ("04", 1063), ("1", 1137), ("5", 1186), ("6", 1222), ("7", 1239), ("8", 1249), ("10", 1285),
    )
)  # fmt: skip
SIX = ConeMark("6", 1222)


def expansion(name: str = "Shoal clear") -> ExpansionPicture:
    return ExpansionPicture(name, name, estimate(6.3, 5.6, 7.0), estimate(7.2, 6.9, 7.5, Basis.SUPPLIER), ZONES)


def ruler(name: str = "Shoal clear") -> ConeRulerPicture:
    bands = (
        RulerBand("glaze", f"glaze: {name}", "cone 6 by its card", 1195, 1262),
        RulerBand("clay", f"clay: {name}", "cone 5 to 7", 1186, 1239),
        RulerBand("kiln", f"kiln: {name}", "by its plate", 1228, 1275),
    )
    return ConeRulerPicture(bands, CONES, SIX, 60.0, name)


def pushes(name: str = "Shoal clear") -> PushPicture:
    found = (("SiO2", 70.0, -2.1, None), ("Na2O", 4.0, 1.24, 0.4), ("CaO", 8.0, 0.66, 0.1), ("TiO2", 0.1, 0.001, -0.2))
    return PushPicture(name, tuple(Explanation(*row) for row in found), "How far each oxide pushes the expansion.")


def silica_alumina(name: str = "Shoal clear") -> SilicaAluminaPicture:
    fields = (
        RatioField("matte", None, 4.5), RatioField("satin", 5.5, 6.0), RatioField("glossy", 7.0, 10.0),
        RatioField("often crazed or milky", 12.0, None),
    )  # fmt: skip
    return SilicaAluminaPicture(name, 8.4, fields, "For porcelain at cone 11.")


def viscosity(name: str = "Shoal clear") -> ViscosityPicture:
    curve = tuple(StiffnessPoint(t, v := -2.5 + 4500 / (t - 350), v - 0.35, v + 0.35) for t in range(900, 1341, 20))
    return ViscosityPicture(name, curve, (2.3, 3.4), CONES, SIX)


def heating(name: str = "Shed kiln") -> HeatingPicture:
    full = tuple(
        StiffnessPoint(h / 4, t := 20 + 1230 * (1 - math.exp(-h / 9.2)), t - 2 * h, t + 2 * h) for h in range(36)
    )
    plan = tuple(HeatPoint(h, t) for h, t in ((0, 20), (2, 220), (6.5, 1120), (8.2, 1222), (8.5, 1222)))
    recorded = tuple(HeatPoint(h, t) for h, t in ((0, 20), (2, 210), (4, 640), (6, 1010), (8, 1190), (9, 1219)))
    cones = (ConeMark("04", 1063, 6.2), ConeMark("5", 1187, 7.6), ConeMark("6", 1222, 8.3))
    return HeatingPicture(name, name, full, plan, "planned: cone 6", recorded, "recorded", cones, ConeMark("8", 1249))


def blend(kind: str = "line", name: str = "Shoal clear") -> BlendPicture:
    if kind == "triangle":
        cells = tuple(
            BlendCell(f"T{r * (r + 1) // 2 + c + 1}", c, r, (4.0 - r, r - c, c), Leaning.NONE, "")
            for r in range(5)
            for c in range(r + 1)
        )
        return BlendPicture(kind, (name, "Lagoon blue", "Brine crackle"), cells)
    leanings = (Leaning.SOUND, Leaning.DOUBTFUL, Leaning.CRAZES, Leaning.SHIVERS, Leaning.OUT)
    cells = tuple(
        BlendCell(f"L{i + 1}", i, 0, (100 - 25 * i, 25.0 * i), leanings[i], leanings[i].value) for i in range(5)
    )
    return BlendPicture(kind, (name, "Lagoon blue"), cells)


def shelf(name: str = "Shed kiln") -> ShelfPicture:
    mugs = tuple(
        PlacedPiece("mug", "round", x, y, 85, 85, 30, a) for x, y, a in ((-70, 60, 0), (60, 70, 180), (-70, -50, 90))
    )
    return ShelfPicture(
        name, Interior(shape="octagon", width_mm=290.0, height_mm=230.0), 13.0, mugs, "3 mugs on a shelf."
    )


def learned(name: str = "Harbour stoneware") -> LearnedPicture:
    grid = tuple(6 + 0.02 * i for i in range(151))

    def bell(middle: float, sigma: float) -> tuple[float, ...]:
        return tuple(math.exp(-(((x - middle) / sigma) ** 2) / 2) / sigma for x in grid)

    tiles = (
        TileMark("T1", name, 6.4, "sound", Leaning.SOUND), TileMark("T2", name, 8.2, "crazed at once", Leaning.CRAZES),
        TileMark("T3", name, 5.6, "shivered", Leaning.SHIVERS),
    )  # fmt: skip
    return LearnedPicture(
        name,
        grid,
        bell(7.3, 0.45),
        bell(7.0, 0.2),
        estimate(7.3, 6.55, 8.05),
        estimate(7.0, 6.7, 7.3, Basis.LEARNED),
        tiles,
    )


def hours(name: str = "Shed kiln") -> HoursPicture:
    firings = tuple(FiringMark(f"2026-01-{i + 1:02d}", 6 + 0.1 * i, "6") for i in range(16))
    return HoursPicture(name, firings, 6.1, "The last firings took 20 % longer than the first.")


def every(name: str) -> dict[str, Picture]:
    return {
        "expansion": expansion(name), "ruler": ruler(name), "pushes": pushes(name), "map": silica_alumina(name),
        "viscosity": viscosity(name), "heating": heating(name), "line": blend("line", name),
        "triangle": blend("triangle", name), "shelf": shelf(name), "learned": learned(name), "hours": hours(name),
    }  # fmt: skip
