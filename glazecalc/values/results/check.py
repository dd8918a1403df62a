"""What a job found, complete before anything is rendered, so that terminal, JSON and page cannot disagree."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.answers import Answer, Estimate, Problem, Verdict
from glazecalc.values.inputs import Recipe

Amounts = tuple[tuple[str, float], ...]
"""Pairs of a name and a number, in a fixed order."""


@dataclass(frozen=True, slots=True)
class FormulaLine:
    """One oxide of a fired composition; ``unity_low`` .. ``unity_high`` is the 90 % interval of ``unity``."""

    oxide: str
    role: str
    unity: float | None
    unity_low: float | None
    unity_high: float | None
    mole_percent: float
    weight_percent: float


@dataclass(frozen=True, slots=True)
class Ratios:
    """The ratios potters read off a formula; None where a part is absent.

    ``silica_alumina`` is moles SiO2 per mole Al2O3; ``alkali_fraction`` and ``earth_fraction`` are the shares of R2O
    and RO in the flux sum; ``boron_unity`` is moles B2O3 per flux sum.
    """

    silica_alumina: float | None
    alkali_fraction: float | None
    earth_fraction: float | None
    boron_unity: float | None


@dataclass(frozen=True, slots=True)
class Formula:
    """The fired composition of one recipe. ``convention`` says which oxides were brought to one."""

    lines: tuple[FormulaLine, ...]
    ratios: Ratios
    convention: str
    convention_text: str
    loss_on_ignition_percent: float | None
    solids_density: float | None

    def unity(self) -> dict[str, float]:
        """Oxide -> moles per unit of the convention's sum; empty when that sum is nil."""
        return {line.oxide: line.unity for line in self.lines if line.unity is not None}

    def mole_percent(self) -> dict[str, float]:
        """Oxide -> mole %."""
        return {line.oxide: line.mole_percent for line in self.lines}

    def weight_percent(self) -> dict[str, float]:
        """Oxide -> weight %."""
        return {line.oxide: line.weight_percent for line in self.lines}


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One line of a recipe as understood: the card's words, the material meant, and its share.

    ``percent`` is of the base total for base and additions alike, as the trade writes them.
    """

    written: str
    material: str
    amount: float
    percent: float
    addition: bool
    hazards: tuple[str, ...] = ()
    known: bool = True


@dataclass(frozen=True, slots=True)
class Batch:
    """A recipe's lines with the card's own totals [the card's parts] beside the 100 % form."""

    lines: tuple[BatchLine, ...]
    base_total: float
    addition_total: float


@dataclass(frozen=True, slots=True)
class CheckResult:
    """Everything `check` has to say of one recipe on one body in one kiln."""

    recipe: Recipe
    body: str | None
    kiln: str | None
    circuit: str | None
    cone: str | None
    answer: Answer
    sentence: str
    batch: Batch | None
    formula: Formula | None
    estimates: tuple[Estimate, ...]
    verdicts: tuple[Verdict, ...]
    cautions: tuple[str, ...]
    next_steps: tuple[str, ...]
    sources: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
    poisons: tuple[str, ...] = ()
    """What the glaze holds that has no place in a home studio."""

    def estimate(self, name: str) -> Estimate | None:
        """The estimate of that name, or None."""
        return next((e for e in self.estimates if e.name == name), None)
