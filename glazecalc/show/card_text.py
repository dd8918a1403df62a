"""A recipe as a card that can be read again."""

from __future__ import annotations

from glazecalc.values.inputs import Recipe


def card_text(recipe: Recipe) -> str:
    """The card of a recipe: header lines, a blank line, a material a line, additions with a ``+``."""
    header = [("name", recipe.name), ("kind", "" if recipe.kind == "glaze" else recipe.kind),
              ("cone", "" if recipe.cone is None else str(recipe.cone).replace(" to ", "-")),
              ("surface", recipe.surface), ("atmosphere", recipe.atmosphere), ("source", recipe.source),
              ("notes", recipe.notes)]  # fmt: skip
    head = [f"{key}: {_line(value)}" for key, value in header if value.strip()]
    width = max((len(line.material) for line in recipe.lines), default=0) + 3
    body = [f"{'+ ' if line.addition else ''}{line.material:<{width}}{line.amount:g}" for line in recipe.lines]
    return "\n".join([*head, "", *body]) + "\n"


def _line(text: str) -> str:
    return " ".join(text.split())
