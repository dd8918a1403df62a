"""A batch sheet to print and tick off at the bench, and a glaze to begin with."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from glazecalc.render.text.kiln import numbered
from glazecalc.render.words import (
    Cell,
    LineRead,
    amount,
    answer_word,
    at_the_scale,
    bullets,
    heading,
    labelled,
    mass_text,
    paragraph,
    poison_line,
    read_words,
    rounded,
    rule_words,
    scale_note,
    section,
    table,
    volume_text,
    with_unit,
    worded,
)
from glazecalc.values.answers import Answer, percent_words
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.weigh import (
    BucketResult,
    Candidate,
    Effect,
    FirstGlaze,
    FirstTile,
    Mending,
    ShoppingList,
    SmallLine,
    WeighLine,
    WeighResult,
)
from glazecalc.values.texts import begun
from glazecalc.values.units import convert

_WORDS = {
    "dry": "dry", "base": "dry, the base alone as asked", "slurry": "dry, for the slurry asked for",
    "pieces": "dry, for the pieces", "pot": "dry, for the pot",
}  # fmt: skip
MARK = "!"


def weigh_text(result: WeighResult, units: UnitChoice) -> str:
    """The whole sheet of one batch."""
    step = min(line.resolution_g for line in result.lines)
    parts = [
        _poisoned(result),
        _too_small(result, units, step),
        [f"{result.recipe.name}: {with_unit(result.dry_g, units, step)} {_WORDS[result.wanted]}"],
        _sheet(result, units),
        _read(result),
        _water(result, units),
        [
            f"No batch of this recipe is within {result.tolerance_percent:g} % in every line on this scale."
            if result.smallest_batch_g is None
            else f"Smallest batch with every line within {result.tolerance_percent:g} %: "
            f"{with_unit(result.smallest_batch_g, units, step)} dry"
        ],
        [line for split in result.splits for line in _split(split, units, step)],
        _effects(result.effects),
        [] if result.mending is None else _mending(result.mending, units, step),
        _marked(result.lines, result.cautions),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part)


def _poisoned(result: WeighResult) -> list[str]:
    """What a batch holds that nobody should weigh at home, before anything else."""
    return [paragraph(poison_line(result.poisons))] if result.poisons else []


def batch_lines(result: WeighResult, units: UnitChoice) -> list[str]:
    """The short sheet of a batch: what is too small for the scale, the lines, the water."""
    step = min(line.resolution_g for line in result.lines)
    return [
        *_poisoned(result), *_too_small(result, units, step), *_sheet(result, units), *_water(result, units)[:1],
        *(line for split in result.splits for line in _split(split, units, step)),
    ]  # fmt: skip


def _read(result: WeighResult) -> list[str]:
    lines = [LineRead(x.written, x.material, "", x.addition, x.known) for x in result.lines]
    told = read_words([line for line in lines if not line.plain])
    return [paragraph(told)] if told else []


CELL = 8
"""Width of a column of weights."""


def _too_small(result: WeighResult, units: UnitChoice, step: float) -> list[str]:
    """What to do about a batch of which a line is out of tolerance, said before anything else."""
    if all(line.within_tolerance for line in result.lines):
        return []
    if result.smallest_batch_g is None:
        return ["Too coarse a scale for this recipe at any size: use a finer scale."]
    least = with_unit(result.smallest_batch_g, units, step)
    more = ", or bring in the small lines as shown below" if result.splits else ""
    return [paragraph(f"Too small for this scale: make at least {least}, or use a finer scale{more}.")]


def _sheet(result: WeighResult, units: UnitChoice) -> list[str]:
    width = max(20, *(len(line.material) + 2 for line in result.lines))
    rows = [f"     {'material':<{width}}{'target':>{CELL}}{'scale':>{CELL}}{'in pot':>{CELL}}  off, +- scale"]
    for addition, lines in groupby(result.in_weighing_order(), key=lambda line: line.addition):
        rows += ["     additions, over the base"] if addition else []
        rows += [_row(line, width, units) for line in lines]
    total = mass_text(result.scale_total_g, units, min(line.resolution_g for line in result.lines))
    rows.append(f"     {'total':<{width}}{'':>{CELL}}{total:>{CELL}} {units.mass}")
    if result.cost is not None:
        rows.append(f"     materials cost {cost_words(result.cost, result.cost_is_complete, result.currency)}")
    return rows


def _row(line: WeighLine, width: int, units: UnitChoice) -> str:
    name = f"{MARK if line.hazards else ' '} {line.material}"
    sign = "+" if line.error_percent > 0.005 else ""
    off = f"{sign}{rounded(line.error_percent, 2)} % (+-{rounded(line.reading_percent, 2)})"
    target = mass_text(line.target_g, units, line.resolution_g, 1)
    scale = mass_text(line.scale_g, units, line.resolution_g)
    running = mass_text(line.running_total_g, units, line.resolution_g)
    text = f" [ ] {name:<{width}}{target:>{CELL}}{scale:>{CELL}}{running:>{CELL}}  {off}"
    return f"{text}  {line_notes(line, 'TOO SMALL for this scale', 'OUT OF TOLERANCE')}".rstrip()


def line_notes(line: WeighLine, too_small: str, out: str) -> str:
    """What to mind in weighing a line; ``too_small`` and ``out`` (of tolerance) are told as they are written."""
    trouble = too_small if line.below_minimum else "" if line.within_tolerance else out
    goes = f"in {line.goes} goes" if line.goes > 1 else ""
    damp = f"damp: {line.moisture_percent:g} % water added to the dry weight" if line.moisture_percent else ""
    return "; ".join(filter(None, (trouble, goes, damp)))


def cost_words(cost: float, complete: bool, currency: str) -> str:
    """What materials cost, and that some of them have no price.

    >>> cost_words(3.5, True, "EUR"), cost_words(2.0, False, "")
    ('3.50 EUR', '2.00, without the materials that have no price')
    """
    more = "" if complete else ", without the materials that have no price"
    return f"{rounded(cost, 2)} {currency}".rstrip() + more


def _water(result: WeighResult, units: UnitChoice) -> list[str]:
    water = result.water
    return [
        f"Water: {amount(water.water_to_add_g, units)} ({volume_text(water.water_to_add_g, units)}), for "
        f"{volume_text(water.slurry_mL, units)} of slurry at a specific gravity of {water.specific_gravity:.2f}",
        paragraph(
            f"solids density {water.solids_density.value:.2f}, {_in_a_litre(water.dry_g_per_L, units)}; "
            "add two thirds first, the rest when sieved",
            2,
            2,
        ),
        *(paragraph(worded(reason, units), 2, 2) for reason in (*water.solids_density.caveats, *result.reasons)),
    ]


def _in_a_litre(dry_g_per_L: float, units: UnitChoice) -> str:
    """How much dry glaze is in a litre of slurry; in a pint where no litres are read."""
    if units.volume in ("mL", "L"):
        return f"{rounded(convert(dry_g_per_L, 'g', units.mass, 'mass'), 0)} {units.mass} dry in a litre"
    in_pint = dry_g_per_L * convert(1.0, "pint", "L", "volume")
    return f"{amount(in_pint, units)} dry in a pint"


def _split(split: SmallLine, units: UnitChoice, step: float) -> list[str]:
    lines = [f"{split.material}, {with_unit(split.target_g, units, step, 2)}, may be off by "
             f"{rounded(split.alone_percent, 0)} % on this scale. Instead:"]  # fmt: skip
    ways = [paragraph(f"{way}: {words}: within {off} %", 2, 2) for way, words, off in split_ways(split, units, step)]
    return [*lines, *(ways or ["  make a larger batch, or use a finer scale"])]


def split_ways(split: SmallLine, units: UnitChoice, step: float) -> list[tuple[str, str, str]]:
    """The ways to bring in a line that is too small for the scale: its name, what to do, how far it may be off [%]."""
    blend, stock, ways = split.pre_blend, split.stock, []
    if blend is not None:
        of_it, carried, take, less = (
            with_unit(grams, units, step)
            for grams in (blend.blend_g, blend.carrier_blend_g, blend.take_g, blend.carrier_less_g)
        )
        words = (
            f"shake {of_it} of it with {carried} {blend.carrier} in a closed jar, take {take} of that, and weigh "
            f"{less} less {blend.carrier}"
        )
        ways.append(("dry", words, rounded(blend.error_percent, 1)))
    if stock is not None:
        words = (
            f"stir {with_unit(stock.stock_g, units, step)} of it up to {volume_text(stock.stock_mL, units)} in water, "
            f"draw {volume_text(stock.take_mL, units)} while it is stirred"
        )
        ways.append(("wet", words, rounded(stock.error_percent, 1)))
    return ways


SEEN: Final = 0.005
"""Moles of the formula below which what the scale does to an oxide is not worth a line."""


def _effects(effects: Sequence[Effect]) -> list[str]:
    """What rounding and reading of the scale do, the oxides that can move by more than ``SEEN`` by name."""
    if not effects:
        return []
    reach = {e.name: max(e.high - e.recipe, e.recipe - e.low) for e in effects}
    moved = [e for e in effects if e.name != "expansion" and reach[e.name] >= SEEN]
    most = max((far for name, far in reach.items() if name != "expansion"), default=0.0)
    lines = ["What the scale does to the formula:"]
    lines += [f"  {e.name:<6}{e.recipe:.3f}, as weighed {e.low:.3f} to {e.high:.3f}" for e in moved]
    if not moved:
        lines.append(f"  no oxide moves by more than {max(most, 0.001):.3f}")
    if "expansion" in reach:
        lines.append(f"  the expansion moves by {max(reach['expansion'], 0.001):.3f} x 1e-6/K at most")
    return lines


def _mending(mending: Mending, units: UnitChoice, step: float) -> list[str]:
    if mending.extra_g == 0:
        return ["Nothing to mend: the batch is as the card says."]
    lines = [f"To mend it, add (new batch {with_unit(mending.dry_g, units, step)} dry, {mending.factor:.3f} times):"]
    for line in mending.lines:
        if line.extra_g > 0:
            shown, exact = (mass_text(g, units, step, 1) for g in (line.extra_scale_g, line.extra_g))
            more = "" if shown == exact else f"   (exactly {exact} {units.mass})"
            lines.append(f" [ ] {line.material:<30}{with_unit(line.extra_scale_g, units, step):>12}{more}")
    lines.append("  Lines not yet in the pot: weigh their target and this together.")
    return lines


def _marked(lines: Sequence[WeighLine], cautions: Sequence[str]) -> list[str]:
    if not any(line.hazards for line in lines):
        return []
    return [f"{MARK} marks a material with a hazard:", *(paragraph(c, 2, 2) for c in cautions)]


def bucket_text(result: BucketResult, units: UnitChoice) -> str:
    """What is in the bucket and what to weigh for it."""
    gravity_error = f" +-{result.specific_gravity_error:.3f}" if result.specific_gravity_error is not None else ""
    dry_error = f" +-{result.dry_error_percent:.1f} %" if result.dry_error_percent is not None else ""
    lines = [
        f"{result.recipe.name}: a bucket of {volume_text(result.slurry_mL, units)} ({amount(result.slurry_g, units)})",
        f"  {amount(result.dry_g, units)} dry{dry_error}, {amount(result.water_g, units)} water, specific gravity "
        f"{result.specific_gravity:.3f}{gravity_error}",
        *(paragraph(worded(reason, units), 2, 2) for reason in (*result.solids_density.caveats, *result.reasons)),
    ]
    for addition in result.additions:
        line = addition.line
        shown = with_unit(line.scale_g, units, line.resolution_g)
        lines.append(f" [ ] {MARK if line.hazards else ' '} {line.material}: {shown} "
                     f"for {addition.percent:g} % (off by {rounded(line.error_percent, 2)} % of it)")  # fmt: skip
    if result.additions:
        lines.append(f"  wet it first with {amount(result.water_for_same_gravity_g, units)} of water, which keeps the "
                     "specific gravity; then sieve")  # fmt: skip
    if result.water_to_wanted_g is not None and result.wanted_gravity is not None:
        verb = "add" if result.water_to_wanted_g >= 0 else "let it settle and take off"
        lines.append(f"  for a specific gravity of {result.wanted_gravity:g}: {verb} "
                     f"{amount(abs(result.water_to_wanted_g), units)} of water")  # fmt: skip
    hazards = _marked([a.line for a in result.additions], result.cautions)
    hazards = hazards or [paragraph(line, 2, 2) for line in result.held]
    return "\n".join([*lines, *([""] if hazards else []), *hazards])


def shopping_text(shopping: ShoppingList, units: UnitChoice) -> str:
    """The shopping list."""
    no_stock = "" if shopping.stock_was_read else " (no stock.csv in the studio: everything is to buy)"
    lines = [f"Shopping list{no_stock}"]
    lines.append(f"     {'material':<32}{'needed':>12}{'on the shelf':>14}{'to buy':>12}   cost")
    for line in shopping.lines:
        cost = "no price" if line.cost is None else "" if line.to_buy_g == 0 else rounded(line.cost, 2)
        lines.append(f" [ ] {line.material:<32}{amount(line.needed_g, units):>12}{amount(line.in_stock_g, units):>14}"
                     f"{amount(line.to_buy_g, units):>12}   {cost}".rstrip())  # fmt: skip
    lines.append(f"     to pay: {cost_words(shopping.cost, shopping.cost_is_complete, shopping.currency)}")
    if shopping.cautions:
        lines += ["", *(paragraph(line, 2, 2) for line in shopping.cautions)]
    return "\n".join(lines)


# Weighing results as rows of a table.

WEIGH_COLUMNS: Final = (
    "recipe", "order", "material", "addition", "percent", "target_g", "scale_g", "running_total_g", "error_percent",
    "reading_percent", "within_tolerance", "scale", "goes", "moisture_percent", "hazards",
)  # fmt: skip
SHOPPING_COLUMNS: Final = ("material", "needed_g", "in_stock_g", "to_buy_g", "cost")


def weigh_rows(results: Sequence[WeighResult | BucketResult]) -> list[list[Cell]]:
    """One row a line, in weighing order, under :data:`WEIGH_COLUMNS`."""
    rows: list[list[Cell]] = []
    for result in results:
        lines = result.in_weighing_order() if isinstance(result, WeighResult) else [a.line for a in result.additions]
        for line in lines:
            own = (getattr(line, column) for column in WEIGH_COLUMNS[1:-1])
            rows.append([result.recipe.name, *own, " ".join(line.hazards)])
    return rows


def shopping_rows(shopping: ShoppingList) -> list[list[Cell]]:
    """One row a material under :data:`SHOPPING_COLUMNS`."""
    return [[getattr(line, column) for column in SHOPPING_COLUMNS] for line in shopping.lines]


# A glaze to begin with.

MOST_OTHERS: Final = 4
"""Other bases that the text names; JSON has them all."""


def first_text(result: FirstGlaze, units: UnitChoice) -> str:
    """A whole `first` answer at 80 columns."""
    asked, parts = units, [paragraph(result.sentence)]
    if result.chosen is not None and result.batch is not None:
        parts += ["", *_verdicts(result.chosen)]
        steps = [line.resolution_g for line in result.batch.lines]
        units, step = at_the_scale(asked, steps), min(steps)
        title = f"{result.chosen.recipe.name}, a batch for this scale"
        parts += ["", heading(title), *filter(None, [scale_note(asked, units)]), *batch_lines(result.batch, units)]
        parts += ["", heading("Four tiles of it"), *_tiles(result.tiles, units, step)]
        parts += ["", heading("What it should look like"), paragraph(f"{begun(result.chosen.looks)}.", 2, 2)]
    will_do = [other for other in result.others if other.answer is not Answer.DOES_NOT_FIT]
    if will_do:
        parts += ["", heading("Others that may do"), *_others(will_do)]
    parts += section("Cautions", bullets(result.cautions))
    parts += ["", heading("Next"), *numbered(result.next_steps, units)]
    return "\n".join(parts)


def _verdicts(chosen: Candidate) -> list[str]:
    return [labelled(f"{rule_words(v.rule)}: {answer_word(v.answer)}", v.message, 30) for v in chosen.check.verdicts]


def _tiles(tiles: Sequence[FirstTile], units: UnitChoice, step: float) -> list[str]:
    return [
        paragraph(
            f"{tile.number}  dry coat {_coat(tile.coat_mm, units)}, about {with_unit(tile.dry_g, units, step)} dry; "
            f"{tile.place}: {tile.tells}", 2, 5,
        )
        for tile in tiles
    ]  # fmt: skip


def _others(others: Sequence[Candidate]) -> list[str]:
    rows = [
        (
            other.recipe.name, answer_word(other.answer),
            "" if other.sound is None else f"{percent_words(other.sound)} likely sound",
            f"not on the shelf: {', '.join(other.missing)}" if other.missing else "",
        )
        for other in others[:MOST_OTHERS]
    ]  # fmt: skip
    more = len(others) - MOST_OTHERS
    return [table(rows, "llll"), *([f"  and {more} more (--json tells them all)"] if more > 0 else [])]


def _coat(mm: float, units: UnitChoice) -> str:
    return f"{rounded(mm / 25.4, 2)} in" if units.length == "in" else f"{rounded(mm, 1)} mm"
