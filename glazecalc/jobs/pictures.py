"""What the pictures of one recipe show, worked out from the models; a picture is None where its data are missing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from statistics import median
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import Composition
from glazecalc.jobs.ceiling import full_power, volts_go_together
from glazecalc.jobs.estimates import ON_WARE
from glazecalc.jobs.fit import GLAZE_TO_DEGC, FitArrays, carried_expansion, carrying_factor, fit_arrays, setting_point
from glazecalc.jobs.learn import evidence, grid_estimate
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.stacking import WALL_GAP_MM
from glazecalc.jobs.tiled import taught
from glazecalc.models.body import REFERENCE_DEGC, known_body
from glazecalc.models.coat import rise
from glazecalc.models.cones import REFERENCE_RATE_DEGC_PER_H, rated_cone, temperature_degC
from glazecalc.models.firing import window
from glazecalc.models.kiln_reach import Reach, weighted_quantile
from glazecalc.models.viscosity import log_viscosity_on, viscosity_curves
from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.arrays import Array
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Body, Circuit, Kiln, Limits, Piece
from glazecalc.values.records import FiringRecord, TileRecord, TileResult
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.firing import FiringReport, HeatPoint
from glazecalc.values.results.formula import FormulaResult
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
from glazecalc.values.results.tiles import TilePoint, TilesResult

ZONE_WORDS = {
    Leaning.SHIVERS: "likely to shiver", Leaning.CRAZES: "likely to craze", Leaning.SOUND: "likely to stay sound",
    Leaning.DOUBTFUL: "in doubt",
}  # fmt: skip
_ZONE_GRID = np.linspace(0.0, 30.0, 3001)


def expansion_picture(result: CheckResult, setup: Setup) -> ExpansionPicture | None:
    """Glaze and clay over the same range of temperature, and what a glaze of each expansion would do."""
    glaze, clay = result.estimate(ON_WARE), result.estimate("body_expansion")
    if glaze is None or clay is None or setup.body is None:
        return None
    set_degC, set_sigma = setting_point(result.estimate("transition_temperature"))
    factor = carrying_factor(set_degC)
    modulus = result.estimate("youngs_modulus")
    arrays = fit_arrays(
        _ZONE_GRID, np.zeros_like(_ZONE_GRID), set_degC, None if modulus is None else modulus.value,
        known_body(setup.body, setup.cone, setup.learned, setup.reasoned), set_sigma_K=set_sigma,
    )  # fmt: skip
    return ExpansionPicture(
        result.recipe.name, setup.body.name, carried_expansion(glaze, set_degC), clay,
        _zones(_ZONE_GRID * factor, arrays, setup.limits),
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
def cone_marks() -> tuple[ConeMark, ...]:
    """Every cone and where it bends at the reference rate."""
    return tuple(ConeMark(cone.name, temperature_degC(cone)) for cone in ALL_CONES)


def cone_ruler(result: CheckResult, setup: Setup) -> ConeRulerPicture | None:
    """The glaze's range, the clay's and the kiln's ceiling against the cones."""
    places = {mark.cone: mark for mark in cone_marks()}
    bands, name = [], f"glaze: {result.recipe.name}"
    firing, stated, body = result.estimate("firing_range"), result.recipe.cone, setup.body
    if firing is not None and firing.basis is not Basis.STATED:
        bands.append(RulerBand("glaze", name, "melts and stays put, by its chemistry", firing.low, firing.high))
        name = "the same glaze"
    if stated is not None:
        low, high = places[stated.low.name].degC, places[stated.high.name].degC
        bands.append(RulerBand("glaze", name, f"cone {stated} by its card", low - 6, high + 6))
    elif firing is not None and firing.basis is Basis.STATED:
        bands.append(RulerBand("glaze", name, "as stated", firing.low, firing.high))
    if body is not None and body.cone_low is not None and body.cone_high is not None:
        words = f"cone {body.cone_low} to {body.cone_high}, as the studio says"
        low, high = places[body.cone_low.name].degC, places[body.cone_high.name].degC
        bands.append(RulerBand("clay", f"clay: {body.name}", words, low, high))
    ceiling = result.estimate("kiln_ceiling")
    if ceiling is not None:
        bands.append(RulerBand("kiln", f"kiln: {result.kiln}", _kiln_words(result, ceiling), ceiling.low, ceiling.high))
    if not bands:
        return None
    asked = None if result.cone is None else places[result.cone]
    return ConeRulerPicture(tuple(bands), cone_marks(), asked, REFERENCE_RATE_DEGC_PER_H, result.recipe.name)


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
        melt = log_viscosity_on(curves, degC)
        value, low, high = (float(a[0]) for a in (melt.value, melt.low, melt.high))
        points.append(_curve_point(degC, value, low, high))
    asked = next((mark for mark in cone_marks() if mark.cone == result.cone), None)
    ends = window()
    return ViscosityPicture(result.recipe.name, tuple(points), (ends.fluid_end, ends.stiff_end), cone_marks(), asked)


