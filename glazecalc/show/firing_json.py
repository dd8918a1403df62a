"""A firing as the JSON of the contract."""

from __future__ import annotations

from typing import Any

from glazecalc.show.json_form import estimates_json, verdict_json
from glazecalc.show.kiln_json import curve_json
from glazecalc.show.units import fahrenheit
from glazecalc.values.firing_report import FiringReport


def firing_json(report: FiringReport) -> dict[str, Any]:
    """One firing: segments, cones, what the kiln makes of it."""
    return {
        "title": report.title,
        "kind": report.kind,
        "cone": _name(report.cone),
        "kiln": report.kiln,
        "circuit": report.circuit,
        "answer": report.answer.value if report.answer else None,
        "sentence": report.sentence,
        "segments": [
            {
                "rate_degC_per_h": s.rate_degC_per_h,
                "to_degC": s.to_degC,
                "hold_h": s.hold_h,
                "rate_degF_per_h": s.rate_degC_per_h * 9 / 5,
                "to_degF": fahrenheit(s.to_degC),
                "ends_at_h": s.ends_at_h,
                "why": s.why,
                "kept_chance": s.kept,
                "asked_degC_per_h": s.asked_degC_per_h,
            }
            for s in report.segments
        ],
        "total_h": report.total_h,
        "cones": [
            {"cone": str(c.cone), "bends_at_h": c.bends_at_h, "bends_at_degC": c.bends_at_degC, "done": c.done}
            for c in report.cones
        ],
        "reached_cone": _name(report.reached_cone),
        "reached_cone_low": _name(report.cone_low),
        "reached_cone_high": _name(report.cone_high),
        "witness_cones": [str(c) for c in report.witness_cones],
        "hold_worth_degC": report.hold_worth_K,
        "verdicts": [verdict_json(v) for v in report.verdicts],
        "cannot_follow": list(report.cannot_follow),
        "turn_ups": [{"at_h": t.at_h, "degC": t.degC, "text": t.text} for t in report.turn_ups],
        "safety": [{"stage": n.stage, "text": n.text} for n in report.safety],
        "estimates": estimates_json(report.estimates),
        "planned_curve": [{"hours": h, "degC": t} for h, t in report.planned],
        "predicted_curve": curve_json(report.predicted),
        "notes": list(report.notes),
        "sources": list(report.sources),
    }


def _name(cone: object) -> str | None:
    return None if cone is None else str(cone)
