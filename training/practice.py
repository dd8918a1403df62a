"""Fits the level and the spread of the verdict on fit to what practice expects of ordinary glazes.

``practice_outcomes.csv`` holds 48 generic glazes with the chance that they stay sound, craze or shiver on an ordinary
clay of their class: judgements from memory of the trade, the mean of three independent judges (common practice, no
source; nothing was fired). They set level and spread, not order. The physics (``glazecalc/models/coat.py`` and
``body.py``) gives the rest; the few numbers fitted here are held to what was measured by priors.

Run ``python -m training.practice`` to fit and score, with ``--write`` to keep the figures and the card.
"""

from __future__ import annotations

import argparse
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from glazecalc.api import recipe_from_text, shelf
from glazecalc.chemistry.composition import Composition
from glazecalc.chemistry.oxides import OXIDES
from glazecalc.jobs.estimates import glaze_arrays
from glazecalc.jobs.fit import HIGH_RISK, fit_arrays, risk_word
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.materials import Pantry
from glazecalc.models import coat
from glazecalc.models.body import BodyExpansion, known_body
from glazecalc.models.viscosity import viscosity_curves
from glazecalc.values.cones import Cone
from glazecalc.values.data import TableFigure, figures, read_csv
from glazecalc.values.inputs import Body, WareClass
from training.data import Array, write_csv

HERE: Final = Path(__file__).resolve().parent
OUTCOMES: Final = HERE / "practice_outcomes.csv"
SECOND: Final = HERE / "second_outcomes.csv"
"""More glazes, by kinds that the first file hardly holds, judged by one from memory of the trade before any of them was
worked out (common practice, no source). They enter no fit."""
STRENGTHS: Final = HERE.parent / "materials" / "strengths.csv"
RESULTS: Final = HERE / "practice_results.json"
CARD: Final = HERE.parent / "docs" / "models" / "fit.md"
WARES: Final[dict[str, WareClass]] = {
    "stoneware-mid": "stoneware", "porcelain-mid": "porcelain", "stoneware-high": "stoneware",
    "porcelain-high": "porcelain", "earthenware": "earthenware",
}  # fmt: skip
"""The class of ware that the judges had in mind."""
PUBLISHED: Final = HERE.parent / "tests" / "published" / "fit_results.csv"
TRIALS: Final[dict[str, tuple[WareClass, str, str]]] = {
    "D03": ("terracotta", "010", "crazed"), "D05": ("terracotta", "010", "did not hold"),
    "D07": ("terracotta", "010", "did not hold"), "D11": ("terracotta", "010", "crazed"),
    "D15": ("earthenware", "08", "crazed, but for a very quartz-rich body"),
    "D17": ("earthenware", "08", "crazed, but for a very quartz-rich body"),
    "D09": ("terracotta", "010", "whole"),
    "D13": ("terracotta", "010", "whole"),
}  # fmt: skip
"""Trials of 1884 and 1889 whose glaze the models know: class of ware, the nearest cone, and how they came out."""
FITTED: Final = (
    "body_uptake", "crystal_relief", "lithia_relief", "fatigue_fraction", "glaze_compressive", "coat_spread",
)  # fmt: skip
PRIORS: Final = {
    "body_uptake": (0.25, 0.08, False), "crystal_relief": (6.0, 5.0, False), "lithia_relief": (21.0, 10.0, False),
    "fatigue_fraction": (0.5, 0.4, True),
    "glaze_compressive": (150.0, 0.3, True), "coat_spread": (1.0, 0.2, True),
}  # fmt: skip
"""Middle, deviation, and whether of the logarithm: a coat takes up 0.1 to 0.3 of clay (Inada 1978, Merritt and Peters
1926); crystals of a lime matte expand 1 to 3e-6/K less than its glass; where a third to all of the lithia turns to
crystals of spodumene's kind (six moles of oxide for one of lithia, expanding 5.3e-6/K less) it takes 10 to 32; glass
bears 0.3 to 0.9 of its strength for years; coats shiver from about 100 to 200 MPa."""


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """The glazes: estimates, each (n,), compositions (n, k), wares, groups of one base, and judged chances (n, 3)."""

    ids: tuple[str, ...]
    ware: tuple[str, ...]
    cone: tuple[str, ...]
    group: NDArray[np.intp]
    moles: Array
    value: Array
    sigma: Array
    transition: Array
    transition_sigma: Array
    modulus: Array
    chances: Array


