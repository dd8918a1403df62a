"""What must be true of any answer to a fuzzed input; each function yields what is wrong, in words."""

from __future__ import annotations

import html
import json
import math
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from glazecalc.files.journal import Journal
from glazecalc.values.names import fold
from tests.bench.fuzz_inputs import OWN, Card, FuzzStudio, Input, metals_in, moles_of
from tests.hostile.typed import Typed

LONGEST_S = 10.0
ANSWER_CODES = {"fits": 0, "done": 0, "does_not_fit": 1, "cannot_say": 3, "error": 2}
WINDOWS = {
    "expansion": (-1, 40), "transition_temperature": (100, 1500), "softening_temperature": (200, 2200),
    "youngs_modulus": (1, 300), "liquidus_temperature": (300, 3000), "crazing_probability": (0, 1),
    "shivering_probability": (0, 1), "kiln_ceiling": (300, 1500), "body_expansion": (0, 20),
    "temperature_at_log_viscosity_3": (300, 3000), "temperature_at_log_viscosity_6": (200, 2500),
}  # fmt: skip
"""What a solid or a melt can be, with room to spare [1e-6/K, degC, GPa, fraction] (handbook orders of magnitude, from
memory: lithia itself 30 to 40 x 1e-6/K, diamond's modulus left out)."""
RAW = re.compile("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069\u200e\u200f]")
"""Signs that steer a terminal or turn its writing round."""
NAMES_OF_RECIPES = {"check", "formula", "weigh", "tiles", "adjust", "swap", "compare", "report", "labels", "kiln", "record tile", "record batch"}  # fmt: skip


def crashed(given: Input, told: Typed) -> str:
    """The kind of the worst ending, or nothing."""
    if told.crash or "Traceback (most recent" in told.out + told.err:
        return "traceback"
    if told.code == 70:
        return "exit 70"
    return "over 10 s" if told.cpu_s > LONGEST_S else ""


def silent_wrongs(given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]) -> list[str]:
    """Everything wrong that nobody was told of."""
    return [f"{judge.__name__}: {what}" for judge in JUDGES for what in judge(given, told, studio, folder, files)]


def _document(told: Typed) -> dict[str, Any] | None:
    if "--json" not in told.words or "--help" in told.words or "-h" in told.words:
        return None

    def refuse(sign: str) -> None:
        raise ValueError(f"{sign} in JSON")

    found: dict[str, Any] = json.loads(told.out, parse_constant=refuse)
    return found


def json_parses(given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]) -> Iterator[str]:
    try:
        document = _document(told)
    except ValueError as exc:
        yield f"{exc}: {told.out[:80]!r}"
        return
    if document is not None:
        if document.get("schema") != 1 or not {"command", "answer", "results", "problems"} <= set(document):
            yield "it is not the document of the contract"
        elif ANSWER_CODES.get(document["answer"]) != told.code:
            yield f"{document['answer']} with exit {told.code}"
        if document.get("answer") == "error" and not document.get("problems"):
            yield "an error without a problem"


