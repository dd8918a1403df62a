"""The masses of the elements that the trade knows, as periodictable has them. Run: ``python -m training.masses``."""

from __future__ import annotations

import json
from pathlib import Path

PLACE = Path(__file__).resolve().parent.parent / "glazecalc" / "chemistry" / "masses.json"


def masses() -> dict[str, float]:
    """Standard atomic mass of every natural element up to uranium [g/mol]."""
    import periodictable

    return {element.symbol: float(element.mass) for element in periodictable.elements if 1 <= element.number <= 92}


if __name__ == "__main__":
    lines = ",\n".join(f"  {json.dumps(symbol)}: {mass!r}" for symbol, mass in masses().items())
    PLACE.write_text(f"{{\n{lines}\n}}\n", encoding="utf-8")