def card_text(row: Mapping[str, str]) -> str:
    """A row of the practice file as a recipe card."""
    lines = [f"{m} {a}" for m, a in json.loads(row["base"]).items()]
    lines += [f"+ {m} {a}" for m, a in json.loads(row["additions"]).items()]
    return f"name: {row['id']}\ncone: {row['cone']}\n\n" + "\n".join(lines) + "\n"


def composed(row: Mapping[str, str], pantry: Pantry) -> Composition:
    """The fired composition (n = 1) of a row of the practice file."""
    composition = compose_recipe(recipe_from_text(card_text(row)), pantry)[0]
    assert composition is not None, row["id"]
    return composition


def estimated(moles: Array, sd: Array | None = None) -> tuple[float, float, float, float, float] | None:
    """Expansion, transition, each with its deviation, and modulus of one glaze (1, k); None where extrapolated."""
    arrays = glaze_arrays(moles, sd=sd)
    expansion, transition, modulus = (arrays[n] for n in ("expansion", "transition_temperature", "youngs_modulus"))
    if expansion.extrapolated[0] or transition.extrapolated[0]:
        return None
    stiff = math.nan if modulus.extrapolated[0] else float(modulus.value[0])
    parts = (p[0] for p in (expansion.value, expansion.sigma, transition.value, transition.sigma))
    return (*(float(p) for p in parts), stiff)  # type: ignore[return-value]


@cache
def judged(path: Path = OUTCOMES) -> Judged:
    """The glazes of a practice file that the models know; one they would extrapolate to is left out."""
    pantry, kept, found = shelf(), [], []
    for row in read_csv(path):
        composition = composed(row, pantry)
        numbers = estimated(composition.mole_fractions, composition.relative_sd)
        if numbers is None:
            continue
        kept.append(row)
        found.append((composition.mole_fractions[0], *numbers))
    columns = list(zip(*found, strict=True))
    groups = np.unique([row["base"] for row in kept], return_inverse=True)[1]
    chances = np.array([[float(row[k]) for k in ("sound", "crazed", "shivered")] for row in kept])
    glasses = [np.array(column) for column in columns]
    ids, wares, cones = (tuple(r[key] for r in kept) for key in ("id", "ware", "cone"))
    return Judged(ids, wares, cones, groups, *glasses, chances / chances.sum(axis=1)[:, None])  # type: ignore[call-arg]


@contextmanager
def figures_set(values: Mapping[str, float]) -> Iterator[None]:
    """Other values for rows of ``strengths.csv`` while the block runs; a row's spread moves with its value."""
    table = figures("strengths")
    kept = {name: table[name] for name in values}
    _set({name: moved(kept[name], value) for name, value in values.items()})
    try:
        yield
    finally:
        _set(kept)


def moved(row: TableFigure, value: float) -> TableFigure:
    """The row with another middle and ends at the same ratios."""
    ratio = value / row.value
    return row._replace(value=value, low=row.low * ratio, high=row.high * ratio)


def _set(rows: Mapping[str, TableFigure]) -> None:
    figures("strengths").update(rows)
    coat.lognormal_nodes.cache_clear()


def predicted(data: Judged, which: NDArray[np.intp]) -> Array:
    """Chances of sound, crazed, shivered of glazes on an ordinary clay of their class, (m, 3)."""
    out = np.zeros((len(which), 3))
    for ware, cone in {(data.ware[i], data.cone[i]) for i in which}:
        rows = np.array([k for k, i in enumerate(which) if (data.ware[i], data.cone[i]) == (ware, cone)])
        at = which[rows]
        glazes = [p[at] for p in (data.value, data.sigma, data.transition, data.transition_sigma, data.modulus)]
        out[rows] = _on_clay(glazes, data.moles[at], clay_of(ware, cone))
    return out


