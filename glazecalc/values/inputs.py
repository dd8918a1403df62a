"""What a user gives, checked strictly: recipes, materials, bodies, kilns, circuits, rooms, scales, the studio.

The one place where pydantic describes inputs. Every class is strict, frozen and closed; no infinities or
not-a-numbers; sequences are tuples. Text is turned into these types by :mod:`glazecalc.files`, never by pydantic.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from glazecalc.values.cones import Cone

Positive = Annotated[float, Field(gt=0, le=1e9)]
NotNegative = Annotated[float, Field(ge=0, le=1e9)]
MOST_LEAST_G: Final = 1000.0
"""No scale whose capacity is not known is taken to need more than this [g]."""
Percent = Annotated[float, Field(ge=0, le=100)]


@dataclass(frozen=True, slots=True)
class Usual:
    """The window of a quantity outside which a bare number is asked about, and what is said then; its ``dimension`` and
    ``unit`` where the field's name does not end in them."""

    low: float | None = None
    high: float | None = None
    hint: str = ""
    dimension: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Also:
    """Other spellings of a field's choices, each with what it means."""

    spellings: Mapping[str, str | int] = field(hash=False)


@dataclass(frozen=True, slots=True)
class Keys:
    """Other names of a field in studio.toml."""

    names: tuple[str, ...]


def usual_mm(low: float, high: float = 3000.0) -> Usual:
    """A window that catches inches and centimetres [mm]."""
    return Usual(low, high, 'a length is in mm; write "12 in" or "30 cm" if that is meant')


_VOLTS: Final = Usual(dimension="potential", unit="V")
_AMPS: Final = Usual(dimension="current", unit="A")
_WATTS: Final = Usual(dimension="power", unit="W")
_ACROSS: Final = Keys(("diameter_mm", "diameter"))
_PHASE: Final = Also({"single": 1, "single-phase": 1, "three": 3, "three-phase": 3})


