"""A studio folder: studio.toml, its own materials.csv, its stock.csv."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import NoneType, UnionType
from typing import Annotated, Any, Final, Literal, NamedTuple, Union, get_args, get_origin

from glazecalc.files.materials import read_materials
from glazecalc.files.numbers import read_amount, read_cone, read_quantity
from glazecalc.files.problems import Findings, made, quote, shown
from glazecalc.files.text import CARD_CEILING, read_text, table_rows
from glazecalc.files.toml_lines import STUDIO_CEILING, Place, line_of, load_toml
from glazecalc.values import inputs
from glazecalc.values.answers import Problem, did_you_mean
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Also, AtCone, Given, GivenExpansion, Interior, Keys, Kiln, Studio, Usual
from glazecalc.values.texts import phrase, typed
from glazecalc.values.units import convert, find_unit

# How each kind of value in studio.toml is read: texts, counts, choices, cones, quantities and their window.


class At(NamedTuple):
    """Where a value stands: what it is called in messages, its line, and where problems go."""

    what: str
    line: int | None
    found: Findings

    def wrong_type(self, value: Any, complaint: str, hint: str = "") -> None:
        """An error: TOML gave another sort of value than is wanted here."""
        self.found.error("wrong-type", f"{self.what} {shown(value)} {complaint}", hint, self.line)


FieldReader = Callable[[Any, At], Any]
"""Turns what TOML gave into what the value class wants; None, with an error said, if it cannot."""


def _is_figure(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def text(value: Any, at: At) -> str | None:
    """A text; a number is taken as it is written."""
    if isinstance(value, str):
        return value.strip()
    if _is_figure(value) and math.isfinite(value):
        return str(value)
    at.wrong_type(value, "is not a text", "put a text in quotes")
    return None


def texts(value: Any, at: At) -> tuple[str, ...] | None:
    """Several texts: a list of them, or one text with semicolons between."""
    parts = value.split(";") if isinstance(value, str) else value if isinstance(value, list) else [value]
    return tuple(part for part in (text(part, at) for part in parts) if part)


def flag(value: Any, at: At) -> bool | None:
    """True or false; yes and no are understood."""
    if isinstance(value, bool):
        return value
    folded = value.strip().casefold() if isinstance(value, str) else ""
    known = {"yes": True, "true": True, "no": False, "false": False, "unknown": None, "?": None}
    if folded not in known:
        at.wrong_type(value, "is neither true nor false")
    return known.get(folded)


def count(value: Any, at: At) -> int | None:
    """A whole number; a text such as "12 AWG" or "#12" gives its digits."""
    if isinstance(value, str):
        digits = value.casefold().replace("awg", "").replace("gauge", "").strip(" #")
        value = int(digits) if digits.isdecimal() and len(digits) < 7 else value
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e9:
        value = int(value)
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    at.wrong_type(value, "is not a whole number")
    return None


def cone(value: Any, at: At) -> Any:
    """A cone; a TOML whole number 1 to 14 is one too."""
    return read_cone(value, at.found, at.line)


def choice(options: Mapping[str, Any]) -> FieldReader:
    """One of the options, each spelling with what it means."""

    def read(value: Any, at: At) -> Any:
        folded = "" if isinstance(value, dict | list) else " ".join(str(value).casefold().split())
        if folded in options:
            return options[folded]
        allowed = ", ".join(dict.fromkeys(str(v) for v in options.values()))
        hint = did_you_mean(folded, options) or f"it is one of {allowed}"
        at.found.error("not-a-choice", f"{at.what} {shown(value)} is none of the choices", hint, at.line)
        return None

    return read


def quantity(
    dimension: str, own_unit: str, low: float | None = None, high: float | None = None, hint: str = ""
) -> FieldReader:
    """A quantity; a bare number outside ``low`` .. ``high`` [own unit] is asked about with ``hint``."""

    def read(value: Any, at: At) -> float | None:
        number = read_quantity(value, dimension, own_unit, at.what, at.found, at.line)
        least, most = -math.inf if low is None else low, math.inf if high is None else high
        if number is not None and not least <= number <= most:
            asked = f"{at.what} {number:g} {own_unit} is unusual"
            at.found.remark("unusual-value", asked, hint or "check the unit", at.line)
        return number

    return read


def number(value: Any, at: At) -> float | None:
    """A plain number; a percent sign in a text is understood."""
    if _is_figure(value) or isinstance(value, str):
        return read_quantity(value, "percent", "%", at.what, at.found, at.line)
    at.wrong_type(value, "is not a number", "write a number")
    return None


_SUFFIXES: Final[dict[str, tuple[str, str]]] = {
    "_mm": ("length", "mm"), "_m": ("length", "m"), "_g": ("mass", "g"), "_degC": ("temperature", "degC"),
    "_m3": ("volume", "m3"), "_m3_per_h": ("flow", "m3/h"), "_A": ("current", "A"), "_cm2": ("area", "cm2"),
}  # fmt: skip


def under_its_key(key: str, value: Any, known: Mapping[str, Any]) -> tuple[str, Any] | None:
    """The key meant by one that names another unit or none (``width_in``, ``width``), and the value it is given there;
    None if no key is meant."""
    figure = _is_figure(value)
    for wanted in known:
        for suffix, (dimension, own) in _SUFFIXES.items():
            stem = wanted.removesuffix(suffix)
            if stem == wanted or not key.startswith(stem):
                continue
            rest = key[len(stem) :]
            if not rest:
                return wanted, str(value) if figure else value
            unit = find_unit(rest.lstrip("_").replace("_per_", "/"), dimension) if rest[0] == "_" else None
            if unit is not None:
                fits = figure and abs(value) < 1e9
                return wanted, convert(float(value), unit.symbol, own, dimension) if fits else value
    return None


# The tables of studio.toml: which keys each has, and how each key's value is read.


@dataclass(frozen=True, slots=True)
class Section:
    """One table of studio.toml: the class it becomes, its keys with their readers, and other names of keys."""

    made: type[Given]
    keys: Mapping[str, FieldReader]
    renamed: Mapping[str, str] = field(default_factory=dict)


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
    if "line" in section.made.model_fields:
        values["line"] = at.line
    called = f"{place[0]} {shown(table['name'])}" if "name" in table else str(place[0])
    return made(section.made, values, called, source.found, lambda loc: line_of(source.places, (*place, *loc)))


def _values(section: Section, table: dict[str, Any], place: Place, source: Source) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key, raw in table.items():
        if source.found.flooded:
            break
        at = source.at((*place, key))
        wanted = section.renamed.get(key, key)
        meant = (wanted, raw) if wanted in section.keys else under_its_key(key, raw, section.keys)
        if meant is None:
            hint = did_you_mean(key, (*section.keys, *section.renamed)) or f"its keys are {', '.join(section.keys)}"
            at.found.error("unknown-key", f"[{place[0]}] has no key {quote(key)}", hint, at.line)
        elif meant[0] in values:
            at.found.error("key-twice", f"{quote(key)} gives {meant[0]} a second time", "keep one", at.line)
        elif (value := section.keys[meant[0]](meant[1], at)) is not None:
            values[meant[0]] = value
    return values


def _inner(section: Section, name: str, table: dict[str, Any], at: At) -> Any:
    """The value of a table within a table, all of it on one line."""
    return build(section, table, (name,), Source(at.found, {} if at.line is None else {(name,): at.line}))


def _expansion(value: Any, at: At) -> GivenExpansion | None:
    """A clay's expansion [1e-6/K]: a number, a text with its unit, or a table."""
    if isinstance(value, dict):
        inner: GivenExpansion | None = _inner(_EXPANSION, "expansion", value, at)
        return inner
    alone = _coefficient(value, at)
    return None if alone is None else made(GivenExpansion, {"value": alone}, at.what, at.found, at.line)


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
    inner: Interior | None = _inner(_INTERIOR, "interior", value, at)
    return inner


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
        if named is not None and share is not None:
            row = {"cone": named, "percent": share}
            rows.append(made(AtCone, row, f"{at.what} at cone {named}", at.found, at.line))
    return tuple(sorted((row for row in rows if row), key=lambda row: row.cone))


