"""What a studio writes down: test tiles, firings, batches. Frozen; a correction is a new record with the old kept."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import Final, Literal

from glazecalc.values.answers import listed
from glazecalc.values.cones import Cone

Kind = Literal["tile", "firing", "batch"]
KINDS: Final[tuple[Kind, ...]] = ("tile", "firing", "batch")


class TileResult(StrEnum):
    """How a tile came out; a tile may show several faults. ``crazed`` is crazing of which the time is not known."""

    SOUND = "sound"
    CRAZED_AT_ONCE = "crazed at once"
    CRAZED_LATER = "crazed later"
    CRAZED = "crazed"
    SHIVERED = "shivered"
    PINHOLED = "pinholed"
    CRAWLED = "crawled"
    RAN = "ran"
    UNDERFIRED = "underfired"


FIT_RESULTS: Final[frozenset[TileResult]] = frozenset(
    {TileResult.SOUND, TileResult.CRAZED_AT_ONCE, TileResult.CRAZED_LATER, TileResult.CRAZED, TileResult.SHIVERED}
)
"""Results that say something of the fit between glaze and clay; at most one of them holds for a tile."""


@dataclass(frozen=True, slots=True)
class FrozenLine:
    """One material of a recipe as it was mixed: amount in the recipe's own parts."""

    material: str
    amount: float
    addition: bool = False


@dataclass(frozen=True, slots=True)
class FrozenRecipe:
    """A recipe as it was mixed, kept whatever becomes of its card.

    ``moles`` are pairs of oxide and mole fraction of the fired glaze as computed on that day; empty for a jar
    glaze without a recipe.
    """

    name: str
    kind: str = "glaze"
    cone: str = ""
    lines: tuple[FrozenLine, ...] = ()
    moles: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class TileRecord:
    """A test tile. ``id`` is empty until the journal gives one; ``results`` is empty while the tile waits.

    ``cone`` is the cone that bent beside it, ``bend`` how far in the potter's words. ``after_days`` and
    ``after_test`` say when or in which test it crazed, or how long and through what it stayed sound.

    Raises
    ------
    ValueError
        in a potter's words, if something cannot be so.
    """

    id: str = ""
    recipe: FrozenRecipe | None = None
    glaze: str = ""
    body: str = ""
    lot: str = ""
    firing: str = ""
    cone: str = ""
    bend: str = ""
    thickness_mm: float | None = None
    coats: int | None = None
    results: tuple[TileResult, ...] = ()
    after_days: float | None = None
    after_test: str = ""
    place: str = ""
    date: str = ""
    photo: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        _cone(self.cone)
        _within("thickness", self.thickness_mm, 0.01, 20.0, "mm")
        _within("coats", self.coats, 0, 50, "coats")
        _within("days", self.after_days, 0.0, 40_000.0, "days")
        if len(FIT_RESULTS.intersection(self.results)) > 1:
            raise ValueError("a tile is sound, crazed at once, crazed later or shivered: give one of these")

    @property
    def glaze_name(self) -> str:
        """What the glaze is called: as noted, else by its recipe; empty where neither says."""
        return self.glaze or (self.recipe.name if self.recipe else "")

    @property
    def fit_result(self) -> TileResult | None:
        """What the tile says of the fit, or None where it says nothing (still waiting, underfired, ran off)."""
        if TileResult.UNDERFIRED in self.results:
            return None
        return next((r for r in self.results if r in FIT_RESULTS), None)


@dataclass(frozen=True, slots=True)
class Reading:
    """A look at the pyrometer or controller: hours since switching on, and temperature [degC]."""

    at_h: float
    degC: float


@dataclass(frozen=True, slots=True)
class WitnessCone:
    """A witness cone after a firing: ``bend`` is ``down``, ``half``, ``soft`` or ``stands``."""

    cone: str
    bend: str


BENDS: Final[tuple[str, ...]] = ("down", "half", "soft", "stands")