def _curve_point(x: float, value: float, low: float, high: float) -> StiffnessPoint:
    """A point with its interval, which holds the value itself."""
    return StiffnessPoint(float(x), value, min(low, value), max(high, value))


def push_picture(result: FormulaResult) -> PushPicture | None:
    """What pushes the expansion, from a formula with its explanations."""
    if not result.explanations:
        return None
    return PushPicture(result.recipe.name, result.explanations, result.explanation_reference)


_BORON_MOST: Final = 0.1
"""Moles of boric oxide per mole of flux up to which bands found without boron are shown (a judgement)."""
_COOLEST: Final = Cone("6")
"""The coolest cone at which bands found at cone 11 are shown (a judgement)."""


def silica_alumina(result: CheckResult) -> SilicaAluminaPicture | None:
    """Silica per alumina of a glaze against the bands of a porcelain glaze; None where they say nothing of it."""
    formula = result.formula
    if formula is None or formula.convention != "customary" or result.cone is None or Cone(result.cone) < _COOLEST:
        return None
    ratio, boron = formula.ratios.silica_alumina, formula.ratios.boron_unity
    if not ratio or boron is None or boron > _BORON_MOST:
        return None
    rows = read_table("surface_fields")
    fields = tuple(
        RatioField(row["words"], *(float(row[end]) if row[end] else None for end in ("from_ratio", "to_ratio")))
        for row in rows
    )
    guide = f"For porcelain at cone {rows[0]['cone']}, from memory; on other clay or cooler it may differ."
    return SilicaAluminaPicture(result.recipe.name, ratio, fields, guide)


# What the pictures of a kiln show: its heating curve with cones, a recorded firing, hours per firing over time.

_POINTS = 48
_SHOWN_CONES = ("06", "04", "01", "3", "6", "8", "10")
_FIRST = 3
"""Firings whose middle is taken as the kiln's usual time."""


def heating_picture(
    kiln: Kiln | None,
    circuit: Circuit | None,
    plan: FiringReport | None = None,
    firings: Sequence[FiringRecord] = (),
) -> HeatingPicture | None:
    """The kiln at full power on its circuit up to its rated cone, a planned firing up to its peak, and the last firing
    that was written down with readings."""
    if kiln is None:
        return None
    full = full_power(kiln, circuit) if volts_go_together(kiln, circuit) else None
    mine = [f for f in firings if f.kiln.casefold() == kiln.name.casefold() and len(f.readings) >= 3]
    recorded = max(mine, key=lambda f: f.date, default=None)
    if full is None and recorded is None:
        return None
    rated = rated_cone(kiln)
    limit = None if rated is None else ConeMark(rated.name, temperature_degC(rated))
    fastest = () if full is None else _curve(full, limit)
    along = () if full is None or not fastest else _events(full, rated, fastest[-1].x)
    return HeatingPicture(
        kiln=kiln.name,
        where="" if circuit is None else circuit.name,
        fastest=fastest,
        planned=() if plan is None else _to_peak(plan),
        planned_words="" if plan is None else f"planned: {plan.title}",
        recorded=() if recorded is None else tuple(HeatPoint(r.at_h, r.degC) for r in recorded.readings),
        recorded_words="" if recorded is None else f"recorded {recorded.date or recorded.id}",
        cones=along if plan is None else _planned_cones(plan),
        limit=limit,
    )


