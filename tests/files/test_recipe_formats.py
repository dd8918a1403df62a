"""The ways a recipe is written down and pasted all give the same recipe. The layouts are common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc.files.card import read_recipe, read_recipe_text
from glazecalc.files.materials import built_in_materials
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Recipe

BASE = (("Nepheline syenite", 30.0), ("Whiting", 16.5), ("Silica 325 mesh", 33.5), ("Kaolin", 20.0))
ADDED = (("Red iron oxide", 2.0),)

CARD = """name: Shoal clear
cone: 6
surface: glossy, transparent

Nepheline syenite    30
Whiting              16.5
Silica 325 mesh      33.5   # the fine one
Kaolin               20
+ Red iron oxide      2
"""

LAYOUTS = {
    "card": CARD,
    "byte order mark and crlf": "\ufeff" + CARD.replace("\n", "\r\n"),
    "old mac line ends": CARD.replace("\n", "\r"),
    "tabs": "name: x\n\nNepheline syenite\t30\nWhiting\t16.5\nSilica 325 mesh\t33.5\nKaolin\t20\n+Red iron oxide\t2\n",
    "decimal commas": "name: x\n\nNepheline syenite 30,0\nWhiting 16,5\nSilica 325 mesh 33,5\nKaolin 20\n+ Red iron oxide 2\n",
    "percent": "name: x\n\nNepheline syenite 30%\nWhiting 16.5 %\nSilica 325 mesh 33.5%\nKaolin 20%\n+ Red iron oxide 2%\n",
    "grams": "name: x\n\nNepheline syenite 30g\nWhiting 16.5 g\nSilica 325 mesh 33.5 g\nKaolin 20 grams\n+ Red iron oxide 2 g\n",
    "amounts first": "name: x\n\n30 Nepheline syenite\n16.5 Whiting\n33.5 Silica 325 mesh\n20 Kaolin\n+2 Red iron oxide\n",
    "amounts first with units": "name: x\n\n30g Nepheline syenite\n16.5 g of Whiting\n33.5g Silica 325 mesh\n20g Kaolin\n+ 2g Red iron oxide\n",
    "dot leaders": "name: x\n\nNepheline syenite......30\nWhiting ........ 16.5\nSilica 325 mesh . . . . 33.5\nKaolin\u2026\u2026 20\n+ Red iron oxide ... 2\n",
    "bullets": "name: x\n\n- Nepheline syenite 30\n* Whiting 16.5\n\u2022 Silica 325 mesh 33.5\n\u2013 Kaolin: 20\n- + Red iron oxide 2\n",
    "numbered": "name: x\n\n1. Nepheline syenite 30\n2. Whiting 16.5\n3) Silica 325 mesh 33.5\n4. Kaolin 20\nAdd:\n5. Red iron oxide 2\n",
    "quoted mail": "> name: x\n>\n> Nepheline syenite 30\n> Whiting 16.5\n> Silica 325 mesh 33.5\n>> Kaolin 20\n> + Red iron oxide 2\n",
    "add heading": "name: x\n\nNepheline syenite 30\nWhiting 16.5\nSilica 325 mesh 33.5\nKaolin 20\n\nAdd:\nRed iron oxide 2\n",
    "plus heading": "name: x\nBase:\nNepheline syenite 30\nWhiting 16.5\nSilica 325 mesh 33.5\nKaolin 20\nPlus\nRed iron oxide 2\n",
    "additions heading": "name: x\nNepheline syenite 30\nWhiting 16.5\nSilica 325 mesh 33.5\nKaolin 20\nADDITIONS\nRed iron oxide 2\n",
    "add on the line": "name: x\nNepheline syenite 30\nWhiting 16.5\nSilica 325 mesh 33.5\nKaolin 20\nAdd: Red iron oxide 2\n",
    "total line": "name: x\nNepheline syenite 30\nWhiting 16.5\nSilica 325 mesh 33.5\nKaolin 20\n-----\nTotal 100\n+ Red iron oxide 2\n",
    "below the total": "name: x\nNepheline syenite 30\nWhiting 16.5\nSilica 325 mesh 33.5\nKaolin 20\nTotal: 100.0 %\nRed iron oxide 2\n",
    "equals line": "name: x\nNepheline syenite 30\nWhiting 16.5\nSilica 325 mesh 33.5\nKaolin 20\n= 100\n+ Red iron oxide 2\n",
    "comma table": "Material,Amount\nNepheline syenite,30\nWhiting,16.5\nSilica 325 mesh,33.5\nKaolin,20\n+ Red iron oxide,2\n",
    "comma table, quoted commas": 'Material,Amount\nNepheline syenite,"30,0"\nWhiting,"16,5"\nSilica 325 mesh,"33,5"\nKaolin,20\n+Red iron oxide,2\n',
    "semicolon table": "material;amount\nNepheline syenite;30\nWhiting;16,5\nSilica 325 mesh;33,5\nKaolin;20\n+ Red iron oxide;2\n",
    "tab table": "Ingredient\tPercent\nNepheline syenite\t30\nWhiting\t16.5\nSilica 325 mesh\t33.5\nKaolin\t20\nTotal\t100\nRed iron oxide\t2\n",
    "table with an addition column": "Material,Amount,Addition\nNepheline syenite,30,\nWhiting,16.5,\nSilica 325 mesh,33.5,\nKaolin,20,no\nRed iron oxide,2,yes\n",
    "table with more columns": "No,Material,Amount,Note\n1,Nepheline syenite,30,a\n2,Whiting,16.5,\n3,Silica 325 mesh,33.5,\n4,Kaolin,20,\nAdd:\n5,Red iron oxide,2,\n",
    "bars": "| Material | Amount |\n|---|---:|\n| Nepheline syenite | 30 |\n| Whiting | 16.5 |\n| Silica 325 mesh | 33.5 |\n| Kaolin | 20 |\n| + Red iron oxide | 2 |\n",
    "web page": "<b>Nepheline&nbsp;syenite</b> 30<br>Whiting 16.5<br/>Silica 325 mesh&#160;33.5<br>\n<td>Kaolin</td><td>20</td>\n+ Red iron oxide 2\n",
    "hard spaces": "name: x\nNepheline\u00a0syenite\u00a030\nWhiting\u200916.5\nSilica 325 mesh\u00a033.5\nKaolin\u00a020\n+\u00a0Red iron oxide 2\n",
    "pasted title": "Shoal clear cone 6 oxidation\n\nNepheline syenite 30\nWhiting 16 1/2\nSilica 325 mesh 33.5\nKaolin 20\n+ Red iron oxide 2\n",
    "words after": "name: x\nNepheline syenite 30 (the soda one)\nWhiting 16.5\nSilica 325 mesh 33.5, sieved\nKaolin 20\n+ Red iron oxide 2\n",
    "one line": "name: x\nNepheline syenite 30, Whiting 16.5, Silica 325 mesh 33.5, Kaolin 20\n+ Red iron oxide 2\n",
    "double spaced": "name: x\n\nNepheline syenite 30\n\nWhiting 16.5\n\nSilica 325 mesh 33.5\n\nKaolin 20\n\n+ Red iron oxide 2\n",
}  # fmt: skip


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_layout_gives_the_same_recipe(layout: str, tmp_path: Path) -> None:
    path = tmp_path / "card.txt"
    path.write_bytes(LAYOUTS[layout].encode())
    recipe, problems = read_recipe(path)
    assert recipe is not None, problems
    assert tuple((ln.material, ln.amount) for ln in recipe.lines if not ln.addition) == BASE
    assert tuple((ln.material, ln.amount) for ln in recipe.lines if ln.addition) == ADDED
    assert not any(p.is_error for p in problems)


def test_card_of_the_contract_is_read_without_a_remark() -> None:
    recipe, problems = read_recipe_text(CARD)
    assert recipe is not None and problems == ()
    assert (recipe.name, str(recipe.cone), recipe.surface) == ("Shoal clear", "6", "glossy, transparent")
    assert [ln.line for ln in recipe.lines] == [5, 6, 7, 8, 9]


def test_every_shipped_card_is_read_without_a_problem() -> None:
    cards = sorted((data_root() / "recipes").glob("*.txt"))
    assert len(cards) >= 12
    for card in cards:
        recipe, problems = read_recipe(card)
        assert recipe is not None and problems == (), (card, problems)


def codes(text: str) -> list[str]:
    return [p.code for p in read_recipe_text(text)[1]]


HEAD = "name: x\n"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Whiting 50\nSilica 46.5\n", "sum-not-100"),
        ("Whiting 50\nSilica 48\n+ Rutile 2\n", "addition-in-hundred"),
        ("Whiting 50\nSilica 50\nTotal 99\n", "total-disagrees"),
        ("Whiting 50\nwhiting 50\n", "named-twice"),
        ("Whiting 50\nSilica 50\nTotal 100\nRutile 2\n", "after-total"),
        ("Whiting 250 g\nSilica 250 g\n+ Rutile 2%\n", "percent-of-base"),
        ("Whiting 50 g\nSilica 50\n", "unit-assumed"),
        ("Whiting 50 g\nSilica 1 oz\n", "unit-converted"),
        ("Whiting 1,000\nSilica 1,000\n", "comma-ambiguous"),
        ("20 Silica 325\nWhiting 80\n", "amount-either-end"),
        ("Whiting 100\nFire it slowly and cool it slowly.\n", "kept-as-note"),
        ("glow: yes\nWhiting 100\n", "unknown-key"),
        ("cone: 6\ncone: 5\nWhiting 100\n", "header-twice"),
        ("cone:\nWhiting 100\n", "key-empty"),
        ("Whiting 100\nRutile 0\n", "amount-zero"),
        ("Whiting\t100\t500 g\n", "several-amounts"),
        ("basis: mole\nkind: glaze\nWhiting 100\n", "basis-not-used"),
    ],
)
def test_what_is_assumed_or_odd_is_a_remark(text: str, code: str) -> None:
    recipe, problems = read_recipe_text(HEAD + text)
    assert recipe is not None
    assert code in [p.code for p in problems]


def test_remarks_name_the_line() -> None:
    _, problems = read_recipe_text("name: x\n\nWhiting 50\nSilica 1,250\nwhiting 50\n", "card.txt")
    assert {(p.file, p.line, p.code) for p in problems if p.line} == {
        ("card.txt", 4, "comma-ambiguous"),
        ("card.txt", 5, "named-twice"),
    }


def test_every_problem_is_found_in_one_pass() -> None:
    text = "name: x\ncone: 99\nkind: pizza\nWhiting -5\nSilica nan\nKaolin\n"
    assert codes(text) == ["no-such-cone", "not-a-choice", "amount-negative", "not-a-number", "amount-missing"]


def test_words_of_a_mail_are_kept_and_a_missing_amount_is_not() -> None:
    mail = "Hello, here it is!\n\nname: x\nWhiting 20\nSilica 80\n\nBest,\nAnna\n"
    recipe, problems = read_recipe_text(mail)
    assert recipe is not None and recipe.notes == "Hello, here it is!\nBest,\nAnna"
    assert {p.code for p in problems} == {"kept-as-note"}
    for missing in (
        "name: x\nWhiting 20\nSilica\n",
        "name: x\nWhiting 100\n\nAdd:\nRutile\n",
        "name: x\n\nA 50\n\nB\n\nC 50\n",
    ):
        assert "amount-missing" in codes(missing)


@pytest.mark.parametrize(
    "line", ["Rutile +2", "Rutile + 2", "Rutile 2 (add)", "+Rutile 2", "plus 2 Rutile", "Add Rutile 2"]
)
def test_an_addition_is_marked_in_many_ways(line: str) -> None:
    recipe, problems = read_recipe_text(f"name: x\nWhiting 100\n{line}\n")
    assert recipe is not None and problems == ()
    assert [(ln.material, ln.amount, ln.addition) for ln in recipe.lines[1:]] == [("Rutile", 2.0, True)]


def test_nothing_is_renormalised() -> None:
    recipe, _ = read_recipe_text("name: x\nWhiting 200\nSilica 300\n+ Rutile 10\n")
    assert recipe is not None
    assert (recipe.base_total, recipe.addition_total) == (500, 10)


def test_bought_jar_has_only_its_label() -> None:
    recipe, problems = read_recipe_text("name: Seafoam\nkind: bought\ncone: 5-6\n")
    assert recipe is not None and problems == ()
    assert (recipe.kind, str(recipe.cone), recipe.lines) == ("bought", "5 to 6", ())


def test_composition_card_in_each_basis() -> None:
    for basis in ("unity", "mole", "weight"):
        recipe, problems = read_recipe_text(f"name: x\nkind: composition\nbasis: {basis}\nsio2 3.2\nAl2O3 .35\nCaO 1\n")
        assert recipe is not None and problems == ()
        assert recipe.basis == basis
        assert [(o.oxide, o.amount) for o in recipe.composition] == [("SiO2", 3.2), ("Al2O3", 0.35), ("CaO", 1.0)]


def test_composition_and_its_basis_are_assumed_only_when_plain() -> None:
    recipe, problems = read_recipe_text("name: x\nSiO2 3.2\nAl2O3 .35\nCaO 0.7\nK2O 0.3\n")
    assert recipe is not None and recipe.kind == "composition" and recipe.basis == "unity"
    assert {p.code for p in problems} == {"composition-assumed", "basis-assumed"}
    assert "basis-missing" in codes("name: x\nSiO2 70\nCaO 30\n")


def test_misspelt_oxide_and_key_get_a_suggestion() -> None:
    _, problems = read_recipe_text("name: x\nkind: composition\nbasis: mole\nSiO2 70\nK20 30\n")
    assert "K2O" in problems[0].hint
    _, problems = read_recipe_text("name: x\ncon: 6\nWhiting 100\n")
    assert "cone" in problems[0].hint and problems[0].is_error


def test_number_sign_in_a_name_is_no_comment() -> None:
    recipe, _ = read_recipe_text("name: Shoal blue #4\nFrit #2 50\nSilica 50 # fine\n")
    assert recipe is not None and recipe.name == "Shoal blue #4"
    assert [ln.material for ln in recipe.lines] == ["Frit #2", "Silica"]


NAMES = sorted({name for m in built_in_materials() for name in (m.name, *m.aliases) if not name.endswith(".")})
AMOUNTS = st.integers(1, 999_999).map(lambda n: n / 1000)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(NAMES), AMOUNTS, st.booleans()), min_size=1, max_size=12),
    st.sampled_from(["6", "06", "5-6", "10"]),
    st.sampled_from(["{n}  {a}", "{n}\t{a}", "{n} ..... {a}", "* {n}: {a}"]),
)
def test_a_written_card_is_read_back(lines: list[tuple[str, float, bool]], cone: str, layout: str) -> None:
    rows = [("+ " if extra else "") + layout.format(n=name, a=f"{amount:.3f}") for name, amount, extra in lines]
    if layout.startswith("*"):
        rows = [layout.format(n=("+ " if extra else "") + name, a=f"{amount:.3f}") for name, amount, extra in lines]
    text = "\n".join(["name: Written", f"cone: {cone}", "", "Base 1", *rows])
    recipe, problems = read_recipe_text(text)
    assert recipe is not None, problems
    got = [(ln.material, ln.amount, ln.addition) for ln in recipe.lines[1:]]
    assert got == [(name, pytest.approx(amount), extra) for name, amount, extra in lines]


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=300))
def test_no_text_raises(text: str) -> None:
    recipe, problems = read_recipe_text(text)
    assert isinstance(recipe, Recipe) or any(p.is_error for p in problems)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.sampled_from(["Whiting", "20", "+", "-", "Total", "100", "name:", "cone: 6", "\t", ",", "%", "g", "\n", "SiO2",
                              "Add:", "...", "#", "|", "1/2", "=", "(", ")", "kind: body", "6", ";"]), max_size=40)
)  # fmt: skip
def test_no_jumble_of_card_words_raises(words: list[str]) -> None:
    recipe, problems = read_recipe_text(" ".join(words))
    assert isinstance(recipe, Recipe) or any(p.is_error for p in problems)


BATCH = "Nepheline syenite 30\nWhiting 16.5\nSilica 33.5\nKaolin 20\n"


@pytest.mark.parametrize("above", [
    "Hi Anna,\n\nPebble matt cone 6\n\n", "Hi Anna\nPebble matt cone 6\n", "Hello all!\nPebble matt, cone 6 oxidation\n",
    "Dear Tom,\nhere is the recipe that you asked me for last week.\n\nPebble matt ^6\nworks on dark clay\n\n",
    "Thanks for the nice day, this is what I use at home\n\nPebble matt\n\n", "Hi,\n\nPebble matt\n",
])  # fmt: skip
def test_a_greeting_is_not_the_name_of_a_recipe(above: str) -> None:
    recipe, problems = read_recipe_text(above + BATCH)
    assert recipe is not None, problems
    assert recipe.name == "Pebble matt"
    assert len(recipe.lines) == 4
    assert ("cone" in above or "^" in above) is (str(recipe.cone) == "6")


def test_a_short_first_line_stays_the_name() -> None:
    recipe, _ = read_recipe_text("Shoal clear\nfires to cone 6\n\n" + BATCH)
    assert recipe is not None
    assert (recipe.name, str(recipe.cone)) == ("Shoal clear", "6")


@pytest.mark.parametrize(("name", "asked"), [
    ("Pebble matt 6", True), ("Pebble matt 06", True), ("name: Pebble matt #6", False), ("name: Pebble matt no. 6", False),
    ("Pebble matt 99", False), ("Pebble matt", False), ("Pebble matt 6, cone 6", False),
])  # fmt: skip
def test_a_number_at_the_end_of_a_name_may_be_the_cone(name: str, asked: bool) -> None:
    """06 is bisque heat, 6 stoneware heat (common practice, no source): a bare number is asked about, never taken."""
    recipe, problems = read_recipe_text(f"{name}\n\n{BATCH}")
    assert recipe is not None, problems
    assert any(p.code == "cone-suspicious" and "write cone:" in p.hint for p in problems) is asked
    assert asked is False or recipe.cone is None


@pytest.mark.parametrize(
    ("text", "additions"),
    [
        ("Feldspar 40, Silica 30, subtotal 70, Whiting 20, Kaolin 10, Total 100", []),
        ("Feldspar 40, Silica 30, Whiting 20, Kaolin 10, total 100, Red iron oxide 2", ["Red iron oxide"]),
    ],
)
def test_a_total_in_a_line_of_materials_is_no_material(text: str, additions: list[str]) -> None:
    recipe, problems = read_recipe_text(f"name: x\n\n{text}\n")
    assert recipe is not None and not [p for p in problems if p.is_error]
    assert recipe.base_total == 100
    assert [line.material for line in recipe.lines if line.addition] == additions


def test_a_name_keeps_both_its_brackets() -> None:
    recipe, _ = read_recipe_text("Floating thing (mid range)\n\nFeldspar 40\nSilica 30\nWhiting 20\nKaolin 10\n")
    assert recipe is not None and recipe.name == "Floating thing (mid range)"


def test_an_oxide_named_twice_is_added_up_and_never_beyond_all_measure() -> None:
    recipe, problems = read_recipe_text("name: x\nkind: composition\nbasis: mole\n\nSiO2 40\nCaO 20\nSiO2 30\nK2O 10\n")
    assert recipe is not None and {o.oxide: o.amount for o in recipe.composition} == {"SiO2": 70, "CaO": 20, "K2O": 10}
    assert "named-twice" in {p.code for p in problems}
    recipe, problems = read_recipe_text("name: x\nkind: composition\nbasis: mole\n\nSiO2 600000000\nCaO 20\nSiO2 600000000\n")
    assert recipe is None and [p.code for p in problems if p.is_error] == ["number-too-large"]


def test_a_point_that_may_part_thousands_is_asked_about_with_both_readings() -> None:
    recipe, problems = read_recipe_text("name: x\n\nPotash feldspar 1.250\nSilica 800\nWhiting 600\nKaolin 350\n")
    (asked,) = [p for p in problems if p.code == "comma-ambiguous"]
    assert recipe is None and "'1.250' may be 1.25 or 1250" in asked.message and asked.hint == "write the one that is meant" and asked.line == 3