def _on_clay(glazes: Sequence[Array], moles: Array, clay: BodyExpansion) -> Array:
    """Chances of sound, crazed, shivered on one clay, (n, 3); ``glazes`` are parts as of :func:`estimated`, (n,)."""
    value, sigma, transition, transition_sigma, modulus = glazes
    value, sigma = coat.on_ware(value, sigma, moles)
    top, top_sigma = coat.setting_temperature(transition, transition_sigma)
    fit = fit_arrays(value, sigma, top, modulus, clay, set_sigma_K=top_sigma)
    return np.stack([fit.sound_probability, fit.crazing_probability, fit.shivering_probability], axis=1)


def clay_of(ware: str, cone: str) -> BodyExpansion:
    """An ordinary clay of a class, known by its class only."""
    return known_body(Body(name=ware, ware=WARES[ware]), Cone.parse(cone))


def cross_entropy(data: Judged, chances: Array, which: NDArray[np.intp]) -> float:
    """Mean of -sum p ln q of judged chances p and predicted q."""
    return float(-(data.chances[which] * np.log(np.clip(chances, 1e-3, 1.0))).sum(axis=1).mean())


def _values(x: Sequence[float]) -> dict[str, float]:
    return {n: math.exp(v) if PRIORS[n][2] else float(v) for n, v in zip(FITTED, x, strict=True)}


def fitted(data: Judged, which: NDArray[np.intp], near: Mapping[str, float] | None = None) -> dict[str, float]:
    """The likeliest values of :data:`FITTED` for these glazes under the priors; the search starts at ``near``."""
    start = [math.log(m) if log else m for m, _, log in (PRIORS[n] for n in FITTED)]
    widths = np.array([PRIORS[n][1] for n in FITTED])

    def cost(x: Array) -> float:
        values = _values(x.tolist())
        if not 0.0 <= values["body_uptake"] <= 0.6 or values["fatigue_fraction"] > 1.5:
            return 1e6
        with figures_set(values):
            score = cross_entropy(data, predicted(data, which), which)
        return score + 0.5 * float((((x - np.array(start)) / widths) ** 2).sum()) / len(which)

    begin = np.array(start if near is None else [math.log(near[n]) if PRIORS[n][2] else near[n] for n in FITTED])
    simplex = np.vstack([begin, begin + np.diag(0.2 * widths)])
    options = {"maxiter": 900, "xatol": 3e-3, "fatol": 2e-5, "initial_simplex": simplex}
    found = minimize(cost, begin, method="Nelder-Mead", options=options)
    return _values(found.x.tolist())


def left_out(data: Judged, near: Mapping[str, float]) -> Array:
    """Chances (n, 3), each group of one base predicted by a fit without it; ``near`` is the fit to all."""
    out = np.zeros_like(data.chances)
    for group in np.unique(data.group):
        inside = np.flatnonzero(data.group == group)
        with figures_set(fitted(data, np.flatnonzero(data.group != group), near)):
            out[inside] = predicted(data, inside)
    return out


# What was tried beside it, scored in the same way.

SHEAR_MODULUS: Final = 28e9
"""Of a glaze glass [Pa] (handbook value, from memory)."""
COOLING_K_PER_H: Final = 100.0
"""How fast a small kiln cools through the transition of its glazes (common practice, no source)."""
LOW_FIRE_UPTAKE: Final = 0.4
HIGH_FIRE_UPTAKE: Final = 1.15
"""Clay that an earthenware and a high-fire coat take up, against a mid-range one: layers of 10 to 30 um against
about 50 (from memory: M. S. Tite et al., Archaeometry 40 (1998) 241), and by the same slope some more at cone 10."""
SODA_PULL: Final = 3.0
"""What glazes of soda feldspar and nepheline would have to expand more for each mole fraction of soda beyond 0.04, by
the eye on their residuals [1e-6/K]; why they should, no physics at hand says."""


