"""Ordinary glazes on ordinary stonewares: most are sound in practice, and the verdict says so.

Stonewares expand by about 4.8 to 6.1e-6/K as a mean from 20 to 500 degC (common practice, no source); sixteen are spread
evenly between them. The glazes are seven ordinary ones, judged 70 to 86 % likely to stay sound on ordinary stoneware
(common practice, no source: ``training/practice_outcomes.csv``).
"""

from __future__ import annotations

from collections import Counter
from functools import cache

import numpy as np
import pytest

from glazecalc.api import recipe_from_text, shelf
from glazecalc.jobs.check import check
from glazecalc.jobs.setup import Setup
from glazecalc.values.answers import Answer
from glazecalc.values.cones import Cone
from glazecalc.values.data import read_csv
from glazecalc.values.inputs import Body, GivenExpansion
from training.practice import OUTCOMES, card_text

ORDINARY = ("P01", "P02", "P03", "P08", "P11", "P15", "P20")
LOWEST, HIGHEST = 4.8, 6.1


@cache
def answers(to_degC: float | None) -> tuple[tuple[float, str, Answer, float, float], ...]:
    """Figure, glaze, verdict, and chances of crazing and of staying sound, of every pair."""
    rows, found = {row["id"]: row for row in read_csv(OUTCOMES)}, []
    for value in np.linspace(LOWEST, HIGHEST, 16):
        figure = GivenExpansion(value=float(value), from_degC=20.0, to_degC=to_degC)
        setup = Setup(body=Body(name="printed", ware="stoneware", expansion=figure), cone=Cone("6"))
        for name in ORDINARY:
            result = check(recipe_from_text(card_text(rows[name])), shelf(), setup)
            verdict = next(v for v in result.verdicts if v.rule == "fit")
            chance = {e.name: e.value for e in result.estimates}
            crazes, shivers = chance["crazing_probability"], chance["shivering_probability"]
            found.append((float(value), name, verdict.answer, crazes, 1.0 - crazes - shivers))
    return tuple(found)


@pytest.mark.parametrize("to_degC", [500.0, None])
def test_half_are_told_yes_and_hardly_any_no(to_degC: float | None) -> None:
    told = Counter(answer for _, _, answer, *_ in answers(to_degC))
    assert sum(told.values()) == 112
    assert told[Answer.FITS] >= 50
    assert told[Answer.DOES_NOT_FIT] <= 12


@pytest.mark.parametrize("to_degC", [500.0, None])
def test_no_glaze_is_told_no_on_a_clay_in_the_upper_three_quarters(to_degC: float | None) -> None:
    assert not [row for row in answers(to_degC) if row[0] > 5.1 and row[2] is Answer.DOES_NOT_FIT]


def test_the_mean_chance_is_near_practice() -> None:
    judged = {row["id"]: float(row["sound"]) for row in read_csv(OUTCOMES)}
    told = np.mean([sound for *_, sound in answers(500.0)])
    assert told == pytest.approx(np.mean([judged[name] for name in ORDINARY]), abs=0.12)


def test_a_clay_that_expands_more_crazes_less() -> None:
    for name in ORDINARY:
        chances = [crazes for _, one, _, crazes, _ in answers(500.0) if one == name]
        assert chances == sorted(chances, reverse=True)
