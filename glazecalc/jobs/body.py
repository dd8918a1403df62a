"""The job of ``body``: what is known of a clay, what its recipe suggests, and which tests would tell the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from glazecalc.chemistry.batches import absorption_percent, length_after_mm, shrinkage_percent
from glazecalc.chemistry.composition import CONVENTIONS
from glazecalc.jobs.check import judge_clay_range
from glazecalc.jobs.estimates import cited, reasoned_body_expansion
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.learn import evidence
from glazecalc.jobs.materials import Pantry
from glazecalc.jobs.tiled import learned_body_expansion
from glazecalc.models.body import (
    REFERENCE_DEGC,
    body_estimate,
    known_body,
    phases,
)
from glazecalc.models.coat import absorption, at_cone, beside_measured
from glazecalc.models.cones import temperature_degC
from glazecalc.values.answers import Answer, Basis, Estimate, Verdict
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Body, Limits, Recipe
from glazecalc.values.records import TileRecord
from glazecalc.values.results.learn import ClayReport, ConeLine, MissingFigure, PhaseShares, WetSize
from glazecalc.values.texts import phrase

_NEAR_K: Final = 60.0
_MEASURED_HALF: Final = 0.5
_BETWEEN_HALF: Final = 1.0
"""Half widths of a shrinkage measured at the cone and of one read between measured cones [% of the wet length]."""
_EXAMPLE_FIRED_G, _EXAMPLE_SOAKED_G, _EXAMPLE_WET_MM, _EXAMPLE_AFTER_MM = 52.3, 53.6, 100.0, 88.0


def clay_report(
    body: Body,
    shelf: Pantry,
    *,
    recipe: Recipe | None = None,
    cone: Cone | None = None,
    tiles: Sequence[TileRecord] = (),
    fired_mm: float | None = None,
    limits: Limits | None = None,
) -> ClayReport:
    """Everything known of ``body`` at ``cone``; ``recipe`` is its own card of ``kind: body``, if it has one."""
    cone = cone or usual_cone(body, None)
    composition = None if recipe is None else compose_recipe(recipe, shelf)[0]
    reasoned = None if composition is None else reasoned_body_expansion(composition, body.ware, cone)
    prior = body_estimate(known_body(body, cone, None, reasoned), REFERENCE_DEGC)
    learned = learned_body_expansion(body, tiles, cone, reasoned)
    best = learned or prior
    soaks, shrinks = absorption(body, cone), shrinkage(body, cone)
    estimates = [best, replace(prior, name="prior_expansion"), soaks]
    estimates += [shrinks] if shrinks is not None else []
    estimates += [replace(reasoned, name="reasoned_expansion")] if reasoned is not None else []
    limit = (limits or Limits()).tight_absorption_percent
    verdicts = (
        judge_clay_range(body.name, body.cone_low, body.cone_high, cone),
        judge_tight(body.name, cone, soaks, limit),
    )
    found = None if composition is None else phases(composition.mole_fractions[:1])
    drying = body.drying_shrinkage_percent
    soaked = {at.cone: at.percent for at in body.absorption_percent}
    shrunk = {at.cone: at.percent for at in body.shrinkage_percent}
    measured = sorted({*soaked, *shrunk}, key=ALL_CONES.index)
    return ClayReport(
        body=body.name,
        ware=body.ware,
        colour=body.colour,
        cone=None if cone is None else cone.name,
        cone_range=" to ".join(str(c) for c in (body.cone_low, body.cone_high) if c is not None),
        formula=None if composition is None else formula_of(composition, CONVENTIONS["alumina"]),
        phases=None
        if found is None
        else PhaseShares(*(float(a[0]) for a in (found.glass, found.mullite, found.quartz))),
        estimates=tuple(estimates),
        lines=tuple(ConeLine(at.name, soaked.get(at), shrunk.get(at)) for at in measured),
        wet_size=None if shrinks is None or fired_mm is None else wet_size(fired_mm, shrinks, drying),
        verdicts=verdicts,
        missing=_missing(body, cone, soaks),
        tiles=len(evidence(tiles, body.name, cone)[0]),
        sources=cited(estimates, last=("tight_practice",)),
    )


def usual_cone(body: Body, default: Cone | None) -> Cone | None:
    """The cone a clay is meant for: the studio's default within its range, else the nearer end of the range."""
    low, high = body.cone_low, body.cone_high
    if default is None:
        return high or low
    if high is not None and high < default:
        return high
    return low if low is not None and default < low else default


