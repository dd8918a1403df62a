"""A plan of tiles to print: what to weigh, what to pour into what, which tile is which and where it stands."""

from __future__ import annotations

from typing import Final

from glazecalc.render.words import Cell, amount, labelled, mass_text, paragraph, rounded, with_unit, worded
from glazecalc.values.answers import is_known, listed, percent_words
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.tiles import CORNER_LETTERS, CornerBatch, Pot, TilesResult
from glazecalc.values.units import convert

_FIGURES = {"triaxial": "triangle", "square": "square", "grid": "grid"}


def tiles_text(result: TilesResult, units: UnitChoice, full: bool = True) -> str:
    """The whole plan; without ``full`` what is needed at the bench."""
    parts = [
        *([paragraph(worded(warning, units))] for warning in result.warnings),
        _head(result),
        _corners(result, units),
        _table(result, units),
        *((_figure(result), _pots(result, units), _kiln(result)) if full else ()),
        _marks(result, units),
        [paragraph(worded(note, units)) for note in result.notes] + _left_out(result, full),
        [paragraph(caution, 0, 2) for caution in result.cautions],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part)


def _left_out(result: TilesResult, full: bool) -> list[str]:
    """What ``--full`` would show besides."""
    more = [
        *([f"the {_FIGURES[result.plan]}"] if result.plan in _FIGURES else []),
        *(["where each tile stands in the kiln"] if any(p.place is not None for p in result.points) else []),
        *(["how to make them by adding to a pot"] if result.pots else []),
    ]
    return [] if full or not more else [paragraph(f"--full shows {listed(more)}.")]


def _head(result: TilesResult) -> list[str]:
    count, per, firings = len(result.points), result.tiles_per_firing, result.firings
    where = (f" on {result.body}" if result.body else "") + (f" at cone {result.cone}" if result.cone else "")
    lines = [f"Plan {result.plan}: {count} tile{'s' if count != 1 else ''}{where}"]
    if result.choice is not None:
        c = result.choice
        shares = (c.wrong_percent, c.wrong_full_percent, c.wrong_by_chance_percent, c.wrong_before_percent)
        ours, whole, chance, none = (rounded(share, 0) for share in shares)
        lines.append(paragraph(
            f"{c.chosen} chosen from {c.full}. Afterwards about {ours} % of the plan should still be guessed on the "
            f"wrong side of where crazing begins (whole plan fired: {whole} %; {c.chosen} taken by chance: {chance} %; "
            f"none: {none} %)."
        ))  # fmt: skip
    if firings is not None and per is not None:
        lines.append(paragraph(
            f"{result.kiln} takes {per} in a firing, each the size of a {result.tile}, beside the witness cones: "
            f"{firings} firing{'s' if firings != 1 else ''}."
        ))  # fmt: skip
    return lines


def _corners(result: TilesResult, units: UnitChoice) -> list[str]:
    lines = ["Mix these first:"]
    for letter, name in zip(CORNER_LETTERS, result.corner_names, strict=False):
        batch = next((c for c in result.corners if c.letter == letter), None)
        lines.append(labelled(f"{letter} =", f"{name}: {'not needed' if batch is None else _corner(batch, units)}", 4))
    cost = result.volume_cost
    if cost is not None:
        heat = cost.largest_expansion
        moved = "" if heat is None else f" and moves the expansion by up to {rounded(heat, 2)} x 1e-6/K"
        share = rounded(cost.largest_share_percent, 1)
        lines.append(paragraph(
            f"Blending by volume puts a corner's share off by up to {share} percentage points{moved}; the figures "
            "below are of what the tiles really get.",
            2,
        ))  # fmt: skip
        if cost.largest_share_percent > 0.05:
            even = ", ".join(f"{c.letter} {c.gravity_for_equal_dry:.3f}" for c in result.corners)
            lines.append(paragraph(f"None if all hold the same dry weight: thin to a specific gravity of {even}.", 2))
    return lines


