"""A share of the corpus of hostile inputs, from every entry of it; tests/bench/test_corpus_whole.py types all of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.hostile.corpus import Case, answer, cases, place, share, wrongs

EVERY = cases()
SHARE = share(EVERY, 1)


@pytest.mark.parametrize("case", SHARE, ids=[case["id"] for case in SHARE])
def test_a_hostile_input_is_answered_as_it_must_be(case: Case, tmp_path: Path) -> None:
    folder = tmp_path / "studio"
    place(case, folder)
    assert wrongs(case, answer(case, folder), folder) == []


def test_every_family_is_in_the_corpus_and_every_case_can_fail() -> None:
    assert {case["item"] for case in EVERY} == set(range(1, 13))
    assert len(EVERY) > 500
    judged = {"code", "says", "never", "says_match", "never_match", "starts", "written", "unchanged", "journal"}
    assert all(judged & set(case) for case in EVERY)
    assert {case["entry"] for case in SHARE} == {case["entry"] for case in EVERY}
