"""Recipes as they are pasted from mails, pages and tables: nothing left out, nothing taken for a material that is none.
How potters write them is common practice, no source."""

from __future__ import annotations

import pytest

from glazecalc.files.card import read_recipe_text

BASE = "Potash feldspar 40\nSilica 30\nWhiting 20\nKaolin 10\n"


def lines(text: str) -> list[tuple[str, float, bool]]:
    recipe, problems = read_recipe_text(text)
    assert recipe is not None, problems
    return [(line.material, line.amount, line.addition) for line in recipe.lines]


def codes(text: str) -> list[str]:
    return [p.code for p in read_recipe_text(text)[1] if p.is_error]


@pytest.mark.parametrize(("pasted", "extra"), [
    ("and 2% cobalt oxide, 5% tin", [("cobalt oxide", 2, True), ("tin", 5, True)]),
    ("plus 1% cobalt carbonate", [("cobalt carbonate", 1, True)]),
    ("Colorants: tin oxide 5, red iron oxide 2", [("tin oxide", 5, True), ("red iron oxide", 2, True)]),
    ("| **Add:** | |\n| Rutile | 6 |", [("Rutile", 6, True)]),
    ("Sieve 80 mesh! SG 1.45", []),
    ("Water 80", []),
])  # fmt: skip
def test_what_stands_below_a_batch_is_read_or_a_note(pasted: str, extra: list[tuple[str, float, bool]]) -> None:
    assert lines(f"name: X\n\n{BASE}{pasted}\n")[4:] == extra


@pytest.mark.parametrize("glyph", ["Δ", "^", "∆ ", "△", "cone ", "Cone: "])
def test_every_sign_of_a_cone(glyph: str) -> None:
    recipe, _ = read_recipe_text(f"Sea clear {glyph}6\n{BASE}")
    assert recipe is not None and (recipe.name, str(recipe.cone)) == ("Sea clear", "6")


def test_a_table_of_a_page_with_its_heading_bold_total_and_addition() -> None:
    page = "## Sea green\n\n| Ingredient | % |\n|:--|--:|\n| Silica | 60 |\n| Kaolin | 40 |\n| **Total** | **100** |\n| **+** Tin oxide | 3 |\n"
    recipe, _ = read_recipe_text(page)
    assert recipe is not None and recipe.name == "Sea green"
    assert lines(page) == [("Silica", 60, False), ("Kaolin", 40, False), ("Tin oxide", 3, True)]


def test_an_amount_that_says_it_is_added() -> None:
    assert lines("material,amount\nSilica,60\nKaolin,40\nRed iron oxide,6 add\n")[2] == ("Red iron oxide", 6, True)


@pytest.mark.parametrize("between", ["\nWhite\n", "\nMatte, cone 6\n", "Total 100\n\n", "\n"])
def test_two_recipes_in_one_paste_are_asked_about(between: str) -> None:
    text = f"Clear\n{BASE}{between}{BASE.replace('Potash feldspar', 'Nepheline syenite')}"
    assert codes(text) == ["several-recipes"]
    said = next(p.message for p in read_recipe_text(text)[1] if p.is_error)
    assert "Potash feldspar 40" in said and "Nepheline syenite 40" in said


def test_a_list_of_colourants_below_a_total_is_no_second_recipe() -> None:
    text = f"Clear\n{BASE}Total 100\n\nTin oxide 5\nRutile 4\nRed iron oxide 2\n"
    assert [addition for _, _, addition in lines(text)] == [False] * 4 + [True] * 3


def test_two_columns_of_one_batch_and_of_two() -> None:
    batch = [("Potash feldspar", 40, False), ("Silica", 30, False), ("Whiting", 20, False), ("Kaolin", 10, False)]
    assert lines("Potash feldspar  40  400\nSilica  30  300\nWhiting  20  200\nKaolin  10  100\n") == batch
    assert codes("Potash feldspar  40  10\nSilica  30  30\nWhiting  20  20\nKaolin  10  40\n") == ["several-amounts"]


@pytest.mark.parametrize("text", [
    "Clear cone 6: Potash feldspar 40, Silica 30, Whiting 20, Kaolin 10",
    "Clear cone 6\nPotash feldspar 40 / Silica 30 / Whiting 20 / Kaolin 10",
    "Clear cone 6\nPotash feldspar 40 Silica 30 Whiting 20 Kaolin 10",
    "Clear cone 6\n40 Potash feldspar + 30 Silica + 20 Whiting + 10 Kaolin",
])  # fmt: skip
def test_a_batch_on_one_line(text: str) -> None:
    assert lines(text) == lines(f"Clear cone 6\n{BASE}")


@pytest.mark.parametrize(
    "words", ["for a blue I use 2% cobalt oxide in it", "lovely with tin oxide 5% as well, I think"]
)
def test_amounts_in_a_sentence_are_asked_about(words: str) -> None:
    assert "amounts-in-words" in codes(f"name: X\n\n{BASE}\n{words}\n")