def _middle(full: Reach) -> Array:
    """The middle of the chamber's temperatures [degC] at every moment."""
    return np.array([weighted_quantile(row, full.weights, 0.5) for row in full.run.chamber_degC])


def _curve(full: Reach, limit: ConeMark | None) -> tuple[StiffnessPoint, ...]:
    """The curve until it has all but stalled or is at the kiln's limit, at evenly spaced moments."""
    hours, chamber, middle = full.run.hours, full.run.chamber_degC, _middle(full)
    most = math.inf if limit is None else limit.degC
    near = int(np.argmax(middle >= min(0.995 * float(middle[-1]), most)))
    last = min(len(hours) - 1, max(near, 1))
    points = []
    for i in np.unique(np.linspace(0, last, _POINTS).round().astype(int)):
        low, high = (min(weighted_quantile(chamber[i], full.weights, p), most) for p in (0.05, 0.95))
        points.append(_curve_point(hours[i], float(min(middle[i], most)), low, high))
    return tuple(points)


def _to_peak(plan: FiringReport) -> tuple[HeatPoint, ...]:
    """The planned firing up to the last moment of its peak."""
    peak = max(degC for _, degC in plan.planned)
    last = max(i for i, (_, degC) in enumerate(plan.planned) if degC == peak)
    return plan.planned[: last + 1]


def _planned_cones(plan: FiringReport) -> tuple[ConeMark, ...]:
    """A few cones of the series and the witness set, where the planned firing bends them."""
    shown = {*_SHOWN_CONES, *(c.name for c in plan.witness_cones)}
    return tuple(
        ConeMark(bend.cone.name, bend.bends_at_degC, bend.bends_at_h)
        for bend in plan.cones
        if bend.bends_at_h is not None and bend.bends_at_degC is not None and bend.cone.name in shown
    )


def _events(full: Reach, rated: Cone | None, ends_h: float) -> tuple[ConeMark, ...]:
    """Where a few cones of the series bend along the middle of the fastest curve."""
    middle, events = _middle(full), []
    for cone in (Cone(name) for name in _SHOWN_CONES):
        times = full.cone_hours[:, cone.position]
        share = float(full.weights @ ~np.isnan(times)) / float(full.weights.sum())
        if share < 0.5 or (rated is not None and cone > rated):
            continue
        at = weighted_quantile(np.where(np.isnan(times), np.inf, times), full.weights, 0.5)
        if at <= ends_h:
            events.append(ConeMark(cone.name, float(np.interp(at, full.run.hours, middle)), at))
    return tuple(events)


def hours_picture(kiln: Kiln | None, firings: Sequence[FiringRecord]) -> HoursPicture | None:
    """Hours per firing of this kiln in order of their dates; None below two firings."""
    if kiln is None:
        return None
    mine = sorted(
        (f for f in firings if f.kiln.casefold() == kiln.name.casefold() and f.hours is not None), key=lambda f: f.date
    )
    marks = tuple(FiringMark(f.date or f.id, f.hours, f.target_cone) for f in mine if f.hours is not None)
    if len(marks) < 2:
        return None
    usual = median(m.hours for m in marks[:_FIRST])
    return HoursPicture(kiln.name, marks, usual if len(marks) > _FIRST else None, _trend(marks, usual))


def _trend(marks: Sequence[FiringMark], usual: float) -> str:
    if len(marks) < 2 * _FIRST:
        return "Too few firings to see a trend. Longer and longer firings are the early warning of worn elements."
    percent = 100 * (median(m.hours for m in marks[-_FIRST:]) / usual - 1)
    if percent < 8:
        return "About as long as at first. Longer and longer firings are the early warning of worn elements."
    return (
        f"The last firings took {percent:.0f} % longer than the first: the elements may be wearing, or the volts low."
    )


# What the pictures of test tiles show: the blend on the table, the tiles on the shelf, what tiles taught of a clay.

_KINDS = {"triaxial": "triangle", "square": "square", "grid": "square"}
_MOST_COLUMNS = 6
_OUTCOMES = {
    TileResult.SOUND: Leaning.SOUND, TileResult.CRAZED_AT_ONCE: Leaning.CRAZES, TileResult.CRAZED_LATER: Leaning.CRAZES,
    TileResult.CRAZED: Leaning.CRAZES,
    TileResult.SHIVERED: Leaning.SHIVERS,
}  # fmt: skip


