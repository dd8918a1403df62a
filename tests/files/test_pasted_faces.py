"""A letter's faces made of marks and bracketed asides are words of the writer, never amounts (common practice, no
source)."""

from __future__ import annotations

import pytest

from glazecalc.files.card import read_recipe

BATCH = "name: X\ncone: 6\nSilica 30\nWhiting 20\nPotash feldspar 50\n"


@pytest.mark.parametrize("words", [":-)", "Jo ;)", "Hi Jo!! here is the clear I told you about :-)", "(untested!)"])
def test_words_of_the_writer_are_kept_as_notes(tmp_path, words):
    card = tmp_path / "card.txt"
    for text in (BATCH + words + "\n", words + "\n\n" + BATCH):
        card.write_text(text, encoding="utf-8")
        recipe, problems = read_recipe(str(card))
        assert not [p for p in problems if p.is_error]
        assert recipe is not None
        assert len(recipe.lines) == 3


@pytest.mark.parametrize(("line", "code"), [("Kaolin -", "amount-missing"), ("Kaolin =A2", "not-a-number")])
def test_a_material_without_a_readable_amount_is_still_an_error(tmp_path, line, code):
    card = tmp_path / "card.txt"
    card.write_text(BATCH + line + "\n", encoding="utf-8")
    _, problems = read_recipe(str(card))
    assert [p.code for p in problems if p.is_error] == [code]


@pytest.mark.parametrize(("letter", "name"), [
    ("Hi Ann,\n\nTidewater Blue, ^6 ox. It is runny on verticals.\n\n", "Tidewater Blue"),
    ("Subject: glaze\nFrom: Bob\n\nDear Sam,\nthis is it:\n\nTide blue cone 6\n", "Tide blue"),
    ("Dear Sam,\n\nGlaze - cone 6:\n", "Glaze"),
    ("Hi Jo,\n\nShoal clear cone 6\n\n", "Shoal clear"),
])  # fmt: skip
def test_the_head_and_greeting_of_a_letter_name_no_glaze(tmp_path, letter, name):
    card = tmp_path / "card.txt"
    card.write_text(letter + BATCH.split("\n", 2)[2], encoding="utf-8")
    recipe, problems = read_recipe(str(card))
    assert not [p for p in problems if p.is_error]
    assert recipe is not None
    assert (recipe.name, str(recipe.cone), len(recipe.lines)) == (name, "6", 3)