def relaxed_setting(moles: Array, step_K: float = 0.5) -> Array:
    """Temperature [degC] from which a coat that never relaxed would have the stress that it has when cold, (n,).

    Stress that grows with the cooling and relaxes at the rate shear modulus over viscosity (J. C. Maxwell, 1867),
    integrated with each melt's own curve from log10 viscosity 9 down to the solid glass.
    """
    curves = viscosity_curves(moles)
    degC, held = np.array(curves.degC(9.0)), np.zeros(len(moles))
    for _ in range(int(700.0 / step_K)):
        rate = SHEAR_MODULUS / 10.0 ** curves.log_viscosity(degC) * 3600.0 / COOLING_K_PER_H
        held = held * np.exp(-step_K * rate) + step_K
        degC = degC - step_K
    return np.asarray(degC + held)


def variants(data: Judged) -> dict[str, Judged]:
    """The same glazes worked out another way, by what it is."""
    relaxed = relaxed_setting(data.moles)
    away = relaxed - data.transition
    melt, usual = coat.figure("body_melt_expansion").value, coat.figure("body_uptake").value
    low = np.array([ware == "earthenware" for ware in data.ware])
    high = np.array([ware.endswith("-high") for ware in data.ware])
    share = np.where(low, LOW_FIRE_UPTAKE, np.where(high, HIGH_FIRE_UPTAKE, 1.0))
    by_heat = melt + (data.value - melt) * (1.0 - share * usual) / (1.0 - usual)
    soda = SODA_PULL * (data.moles[:, OXIDES.index("Na2O")] - 0.04)
    setting = coat.figure("set_above_transition").value
    words = f"{away.mean():+.0f} K from the transition, one deviation {away.std():.0f} K"
    return {
        "as it is": data,
        f"stress relaxed along the cooling by each melt's own curve ({words})": replace(
            data, transition=relaxed - setting
        ),
        "the same, moved by what all have in common": replace(data, transition=data.transition + away - away.mean()),
        "an earthenware coat takes up 0.4 of the clay": replace(data, value=np.where(low, by_heat, data.value)),
        "the same, and a high-fire coat 1.15": replace(data, value=by_heat),
        f"soda raises by {SODA_PULL:g}e-6/K for each mole fraction beyond 0.04": replace(data, value=data.value + soda),
        "the usual stiffness for every glaze": replace(data, modulus=np.full_like(data.modulus, np.nan)),
    }


PARTS: Final = 8
"""Parts that whole bases are left out in where only the difference to another way counts."""


def scored(data: Judged) -> dict[str, float]:
    """Cross-entropy fitted on all, and with bases left out in :data:`PARTS` parts."""
    every = np.arange(len(data.ids))
    data = replace(data, group=data.group % PARTS)
    values = fitted(data, every)
    with figures_set(values):
        inside = cross_entropy(data, predicted(data, every), every)
    return {"inside": inside, "left_out": cross_entropy(data, left_out(data, values), every)}


def summary(data: Judged, chances: Array) -> dict[str, float]:
    """Cross-entropy, bias of sound, and how the verdicts at the levels of a clay known by its class agree."""
    every = np.arange(len(data.ids))
    sound, crazed = data.chances[:, 0] >= 0.6, data.chances[:, 1] >= 0.6
    no = np.maximum(chances[:, 1], chances[:, 2])
    return {
        "glazes": len(data.ids),
        "cross_entropy": cross_entropy(data, chances, every),
        "floor": cross_entropy(data, data.chances, every),
        "bias_of_sound": float((chances[:, 0] - data.chances[:, 0]).mean()),
        "correlation": float(np.corrcoef(chances[:, 0], data.chances[:, 0])[0, 1]),
        "sound_told_yes": float((chances[sound, 0] >= 0.65).mean()),
        "sound_told_no": float((no[sound] >= 0.80).mean()),
        "crazers_told_no": float((chances[crazed, 1] >= 0.80).mean()),
        "crazers_told_high_risk": float(np.mean([risk_word(p) == "high" for p in chances[crazed, 1].tolist()])),
        "crazers_at_the_level": float((chances[crazed, 1] >= HIGH_RISK).mean()),
        "crazers_told_likely": float((chances[crazed, 1] >= 0.5).mean()),
    }