def blend_picture(plan: TilesResult, limits: Limits) -> BlendPicture:
    """The plan as it lies on the table; a long line is folded into rows."""
    kind = _KINDS.get(plan.plan, "line")
    fold = kind == "line" and len(plan.points) > _MOST_COLUMNS
    cells = []
    for i, point in enumerate(plan.points):
        row, column = divmod(i, _MOST_COLUMNS) if fold else (point.row, point.column)
        leaning, words = _expected(point, limits)
        cells.append(BlendCell(point.id, column, row, tuple(float(p) for p in point.parts), leaning, words))
    return BlendPicture(kind, plan.corner_names, tuple(cells))


def _expected(point: TilePoint, limits: Limits) -> tuple[Leaning, str]:
    if point.beyond:
        return Leaning.OUT, "see its marks"
    chances = [point.check.estimate(f"{way}_probability") for way in ("crazing", "shivering")]
    if chances[0] is None or chances[1] is None:
        return Leaning.NONE, ""
    crazing, shivering = chances[0].value, chances[1].value
    sound = 1 - crazing - shivering
    if 100 * crazing > limits.against_percent:
        return Leaning.CRAZES, f"crazes {100 * crazing:.0f} %"
    if 100 * shivering > limits.against_percent:
        return Leaning.SHIVERS, f"shivers {100 * shivering:.0f} %"
    leaning = Leaning.SOUND if 100 * sound >= limits.sound_percent else Leaning.DOUBTFUL
    return leaning, f"sound {100 * max(sound, 0.0):.0f} %"


def tile_shelf_picture(plan: TilesResult, kiln: Kiln | None, tile: Piece | None) -> ShelfPicture | None:
    """The first shelf of the first firing with its tiles; None where no places were worked out."""
    if kiln is None or kiln.interior is None or tile is None:
        return None
    placed = tuple(
        PlacedPiece(p.id, "square", p.place.x_mm, p.place.y_mm, tile.width_mm, tile.depth_mm or tile.width_mm)
        for p in plan.points if p.place is not None and (p.place.firing, p.place.shelf) == (1, 1)
    )  # fmt: skip
    if not placed:
        return None
    words = f"First firing, first shelf, the front at the bottom. {plan.tiles_per_firing} tiles in a firing"
    more = f", {plan.firings} firings in all." if plan.firings and plan.firings > 1 else "; one firing takes them all."
    return ShelfPicture(kiln.name, kiln.interior, WALL_GAP_MM, placed, words + more)


def learned_picture(
    body: Body | None, tiles: Sequence[TileRecord], cone: Cone | None, reasoned: Estimate | None = None
) -> LearnedPicture | None:
    """What the recorded tiles say of this clay; None where none of them says anything.

    Glazes are carried from their own range to the clay's so that both share an axis; ``reasoned`` is what the clay's
    own recipe suggests of its expansion, as the check takes it.
    """
    if body is None:
        return None
    used, _ = evidence(tiles, body.name, cone)
    if not used:
        return None
    clay = taught(body, used, cone, reasoned)
    factor, names = float(rise(REFERENCE_DEGC)) / float(rise(GLAZE_TO_DEGC)), {t.id: t.glaze_name for t in tiles}
    marks = tuple(
        TileMark(
            t.id, names.get(t.id, ""), t.glaze.value * factor, t.result.value, _OUTCOMES.get(t.result, Leaning.NONE)
        )
        for t in used
    )
    ground, known = clay.ground, clay.ground.clay
    step = float(ground.thetas[1] - ground.thetas[0])
    return LearnedPicture(
        body=body.name, expansion=tuple(ground.thetas.tolist()), prior_density=tuple((ground.prior / step).tolist()),
        posterior_density=tuple((clay.posterior.sum(axis=0) / step).tolist()),
        prior=grid_estimate(ground, ground.prior, known.basis, known.sources, known.caveats), posterior=clay.estimate,
        tiles=marks,
    )  # fmt: skip
