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


@pytest.mark.parametrize("line", [
    "Kaolin 10 20", "Silica 3 0", "Whiting 20 now 18", "Rutile: 2 to 4", "Copper carbonate 1, 2, 4", "tin-zircon 5/5",
    "Rutile < 4", "Tin oxide ?", "Tin oxide 5 cone 6", "Tin oxide five", "Rutile 4 g per 100 g", "Tin oxide 5 or 6",
    "Tin oxide 5 4.8%", "Tin oxide 5:1", "Rutile and tin 4 each", "It takes about five percent of tin oxide.",
])  # fmt: skip
def test_a_line_of_the_batch_that_is_not_clear_is_asked_about(line: str) -> None:
    recipe, problems = read_recipe_text(f"name: x\ncone: 6\n\nPotash feldspar 40\nKaolin 10\n{line}\nWhiting 20\n")
    assert recipe is None, recipe
    assert [p.line for p in problems if p.is_error] == [6]


@pytest.mark.parametrize("line", ["Water 60, gum 1", "Add water 60 and tin 1", "water about 60, then gum 1"])
def test_water_takes_nothing_with_it(line: str) -> None:
    recipe, problems = read_recipe_text(f"name: x\ncone: 6\n\nPotash feldspar 40\nKaolin 10\n{line}\nWhiting 20\n")
    assert any(p.is_error for p in problems) or (recipe is not None and len(recipe.lines) == 4)


BASE = "Potash feldspar 40\nSilica 30\nKaolin 10\nWhiting 20\n"
STRAY = (
    "tin:5", "Rutile up to 4", "Copper carbonate 1, 2, 4", "Tin oxide 5 cone 6", "bisque 04, tin 5", "tin oxide @ 5%",
    "with tin oxide at 5%", "Tin oxide five", "a bit of iron 2%", "Add lithium 2", "5% tin gives white", "tin, 5 percent",
    "Rutile & tin, 4 each", "Colour: tin 5", "1% bent to suspend",
)  # fmt: skip


@pytest.mark.parametrize("line", STRAY)
@pytest.mark.parametrize("text", [
    "{line}\n\nShoal ^6\n{base}", "name: x\ncone: 6\n\n{base}\n{line}\n",
    "Shoal ^6\n{base}\n{line} and it was fine so far with us here\n", "Hello all,\n\nShoal ^6\n{base}\n{line}, thanks!\n",
], ids=["above", "below", "in prose", "in thanks"])  # fmt: skip
def test_no_amount_is_lost_above_or_below_the_batch(line: str, text: str) -> None:
    recipe, problems = read_recipe_text(text.format(line=line, base=BASE))
    assert any(p.is_error for p in problems) or (recipe is not None and len(recipe.lines) > 4)


def test_an_amount_in_the_notes_is_pointed_out() -> None:
    recipe, problems = read_recipe_text(f"name: x\ncone: 6\nnotes: add 2% bentonite\n\n{BASE}")
    assert recipe is not None
    assert [p.code for p in problems] == ["amounts-in-words"]


@pytest.mark.parametrize(
    "title", ["Copper red 10", "Tin white 5", "Iron saturate 4", "Cobalt blue 2", "Rutile blue, ^6"]
)
def test_a_name_with_a_material_and_a_number_stays_a_name(title: str) -> None:
    recipe, problems = read_recipe_text(f"{title}\n\n{BASE}")
    assert recipe is not None, problems
    assert recipe.name == title.removesuffix(", ^6") and len(recipe.lines) == 4


@pytest.mark.parametrize("line", [
    "10 Whiting or chalk, see p. 4", "Whiting or chalk 10", "Whiting 10 (or chalk)", "Silica 20 (or 22)", "Whiting 10 or chalk",
    "Whiting 10 (optional)", "Talc 10 or dolomite 12", "Sorry, typo! whiting should be 22", "Whiting 10 - maybe more",
])  # fmt: skip
def test_words_that_leave_a_line_open_are_a_question(line: str) -> None:
    recipe, problems = read_recipe_text(f"name: x\ncone: 6\n\nPotash feldspar 40\nKaolin 10\n{line}\nSilica 20\n")
    assert recipe is None, recipe
    assert {p.line for p in problems if p.is_error} == {6}


@pytest.mark.parametrize(("line", "kept"), [
    ("Whiting 10 - sieve first", "sieve first"), ("Whiting 10, see p. 4", "see p. 4"), ("Silica 20, 325 mesh", "325 mesh"),
    ("Whiting 10 (not the old bag!)", "not the old bag!"), ("Whiting 10  $0.80/kg", "$0.80/kg"),
])  # fmt: skip
def test_words_beside_an_amount_are_kept_and_said(line: str, kept: str) -> None:
    recipe, problems = read_recipe_text(f"name: x\ncone: 6\n\nPotash feldspar 40\nKaolin 10\n{line}\nSilica 20\n")
    assert recipe is not None, problems
    assert kept in recipe.notes and len(recipe.lines) == 4
    assert "kept-as-note" in {p.code for p in problems}


def test_the_sort_of_a_material_behind_its_amount_is_of_its_name() -> None:
    recipe, _ = read_recipe_text("name: x\n\nPotash feldspar 40\nKaolin 10, calcined\nSilica 50\n")
    assert recipe is not None and [x.material for x in recipe.lines][1] == "Kaolin, calcined"
    found = SHELF.find("Kaolin, calcined")
    assert found is not None and found.name == "Kaolin, calcined"


def test_what_is_struck_out_is_left_out_and_said() -> None:
    recipe, problems = read_recipe_text(
        "name: x\n\nPotash feldspar 40\n~~Talc 10~~\n~~Silica 26~~ Silica 22\nWhiting 38\n"
    )
    assert recipe is not None and [(x.material, x.amount) for x in recipe.lines][1] == ("Silica", 22)
    assert len([p for p in problems if p.code == "words-left-out"]) == 2


def test_grams_over_a_base_in_percent_are_asked_about() -> None:
    recipe, problems = read_recipe_text("name: x\n\nPotash feldspar 60%\nSilica 40%\n+ Tin oxide 5 g\n")
    assert recipe is None and "mixed-units" in {p.code for p in problems}


@pytest.mark.parametrize("text", ["Copper carbonate 5\nTotal 105\n", "+ Copper carbonate 5\nBentonite 2\n"])
def test_a_total_or_a_mark_speaks_before_the_hundred(text: str) -> None:
    recipe, _ = read_recipe_text(f"name: x\n\nPotash feldspar 50\nSilica 30\nKaolin 20\n{text}")
    assert recipe is not None
    assert [x.addition for x in recipe.lines][3:] == ([False] if "Total" in text else [True, False])