APART: Final = 0.3
"""Difference of a chance from the judged one that is named in the card."""


def far_apart(data: Judged, chances: Array) -> dict[str, list[float]]:
    """Glazes with a chance told :data:`APART` or more off the judged: judged sound, crazed, shivered, and told."""
    off = np.flatnonzero(np.abs(chances - data.chances).max(axis=1) >= APART)
    return {data.ids[i]: [*data.chances[i].tolist(), *chances[i].tolist()] for i in off}


def by_ware(data: Judged, chances: Array) -> dict[str, list[float]]:
    """For each ware: glazes, the judges' mean chances of sound, crazed, shivered, and those told."""
    found = {}
    for ware in dict.fromkeys(data.ware):
        rows = np.array([w == ware for w in data.ware])
        means = np.concatenate([data.chances[rows].mean(axis=0), chances[rows].mean(axis=0)])
        found[ware] = [float(rows.sum()), *means.tolist()]
    return found


def trials() -> dict[str, list[float]]:
    """Chances of sound, crazed, shivered for the published trials that the models know; they enter no fit."""
    found = {}
    for name, (ware, cone, _) in TRIALS.items():
        row = next(r for r in read_csv(PUBLISHED) if r["id"] == name)
        moles = np.zeros((1, len(OXIDES)))
        for oxide in ("K2O", "Na2O", "CaO", "BaO", "ZnO", "PbO", "Al2O3", "SiO2", "B2O3"):
            shared = float(row["KNaO"] or 0.0) / 2.0 if oxide in ("K2O", "Na2O") else 0.0
            moles[0, OXIDES.index(oxide)] = float(row[oxide] or 0.0) + shared
        glaze = estimated(moles / moles.sum())
        assert glaze is not None, name
        clay = known_body(Body(name=ware, ware=ware), Cone.parse(cone))
        found[name] = _on_clay([np.atleast_1d(part) for part in glaze], moles / moles.sum(), clay)[0].tolist()
    return found


_MEASURES: Final = (
    ("cross-entropy (floor: the judges' own)", "cross_entropy", "{:.3f}"),
    ("mean chance of sound less the judges'", "bias_of_sound", "{:+.3f}"),
    ("correlation of the chance of sound", "correlation", "{:.2f}"),
    ("judged sound (60 % or more): told yes", "sound_told_yes", "{:.0%}"),
    ("judged sound: told no", "sound_told_no", "{:.0%}"),
    ("judged crazers (60 % or more): told no", "crazers_told_no", "{:.0%}"),
    ("judged crazers: told no, or a high risk of crazing (65 % as shown)", "crazers_told_high_risk", "{:.1%}"),
    ("the same, chances of 64.5 to 65 % not counted", "crazers_at_the_level", "{:.1%}"),
    ("judged crazers: at least 50 % likely to craze", "crazers_told_likely", "{:.0%}"),
)


def card(results: Mapping[str, Any]) -> str:
    """The model card of the verdict on fit, in Markdown."""
    values, inside, outside = results["fitted"], results["inside"], results["left_out"]
    table = [f"| {label} | {form.format(inside[k])} | {form.format(outside[k])} |" for label, k, form in _MEASURES]
    numbers = [f"| `{name}` | {PRIORS[name][0]:g} | {values[name]:.3g} |" for name in FITTED]
    wares = [
        f"| {ware} | {row[0]:.0f} | {_shares(row[1:4])} | {_shares(row[4:])} |"
        for ware, row in results["by_ware"].items()
    ]
    old = [f"| {name} | {TRIALS[name][2]} | {_shares(row)} |" for name, row in results["trials"].items()]
    text = (HERE / "practice_card.md").read_text(encoding="utf-8")
    parts = {
        "NUMBERS": "\n".join(numbers), "TABLE": "\n".join(table), "COUNT": f"{inside['glazes']:.0f}",
        "FLOOR": f"{inside['floor']:.3f}", "TRIED": _tried(results["tried"]), "WARES": "\n".join(wares),
        "TRIALS": "\n".join(old), **_second_parts(results["second"]),
    }  # fmt: skip
    for name, part in parts.items():
        text = text.replace("{" + name + "}", part)
    return text


