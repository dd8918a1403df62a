"""The tables of studio.toml: which keys each has, and how each key's value is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from pydantic import ValidationError

from glazecalc.read.cone import read_cone
from glazecalc.read.fields import (
    At,
    FieldReader,
    choice,
    cone,
    count,
    flag,
    length,
    number,
    quantity,
    text,
    with_unit_of_key,
)  # fmt: skip
from glazecalc.read.findings import Findings, quote, shown
from glazecalc.read.quantity import read_quantity
from glazecalc.read.toml_lines import Place, line_of
from glazecalc.read.translate import say_invalid
from glazecalc.values.inputs import (
    AtCone,
    Body,
    Circuit,
    Container,
    Defaults,
    Given,
    GivenExpansion,
    Interior,
    Kiln,
    LabelSheet,
    Limits,
    Piece,
    Room,
    Scale,
    UnitChoice,
)  # fmt: skip
from glazecalc.values.problem import did_you_mean


@dataclass(frozen=True, slots=True)
class Section:
    """One table of studio.toml: the class it becomes, its keys with their readers, and other names of keys."""

    made: type[Given]
    keys: Mapping[str, FieldReader]
    renamed: Mapping[str, str] = field(default_factory=dict)
    has_line: bool = False


class Source(NamedTuple):
    """The file a table comes from: where problems go, and the line of each key."""

    found: Findings
    places: dict[Place, int]

    def at(self, place: Place) -> At:
        """Where a value stands and what it is called."""
        what = ".".join(str(part) for part in place[-2:] if not isinstance(part, int))
        return At(what, line_of(self.places, place), self.found)


def build(section: Section, table: Any, place: Place, source: Source) -> Any:
    """The value a TOML table describes, or None with every fault in it said."""
    at = source.at(place)
    if not isinstance(table, dict):
        hint = f"write [{place[0]}] on a line of its own and its keys below"
        source.found.error("wrong-type", f"{at.what} is not a table", hint, at.line)
        return None
    faults = source.found.error_count
    values = _values(section, table, place, source)
    if source.found.error_count > faults:
        return None
    if section.has_line:
        values["line"] = at.line
    called = f"{place[0]} {shown(table['name'])}" if "name" in table else str(place[0])
    try:
        return section.made(**values)
    except ValidationError as failure:
        say_invalid(failure, called, source.found, lambda loc: line_of(source.places, (*place, *loc)))
        return None


def _values(section: Section, table: dict[str, Any], place: Place, source: Source) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key, raw in table.items():
        if source.found.flooded:
            break
        at = source.at((*place, key))
        put: Callable[[Any], Any] | None = None
        wanted = section.renamed.get(key, key)
        if wanted not in section.keys:
            meant = with_unit_of_key(key, section.keys)
            if meant is None:
                hint = did_you_mean(key, (*section.keys, *section.renamed)) or f"its keys are {', '.join(section.keys)}"
                at.found.error("unknown-key", f"[{place[0]}] has no key {quote(key)}", hint, at.line)
                continue
            wanted, put = meant
        if wanted in values:
            at.found.error("key-twice", f"{quote(key)} gives {wanted} a second time", "keep one", at.line)
            continue
        value = section.keys[wanted](put(raw) if put else raw, at)
        if value is not None:
            values[wanted] = value
    return values


def _expansion(value: Any, at: At) -> GivenExpansion | None:
    """A clay's expansion [1e-6/K]: a number, a text with its unit, or a table."""
    if isinstance(value, dict):
        made: GivenExpansion | None = build(_EXPANSION, value, ("expansion",), Source(at.found, _one_line(at, value)))
        return made
    alone = _coefficient(value, at)
    if alone is None:
        return None
    try:
        return GivenExpansion(value=alone)
    except ValidationError as failure:
        say_invalid(failure, at.what, at.found, at.line)
        return None


def _coefficient(value: Any, at: At) -> float | None:
    """An expansion coefficient [1e-6/K], with the slips of a power of ten caught."""
    number_ = read_quantity(value, "expansion", "1e-6/K", at.what, at.found, at.line)
    if number_ is None:
        return None
    for factor, unit in ((0.1, "1e-7/K"), (1e6, "1/K")):
        meant = number_ * factor
        if not 1 <= number_ <= 30 and 1 <= meant <= 30:
            hint = f"an expansion is in 1e-6/K: write {meant:g}"
            at.found.error("wrong-unit", f"{at.what} {number_:g} looks like a figure in {unit}", hint, at.line)
            return None
    if not 2 <= number_ <= 14:
        hint = "fired clays are mostly 4 to 10 x 1e-6/K; a volume figure is three times the linear one that is wanted"
        at.found.remark("unusual-value", f"{at.what} {number_:g} x 1e-6/K is unusual", hint, at.line)
    return number_


