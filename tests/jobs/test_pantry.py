"""Which material a word means: own before built-in, aliases, suggestions, odd amounts."""

from __future__ import annotations

import pytest

from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.materials import pantry, resolve
from glazecalc.values.inputs import Material, Recipe, RecipeLine

BUILT_IN = tuple(built_in_materials())
SHELF = pantry(BUILT_IN)


@pytest.mark.parametrize(("word", "name"), [
    ("whiting", "Whiting"), ("China clay", "Kaolin"), ("flint", "Silica"), ("NEPHELINE SYENITE", "Nepheline syenite"),
    ("nepheline-syenite", "Nepheline syenite"), ("silica 325 mesh", "Silica"), ("red iron oxide", "Red iron oxide"),
])  # fmt: skip
def test_words_of_the_trade(word: str, name: str) -> None:
    found = SHELF.find(word)
    assert found is not None
    assert found.name == name


def test_every_name_and_alias_is_found() -> None:
    for material in BUILT_IN:
        for name in (material.name, *material.aliases):
            found = SHELF.find(name)
            assert found is not None
            assert found.name == material.name, name


def test_own_material_beats_a_built_in_one() -> None:
    own = Material(name="whiting", formula="CaCO3", kind="supplier", own=True, lot="7")
    found = pantry(BUILT_IN, (own,)).find("Whiting")
    assert found is own


def test_own_alias_does_not_hide_a_built_in_name() -> None:
    own = Material(name="Beach sand", aliases=("Silica",), formula="SiO2", own=True)
    assert pantry(BUILT_IN, (own,)).find("silica") is not own


def card(*lines: tuple[str, float, bool]) -> Recipe:
    return Recipe(
        name="x",
        file="x.txt",
        lines=tuple(RecipeLine(material=m, amount=a, addition=p, line=i) for i, (m, a, p) in enumerate(lines, 3)),
    )


def test_every_unknown_material_is_told_in_one_pass() -> None:
    _, problems = resolve(card(("Whitting", 20, False), ("Unobtainium", 80, False)), SHELF)
    assert [p.code for p in problems] == ["unknown-material", "unknown-material"]
    assert "Whiting" in problems[0].hint
    assert [p.line for p in problems] == [3, 4]


def test_an_unusual_amount_is_a_remark() -> None:
    """30 % of cobalt, 7 % where 0.7 was meant (common practice, no source)."""
    lines, problems = resolve(card(("Silica", 70, False), ("Kaolin", 30, False), ("Cobalt carbonate", 30, True)), SHELF)
    assert len(lines) == 3
    assert [p.code for p in problems if "Cobalt" in p.message] == ["unusual-amount"]
    assert not any(p.is_error for p in problems)


@pytest.mark.parametrize(("material", "percent", "addition", "told"), [
    ("Whiting", 43, False, False), ("Whiting", 90, False, True), ("Cobalt carbonate", 4.4, True, False),
    ("Cobalt carbonate", 5.2, True, True), ("Zinc oxide", 0.9, False, False),
])  # fmt: skip
def test_only_amounts_far_from_the_usual_are_remarked_on(
    material: str, percent: float, addition: bool, told: bool
) -> None:
    """Beyond 1.5 times the table's range, 1.2 times for a colourant (judgement of this project)."""
    rest = 100.0 if addition else 100.0 - percent
    _, problems = resolve(card(("Silica", rest, False), (material, percent, addition)), SHELF)
    assert any(p.code == "unusual-amount" and material in p.message for p in problems) is told


def hint_for(word: str) -> str:
    _, problems = resolve(card((word, 20, False)), SHELF)
    return problems[0].hint


def test_a_trade_name_is_told_to_read_the_bag() -> None:
    for word in ("Valley feldspar", "Harbour spar", "Frit 98765", "Harbour clay"):
        assert "the bag says what kind it is" in hint_for(word), word
        assert "soda" not in hint_for(word).casefold()


def test_words_of_a_material_lead_to_it() -> None:
    assert "Cobalt carbonate" in hint_for("Cobalt")
    assert "Potash feldspar" in hint_for("Potsh feldspar")
    assert "soda feldspar" in hint_for("Sda feldspar").casefold()
    frits = [m.name for m in SHELF.holding("frit")]
    assert len(frits) > 3
    assert all("frit" in " ".join((m.name, *m.aliases)).casefold() for m in SHELF.holding("frit"))
    assert SHELF.holding("  ") == SHELF.holding("unobtainium") == ()


def test_a_broken_formula_of_an_own_material_names_its_place() -> None:
    own = Material(name="Broken", formula="K20.Al203", own=True, file="materials.csv", line=4)
    _, problems = resolve(
        card(
            ("Broken", 1, False),
        ),
        pantry(BUILT_IN, (own,)),
    )
    assert (problems[0].code, problems[0].file, problems[0].line) == ("formula", "materials.csv", 4)
