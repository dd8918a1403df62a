"""Fits the level and the spread of the verdict on fit to what practice expects of ordinary glazes.

``practice_outcomes.csv`` holds 48 generic glazes with the chance that they stay sound, craze or shiver on an ordinary
clay of their class: judgements from memory of the trade, the mean of three independent judges (common practice, no
source; nothing was fired). They set level and spread, not order. The physics (``glazecalc/models/coat.py`` and
``body.py``) gives the rest; the few numbers fitted here are held to what was measured by priors.

Run ``python -m training.practice`` to fit and score, with ``--write`` to keep the figures and the card.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from glazecalc.api import recipe_from_text, shelf
from glazecalc.chemistry.composition import Composition
from glazecalc.jobs.estimates import glaze_arrays
from glazecalc.jobs.fit import fit_arrays
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.materials import Pantry
from glazecalc.models import coat
from glazecalc.models.body import BodyExpansion, known_body
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, WareClass

Array = NDArray[np.float64]

HERE: Final = Path(__file__).resolve().parent
OUTCOMES: Final = HERE / "practice_outcomes.csv"
STRENGTHS: Final = HERE.parent / "materials" / "strengths.csv"
RESULTS: Final = HERE / "practice_results.json"
CARD: Final = HERE.parent / "docs" / "models" / "fit.md"
WARES: Final[dict[str, WareClass]] = {
    "stoneware-mid": "stoneware", "porcelain-mid": "porcelain", "stoneware-high": "stoneware",
    "porcelain-high": "porcelain", "earthenware": "earthenware",
}  # fmt: skip
"""The class of ware that the judges had in mind."""
FITTED: Final = (
    "body_uptake", "crystal_relief", "lithia_relief", "fatigue_fraction", "glaze_compressive", "coat_spread",
)  # fmt: skip
PRIORS: Final = {
    "body_uptake": (0.25, 0.08, False), "crystal_relief": (6.0, 5.0, False), "lithia_relief": (10.0, 10.0, False),
    "fatigue_fraction": (0.5, 0.4, True),
    "glaze_compressive": (150.0, 0.3, True), "coat_spread": (1.0, 0.2, True),
}  # fmt: skip
"""Middle, deviation, and whether of the logarithm: a coat takes up 0.1 to 0.3 of clay (Inada 1978, Merritt and Peters
1926); crystals of a lime matte expand 1 to 3e-6/K less than its glass; a coat with a tenth of lithia may turn to a
quarter of crystals of spodumene's kind, which expand 0 to 2e-6/K; glass bears 0.3 to 0.9 of its strength
for years; coats shiver from about 100 to 200 MPa."""


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


def composed(row: Mapping[str, str], pantry: Pantry) -> Composition:
    """The fired composition (n = 1) of a row of the practice file."""
    lines = [f"{m} {a}" for m, a in json.loads(row["base"]).items()]
    lines += [f"+ {m} {a}" for m, a in json.loads(row["additions"]).items()]
    card = recipe_from_text(f"name: {row['id']}\ncone: {row['cone']}\n\n" + "\n".join(lines) + "\n")
    composition = compose_recipe(card, pantry)[0]
    assert composition is not None, row["id"]
    return composition


@cache
def judged(path: Path = OUTCOMES) -> Judged:
    """The glazes of a practice file that the models know; one they would extrapolate to is left out."""
    rows, pantry, kept, found = [], shelf(), [], []
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    for row in rows:
        composition = composed(row, pantry)
        arrays = glaze_arrays(composition.mole_fractions, sd=composition.relative_sd)
        expansion, transition, modulus = (arrays[n] for n in ("expansion", "transition_temperature", "youngs_modulus"))
        if expansion.extrapolated[0] or transition.extrapolated[0]:
            continue
        kept.append(row)
        stiff = math.nan if modulus.extrapolated[0] else modulus.value[0]
        numbers = (expansion.value[0], expansion.sigma[0], transition.value[0], transition.sigma[0], stiff)
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
    table = coat.figures()
    kept = {name: table[name] for name in values}
    _set({name: moved(kept[name], value) for name, value in values.items()})
    try:
        yield
    finally:
        _set(kept)


def moved(row: coat.Figure, value: float) -> coat.Figure:
    """The row with another middle and ends at the same ratios."""
    ratio = value / row.value
    return row._replace(value=value, low=row.low * ratio, high=row.high * ratio)


def _set(rows: Mapping[str, coat.Figure]) -> None:
    coat.figures().update(rows)
    coat.lognormal_nodes.cache_clear()


def predicted(data: Judged, which: NDArray[np.intp]) -> Array:
    """Chances of sound, crazed, shivered of glazes on an ordinary clay of their class, (m, 3)."""
    out = np.zeros((len(which), 3))
    for ware, cone in {(data.ware[i], data.cone[i]) for i in which}:
        rows = np.array([k for k, i in enumerate(which) if (data.ware[i], data.cone[i]) == (ware, cone)])
        at = which[rows]
        value, sigma = coat.on_ware(data.value[at], data.sigma[at], data.moles[at])
        top, top_sigma = coat.setting_temperature(data.transition[at], data.transition_sigma[at])
        fit = fit_arrays(value, sigma, top, data.modulus[at], clay_of(ware, cone), set_sigma_K=top_sigma)
        out[rows] = np.stack([fit.sound_probability, fit.crazing_probability, fit.shivering_probability], axis=1)
    return out


def clay_of(ware: str, cone: str) -> BodyExpansion:
    """An ordinary clay of a class, known by its class only."""
    return known_body(Body(name=ware, ware=WARES[ware]), Cone.parse(cone))


def cross_entropy(data: Judged, chances: Array, which: NDArray[np.intp]) -> float:
    """Mean of -sum p ln q of judged chances p and predicted q."""
    return float(-(data.chances[which] * np.log(np.clip(chances, 1e-3, 1.0))).sum(axis=1).mean())


def _values(x: Sequence[float]) -> dict[str, float]:
    return {n: math.exp(v) if PRIORS[n][2] else float(v) for n, v in zip(FITTED, x, strict=True)}


def fitted(data: Judged, which: NDArray[np.intp]) -> dict[str, float]:
    """The likeliest values of :data:`FITTED` for these glazes under the priors."""
    start = [math.log(m) if log else m for m, _, log in (PRIORS[n] for n in FITTED)]
    widths = np.array([PRIORS[n][1] for n in FITTED])

    def cost(x: Array) -> float:
        values = _values(x.tolist())
        if not 0.0 <= values["body_uptake"] <= 0.6 or values["fatigue_fraction"] > 1.5:
            return 1e6
        with figures_set(values):
            score = cross_entropy(data, predicted(data, which), which)
        return score + 0.5 * float((((x - np.array(start)) / widths) ** 2).sum()) / len(which)

    found = minimize(
        cost, np.array(start), method="Nelder-Mead", options={"maxiter": 900, "xatol": 2e-3, "fatol": 1e-5}
    )
    return _values(found.x.tolist())


def left_out(data: Judged) -> Array:
    """Chances (n, 3), each group of one base predicted by a fit without it."""
    out = np.zeros_like(data.chances)
    for group in np.unique(data.group):
        inside = np.flatnonzero(data.group == group)
        with figures_set(fitted(data, np.flatnonzero(data.group != group))):
            out[inside] = predicted(data, inside)
    return out


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
        "crazers_told_high_risk": float((chances[crazed, 1] >= 0.5).mean()),
    }


def card(results: Mapping[str, Mapping[str, float]]) -> str:
    """The model card of the verdict on fit, in Markdown."""
    values, inside, outside = results["fitted"], results["inside"], results["left_out"]
    rows = [
        ("cross-entropy (floor: the judges' own)", "cross_entropy", "{:.3f}"),
        ("mean chance of sound less the judges'", "bias_of_sound", "{:+.3f}"),
        ("correlation of the chance of sound", "correlation", "{:.2f}"),
        ("judged sound (60 % or more): told yes", "sound_told_yes", "{:.0%}"),
        ("judged sound: told no", "sound_told_no", "{:.0%}"),
        ("judged crazers (60 % or more): told no", "crazers_told_no", "{:.0%}"),
        ("judged crazers: at least 50 % likely to craze", "crazers_told_high_risk", "{:.0%}"),
    ]
    table = [f"| {label} | {form.format(inside[key])} | {form.format(outside[key])} |" for label, key, form in rows]
    numbers = [f"| `{name}` | {PRIORS[name][0]:g} | {values[name]:.3g} |" for name in FITTED]
    text = (HERE / "practice_card.md").read_text(encoding="utf-8")
    count, floor = f"{inside['glazes']:.0f}", f"{inside['floor']:.3f}"
    parts = {"NUMBERS": "\n".join(numbers), "TABLE": "\n".join(table), "COUNT": count, "FLOOR": floor}
    for name, part in parts.items():
        text = text.replace("{" + name + "}", part)
    return text


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
        inside = summary(data, predicted(data, every))
        print("fitted:", {k: round(v, 3) for k, v in inside.items()})
    if not args.quick:
        outside = summary(data, left_out(data))
        print("left out:", {k: round(v, 3) for k, v in outside.items()})
        if args.write:
            results = {"fitted": values, "inside": inside, "left_out": outside}
            RESULTS.write_text(json.dumps(results, indent=1) + "\n", encoding="utf-8")
            CARD.write_text(card(results), encoding="utf-8")
    if args.write:
        write_figures(values)


def write_figures(values: Mapping[str, float]) -> None:
    """Keep the fitted values in ``materials/strengths.csv``, to three figures."""
    with STRENGTHS.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    for row in rows:
        if row["name"] in values and f"{values[row['name']]:.3g}" != f"{float(row['value']):.3g}":
            ratio = values[row["name"]] / float(row["value"])
            row |= {key: f"{float(row[key]) * ratio:.3g}" for key in ("value", "low", "high")}
    with STRENGTHS.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