def _corner(batch: CornerBatch, units: UnitChoice) -> str:
    sheet = batch.sheet
    if len(sheet.lines) == 1:
        return f"{with_unit(batch.taken_g, units, sheet.lines[0].resolution_g)} dry in all"
    step, lines = min(line.resolution_g for line in sheet.lines), sheet.in_weighing_order()
    weights = ", ".join(f"{mass_text(x.scale_g, units, x.resolution_g)} {x.material}" for x in lines)
    more = ""
    if batch.batch_g > batch.taken_g + 1e-9:
        more = f" (the tiles take {with_unit(batch.taken_g, units, step)}; less cannot be weighed well on this scale)"
    water = sheet.water
    return (
        f"{with_unit(batch.batch_g, units, step)} dry{more}: {weights}; water {amount(water.water_to_add_g, units)}, "
        f"specific gravity {water.specific_gravity:.2f}"
    )


def _table(result: TilesResult, units: UnitChoice) -> list[str]:
    letters = CORNER_LETTERS[: len(result.corner_names)]
    own, read, dimension = ("g", units.mass, "mass") if result.by == "dry" else ("mL", units.volume, "volume")

    def measure(value: float) -> str:
        return f"{value:g}" if own == read else f"{convert(value, own, read, dimension):.4g}"

    unit = f"{read} dry" if result.by == "dry" else read
    idle = "" if result.by == "dry" else " of slurry"
    head = f"  tile  {'parts ' + ':'.join(letters):<16}{unit + idle:<24}expansion  crazes  shivers"
    rows = [f"Pour in this order (a part is {measure(result.part)} {unit}{idle}; glaze expansion in 1e-6/K):", head]
    for p in result.points:
        parts = ":".join(str(x) for x in p.parts)
        measures = " + ".join(f"{measure(m)}{letter}" for m, letter in zip(p.measures, letters, strict=True) if m > 0)
        figure, *chances = (told(p.check, name) for name in TOLD)
        crazes, shivers = (chance_cell(chance, "-") for chance in chances)
        expected = f"{'-' if figure is None else rounded(figure, 1):>9}{crazes:>8}{shivers:>9}"
        rows.append(f"  {p.id:<5} {parts:<16}{measures:<24}{expected}{'  *' if p.marks else ''}".rstrip())
    return rows


def _figure(result: TilesResult) -> list[str]:
    if result.plan not in _FIGURES:
        return []
    cells = {(p.row, p.column): p.id for p in result.points}
    width = max(len(i) for i in cells.values()) + 2
    columns = max(c for _, c in cells) + 1
    lines = [f"The {_FIGURES[result.plan]}:"]
    triangle = result.plan == "triaxial"
    for row in range(max(r for r, _ in cells) + 1):
        indent = width * (columns - 1 - row) // 2 if triangle else 0
        ids = (cells.get((row, column), ".") for column in range(row + 1 if triangle else columns))
        lines.append(" " * (2 + indent) + "".join(f"{i:{'^' if triangle else '<'}{width}}" for i in ids).rstrip())
    return lines


def _pots(result: TilesResult, units: UnitChoice) -> list[str]:
    """The other way to make the same tiles: a pot that is added to between them."""
    pots = result.pots
    if not pots:
        return []
    together, apart = sum(p.weighings for p in pots), sum(p.weighings_apart for p in pots)
    many = "one pot" if len(pots) == 1 else f"{len(pots)} pots"
    words = (
        f"Another way to the same tiles: {many}, added to between tiles, {together} weighings instead of {apart}. "
        f"Each tile takes {amount(pots[0].tile_g, units)} dry with it, which the steps allow for. All weights are dry: "
        "weigh the powder, wet it, then stir it in."
    )
    if len(pots) > 1:
        words += f" {'Both' if len(pots) == 2 else 'All'} pots are needed: each makes its own tiles."
    needed: dict[str, float] = {}
    for pot in pots:
        for name, grams in ((pot.base, pot.base_g), *((step.material, step.scale_g) for step in pot.steps)):
            needed[name] = needed.get(name, 0.0) + grams
    weights = ", ".join(f"{amount(grams, units)} {name}" for name, grams in needed.items() if grams > 0)
    lines = [paragraph(words), paragraph(f"Needed in all: {weights}.")]
    for number, pot in enumerate(pots, start=1):
        lines += _pot(pot, f"Pot {number}" if len(pots) > 1 else "The pot", units)
    return lines