def says_something(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    if told.code not in (0, 1, 2, 3):
        yield f"exit {told.code}"
    if told.code == 2 and not (told.err.strip() or "--json" in told.words):
        yield "exit 2 without a word on stderr"
    if told.code == 2 and "--json" not in told.words and "error:" not in told.err:
        yield "exit 2 and no error is named"
    if told.code in (0, 1, 3) and not told.out.strip() and given.command != "screen":
        yield f"exit {told.code} and nothing said"
    raw = RAW.search(told.out + told.err)
    if raw:
        yield f"the sign {raw[0]!r} goes to the terminal"


def a_refusal_writes_nothing(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    now = listing(folder)
    if told.code == 2:
        for name in sorted(set(now) ^ set(files)):
            yield f"exit 2, yet {name} came or went"
    for name, data in files.items():
        if name in now and now[name] != data and given.command not in ("record tile", "record firing", "record batch"):
            kept = given.command == "materials" and "--add" in told.words and name == "materials.csv"
            if not kept and "--force" not in told.words:
                yield f"{name} was changed"


def listing(folder: Path) -> dict[str, bytes]:
    """Every file of a folder but SQLite's own beside the journal."""
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and not p.name.endswith(("-wal", "-shm"))
    }


def the_journal_tells_what_was_acknowledged(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    if not given.command.startswith("record") and given.command != "journal":
        return
    with Journal(folder) as journal:
        rows = len(journal.all_entries())
    new = 1 if told.code == 0 and given.command.startswith("record") and "--help" not in told.words else 0
    if rows != studio.rows + new:
        yield f"{rows} rows after {studio.rows} and exit {told.code}"


def metals_are_named(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    if not given.sure or given.command not in NAMES_OF_RECIPES or told.code == 2:
        return
    said = told.out + told.err
    out = folder / "out.html"
    said += out.read_text(encoding="utf-8") if out.exists() else ""
    for name in OWN:
        said = said.replace(name, " ")
    said = said.replace("Red lead", " ").replace("Barium carbonate", " ")
    for card in given.cards:
        for metal in sorted(metals_in(card)):
            if not re.search(rf"(?i)\b{metal}(?:\b|_)", said):
                yield f"{card.file} holds {metal}, which is not named"


def _by_recipe(document: dict[str, Any], given: Input) -> Iterator[tuple[Card, dict[str, Any]]]:
    yield from zip(given.cards, document["results"], strict=False)


def the_formula_is_right(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    """Against moles worked out from the shipped table with molmass: mole percent, and a unity formula in proportion."""
    if not given.sure or given.command not in ("check", "formula", "report") or told.code == 2:
        return
    document = _document(told) if "--json" in told.words else None
    for card, result in _by_recipe(document, given) if document else ():
        moles = moles_of(card)
        whole = sum(moles.values())
        for oxide, n in moles.items():
            said = result["mole_percent"].get(oxide, 0.0)
            if abs(said - 100 * n / whole) > 0.02 + 0.005 * 100 * n / whole:
                yield f"{card.file}: {oxide} {said:.3f} mole %, and by hand {100 * n / whole:.3f}"
        unity = {ox: u for ox, u in result["unity"].items() if u and moles.get(ox)}
        ratios = [u / moles[ox] for ox, u in unity.items()]
        if ratios and max(ratios) > 1.01 * min(ratios):
            yield f"{card.file}: the unity formula is not in proportion to the moles"


def _as_read(name: str) -> str:
    """A name as a page of the web shows it, in small letters: what a card holds of one that was pasted with marks."""
    return fold(html.unescape(re.sub("<[^>]*>", "", name)))


def the_grams_are_right(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    """Every line's target by hand, and their sum as it was asked for."""
    if not given.sure or given.command != "weigh" or told.code == 2 or "--json" not in told.words:
        return
    document = _document(told)
    for card, result in _by_recipe(document, given) if document else ():
        if "--bucket" in told.words:
            continue
        lines, dry = result["lines"], result["dry_g"]
        if not math.isclose(sum(line["target_g"] for line in lines), dry, rel_tol=1e-6):
            yield f"{card.file}: the lines do not add up to {dry} g"
        if given.asked_g is not None and not math.isclose(dry, given.asked_g, rel_tol=1e-6):
            yield f"{card.file}: {dry} g where {given.asked_g} g were asked for"
        total = sum(amount for _, amount, _ in card.lines or ())
        wanted = {(_as_read(m), added): 0.0 for m, _, added in card.lines or ()}
        for material, amount, added in card.lines or ():
            wanted[_as_read(material), added] += dry * amount / total
        found = {(_as_read(line["material"]), line["addition"]): 0.0 for line in lines}
        for line in lines:
            found[_as_read(line["material"]), line["addition"]] += line["target_g"]
        for key in wanted.keys() | found.keys():
            if not math.isclose(wanted.get(key, 0.0), found.get(key, 0.0), rel_tol=1e-6, abs_tol=1e-9):
                yield f"{card.file}: {key[0]} {found.get(key, 0.0):.3f} g, by hand {wanted.get(key, 0.0):.3f} g"


def changes_are_told(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    """Each line of an offered recipe that is not as on the card, in proportion, is among the changes told."""
    if not given.sure or given.command not in ("adjust", "swap") or told.code == 2 or "--json" not in told.words:
        return
    document = _document(told)
    for card, result in _by_recipe(document, given) if document else ():
        was: dict[str, float] = {}
        for material, amount, _ in card.lines or ():
            was[_as_read(material)] = was.get(_as_read(material), 0.0) + amount
        for option in result["options"]:
            now: dict[str, float] = {}
            for line in option["recipe"]:
                now[_as_read(line["material"])] = now.get(_as_read(line["material"]), 0.0) + line["amount"]
            changed = {_as_read(change["material"]) for change in option["changes"]}
            moved = {m for m in was.keys() | now.keys() if abs(was.get(m, 0.0) - now.get(m, 0.0)) > 0.051}
            for material in moved - changed:
                yield f"{material} {was.get(material, 0):.2f} -> {now.get(material, 0):.2f} is not told among the changes"


def _estimates(thing: Any) -> Iterator[dict[str, Any]]:
    if isinstance(thing, dict):
        if {"value", "low", "high", "basis"} <= set(thing):
            yield thing
        for inner in thing.values():
            yield from _estimates(inner)
    elif isinstance(thing, list):
        for inner in thing:
            yield from _estimates(inner)


def figures_are_possible(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    document = _document(told) if told.out.lstrip().startswith("{") and "--json" in told.words else None
    for estimate in _estimates(document):
        name, values = estimate.get("name"), [estimate["value"], estimate["low"], estimate["high"]]
        if any(v is not None and not math.isfinite(v) for v in values):
            yield f"{name} is not finite"
        if None not in values and not values[1] <= values[0] <= values[2]:
            yield f"{name} {values}"
        low, high = WINDOWS.get(str(name), (-math.inf, math.inf))
        if values[0] is not None and not low <= values[0] <= high:
            yield f"{name} {values[0]} is outside what can be"


def no_yes_outside_the_models(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    document = _document(told) if told.out.lstrip().startswith("{") and "--json" in told.words else None
    for check in _checks(document):
        found = check.get("estimates", {})
        for verdict in check["verdicts"]:
            if verdict["answer"] != "fits" or verdict["rule"] not in ("fit", "melts"):
                continue
            outside = [n for n in verdict["evidence"] if n in found and found[n]["basis"] == "extrapolated"]
            if outside:
                yield f"{verdict['rule']} says yes by {', '.join(outside)}, outside the models"


def _checks(thing: Any) -> Iterator[dict[str, Any]]:
    if isinstance(thing, dict):
        if {"verdicts", "unity"} <= set(thing):
            yield thing
        for inner in thing.values():
            yield from _checks(inner)
    elif isinstance(thing, list):
        for inner in thing:
            yield from _checks(inner)


def tiles_add_up(given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]) -> Iterator[str]:
    if given.command != "tiles" or told.code == 2 or "--json" not in told.words:
        return
    document = _document(told)
    for result in (document or {}).get("results", ()):
        blends = {round(sum(p["parts"]), 6) for p in result["points"]}
        if result["plan"] in ("line", "triaxial", "square") and len(blends) > 1:
            yield f"the parts of the tiles sum to {sorted(blends)}"
        if len({p["id"] for p in result["points"]}) < len(result["points"]):
            yield "two tiles have one id"


def pages_run_nothing(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    page = folder / "out.html"
    if page.exists() and "out.html" not in files:
        text = page.read_text(encoding="utf-8")
        if "<script>alert" in text or "<b>Reef" in text or "Frit <b>" in text:
            yield "a name is written into the page as HTML"
    if given.command in ("report", "labels") and told.code in (0, 1, 3) and "out.html" in told.words:
        helped = {"--help", "-h"} & set(told.words)
        if not page.exists() and not helped:
            yield "the page it speaks of is not there"


def tables_are_safe(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    """No cell acts as a formula, whichever of comma and semicolon a spreadsheet takes for the separator."""
    import csv
    import io

    texts = [told.out] if "--csv" in told.words and "--json" not in told.words and told.code == 0 else []
    texts += [p.read_text(encoding="utf-8") for p in [folder / "out.csv"] if p.exists()]
    for text in texts:
        for sign in ",;":
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=sign):
                for cell in row:
                    if cell.strip()[:1] in ("=", "+", "@") or (cell[:1] == "-" and not _number(cell.split(",")[0])):
                        yield f"the cell {cell[:40]!r} is a formula where {sign!r} parts the cells"


def _number(cell: str) -> bool:
    try:
        return math.isfinite(float(cell))
    except ValueError:
        return False


def a_material_is_shown_by_a_name_of_its_own(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    if given.command != "materials" or not given.sure or told.code != 0 or "--json" not in told.words:
        return
    document = _document(told)
    results = (document or {}).get("results", [])
    if len(results) == 1:
        names = {fold(n) for n in (results[0]["name"], *results[0]["aliases"])}
        if fold(told.words[1]) not in names and fold(told.words[1]).rstrip("s") not in names:
            yield f"{results[0]['name']} is shown for {told.words[1][:40]!r}"


def the_screen_keeps_its_rows(
    given: Input, told: Typed, studio: FuzzStudio, folder: Path, files: dict[str, bytes]
) -> Iterator[str]:
    import csv
    import io

    out = folder / "out.csv"
    if given.command != "screen" or told.code != 0 or not out.exists() or given.stdin is None:
        return
    wanted = [line.split(",")[0] for line in given.stdin.decode().splitlines()[1:]]
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8"), newline="")))
    if len(rows) != len(wanted):
        yield f"{len(rows)} rows for {len(wanted)}"
    elif "id" in rows[0] and [row["id"].lstrip("'") for row in rows] != wanted:
        yield "the rows are not in their order"
    for row in rows:
        for name, (low, high) in WINDOWS.items():
            if row.get(name) and not low <= float(row[name]) <= high:
                yield f"{name} {row[name]} is outside what can be"


Judge = Callable[[Input, Typed, FuzzStudio, Path, dict[str, bytes]], Iterator[str]]
JUDGES: tuple[Judge, ...] = (
    json_parses, says_something, a_refusal_writes_nothing, the_journal_tells_what_was_acknowledged, metals_are_named,
    the_formula_is_right, the_grams_are_right, changes_are_told, figures_are_possible, no_yes_outside_the_models,
    tiles_add_up, pages_run_nothing, tables_are_safe, a_material_is_shown_by_a_name_of_its_own,
    the_screen_keeps_its_rows,
)  # fmt: skip
