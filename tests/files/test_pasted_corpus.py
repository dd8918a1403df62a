"""Recipes pasted in many hands' styles: each is read as its writer meant it, or asked about, and none silently wrong.

The texts are invented for this test (`tests/files/pasted/README.txt`); what each says was written beside it by hand.
"""

from __future__ import annotations

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.files.materials import built_in_materials
from glazecalc.files.pasted import is_practice
from glazecalc.jobs.materials import pantry
from tests.files.pasted_corpus import Case, cases, judged

SHELF = pantry(built_in_materials())
CASES = list(cases())
LEAST_READ = 0.7
"""Share of the corpus that must be read without a question."""


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_pasted_recipe_is_read_or_asked_about(case: Case) -> None:
    told = judged(case, SHELF)
    assert told in ("right", "asked"), f"{case.text}\n{told}"


def test_most_of_the_corpus_needs_no_question() -> None:
    read = sum(judged(case, SHELF) == "right" for case in CASES)
    assert read >= LEAST_READ * len(CASES)


def test_no_name_of_a_material_is_taken_for_practice() -> None:
    """A line of the batch must not become a note because its name begins like a direction: `Mixed wood ash`."""
    for material in built_in_materials():
        for name in (material.name, *material.aliases):
            assert not is_practice(f"{name} 12.5"), name
            recipe, problems = read_recipe_text(f"name: x\nZz 20\n{name} 12.5\nWhiting 67.5\n")
            assert any(p.is_error for p in problems) or (recipe is not None and len(recipe.lines) == 3), name


@pytest.mark.parametrize("line", ["Sieve 80 mesh! SG 1.45", "Fire to 1222 in 8 h", "Dip 3 seconds", "Water 80"])
def test_directions_are_no_part_of_the_batch(line: str) -> None:
    recipe, problems = read_recipe_text(f"name: x\nWhiting 40\nSilica 60\n{line}\n")
    assert recipe is not None, problems
    assert [x.material for x in recipe.lines] == ["Whiting", "Silica"]


@pytest.mark.parametrize(
    "line", ["there is also 5 tin oxide in it, I think", "Tin oxide 05", "Sprayed on with cobalt carbonate 2 for blue"]
)
def test_an_amount_in_words_is_asked_about_and_never_a_note(line: str) -> None:
    recipe, problems = read_recipe_text(f"name: x\nWhiting 40\nSilica 60\n\n{line}\n")
    assert recipe is None
    assert {p.code for p in problems if p.is_error} == {"amounts-in-words"}
