"""The parts that answers about a changed recipe share: the two recipes, the two formulas, what it costs, the proof."""

from __future__ import annotations

from collections.abc import Sequence

from glazecalc.show.layout import labelled, paragraph, table
from glazecalc.show.numbers import estimate_parts, rounded
from glazecalc.show.units import in_units
from glazecalc.values.adjusting import Option, Proof
from glazecalc.values.estimate import Estimate, is_known, percent_words
from glazecalc.values.inputs import Recipe, UnitChoice
from glazecalc.values.report import CheckResult

_ESTIMATES = (
    ("expansion", "expansion, 1e-6/K"), ("crazing_probability", "likely to craze, %"),
    ("shivering_probability", "likely to shiver, %"),
)  # fmt: skip

MOST_SAID = 5
"""Oxides whose change is put into words on the terminal; the JSON has all."""


def recipe_table(before: Recipe | None, option: Option) -> str:
    """The recipe before and after, line by line."""
    after = {(line.material, line.addition): line.amount for line in option.recipe.lines}
    was: dict[tuple[str, bool], float] = {}
    for line in before.lines if before is not None else ():
        key = (line.material, line.addition)
        was[key] = was.get(key, 0.0) + line.amount
    names = sorted(dict.fromkeys([*was, *after]), key=lambda key: key[1])
    if before is None:
        return table([["material", "parts"], *([_name(k), f"{after[k]:g}"] for k in names)], "lr", indent=4)
    rows = [["material", "before", "after"]]
    rows += [[_name(k), _amount(was.get(k)), _amount(after.get(k))] for k in names]
    base = [sum(v for (_, added), v in t.items() if not added) for t in (was, after)]
    rows.append(["base total", *(f"{round(b, 6):g}" for b in base)])
    return table(rows, "lrr", indent=4)


def _name(key: tuple[str, bool]) -> str:
    return f"+ {key[0]}" if key[1] else key[0]


def _amount(value: float | None) -> str:
    return "-" if value is None else f"{round(value, 6):g}"


def figures_table(before: CheckResult, after: CheckResult, units: UnitChoice) -> str:
    """Formula, ratios and chances before and after."""
    rows = [["", "before", "after"]]
    a, b = before.formula, after.formula
    if a is not None and b is not None:
        one, two = a.unity(), b.unity()
        order = [line.oxide for line in a.lines] + [line.oxide for line in b.lines if line.oxide not in one]
        rows += [
            [s, _unity(one.get(s)), _unity(two.get(s))] for s in order if max(one.get(s, 0), two.get(s, 0)) >= 0.005
        ]
        rows.append(["silica:alumina", _ratio(a.ratios.silica_alumina), _ratio(b.ratios.silica_alumina)])
        loss = [f.loss_on_ignition_percent for f in (a, b)]
        rows.append(["lost in firing, %", *("-" if x is None else rounded(x, 1) for x in loss)])
    return table([*rows, *estimate_rows((before, after), units)], "lrr", indent=4)


def estimate_rows(checks: Sequence[CheckResult], units: UnitChoice) -> list[list[str]]:
    """A row for each estimate that any of the checks has: expansion, chances, firing range."""
    rows = []
    for name, title in (*_ESTIMATES, ("firing_range", f"firing range, deg{units.temperature}")):
        found = [c.estimate(name) for c in checks]
        if any(e is not None for e in found):
            rows.append([title, *("-" if e is None else _told(in_units(e, units)) for e in found)])
    return rows


def _told(estimate: Estimate) -> str:
    """One estimate without its unit; the same figures that a check hides are hidden here."""
    if not is_known(estimate):
        return "not known"
    if estimate.unit == "1":
        return _chance(estimate.value)
    _, low, high = estimate_parts(estimate)
    return f"{low} to {high}" if estimate.name == "firing_range" else rounded(estimate.value, 2)


def _chance(probability: float) -> str:
    return percent_words(probability).removesuffix(" %")


def _unity(value: float | None) -> str:
    return "-" if value is None else rounded(value, 2 if value >= 0.095 else 3)


def _ratio(value: float | None) -> str:
    return "-" if value is None else rounded(value, 1)


def proof_text(proof: Proof) -> str:
    """The proof tiles as a small table."""
    rows = [["tile", "old : new", "sound, %", "matures, %"]]
    for t in proof.tiles:
        rows.append(
            [t.id, f"{t.old_parts} : {t.new_parts}", _percent(t.sound_probability), _percent(t.matures_probability)]
        )
    return "\n".join([paragraph(proof.sentence, 4), table(rows, "lrrr", indent=4)])


def _percent(chance: float | None) -> str:
    return "-" if chance is None else _chance(chance)


def option_text(number: int, before: CheckResult | None, option: Option, units: UnitChoice) -> str:
    """One option with everything a potter needs to try it."""
    parts = [paragraph(f"{number}. {option.sentence}", 0, 3)]
    if option.character is not None and before is not None:
        steps = f"{option.character.distance:.1f} noticeable steps"
        parts.append(labelled("character", f"{option.character.words} ({steps})", 16, 3))
        parts += [paragraph(f"- {s}", 5, 2) for s in option.character.sentences[:MOST_SAID]]
    parts += ["", recipe_table(None if before is None else before.recipe, option)]
    if option.to_bucket:
        parts += ["", paragraph(option.to_bucket, 3)]
    if before is not None:
        parts += ["", figures_table(before, option.after, units)]
    parts += [paragraph(f"! {note}", 3, 2) for note in option.notes]
    if option.proof is not None:
        parts += ["", proof_text(option.proof)]
    return "\n".join(parts)
