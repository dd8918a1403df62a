"""A glaze's character as a point, and how far a change moves it, counted in steps that a potter would notice.

The point has the unity formula's fluxes and boron, each divided by the amount a potter would notice
(``materials/oxide_character.csv``), the logarithms of the silica to alumina ratio and of silica, and the colouring and
opacifying oxides, which go by their share of the whole glaze (a colour does not change because the fluxes are counted
anew). The steps are a judgement, not a measurement; they rank changes and are not a promise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import COLOURING, CONVENTIONS
from glazecalc.values.answers import listed
from glazecalc.values.arrays import Array
from glazecalc.values.data import read_table
from glazecalc.values.oxides import INDEX, SYMBOLS
from glazecalc.values.results.adjust import Character, OxideShift
from glazecalc.values.results.check import CheckResult

RATIO_STEP: Final = 0.15
"""A noticeable step of the silica to alumina ratio [natural logarithm]: a third of Stull's matt-to-satin class."""
SILICA_STEP: Final = 0.15
"""A noticeable step of silica at a constant ratio [natural logarithm]."""
OTHER_STEP: Final = 0.02
"""Step of an oxide without a row of its own [mol per flux sum]."""
SAY_FROM: Final = 0.5
"""Shifts of at least this many steps are put into words."""
_NOT_THE_SAME: Final = 0.05
"""Expansions nearer to each other than this are not said to differ [1e-6/K]."""
_ALUMINA_FLOOR: Final = 0.02
_USUAL_TOTAL: Final = 5.0
"""Moles of a usual glaze per mole of flux, by which the steps of colouring oxides are read as shares."""
_MASK: Final = CONVENTIONS["colourants-out"].mask
WORDS: Final = (
    (0.5, "you would hardly see it"),
    (1.5, "a slight change"),
    (3.0, "a noticeable change"),
    (6.0, "a strong change"),
)


@dataclass(frozen=True, slots=True)
class OxideCharacter:
    """What an oxide does: its noticeable step [mol per flux sum] or None, and a phrase each for surface and colour.

    ``less`` says what less of it does; ``pull`` is 1 where more raises the expansion, -1 where it lowers it, else 0.
    """

    step: float | None
    surface: str
    colour: str
    less: str
    pull: int
    source: str


@cache
def oxide_characters() -> dict[str, OxideCharacter]:
    """Oxide -> its row of the table."""
    return {
        row["oxide"]: OxideCharacter(
            float(row["noticeable_unity"]) if row["noticeable_unity"] else None,
            row["surface"], row["colour"], row["less"], int(row["expansion"]), row["source"],
        )
        for row in read_table("oxide_character")
    }  # fmt: skip


@cache
def _inverse_steps() -> Array:
    """One over the step of each oxide, shape (k,); nil for silica and alumina, which go by their ratio."""
    rows = oxide_characters()
    steps = [rows[s].step if s in rows else OTHER_STEP for s in SYMBOLS]
    array = np.array([0.0 if step is None or s in ("SiO2", "Al2O3") else 1.0 / step
                      for s, step in zip(SYMBOLS, steps, strict=True)])  # fmt: skip
    array.setflags(write=False)
    return array


def character_point(moles: Array) -> Array:
    """The character of n compositions as points, (n, k + 2) in noticeable steps. ``moles`` (n, k) of any total."""
    total = np.maximum(moles @ _MASK, 1e-9 * np.maximum(moles.sum(axis=1), 1e-30))
    unity = moles / total[:, None]
    silica, alumina = unity[:, INDEX["SiO2"]], unity[:, INDEX["Al2O3"]]
    ratio = np.log((silica + _ALUMINA_FLOOR) / (alumina + _ALUMINA_FLOOR)) / RATIO_STEP
    level = np.log(silica + 0.1) / SILICA_STEP
    share = _USUAL_TOTAL * moles / np.maximum(moles.sum(axis=1, keepdims=True), 1e-30)
    return np.column_stack([np.where(COLOURING, share, unity) * _inverse_steps(), ratio, level])


