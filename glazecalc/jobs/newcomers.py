"""What to know of a material that comes into a recipe: whether it dissolves in the slip, what it does to people."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from glazecalc.jobs.cautions import DRY_POWDER
from glazecalc.jobs.materials import hazard_lines
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Material

EVERYDAY_DUST: Final = frozenset({"silica_dust", "inert_dust", "frit_dust"})
"""Hazards of nearly every glaze powder, said under the cautions of the whole recipe and not for each newcomer."""


def newcomers(materials: Sequence[Material], before: Array, after: Array) -> tuple[str, ...]:
    """Warnings about materials with nothing in ``before`` (m,) and something in ``after`` (m,)."""
    new = [materials[int(i)] for i in np.flatnonzero((after > 0) & (before <= 0))]
    lines = dict.fromkeys(line for m in new for line in material_warnings(m))
    return (*(line for line in lines if line != DRY_POWDER), *((DRY_POWDER,) if DRY_POWDER in lines else ()))


def material_warnings(material: Material) -> list[str]:
    """Warnings about one material coming into a recipe."""
    warnings = []
    if material.solubility == "soluble":
        warnings.append(
            f"{material.name} dissolves in the glaze water: it moves as the coat dries and upsets the slip."
        )
    if material.solubility == "partly":
        warnings.append(f"{material.name} is partly soluble: a slip that stands for weeks may thicken or set.")
    known = tuple(h for h in material.hazards if h not in EVERYDAY_DUST)
    warnings += [
        line if line == DRY_POWDER else f"{material.name}: {line[:1].lower()}{line[1:]}" for line in hazard_lines(known)
    ]
    return warnings