def _second_parts(second: Mapping[str, Any]) -> dict[str, str]:
    table = [f"| {label} | {form.format(second['summary'][key])} |" for label, key, form in _MEASURES]
    wares = [
        f"| {ware} | {row[0]:.0f} | {_shares(row[1:4])} | {_shares(row[4:])} |"
        for ware, row in second["by_ware"].items()
    ]
    kinds = {row["id"]: row["kind"] for row in read_csv(SECOND)}
    apart = [f"| {kinds[n]} | {_shares(row[:3])} | {_shares(row[3:])} |" for n, row in second["apart"].items()]
    return {
        "SECOND_COUNT": f"{second['summary']['glazes']:.0f}", "SECOND_FLOOR": f"{second['summary']['floor']:.3f}",
        "SECOND_TABLE": "\n".join(table), "SECOND_WARES": "\n".join(wares), "SECOND_APART": "\n".join(apart),
    }  # fmt: skip


def second_set() -> dict[str, Any]:
    """How the glazes of :data:`SECOND`, which entered no fit, are told by the figures as they are set."""
    data = judged(SECOND)
    chances = predicted(data, np.arange(len(data.ids)))
    return {"summary": summary(data, chances), "by_ware": by_ware(data, chances), "apart": far_apart(data, chances)}


def _tried(found: Mapping[str, Mapping[str, float]]) -> str:
    return "\n".join(f"| {name} | {row['inside']:.3f} | {row['left_out']:.3f} |" for name, row in found.items())


def _shares(chances: Sequence[float]) -> str:
    return ", ".join(f"{100.0 * c:.0f}" for c in chances)


def main() -> None:
    """Fit, score, and with ``--write`` keep the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--quick", action="store_true", help="do not leave groups out")
    args = parser.parse_args()
    data = judged()
    every = np.arange(len(data.ids))
    print("as kept:", {k: round(v, 3) for k, v in summary(data, predicted(data, every)).items()})
    values = fitted(data, every)
    with figures_set(values):
        print(values)
        inside, old, second = summary(data, predicted(data, every)), trials(), second_set()
        print("fitted:", {k: round(v, 3) for k, v in inside.items()})
    if not args.quick:
        apart = left_out(data, values)
        outside = summary(data, apart)
        print("left out:", {k: round(v, 3) for k, v in outside.items()})
        if args.write:
            write_figures(values)
            wares = by_ware(data, apart)
            results = {
                "fitted": values, "inside": inside, "left_out": outside, "by_ware": wares, "trials": old,
                "second": second,
                "tried": {name: scored(other) for name, other in variants(data).items()},
            }  # fmt: skip
            RESULTS.write_text(json.dumps(results, indent=1) + "\n", encoding="utf-8")
            CARD.write_text(card(results), encoding="utf-8")


def write_figures(values: Mapping[str, float]) -> None:
    """Keep the fitted values in ``materials/strengths.csv``, to three figures."""
    rows = read_csv(STRENGTHS)
    for row in rows:
        if row["name"] in values and f"{values[row['name']]:.3g}" != f"{float(row['value']):.3g}":
            ratio = values[row["name"]] / float(row["value"])
            row |= {key: f"{float(row[key]) * ratio:.3g}" for key in ("value", "low", "high")}
    write_csv(STRENGTHS, rows)


if __name__ == "__main__":
    main()
