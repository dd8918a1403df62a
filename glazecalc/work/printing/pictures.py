"""What the pictures of one recipe show, worked out from the models; a picture is None where its data are missing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

import numpy as np

from glazecalc.chemistry.composition import Composition
from glazecalc.models.body import known_body
from glazecalc.models.cones import temperature_degC
from glazecalc.models.firing import window
from glazecalc.models.heat_work import REFERENCE_RATE_DEGC_PER_H
from glazecalc.models.viscosity import log_viscosity_on, viscosity_curves
from glazecalc.values.cones import ALL_CONES
from glazecalc.values.data import read_table
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.formula_report import FormulaResult
from glazecalc.values.inputs import Limits
from glazecalc.values.pictures import (
    ConeMark,
    ConeRulerPicture,
    CurvePoint,
    ExpansionPicture,
    GlazePoint,
    Leaning,
    PushPicture,
    RatioField,
    RulerBand,
    SilicaAluminaPicture,
    ViscosityPicture,
    Zone,
)
from glazecalc.values.report import CheckResult, Formula
from glazecalc.work.carried import carried_expansion, carrying_factor, setting_point
from glazecalc.work.fit import FitArrays, fit_arrays
from glazecalc.work.setting import Setting

ZONE_WORDS = {
    Leaning.SHIVERS: "likely to shiver", Leaning.CRAZES: "likely to craze", Leaning.SOUND: "likely to stay sound",
    Leaning.DOUBTFUL: "in doubt",
}  # fmt: skip
_ZONE_GRID = np.linspace(0.0, 30.0, 3001)


def expansion_picture(result: CheckResult, setting: Setting) -> ExpansionPicture | None:
    """Glaze and clay over the same range of temperature, and what a glaze of each expansion would do."""
    glaze, clay = result.estimate("expansion"), result.estimate("body_expansion")
    if glaze is None or clay is None or setting.body is None:
        return None
    set_degC, set_sigma = setting_point(result.estimate("transition_temperature"))
    factor = carrying_factor(set_degC)
    modulus = result.estimate("youngs_modulus")
    arrays = fit_arrays(
        _ZONE_GRID, np.zeros_like(_ZONE_GRID), set_degC, None if modulus is None else modulus.value,
        known_body(setting.body, setting.cone, setting.learned, setting.reasoned), set_sigma_K=set_sigma,
    )  # fmt: skip
    return ExpansionPicture(
        result.recipe.name, setting.body.name, carried_expansion(glaze, set_degC), clay,
        _zones(_ZONE_GRID * factor, arrays, setting.limits),
    )  # fmt: skip


def _zones(axis: np.ndarray, arrays: FitArrays, limits: Limits) -> tuple[Zone, ...]:
    sound, against = limits.sound_percent / 100, limits.against_percent / 100
    leanings = np.full(axis.shape, Leaning.DOUBTFUL, dtype=object)
    leanings[arrays.sound_probability >= sound] = Leaning.SOUND
    leanings[arrays.crazing_probability > against] = Leaning.CRAZES
    leanings[arrays.shivering_probability > against] = Leaning.SHIVERS
    starts = [0, *(int(i) + 1 for i in np.flatnonzero(leanings[1:] != leanings[:-1]))]
    ends = [*starts[1:], len(axis) - 1]
    return tuple(
        Zone(float(axis[a]), float(axis[b]), ZONE_WORDS[leanings[a]], leanings[a])
        for a, b in zip(starts, ends, strict=True)
    )


@cache
def cone_marks(rate_degC_per_h: float = REFERENCE_RATE_DEGC_PER_H) -> tuple[ConeMark, ...]:
    """Every cone and where it bends at this rate."""
    return tuple(ConeMark(cone.name, temperature_degC(cone, rate_degC_per_h)) for cone in ALL_CONES)


def cone_ruler(result: CheckResult, setting: Setting) -> ConeRulerPicture | None:
    """The glaze's range, the clay's and the kiln's ceiling against the cones."""
    places = {mark.cone: mark for mark in cone_marks()}
    bands = [*_glaze_bands(result, places)]
    body = setting.body
    if body is not None and body.cone_low is not None and body.cone_high is not None:
        low, high = places[body.cone_low.name].degC, places[body.cone_high.name].degC
        bands.append(
            RulerBand(
                "clay", f"clay: {body.name}", f"cone {body.cone_low} to {body.cone_high}, as the studio says", low, high
            )
        )
    ceiling = result.estimate("kiln_ceiling")
    if ceiling is not None:
        bands.append(RulerBand("kiln", f"kiln: {result.kiln}", _kiln_words(result, ceiling), ceiling.low, ceiling.high))
    if not bands:
        return None
    asked = None if result.cone is None else places[result.cone]
    return ConeRulerPicture(tuple(bands), cone_marks(), asked, REFERENCE_RATE_DEGC_PER_H)


