"""Why no change does it: the goal that binds, what is not known, or the one material that would help."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import material_table
from glazecalc.jobs.aim import SILICA_TO_ALUMINA, Aim, Forecast
from glazecalc.jobs.materials import Pantry, coarse, poisonous
from glazecalc.jobs.one_change import MOST_ADDED
from glazecalc.jobs.palette import colours
from glazecalc.jobs.re_solve import Start, descents
from glazecalc.jobs.setup import Setup
from glazecalc.models.body import known_body
from glazecalc.values.answers import Basis, listed
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Material, Recipe
from glazecalc.values.names import quoted, studio_option
from glazecalc.values.results.adjust import Option
from glazecalc.values.results.check import CheckResult
from glazecalc.values.texts import phrase, typed

MOST_NAMED = 3
BALANCED = 0.25
"""Crazing and shivering within this ratio of each other: the middle is right, only the spread is too wide."""
FAMILIES_NAMED = ("clay", "silica", "feldspar", "carbonate", "flux", "boron", "frit", "magnesia", "talc")
TAKES_UP_OXYGEN = -0.05
"""Loss on ignition [fraction] below which a material burns in the glaze, such as silicon carbide."""


@dataclass(frozen=True, slots=True)
class WhyNot:
    """Why nothing on the shelf does it. ``unknowable``: knowing more of the clay, not another recipe, is what helps."""

    sentence: str
    binding: tuple[str, ...] = ()
    would_help: tuple[str, ...] = ()
    unknowable: bool = False


def why_not(aim: Aim, pantry: Pantry, nearest: Array) -> WhyNot:
    """The reason, for an aim that no mixture of its palette meets, of which ``nearest`` (m,) comes nearest."""
    goals = {"fit": aim.goals.fit, "melt": aim.goals.melt}
    alone = {name: _alone(aim, nearest, name) for name, asked in goals.items() if asked}
    reason = _binding(alone, aim.forecast(nearest[None, :]))
    if reason.unknowable:
        return reason
    helps = would_help(aim, pantry, nearest)
    if helps:
        sentence = f"but one material more would: {listed(helps, 'or')}. It is not on this shelf."
        return WhyNot(sentence, ("shelf",), tuple(helps))
    return reason


def _alone(aim: Aim, start: Array, goal: str) -> tuple[bool, Forecast]:
    """Whether one goal can be had when the other is let go, and the forecast of the best for it (n = 1)."""
    only = replace(aim, goals=replace(aim.goals, fit=goal == "fit", melt=goal == "melt"))
    solved = min(descents(only, [Start(start), Start(aim.palette.start)]), key=lambda s: s.objective)
    return bool(only.met(solved.amounts[None, :])[0]), aim.forecast(solved.amounts[None, :])


def _binding(alone: dict[str, tuple[bool, Forecast]], nearest: Forecast) -> WhyNot:
    if any(not forecast.known[0] for _, forecast in alone.values()):
        sentence = "the estimates do not know such mixtures, so none can be told to be better."
        return WhyNot(sentence, ("what the estimates know",), unknowable=True)
    for goal, why in (("fit", _no_fit), ("melt", _no_melt)):
        if goal in alone and not alone[goal][0]:
            return why(alone[goal][1])
    if len(alone) == 2:
        return _one_or_the_other(alone["fit"][1], alone["melt"][1], nearest)
    return WhyNot("the limits set on materials leave no mixture that meets every goal.", ("limits",))


def _one_or_the_other(fits: Forecast, melts: Forecast, nearest: Forecast) -> WhyNot:
    """Why fit and melting cannot both be had, from the forecasts of the best for each and for both (n = 1)."""
    how = "underfired" if fits.underfired[0] > fits.runs[0] else "so fluid that it runs"
    return WhyNot(
        f"each goal can be had alone but not both: what fits the clay comes out {how} at this cone (it matures with "
        f"{100 * float(fits.matures[0]):.0f} %), and what matures is sound with {100 * float(melts.sound[0]):.0f} %. "
        f"The best of both is sound with {int(100 * nearest.sound[0])} % and matures with "
        f"{int(100 * nearest.matures[0])} %: a clay or a glaze known better, by recorded tiles, "
        "would let more be promised.",
        ("fit", "melt"),
    )


def _no_fit(best: Forecast) -> WhyNot:
    """Why the clay cannot be fitted, from the forecast of the best that can be had (n = 1)."""
    chance, crazes, shivers = (100 * float(x[0]) for x in (best.sound, best.crazes, best.shivers))
    if min(crazes, shivers) > BALANCED * max(crazes, shivers):
        either = (
            "by estimate alone the best that any mixture reaches is a {} % chance of sound, and there it may as well "
            "craze ({:.0f} %) as shiver ({:.0f} %): what binds is how little is known of this clay and glaze, not the "
            "recipe. Tiles of a glaze itself tell more of it than this (check the recipes whose tiles came out sound); "
            "else fire tiles of the nearest one and record them|: glazecalc learn|"
        )
        return WhyNot(
            phrase(either, int(chance), crazes, shivers),
            ("what is known of the clay",),
            unknowable=True,
        )
    fault, end = ("crazes", "low") if crazes > shivers else ("shivers", "high")
    return WhyNot(
        f"nothing on the shelf brings the expansion {end} enough: the nearest still {fault} with a chance of "
        f"{max(crazes, shivers):.0f} %.",
        ("fit",),
    )


def _no_melt(best: Forecast) -> WhyNot:
    """Why it cannot mature, from the forecast of the best that can be had (n = 1)."""
    stiff = float(best.underfired[0]) > float(best.runs[0])
    what, chance = ("gets fluid enough", best.underfired) if stiff else ("stays on the pot", best.runs)
    fault = "underfired" if stiff else "likely to run"
    return WhyNot(
        f"no mixture from the shelf {what} at this cone: the nearest is {fault} ({100 * float(chance[0]):.0f} %).",
        ("melt",),
    )


def would_help(aim: Aim, pantry: Pantry, start: Array) -> list[str]:
    """Single materials, not on the shelf, with which the goals could be met; the least change first."""
    have = {m.name for m in aim.palette.materials}
    offered = [m for m in pantry.materials if m.name not in have and _sensible(m)]
    if not offered:
        return []
    wide = aim.palette.wider(offered, np.full(len(offered), np.inf))
    wider, unit = replace(aim, palette=wide), np.eye(len(wide.start))
    first, tail = len(aim.palette.start), np.zeros(len(offered))
    base = [np.concatenate([a, tail]) for a in (start, aim.palette.start)]
    parts = MOST_ADDED * wide.base_total / 100.0 * np.linspace(0.0, 1.0, 25)[1:, None]
    rows = wide.scaled_back(np.vstack([b + parts * unit[first + j] for j in range(len(offered)) for b in base]))
    objective = wider.objective(rows).reshape(len(offered), -1)
    order = np.argsort(objective.min(axis=1), kind="stable")[: 2 * MOST_NAMED]
    best = rows[order * objective.shape[1] + np.argmin(objective[order], axis=1)]
    starts = [Start(row, np.append(aim.palette.free, first + j)) for row, j in zip(best, order, strict=True)]
    solved = descents(wider, starts)
    amounts = np.stack([s.amounts for s in solved])
    met = wider.met(amounts) & wide.few_enough(amounts)
    helping = sorted((s.objective, offered[j].name) for s, j, ok in zip(solved, order, met, strict=True) if ok)
    return [name for _, name in helping[:MOST_NAMED]]


def _sensible(material: Material) -> bool:
    """Materials worth naming: what a shop sells for glazes, that is neither a colour, nor soluble, nor poisonous."""
    everyday = material.family in FAMILIES_NAMED and material.kind in ("typical", "ideal", "supplier")
    if not everyday or material.name.endswith(", ideal") or material.solubility == "soluble":
        return False
    if poisonous(material) or coarse(material):
        return False
    return not colours(material) and float(material_table([material]).loi[0]) > TAKES_UP_OXYGEN


# Which changes are shown to a potter: none outside what glazes are, none large on a clay that is not known.

MOST_ON_AN_UNKNOWN_CLAY: Final = 6.0
"""Noticeable steps beyond which no change is offered for a clay without a figure of its own."""
ANOTHER_GLAZE: Final = 8.0
"""Noticeable steps from which a change is called another glaze."""
RUNGS: Final = 3


def clay_is_known(setup: Setup) -> bool:
    """Whether the clay has a figure of its own, not one usual of its class; true where no clay is asked for."""
    if setup.body is None:
        return True
    return known_body(setup.body, setup.cone, setup.learned, setup.reasoned).basis is not Basis.TYPICAL


def a_glaze(before: CheckResult, option: Option) -> bool:
    """Whether the option's silica to alumina is that of fitted glazes, or no further out than the recipe's own was."""
    was, now = (None if c.formula is None else c.formula.ratios.silica_alumina for c in (before, option.after))
    if now is None:
        return was is None
    ends = SILICA_TO_ALUMINA if was is None else (*SILICA_TO_ALUMINA, was)
    return min(ends) - 0.05 <= now <= max(ends) + 0.05


def marked(option: Option) -> Option:
    """The option, called another glaze first of all where it is one."""
    if option.character.distance < ANOTHER_GLAZE:
        return option
    return replace(option, sentence=f"Really a different glaze. {option.sentence}")


def tiles_instead(recipe: Recipe, before: CheckResult, setup: Setup) -> WhyNot:
    """Why no large change is offered for an unknown clay, and the graded tiles to fire instead."""
    assert setup.body is not None
    crazes, shivers = (before.estimate(f"{name}_probability") for name in ("crazing", "shivering"))
    shivering = crazes is not None and shivers is not None and shivers.value > crazes.value
    material = "Soda feldspar" if shivering else "Silica"
    at = f' --cone "{setup.cone}"' if setup.cone is not None else ""
    commands = typed(
        f': glazecalc tiles {quoted(recipe.file or recipe.name)} --plan ladder --add "{material}:20" --size {RUNGS} '
        f"--body {quoted(setup.body.name)}{at} --record ; "
        f"glazecalc learn --body {quoted(setup.body.name)}{studio_option(setup.folder)}"
    )
    return WhyNot(
        f"of {setup.body.name} only what is usual of such clays is known, and no change within "
        "reach of this glaze is sure enough on every such clay. A larger one "
        "would trade a glaze you know for one that may fail the other way. Ask the supplier for the clay's expansion "
        f"and the temperatures it holds for. Or fire {RUNGS} graded tiles, with up to 20 % {material} added, and "
        "record how each came out" + commands,
        ("what is known of the clay",),
        unknowable=True,
    )  # fmt: skip


def not_a_glaze() -> WhyNot:
    """Why changes that would do it are not shown."""
    low, high = SILICA_TO_ALUMINA
    return WhyNot(
        f"what would do it has silica per alumina outside {low:g} to {high:g}, where the estimates are not well "
        "founded and glazes turn dull or run.",
        ("silica per alumina",),
    )