def _watts(value: Any, at: At) -> float | None:
    watts = read_quantity(value, "power", "W", at.what, at.found, at.line)
    if watts is not None and 0 < watts < 50:
        hint = f'power is in watts: write {watts * 1000:g}, or "{watts:g} kW"'
        at.found.error("wrong-unit", f"{at.what} {watts:g} W is too little for a kiln", hint, at.line)
        return None
    return watts


HOTTEST_RATED_DEGC: Final = 1450.0
"""No electric kiln with wire elements is rated hotter than about this [degC] (common practice, no source)."""


def _highest(value: Any, at: At) -> float | None:
    """The highest temperature the maker names [degC]; a bare figure that only degrees Fahrenheit can be is refused."""
    degC = read_quantity(value, "temperature", "degC", at.what, at.found, at.line)
    if degC is None or 600 <= degC <= HOTTEST_RATED_DEGC:
        return degC
    if degC > HOTTEST_RATED_DEGC and degC <= 2700:
        hint = f'it is in degC: write "{degC:g} F" if degrees Fahrenheit are meant'
    else:
        hint = 'write the highest temperature on the plate, such as "2232 F" or 1222'
    at.found.error("wrong-unit", f"{at.what} {degC:g} degC is no kiln's highest temperature", hint, at.line)
    return None


