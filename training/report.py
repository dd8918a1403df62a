"""The goal table: what was aimed at, what the held-out sets say, in one dictionary and as text."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

import numpy as np

from glazecalc.models.domain import coefficients
from training import held_out
from training.cones import cone_gaps
from training.grains import grains_scores
from training.held_out import Score, score
from training.joins import joins_scores
from training.speed import rows_per_second
from training.standards import standards_summary

RESULTS: Final = Path(__file__).resolve().parents[1] / "docs" / "models" / "results.json"


def scores() -> dict[str, Score]:
    """Every held-out score that is reported."""
    found = {key: score(key, "after", "glass") for key in held_out.MODELS}
    found["expansion_glaze"] = score("expansion", "glaze", "glaze")
    return found


def results() -> dict[str, Any]:
    """All reported numbers, ready for JSON."""
    level, gaps = cone_gaps()
    return {
        "held_out": {name: _rounded(asdict(value)) for name, value in scores().items()},
        "left_out": {key: coefficients(key)["provenance"] for key in held_out.MODELS},
        "cones": {"log_viscosity": level, "gaps_K": {name: round(gap, 1) for name, gap in gaps.items()}},
        "joins": joins_scores(),
        "firing": coefficients("firing"),
        "grains": grains_scores(),
        "standards": standards_summary(),
    }


def _rounded(values: dict[str, Any]) -> dict[str, Any]:
    return {key: value if isinstance(value, int) else float(f"{value:.4g}") for key, value in values.items()}


def write(found: dict[str, Any], extra: dict[str, Any] | None = None) -> Path:
    """Keep the numbers for the model cards; ``extra`` holds what only the fitting run can tell."""
    kept = json.loads(RESULTS.read_text(encoding="utf-8")) if RESULTS.is_file() else {}
    RESULTS.parent.mkdir(parents=True, exist_ok=True)
    whole = {**kept, **found, **(extra or {})}
    RESULTS.write_text(json.dumps(whole, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    return RESULTS


def goal_rows(found: dict[str, Any]) -> list[tuple[str, str, str, bool]]:
    """What, goal, reached, met."""
    h = found["held_out"]
    rows: list[tuple[str, str, str, bool]] = []

    def limit(what: str, value: float, most: float, unit: str) -> None:
        rows.append((what, f"<= {most:g} {unit}", f"{value:.3g} {unit}", value <= most))

    def between(what: str, value: float, low: float, high: float) -> None:
        rows.append((what, f"{low:.0%} to {high:.0%}", f"{value:.1%}", low <= value <= high))

    a, b, v = h["expansion"], h["expansion_glaze"], h["viscosity"]
    limit("expansion after 2009, median error", a["median"], 0.18, "1e-6/K")
    limit("expansion after 2009, 90th percentile", a["p90"], 0.65, "1e-6/K")
    limit("expansion of glaze papers, median error", b["median"], 0.34, "1e-6/K")
    limit("expansion of glaze papers, 90th percentile", b["p90"], 1.05, "1e-6/K")
    between("90 % interval as glass, after 2009, holds", a["coverage"], 0.87, 0.94)
    limit("90 % interval as glass, median width", a["width"], 1.5, "1e-6/K")
    between("90 % interval as glaze, glaze papers, holds", b["coverage"], 0.85, 1.0)
    limit("90 % interval as glaze, median width", b["width"], 2.6, "1e-6/K")
    limit("temperature at log viscosity 3, median error", v["median"], 20.0, "K")
    limit("temperature at log viscosity 3, 90th percentile", v["p90"], 65.0, "K")
    between("its 90 % interval holds", v["coverage"], 0.87, 0.94)
    left = found["left_out"]["viscosity"]
    limit("temperature at log viscosity 3, left-out papers", left["left_out_core_median_error"], 20.0, "K")
    limit("its 90th percentile, left-out papers", left["left_out_core_p90_error"], 65.0, "K")
    limit("transition temperature, median error", h["transition"]["median"], 17.0, "K")
    limit("Young's modulus, median error", h["modulus"]["median"], 1.9, "GPa")
    limit("liquidus temperature, median error", h["liquidus"]["median"], 48.0, "K")
    worst = max(abs(gap) for gap in found["cones"]["gaps_K"].values())
    limit("Seger cones 4 to 12 at one viscosity, worst", worst, 15.0, "K")
    s = found["standards"]
    between("standard glasses, values inside the 90 % interval", s["within_fit_inside"] / s["within_fit"], 0.9, 1.0)
    return rows


def speed_rows() -> list[tuple[str, str, str, bool]]:
    """What, goal, reached, met, of the speed here and now."""
    rows = []
    for traces, what in ((False, "16 oxides"), (True, "all 47 oxides")):
        rate, ratio = rows_per_second(traces)
        rows.append((f"expansion with interval, {what}", ">= 1 million/s", f"{rate / 1e6:.2f} million/s", rate >= 1e6))
        rows.append((f"its time beside its bare products, {what}", "<= 3 x", f"{ratio:.2f} x", ratio <= 3.0))
    return rows


def as_text(found: dict[str, Any]) -> str:
    """The goal table in plain columns."""
    lines = [f"{'on the held-out sets':52} {'goal':18} {'reached':16}"]
    for what, goal, reached, met in (*goal_rows(found), *speed_rows()):
        lines.append(f"{what:52} {goal:18} {reached:16} {'met' if met else 'not met'}")
    low, high = found.get("scatter", {}).get("median_90_percent", (np.nan, np.nan))
    if np.isfinite(low):
        lines.append(f"drawing papers again, the first median lies between {low:.3f} and {high:.3f} (90 %)")
    return "\n".join(lines)
