"""Shell completion that knows the studio: its cards, bodies, kilns, circuits and materials."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any


def names(kind: str, parameters: dict[str, Any], incomplete: str) -> list[str]:
    """Names of that kind that begin with what was typed; never an error, never a word on stderr."""
    try:
        return [n for n in _names(kind, parameters) if n.casefold().startswith(incomplete.casefold())]
    except Exception:
        return []


def _names(kind: str, parameters: dict[str, Any]) -> list[str]:
    from glazecalc.bench.open import card_names, studio_folder
    from glazecalc.read.materials import built_in_materials
    from glazecalc.read.studio import read_studio
    from glazecalc.values.inputs import Body, Circuit, Kiln, Room

    typed = parameters.get("recipes") or parameters.get("recipe") or ()
    cards = [typed] if isinstance(typed, str) else list(typed)
    option = parameters.get("studio")
    folder = studio_folder(cards, Path(option) if option else None)
    if kind == "recipe":
        return [*card_names(folder), *sorted(str(p) for p in Path().glob("*.txt") if folder != Path())]
    studio, _ = read_studio(folder)
    if kind == "material":
        return [m.name for m in (*studio.materials, *built_in_materials())]
    things: dict[str, Sequence[Body | Kiln | Circuit | Room]] = {
        "body": studio.bodies, "kiln": studio.kilns, "circuit": studio.circuits, "room": studio.rooms,
    }  # fmt: skip
    return [thing.name for thing in things[kind]]
