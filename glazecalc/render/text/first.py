"""A glaze to begin with, as a person reads it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.render.text.kiln import numbered
from glazecalc.render.text.weigh import batch_lines
from glazecalc.render.words import (
    answer_word,
    at_the_scale,
    begun,
    heading,
    labelled,
    paragraph,
    rounded,
    rule_words,
    scale_note,
    table,
    with_unit,
)
from glazecalc.values.answers import Answer, percent_words
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.first import Candidate, FirstGlaze, FirstTile

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
    if result.cautions:
        parts += ["", heading("Cautions"), *(paragraph(f"- {line}", 2, 2) for line in result.cautions)]
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
    rows = []
    for other in others[:MOST_OTHERS]:
        sound = "" if other.sound is None else f"{percent_words(other.sound)} likely sound"
        lacks = f"not on the shelf: {', '.join(other.missing)}" if other.missing else ""
        rows.append((other.recipe.name, answer_word(other.answer), sound, lacks))
    more = len(others) - MOST_OTHERS
    return [table(rows, "llll"), *([f"  and {more} more (--json tells them all)"] if more > 0 else [])]


def _coat(mm: float, units: UnitChoice) -> str:
    return f"{rounded(mm / 25.4, 2)} in" if units.length == "in" else f"{rounded(mm, 1)} mm"
