"""A studio folder: studio.toml, its own materials.csv, its stock.csv."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from glazecalc.read.findings import Findings, quote
from glazecalc.read.materials import read_materials
from glazecalc.read.numbers import read_amount
from glazecalc.read.sections import MANY, ONE, Source, build
from glazecalc.read.tables import table_rows
from glazecalc.read.text import CARD_CEILING, read_text
from glazecalc.read.toml_lines import STUDIO_CEILING, Place, line_of, load_toml
from glazecalc.values.inputs import Kiln, Material, Studio
from glazecalc.values.problem import Problem, did_you_mean

STUDIO_FILE: Final = "studio.toml"
MATERIALS_FILE: Final = "materials.csv"
STOCK_FILE: Final = "stock.csv"


def find_studio(start: str | Path | None, option: Path | None = None) -> Path | None:
    """The studio folder meant: the one asked for, else the one beside the recipe, else the current folder, else None.

    ``start`` is a recipe card, a folder, ``-`` or None. A folder is a studio if it holds studio.toml or materials.csv.
    """
    if option is not None:
        return option.parent if option.name == STUDIO_FILE else option
    folders = [Path.cwd()]
    if start is not None and str(start) != "-":
        folders.insert(0, Path(start) if _exists(Path(start), "is_dir") else Path(start).parent)
    for folder in folders:
        if _exists(folder / STUDIO_FILE, "is_file") or _exists(folder / MATERIALS_FILE, "is_file"):
            return folder
    return None


def _exists(path: Path, test: str) -> bool:
    try:
        return bool(getattr(path, test)())
    except (OSError, ValueError):
        return False


def read_studio(folder: str | Path | None) -> tuple[Studio, tuple[Problem, ...]]:
    """Everything a studio folder says, and every problem in its files; an empty studio if there is none."""
    if folder is None:
        found = Findings(None)
        found.remark(
            "no-studio",
            "no studio.toml beside the recipe: no clay, kiln or scale is known",
            "make one with: glazecalc start DIR",
        )
        return Studio(folder="."), found.problems
    path = Path(folder)
    if not _exists(path, "is_dir"):
        found = Findings(str(path))
        found.error(
            "no-such-folder", f"there is no folder {quote(str(path), 120)}", "name the folder that holds studio.toml"
        )
        return Studio(folder=str(path)), found.problems
    fields, problems = _read_toml(path)
    materials, of_materials = _own_materials(path)
    stock, of_stock = _read_stock(path)
    studio = Studio(folder=str(path), materials=materials, stock=stock, **fields)
    return studio, (*problems, *of_materials, *of_stock)


def _read_toml(folder: Path) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    file = folder / STUDIO_FILE
    found = Findings(str(file))
    if not (_exists(file, "exists") or _exists(file, "is_symlink")):
        found.remark(
            "no-studio",
            f"there is no {STUDIO_FILE} here: no clay, kiln or scale is known",
            "make one with: glazecalc start DIR",
        )
        return {}, found.problems
    text = read_text(file, found, STUDIO_CEILING)
    if text is not None and not text.strip():
        found.remark(
            "empty-file", "there is nothing in it: no clay, kiln or scale is known", "glazecalc start DIR shows one"
        )
    tables, places = (None, {}) if text is None else load_toml(text, found)
    fields = {} if tables is None else _fields(tables, Source(found, places))
    return {"file": str(file), **fields}, found.problems


def _fields(tables: dict[str, Any], source: Source) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for key, table in tables.items():
        if source.found.flooded:
            break
        place: Place = (key,)
        if key in ONE:
            name, section = ONE[key]
            value = build(section, table, place, source)
            fields |= {} if value is None else {name: value}
        elif key in MANY:
            name, section = MANY[key]
            fields[name] = _many(key, section, table, source)
        else:
            at = source.at(place)
            hint = did_you_mean(key, (*MANY, *ONE)) or f"its tables are {', '.join((*MANY, *ONE))}"
            source.found.error("unknown-key", f"a studio has no {quote(key)}", hint, at.line)
    _check_names(fields, tables, source)
    for kiln in fields.get("kilns", ()):
        _check_plate(kiln, source)
    return fields


def _many(key: str, section: Any, table: Any, source: Source) -> tuple[Any, ...]:
    if isinstance(table, list):
        made = [build(section, one, (key, i), source) for i, one in enumerate(table) if not source.found.flooded]
    else:
        made = [build(section, table, (key,), source)]
    return tuple(value for value in made if value is not None)


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
        names = [
            str(t.get("name")) for t in (written if isinstance(written, list) else [written]) if isinstance(t, dict)
        ]
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
        said = f"{kiln.volts:g} V x {kiln.amps:g} A is {product:.0f} W, the plate says {kiln.watts:g} W"
        text = f"kiln {quote(kiln.name)}: {said}"
        source.found.remark("plate-disagrees", text, "read the plate again", kiln.line)


def _own_materials(folder: Path) -> tuple[tuple[Material, ...], tuple[Problem, ...]]:
    file = folder / MATERIALS_FILE
    return read_materials(file) if _exists(file, "exists") or _exists(file, "is_symlink") else ((), ())


def _read_stock(folder: Path) -> tuple[tuple[tuple[str, float], ...], tuple[Problem, ...]]:
    """Grams of each material on the shelf, from stock.csv with the columns name and grams."""
    file = folder / STOCK_FILE
    found = Findings(str(file))
    if not (_exists(file, "exists") or _exists(file, "is_symlink")):
        return (), ()
    text = read_text(file, found, CARD_CEILING)
    rows = table_rows(text, found) if text is not None else ()
    stock: dict[str, float] = {}
    for row in rows:
        name, amount_text = row.cells[0], row.cells[1] if len(row.cells) > 1 else ""
        if row is rows[0] and name.casefold() in {"name", "material", "materials"}:
            continue
        amount = read_amount(amount_text, found, row.line) if name else None
        if not name:
            found.error("name-missing", "a row without a material", "", row.line)
        elif amount is not None:
            if name in stock:
                found.remark("named-twice", f"{quote(name)} is in stock twice; added together", "", row.line)
            stock[name] = stock.get(name, 0.0) + amount.value
    return tuple(stock.items()), found.problems
