"""What a studio writes down: test tiles, firings, batches. Frozen; a correction is a new record with the old kept."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields
from enum import StrEnum
from functools import cache
from typing import Any, Final, Literal, NamedTuple

from glazecalc.values.answers import listed
from glazecalc.values.cones import Cone

Kind = Literal["tile", "firing", "batch"]
KINDS: Final[tuple[Kind, ...]] = ("tile", "firing", "batch")


Sort = Literal["text", "mark", "after", "cone", "hours", "length", "mass", "temperature", "number", "count", "flag",
               "results", "witness", "readings", "pairs", "masses"]  # fmt: skip
"""How what is typed for a field is read; those from ``results`` on may be given more than once."""


class Within(NamedTuple):
    """What a quantity is called, and between what [``unit``] it can be."""

    called: str
    low: float
    high: float
    unit: str

    def check(self, value: float | None) -> None:
        """Raises ValueError, in a potter's words, where it cannot be."""
        if value is not None and not (math.isfinite(value) and self.low <= value <= self.high):
            text = f"{self.called}: {value:g} {self.unit} is not between {self.low:g} and {self.high:g} {self.unit}"
            raise ValueError(text.replace("  ", " "))


class Typed(NamedTuple):
    """How a field is written down: its option of ``record``, what may stand behind it, and a sentence of help."""

    option: str
    sample: str
    help: str
    sort: Sort = "text"

    @property
    def word(self) -> str:
        """What the option is called where it is no option."""
        return self.option.removeprefix("--").replace("-", "_")


def _typed(
    option: str, sample: str, help_: str, sort: Sort = "text", within: Within | None = None, usual: Any = ""
) -> Any:
    return field(default=usual, metadata={"typed": Typed(option, sample, help_, sort), "within": within})


def _measured(option: str, sample: str, help_: str, sort: Sort, called: str, low: float, high: float, unit: str) -> Any:
    return _typed(option, sample, help_, sort, Within(called, low, high, unit), None)


def typed_fields(kind: type) -> dict[str, Typed]:
    """The fields of a kind of record that have an option of their own, by name."""
    return {f.name: f.metadata["typed"] for f in fields(kind) if f.metadata.get("typed")}


@cache
def _limits(kind: Any) -> tuple[tuple[str, Within], ...]:
    return tuple((f.name, f.metadata["within"]) for f in fields(kind) if f.metadata.get("within"))