def _glaze_bands(result: CheckResult, places: dict[str, ConeMark]) -> Iterable[RulerBand]:
    firing, stated = result.estimate("firing_range"), result.recipe.cone
    name = f"glaze: {result.recipe.name}"
    if firing is not None and firing.basis is not Basis.STATED:
        yield RulerBand("glaze", name, "melts and stays put, by its chemistry", firing.low, firing.high)
        name = "the same glaze"
    if stated is not None:
        low, high = places[stated.low.name].degC, places[stated.high.name].degC
        yield RulerBand("glaze", name, f"cone {stated} by its card", low - 6, high + 6)
    elif firing is not None and firing.basis is Basis.STATED:
        yield RulerBand("glaze", name, "as stated", firing.low, firing.high)


def _kiln_words(result: CheckResult, ceiling: Estimate) -> str:
    if ceiling.basis is Basis.STATED:
        return "by its plate"
    where = f"on {result.circuit}" if result.circuit else "at full voltage"
    return f"{where}, by its plate and age" if ceiling.basis is Basis.MODEL else f"{where}, {ceiling.basis.value}"


def viscosity_picture(result: CheckResult, composition: Composition) -> ViscosityPicture | None:
    """The melt's viscosity over the temperatures of the cones; None where the curve rests on no data."""
    curves = viscosity_curves(composition.mole_fractions[:1])
    if bool(curves.extrapolated[0]):
        return None
    points = []
    for degC in np.arange(870.0, 1341.0, 15.0):
        found = log_viscosity_on(curves, degC)
        value, low, high = (float(a[0]) for a in (found.value, found.low, found.high))
        points.append(CurvePoint(float(degC), value, min(low, value), max(high, value)))
    asked = next((mark for mark in cone_marks() if mark.cone == result.cone), None)
    ends = window()
    return ViscosityPicture(result.recipe.name, tuple(points), (ends.fluid_end, ends.stiff_end), cone_marks(), asked)


def push_picture(result: FormulaResult) -> PushPicture | None:
    """What pushes the expansion, from a formula with its explanations."""
    if not result.explanations:
        return None
    return PushPicture(result.recipe.name, result.explanations, result.explanation_reference)


def silica_alumina(
    this: Sequence[tuple[str, Formula]], others: Sequence[tuple[str, Formula]]
) -> SilicaAluminaPicture | None:
    """The map with this glaze (or none) and the others, as far as they hold silica and flux."""
    points = [*_points(this, True), *_points(others, False)]
    if not points:
        return None
    rows = read_table("surface_fields")
    fields = tuple(RatioField(r["words"], _number(r["from_ratio"]), _number(r["to_ratio"])) for r in rows)
    cone = rows[0]["cone"]
    guide = f"Soft fields after Stull 1912, porcelain at cone {cone} (from memory); cooler or boron-rich glazes differ."
    return SilicaAluminaPicture(tuple(points), fields, guide)


def _number(text: str) -> float | None:
    return float(text) if text else None


def _points(formulas: Sequence[tuple[str, Formula]], this: bool) -> Iterable[GlazePoint]:
    for name, formula in formulas:
        unity = formula.unity()
        if formula.convention == "customary" and 0 < unity.get("SiO2", 0.0) < 20:
            yield GlazePoint(name, unity["SiO2"], unity.get("Al2O3", 0.0), this)