def _core(annotation: Any, notes: Sequence[Any]) -> tuple[Any, Sequence[Any]]:
    """The type beneath a field's ``Annotated`` and ``| None``, and all that they say of it."""
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        return _core(inner, (*notes, *more))
    if get_origin(annotation) in (Union, UnionType):
        return _core(next(a for a in get_args(annotation) if a is not NoneType), notes)
    return annotation, notes


def _measure(key: str, notes: Sequence[Any]) -> tuple[str, str, Usual]:
    """Dimension and unit of a number, by what its field says or the end of its name, and its usual window."""
    usual = next((m for m in notes if isinstance(m, Usual)), Usual())
    ends = max((end for end in _SUFFIXES if key.endswith(end)), key=len, default=None)
    dimension, unit = (usual.dimension, usual.unit) if ends is None or usual.unit else _SUFFIXES[ends]
    return dimension, unit, usual


def _reader(key: str, annotation: Any, notes: Sequence[Any]) -> FieldReader:
    """How a field is read, by its type, what its ``Annotated`` says and the unit in its name."""
    core, notes = _core(annotation, notes)
    if get_origin(core) is Literal:
        also = next((m.spellings for m in notes if isinstance(m, Also)), {})
        return choice({str(word).casefold(): word for word in get_args(core)} | dict(also))
    if core is float:
        dimension, unit, usual = _measure(key, notes)
        return quantity(dimension, unit, usual.low, usual.high, usual.hint) if dimension else number
    return _BY_TYPE[core]


def kept_as(table: str, key: str) -> tuple[Any, str, str]:
    """The type of a value of studio.toml, such as ``interior.width_mm`` of ``kiln``, and its dimension and unit."""
    _, dot, inner = key.partition("interior.")
    section = _INTERIOR if dot else (MANY | ONE)[table][1]
    name = section.renamed.get(inner or key, inner or key)
    core, notes = _core(section.made.model_fields[name].annotation, section.made.model_fields[name].metadata)
    return core, *_measure(name, notes)[:2]


def _other_keys(annotation: Any, notes: Sequence[Any]) -> tuple[str, ...]:
    more = [m for part in get_args(annotation) for m in getattr(part, "__metadata__", ())]
    return next((m.names for m in (*notes, *more) if isinstance(m, Keys)), ())


def section(of: type[Given], **own: FieldReader) -> Section:
    """A table of studio.toml as the fields of its class say; ``own`` are readers of a field's own."""
    fields = {key: f for key, f in of.model_fields.items() if key != "line"}
    keys = {key: own.get(key) or _reader(key, f.annotation, f.metadata) for key, f in fields.items()}
    renamed = {other: key for key, f in fields.items() for other in _other_keys(f.annotation, f.metadata)}
    return Section(of, keys, renamed)


_BY_TYPE: Final[dict[Any, FieldReader]] = {
    str: text, bool: flag, int: count, Cone: cone, tuple[str, ...]: texts, GivenExpansion: _expansion,
    Interior: _interior, tuple[AtCone, ...]: _percents_at_cones,
}  # fmt: skip
_EXPANSION: Final = section(GivenExpansion, value=_coefficient, low=_coefficient, high=_coefficient)
_INTERIOR: Final = section(Interior)

