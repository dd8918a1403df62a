"""A check as a person reads it: the answer first, then the reasons, the formula, the figures, what to mind."""

from __future__ import annotations

from collections.abc import Callable

from glazecalc.show.bars import bar_beneath
from glazecalc.show.estimate_words import estimate_name
from glazecalc.show.formula_text import estimate_line, formula_block
from glazecalc.show.heat_words import retold
from glazecalc.show.layout import heading, labelled, paragraph
from glazecalc.show.units import in_units
from glazecalc.values.estimate import is_known
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.report import CheckResult
from glazecalc.values.verdict import Answer

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