def _interior(value: Any, at: At) -> Interior | None:
    if not isinstance(value, dict):
        hint = 'write interior = { shape = "square", width_mm = 200, height_mm = 230 }, with your own figures'
        at.found.error("wrong-type", "interior is not a table of shape, width and height", hint, at.line)
        return None
    made: Interior | None = build(_INTERIOR, value, ("interior",), Source(at.found, _one_line(at, value)))
    return made


def _one_line(at: At, value: Any) -> dict[Place, int]:
    """The line of an inner table, for all its keys."""
    return (
        {}
        if at.line is None
        else {(at.what.rpartition(".")[2],): at.line, ("expansion",): at.line, ("interior",): at.line}
    )


def _percents_at_cones(value: Any, at: At) -> tuple[AtCone, ...] | None:
    """A table cone -> percent; a single number is refused, for it says nothing without its cone."""
    if not isinstance(value, dict):
        text_ = f"{at.what} needs the cone each percent was measured at"
        at.found.error("cone-missing", text_, f'write {at.what.rpartition(".")[2]} = {{ "6" = 2.0 }}', at.line)
        return None
    rows = []
    for name, percent in value.items():
        named = read_cone(name, at.found, at.line)
        share = read_quantity(percent, "percent", "%", f"{at.what} at cone {name[:10]}", at.found, at.line)
        if named is None or share is None:
            continue
        try:
            rows.append(AtCone(cone=named, percent=share))
        except ValidationError as failure:
            say_invalid(failure, f"{at.what} at cone {named}", at.found, at.line)
    return tuple(sorted(rows, key=lambda row: row.cone))


def _watts(value: Any, at: At) -> float | None:
    watts = read_quantity(value, "power", "W", at.what, at.found, at.line)
    if watts is not None and 0 < watts < 50:
        hint = f'power is in watts: write {watts * 1000:g}, or "{watts:g} kW"'
        at.found.error("wrong-unit", f"{at.what} {watts:g} W is too little for a kiln", hint, at.line)
        return None
    return watts


def _one_of(*words: str, **others: str) -> FieldReader:
    return choice({word: word for word in words} | {k.replace("_", " "): v for k, v in others.items()})


_WARE: Final = choice(
    {w: w for w in ("earthenware", "terracotta", "stoneware", "porcelain", "bone china", "raku", "other")}
    | {"terra-cotta": "terracotta", "terra cotta": "terracotta", "low fire": "earthenware", "low-fire": "earthenware",
       "mid-fire": "stoneware", "mid fire": "stoneware", "high-fire": "stoneware", "high fire": "stoneware",
       "bone": "bone china", "redware": "terracotta", "red earthenware": "terracotta"}
)  # fmt: skip
_PHASE: Final = choice({"1": 1, "3": 3, "single": 1, "single-phase": 1, "three": 3, "three-phase": 3})
_CORD: Final = choice(
    {"none": "none", "no": "none", "false": "none", "extension": "extension", "extension cord": "extension",
     "adapter": "adapter", "adaptor": "adapter", "power strip": "power strip", "strip": "power strip"}
)  # fmt: skip
_GROUND_FAULT: Final = choice(
    {"yes": "yes", "true": "yes", "no": "no", "false": "no", "unknown": "unknown", "?": "unknown"}
)
_VOLTS: Final = quantity("potential", "V")
_AMPS: Final = quantity("current", "A")
_MASS: Final = quantity("mass", "g")
_DEGREES: Final = quantity("temperature", "degC")
_PRICE: Final = number

