"""A check as a person reads it: the answer first, then the reasons, the next step, the figures and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.render.text.formula import estimate_line, formula_block
from glazecalc.render.text.kiln import numbered
from glazecalc.render.words import (
    LineRead,
    Paint,
    answer_word,
    bullets,
    estimate_name,
    heading,
    in_units,
    interval_bar,
    labelled,
    painted,
    paragraph,
    read_words,
    rounded,
    rule_words,
    unpainted,
    worded,
)
from glazecalc.values.answers import Estimate, is_known, percent_words
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.check import CheckResult

# A small bar beneath an estimate, in ASCII: where its interval lies on an axis that its kind shares.

_WIDTH: Final = 31
_LABEL: Final = 30
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


_IN_SHORT: Final = frozenset({
    "expansion_to_setting", "body_expansion", "crazing_probability", "shivering_probability", "absorption", "shrinkage",
})  # fmt: skip
"""The estimates a potter acts on, told without ``--full``."""


def _estimate_lines(estimates: Sequence[Estimate], units: UnitChoice, full: bool) -> list[str]:
    shown = [in_units(e, units) for e in estimates if is_known(e)]
    lines = []
    for estimate in estimates:
        lines.append(labelled(estimate_name(estimate, units), estimate_line(in_units(estimate, units)), _LABEL))
        bar = bar_beneath(in_units(estimate, units), shown) if full and is_known(estimate) else None
        lines += [labelled("", bar, _LABEL)] if bar else []
        caveats = estimate.caveats if full else ()
        lines += [labelled("", f"({worded(caveat, units)})", _LABEL) for caveat in caveats]
    return lines


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


def _read(result: CheckResult, full: bool) -> list[str]:
    batch = () if result.batch is None else result.batch.lines
    lines = [LineRead(x.written, x.material, f"{x.amount:g}", x.addition, x.known) for x in batch]
    told = read_words(lines, always=full)
    return [paragraph(told)] if told else []


def check_text(result: CheckResult, units: UnitChoice, paint: Paint = unpainted, full: bool = True) -> str:
    """A whole `check` answer at 80 columns; ``paint`` may colour answers, ``full`` says how each was estimated."""
    parts = [paint(paragraph(worded(result.sentence, units)), result.answer), *_read(result, full), ""]
    title = heading if full else "{}:".format
    for verdict in result.verdicts:
        label = f"{rule_words(verdict.rule)}: {answer_word(verdict.answer)}."
        lines = paragraph(f"{label} {worded(verdict.message, units)}", 2, 2)
        parts.append(painted(lines, label, paint(label, verdict.answer)))
    if result.next_steps:
        parts += ["", title("Next"), *numbered(result.next_steps, units)]
    if result.formula is not None and full:
        parts += ["", formula_block(result.formula)]
    told = [e for e in result.estimates if full or e.name in _IN_SHORT]
    if told:
        what = "Estimates" if result.recipe.kind == "body" else "Estimates for a fired glaze"
        more = ", each with its 90 % interval" if full else ", 90 % interval (--full shows all, and the formula)"
        parts += ["", title(what + more), *_estimate_lines(told, units, full)]
    parts += ["", title("Cautions"), *bullets(result.cautions)]
    return "\n".join(parts)
