"""A hundred seeded inputs over every command; tests/bench/test_fuzz.py types two thousand."""

from __future__ import annotations

from pathlib import Path

from tests.bench.fuzz_inputs import GENERATORS
from tests.bench.test_fuzz import SLOW, fuzzed, table

QUICK = sorted(set(GENERATORS) - SLOW)


def test_a_hundred_inputs(tmp_path: Path) -> None:
    slow, _ = fuzzed(tmp_path / "slow", len(SLOW), 7, 0, sorted(SLOW))
    found, counts = fuzzed(tmp_path / "quick", 100 - len(SLOW), 7, 0, QUICK)
    wrong = [what for what in (*slow, *found) if "over 10 s" not in what]  # times are the bench's: machines differ
    assert wrong == [], table(counts)
