"""The commands whose output is kept and compared: name -> words. Run from the repository root, on the demo studio."""

from __future__ import annotations

from pathlib import Path

RECIPES = Path(__file__).resolve().parents[2] / "recipes"
CARDS = sorted(p.stem for p in RECIPES.glob("*.txt"))

COMMANDS: dict[str, list[str]] = {
    **{f"check-{card}": ["check", f"recipes/{card}.txt"] for card in CARDS},
    **{f"formula-{card}": ["formula", f"recipes/{card}.txt"] for card in CARDS if card != "jar-seafoam"},
    "check-old-pier-guild": [
        "check", "recipes/old-pier.txt", "--kiln", "Guild kiln", "--circuit", "Guild wall", "--body", "Gull porcelain",
    ],
    "check-spray-clear-earthenware": ["check", "recipes/spray-clear.txt", "--body", "Dune earthenware"],
    "formula-shoal-clear-explain": ["formula", "recipes/shoal-clear.txt", "--explain", "--models"],
    "weigh-shoal-clear": ["weigh", "recipes/shoal-clear.txt", "--dry", "500g"],
    "materials-whiting": ["materials", "whiting"],
}  # fmt: skip