MANY: Final[dict[str, tuple[str, Section]]] = {
    "scale": ("scales", section(inputs.Scale)),
    "body": ("bodies", section(inputs.Body)),
    "kiln": ("kilns", section(Kiln, watts=_watts, max_degC=_highest)),
    "circuit": ("circuits", section(inputs.Circuit)),
    "room": ("rooms", section(inputs.Room)),
    "piece": ("pieces", section(inputs.Piece)),
    "container": ("containers", section(inputs.Container)),
}
"""Tables that may be there many times -> field of Studio and how they are read."""
ONE: Final[dict[str, tuple[str, Section]]] = {
    "units": ("units", section(inputs.UnitChoice)),
    "defaults": ("defaults", section(inputs.Defaults)),
    "limits": ("limits", section(inputs.Limits)),
    "labels": ("labels", section(inputs.LabelSheet)),
}
"""Tables that are there once."""


ALIASES: Final = "aliases"
"""The table of the potter's own words for materials."""
STUDIO_FILE: Final = "studio.toml"
MATERIALS_FILE: Final = "materials.csv"
STOCK_FILE: Final = "stock.csv"
STOCK_HEADS: Final = frozenset({"name", "material", "materials"})
"""How the first column of stock.csv may be headed."""


def find_studio(start: str | Path | None, option: Path | None = None) -> Path | None:
    """The studio folder meant: the one asked for, else the one beside the recipe, else the current folder, else None.

    ``start`` is a recipe card, a folder, ``-`` or None. A folder is a studio if it holds studio.toml or materials.csv.
    """
    if option is not None:
        return option.parent if option.name == STUDIO_FILE else option
    folders = [Path.cwd()]
    if start is not None and str(start) != "-":
        folders.insert(0, Path(start) if os.path.isdir(start) else Path(start).parent)
    for folder in folders:
        if os.path.isfile(folder / STUDIO_FILE) or os.path.isfile(folder / MATERIALS_FILE):
            return folder
    return None


def read_studio(folder: str | Path | None) -> tuple[Studio, tuple[Problem, ...]]:
    """Everything a studio folder says, and every problem in its files; an empty studio if there is none."""
    start = phrase("make one with|: glazecalc start DIR|")
    if folder is None:
        found = Findings(None)
        found.remark("no-studio", "no studio.toml beside the card: no clay, kiln or scale is known", start)
        return Studio(folder="."), found.problems
    path = Path(folder)
    if not os.path.isdir(path):
        found = Findings(str(path))
        shown_path = quote(str(path), 120)
        found.error("no-such-folder", f"there is no folder {shown_path}", "name the folder that holds studio.toml")
        return Studio(folder=str(path)), found.problems
    file = path / STUDIO_FILE
    found = Findings(str(file))
    fields: dict[str, Any] = {}
    if not os.path.lexists(file):
        found.remark("no-studio", f"there is no {STUDIO_FILE} here: no clay, kiln or scale is known", start)
    else:
        text = read_text(file, found, STUDIO_CEILING)
        if text is not None and not text.strip():
            nothing = "there is nothing in it: no clay, kiln or scale is known"
            found.remark("empty-file", nothing, typed("glazecalc start DIR shows one"))
        fields = {"file": str(file), **_fields(text or "", found)}
    own = path / MATERIALS_FILE
    materials, of_materials = read_materials(own) if os.path.lexists(own) else ((), ())
    stock, of_stock = _read_stock(path / STOCK_FILE)
    studio = Studio(folder=str(path), materials=materials, stock=stock, **fields)
    return studio, (*found.problems, *of_materials, *of_stock)


def read_studio_text(text: str, file: str) -> tuple[Problem, ...]:
    """What would be found wrong with a studio.toml of this text."""
    found = Findings(file)
    _fields(text, found)
    return found.problems


def _fields(text: str, found: Findings) -> dict[str, Any]:
    """Field of Studio -> what the text of a studio.toml says of it."""
    tables, places = load_toml(text, found)
    source, fields = Source(found, places), dict[str, Any]()
    for key, table in (tables or {}).items():
        if found.flooded:
            break
        if key in ONE:
            name, section = ONE[key]
            value = build(section, table, (key,), source)
            fields |= {} if value is None else {name: value}
        elif key in MANY:
            name, section = MANY[key]
            rows = [((key, i), row) for i, row in enumerate(table)] if isinstance(table, list) else [((key,), table)]
            values = (build(section, row, place, source) for place, row in rows if not found.flooded)
            fields[name] = tuple(value for value in values if value is not None)
        elif key == ALIASES:
            fields["aliases"] = _aliases(table, source)
        else:
            known = (*MANY, *ONE, ALIASES)
            hint = did_you_mean(key, known) or f"its tables are {', '.join(known)}"
            found.error("unknown-key", f"a studio has no {quote(key)}", hint, source.at((key,)).line)
    _check_names(fields, tables or {}, source)
    for kiln in fields.get("kilns", ()):
        _check_plate(kiln, source)
    return fields


