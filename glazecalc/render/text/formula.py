"""The unity molecular formula and the fired composition as a person reads them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from glazecalc.render.text.kiln import span
from glazecalc.render.words import (
    estimate_name,
    estimate_parts,
    heading,
    in_units,
    labelled,
    paragraph,
    rounded,
    table,
    with_sign,
    worded,
)
from glazecalc.values.answers import Estimate, is_known, percent_words
from glazecalc.values.cones import CONE_NAMES
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.check import Batch, Formula, FormulaLine
from glazecalc.values.results.formula import MaterialFacts

if TYPE_CHECKING:
    from glazecalc.values.results.formula import FormulaResult

ROLE_TITLES = (
    ("flux", "fluxes"), ("stabiliser", "alumina"), ("glass former", "glass formers"),
    ("opacifier", "opacifiers"), ("colourant", "colourants"), ("other", "others"),
)  # fmt: skip


def formula_block(formula: Formula) -> str:
    """The unity formula in its three classical columns: fluxes, alumina, glass formers; the rest beneath."""
    parts = [heading("Unity molecular formula"), paragraph(f"({formula.convention_text})", 2)]
    for role, title in ROLE_TITLES:
        lines = [line for line in formula.lines if line.role == role and line.unity is not None]
        if lines:
            parts.append(labelled(title, "  ".join(_unity_words(line) for line in lines)))
    if not formula.unity():
        parts.append(paragraph("nothing of that kind in this batch: no unity formula", 2))
    parts.append(labelled("balance", _ratio_words(formula)))
    return "\n".join(parts)


def _unity_words(line: FormulaLine) -> str:
    assert line.unity is not None
    decimals = 2 if line.unity >= 0.1 else 3
    return f"{line.oxide} {rounded(line.unity, decimals)}"


def _ratio_words(formula: Formula) -> str:
    ratios, words = formula.ratios, []
    if ratios.boron_unity:
        words.append(f"boron {rounded(ratios.boron_unity, 2)}")
    if ratios.alkali_fraction is not None:
        words.append(f"alkalis are {rounded(100 * ratios.alkali_fraction, 0)} % of the flux")
    if ratios.silica_alumina is not None:
        words.append(f"silica per alumina {rounded(ratios.silica_alumina, 1)}")
    return ", ".join(words) or "none"


def composition_table(formula: Formula, basis: str) -> str:
    """Every oxide with its figures; ``basis`` puts one of them first."""
    order = {"unity": ("unity", "mole %", "weight %"), "mole": ("mole %", "weight %", "unity"),
             "weight": ("weight %", "mole %", "unity")}[basis]  # fmt: skip
    rows = [["oxide", *order, "unity, 90 % interval"]]
    for line in formula.lines:
        cells = {
            "unity": "" if line.unity is None else rounded(line.unity, 3),
            "mole %": rounded(line.mole_percent, 2),
            "weight %": rounded(line.weight_percent, 2),
        }
        rows.append([line.oxide, *(cells[name] for name in order), _interval(line)])
    return table(rows, "lrrrr")


def _interval(line: FormulaLine) -> str:
    if line.unity_low is None or line.unity_high is None:
        return ""
    low, high = rounded(line.unity_low, 3), rounded(line.unity_high, 3)
    return "" if low == high else f"{low} .. {high}"


def batch_block(batch: Batch) -> str:
    """The batch as understood: the card's amounts and the percent form, additions apart."""
    rows = [["material", "card", "%"]]
    rows += [
        [_line_name(line.written, line.material), f"{line.amount:g}", rounded(line.percent, 2)]
        for line in batch.lines
        if not line.addition
    ]
    rows.append(["base total", f"{batch.base_total:g}", "100.00" if batch.base_total else ""])
    rows += [["+ " + _line_name(line.written, line.material), f"{line.amount:g}", rounded(line.percent, 2)]
             for line in batch.lines if line.addition]  # fmt: skip
    return heading("Batch") + "\n" + table(rows, "lrr")


def _line_name(written: str, material: str) -> str:
    return material if written.casefold() == material.casefold() else f"{written} (= {material})"


def estimate_line(estimate: Estimate) -> str:
    """Value, interval, unit and basis of an estimate in one phrase."""
    if not is_known(estimate):
        return "not known: outside what the models know"
    if estimate.unit == "1":
        return f"{percent_words(estimate.value)} ({estimate.basis.value})"
    if estimate.name == "mature_cone":
        low, high = (CONE_NAMES[round(x)] for x in (estimate.low, estimate.high))
        return f"cone {low} to {high}, {estimate.basis.value}"
    value, low, high = estimate_parts(estimate)
    if estimate.name == "firing_range":
        return f"{low} to {high} {estimate.unit}, {estimate.basis.value}"
    unit = f" {estimate.unit}" if estimate.unit else ""
    spread = f" ({low} to {high})" if low != high else ""
    return f"{value}{spread}{unit}, {estimate.basis.value}"


def formula_text(result: FormulaResult, basis: str, units: UnitChoice | None = None) -> str:
    """A whole `formula` answer."""
    units = units or UnitChoice()
    formula = result.formula
    parts = [result.recipe.name, ""]
    parts += [formula_block(formula), "", heading("Fired composition"), composition_table(formula, basis), ""]
    if formula.loss_on_ignition_percent is not None and result.batch is not None:
        parts.append(labelled("lost in firing", f"{rounded(formula.loss_on_ignition_percent, 1)} % of the batch"))
    if result.estimates:
        parts += ["", heading("Expansion, melting and stiffness, each with its 90 % interval")]
        parts += [labelled(estimate_name(e, units), estimate_line(in_units(e, units)), 28) for e in result.estimates]
        parts.append("  (as glaze: from a kiln, not from a laboratory)")
    if result.batch is not None:
        parts += ["", batch_block(result.batch)]
    parts += _explanation(result) + _models(result, units)
    if result.cautions:
        parts += ["", heading("Cautions"), *(paragraph(f"- {line}", 2, 2) for line in result.cautions)]
    return "\n".join(parts)


