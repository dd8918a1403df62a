"""The corpus of pasted recipes: its cases, and what a reading of one comes to beside what its writer meant."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from glazecalc.files.card import read_recipe_text
from glazecalc.jobs.materials import Pantry

FOLDER = Path(__file__).parent / "pasted"


@dataclass
class Case:
    """A pasted text and what it says."""

    name: str
    text: str
    meant: dict[str, str] = field(default_factory=dict)


def cases(*files: str) -> Iterator[Case]:
    """Every case of the corpus, or of some of its files."""
    for path in sorted(FOLDER.glob("*.txt")):
        if path.name == "README.txt" or (files and path.stem not in files):
            continue
        for block in re.split(r"^%% (?=\w+-\d+: )", path.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
            head, _, rest = block.partition("\n")
            text, _, meant = rest.partition("%% reads\n")
            lines = (line.partition(" ") for line in meant.splitlines() if line.strip())
            yield Case(head.split(":")[0], text.rstrip("\n") + "\n", {key: said for key, _, said in lines})


def judged(case: Case, shelf: Pantry) -> str:
    """`right`, `asked`, or what is wrong: the reading beside what the writer meant."""
    recipe, problems = read_recipe_text(case.text)
    codes = [p.code for p in problems if p.is_error]
    if recipe is None:
        return "asked" if codes else "wrong: nothing was read, and nothing asked"
    known = {
        part.strip(" ?").casefold() for key in ("base", "add") for part in re.split(r"[|/]", case.meant.get(key, ""))
    }
    if any(shelf.find(x.material) is None and not any(k.startswith(x.material.casefold()) for k in known)
           for x in recipe.lines):  # fmt: skip
        return "asked"
    if case.meant.get("ask"):
        return f"wrong: read without a question as {[(x.material, x.amount) for x in recipe.lines]}"
    for addition, key in ((False, "base"), (True, "add")):
        told = _differences(case, recipe, shelf, addition, key)
        if told:
            return told
    if "total" in case.meant and "total-disagrees" not in {p.code for p in problems}:
        return "wrong: a total that disagrees is not said"
    if "ask-or-add" in case.meant and case.meant["ask-or-add"] != "none":
        return "wrong: a colourant was left out"
    cone = None if recipe.cone is None else str(recipe.cone.low) if recipe.cone.low == recipe.cone.high else (
        f"{recipe.cone.low}-{recipe.cone.high}")  # fmt: skip
    if "cone" in case.meant and cone != case.meant["cone"]:
        return f"wrong: cone {cone}"
    if "name" in case.meant and recipe.name != case.meant["name"]:
        return f"wrong: name {recipe.name!r}"
    return "right"


def _differences(case: Case, recipe: object, shelf: Pantry, addition: bool, key: str) -> str:
    lines = recipe.lines  # type: ignore[attr-defined]
    meant = [part.strip().rsplit(" ", 1) for part in case.meant.get(key, "").split("|") if part.strip()]
    read = [line for line in lines if line.addition is addition]
    told = [(line.material, line.amount) for line in read]
    if len(read) != len(meant):
        return f"wrong: {key} is read as {told}"
    base = sum(line.amount for line in lines if not line.addition)
    whole = sum(float(part.strip().rsplit(" ", 1)[1]) for part in case.meant["base"].split("|"))
    for line, (names, amount) in zip(read, meant, strict=True):
        found = shelf.find(line.material)
        name = f"?{line.material}" if found is None else found.name
        wanted = [part.casefold() for part in re.split(r"/(?=[?A-Z])", names)]
        if name.casefold() not in wanted:
            return f"wrong: {line.material!r} is read as {name}, not {names}"
        if abs(line.amount / base - float(amount) / whole) > 1e-6:
            return f"wrong: {line.material!r} has {line.amount:g} of {base:g}, not {amount} of {whole:g}"
    return ""
