"""Everything a printed page shows of one recipe, and what an index over many recipes shows."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.firing_report import FiringReport
from glazecalc.values.inputs import Body, Circuit, Kiln, Limits, UnitChoice
from glazecalc.values.pictures import Picture
from glazecalc.values.report import CheckResult
from glazecalc.values.tiles import TilesResult
from glazecalc.values.weighing import WeighResult


@dataclass(frozen=True, slots=True)
class Stamp:
    """When a page was made (ISO 8601 day) and by what: the program's version, a fingerprint of the data tables."""

    made_on: str
    program: str
    data: str


@dataclass(frozen=True, slots=True)
class Page:
    """One recipe on one page. ``pictures``, ``weigh``, ``tiles`` and ``firing`` are there as far as their data exist.

    ``assumptions`` are the caveats of the estimates and the remarks on the card, each once.
    """

    check: CheckResult
    body: Body | None
    kiln: Kiln | None
    circuit: Circuit | None
    limits: Limits
    units: UnitChoice
    pictures: tuple[Picture, ...]
    weigh: WeighResult | None
    tiles: TilesResult | None
    firing: FiringReport | None
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    stamp: Stamp


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """A recipe on the index: its page's file name, and its page."""

    href: str
    page: Page


@dataclass(frozen=True, slots=True)
class Index:
    """All recipes of a studio; ``left_out`` are cards that could not be read, each with the reason."""

    studio: str
    entries: tuple[IndexEntry, ...]
    pictures: tuple[Picture, ...]
    left_out: tuple[tuple[str, str], ...]
    units: UnitChoice
    stamp: Stamp
