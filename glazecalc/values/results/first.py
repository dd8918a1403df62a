"""A glaze to begin with: which of the project's own bases suits this clay, cone, kiln and shelf, and what to do with
it."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.answers import Answer, Problem
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.weigh import WeighResult


@dataclass(frozen=True, slots=True)
class FirstTile:
    """One of the first tiles: its dry coat [mm], the dry glaze it takes [g], where it stands, and what it tells."""

    number: int
    coat_mm: float
    dry_g: float
    place: str
    tells: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """One of the bases as it was judged.

    ``sound`` is the chance that it neither crazes nor shivers, or None where it is not known; ``missing`` are its
    materials that are not on the shelf.
    """

    recipe: Recipe
    check: CheckResult
    sound: float | None
    missing: tuple[str, ...]
    looks: str

    @property
    def answer(self) -> Answer:
        """The answer of `check`."""
        return self.check.answer


@dataclass(frozen=True, slots=True)
class FirstGlaze:
    """The proposal. ``chosen`` is None where none of the bases suits; ``others`` are the rest, the best first.

    ``batch`` is 100 g of it on the studio's scale, ``tiles`` what to glaze with them.
    """

    answer: Answer
    sentence: str
    cone: str
    chosen: Candidate | None
    others: tuple[Candidate, ...]
    batch: WeighResult | None
    tiles: tuple[FirstTile, ...]
    cautions: tuple[str, ...]
    next_steps: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
