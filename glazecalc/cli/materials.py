"""``materials`` and ``body``: raw materials, the studio's own and its stock, and clays; each change can be undone."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

from glazecalc.cli.frame import Told, command, stop_on_errors
from glazecalc.cli.options import ConeOption, ForceOption, StudioOption, Text, Texts, UnitsOption, arg, flag, opt
from glazecalc.values.answers import Problem, refuse, remark
from glazecalc.values.names import fold


@command(
    "materials",
    '"nepheline syenite"',
    "frit",
    "--add delivery-sheet.csv --studio my-studio",
    '--stock "Silica=3.2kg" --studio my-studio',
    '--alias "old spar=Potash feldspar" --studio my-studio',
)
def materials(
    name: Annotated[Text, arg("[NAME]", "Material to show, or words to look for; all are listed without it.")] = None,
    add: Annotated[
        Path | None, opt("--add", "SHEET.csv", "Add a supplier's analyses to the studio's materials.csv.")
    ] = None,
    remove: Annotated[Text, opt("--remove", "NAME", "Take an own material out of materials.csv.")] = None,
    rename: Annotated[
        Text, opt("--rename", "OLD=NEW", "Rename an own material; cards still read the old name.")
    ] = None,
    stock: Annotated[
        Texts,
        opt(
            "--stock", "NAME=MASS",
            'What stands on the shelf: 3.2kg; "NAME=?" is there, "NAME=" takes it off. Repeat it.',
        ),
    ] = None,
    undo: Annotated[
        bool, flag("--undo", "Put materials.csv and stock.csv back as before the last change.")
    ] = False,
    alias: Annotated[Texts, opt("--alias", "NAME=MATERIAL", "Remember what a word on your cards means.")] = None,
    force: ForceOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
) -> Told:  # fmt: skip
    """List the known raw materials, show one; add, rename or remove your own; write down your stock."""
    folder = studio or Path()
    if sum((add is not None, remove is not None, rename is not None, bool(stock), undo)) > 1:
        refuse("usage", "one change at a time: --add, --remove, --rename, --stock or --undo")
    if add is not None:
        return _added(add, folder, force)
    if remove is not None:
        return _removed(folder, remove)
    if rename is not None:
        return _renamed(folder, rename)
    if stock:
        return _stocked(folder, stock)
    return _undone(folder) if undo else _shown(name, studio, units, alias or ())


def _shown(name: str | None, folder: Path | None, units: str | None, alias: Sequence[str]) -> Told:
    """A material, those with a word in a name, all of them, or what the studio's own words mean."""
    from glazecalc.jobs.bench import open_bench
    from glazecalc.jobs.materials import material_facts, what_to_write
    from glazecalc.render.text.formula import holding_text, list_text, material_text

    bench = open_bench((), folder, units=units, needs_studio=False, named=alias)
    lost = next((p for p in bench.problems if p.code == "alias-not-kept"), None)
    if lost is not None:
        refuse("no-studio", "there is no studio to remember it", lost.hint, bench.studio.folder)
    if alias and name is None:
        text = "\n".join(f"{word} means {meant}" for word, meant in bench.studio.aliases)
        rows = [{"alias": word, "material": meant} for word, meant in bench.studio.aliases]
        return Told(rows, text, problems=bench.problems)
    if name is None:
        facts = [material_facts(m) for m in bench.pantry.materials]
        return Told(facts, list_text(facts), problems=bench.problems)
    if (one := bench.pantry.find(name)) is not None:
        facts = [material_facts(one)]
        return Told(facts, material_text(facts[0]), problems=bench.problems)
    facts = [material_facts(m) for m in bench.pantry.holding(name)]
    if not facts:
        refuse("unknown-material", f"no material is called {name!r}", what_to_write(name, bench.pantry))
    return Told(facts, holding_text(name, facts), problems=bench.problems)


UNDO = "Undo it with: glazecalc materials --undo"


