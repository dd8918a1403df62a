"""Outputs and docs are read by a young reader: Flesch-Kincaid grade 6 to 8, the age of 11 to 13, is aimed at."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.docs.readability import grade, prose_of_output, prose_of_page, syllables

ROOT = Path(__file__).resolve().parents[2]
MOST = 8.0
"""Grade that no output and no page for potters may pass."""
OUTPUTS = sorted(
    path
    for path in (ROOT / "tests" / "golden").rglob("*.txt")
    if path.stem.startswith(("check", "firing", "kiln", "weigh"))
)
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]


# Divisions of a dictionary (Merriam-Webster), from memory.
@pytest.mark.parametrize(("word", "count"), [
    ("alumina", 4), ("boiling", 2), ("caution", 2), ("cone", 1), ("estimate", 3), ("expansion", 3), ("laboratory", 5),
    ("measured", 2), ("nepheline", 3), ("respirator", 4), ("temperature", 4), ("tested", 2), ("water", 2), ("recipe", 3),
])  # fmt: skip
def test_syllables(word: str, count: int) -> None:
    assert abs(syllables(word) - count) <= (1 if word in ("laboratory", "nepheline") else 0)


def test_grade_of_a_known_sentence() -> None:
    """13 words of 24 syllables: 0.39 x 13 + 11.8 x 24 / 13 - 15.59 = 11.3 (an example in general use, from memory; two of
    its words, Australian and reptilian, are divided either way, which is 1.8 of a grade)."""
    text = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
    assert grade(text) == pytest.approx(11.3, abs=1.9)
    assert grade("The cat sat on the mat.") == pytest.approx(0.39 * 6 + 11.8 - 15.59)


@pytest.mark.parametrize("path", OUTPUTS, ids=lambda p: p.stem)
def test_outputs(path: Path) -> None:
    reached = grade(prose_of_output(path.read_text(encoding="utf-8")))
    assert reached <= MOST, f"grade {reached:.1f}"


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.name)
def test_pages(path: Path) -> None:
    reached = grade(prose_of_page(path.read_text(encoding="utf-8")))
    assert reached <= MOST, f"grade {reached:.1f}"
