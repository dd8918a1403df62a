"""What to buy for several batches: what they need together, less what is on the shelf."""

from __future__ import annotations

from collections.abc import Sequence

from glazecalc.values.inputs import Material, Studio
from glazecalc.values.weighing import ShoppingLine, ShoppingList, WeighResult
from glazecalc.work.pantry import Pantry, fold


def shopping_list(batches: Sequence[WeighResult], studio: Studio, shelf: Pantry) -> ShoppingList:
    """The materials of all batches by name, the most to buy first. Stock names may be aliases."""
    needed: dict[str, float] = {}
    for batch in batches:
        for line in batch.lines:
            needed[line.material] = needed.get(line.material, 0.0) + line.target_g
    stock = stock_by_material(studio, shelf)
    lines = [_line(name, grams, stock, shelf.find(name)) for name, grams in needed.items()]
    lines.sort(key=lambda line: (-line.to_buy_g, line.material))
    return ShoppingList(
        lines=tuple(lines),
        cost=sum(line.cost or 0.0 for line in lines),
        cost_is_complete=all(line.cost is not None for line in lines if line.to_buy_g > 0),
        currency=studio.limits.currency,
        stock_was_read=bool(studio.stock),
    )


def stock_by_material(studio: Studio, shelf: Pantry) -> dict[str, float]:
    """Grams on the shelf by the material's own name; several entries of one material add up."""
    stock: dict[str, float] = {}
    for name, grams in studio.stock:
        material = shelf.find(name)
        key = fold(material.name if material else name)
        stock[key] = stock.get(key, 0.0) + grams
    return stock


def _line(name: str, needed_g: float, stock: dict[str, float], material: Material | None) -> ShoppingLine:
    have = stock.get(fold(name), 0.0)
    buy = max(needed_g - have, 0.0)
    price = material.price_per_kg if material else None
    cost = 0.0 if buy == 0 else None if price is None else buy / 1000 * price
    return ShoppingLine(name, needed_g, have, buy, cost)