@dataclass(frozen=True, slots=True)
class FiringRecord:
    """A firing. ``hours`` is from switching on to the end; ``volts`` at the outlet while the kiln is on full.

    ``on_elements`` counts the firings these elements had before this one. Raises ValueError in a potter's words."""

    id: str = ""
    kiln: str = ""
    circuit: str = ""
    purpose: str = ""
    target_cone: str = ""
    cones: tuple[WitnessCone, ...] = ()
    peak_degC: float | None = None
    hours: float | None = None
    hold_h: float | None = None
    volts: float | None = None
    amps: float | None = None
    energy_kWh: float | None = None
    load_kg: float | None = None
    on_elements: int | None = None
    readings: tuple[Reading, ...] = ()
    reached: bool | None = None
    schedule: str = ""
    date: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        _cone(self.target_cone)
        for witness in self.cones:
            _cone(witness.cone)
            if witness.bend not in BENDS:
                raise ValueError(f"a cone is {listed(BENDS, 'or')}, not {witness.bend[:20]!r}")
        _within("peak temperature", self.peak_degC, 100.0, 1500.0, "degC")
        _within("hours", self.hours, 0.05, 200.0, "h")
        _within("hold", self.hold_h, 0.0, 100.0, "h")
        _within("volts", self.volts, 50.0, 700.0, "V")
        _within("amps", self.amps, 0.1, 400.0, "A")
        _within("energy", self.energy_kWh, 0.05, 2000.0, "kWh")
        _within("load", self.load_kg, 0.0, 2000.0, "kg")
        _within("firings on the elements", self.on_elements, 0, 10_000, "firings")
        for reading in self.readings:
            _within("reading", reading.degC, -30.0, 1500.0, "degC")
            _within("hours of a reading", reading.at_h, 0.0, 200.0, "h")


@dataclass(frozen=True, slots=True)
class BatchRecord:
    """A batch as it was weighed: ``weighed`` pairs of material and grams, ``lots`` pairs of material and bag."""

    id: str = ""
    recipe: FrozenRecipe | None = None
    glaze: str = ""
    dry_g: float | None = None
    water_g: float | None = None
    specific_gravity: float | None = None
    weighed: tuple[tuple[str, float], ...] = ()
    lots: tuple[tuple[str, str], ...] = ()
    container: str = ""
    date: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        _within("dry weight", self.dry_g, 0.1, 1e6, "g")
        _within("water", self.water_g, 0.0, 1e6, "g")
        _within("specific gravity", self.specific_gravity, 1.0, 3.5, "")
        for material, grams in self.weighed:
            _within(material, grams, 0.0, 1e6, "g")


Record = TileRecord | FiringRecord | BatchRecord
RECORD_TYPES: Final[dict[Kind, type[TileRecord] | type[FiringRecord] | type[BatchRecord]]] = {
    "tile": TileRecord,
    "firing": FiringRecord,
    "batch": BatchRecord,
}


def kind_of(record: Record) -> Kind:
    """Which of the three kinds a record is."""
    return next(kind for kind, cls in RECORD_TYPES.items() if isinstance(record, cls))


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the journal: a record, its revision (counting from 1), when it was written (UTC, ISO 8601).

    ``withdrawn`` marks an entry that its owner took back; it is kept and no longer counted. ``act`` numbers what was
    done in one go within one journal (a plan of tiles is one act), ``undoes`` is the act that this one undid, or 0.
    """

    kind: Kind
    id: str
    revision: int
    recorded_at: str
    record: Record
    withdrawn: bool = False
    act: int = field(default=0, compare=False)
    undoes: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Step:
    """One entry as an act left it, and as it stood before; ``before`` is None where it was new."""

    entry: Entry
    before: Entry | None

    @property
    def done(self) -> str:
        """What the act did to the entry."""
        if self.entry.withdrawn:
            return "took back"
        if self.before is None:
            return "wrote down"
        return "brought back" if self.before.withdrawn else "corrected"

    @property
    def changed(self) -> tuple[str, ...]:
        """Names of the fields that the act changed; none of an entry that was new."""
        if self.before is None:
            return ()
        now, then = self.entry.record, self.before.record
        names = (f.name for f in fields(now) if f.name != "id")
        return tuple(name for name in names if getattr(now, name) != getattr(then, name))


@dataclass(frozen=True, slots=True)
class Act:
    """What was done to the journal in one go. ``undone`` says that it was undone since and not done again.

    ``undoes`` is the act it undid, or 0; an act that undid an undoing did the first one again, which ``again`` says.
    """

    number: int
    recorded_at: str
    steps: tuple[Step, ...]
    undoes: int = 0
    undone: bool = False
    again: bool = False


def _cone(name: str) -> None:
    if name:
        Cone(name)


def _within(what: str, value: float | None, low: float, high: float, unit: str) -> None:
    if value is not None and not (math.isfinite(value) and low <= value <= high):
        raise ValueError(f"{what}: {value:g} {unit} is not between {low:g} and {high:g} {unit}".replace("  ", " "))
