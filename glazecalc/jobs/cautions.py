"""What can hurt someone: materials at the bench, gases in firing, the finished ware."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.values.answers import listed
from glazecalc.values.data import read_table
from glazecalc.values.results.check import Batch, CheckResult, Formula, FormulaLine, Ratios
from glazecalc.values.texts import begun

NOT_TESTED: Final = (
    "Not tested for food or drink: no calculation can do that. Ware for food needs a laboratory leach test (ASTM C738 "
    "or ISO 6486), as local rules ask."
)
DRY_POWDER: Final = (
    "Every dry powder, ground frit too: fine dust is bad for the lungs. Mix and clean up wet, never sweep dry, wear a "
    "fitted P100 or P3 respirator. Confirm with the supplier's safety data sheet."
)
"""What holds for every powder at the bench; it stands once, after what each of them does."""
EVERY_POWDER: Final = frozenset({"inert_dust", "frit_dust"})
"""Hazards that :data:`DRY_POWDER` tells of."""
AT_THE_BENCH: Final = ("dust", "skin")
"""When a hazard of the table is met with the dry or wet material, which :data:`DRY_POWDER` goes with."""
_TOXIC: Final[dict[str, str]] = {
    "PbO": "lead", "CdO": "cadmium", "BaO": "barium", "As2O3": "arsenic", "Sb2O3": "antimony", "V2O5": "vanadium",
    "Cr2O3": "chromium", "NiO": "nickel", "CoO": "cobalt", "CuO": "copper", "MnO": "manganese", "Li2O": "lithium",
    "SrO": "strontium", "BeO": "beryllium",
}  # fmt: skip
_SHARE_WORTH_SAYING: Final = 0.5
"""Weight % above which an oxide that may leach is named (common practice, no source)."""
_SHARE_BY_OXIDE: Final = {"PbO": 0.05, "CdO": 0.02, "BeO": 0.02, "As2O3": 0.05, "SrO": 5.0, "Li2O": 2.0}
"""Weight % for oxides that are worse, or milder, than the rest (common practice, no source)."""
UNFIT: Final = "not for a home studio, nor for ware that is eaten or drunk from"
POISONS: Final = {oxide: _TOXIC[oxide] for oxide in ("PbO", "CdO", "BeO", "As2O3")}
"""What has no place in a home studio."""


def cautions(
    batch: Batch | None, formula: Formula | None, more: Sequence[str] = (), glaze: bool = True
) -> tuple[str, ...]:
    """Every caution for one recipe: the bench's, the glaze's, ``more`` from the firing, the finished ware's last.

    A clay (``glaze`` False) is not judged as a glass.
    """
    of_glass = _soft_glass(formula) if glaze and batch is not None else ()
    found = (*_holds_poison(poisons(formula)), *_bench(batch), *_leaches(leaching(formula)), *of_glass, *more)
    return (*dict.fromkeys(found), NOT_TESTED)


def cautions_of_plan(
    batches: Sequence[Batch], formulas: Sequence[Formula], more: Sequence[str] = ()
) -> tuple[str, ...]:
    """The cautions of several glazes, each once: every material mixed, and of each oxide the worst of any glaze."""
    batch = Batch(tuple(line for b in batches for line in b.lines), 0.0, 0.0)
    if not formulas:
        return cautions(batch, None, more)
    worst = [
        FormulaLine(oxide, "", min(f.unity().get(oxide, 0.0) for f in formulas), None, None, 0.0,
                    max(f.weight_percent().get(oxide, 0.0) for f in formulas))
        for oxide in dict.fromkeys(line.oxide for f in formulas for line in f.lines)
    ]  # fmt: skip
    alkalis = [f.ratios.alkali_fraction for f in formulas if f.ratios.alkali_fraction is not None]
    ratios = Ratios(None, max(alkalis, default=None), None, None)
    return cautions(batch, Formula(tuple(worst), ratios, "", "", None, None), more)


def cautions_of_all(checks: Sequence[CheckResult]) -> tuple[str, ...]:
    """The cautions of several recipes, one for each hazard; what speaks against one's firing is by its name."""
    more = [
        f"{check.recipe.name}: {line[:1].lower()}{line[1:]}"
        for check in checks
        for line in check.cautions
        if line not in cautions(check.batch, check.formula, (), check.recipe.kind != "body")
    ]
    batches = [check.batch for check in checks if check.batch is not None]
    return cautions_of_plan(batches, [check.formula for check in checks if check.formula is not None], more)


def hazard_sentence(row: dict[str, str]) -> str:
    """A row of the hazard table in words: what it does, and what to do beyond what every powder asks for."""
    return f"{row['statement']}." + (f" {begun(row['advice'])}." if row["advice"] else "")