def shrinkage(body: Body, cone: Cone | None) -> Estimate | None:
    """Shrinkage from wet to fired [%]: measured, read between measured cones, or the spread of sixteen clays.

    A clay fired hotter shrinks no less, and fired cooler no more, than measured, until it bloats (common practice,
    no source).
    """
    found = at_cone(body.shrinkage_percent, cone)
    if found is not None:
        value, measured, how = found
        half = _MEASURED_HALF if measured else _BETWEEN_HALF
        return Estimate("shrinkage", value, max(value - half, 0.0), value + half, "%", Basis.SUPPLIER, (), (how,))
    if cone is None:
        return None
    spread = published_shrinkage(temperature_degC(cone))
    beside = beside_measured(body.shrinkage_percent, cone)
    if not spread and beside is None:
        return None
    caveats = [f"not measured: the spread of {len(spread)} firings of raw clays near this heat"] if spread else []
    low, value, high = (spread[0], spread[len(spread) // 2], spread[-1]) if spread else (0.0, 0.0, 0.0)
    if beside is not None:
        row, hotter = beside
        least, most = (row.percent, row.percent + 2.0 * _BETWEEN_HALF) if hotter else (0.0, row.percent)
        low, high = (max(low, least), max(high, most)) if hotter else (min(low, most), most)
        value = min(max(value, low), high)
        caveats.append(f"no {'less' if hotter else 'more'} than the {row.percent:g} % measured at cone {row.cone}")
    return Estimate(
        "shrinkage", value, low, high, "%", Basis.TYPICAL, ("clay_shrinkage_1891",) if spread else (), tuple(caveats)
    )


def published_shrinkage(degC: float) -> list[float]:
    """Shrinkages of the sixteen published clays fired within 60 K of ``degC``, least first [% of the wet length]."""
    rows = [row for row in read_table("clay_shrinkage") if row["degC"] and row["shrinkage_percent"]]
    return sorted(float(row["shrinkage_percent"]) for row in rows if abs(float(row["degC"]) - degC) <= _NEAR_K)


def wet_size(fired_mm: float, shrinks: Estimate, drying_percent: float | None = None) -> WetSize:
    """How big to make it wet for a fired size [mm]: fired / (1 - shrinkage); and how big that is when dry."""
    sizes = [fired_mm / (1.0 - percent / 100.0) for percent in (shrinks.value, shrinks.low, shrinks.high)]
    dry_mm = None if drying_percent is None else length_after_mm(sizes[0], drying_percent)
    wet, low, high = sizes
    return WetSize(fired_mm, wet, low, high, dry_mm)


def _missing(body: Body, cone: Cone | None, soaks: Estimate) -> tuple[MissingFigure, ...]:
    wanted: list[tuple[str, str, str]] = []
    if not body.expansion_is_measured:
        wanted.append(("expansion", "expansion", "Or fire a graded series of test tiles and let `learn` read them"))
    if at_cone(body.absorption_percent, cone) is None:
        value = absorption_percent(_EXAMPLE_FIRED_G, _EXAMPLE_SOAKED_G)
        weighed = "({:g g} - {:g g}) / {:g g} x 100 = {:.1f} %"
        words = phrase(weighed, _EXAMPLE_SOAKED_G, _EXAMPLE_FIRED_G, _EXAMPLE_FIRED_G, value)
        wanted.append(("absorption at this cone", "absorption", words))
    if at_cone(body.shrinkage_percent, cone) is None:
        value = shrinkage_percent(_EXAMPLE_WET_MM, _EXAMPLE_AFTER_MM)
        measured = "({:.0f mm} - {:.0f mm}) / {:.0f mm} x 100 = {:.0f} %"
        words = phrase(measured, _EXAMPLE_WET_MM, _EXAMPLE_AFTER_MM, _EXAMPLE_WET_MM, value)
        wanted.append(("shrinkage at this cone", "shrinkage", words))
    if soaks.value > 3.0:
        wanted.append(("growth by damp", "moisture expansion", "0.05 to 0.20 % is known of porous ware"))
    rows = {row["test"]: row for row in read_table("fit_tests")}
    return tuple(
        MissingFigure(what, rows[test]["standard"], phrase(rows[test]["how"]), words) for what, test, words in wanted
    )


# Is the clay tight at this cone: will an unglazed foot sweat and stain?

TIGHT_RULE: Final = "tight"
SPREAD: Final = "potters accept 0.5, 1, up to 3 % for a mug"


def judge_tight(body: str, cone: Cone | None, absorption: Estimate, limit_percent: float) -> Verdict:
    """Verdict on water absorption [%] against the studio's limit.

    A figure that is only usual for the class can but say `cannot say`.
    """
    at = f" at cone {cone}" if cone is not None else ""
    limit = f"the limit set is {limit_percent:g} %; {SPREAD}"
    takes = f"{body} takes up {absorption.value:.2g} % of water{at}"
    answer = Answer.CANNOT_SAY
    if absorption.basis in (Basis.TYPICAL, Basis.EXTRAPOLATED):
        unknown = f"its absorption is not measured (likely {absorption.low:.0f} to {absorption.high:.0f} %)"
        message = f"Cannot say whether {body} is tight{at}: {unknown}. Boil and weigh a tile."
    elif absorption.high <= limit_percent:
        answer, message = Answer.FITS, f"Tight: {takes}; {limit}."
    elif absorption.low > limit_percent:
        answer, harm = Answer.DOES_NOT_FIT, "An unglazed foot sweats, and damp growth can craze the glaze later."
        message = f"Not tight: {takes}; {limit}. {harm}"
    else:
        message = f"Cannot say: {takes}, close to the limit ({limit}). Boil and weigh more tiles."
    return Verdict(TIGHT_RULE, answer, message, ("absorption",))
