"""What a material that is not known does to an answer: the answer is worked out with each of what it may be."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from glazecalc.jobs.materials import Pantry, meant_by, only_doubt, unknown_lines, unknown_percent
from glazecalc.values.answers import Answer, Estimate, Verdict
from glazecalc.values.inputs import Recipe

_BENCH_WORDS: Final = re.compile(
    r"gum|binder|harden|floc|suspen|preserv|biocid|dye|glycer|wax|starch|molass|sugar|vinegar|silicate", re.IGNORECASE
)
_BENCH: Final = ("CMC gum", "Soda ash", "Epsom salt", "Bentonite")
"""What a thing of the bench may leave in the fire: nothing, soda, magnesia, clay (common practice, no source)."""
_ANY: Final = ("Silica", "Kaolin", "Soda feldspar", "Whiting", "Frit, high-alkali", "Zircon")
"""Far apart in what they do to a melt, so that what an unknown material may do lies between them (judgement)."""
MOST_TRIED: Final = 9
_WORDS: Final = {Answer.FITS: "yes", Answer.DOES_NOT_FIT: "no", Answer.CANNOT_SAY: "cannot say", Answer.NOT_ASKED: "-"}


@dataclass(frozen=True, slots=True)
class Doubt:
    """The unknown words of a card, their share of the batch [%], and the card with each of what they may be."""

    words: str
    percent: float
    cards: tuple[tuple[str, Recipe], ...]


def doubt_of(recipe: Recipe, shelf: Pantry) -> Doubt | None:
    """The doubt of a card whose unknown materials are a small share; None where there is none, or too much."""
    if not only_doubt(recipe, shelf):
        return None
    unknown = unknown_lines(recipe, shelf)
    bench = all(_BENCH_WORDS.search(line.material) for line in unknown)
    kinds = _BENCH if bench else (*_ANY, *(kind for line in unknown for kind in meant_by(recipe, line, shelf)))
    tried = [kind for kind in dict.fromkeys(kinds) if shelf.find(kind) is not None][:MOST_TRIED]
    words = {line.material for line in unknown}
    cards = tuple((kind, _with(recipe, words, kind)) for kind in tried)
    told = " and ".join(dict.fromkeys(line.material for line in unknown))
    return Doubt(told, unknown_percent(recipe, unknown), cards)


def _with(recipe: Recipe, words: set[str], kind: str) -> Recipe:
    lines = tuple(
        line.model_copy(update={"material": kind}) if line.material in words else line for line in recipe.lines
    )
    return recipe.model_copy(update={"lines": lines})


def hinges(verdicts: Sequence[Verdict]) -> str:
    """Why an answer hangs on what is not known, by the first verdict that does; empty where none does."""
    return next((v.message for v in verdicts if v.remedy == "name"), "")


def kept_as_it_is(recipe: Recipe, shelf: Pantry) -> tuple[str, ...]:
    """What a change does with a small share of unknown materials, in a sentence; none where all are known."""
    if not only_doubt(recipe, shelf):
        return ()
    unknown = unknown_lines(recipe, shelf)
    words = " and ".join(dict.fromkeys(line.material for line in unknown))
    share = unknown_percent(recipe, unknown)
    return (
        f"{words}, {share:.2g} % of the batch, is not known: it stays as it is. "
        "The chances leave it out; each answer was tried with what it may be.",
    )


def widened(
    estimates: Mapping[str, Estimate], others: Sequence[Mapping[str, Estimate]], doubt: Doubt
) -> dict[str, Estimate]:
    """The estimates, each as wide as it is with every one of what the unknown may be."""
    caveat = f"{doubt.words}, {doubt.percent:.2g} % of the batch, is not known: the interval holds all it may be"
    found: dict[str, Estimate] = {}
    for name, estimate in estimates.items():
        beside = [other[name] for other in others if name in other and other[name].unit == estimate.unit]
        low = min((e.low for e in beside), default=estimate.low)
        high = max((e.high for e in beside), default=estimate.high)
        wider = low < estimate.low or high > estimate.high
        found[name] = replace(
            estimate, low=min(low, estimate.low), high=max(high, estimate.high), caveats=(*estimate.caveats, caveat)
        ) if wider else estimate  # fmt: skip
    return found


def doubted(verdict: Verdict, others: Sequence[tuple[str, Sequence[Verdict]]], doubt: Doubt) -> Verdict:
    """A verdict that holds whatever the unknown is; where it does not, nothing can be said."""
    if verdict.answer is Answer.CANNOT_SAY:
        return verdict
    for kind, verdicts in others:
        other = next((v for v in verdicts if v.rule == verdict.rule), None)
        if other is not None and other.answer is not verdict.answer:
            named = kind if kind[:2].isupper() else kind[:1].lower() + kind[1:]
            told = f"But {doubt.words} is not known, and were it {named} the answer would be: "
            message = f"{verdict.message} {told}{_WORDS[other.answer]}."
            return replace(verdict, answer=Answer.CANNOT_SAY, message=message, because="", remedy="name")
    return verdict
