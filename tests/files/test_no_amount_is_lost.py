"""No amount of a card is lost to what stands beside it: a price, a strike, a figure alone, a total of a part, a further
column, a letter's end (common practice, no source). The cards are invented."""

from __future__ import annotations

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.page.desk import file_name
from glazecalc.values.answers import Problem
from glazecalc.values.inputs import Recipe

TWO = "name: X\ncone: 6\nFeldspar 40\nSilica 30\n"
BASE = TWO + "Kaolin 20\nWhiting 10\n"
WHOLE = [("Feldspar", 40, False), ("Silica", 30, False), ("Kaolin", 20, False), ("Whiting", 10, False)]


def read(text: str) -> tuple[Recipe, tuple[Problem, ...]]:
    recipe, problems = read_recipe_text(text)
    assert recipe is not None, [p.message for p in problems]
    return recipe, problems


def batch(text: str) -> list[tuple[str, float, bool]]:
    return [(line.material, line.amount, line.addition) for line in read(text)[0].lines]


def errors(text: str) -> list[str]:
    return [p.code for p in read_recipe_text(text)[1] if p.is_error]


@pytest.mark.parametrize(("line", "price"), [
    ("Whiting 10 \u20ac4", "\u20ac4"), ("Whiting 10 \u20ac 4,50", "\u20ac 4,50"), ("Whiting\t10\t\u20ac1,20", "\u20ac1,20"),
    ("Whiting 10 4,50 \u20ac/kg", "4,50 \u20ac/kg"), ("Whiting 4\u20ac 10", "4\u20ac"), ("Whiting 4,50 \u20ac 10", "4,50 \u20ac"),
    ("Whiting 10 (\u00a31.20)", "\u00a31.20"),
])  # fmt: skip
def test_a_price_leaves_the_amount(line: str, price: str) -> None:
    assert batch(f"{TWO}Kaolin 20\n{line}\n") == WHOLE
    assert read(f"{TWO}Kaolin 20\n{line}\n")[0].notes == price


def test_of_two_whole_figures_beside_the_euro_none_is_guessed() -> None:
    assert errors("name: X\nFeldspar 4 \u20ac 40\nSilica 60\n") == ["several-amounts"]


def test_an_amount_written_over_a_struck_line_keeps_its_name() -> None:
    assert batch("name: X\nFeldspar 40\n~~Silica 30~~ 25\nKaolin 20\nWhiting 15\n")[1:3] == [
        ("Silica", 25, False), ("Kaolin", 20, False)
    ]  # fmt: skip


@pytest.mark.parametrize("text", [
    "Feldspar 40\n~~Silica 26~~\n30\nKaolin 20\nWhiting 10\n", "Feldspar 40\nSilica 30\n20\nWhiting 10\n",
    "Feldspar 40\n~~Silica~~ 30\nKaolin 30\n", "material,amount\nFeldspar,40\nSilica,30\n,20\nWhiting,10\n",
    "Feldspar 20\nSilica 20\n40\nWhiting 20\n", "basis: weight\nSiO2 50\n20\nAl2O3 30\n",
])  # fmt: skip
def test_a_figure_alone_that_is_no_sum_asks_for_its_material(text: str) -> None:
    assert errors("name: X\n" + text) == ["name-missing"]
    assert "after-total" not in {p.code for p in read_recipe_text("name: X\n" + text)[1]}


@pytest.mark.parametrize("figure", ["100", "99.9", "98"])
def test_a_figure_alone_near_the_sum_above_is_a_total(figure: str) -> None:
    assert batch(f"{BASE}{figure}\nTin oxide 5\n") == [*WHOLE, ("Tin oxide", 5, True)]


@pytest.mark.parametrize("struck", [
    "<s>Zinc oxide 5</s>", "<del class='x'>Zinc oxide 5</del>", "<strike>Zinc oxide 5</strike>",
    "<s>Zinc oxide 5\nTalc 3</s>", "<s>Zinc oxide 5<br>Talc 3</s>", "<tr><td><s>Zinc oxide</s></td><td><s>5</s></td></tr>",
])  # fmt: skip
def test_what_a_page_strikes_out_is_struck(struck: str) -> None:
    assert batch(f"{TWO}{struck}\nKaolin 20\nWhiting 10\n") == WHOLE
    assert "words-left-out" in {p.code for p in read(f"{TWO}{struck}\nKaolin 20\nWhiting 10\n")[1]}


