"""Raw materials as a person reads them."""

from __future__ import annotations

from collections.abc import Sequence

from glazecalc.render.words import heading, labelled, paragraph, rounded, table
from glazecalc.values.results.formula import MaterialFacts

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