def log_silica_to_alumina(moles: Array) -> Array:
    """Natural logarithm of silica to alumina of n compositions (n, k); finite where either is missing, (n,)."""
    silica, alumina = moles[:, INDEX["SiO2"]], moles[:, INDEX["Al2O3"]]
    return np.asarray(np.log(np.maximum(silica, 1e-6)) - np.log(np.maximum(alumina, 1e-6)))


def distance_words(distance: float) -> str:
    """A distance in noticeable steps, in words.

    >>> distance_words(0.2), distance_words(9.0)
    ('you would hardly see it', 'really a different glaze')
    """
    return next((words for limit, words in WORDS if distance < limit), "really a different glaze")


def character_cost(before: Array, after: Array) -> Character:
    """What it costs to go from one composition to another; both (k,) moles of any total."""
    points = character_point(np.stack([before, after]))
    distance = math.sqrt(float(((points[1] - points[0]) ** 2).sum()))
    shifts = _shifts(before, after, points)
    noticed = [s for s in shifts if abs(s.notices) >= SAY_FROM]
    rows = oxide_characters()
    sentences = tuple(_sentence(s) for s in noticed if s.oxide in rows)
    cited = tuple(dict.fromkeys(rows[s.oxide].source for s in noticed if s.oxide in rows))
    return Character(distance, distance_words(distance), shifts, sentences, (*cited, "character_scale"))


def _shifts(before: Array, after: Array, points: Array) -> tuple[OxideShift, ...]:
    """Every oxide of either formula, most noticed first."""
    pair = np.stack([before, after])
    unity = pair / np.maximum(pair @ CONVENTIONS["customary"].mask, 1e-30)[:, None]
    notices = (points[1] - points[0])[: len(SYMBOLS)].copy()
    for i in (INDEX["SiO2"], INDEX["Al2O3"]):
        notices[i] = math.log((unity[1, i] + _ALUMINA_FLOOR) / (unity[0, i] + _ALUMINA_FLOOR)) / RATIO_STEP
    present = sorted(np.flatnonzero(unity.max(axis=0) > 5e-4), key=lambda i: (-abs(notices[i]), i))
    return tuple(OxideShift(SYMBOLS[i], float(unity[0, i]), float(unity[1, i]), float(notices[i])) for i in present)


def _sentence(shift: OxideShift) -> str:
    row = oxide_characters()[shift.oxide]
    up = shift.after > shift.before
    lead = f"{shift.oxide} goes {'up' if up else 'down'}, {shift.before:.2f} to {shift.after:.2f}"
    return f"{lead}: {row.surface}; {row.colour}." if up else f"{lead}: {row.less}."


def outweighed(character: Character, first: CheckResult, second: CheckResult) -> Character:
    """``character`` with a word beside each effect on the expansion that the estimates of the whole glazes, of the
    first and the second check, do not bear out."""
    estimates = [check.estimate("expansion") for check in (first, second)]
    if estimates[0] is None or estimates[1] is None:
        return character
    before, after = estimates[0].value, estimates[1].value
    moved, rows = after - before, oxide_characters()
    noticed = [s for s in character.shifts if abs(s.notices) >= SAY_FROM and s.oxide in rows]
    forces = [rows[s.oxide].pull * (s.after - s.before) for s in noticed]
    stronger = [s.oxide for s, force in zip(noticed, forces, strict=True) if force * moved > 0.0]
    against = listed(stronger or ["all the rest together"])
    if f"{before:.1f}" == f"{after:.1f}":
        why = f"countered by {against}: the two nearly cancel"
    else:
        why = f"outweighed by {against}: the whole goes {'up' if moved > 0 else 'down'}, {before:.1f} to {after:.1f}"
    return replace(character, sentences=tuple(
        f"{sentence[:-1]} (here {why})." if force * moved < 0.0 and abs(moved) >= _NOT_THE_SAME else sentence
        for sentence, force in zip(character.sentences, forces, strict=True)
    ))  # fmt: skip