def _check(record: Any) -> None:
    """Raises ValueError for the first field that cannot be."""
    kind: Any = type(record)
    for name, within in _limits(kind):
        within.check(getattr(record, name))


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
RESULT_HELP: Final = (
    "sound, crazed at once, crazed later, crazed (when is not known), shivered, pinholed, crawled, ran or underfired; "
    "more than once if need be."
)


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
    lot: str = _typed("--lot", "LOT", "Lot or bag of the clay.")
    firing: str = _typed("--firing", "ID", "The firing it was in: F3.", "mark")
    cone: str = ""
    bend: str = _typed("--bend", "WORDS", "How far the witness cone bent, in your words.")
    thickness_mm: float | None = _measured(
        "--thickness", "0.3mm", "Of the fired coat.", "length", "thickness", 0.01, 20.0, "mm"
    )
    coats: int | None = _measured("--coats", "N", "Number of coats.", "count", "coats", 0, 50, "coats")
    results: tuple[TileResult, ...] = _typed("--result", "WORD", RESULT_HELP, "results", usual=())
    after_days: float | None = field(default=None, metadata={"within": Within("days", 0.0, 40_000.0, "days")})
    after_test: str = _typed("--after", "TIME|TEST", 'Such as "3 days" or "freezer and boil x3".', "after")
    place: str = _typed("--place", "WORDS", "Where it stood in the kiln.")
    date: str = ""
    photo: str = _typed("--photo", "FILE", "Path of a picture.")
    note: str = ""

    def __post_init__(self) -> None:
        _cone(self.cone)
        _check(self)
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
    circuit: str = _typed("--circuit", "NAME", "Circuit it was plugged into.")
    purpose: str = _typed("--purpose", "bisque|glaze", "What it was for.")
    target_cone: str = _typed("--target", "CONE", "The cone aimed at.", "cone")
    cones: tuple[WitnessCone, ...] = _typed(
        "--witness", "CONE=BEND", "A witness cone: 6=down, half, soft or stands.", "witness", usual=()
    )
    peak_degC: float | None = _measured(
        "--peak", "1222C", "Highest temperature seen.", "temperature", "peak temperature", 100.0, 1500.0, "degC"
    )
    hours: float | None = _measured(
        "--hours", "HOURS", "From switching on to the end, a hold included: 7.5 or 7:30.", "hours",
        "hours", 0.05, 200.0, "h",
    )  # fmt: skip
    hold_h: float | None = _measured(
        "--hold", "HOURS", "Held at the peak: it counts for the cones. 0.5, 0:30 or 30min.", "hours",
        "hold", 0.0, 100.0, "h",
    )  # fmt: skip
    volts: float | None = _measured(
        "--volts", "V", "At the outlet while the kiln is on full.", "number", "volts", 50.0, 700.0, "V"
    )
    amps: float | None = _measured("--amps", "A", "Drawn on full.", "number", "amps", 0.1, 400.0, "A")
    energy_kWh: float | None = _measured(
        "--energy", "KWH", "From a meter; only checked against the plate.", "number", "energy", 0.05, 2000.0, "kWh"
    )
    load_kg: float | None = _measured("--load", "4kg", "Ware in the kiln.", "mass", "load", 0.0, 2000.0, "kg")
    on_elements: int | None = _measured(
        "--on-elements", "N", "Firings these elements had before.", "count",
        "firings on the elements", 0, 10_000, "firings",
    )  # fmt: skip
    readings: tuple[Reading, ...] = _typed(
        "--at", "HOURS=TEMP", "A look at the pyrometer: 2:30=600C.", "readings", usual=()
    )
    reached: bool | None = _typed("--stalled", "", "It did not get to the cone.", "flag", usual=None)
    schedule: str = _typed("--schedule", "WORDS", "Its segments, or the name of the program.")
    date: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        _cone(self.target_cone)
        for witness in self.cones:
            _cone(witness.cone)
            if witness.bend not in BENDS:
                raise ValueError(f"a cone is {listed(BENDS, 'or')}, not {witness.bend[:20]!r}")
        _check(self)
        for reading in self.readings:
            Within("reading", -30.0, 1500.0, "degC").check(reading.degC)
            Within("hours of a reading", 0.0, 200.0, "h").check(reading.at_h)

    def bent(self, bend: str) -> tuple[Cone, ...]:
        """Its witness cones that came out like this."""
        return tuple(Cone(w.cone) for w in self.cones if w.bend == bend)


@dataclass(frozen=True, slots=True)
class BatchRecord:
    """A batch as it was weighed: ``weighed`` pairs of material and grams, ``lots`` pairs of material and bag."""

    id: str = ""
    recipe: FrozenRecipe | None = None
    glaze: str = ""
    dry_g: float | None = _measured("--dry", "500g", "Dry weight of the batch.", "mass", "dry weight", 0.1, 1e6, "g")
    water_g: float | None = _measured("--water", "400g", "Water it was mixed with.", "mass", "water", 0.0, 1e6, "g")
    specific_gravity: float | None = _measured(
        "--sg", "SG", "Specific gravity of the slurry.", "number", "specific gravity", 1.0, 3.5, ""
    )
    weighed: tuple[tuple[str, float], ...] = _typed(
        "--weighed", "MATERIAL=GRAMS", "What the scale showed for a line.", "masses", usual=()
    )
    lots: tuple[tuple[str, str], ...] = _typed("--lot", "MATERIAL=BAG", "Lot of a material.", "pairs", usual=())
    container: str = _typed("--container", "NAME", "Bucket or jar it is in.")
    date: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        _check(self)
        for material, grams in self.weighed:
            Within(material, 0.0, 1e6, "g").check(grams)


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
