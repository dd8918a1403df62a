"""Values as the JSON of the contract: stable keys, full floats, None where nothing is known."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from glazecalc.values.estimate import Estimate
from glazecalc.values.problem import Problem
from glazecalc.values.report import Batch, CheckResult, Formula
from glazecalc.values.verdict import Verdict

if TYPE_CHECKING:
    from glazecalc.values.formula_report import FormulaResult


def problem_json(problem: Problem) -> dict[str, Any]:
    """A problem's six fields."""
    return {
        "code": problem.code, "severity": problem.severity.value, "message": problem.message,
        "hint": problem.hint, "file": problem.file, "line": problem.line,
    }  # fmt: skip


def estimate_json(estimate: Estimate) -> dict[str, Any]:
    """An estimate's eight fields."""
    return {
        "name": estimate.name, "value": estimate.value, "low": estimate.low, "high": estimate.high,
        "unit": estimate.unit, "basis": estimate.basis.value,
        "sources": list(estimate.sources), "caveats": list(estimate.caveats),
    }  # fmt: skip


def estimates_json(estimates: Iterable[Estimate]) -> dict[str, Any]:
    """Estimates by their names."""
    return {e.name: estimate_json(e) for e in estimates}


def verdict_json(verdict: Verdict) -> dict[str, Any]:
    """A verdict's four fields."""
    return {
        "rule": verdict.rule, "answer": verdict.answer.value,
        "message": verdict.message, "evidence": list(verdict.evidence),
    }  # fmt: skip


def formula_json(formula: Formula | None) -> dict[str, Any]:
    """The composition keys that `check` and `formula` share."""
    if formula is None:
        return {
            "unity": {}, "mole_percent": {}, "weight_percent": {}, "loss_on_ignition_percent": None, "ratios": {},
        }  # fmt: skip
    ratios = formula.ratios
    return {
        "unity": formula.unity(),
        "unity_intervals": {
            line.oxide: [line.unity_low, line.unity_high] for line in formula.lines if line.unity is not None
        },
        "mole_percent": formula.mole_percent(),
        "weight_percent": formula.weight_percent(),
        "loss_on_ignition_percent": formula.loss_on_ignition_percent,
        "ratios": {
            "silica_alumina": ratios.silica_alumina, "alkali_fraction": ratios.alkali_fraction,
            "earth_fraction": ratios.earth_fraction, "boron_unity": ratios.boron_unity,
        },
        "flux_convention": formula.convention,
        "solids_density": formula.solids_density,
    }  # fmt: skip


def batch_json(batch: Batch | None) -> dict[str, Any] | None:
    """The batch as understood."""
    if batch is None:
        return None
    return {
        "base_total": batch.base_total,
        "addition_total": batch.addition_total,
        "lines": [
            {
                "written": line.written, "material": line.material, "amount": line.amount,
                "percent": line.percent, "addition": line.addition, "hazards": list(line.hazards),
            }
            for line in batch.lines
        ],
    }  # fmt: skip


def check_json(result: CheckResult) -> dict[str, Any]:
    """A check result of the contract."""
    recipe = result.recipe
    return {
        "recipe": recipe.name, "file": recipe.file, "kind": recipe.kind,
        "stated_cone": str(recipe.cone) if recipe.cone else None,
        "body": result.body, "kiln": result.kiln, "circuit": result.circuit, "cone": result.cone,
        "answer": result.answer.value, "sentence": result.sentence,
        **formula_json(result.formula),
        "batch": batch_json(result.batch),
        "estimates": estimates_json(result.estimates),
        "verdicts": [verdict_json(v) for v in result.verdicts],
        "cautions": list(result.cautions), "next_steps": list(result.next_steps), "sources": list(result.sources),
    }  # fmt: skip


def formula_result_json(result: FormulaResult) -> dict[str, Any]:
    """A `formula` result of the contract."""
    return {
        "recipe": result.recipe.name, "file": result.recipe.file, "kind": result.recipe.kind,
        **formula_json(result.formula),
        "batch": batch_json(result.batch),
        "estimates": estimates_json(result.estimates),
        "explanations": [
            {"oxide": e.oxide, "mole_percent": e.mole_percent, "push": e.push, "one_more": e.one_more}
            for e in result.explanations
        ],
        "explanation_reference": result.explanation_reference,
        "models": [estimate_json(e) for e in result.models],
        "sources": list(result.sources),
    }  # fmt: skip
