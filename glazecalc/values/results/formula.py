"""What is found of a fired glaze or a raw material taken by itself, complete before anything is rendered."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.answers import Estimate, Problem
from glazecalc.values.inputs import Material, Recipe
from glazecalc.values.results.check import Amounts, Batch, Formula


@dataclass(frozen=True, slots=True)
class Explanation:
    """How far one oxide pushes an estimate up or down from a stated reference, in the estimate's unit.

    ``one_more`` is the change for one mole % more of it in exchange for silica; None for silica itself.
    """

    oxide: str
    mole_percent: float
    push: float
    one_more: float | None


@dataclass(frozen=True, slots=True)
class PublishedExpansion:
    """The expansion by one published set of factors, the temperatures [degC] it was printed for, and who printed it."""

    estimate: Estimate
    from_degC: float
    to_degC: float
    author: str


@dataclass(frozen=True, slots=True)
class FormulaResult:
    """The fired composition of one recipe; ``explanations`` and ``models`` are filled on request."""

    recipe: Recipe
    batch: Batch | None
    formula: Formula
    estimates: tuple[Estimate, ...] = ()
    explanations: tuple[Explanation, ...] = ()
    explanation_reference: str = ""
    models: tuple[PublishedExpansion, ...] = ()
    sources: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MaterialFacts:
    """A raw material with its fired oxides: ``oxides`` in weight % of the raw material, ``moles_per_100g`` of it.

    ``loss_on_ignition_percent`` is the stated one where there is one; ``left_by_oxides_percent`` what the oxides leave
    of 100, which is what a batch loses.
    """

    material: Material
    oxides: Amounts
    moles_per_100g: Amounts
    loss_on_ignition_percent: float
    left_by_oxides_percent: float
    spread_percent: float
    hazards: tuple[str, ...]
    source: str
