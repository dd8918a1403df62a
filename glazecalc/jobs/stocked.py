"""What is on the shelf: the studio's stock and its own materials, or what most potters have."""

from __future__ import annotations

from typing import Final

from glazecalc.jobs.materials import Pantry
from glazecalc.values.answers import Problem, remark
from glazecalc.values.inputs import Studio

USUAL_SHELF: Final = (
    "Silica", "Kaolin", "Ball clay", "Potash feldspar", "Soda feldspar", "Nepheline syenite", "Whiting", "Dolomite",
    "Talc", "Wollastonite", "Zinc oxide", "Frit, high-calcium borosilicate", "Spodumene", "Strontium carbonate",
)  # fmt: skip
"""Taken where a studio says nothing of its shelf (common practice, no source)."""


MOST_STRANGE: Final = 10
"""Unknown names in stock.csv that are told one by one."""


def shelf_of(studio: Studio, pantry: Pantry | None = None) -> tuple[tuple[str, ...], tuple[Problem, ...]]:
    """Names of the materials on the shelf, and a remark where they had to be assumed, or where ``pantry`` does not
    know one."""
    stock, own = tuple(name for name, grams in studio.stock if grams > 0), tuple(m.name for m in studio.materials)
    if stock:
        strange = [name for name in stock if pantry is not None and pantry.find(name) is None]
        return stock + own, tuple(_not_known(name) for name in strange[:MOST_STRANGE])
    message = "no stock.csv in the studio: a usual potter's shelf is assumed beside the recipe's own materials"
    hint = "list yours in stock.csv (name,grams), or name them with --use"
    return (*USUAL_SHELF, *own), (remark("no-stock", message, hint),)


def _not_known(name: str) -> Problem:
    hint = "write it as glazecalc materials lists it, or add its analysis: glazecalc materials --add SHEET.csv"
    return remark("stock-unknown", f"{name[:60]!r} in stock.csv is no material that is known: it is left out", hint)
