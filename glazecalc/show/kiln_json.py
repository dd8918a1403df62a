"""A kiln's set-up check as the JSON of the contract."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from glazecalc.show.json_form import estimate_json, estimates_json, verdict_json
from glazecalc.values.ceiling import Ceiling
from glazecalc.values.kiln_report import CurvePoint, KilnReport, PlaceResult, WearTrend
from glazecalc.values.mains import CircuitResult, Reason


def kiln_json(report: KilnReport) -> dict[str, Any]:
    """One kiln."""
    ceiling = report.ceiling
    return {
        "kiln": report.kiln,
        "circuit": report.circuit,
        "answer": report.answer.value,
        "sentence": report.sentence,
        "circuits": [circuit_json(c) for c in report.circuits],
        "verdicts": [verdict_json(v) for v in report.verdicts],
        "estimates": estimates_json((*report.estimates, *(report.place.estimates if report.place else ()))),
        "ceiling": None if ceiling is None else ceiling_json(ceiling),
        "heating_curve": curve_json(report.heating),
        "cooling_curve": curve_json(report.cooling),
        "pieces_per_firing": {s.piece: s.per_firing for s in report.stacks},
        "stacking": [
            {
                "piece": s.piece,
                "per_level": s.per_level,
                "levels": s.levels,
                "levels_by_height": s.levels_by_height,
                "per_firing": s.per_firing,
            }
            for s in report.stacks
        ],
        "place": None if report.place is None else place_json(report.place),
        "wear": None if report.wear is None else wear_json(report.wear),
        "cautions": list(report.cautions),
        "next_steps": list(report.next_steps),
        "sources": list(report.sources),
    }


def circuit_json(result: CircuitResult) -> dict[str, Any]:
    """One circuit of the contract."""
    return {
        "name": result.name,
        "answer": result.answer.value,
        "load_A": result.load_A,
        "breaker_A": result.breaker_A,
        "minimum_breaker_A": result.minimum_breaker_A,
        "continuous_limit_A": result.continuous_limit_A,
        "voltage_drop_V": result.voltage_drop_V,
        "volts_at_kiln_V": result.volts_at_kiln_V,
        "power_fraction": result.power_fraction,
        "reasons": reasons_json(result.reasons),
    }


def reasons_json(reasons: Iterable[Reason]) -> list[dict[str, str]]:
    """Reasons: code, message, and the answer each speaks for."""
    return [{"code": r.code, "message": r.message, "answer": r.answer.value} for r in reasons]


def ceiling_json(ceiling: Ceiling) -> dict[str, Any]:
    """The ceiling in cones, and every cone with its chance and hours."""
    return {
        "cone": str(ceiling.cone) if ceiling.cone else None,
        "cone_low": str(ceiling.cone_low) if ceiling.cone_low else None,
        "cone_high": str(ceiling.cone_high) if ceiling.cone_high else None,
        "notes": list(ceiling.notes),
        "cones": [
            {"cone": str(c.cone), "chance": c.chance, "hours": None if c.hours is None else estimate_json(c.hours)}
            for c in ceiling.cones
        ],
    }


def curve_json(points: Iterable[CurvePoint]) -> list[dict[str, float]]:
    """A curve with its interval."""
    return [{"hours": p.hours, "degC": p.degC, "low_degC": p.low_degC, "high_degC": p.high_degC} for p in points]


def place_json(place: PlaceResult) -> dict[str, Any]:
    """Where it stands."""
    return {
        "room": place.room,
        "answer": place.answer.value,
        "reasons": reasons_json(place.reasons),
        "estimates": estimates_json(place.estimates),
        "releases": [
            {
                "gas": r.gas,
                "of": r.of,
                "grams": r.grams,
                "low_g": r.low_g,
                "high_g": r.high_g,
                "from_degC": r.from_degC,
                "to_degC": r.to_degC,
                "caution": r.caution,
                "source": r.source,
            }
            for r in place.releases
        ],
        "cautions": list(place.cautions),
    }


def wear_json(wear: WearTrend) -> dict[str, Any]:
    """Hours per firing."""
    return {
        "verdict": verdict_json(wear.verdict),
        "hours": list(wear.hours),
        "percent_per_firing": wear.percent_per_firing,
    }
