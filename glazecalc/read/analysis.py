"""One cell of an analysis: a percent, a trace, a `less than`, and the slips a sheet makes in naming its oxides."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from glazecalc.read.findings import Findings, quote
from glazecalc.read.numbers import plain, read_amount
from glazecalc.values.oxides import OXIDE_TABLE, find_oxide, suggest_oxide

TO_OXIDE: Final[dict[str, tuple[str, float]]] = {
    "Si": ("SiO2", 2.1393), "Al": ("Al2O3", 1.8895), "B": ("B2O3", 3.2199), "Li": ("Li2O", 2.1525),
    "Na": ("Na2O", 1.3480), "K": ("K2O", 1.2046), "Mg": ("MgO", 1.6583), "Ca": ("CaO", 1.3992),
    "Sr": ("SrO", 1.1826), "Ba": ("BaO", 1.1165), "Zn": ("ZnO", 1.2447), "Ti": ("TiO2", 1.6685),
    "Zr": ("ZrO2", 1.3508), "Fe": ("Fe2O3", 1.4297), "Mn": ("MnO", 1.2912), "P": ("P2O5", 2.2914),
    "Pb": ("PbO", 1.0772), "Co": ("CoO", 1.2715), "Ni": ("NiO", 1.2726), "Cu": ("CuO", 1.2518),
    "Cr": ("Cr2O3", 1.4616), "Sn": ("SnO2", 1.2696), "V": ("V2O5", 1.7852), "S": ("SO3", 2.4969),
}  # fmt: skip
"""Grams of oxide that hold one gram of the element; the tests recompute each with another library's atomic masses."""

_ELEMENTS: Final = frozenset(oxide.atoms[0][0] for oxide in OXIDE_TABLE if len(oxide.atoms) > 1)
_NOTHING: Final = frozenset(
    {
        "",
        "-",
        "--",
        "\N{EN DASH}",
        "\N{EM DASH}",
        "n.d.",
        "nd",
        "n/d",
        "n.a.",
        "na",
        "n/a",
        "nil",
        "none",
        "bdl",
        "b.d.l.",
    }
)
_TRACES: Final = frozenset({"trace", "traces", "tr", "tr.", "t"})
_BELOW: Final = re.compile(r"(?:<|\N{LESS-THAN OR EQUAL TO}|less than|max\.?|under)\s*(.+)", re.IGNORECASE)
_ABOVE: Final = re.compile(r"(?:>|\N{GREATER-THAN OR EQUAL TO}|more than|min\.?|over)\s*(.+)", re.IGNORECASE)
_ABOUT: Final = re.compile(r"(?:~|\N{ALMOST EQUAL TO}|about|approx\.?|ca\.?|c\.)\s*(?=[\d.,])", re.IGNORECASE)
_SPREAD: Final = re.compile(r"\s*(?:\N{PLUS-MINUS SIGN}|\+/-|\+-).*$")
_LOI: Final = re.compile(
    r"l\.?\s?o\.?\s?i\.?|loss on ignition|ignition loss|loss|gl[uü]hverlust|g\.?v\.?|perte au feu|p\.?a\.?f\.?",
    re.IGNORECASE,
)
_LABEL_NOISE: Final = re.compile(r"\(.*?\)|\[.*?\]|\b(?:wt|mass|weight|percent|content|as)\b\.?|%|:|\*", re.IGNORECASE)


class Label(NamedTuple):
    """What a row or column of an analysis is about: ``what`` is oxide, loi, element, several, misspelt or other."""

    what: str
    symbol: str = ""


def label_of(text: str) -> Label:
    """The oxide, or the slip, that a label of an analysis stands for.

    >>> label_of("SiO2 (%)"), label_of("L.O.I."), label_of("K20"), label_of("Fe"), label_of("K2O+Na2O").what
    (Label(what='oxide', symbol='SiO2'), Label(what='loi', symbol=''), Label(what='misspelt', symbol='K2O'), \
Label(what='element', symbol='Fe'), 'several')
    """
    bare = _LABEL_NOISE.sub(" ", text).strip(" .,=_-")[:80]
    symbol = find_oxide(bare)
    if symbol:
        return Label("oxide", symbol)
    if _LOI.fullmatch(bare) or _LOI.fullmatch(text.strip(" :%")) or re.match(r"l\.?o\.?i\b", bare, re.IGNORECASE):
        return Label("loi")
    if bare in _ELEMENTS:
        return Label("element", bare)
    parts = [find_oxide(part) for part in re.split(r"\s*(?:\+|/|&|\band\b)\s*", bare)]
    if len(parts) > 1 and all(parts):
        return Label("several", "+".join(part for part in parts if part))
    if bare.casefold() in {"kna2o", "knao", "k2o.na2o", "r2o", "ro", "r2o3", "alkalis", "alkalies", "total alkalis"}:
        return Label("several", bare)
    meant = suggest_oxide(bare) if any(c.isdigit() for c in bare) and re.fullmatch(r"[A-Za-z0-9]{2,6}", bare) else None
    return Label("misspelt", meant) if meant else Label("other", bare)


def read_percent(text: str, what: str, found: Findings, line: int | None, commas: bool = True) -> float | None:
    """The percent in a cell [weight %]: 0 for a trace, half the limit for `<0.1`; None with an error."""
    typed = plain(text).strip().strip('"').strip()
    folded = typed.casefold()
    if folded in _NOTHING:
        return 0.0
    if folded in _TRACES:
        found.remark("trace", f"{what} is given as a trace and counted as 0", "", line)
        return 0.0
    below, above = _BELOW.fullmatch(typed), _ABOVE.fullmatch(typed)
    typed = _SPREAD.sub("", _ABOUT.sub("", (below or above)[1] if below or above else typed))  # type: ignore[index]
    amount = read_amount(typed, found, line, commas)
    if amount is None:
        return None
    if above:
        found.remark("limit-given", f"{what} is given only as a lower limit; {amount.value:g} is used", "", line)
    if below:
        found.remark("limit-given", f"{what} is given as less than {amount.value:g}; half of it is used", "", line)
        return amount.value / 2
    if amount.unit not in {"", "%"}:
        found.error("not-a-percent", f"{what} {quote(text)} is not a percent", "an analysis is in weight %", line)
        return None
    return amount.value


def element_hint(symbol: str, percent: float | None = None) -> str:
    """How an element's percent becomes its oxide's."""
    if symbol not in TO_OXIDE:
        return "give it as its oxide"
    oxide, factor = TO_OXIDE[symbol]
    made = f": {percent:g} % {symbol} is {percent * factor:.4g} % {oxide}" if percent else ""
    return f"{oxide} is {symbol} times {factor:g}{made}"


def check_sum(name: str, total: float, loi: float | None, found: Findings, line: int | None) -> None:
    """Say how an analysis adds up: near 100 is silent, off is a remark, far off an error.

    ``total`` is the sum with the loss on ignition [weight %].
    """
    known = "with its loss on ignition " if loi is not None else ""
    text = f"the analysis of {quote(name)} {known}adds up to {total:.4g} %"
    if total > 110 or (loi is not None and total < 85) or total < 30:
        found.error("sum-far-off", text, "an analysis is in weight % and adds up to about 100", line)
    elif loi is None and total < 98:
        found.remark("loi-missing", f"{text}, and no loss on ignition is given", "give `loi` if the sheet has it", line)
    elif not 98 <= total <= 102:
        found.remark("sum-off", text, "about 100 is usual; a figure may be missing or mistyped", line)