def _pot(pot: Pot, title: str, units: UnitChoice) -> list[str]:
    in_pot = pot.base_g
    lines = [f"{title}: start with {amount(in_pot, units)} dry of {pot.base}."]
    for number, step in enumerate(pot.steps, start=1):
        added = f"add {mass_text(step.scale_g, units)} {units.mass} {step.material}" if step.add_g else "add nothing"
        small = " (TOO SMALL for this scale)" if step.too_small else ""
        in_pot += step.scale_g
        left = in_pot - pot.tile_g
        lines.append(paragraph(
            f"{number}. {added}{small}, stir: {amount(in_pot, units)} in the pot, {rounded(step.level_percent, 1)} "
            f"{step.material} to 100 {pot.base}. Glaze {step.tile}; {amount(left, units)} stay.", 2, 3,
        ))  # fmt: skip
        in_pot = left
    if pot.way_out:
        lines.append(paragraph(f"TOO SMALL for this scale: {worded(pot.way_out, units)}.", 2, 2))
    return lines


def _kiln(result: TilesResult) -> list[str]:
    placed = [(p.place, p.id) for p in result.points if p.place is not None]
    lines = ["Where each stands, seen from above; the witness cones stand at the front, below:"] if placed else []
    for firing, shelf in sorted({(place.firing, place.shelf) for place, _ in placed}):
        lines.append(f"  firing {firing}, shelf {shelf}")
        here = [(place, i) for place, i in placed if (place.firing, place.shelf) == (firing, shelf)]
        for y in sorted({place.y_mm for place, _ in here}, reverse=True):
            row = sorted((place.x_mm, i) for place, i in here if place.y_mm == y)
            lines.append("    " + _across(row, max(abs(place.x_mm) for place, _ in here)))
    return lines


def _across(row: list[tuple[float, str]], reach: float) -> str:
    """Ids set across a line of 48 signs by where they stand."""
    line = [" "] * 54
    for x, ident in row:
        at = round((x + reach) / (2 * reach) * 48) if reach > 0 else 24
        line[at : at + len(ident)] = ident
    return "".join(line).rstrip()


def _marks(result: TilesResult, units: UnitChoice) -> list[str]:
    """What to know of tiles before mixing, a mark that several share said once."""
    shared: dict[str, list[str]] = {}
    for point in result.points:
        for mark in point.marks:
            shared.setdefault(mark, []).append(point.id)
    lines = [paragraph(f"{', '.join(ids)}: {worded(mark, units)}", 2, 2) for mark, ids in shared.items()]
    return ["* Before mixing:", *lines] if lines else []


# What is expected of tiles, and the plan as rows of a table.

TOLD: Final = ("expansion", "crazing_probability", "shivering_probability")
"""What a table of tiles tells of each."""


def told(check: CheckResult, name: str) -> float | None:
    """An estimate's figure, or None where there is none or `check` would not show it."""
    found = check.estimate(name)
    return found.value if found is not None and is_known(found) else None


def chance_cell(chance: float | None, empty: str = "") -> str:
    """A chance in a narrow cell, never a certainty.

    >>> chance_cell(0.374), chance_cell(0.003), chance_cell(1.0), chance_cell(None)
    ('37 %', '<1 %', '>99 %', '')
    """
    return empty if chance is None else percent_words(chance, "<", ">")


def tiles_columns(result: TilesResult) -> list[str]:
    """Head of the table: one column a corner, then what is expected."""
    return [
        "id", "number", *(f"{name} parts" for name in result.corner_names),
        *(f"{name} {result.part_unit}" for name in result.corner_names),
        *TOLD, "answer", "firing", "shelf", "spot", "marks",
    ]  # fmt: skip


def tiles_rows(result: TilesResult) -> list[list[Cell]]:
    """One row a tile under :func:`tiles_columns`."""
    return [
        [
            p.id, p.number, *p.parts, *p.measures, *(told(p.check, name) for name in TOLD), p.check.answer.value,
            *((None, None, None) if p.place is None else (p.place.firing, p.place.shelf, p.place.spot)),
            "; ".join(p.marks),
        ]
        for p in result.points
    ]  # fmt: skip
