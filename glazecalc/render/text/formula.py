"""The unity molecular formula and the fired composition as a person reads them."""

from __future__ import annotations

from collections.abc import Sequence

from glazecalc.render.text.kiln import span
from glazecalc.render.words import (
    bullets,
    estimate_name,
    estimate_parts,
    heading,
    in_units,
    labelled,
    paragraph,
    rounded,
    section,
    table,
    with_sign,
    worded,
)
from glazecalc.values.answers import Estimate, is_known, percent_words
from glazecalc.values.cones import CONE_NAMES
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.check import Batch, BatchLine, Formula, FormulaLine
from glazecalc.values.results.formula import FormulaResult, MaterialFacts

ROLE_TITLES = (
    ("flux", "fluxes"), ("stabiliser", "alumina"), ("glass former", "glass formers"),
    ("opacifier", "opacifiers"), ("colourant", "colourants"), ("other", "others"),
)  # fmt: skip


def formula_block(formula: Formula) -> str:
    """The unity formula in its three classical columns: fluxes, alumina, glass formers; the rest beneath."""
    parts = [heading("Unity molecular formula"), paragraph(f"({formula.convention_text})", 2)]
    for title, lines in unity_columns(formula):
        told = (f"{oxide} {rounded(moles, 2 if moles >= 0.1 else 3)}" for oxide, moles, _ in lines)
        parts.append(labelled(title, "  ".join(told)))
    if not formula.unity():
        parts.append(paragraph("nothing of that kind in this batch: no unity formula", 2))
    ratios = (f"{name}{' are' if name == 'alkalis' else ''} {figure}" for name, figure in ratio_words(formula))
    return "\n".join([*parts, labelled("balance", ", ".join(ratios) or "none")])


def unity_columns(formula: Formula) -> list[tuple[str, list[tuple[str, float, FormulaLine]]]]:
    """The classical columns: title, then oxide, moles and line of each."""
    known = [(line.oxide, line.unity, line) for line in formula.lines if line.unity is not None]
    columns = [(title, [row for row in known if row[2].role == role]) for role, title in ROLE_TITLES]
    return [(title, rows) for title, rows in columns if rows]


def ratio_words(formula: Formula) -> list[tuple[str, str]]:
    """The ratios potters read off a formula, each with its figure."""
    ratios = formula.ratios
    alkalis, silica = ratios.alkali_fraction, ratios.silica_alumina
    return [
        *([("boron", rounded(ratios.boron_unity, 2))] if ratios.boron_unity else []),
        *([] if alkalis is None else [("alkalis", f"{rounded(100 * alkalis, 0)} % of the flux")]),
        *([] if silica is None else [("silica per alumina", rounded(silica, 1))]),
    ]


def composition_table(formula: Formula, basis: str) -> str:
    """Every oxide with its figures; ``basis`` puts one of them first."""
    order = {"unity": ("unity", "mole %", "weight %"), "mole": ("mole %", "weight %", "unity"),
             "weight": ("weight %", "mole %", "unity")}[basis]  # fmt: skip
    rows = [["oxide", *order, "unity, 90 % interval"]]
    for line in formula.lines:
        unity, low, high = (
            "" if moles is None else rounded(moles, 3) for moles in (line.unity, line.unity_low, line.unity_high)
        )
        cells = {
            "unity": unity, "mole %": rounded(line.mole_percent, 2), "weight %": rounded(line.weight_percent, 2),
        }  # fmt: skip
        rows.append([line.oxide, *(cells[name] for name in order), "" if low == high else f"{low} .. {high}"])
    return table(rows, "lrrrr")


def batch_block(batch: Batch) -> str:
    """The batch as understood: the card's amounts and the percent form, additions apart."""

    def row(line: BatchLine) -> list[str]:
        known = line.written.casefold() == line.material.casefold()
        name = line.material if known else f"{line.written} (= {line.material})"
        return ["+ " * line.addition + name, f"{line.amount:g}", rounded(line.percent, 2)]

    rows = [["material", "card", "%"], *(row(line) for line in batch.lines if not line.addition)]
    rows.append(["base total", f"{batch.base_total:g}", "100.00" if batch.base_total else ""])
    rows += [row(line) for line in batch.lines if line.addition]
    return heading("Batch") + "\n" + table(rows, "lrr")


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


def formula_text(result: FormulaResult, basis: str, units: UnitChoice) -> str:
    """A whole `formula` answer."""
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
    parts += [*_explanation(result), *_models(result, units), *section("Cautions", bullets(result.cautions))]
    return "\n".join(parts)


def _explanation(result: FormulaResult) -> list[str]:
    if not result.explanations:
        return []
    rows = [["oxide", "mole %", "one more", "push"]]
    for e in result.explanations:
        more = "" if e.one_more is None else with_sign(e.one_more)
        rows.append([e.oxide, rounded(e.mole_percent, 1), more, with_sign(e.push)])
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
        parts += section(_HEADINGS.get(family, family), [paragraph(names, 2)])
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


MOST_APART = 1.0
"""Weight % by which a stated loss may differ from what the oxides leave without a word."""


def material_text(fact: MaterialFacts) -> str:
    """One material: its analysis, loss, spread, hazards and source."""
    material = fact.material
    rows = [["oxide", "weight %", "moles in 100 g"]]
    rows += [[o, rounded(w, 2), rounded(m, 4)] for (o, w), (_, m) in zip(fact.oxides, fact.moles_per_100g, strict=True)]
    rows.append(["lost in firing", rounded(fact.loss_on_ignition_percent, 2), ""])
    parts = [heading(material.name), table(rows, "lrr"), ""]
    stated, left = fact.loss_on_ignition_percent, fact.left_by_oxides_percent
    apart = f"a loss of {rounded(stated, 1)} % is stated, and the oxides leave {rounded(left, 1)} % of 100"
    facts = [
        ("difference", apart if abs(stated - left) > MOST_APART else ""),
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