def _bench(batch: Batch | None) -> list[str]:
    if batch is None:
        return []
    named: dict[str, list[str]] = {}
    for line in batch.lines:
        for hazard in line.hazards:
            named.setdefault(hazard, []).append(line.material)
    lines, last = [], 0
    dry = False
    for row in read_table("hazards"):
        if row["id"] not in named or row["when"] == "food":
            continue
        bench = row["when"] in AT_THE_BENCH
        dry = dry or bench
        if row["id"] not in EVERY_POWDER:
            lines.append(f"{', '.join(dict.fromkeys(named[row['id']]))}: {hazard_sentence(row)}")
            last = len(lines) if bench else last
    return [*lines[:last], DRY_POWDER, *lines[last:]] if dry else lines


def poisons(formula: Formula | None) -> tuple[str, ...]:
    """What a glaze holds that has no place in a home studio."""
    return () if formula is None else tuple(name for oxide, name in POISONS.items() if _holds(formula, oxide))


def held(formula: Formula | None) -> list[str]:
    """The metals that harm in a fired glaze, the poisons first."""
    present = [] if formula is None else [oxide for oxide in _TOXIC if _holds(formula, oxide)]
    return [_TOXIC[oxide] for oxide in sorted(present, key=lambda oxide: oxide not in POISONS)]


def leaching(formula: Formula | None) -> tuple[str, ...]:
    """The metals that food can draw out of a glaze, beside its :func:`poisons`."""
    return tuple(name for name in held(formula) if name not in POISONS.values())


def metals(formula: Formula | None, among: Sequence[str] = ()) -> tuple[str, ...]:
    """What harms in the fired glaze itself, the poisons first: for answers that carry no other caution.

    Of ``among``, where some are given, a line names at least one.
    """
    rules = ((_holds_poison, poisons(formula)), (_leaches, leaching(formula)))
    named = ((rule, names) for rule, names in rules if not among or not set(among).isdisjoint(names))
    return tuple(line for rule, names in named for line in rule(names))


def metals_of(named: Sequence[tuple[str, Formula | None]]) -> tuple[str, ...]:
    """The :func:`metals` of several glazes, each line with the names it is true of where that is not all."""
    lines: dict[str, list[str]] = {}
    for name, formula in named:
        for line in metals(formula):
            lines.setdefault(line, []).append(name)
    every = {name for name, _ in named}
    return tuple(
        line if set(names) == every else f"{', '.join(dict.fromkeys(names))}: {line}" for line, names in lines.items()
    )


def poison_first(name: str, before: Formula | None, after: Sequence[Formula | None]) -> str:
    """What leads an answer about a change: the poison the recipe holds, and one that a change brings in; else nothing.

    >>> poison_first("Clear", None, [])
    ''
    """
    held = poisons(before)
    come = dict.fromkeys(word for formula in after for word in poisons(formula) if word not in held)
    lead = [f"{name} holds {listed(held)}: {UNFIT}. "] if held else []
    lead += [f"What stands below holds {listed(list(come))}: {UNFIT}. "] if come else []
    return "".join(lead)


def of_changes(name: str, before: Formula | None, after: Sequence[Formula | None]) -> tuple[str, tuple[str, ...]]:
    """What leads an answer about changes of one recipe (:func:`poison_first`), and what harms in it and in them."""
    named = [(name, before), *(("What stands below", formula) for formula in after)]
    return poison_first(name, before, after), metals_of(named)


def _holds(formula: Formula, oxide: str) -> bool:
    return formula.weight_percent().get(oxide, 0) >= _SHARE_BY_OXIDE.get(oxide, _SHARE_WORTH_SAYING)


def _holds_poison(named: Sequence[str]) -> tuple[str, ...]:
    text = f"Holds {listed(named)}: it poisons whoever mixes it, fires it or eats from it. Do not use it at home."
    return (text,) if named else ()


def _leaches(named: Sequence[str]) -> tuple[str, ...]:
    text = (
        f"The fired glaze holds {listed(named)}, which food can draw out. Keep it off what touches food or lips, "
        "unless a laboratory has tested the fired ware."
    )
    return (text,) if named else ()


def _soft_glass(formula: Formula | None) -> tuple[str, ...]:
    unity, alkali = ({}, None) if formula is None else (formula.unity(), formula.ratios.alkali_fraction)
    if unity and (unity.get("SiO2", 0) < 2 or unity.get("Al2O3", 0) < 0.15 or (alkali is not None and alkali > 0.6)):
        return (
            "Low in silica or alumina, or rich in alkali: it may weather, scratch or stain, and sour food may draw "
            "more out of it (textbook guides; the evidence for exact limits is thin).",
        )
    return ()
