"""What is known of a clay, complete before anything is rendered."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.estimate import Estimate
from glazecalc.values.report import Formula
from glazecalc.values.verdict import Verdict


@dataclass(frozen=True, slots=True)
class ConeLine:
    """What is measured of a clay at one cone [%]; None where it is not known. Shrinkage is wet to fired."""

    cone: str
    absorption_percent: float | None
    shrinkage_percent: float | None


@dataclass(frozen=True, slots=True)
class WetSize:
    """How big to make it wet so that it comes out at a size [mm], with the interval of the shrinkage.

    ``dry_mm`` is its size bone dry, None where the drying shrinkage is not known."""

    fired_mm: float
    wet_mm: float
    wet_low_mm: float
    wet_high_mm: float
    dry_mm: float | None = None


@dataclass(frozen=True, slots=True)
class MissingFigure:
    """A figure that is not known, the test that gives it, how it is done, and a worked example of the
    arithmetic.
    """

    what: str
    standard: str
    how: str
    arithmetic: str


@dataclass(frozen=True, slots=True)
class PhaseShares:
    """Glass, mullite and free quartz of the fired body by volume [fraction], by the rule of mixture."""

    glass: float
    mullite: float
    quartz: float


@dataclass(frozen=True, slots=True)
class ClayReport:
    """Everything `body` has to say of one clay. ``estimates`` holds ``body_expansion`` as the check uses it,
    ``prior_expansion``, ``reasoned_expansion``, ``absorption`` and ``shrinkage`` where there are any."""

    body: str
    ware: str
    colour: str
    cone: str | None
    cone_range: str
    formula: Formula | None
    phases: PhaseShares | None
    estimates: tuple[Estimate, ...]
    lines: tuple[ConeLine, ...]
    wet_size: WetSize | None
    verdicts: tuple[Verdict, ...]
    missing: tuple[MissingFigure, ...]
    tiles: int
    sources: tuple[str, ...]

    def estimate(self, name: str) -> Estimate | None:
        """The estimate of that name, or None."""
        return next((e for e in self.estimates if e.name == name), None)