def test_prices_and_strikes_stay_in_the_words_of_the_potter() -> None:
    recipe, _ = read("name: $5 glaze\nsource: a $3 book ~~old~~\nnotes: costs $5 ~~or 6~~\n" + BASE.split("\n", 1)[1])
    assert (recipe.name, recipe.source, recipe.notes) == ("$5 glaze", "a $3 book ~~old~~", "costs $5 ~~or 6~~")
    recipe, _ = read("Five $5 clear\n\n" + BASE.split("\n", 1)[1])
    assert (recipe.name, recipe.notes) == ("Five $5 clear", "")


def test_a_material_whose_amount_passes_for_a_price_is_no_title() -> None:
    assert errors("Whiting 10 \u20ac\nFeldspar 40\nSilica 50\n") == ["amount-missing"]


@pytest.mark.parametrize("end", ["--\nGerstley 10", "Cheers\nmy pink mix: 4"])
def test_a_material_below_the_end_of_a_letter_stays_in_the_batch(end: str) -> None:
    assert len(batch(f"{BASE}{end}\n")) == 5


def test_the_address_below_a_letter_is_none() -> None:
    assert batch(f"{BASE}Cheers,\nSam\n12 Mill Lane\nTel 01234 567890\n") == WHOLE


def test_oxides_below_formula_are_asked_about_where_no_glass_is_told() -> None:
    assert errors(f"{BASE}Formula\nFe2O3 2\nCuO 1\n") == ["amounts-in-words"] * 2
    assert batch(f"{BASE}Formula\nSiO2 3.2\nAl2O3 0.4\nCuO 0.1\n") == WHOLE
    assert batch(f"{BASE}Formula\nCaO 0.7\nK2O 0.3\nSi:Al 8.1\n") == WHOLE


def test_the_total_of_a_part_is_no_end_of_the_base() -> None:
    assert batch(f"{TWO}subtotal 70\nKaolin 20\nWhiting 10\nTotal 100\n") == WHOLE
    assert batch(f"{BASE}Total 100\nTin oxide 5\nTotal 105\n") == [*WHOLE, ("Tin oxide", 5, True)]
    assert [added for _, _, added in batch("name: X\nFeldspar 200\nSilica 100\nTotal 300\nRutile 15\nTotal 315\n")] == [
        False, False, True
    ]  # fmt: skip


@pytest.mark.parametrize("text", [
    "material,amount,amount\nFeldspar,40,400\nSilica,30,200\nKaolin,30,300\n",
    "material;g;g\nFeldspar;40;30\nSilica;30;30\nKaolin;30;40\n", "material,A,B\nFeldspar,40,30\nSilica,60,70\n",
])  # fmt: skip
def test_two_batches_in_one_table_are_asked_about(text: str) -> None:
    assert errors(text) == ["several-amounts"]


@pytest.mark.parametrize(("text", "amounts"), [
    ("material,amount,amount\nFeldspar,40,400\nSilica,60,600\n", [40, 60]),
    ("material,grams,percent\nFeldspar,202,40.4\nSilica,296.3,59.3\nRutile,1.7,0.3\n", [202, 296.3, 1.7]),
    ("material,amount,mesh\nFeldspar,40,200\nSilica,60,325\n", [40, 60]),
])  # fmt: skip
def test_a_further_column_is_said_to_be_left_out(text: str, amounts: list[float]) -> None:
    recipe, problems = read(text)
    assert [line.amount for line in recipe.lines] == amounts
    assert [p.code for p in problems].count("several-amounts") == 1


@pytest.mark.parametrize("line", [
    "Tin oxide 5, optional", "+ Tin oxide 5, if you like", "Optional: Tin oxide 5", "Tin oxide (optional) 5",
    "5 tin oxide (optional)",
])  # fmt: skip
def test_what_may_be_left_out_is_asked_about(line: str) -> None:
    assert errors(f"{BASE}{line}\n") == ["one-of-two"]


def test_no_column_is_said_to_be_read_beside_an_error() -> None:
    problems = read_recipe_text("name: X\nFeldspar 40 400\nSilica 30 300\nKaolin 20 200\nWhiting 10 100\n")[1]
    assert {p.is_error for p in problems if p.code == "several-amounts"} == {True}


def test_a_tab_is_shown_as_a_blank() -> None:
    _, problems = read(f"{BASE}~~Tin oxide\t5~~\n")
    assert "'Tin oxide 5' is struck out and left out" in {p.message for p in problems}


@pytest.mark.parametrize("title", ["\u3164", "\u115f", "\uffa0 \u1160", "!?"])
def test_a_name_that_nobody_can_see_is_refused(title: str) -> None:
    assert file_name(title) == ""
