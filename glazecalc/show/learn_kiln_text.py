"""What recorded firings taught of a kiln, as a person reads it and as JSON."""

from __future__ import annotations

from typing import Any

from glazecalc.show.heat_words import both
from glazecalc.show.json_form import estimate_json, estimates_json, verdict_json
from glazecalc.show.kiln_text import BASIS_WORDS
from glazecalc.show.layout import heading, labelled, paragraph
from glazecalc.show.numbers import estimate_parts
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.kiln_report import KilnLearned


def kiln_learned_text(learned: KilnLearned, units: UnitChoice) -> str:
    """A whole `learn --kiln` answer at 80 columns."""
    parts = [paragraph(learned.sentence), "", heading("From its firings, each with its 90 % interval")]
    for estimate in learned.estimates:
        value, low, high = estimate_parts(estimate)
        parts.append(
            labelled(estimate.name.replace("_", " "), f"{value} ({low} to {high}), {estimate.basis.value}", 22)
        )
        parts += [labelled("", f"({caveat})", 22) for caveat in estimate.caveats]
    for title, hot in (("ceiling before", learned.ceiling_before), ("ceiling now", learned.ceiling)):
        if hot is not None:
            cone = f"; cone {hot.cone}" if hot.cone is not None else ""
            value, low, high = (both(x, units) for x in (hot.estimate.value, hot.estimate.low, hot.estimate.high))
            basis = BASIS_WORDS.get(hot.estimate.basis, hot.estimate.basis.value)
            parts.append(labelled(title, f"{value}; {low} to {high}{cone}, {basis}", 22))
    if learned.wear is not None:
        parts += ["", paragraph(learned.wear.verdict.message)]
    for title, firings in (("Used", learned.used), ("Left out", learned.left_out)):
        if firings:
            parts += ["", heading(title), *(labelled(id_, why, 8) for id_, why in firings)]
    if learned.next_steps:
        parts += ["", heading("Next"), *(paragraph(f"{i}. {s}", 2, 3) for i, s in enumerate(learned.next_steps, 1))]
    return "\n".join(parts)


def kiln_learned_json(learned: KilnLearned) -> dict[str, Any]:
    """A `learn --kiln` result: fitted parameters as estimates, and the same before."""
    estimates = estimates_json(learned.estimates)
    before = estimates_json(learned.before)
    if learned.ceiling is not None:
        estimates["kiln_ceiling"] = estimate_json(learned.ceiling.estimate)
    if learned.ceiling_before is not None:
        before["kiln_ceiling"] = estimate_json(learned.ceiling_before.estimate)
    wear = learned.wear
    return {
        "kiln": learned.kiln,
        "sentence": learned.sentence,
        "estimates": estimates,
        "before": before,
        "firings": [
            *({"id": id_, "used": True, "reason": why} for id_, why in learned.used),
            *({"id": id_, "used": False, "reason": why} for id_, why in learned.left_out),
        ],
        "wear": None if wear is None else {
            "verdict": verdict_json(wear.verdict), "hours": list(wear.hours),
            "percent_per_firing": wear.percent_per_firing,
        },
        "next_steps": list(learned.next_steps),
    }  # fmt: skip