def _explanation(result: FormulaResult) -> list[str]:
    if not result.explanations:
        return []
    rows = [["oxide", "mole %", "one more", "push"]]
    rows += [
        [e.oxide, rounded(e.mole_percent, 1), "" if e.one_more is None else with_sign(e.one_more), with_sign(e.push)]
        for e in result.explanations
    ]
    title = heading("What pushes the expansion, 1e-6/K")
    return ["", title, paragraph(result.explanation_reference, 2), table(rows, "lrrr")]


def _models(result: FormulaResult, units: UnitChoice) -> list[str]:
    if not result.models:
        return []
    lines = ["", heading("Second opinions on the expansion, from factors in print")]
    for model in result.models:
        e, over, width = model.estimate, f"{model.from_degC:.0f} to {model.to_degC:.0f} degC", 22
        if units.temperature == "F":
            over, width = span(model.from_degC, model.to_degC, units), 32
        lines.append(labelled(over, estimate_line(e), width))
        lines += [labelled("", worded(caveat, units), 22) for caveat in e.caveats]
    sources = "; ".join(model.author for model in result.models)
    return [*lines, paragraph(f"Sources, in this order: {sources}.", 2)]


# Raw materials as a person reads them.

FAMILY_ORDER = (
    "clay", "feldspar", "silica", "carbonate", "flux", "boron", "frit", "barium", "lead", "opacifier", "colourant",
    "body", "other",
)  # fmt: skip
_HEADINGS = {
    "body": "grog and alumina", "carbonate": "lime, magnesia and strontia",
    "barium": "barium: poison when swallowed or breathed; keep it off ware for food",
    "lead": "lead: poison, only to read old recipes",
}  # fmt: skip


def list_text(facts: Sequence[MaterialFacts]) -> str:
    """All materials by family, own ones marked."""
    families: dict[str, list[MaterialFacts]] = {}
    for fact in facts:
        families.setdefault(_group(fact), []).append(fact)
    order = [*(f for f in FAMILY_ORDER if f in families), *sorted(set(families) - set(FAMILY_ORDER))]
    parts = [f"{len(facts)} raw materials. Show one with: glazecalc materials NAME"]
    for family in order:
        names = "; ".join(sorted(_marked(f) for f in families[family]))
        parts += ["", heading(_HEADINGS.get(family, family)), paragraph(names, 2)]
    if any(f.material.own for f in facts):
        parts += ["", "* from the studio's own materials.csv"]
    return "\n".join(parts)


def holding_text(words: str, facts: Sequence[MaterialFacts]) -> str:
    """The materials of which a name holds ``words``, with what else they are called."""
    many = f"{len(facts)} raw materials have" if len(facts) != 1 else "One raw material has"
    lines = [f"{many} {words[:60]!r} in a name. Show one with: glazecalc materials NAME", ""]
    for fact in sorted(facts, key=lambda f: f.material.name.casefold()):
        others = ", ".join(fact.material.aliases[:4])
        lines.append(paragraph(f"{_marked(fact)}{f' ({others})' if others else ''}", 2, 2))
    return "\n".join(lines)


def _group(fact: MaterialFacts) -> str:
    """Its family; whatever holds lead or barium stands apart."""
    poisons = (name for name in ("lead", "barium") if f"{name}_food" in fact.material.hazards)
    return next(poisons, fact.material.family or "other")


def _marked(fact: MaterialFacts) -> str:
    return fact.material.name + ("*" if fact.material.own else "")


def material_text(fact: MaterialFacts) -> str:
    """One material: its analysis, loss, spread, hazards and source."""
    material = fact.material
    rows = [["oxide", "weight %", "moles in 100 g"]]
    rows += [[o, rounded(w, 2), rounded(m, 4)] for (o, w), (_, m) in zip(fact.oxides, fact.moles_per_100g, strict=True)]
    rows.append(["lost in firing", rounded(fact.loss_on_ignition_percent, 2), ""])
    parts = [heading(material.name), table(rows, "lrr"), ""]
    facts = [
        ("difference", _difference(fact)),
        ("also called", ", ".join(material.aliases)),
        ("formula", material.formula or ""),
        ("known from", f"{material.kind} ({rounded(fact.spread_percent, 1)} % relative spread of the larger oxides)"),
        ("density", f"{material.density:g} times that of water" if material.density else ""),
        ("lot", material.lot),
        ("price", f"{material.price_per_kg:g} per kg" if material.price_per_kg is not None else ""),
        ("source", fact.source),
        ("notes", material.notes),
    ]
    parts += [labelled(label, text) for label, text in facts if text]
    parts += [labelled("caution", line) for line in fact.hazards]
    return "\n".join(parts)


MOST_APART = 1.0
"""Weight % by which a stated loss may differ from what the oxides leave without a word."""


def _difference(fact: MaterialFacts) -> str:
    stated, left = fact.loss_on_ignition_percent, fact.left_by_oxides_percent
    if abs(stated - left) <= MOST_APART:
        return ""
    return f"a loss of {rounded(stated, 1)} % is stated, and the oxides leave {rounded(left, 1)} % of 100"
