"""A check as a person reads it: the answer first, then the reasons, the formula, the figures, what to mind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from glazecalc.render.text.formula import estimate_line, formula_block
from glazecalc.render.text.kiln import retold
from glazecalc.render.words import estimate_name, heading, in_units, interval_bar, labelled, paragraph, rounded
from glazecalc.values.answers import Answer, Estimate, is_known, percent_words
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.check import CheckResult

# A small bar beneath an estimate, in ASCII: where its interval lies on an axis that its kind shares.

_WIDTH: Final = 31
_STRESS_AXIS: Final = (-300.0, 200.0)
_ON_THE_RULER: Final = ("firing_range", "kiln_ceiling", "liquidus_temperature")


def bar_beneath(estimate: Estimate, among: Sequence[Estimate]) -> str | None:
    """The bar of one of the estimates ``among``, or None for a kind that has no axis of its own.

    >>> from glazecalc.values.answers import Basis
    >>> chance = Estimate("crazing_probability", 0.5, 0.5, 0.5, "1", Basis.MODEL)
    >>> bar_beneath(chance, [chance])
    '0 [===============|...............] 100 %'
    """
    if estimate.unit == "1":
        return f"0 [{interval_bar(0.0, estimate.value, estimate.value, 0.0, 1.0, _WIDTH)}] 100 %"
    if estimate.name == "layer_stress":
        low, high = _STRESS_AXIS
        bar = interval_bar(estimate.low, estimate.value, estimate.high, low, high, _WIDTH)
        return f"squeezed [{_with_zero(bar, low, high)}] pulled"
    if estimate.name in _ON_THE_RULER:
        shown = [e for e in among if e.name in _ON_THE_RULER and e.unit == estimate.unit]
        low = min(e.low for e in shown)
        high = max(e.high for e in shown)
        room = max(0.15 * (high - low), 10.0)
        low, high = round((low - room) / 10) * 10, round((high + room) / 10) * 10
        bar = interval_bar(estimate.low, estimate.value, estimate.high, low, high, _WIDTH)
        return f"{rounded(low, -1)} [{bar}] {rounded(high, -1)} {estimate.unit}"
    return None


def _with_zero(bar: str, low: float, high: float) -> str:
    """The bar with a 0 where no stress lies, unless its value lies there."""
    place = round((0.0 - low) / (high - low) * (len(bar) - 1))
    return bar if bar[place] == "|" else f"{bar[:place]}0{bar[place + 1 :]}"


ANSWER_WORDS = {
    Answer.FITS: "yes", Answer.DOES_NOT_FIT: "NO", Answer.CANNOT_SAY: "cannot say", Answer.NOT_ASKED: "not asked",
}  # fmt: skip
RULE_WORDS = {
    "fit": "fits the clay", "melts": "melts", "kiln_reaches": "kiln reaches it", "clay_range": "clay's own range",
}  # fmt: skip

_ALWAYS_TOLD = {"body_expansion": 9, "firing_range": 1}
"""How many of an estimate's caveats are told in any case: an answer hangs on how the clay's figure came about, and a
range is no interval."""

Paint = Callable[[str, Answer], str]


def _unpainted(text: str, answer: Answer) -> str:
    return text


def ranking_text(results: Sequence[CheckResult]) -> str:
    """Several glazes on one clay by their chance to stay sound, best first; nothing for one or none known."""
    chances = []
    for result in results:
        faults = [result.estimate(name) for name in ("crazing_probability", "shivering_probability")]
        known = [e.value for e in faults if e is not None and not e.extrapolated]
        if len(known) == 2:
            chances.append((1.0 - sum(known), result.recipe.name))
    if len(chances) < 2:
        return ""
    chances.sort(key=lambda pair: (-pair[0], pair[1]))
    width = max(len(name) for _, name in chances)
    lines = [f"  {name:{width}}  {percent_words(max(chance, 0.0))} likely to stay sound" for chance, name in chances]
    return "\n".join([f"By fit, least risk first. Start with {chances[0][1]}:", *lines])


def check_text(result: CheckResult, units: UnitChoice, paint: Paint = _unpainted, full: bool = True) -> str:
    """A whole `check` answer at 80 columns; ``paint`` may colour answers, ``full`` says how each was estimated."""
    parts = [paint(paragraph(result.sentence), result.answer), ""]
    for verdict in result.verdicts:
        label = f"{RULE_WORDS.get(verdict.rule, verdict.rule)}: {ANSWER_WORDS[verdict.answer]}"
        text = labelled(label, verdict.message, 30)
        parts.append(text.replace(label, paint(label, verdict.answer), 1))
    if result.formula is not None:
        parts += ["", formula_block(result.formula)]
    if result.estimates:
        title = "Estimates" if result.recipe.kind == "body" else "Estimates for a fired glaze"
        parts += ["", heading(f"{title}, each with its 90 % interval")]
        shown = [in_units(e, units) for e in result.estimates if is_known(e)]
        for estimate in result.estimates:
            parts.append(labelled(estimate_name(estimate), estimate_line(in_units(estimate, units)), 26))
            bar = bar_beneath(in_units(estimate, units), shown) if is_known(estimate) else None
            parts += [labelled("", bar, 26)] if bar else []
            told = len(estimate.caveats) if full else _ALWAYS_TOLD.get(estimate.name, 0)
            parts += [labelled("", f"({retold(caveat, units)})", 26) for caveat in estimate.caveats[:told]]
        if not full:
            parts.append("  (--full says how each was estimated)")
    parts += ["", heading("Cautions"), *(paragraph(f"- {line}", 2, 2) for line in result.cautions)]
    if result.next_steps:
        parts += ["", heading("Next"), *(paragraph(f"{i}. {s}", 2, 3) for i, s in enumerate(result.next_steps, 1))]
    return "\n".join(parts)
