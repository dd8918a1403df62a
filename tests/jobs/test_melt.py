"""Estimate and statement on melting: the card is evidence with a weight; where the two pull apart nothing is said."""

from __future__ import annotations

import pytest

from glazecalc.jobs.melt import Chances, judge_melting, judge_stated_cone
from glazecalc.values.answers import Answer
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import ConeRange

FITS, NO, UNSURE = Answer.FITS, Answer.DOES_NOT_FIT, Answer.CANNOT_SAY
STATES = {
    "matures": Chances(0.1, 0.85, 0.05, "cone 5 to 7"),
    "underfired": Chances(0.9, 0.1, 0.0, "cone 9 to 10"),
    "runs": Chances(0.0, 0.2, 0.8, "cone 01 to 3"),
    "unsure": Chances(0.4, 0.5, 0.1, "cone 5 to 9"),
    "certainly underfired": Chances(0.99, 0.01, 0.0, "cone 13 to 14"),
    "certainly runs": Chances(0.0, 0.01, 0.99, "cone 022 to 010"),
    "leaning": Chances(0.55, 0.44, 0.01, "cone 7 to 10"),
}


@pytest.mark.parametrize(("state", "stated", "answer"), [
    ("matures", "6", FITS), ("matures", "7", FITS), ("matures", None, FITS), ("matures", "10", UNSURE),
    ("matures", "06", UNSURE),
    ("underfired", "6", UNSURE), ("underfired", "10", NO), ("underfired", None, NO), ("underfired", "06", UNSURE),
    ("runs", "6", UNSURE), ("runs", "06", NO), ("runs", None, NO), ("runs", "10", UNSURE),
    ("unsure", "6", FITS), ("unsure", "7", UNSURE), ("unsure", "10", NO), ("unsure", None, UNSURE),
    ("leaning", "6", FITS), ("leaning", "10", NO), ("leaning", None, UNSURE),
    ("certainly underfired", "6", NO), ("certainly runs", "6", NO),
])  # fmt: skip
def test_estimate_and_statement(state: str, stated: str | None, answer: Answer) -> None:
    said = None if stated is None else ConeRange(low=Cone(stated), high=Cone(stated))
    verdict = judge_melting(said, Cone("6"), STATES[state])
    assert verdict.answer is answer
    if stated is not None:
        assert f"cone {stated}" in verdict.message, "the stated cone stays visible"


@pytest.mark.parametrize(("state", "words"), [
    ("matures", "Matures at cone 6"), ("underfired", "Underfired at cone 6"), ("runs", "Runs at cone 6"),
])  # fmt: skip
def test_plain_words(state: str, words: str) -> None:
    assert judge_melting(None, Cone("6"), STATES[state]).message.startswith(words)


def test_no_cone_is_never_a_pass() -> None:
    assert judge_melting(None, None, STATES["matures"]).answer is UNSURE


def test_without_an_estimate_the_statement_decides() -> None:
    said = ConeRange(low=Cone("5"), high=Cone("6"))
    assert judge_melting(said, Cone("6"), None).answer is FITS
    assert judge_melting(None, Cone("6"), None).answer is UNSURE


def test_the_range_of_chemistry_is_told_as_such_beside_a_cards_cone() -> None:
    said = ConeRange(low=Cone("6"), high=Cone("6"))
    message = judge_melting(said, Cone("6"), STATES["matures"]).message
    assert message.endswith("the card says cone 6; by chemistry alone cone 5 to 7.")


@pytest.mark.parametrize(("state", "cone", "told"), [
    ("leaning", "6", "melt well at cone 6: the card says cone 6. The chemistry alone leaves it open: "),
    ("leaning", "10", "be underfired at cone 6: the card says cone 10. The chemistry alone leaves it open: "),
])  # fmt: skip
def test_a_card_that_tips_the_scale_is_told_once_and_plainly(state: str, cone: str, told: str) -> None:
    said = ConeRange(low=Cone(cone), high=Cone(cone))
    message = judge_melting(said, Cone("6"), STATES[state]).message
    assert f"% likely to {told}" in message and "cannot say" not in message and "under 1 %" not in message


def test_a_jar_is_told_by_its_label() -> None:
    verdict = judge_stated_cone(ConeRange(low=Cone("5"), high=Cone("6")), Cone("6"), "Its label")
    assert verdict.message == "Its label says cone 5 to 6; you fire to cone 6."
