"""What each picture shows, complete before it is drawn: a renderer lays out and rounds, it computes nothing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from glazecalc.values.answers import Estimate
from glazecalc.values.inputs import Interior
from glazecalc.values.results.firing import HeatPoint
from glazecalc.values.results.formula import Explanation


class Leaning(StrEnum):
    """What a zone, a cell or a tile means for the ware."""

    SOUND = "sound"
    DOUBTFUL = "doubtful"
    CRAZES = "crazes"
    SHIVERS = "shivers"
    OUT = "out of range"
    NONE = "not judged"


@dataclass(frozen=True, slots=True)
class Zone:
    """A stretch of an axis with its meaning in words; ``low`` and ``high`` in the axis's unit."""

    low: float
    high: float
    words: str
    leaning: Leaning


@dataclass(frozen=True, slots=True)
class ExpansionPicture:
    """Expansion of glaze and clay on one axis [1e-6/K]; ``zones`` are what a glaze of that expansion would do."""

    recipe: str
    body: str
    glaze: Estimate
    clay: Estimate
    zones: tuple[Zone, ...]


@dataclass(frozen=True, slots=True)
class ConeMark:
    """A cone and the temperature at which it bends [degC]; along a firing also when [h]."""

    cone: str
    degC: float
    hours: float = 0.0


@dataclass(frozen=True, slots=True)
class RulerBand:
    """A band on the cone ruler [degC].

    ``kind`` is ``glaze``, ``clay`` or ``kiln``; a kiln's band begins at the left edge, is sure up to ``low_degC`` and
    doubtful up to ``high_degC``. ``words`` say where it comes from.
    """

    kind: str
    name: str
    words: str
    low_degC: float
    high_degC: float


@dataclass(frozen=True, slots=True)
class ConeRulerPicture:
    """Glaze, clay and kiln against the cones, heated at ``rate_degC_per_h``; ``asked`` is the cone to fire to."""

    bands: tuple[RulerBand, ...]
    cones: tuple[ConeMark, ...]
    asked: ConeMark | None
    rate_degC_per_h: float
    recipe: str


@dataclass(frozen=True, slots=True)
class RatioField:
    """A band of the strip between two figures of silica per alumina; None is open. Between bands lies doubt."""

    words: str
    from_ratio: float | None
    to_ratio: float | None


@dataclass(frozen=True, slots=True)
class SilicaAluminaPicture:
    """One glaze's silica per alumina [mol/mol] on a strip with bands of surface; ``guide`` says what they hold for."""

    recipe: str
    ratio: float
    fields: tuple[RatioField, ...]
    guide: str


@dataclass(frozen=True, slots=True)
class PushPicture:
    """How far each oxide pushes the expansion [1e-6/K]."""

    recipe: str
    pushes: tuple[Explanation, ...]
    reference: str


@dataclass(frozen=True, slots=True)
class StiffnessPoint:
    """A point of a curve with its 90 % interval."""

    x: float
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ViscosityPicture:
    """Log10 viscosity [Pa.s] against temperature [degC], with the window in which a glaze has melted and stays put.

    ``window`` has the log viscosities: runs below the first, has not levelled above the second; None where no window
    is known.
    """

    recipe: str
    curve: tuple[StiffnessPoint, ...]
    window: tuple[float, float] | None
    cones: tuple[ConeMark, ...]
    asked: ConeMark | None


@dataclass(frozen=True, slots=True)
class HeatingPicture:
    """A firing over time; any of the three may be empty.

    ``fastest`` is the kiln at full power (hours, degC with its interval), ``planned`` a schedule, ``recorded`` what was
    written down. ``cones`` bend along the planned firing, or else along the fastest. ``where`` names the circuit;
    ``limit`` is the cone the maker rates the kiln for, above which it is not to be fired.
    """

    kiln: str
    where: str
    fastest: tuple[StiffnessPoint, ...]
    planned: tuple[HeatPoint, ...]
    planned_words: str
    recorded: tuple[HeatPoint, ...]
    recorded_words: str
    cones: tuple[ConeMark, ...]
    limit: ConeMark | None = None


@dataclass(frozen=True, slots=True)
class BlendCell:
    """A tile of a blend at ``column``, ``row`` (counted from 0); ``parts`` follow the order of the corners."""

    id: str
    column: int
    row: int
    parts: tuple[float, ...]
    leaning: Leaning = Leaning.NONE
    words: str = ""


@dataclass(frozen=True, slots=True)
class BlendPicture:
    """A blend as it lies on the table; ``kind`` is ``line``, ``triangle`` or ``square``; ``corners`` are names."""

    kind: str
    corners: tuple[str, ...]
    cells: tuple[BlendCell, ...]


@dataclass(frozen=True, slots=True)
class PlacedPiece:
    """A piece on a shelf [mm] from the chamber's centre; ``turn_deg`` turns a rectangle or a handle."""

    name: str
    shape: str
    x_mm: float
    y_mm: float
    width_mm: float
    depth_mm: float
    handle_mm: float = 0.0
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class ShelfPicture:
    """One shelf seen from above, to scale; ``words`` say how many fit on how many shelves."""

    kiln: str
    interior: Interior
    wall_clearance_mm: float
    pieces: tuple[PlacedPiece, ...]
    words: str


@dataclass(frozen=True, slots=True)
class TileMark:
    """A recorded tile on the axis of expansion [1e-6/K] with how it came out."""

    id: str
    recipe: str
    expansion: float
    result: str
    leaning: Leaning


@dataclass(frozen=True, slots=True)
class LearnedPicture:
    """What tiles taught of a clay: densities over the clay's expansion [1e-6/K] before and after."""

    body: str
    expansion: tuple[float, ...]
    prior_density: tuple[float, ...]
    posterior_density: tuple[float, ...]
    prior: Estimate
    posterior: Estimate
    tiles: tuple[TileMark, ...]


@dataclass(frozen=True, slots=True)
class FiringMark:
    """One recorded firing: its day as written, its length [h], the cone it was fired to."""

    label: str
    hours: float
    cone: str


@dataclass(frozen=True, slots=True)
class HoursPicture:
    """Hours per firing over a kiln's life; ``usual_hours`` is the middle of the first ones; ``words`` the reading."""

    kiln: str
    firings: tuple[FiringMark, ...]
    usual_hours: float | None
    words: str


Picture = (
    ExpansionPicture | ConeRulerPicture | SilicaAluminaPicture | PushPicture | ViscosityPicture | HeatingPicture
    | BlendPicture | ShelfPicture | LearnedPicture | HoursPicture
)  # fmt: skip
