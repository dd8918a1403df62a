"""Recipes side by side as a person reads them."""

from __future__ import annotations

from glazecalc.show.change_text import estimate_rows
from glazecalc.show.layout import heading, labelled, paragraph, table
from glazecalc.show.numbers import rounded
from glazecalc.values.adjusting import Comparison
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.report import CheckResult
from glazecalc.values.verdict import Answer

_ANSWERS = {Answer.FITS: "yes", Answer.DOES_NOT_FIT: "NO", Answer.CANNOT_SAY: "cannot say", Answer.NOT_ASKED: "-"}
_RULES = (
    ("fit", "fits the clay"),
    ("melts", "melts"),
    ("kiln_reaches", "kiln reaches it"),
    ("clay_range", "clay's range"),
)
COLUMN = 16
SIDE_BY_SIDE = 3
"""Most recipes beside one another at 80 columns; more stand in further tables."""


def compare_text(result: Comparison, units: UnitChoice) -> str:
    """A whole `compare` answer at 80 columns."""
    checks = [e.check for e in result.entries]
    parts = [paragraph("Compared: " + ", ".join(c.recipe.name for c in checks)), ""]
    if result.differences:
        parts += [heading("What sets them apart"), *(paragraph(f"- {d}", 2, 2) for d in result.differences), ""]
    for start in range(0, len(checks), SIDE_BY_SIDE):
        part = slice(start, start + SIDE_BY_SIDE)
        names = [_short(c.recipe.name) for c in checks[part]]
        parts += [heading("Materials, % of base"), _numbers(names, [(n, v[part]) for n, v in result.materials], 1), ""]
        parts += [heading("Unity molecular formula"), _numbers(names, [(n, v[part]) for n, v in result.oxides], 3), ""]
        parts += [heading("Ratios, estimates, answers"), _figures(names, checks[part], units), ""]
    related = [(e.check.recipe.name, e.relatives) for e in result.entries if e.relatives]
    if related:
        parts.append(heading("Nearest relatives in the studio"))
        for name, relatives in related:
            parts.append(labelled(name, "; ".join(f"{r.name} ({r.distance:.1f} steps)" for r in relatives), 28))
    return "\n".join(parts).rstrip()


def _short(name: str) -> str:
    return name if len(name) <= COLUMN else name[: COLUMN - 1] + "."


def _numbers(names: list[str], rows: list[tuple[str, tuple[float | None, ...]]], decimals: int) -> str:
    shown = [[name, *("-" if v is None else rounded(v, decimals) for v in values)] for name, values in rows
             if any(v is not None for v in values)]  # fmt: skip
    return table([["", *names], *shown], "l" + "r" * len(names))


def _figures(names: list[str], checks: list[CheckResult], units: UnitChoice) -> str:
    rows = [["", *names]]
    ratios = [c.formula.ratios if c.formula else None for c in checks]
    for key, title, decimals in (
        ("silica_alumina", "silica:alumina", 1),
        ("alkali_fraction", "R2O of fluxes", 2),
        ("boron_unity", "boron", 2),
    ):
        values = [None if r is None else getattr(r, key) for r in ratios]
        rows.append([title, *("-" if v is None else rounded(v, decimals) for v in values)])
    rows += estimate_rows(checks, units)
    for rule, title in _RULES:
        rows.append([title, *(_answer(c, rule) for c in checks)])
    return table(rows, "l" + "r" * len(names))


def _answer(check: CheckResult, rule: str) -> str:
    return next((_ANSWERS[v.answer] for v in check.verdicts if v.rule == rule), "-")
