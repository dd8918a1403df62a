"""What a potter should know of a tile before it is mixed: out of range, dangerous, or sure to fail."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from glazecalc.values.estimate import is_known
from glazecalc.values.inputs import Limits
from glazecalc.values.report import CheckResult
from glazecalc.values.verdict import Answer


def marks_of(result: CheckResult, limits: Limits) -> tuple[str, ...]:
    """Every mark of one tile, in a few words each."""
    return tuple(mark for rule in RULES for mark in rule(result, limits))


def _unknown_ground(result: CheckResult, limits: Limits) -> list[str]:
    found = dict.fromkeys(_SUBJECTS.get(e.name, e.name.replace("_", " ")) for e in result.estimates if e.extrapolated)
    return [f"outside what the estimates know: {', '.join(found)}"] if found else []


def _does_not_melt(result: CheckResult, limits: Limits) -> list[str]:
    return [v.message for v in result.verdicts if v.rule == "melts" and v.answer is Answer.DOES_NOT_FIT]


def _splinters(result: CheckResult, limits: Limits) -> list[str]:
    shivering = result.estimate("shivering_probability")
    if shivering is None or 100 * shivering.value < limits.against_percent:
        return []
    sure = "likely to" if is_known(shivering) else "nobody knows how likely, but it may"
    return [f"DANGER: {sure} flake off in sharp splinters; eye protection, and keep it from food"]


def _poison(result: CheckResult, limits: Limits) -> list[str]:
    """Lead, cadmium and the like in the batch or the glass; metals that leach are in the cautions of the plan."""
    if result.formula is None:
        return []
    weight = result.formula.weight_percent()
    named = [name for oxide, name in _DANGEROUS.items() if weight.get(oxide, 0.0) > 0.0]
    return [f"DANGER: holds {' and '.join(named)}; not for a home studio"] if named else []


def _unusual(result: CheckResult, limits: Limits) -> list[str]:
    """Too much of a material; too little of one is what a blend is for."""
    return [p.message for p in result.problems if p.code == "unusual-amount" and "more than" in p.message]


_SUBJECTS: Final = {
    **dict.fromkeys(
        ("expansion", "expansion_to_setting", "layer_stress", "crazing_probability", "shivering_probability"),
        "expansion and fit",
    ),
    **dict.fromkeys(
        ("transition_temperature", "softening_temperature", "liquidus_temperature", "firing_range", "mature_cone"),
        "melting",
    ),
    "youngs_modulus": "stiffness",
}
"""What an estimate is about, in a word for a mark."""
_DANGEROUS: Final = {"PbO": "lead", "CdO": "cadmium", "As2O3": "arsenic", "BeO": "beryllium"}
RULES: Final[tuple[Callable[[CheckResult, Limits], list[str]], ...]] = (
    _poison, _splinters, _does_not_melt, _unknown_ground, _unusual,
)  # fmt: skip