def _added(sheet: Path, folder: Path, force: bool) -> Told:
    """Add every material of a supplier's sheet, all or none. Raises ProblemsError where one cannot be used."""
    from glazecalc.files.materials import built_in_materials
    from glazecalc.files.studio import MATERIALS_FILE
    from glazecalc.files.studio_edit import write_materials_rows
    from glazecalc.files.supplier_sheet import read_supplier_sheets
    from glazecalc.files.writing import keep
    from glazecalc.jobs.materials import material_facts, with_hazards
    from glazecalc.render.text.formula import material_text

    read, found = read_supplier_sheets(sheet)
    problems = list(found)
    stop_on_errors(problems)
    materials = []
    for material in read:
        guarded, remarks = with_hazards(material, built_in_materials())
        materials.append(guarded)
        problems += remarks
    facts = [material_facts(m) for m in materials]
    problems += write_materials_rows(folder / MATERIALS_FILE, materials, force, keep)
    stop_on_errors(problems)
    text = "\n\n".join((f"Added to {folder / MATERIALS_FILE}. {UNDO}", *map(material_text, facts)))
    return Told(facts, text, problems=problems)


def _removed(folder: Path, name: str) -> Told:
    """Take an own material out, with a remark where cards of the studio still name it. Raises ProblemsError if there is
    none of that name.
    """
    from glazecalc.files.studio_edit import remove_material
    from glazecalc.jobs.requests import studio_cards

    problems = list(remove_material(folder, name))
    cards = [card.name for card in studio_cards(folder) if any(fold(x.material) == fold(name) for x in card.lines)]
    if cards:
        what = f"{name} is still named by: {', '.join(cards[:8])}"
        problems.append(remark("still-named", what, "name another material on them"))
    stop_on_errors(problems)
    return Told([{"removed": name}], f"Removed {name}. {UNDO}", problems=problems)


def _renamed(folder: Path, words: str) -> Told:
    """Rename an own material. Raises ProblemsError if there is none of that name, or the new one is taken."""
    from glazecalc.files.studio_edit import rename_material

    old, equals, new = (part.strip() for part in words.partition("="))
    if not (old and equals and new) or len(new) > 200 or new[:1] in "=@+-":
        refuse("not-a-pair", f"{words[:60]!r} is not OLD=NEW", 'write --rename "Bag 7=Kaolin"')
    problems = list(rename_material(folder, old, new))
    stop_on_errors(problems)
    text = f"{old} is now called {new}; the old name still means it. {UNDO}"
    return Told([{"renamed": old, "name": new}], text, problems=problems)


def _stocked(folder: Path, words: Sequence[str]) -> Told:
    """Write down what stands on the shelf. Raises ProblemsError for an amount that cannot be."""
    from glazecalc.files.numbers import read_quantity
    from glazecalc.files.problems import Findings
    from glazecalc.files.studio import NOT_WEIGHED_G
    from glazecalc.files.studio_edit import changed_stock

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
    return Told([{"stock": shown}], text, problems=problems)


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


def _undone(folder: Path) -> Told:
    """Put the tables back as they were before the last change. Raises ProblemsError where nothing was kept."""
    from glazecalc.files.studio import MATERIALS_FILE, STOCK_FILE
    from glazecalc.files.writing import last_kept, put_back

    path = last_kept([folder / MATERIALS_FILE, folder / STOCK_FILE])
    if path is None or not put_back(path):
        refuse("nothing-to-undo", "no change of materials.csv or stock.csv is left to undo")
    return Told([{"put_back": path.name}], f"{path.name} says again what it said before.")


@command("body", '"Harbour stoneware"', '"Harbour stoneware" --cone 6 --fired 100mm --json')
def body(
    name: Annotated[Text, arg("[BODY]", "Clay of the studio. [default: the studio's]")] = None,
    cone: ConeOption = None,
    fired: Annotated[Text, opt("--fired", "100mm", "Size wanted after firing: how big is it to be wet?")] = None,
    studio: StudioOption = None,
    units: UnitsOption = None,
) -> Told:
    """Show a clay's expansion, absorption, shrinkage and cone range, and how to find what is not known."""
    from glazecalc.cli.asked import quantity
    from glazecalc.jobs import requests
    from glazecalc.jobs.bench import open_bench
    from glazecalc.render.text.learn import clay_text

    bench = open_bench((), studio, units=units)
    report, problems = requests.body(bench, name, cone=cone, fired_mm=quantity(fired, "length", "mm", "--fired"))
    shown = bench.studio.units
    if fired is not None and re.search(r"[\d\s](?:in|inch|inches|\"|ft|feet|')\.?\s*$", fired):
        shown = shown.model_copy(update={"length": "in"})
    return Told([report], clay_text(report, shown), problems=[*bench.problems, *problems])