def _aliases(table: Any, source: Source) -> tuple[tuple[str, str], ...]:
    """What the potter's own words for materials mean: `[aliases]`, each word with a material's name."""
    if not isinstance(table, dict):
        source.found.error("wrong-type", "`aliases` is no table", 'write [aliases] and "my word" = "Kaolin" below it')
        return ()
    pairs = [(word.strip(), text(meant, source.at((ALIASES, word)))) for word, meant in table.items()]
    return tuple((word, meant) for word, meant in pairs if word and meant)


def _check_names(fields: dict[str, Any], tables: dict[str, Any], source: Source) -> None:
    """Names are each given once, and a default names something that is there."""
    for key, (name, _) in MANY.items():
        seen: set[str] = set()
        for i, value in enumerate(fields.get(name, ())):
            folded = value.name.casefold()
            if folded in seen and key != "scale":
                line = getattr(value, "line", None) or line_of(source.places, (key, i))
                source.found.error("name-twice", f"two of [[{key}]] are called {quote(value.name)}", "rename one", line)
            seen.add(folded)
    for key in ("body", "kiln", "circuit", "room"):
        meant = getattr(fields.get("defaults"), key, None)
        written = tables.get(key, [])
        rows = written if isinstance(written, list) else [written]
        names = [str(row.get("name")) for row in rows if isinstance(row, dict)]
        if meant is not None and meant.casefold() not in {n.casefold() for n in names}:
            hint = did_you_mean(meant, names) or f"write a [[{key}]] of that name"
            line = line_of(source.places, ("defaults", key))
            source.found.error("unknown-default", f"the default {key} {quote(meant)} is not in this studio", hint, line)


def _check_plate(kiln: Kiln, source: Source) -> None:
    """Volts times amps is the watts of a single-phase plate."""
    if kiln.volts is None or kiln.amps is None or kiln.watts is None:
        return
    product = kiln.volts * kiln.amps * (3**0.5 if kiln.phase == 3 else 1)
    if abs(product - kiln.watts) > 0.15 * kiln.watts:
        sums = f"{kiln.volts:g} V x {kiln.amps:g} A is {product:.0f} W, the plate says {kiln.watts:g} W"
        source.found.remark("plate-disagrees", f"kiln {quote(kiln.name)}: {sums}", "read the plate again", kiln.line)


NOT_WEIGHED_G: Final = 1e-6
"""Stands for a material that is on the shelf with nobody knowing how much: it may be used, and is still bought [g]."""


def _read_stock(file: Path) -> tuple[tuple[tuple[str, float], ...], tuple[Problem, ...]]:
    """Grams of each material on the shelf, from stock.csv with the columns name and grams."""
    found = Findings(str(file))
    written = read_text(file, found, CARD_CEILING) if os.path.lexists(file) else None
    rows = table_rows(written, found) if written is not None else ()
    stock: dict[str, float] = {}
    for row in rows:
        name, amount_text = row.cells[0], row.cells[1] if len(row.cells) > 1 else ""
        if row is rows[0] and name.casefold() in STOCK_HEADS:
            continue
        if not name:
            found.error("name-missing", "a row without a material", "", row.line)
        elif not amount_text and len(row.cells) > 1:
            what = f"{quote(name)} is on the shelf without an amount"
            found.remark("not-weighed", what, "weigh it, and the answer says what to buy", row.line)
            stock.setdefault(name, NOT_WEIGHED_G)
        elif (amount := read_amount(amount_text, found, row.line)) is not None:
            if name in stock:
                found.remark("named-twice", f"{quote(name)} is in stock twice; added together", "", row.line)
            stock[name] = stock.get(name, 0.0) + amount.value
    return tuple(stock.items()), found.problems
