"""What ``materials`` changes: the studio's own materials and its stock, each change kept so that it can be undone."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from glazecalc.cli.frame import Told, stop_on_errors
from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.names import fold

UNDO = "Undo it with: glazecalc materials --undo"


def added(sheet: Path, folder: Path, force: bool) -> Told:
    """Add every material of a supplier's sheet, all or none. Raises ProblemsError where one cannot be used."""
    from glazecalc.files.materials import built_in_materials
    from glazecalc.files.materials_edit import add_materials
    from glazecalc.files.studio import MATERIALS_FILE
    from glazecalc.files.supplier_sheet import read_supplier_sheets
    from glazecalc.jobs.materials import material_facts
    from glazecalc.jobs.sheet_hazards import with_hazards
    from glazecalc.render.text.materials import material_text

    read, found = read_supplier_sheets(sheet)
    problems = list(found)
    stop_on_errors(problems)
    materials = []
    for material in read:
        guarded, said = with_hazards(material, built_in_materials())
        materials.append(guarded)
        problems += said
    facts = [material_facts(m) for m in materials]
    problems += add_materials(folder, materials, force)
    stop_on_errors(problems)
    text = "\n\n".join((f"Added to {folder / MATERIALS_FILE}. {UNDO}", *map(material_text, facts)))
    return Told("materials", facts, text, problems=problems)


def removed(folder: Path, name: str) -> Told:
    """Take an own material out. Raises ProblemsError if there is none of that name."""
    from glazecalc.files.materials_edit import remove_material

    problems = [*remove_material(folder, name), *_still_named(folder, name)]
    stop_on_errors(problems)
    return Told("materials", [{"removed": name}], f"Removed {name}. {UNDO}", problems=problems)


def renamed(folder: Path, words: str) -> Told:
    """Rename an own material. Raises ProblemsError if there is none of that name, or the new one is taken."""
    from glazecalc.files.materials_edit import rename_material

    old, equals, new = (part.strip() for part in words.partition("="))
    if not (old and equals and new) or len(new) > 200 or new[:1] in "=@+-":
        raise ProblemsError([error("not-a-pair", f"{words[:60]!r} is not OLD=NEW", 'write --rename "Bag 7=Kaolin"')])
    problems = list(rename_material(folder, old, new))
    stop_on_errors(problems)
    text = f"{old} is now called {new}; the old name still means it. {UNDO}"
    return Told("materials", [{"renamed": old, "name": new}], text, problems=problems)


def stocked(folder: Path, words: Sequence[str]) -> Told:
    """Write down what stands on the shelf. Raises ProblemsError for an amount that cannot be."""
    from glazecalc.files.numbers import read_quantity
    from glazecalc.files.problems import Findings
    from glazecalc.files.studio import NOT_WEIGHED_G
    from glazecalc.files.studio_tables import changed_stock

    found, grams = Findings(None), dict[str, float | None]()
    for typed in words:
        name, equals, amount = (part.strip() for part in typed.rpartition("="))
        if not (name and equals) or name[:1] in "=@+-":
            found.error("not-a-pair", f"{typed[:60]!r} is not NAME=MASS", 'write --stock "Silica=3.2kg"')
        elif amount in ("", "?"):
            grams[name] = NOT_WEIGHED_G if amount else None
        else:
            grams[name] = read_quantity(amount, "mass", "g", "--stock", found)
            if not 0 <= (grams[name] or 0.0) <= 1e9:
                found.error("out-of-range", f"{amount[:20]!r} cannot stand on a shelf", "write it as 3.2kg")
    stop_on_errors(found.problems)
    problems = [*found.problems, *_unknown(folder, [n for n, g in grams.items() if g is not None])]
    changed_stock(folder, grams)
    shown = {n: None if g is None or g <= NOT_WEIGHED_G else g for n, g in grams.items()}
    text = f"Written into {folder / 'stock.csv'}: {', '.join(grams)}. {UNDO}"
    return Told("materials", [{"stock": shown}], text, problems=problems)


def undone(folder: Path) -> Told:
    """Put the tables back as they were before the last change. Raises ProblemsError where nothing was kept."""
    from glazecalc.files.earlier import last_kept, put_back
    from glazecalc.files.studio import MATERIALS_FILE, STOCK_FILE

    path = last_kept([folder / MATERIALS_FILE, folder / STOCK_FILE])
    if path is None or not put_back(path):
        raise ProblemsError([error("nothing-to-undo", "no change of materials.csv or stock.csv is left to undo", "")])
    return Told("materials", [{"put_back": path.name}], f"{path.name} says again what it said before.")


def _unknown(folder: Path, names: Sequence[str]) -> list[Problem]:
    """A remark for every name that no material has."""
    from glazecalc.jobs.bench import open_bench
    from glazecalc.jobs.materials import what_to_write

    pantry = open_bench((), folder if (folder / "studio.toml").is_file() else None, needs_studio=False).pantry
    return [
        remark("unknown-material", f"no material is called {name!r}", what_to_write(name, pantry))
        for name in names
        if pantry.find(name) is None
    ]


def _still_named(folder: Path, name: str) -> list[Problem]:
    """A remark where cards of the studio still name a material."""
    from glazecalc.jobs.requests import studio_cards

    cards = [card.name for card in studio_cards(folder) if any(fold(x.material) == fold(name) for x in card.lines)]
    hint = "name another material on them"
    return [remark("still-named", f"{name} is still named by: {', '.join(cards[:8])}", hint)] if cards else []