_EXPANSION: Final = Section(
    GivenExpansion,
    {
        "value": _coefficient,
        "low": _coefficient,
        "high": _coefficient,
        "from_degC": _DEGREES,
        "to_degC": _DEGREES,
        "source": text,
    },
)
_INTERIOR: Final = Section(
    Interior,
    {"shape": _one_of("round", "square", "octagon", octagonal="octagon", circular="round", rectangular="square"),
     "width_mm": length(60), "height_mm": length(60), "depth_mm": length(60)},
    {"diameter_mm": "width_mm", "diameter": "width_mm"},
)  # fmt: skip
_BODY: Final = Section(
    Body,
    {"name": text, "ware": _WARE, "expansion": _expansion, "expansion_is_measured": flag, "cone_low": cone,
    "cone_high": cone,
     "absorption_percent": _percents_at_cones, "shrinkage_percent": _percents_at_cones,
     "drying_shrinkage_percent": number,
     "wall_mm": length(1, 60), "colour": text, "recipe": text, "price_per_kg": _PRICE, "source": text},
    {"class": "ware", "color": "colour"}, has_line=True,
)  # fmt: skip
_KILN: Final = Section(
    Kiln,
    {"name": text, "volts": _VOLTS, "amps": _AMPS, "watts": _watts, "phase": _PHASE, "plug": text, "cone": cone,
     "interior": _interior, "wall_mm": length(20, 300), "shelves": count, "firings_on_elements": count,
     "control": _one_of("controller", "switch", switches="switch", automatic="controller", sitter="switch",
     manual="switch"),
     "clearance_mm": length(25)},
    {"kW": "watts", "power": "watts", "rated_cone": "cone", "max_cone": "cone"}, has_line=True,
)  # fmt: skip
_CIRCUIT: Final = Section(
    Circuit,
    {"name": text, "volts": _VOLTS, "breaker_A": _AMPS, "phase": _PHASE, "receptacle": text, "wire_awg": count,
     "length_m": quantity("length", "m", 0.3, 150, 'length is in m; write "40 ft" if that is meant'),
     "other_load_A": _AMPS,
     "cord": _CORD, "ground_fault": _GROUND_FAULT},
    has_line=True,
)  # fmt: skip
_ROOM: Final = Section(
    Room,
    {"name": text, "volume_m3": quantity("volume", "m3", 2, 3000, 'write "1200 cuft" if cubic feet are meant'),
     "exhaust_m3_per_h": quantity("flow", "m3/h"), "floor": text, "separate": flag, "clearance_mm": length(0)},
    has_line=True,
)  # fmt: skip
_SCALE: Final = Section(
    Scale,
    {"name": text, "resolution_g": quantity("mass", "g", 0.0001, 50), "capacity_g": quantity("mass", "g", 20, 500_000),
     "minimum_g": _MASS},
)  # fmt: skip
_PIECE: Final = Section(
    Piece,
    {"name": text, "width_mm": length(10), "height_mm": length(3), "depth_mm": length(10), "handle_mm": length(0),
     "glazed_area_cm2": quantity("area", "cm2"), "mass_g": _MASS},
    {"diameter_mm": "width_mm", "diameter": "width_mm"},
)  # fmt: skip
_CONTAINER: Final = Section(
    Container,
    {"name": text, "width_mm": length(20), "height_mm": length(20), "tare_g": _MASS},
    {"diameter_mm": "width_mm", "diameter": "width_mm"},
)
_UNITS: Final = Section(
    UnitChoice,
    {"temperature": _one_of(c="C", f="F", degc="C", degf="F", celsius="C", fahrenheit="F"),
     "mass": _one_of("g", "oz", "lb", grams="g", ounces="oz", pounds="lb", ounce="oz", pound="lb"),
     "length": _one_of("mm", "in", inches="in", inch="in"),
     "volume": choice({"ml": "mL", "l": "L", "litre": "L", "liter": "L", "fl oz": "fl oz", "pint": "pint",
     "gallon": "gallon"})},
)  # fmt: skip
_DEFAULTS: Final = Section(Defaults, {"body": text, "kiln": text, "circuit": text, "room": text, "cone": cone})
_LIMITS: Final = Section(
    Limits,
    {"sound_percent": number, "against_percent": number, "tight_absorption_percent": number,
     "weighing_tolerance_percent": number, "electricity_price_per_kWh": _PRICE, "currency": text},
)  # fmt: skip
_SIDE: Final = quantity("length", "mm")
_LABELS: Final = Section(
    LabelSheet,
    {"page": choice({"letter": "letter", "us letter": "letter", "a4": "A4"}), "columns": count, "rows": count,
     "width_mm": _SIDE, "height_mm": _SIDE, "left_mm": _SIDE, "top_mm": _SIDE, "gap_x_mm": _SIDE, "gap_y_mm": _SIDE,
     "offset_x_mm": _SIDE, "offset_y_mm": _SIDE},
)  # fmt: skip

MANY: Final[dict[str, tuple[str, Section]]] = {
    "scale": ("scales", _SCALE), "body": ("bodies", _BODY), "kiln": ("kilns", _KILN), "circuit": ("circuits", _CIRCUIT),
    "room": ("rooms", _ROOM), "piece": ("pieces", _PIECE), "container": ("containers", _CONTAINER),
}  # fmt: skip
"""Tables that may be there many times -> field of Studio and how they are read."""
ONE: Final[dict[str, tuple[str, Section]]] = {
    "units": ("units", _UNITS), "defaults": ("defaults", _DEFAULTS), "limits": ("limits", _LIMITS),
    "labels": ("labels", _LABELS),
}  # fmt: skip
"""Tables that are there once."""