class Given(BaseModel):
    """Base of every input: strict, frozen, closed, finite."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


class ConeRange(Given):
    """The cones a label or recipe names, coolest first.

    ``cards`` holds what each card says where this is what lies between cards that name different cones.
    """

    low: Cone
    high: Cone
    cards: tuple[str, ...] = Field(default=(), exclude=True)

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.high < self.low:
            raise ValueError(f"cone {self.high} is cooler than cone {self.low}")
        return self

    def __str__(self) -> str:
        return str(self.low) if self.low == self.high else f"{self.low} to {self.high}"


class RecipeLine(Given):
    """One material of a batch: amount in parts, grams or percent alike; ``line`` counts from 1 in its file."""

    material: str = Field(min_length=1, max_length=200)
    amount: Positive
    addition: bool = False
    line: int | None = None


class OxideAmount(Given):
    """One oxide of a composition card."""

    oxide: str
    amount: NotNegative


class Recipe(Given):
    """A recipe card.

    ``kind`` is ``glaze`` (a batch), ``body`` (a clay-body batch), ``composition`` (oxides in ``basis`` instead of
    materials) or ``bought`` (a jar with a label and no recipe). ``proven`` says what ware and cone people use it for.
    """

    name: str = Field(min_length=1, max_length=200)
    kind: Literal["glaze", "body", "composition", "bought"] = "glaze"
    cone: ConeRange | None = None
    surface: str = ""
    atmosphere: str = ""
    source: str = ""
    notes: str = ""
    proven: str = ""
    lines: tuple[RecipeLine, ...] = ()
    composition: tuple[OxideAmount, ...] = ()
    basis: Literal["unity", "mole", "weight"] | None = None
    file: str | None = None

    @property
    def base_total(self) -> float:
        """Sum of the base amounts as written, additions left out [the card's own parts]."""
        return sum(line.amount for line in self.lines if not line.addition)

    @property
    def addition_total(self) -> float:
        """Sum of the additions as written [the card's own parts]."""
        return sum(line.amount for line in self.lines if line.addition)


Solubility = Literal["soluble", "partly", "no"]
"""Whether a material dissolves in the glaze water."""


class Material(Given):
    """A raw material: an oxide analysis (weight %, with loss on ignition) or a mineral formula.

    ``kind`` says how the figures were obtained: ``ideal`` (a pure mineral), ``certified``, ``published``, ``typical``
    or ``supplier`` (a sheet the user entered). ``solubility`` is in the glaze water, ``slow_melting`` that the
    melt takes long to dissolve it.
    """

    name: str = Field(min_length=1, max_length=200)
    aliases: tuple[str, ...] = ()
    kind: Literal["ideal", "certified", "published", "typical", "supplier"] = "supplier"
    formula: str | None = Field(default=None, max_length=400)
    analysis: tuple[OxideAmount, ...] = ()
    loi: Annotated[float, Field(ge=-50, le=100)] | None = None
    density: Annotated[float, Field(gt=0.2, lt=25)] | None = None
    spread_percent: Percent | None = None
    hazards: tuple[str, ...] = ()
    family: str = ""
    plastic: bool = False
    solubility: Solubility = "no"
    slow_melting: bool = False
    usual_low: NotNegative | None = None
    usual_high: NotNegative | None = None
    volatile: tuple[str, ...] = ()
    moisture_percent: Percent = 0.0
    lot: str = ""
    date: str = ""
    price_per_kg: NotNegative | None = None
    source: str = ""
    notes: str = ""
    own: bool = False
    file: str | None = None
    line: int | None = None

    @model_validator(mode="after")
    def _one_description(self) -> Self:
        if bool(self.formula) == bool(self.analysis):
            raise ValueError("a material needs either a formula or an oxide analysis, not both and not neither")
        return self


class GivenExpansion(Given):
    """A clay's expansion as a sheet or a dilatometer gives it [1e-6/K, mean linear] over a range [degC]."""

    value: Annotated[float, Field(gt=0.1, lt=30)]
    low: Annotated[float, Field(gt=0.1, lt=30)] | None = None
    high: Annotated[float, Field(gt=0.1, lt=30)] | None = None
    from_degC: Annotated[float, Field(ge=-50, le=1000)] = 20.0
    to_degC: Annotated[float, Field(gt=20, le=1300)] | None = None
    source: str = ""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        low, high = self.low, self.high
        if (low is not None and low > self.value) or (high is not None and high < self.value):
            raise ValueError("the expansion must lie between its low and high")
        if self.to_degC is not None and self.to_degC <= self.from_degC:
            raise ValueError("to_degC must be above from_degC")
        return self


class AtCone(Given):
    """Absorption or shrinkage measured on a piece fired to a cone; no fired clay goes beyond 60 %."""

    cone: Cone
    percent: Annotated[float, Field(ge=0, le=60)]


WareClass = Literal["earthenware", "terracotta", "stoneware", "porcelain", "bone china", "raku", "other"]
_WARE: Final = Also(
    {"terra-cotta": "terracotta", "terra cotta": "terracotta", "low fire": "earthenware", "low-fire": "earthenware",
     "mid-fire": "stoneware", "mid fire": "stoneware", "high-fire": "stoneware", "high fire": "stoneware",
     "bone": "bone china", "redware": "terracotta", "red earthenware": "terracotta"}
)  # fmt: skip


class Body(Given):
    """A clay body as its bag and its owner know it."""

    name: str = Field(min_length=1, max_length=200)
    ware: Annotated[WareClass, _WARE, Keys(("class",))] = "other"
    expansion: GivenExpansion | None = None
    expansion_is_measured: bool = False
    cone_low: Cone | None = None
    cone_high: Cone | None = None
    absorption_percent: tuple[AtCone, ...] = ()
    shrinkage_percent: tuple[AtCone, ...] = ()
    drying_shrinkage_percent: Percent | None = None
    wall_mm: Annotated[float, Field(gt=0, le=100), usual_mm(1, 60)] | None = None
    colour: Annotated[str, Keys(("color",))] = ""
    recipe: str | None = None
    known_good: tuple[str, ...] = ()
    price_per_kg: NotNegative | None = None
    source: str = ""
    line: int | None = None


SIDES: Final = {"octagon": 8, "decagon": 10, "dodecagon": 12}
"""Sides of the chambers built of many flat walls."""


_SHAPE: Final = Also(
    {"octagonal": "octagon", "decagonal": "decagon", "dodecagonal": "dodecagon", "circular": "round",
     "rectangular": "square", "10-sided": "decagon", "12-sided": "dodecagon", "8-sided": "octagon",
     "front-loading box": "box", "front loading box": "box", "front-loader": "box", "front loader": "box",
     "front-loading": "box"}
)  # fmt: skip


class Interior(Given):
    """Inside of a kiln chamber [mm]: ``width_mm`` is across (diameter, flats or side); a ``box`` loads from the front
    and ``depth_mm`` is from its door to its back."""

    shape: Annotated[Literal["round", "square", "octagon", "decagon", "dodecagon", "box"], _SHAPE]
    width_mm: Annotated[float, Field(gt=20, lt=3000), usual_mm(60), _ACROSS]
    height_mm: Annotated[float, Field(gt=20, lt=3000), usual_mm(60)]
    depth_mm: Annotated[float, Field(gt=20, lt=3000), usual_mm(60)] | None = None

    @property
    def outline(self) -> str:
        """Its floor: ``round``, ``square`` (a box, too) or one of ``SIDES``."""
        return "square" if self.shape == "box" else self.shape


Insulation = Literal["brick 23", "brick 26", "brick with backing", "fibre"]
_INSULATION: Final = Also(
    {"brick": "brick 23", "firebrick": "brick 23", "k23": "brick 23", "k-23": "brick 23", "23": "brick 23",
     "k26": "brick 26", "k-26": "brick 26", "26": "brick 26", "brick and backing": "brick with backing",
     "brick with fibre": "brick with backing", "brick with fiber": "brick with backing",
     "brick 23 with backing": "brick with backing", "backed brick": "brick with backing",
     "fiber": "fibre", "ceramic fibre": "fibre", "ceramic fiber": "fibre"}
)  # fmt: skip
_RATED: Final = Keys(("max_temperature", "max_temp", "highest_temperature", "rated_temperature", "highest_degC"))
_CONTROL: Final = Also({"switches": "switch", "automatic": "controller", "sitter": "switch", "manual": "switch"})
_CORD: Final = Also(
    {"no": "none", "false": "none", "extension cord": "extension", "adaptor": "adapter", "strip": "power strip"}
)
_GROUND_FAULT: Final = Also({"true": "yes", "false": "no", "?": "unknown"})


class Kiln(Given):
    """A kiln as its plate and its owner know it.

    The maker's rating is a cone (``cone``) or a highest temperature (``max_degC`` [degC]); where both are given the
    cooler one holds.
    """

    name: str = Field(min_length=1, max_length=200)
    volts: Annotated[float, Field(ge=50, le=700), _VOLTS] | None = None
    amps: Annotated[float, Field(gt=0, le=400), _AMPS] | None = None
    watts: Annotated[float, Field(gt=0, le=200_000), _WATTS, Keys(("kW", "power"))] | None = None
    phase: Annotated[Literal[1, 3], _PHASE] = 1
    plug: str | None = None
    cone: Annotated[Cone | None, Keys(("rated_cone", "max_cone"))] = None
    max_degC: Annotated[float, Field(ge=600, le=1800), _RATED] | None = None
    interior: Interior | None = None
    wall_mm: Annotated[float, Field(gt=5, lt=500), usual_mm(20, 300)] | None = None
    insulation: Annotated[Insulation, _INSULATION] | None = None
    shelves: Annotated[int, Field(ge=0, le=50)] = 1
    firings_on_elements: Annotated[int, Field(ge=0, le=10_000)] | None = None
    control: Annotated[Literal["controller", "switch"], _CONTROL] = "controller"
    clearance_mm: Annotated[Positive | None, usual_mm(25)] = None
    line: int | None = None

    @property
    def per_line(self) -> float:
        """Power over volts between lines times amps of one: the square root of three on three phases."""
        return math.sqrt(3.0) if self.phase == 3 else 1.0

    @property
    def tells_power(self) -> bool:
        """Whether its plate tells watts, or amps and volts."""
        return bool(self.watts or (self.amps and self.volts))


class Circuit(Given):
    """A branch circuit and what hangs on it. None means `not known`, which is never taken as `fine`."""

    name: str = Field(min_length=1, max_length=200)
    volts: Annotated[float, Field(ge=50, le=700), _VOLTS] | None = None
    breaker_A: Annotated[float, Field(gt=0, le=400)] | None = None
    phase: Annotated[Literal[1, 3], _PHASE] = 1
    receptacle: str | None = None
    wire_awg: Annotated[int, Field(ge=0, le=22)] | None = None
    length_m: Annotated[
        float, Field(ge=0, le=1000), Usual(0.3, 150, 'length is in m; write "40 ft" if that is meant')
    ] | None = None  # fmt: skip
    other_load_A: Annotated[float, Field(ge=0, le=400)] | None = None
    cord: Annotated[Literal["none", "extension", "adapter", "power strip"], _CORD] | None = None
    ground_fault: Annotated[Literal["yes", "no", "unknown"], _GROUND_FAULT] = "unknown"
    line: int | None = None


class Room(Given):
    """Where the kiln stands."""

    name: str = Field(min_length=1, max_length=200)
    volume_m3: Annotated[Positive | None, Usual(2, 3000, 'write "1200 cuft" if cubic feet are meant')] = None
    exhaust_m3_per_h: NotNegative | None = None
    floor: str = ""
    separate: bool | None = None
    clearance_mm: Annotated[NotNegative | None, usual_mm(0)] = None
    line: int | None = None


class Scale(Given):
    """A balance: the smallest step it shows, the most it bears, the least it weighs well [g]."""

    name: str = "scale"
    resolution_g: Annotated[float, Field(gt=0, le=1000), Usual(0.0001, 50)]
    capacity_g: Annotated[Positive | None, Usual(20, 500_000)] = None
    minimum_g: NotNegative | None = None

    @model_validator(mode="after")
    def _bears_something(self) -> Self:
        if self.capacity_g is not None and self.capacity_g < 50 * self.resolution_g:
            raise ValueError("a scale carries far more than its smallest step: check capacity_g and resolution_g")
        if self.minimum_g is not None and self.minimum_g > (self.capacity_g or MOST_LEAST_G):
            raise ValueError("the least a scale weighs well is less than the most: check minimum_g")
        return self


class Piece(Given):
    """A piece of ware for counting, coating and stacking [mm], and the glaze area of one."""

    name: str = Field(min_length=1, max_length=80)
    width_mm: Annotated[Positive, usual_mm(10), _ACROSS]
    height_mm: Annotated[Positive, usual_mm(3)]
    depth_mm: Annotated[Positive | None, usual_mm(10)] = None
    handle_mm: Annotated[NotNegative, usual_mm(0)] = 0.0
    glazed_area_cm2: Positive | None = None
    mass_g: Positive | None = None


class Container(Given):
    """A dip pot or bucket [mm]."""

    name: str = Field(min_length=1, max_length=80)
    width_mm: Annotated[Positive, usual_mm(20), _ACROSS]
    height_mm: Annotated[Positive, usual_mm(20)]
    tare_g: NotNegative | None = None


_MASSES: Final = Also({"grams": "g", "ounces": "oz", "pounds": "lb", "ounce": "oz", "pound": "lb"})


class UnitChoice(Given):
    """The units a user wants to read."""

    temperature: Annotated[Literal["C", "F"], Also({"degc": "C", "degf": "F", "celsius": "C", "fahrenheit": "F"})] = "C"
    mass: Annotated[Literal["g", "oz", "lb"], _MASSES] = "g"
    length: Annotated[Literal["mm", "in"], Also({"inches": "in", "inch": "in"})] = "mm"
    volume: Annotated[Literal["mL", "L", "fl oz", "pint", "gallon"], Also({"litre": "L", "liter": "L"})] = "mL"


class Defaults(Given):
    """What is meant when a command names no body, kiln, circuit, room or cone."""

    body: str | None = None
    kiln: str | None = None
    circuit: str | None = None
    room: str | None = None
    cone: Cone | None = None


class Limits(Given):
    """Levels at which a verdict turns; a studio may set its own."""

    sound_percent: Annotated[float, Field(ge=0, le=99)] = 65.0
    against_percent: Percent = 65.0
    against_by_class_percent: Percent = 80.0
    reach_percent: Annotated[float, Field(ge=0, le=99)] = 80.0
    no_reach_percent: Percent = 50.0
    tight_absorption_percent: Percent = 1.0
    weighing_tolerance_percent: Percent = 2.0
    electricity_price_per_kWh: NotNegative | None = None
    currency: str = ""


class LabelSheet(Given):
    """A sheet of labels for the printer [mm]."""

    page: Annotated[Literal["letter", "A4"], Also({"us letter": "letter"})] = "letter"
    columns: Annotated[int, Field(ge=1, le=20)] = 3
    rows: Annotated[int, Field(ge=1, le=40)] = 10
    width_mm: Positive = 66.0
    height_mm: Positive = 25.4
    left_mm: NotNegative = 5.0
    top_mm: NotNegative = 12.7
    gap_x_mm: NotNegative = 3.0
    gap_y_mm: NotNegative = 0.0
    offset_x_mm: Annotated[float, Field(ge=-50, le=50)] = 0.0
    offset_y_mm: Annotated[float, Field(ge=-50, le=50)] = 0.0


class Studio(Given):
    """Everything a studio folder says: studio.toml, its own materials, its stock."""

    folder: str
    file: str | None = None
    scales: tuple[Scale, ...] = ()
    units: UnitChoice = UnitChoice()
    bodies: tuple[Body, ...] = ()
    kilns: tuple[Kiln, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    rooms: tuple[Room, ...] = ()
    pieces: tuple[Piece, ...] = ()
    containers: tuple[Container, ...] = ()
    defaults: Defaults = Defaults()
    limits: Limits = Limits()
    labels: LabelSheet = LabelSheet()
    materials: tuple[Material, ...] = ()
    aliases: tuple[tuple[str, str], ...] = ()
    stock: tuple[tuple[str, float], ...] = ()
