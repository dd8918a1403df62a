"""What is usual of a class of ware, and what was measured of a clay at a cone: water it takes up, growth by damp."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

import numpy as np

from glazecalc.models.normal import sigma_of
from glazecalc.models.strength import figure
from glazecalc.values.cones import Cone
from glazecalc.values.data import read_table
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import AtCone, Body


class WareFigures(NamedTuple):
    """What is usual for one class of ware: expansion 20-600 degC with a 90 % interval [1e-6/K], acting
    shares of quartz and cristobalite [fraction], Young's modulus [GPa], Poisson's ratio, absorption with
    its range [%]."""

    ware: str
    expansion: float
    low: float
    high: float
    quartz: float
    cristobalite: float
    modulus_GPa: float
    poisson: float
    absorption: float
    absorption_low: float
    absorption_high: float
    source: str


@cache
def ware_figures(ware: str) -> WareFigures:
    """The row of ``materials/body_classes.csv`` for a class of ware; an unknown class is ``other``."""
    rows = {row["ware"]: row for row in read_table("body_classes")}
    row = rows.get(ware, rows["other"])
    return WareFigures(
        ware=row["ware"],
        expansion=float(row["expansion"]),
        low=float(row["low"]),
        high=float(row["high"]),
        quartz=float(row["quartz"]),
        cristobalite=float(row["cristobalite"]),
        modulus_GPa=float(row["modulus_GPa"]),
        poisson=float(row["poisson"]),
        absorption=float(row["absorption_percent"]),
        absorption_low=float(row["absorption_low"]),
        absorption_high=float(row["absorption_high"]),
        source=row["source"],
    )


def at_cone(rows: Sequence[AtCone], cone: Cone | None) -> tuple[float, str] | None:
    """The percentage for ``cone``: measured there, read between two measured cones, or None outside them.

    Returns the value and a word on how it was found. Without a cone the hottest measured one is meant.
    """
    if not rows:
        return None
    ordered = sorted(rows, key=lambda row: row.cone.position)
    if cone is None:
        return ordered[-1].percent, f"measured at cone {ordered[-1].cone}"
    places = [row.cone.position for row in ordered]
    if not places[0] <= cone.position <= places[-1]:
        return None
    exact = next((row for row in ordered if row.cone == cone), None)
    if exact is not None:
        return exact.percent, f"measured at cone {cone}"
    value = float(np.interp(cone.position, places, [row.percent for row in ordered]))
    return value, "read between the measured cones"


def beside_measured(rows: Sequence[AtCone], cone: Cone | None) -> tuple[AtCone, bool] | None:
    """The measured percentage nearest to a ``cone`` outside the measured ones, and whether that cone is hotter."""
    if not rows or cone is None or at_cone(rows, cone) is not None:
        return None
    nearest = min(rows, key=lambda row: abs(row.cone.position - cone.position))
    return nearest, cone > nearest.cone


def absorption(body: Body, cone: Cone | None = None) -> Estimate:
    """Water absorption at ``cone`` [%]: measured, read between measured cones, or usual for the class.

    A clay fired hotter takes up no more water, and fired cooler no less, than measured (common practice, no source).
    """
    usual = ware_figures(body.ware)
    found = at_cone(body.absorption_percent, cone)
    if found is not None:
        value, how = found
        half = 0.3 if how.startswith("measured") else max(0.5, 0.2 * value)
        low = max(0.0, value - half)
        return Estimate("absorption", value, low, value + half, "%", Basis.SUPPLIER, (), (how,))
    value, low, high = usual.absorption, usual.absorption_low, usual.absorption_high
    caveats = [
        f"usual for {usual.ware}; not measured at this cone" if body.ware != "other" else "class of clay unknown"
    ]
    beside = beside_measured(body.absorption_percent, cone)
    if beside is not None:
        row, hotter = beside
        low, high = _no_more(low, high, row.percent) if hotter else _no_less(low, high, row.percent)
        value = value if low <= value <= high else (low + high) / 2.0
        caveats.append(f"no {'more' if hotter else 'less'} than the {row.percent:g} % measured at cone {row.cone}")
    return Estimate("absorption", value, low, high, "%", Basis.TYPICAL, (usual.source,), tuple(caveats))


def _no_more(low: float, high: float, most: float) -> tuple[float, float]:
    return (low, min(high, most)) if low < most else (0.0, most)


def _no_less(low: float, high: float, least: float) -> tuple[float, float]:
    return (max(low, least), high) if least < high else (least, 1.5 * least)


def growth_by_damp(absorption_percent: Estimate) -> tuple[float, float]:
    """Strain by damp over years for a water absorption [%]: value and standard deviation [1e-6]."""
    per, most = figure("moisture_strain_per_absorption"), figure("moisture_strain_most")
    value = min(per.value * absorption_percent.value, most.value)
    from_rate = value * per.sigma / per.value
    from_absorption = per.value * sigma_of(absorption_percent.low, absorption_percent.high)
    return value, float(np.hypot(from_rate, min(from_absorption, most.sigma)))
