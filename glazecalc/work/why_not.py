"""Why no change does it: the goal that binds, what is not known, or the one material that would help."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from glazecalc.values.inputs import Material
from glazecalc.work.aim import Aim
from glazecalc.work.descent import Solved, local_best
from glazecalc.work.one_change import MOST_ADDED
from glazecalc.work.palette import Palette, colours
from glazecalc.work.pantry import Pantry

Array = NDArray[np.float64]

MOST_NAMED = 3
_KINDS_OFFERED = ("typical", "ideal", "supplier")


@dataclass(frozen=True, slots=True)
class Reason:
    """Why nothing on the shelf does it. ``unknowable``: knowing more of the clay, not another recipe, is what helps."""

    sentence: str
    binding: tuple[str, ...] = ()
    would_help: tuple[str, ...] = ()
    unknowable: bool = False
    notes: tuple[str, ...] = ()


def why_not(aim: Aim, pantry: Pantry, nearest: Array | None) -> Reason:
    """The reason, for an aim that no mixture of its palette meets."""
    start = aim.palette.start if nearest is None else nearest
    helps = would_help(aim, pantry, start)
    if helps:
        names = _or(helps)
        return Reason(f"but one material more would: {names}. It is not on this shelf.", ("shelf",), tuple(helps))
    alone = {name: _alone(aim, start, fit, melt) for name, fit, melt in _parts(aim)}
    return _told(aim, start, alone)


def _parts(aim: Aim) -> tuple[tuple[str, bool, bool], ...]:
    return tuple(p for p in (("fit", True, False), ("melt", False, True)) if (p[1] and aim.goals.fit) or (p[2] and aim.goals.melt))


def _alone(aim: Aim, start: Array, fit: bool, melt: bool) -> tuple[bool, Solved]:
    """Whether one goal can be had when the other is let go, and the best for it."""
    only = replace(aim, goals=replace(aim.goals, fit=fit, melt=melt))
    solved = min((local_best(only, s) for s in (start, aim.palette.start)), key=lambda s: s.objective)
    return bool(only.met(solved.amounts[None, :])[0]), solved


def _told(aim: Aim, start: Array, alone: dict[str, tuple[bool, Solved]]) -> Reason:
    best = {name: aim.forecast(solved.amounts[None, :]) for name, (_, solved) in alone.items()}
    if "fit" in alone and not alone["fit"][0]:
        chance = 100 * float(best["fit"].sound[0])
        crazes, shivers = 100 * float(best["fit"].crazes[0]), 100 * float(best["fit"].shivers[0])
        if min(crazes, shivers) > 0.25 * max(crazes, shivers):
            return Reason(
                f"the best that any mixture reaches is a {chance:.0f} % chance of sound, and there it may as well craze "
                f"({crazes:.0f} %) as shiver ({shivers:.0f} %): what binds is how little is known of this clay and glaze, "
                "not the recipe. Fire tiles of the nearest below, record them, and run: glazecalc learn.",
                ("what is known of the clay",), unknowable=True,
            )  # fmt: skip
        fault = "crazes" if crazes > shivers else "shivers"
        lacks = "brings the expansion low enough" if fault == "crazes" else "brings the expansion high enough"
        return Reason(
            f"nothing on the shelf {lacks}: the nearest still {fault} with a chance of {max(crazes, shivers):.0f} %.",
            ("fit",),
        )
    if "melt" in alone and not alone["melt"][0]:
        forecast = best["melt"]
        if float(forecast.melts[0]) < aim.goals.matures:
            text = f"no mixture from the shelf gets fluid enough at this cone (chance {100 * float(forecast.melts[0]):.0f} %)."
        else:
            text = f"no mixture from the shelf stays on the pot at this cone (chance {100 * float(forecast.stays[0]):.0f} %)."
        return Reason(text, ("melt",))
    if len(alone) == 2:
        fitting = best["fit"]
        sound = best["melt"].sound
        return Reason(
            "each goal can be had alone but not both: mixtures that fit the clay have a chance of "
            f"{100 * float(min(fitting.melts[0], fitting.stays[0])):.0f} % to mature at this cone, and those that mature are "
            f"sound with {100 * float(sound[0]):.0f} %.",
            ("fit", "melt"),
        )
    return Reason("the limits set on materials leave no mixture that meets every goal.", ("limits",))


def would_help(aim: Aim, pantry: Pantry, start: Array) -> list[str]:
    """Single materials, not on the shelf, with which the goals could be met; the least change first."""
    have = {m.name for m in aim.palette.materials}
    offered = [m for m in pantry.materials if m.name not in have and _sensible(m)]
    if not offered:
        return []
    wide = _with(aim.palette, offered)
    wider = replace(aim, palette=wide)
    tail = np.zeros(len(offered))
    base = [np.concatenate([a, tail]) for a in (start, aim.palette.start)]
    parts = MOST_ADDED * wide.base_total / 100.0 * np.linspace(0.0, 1.0, 25)[1:]
    first = len(aim.palette.start)
    rows = np.stack([_added(b, first + j, p) for j in range(len(offered)) for b in base for p in parts])
    objective = wider.objective(wide.scaled_back(rows)).reshape(len(offered), -1)
    order = np.argsort(objective.min(axis=1), kind="stable")[: 2 * MOST_NAMED]
    found = []
    for j in order:
        columns = np.append(aim.palette.free, first + j)
        from_row = wide.scaled_back(rows[j * objective.shape[1] + int(np.argmin(objective[j]))])[0]
        solved = local_best(replace(aim, palette=wide.only(columns)), from_row)
        if bool(wider.met(solved.amounts[None, :])[0]):
            found.append((solved.objective, offered[j].name))
    return [name for _, name in sorted(found)[:MOST_NAMED]]


def _added(amounts: Array, column: int, parts: float) -> Array:
    row = amounts.copy()
    row[column] += parts
    return row


def _sensible(material: Material) -> bool:
    """Materials worth naming: everyday ones that are neither colours nor poisonous."""
    if material.kind not in _KINDS_OFFERED or material.family in ("gum", "metal", "body"):
        return False
    if any(word in h for h in material.hazards for word in ("lead", "cadmium", "arsenic", "beryll")):
        return False
    return not colours(material)


def _with(palette: Palette, offered: list[Material]) -> Palette:
    """The palette with more materials at its end."""
    from glazecalc.chemistry.shelf import material_table

    n = len(offered)
    materials = (*palette.materials, *offered)
    return replace(
        palette, materials=materials, written=(*palette.written, *(m.name for m in offered)),
        table=material_table(materials), start=np.concatenate([palette.start, np.zeros(n)]),
        upper=np.concatenate([palette.upper, np.full(n, np.inf)]), fixed=np.concatenate([palette.fixed, np.zeros(n, bool)]),
        addition=np.concatenate([palette.addition, np.zeros(n, bool)]),
    )  # fmt: skip


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
