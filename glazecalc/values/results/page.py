"""Everything a printed page shows of one recipe, and what an index over many recipes shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from glazecalc.values.inputs import Body, Circuit, Kiln, LabelSheet, Limits, UnitChoice
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.firing import FiringReport
from glazecalc.values.results.pictures import Picture
from glazecalc.values.results.tiles import TilesResult
from glazecalc.values.results.weigh import WeighResult


@dataclass(frozen=True, slots=True)
class Stamp:
    """When a page was made (ISO 8601 day) and by what: the program's version, a fingerprint of the data tables."""

    made_on: str
    program: str
    data: str


@dataclass(frozen=True, slots=True)
class Page:
    """One recipe on one page. ``pictures``, ``weigh``, ``tiles`` and ``firing`` are there as far as their data exist.

    ``assumptions`` are the notes on the card and the batch, each once; those of an estimate are its caveats.
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
    left_out: tuple[tuple[str, str], ...]
    units: UnitChoice
    stamp: Stamp


# Labels for buckets, jars and tiles, and the sheet they are printed on.

LabelKind = Literal["bucket", "jar", "tile"]
LABEL_KINDS: Final[tuple[LabelKind, ...]] = ("bucket", "jar", "tile")

PAGE_MM: Final[dict[str, tuple[float, float]]] = {"letter": (215.9, 279.4), "A4": (210.0, 297.0)}
"""Width and height of the paper [mm] (ANSI Letter; ISO 216)."""


@dataclass(frozen=True, slots=True)
class LabelHazards:
    """What a label warns of: the deadly poisons by name, then the rest, of a ``dry`` powder, a ``fired`` tile or a
    ``jar`` that has a label of its own."""

    of: Literal["dry", "fired", "jar"]
    deadly: tuple[str, ...] = ()
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Label:
    """One label. Empty text, or None, is left out.

    ``density`` is the specific gravity to stir the slurry to, ``dry_g`` the dry glaze in the bucket, ``tare_g`` the
    empty bucket's weight [g]. ``warning`` is always printed.
    """

    kind: LabelKind
    name: str
    id: str = ""
    cone: str = ""
    body: str = ""
    date: str = ""
    density: float | None = None
    dry_g: float | None = None
    tare_g: float | None = None
    holds: LabelHazards | None = None
    warning: str = ""


@dataclass(frozen=True, slots=True)
class LabelRun:
    """Labels in order, the sheet, and the place of the first one (counted from 1, row by row)."""

    labels: tuple[Label, ...]
    sheet: LabelSheet
    start: int


def page_overrun_mm(sheet: LabelSheet) -> tuple[float, float]:
    """How far the sheet's labels run off the paper to the right and below [mm]; nil where they fit.

    >>> page_overrun_mm(LabelSheet())
    (0.0, 0.0)
    """
    width, height = PAGE_MM[sheet.page]
    across = sheet.left_mm + sheet.columns * sheet.width_mm + (sheet.columns - 1) * sheet.gap_x_mm
    down = sheet.top_mm + sheet.rows * sheet.height_mm + (sheet.rows - 1) * sheet.gap_y_mm
    return max(0.0, round(across - width, 6)), max(0.0, round(down - height, 6))
