"""Formula to batch: every demo recipe there and back, from its own materials and from the demo shelf."""

from __future__ import annotations

from pathlib import Path

import pytest

from glazecalc.files.card import read_recipe
from glazecalc.files.studio import read_studio
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import USUAL_SHELF, Pantry, pantry, shelf_of
from glazecalc.jobs.palette import Wishes
from glazecalc.jobs.resolve_batch import resolve_batch, target_moles
from glazecalc.jobs.setup import Setup
from glazecalc.values.answers import ProblemsError
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import OxideAmount, Recipe, RecipeLine
from tests.jobs.cases import clay, shelf

RECIPES = Path(__file__).resolve().parents[2] / "recipes"
STUDIO, _ = read_studio(RECIPES)
SETTING = Setup(body=clay(), cone=Cone("6"))
CARDS = sorted(RECIPES.glob("*.txt"))


def bench() -> Pantry:
    return pantry(shelf().materials, STUDIO.materials)


def cards_with_materials() -> list[Path]:
    found = [(p, read_recipe(str(p))[0]) for p in CARDS]
    return [p for p, card in found if card is not None and card.kind == "glaze"]


def unity(recipe: Recipe) -> dict[str, float]:
    composition, _, _ = compose_recipe(recipe, bench())
    assert composition is not None
    return formula_of(composition).unity()


def worst(one: dict[str, float], two: dict[str, float]) -> float:
    return max(abs(one.get(s, 0) - two.get(s, 0)) for s in one.keys() | two.keys())


@pytest.mark.parametrize("card", cards_with_materials(), ids=lambda p: p.stem)
def test_a_demo_recipe_comes_back_from_its_formula(card: Path) -> None:
    """Recipe to formula, written as a composition card, and back to a batch of the recipe's own materials."""
    recipe, _ = read_recipe(str(card))
    assert recipe is not None
    formula = unity(recipe)
    amounts = tuple(OxideAmount(oxide=o, amount=m) for o, m in formula.items())
    book = Recipe(name=recipe.name, kind="composition", basis="unity", composition=amounts)
    own = tuple(dict.fromkeys(line.material for line in recipe.lines))
    result = resolve_batch(book, bench(), own, SETTING, wishes=Wishes(use=own), resolution_g=0.1)
    best = result.options[0]
    assert best.exact, best.sentence
    assert worst(formula, unity(best.recipe)) <= 0.0101
    assert len(best.recipe.lines) <= len(own)
    assert sum(line.amount for line in best.recipe.lines) == pytest.approx(100.0)


def test_a_formula_from_a_book_is_made_from_the_demo_shelf() -> None:
    book, _ = read_recipe(str(RECIPES / "rock-pool.txt"))
    assert book is not None
    stock, _ = shelf_of(STUDIO)
    result = resolve_batch(book, bench(), stock, SETTING, resolution_g=0.1)
    assert result.options[0].exact
    assert {line.material for line in result.options[0].recipe.lines} <= set(stock)
    wanted = target_moles(book, bench())
    assert dict(result.target_unity)["SiO2"] == pytest.approx(3.2)
    assert wanted.sum() == pytest.approx(5.0 - 0.25, abs=0.01)  # 1 of flux, 0.35 alumina, 0.2 boron, 3.2 silica


def test_the_hand_methods_steps_are_shown_where_it_applies() -> None:
    """Seger's cone 4, 0.3 K2O 0.7 CaO 0.5 Al2O3 4 SiO2 (1886), from ideal materials."""
    ideal = ("Potash feldspar, ideal", "Whiting", "Kaolin, ideal", "Silica")
    formula = (("K2O", 0.3), ("CaO", 0.7), ("Al2O3", 0.5), ("SiO2", 4.0))
    oxides = tuple(OxideAmount(oxide=o, amount=a) for o, a in formula)
    target = Recipe(name="cone 4", kind="composition", basis="unity", composition=oxides)
    result = resolve_batch(target, bench(), ideal, SETTING, resolution_g=0.1)
    amounts = {line.material: line.amount for line in result.options[0].recipe.lines}
    printed = {"Potash feldspar, ideal": 83.55, "Whiting": 35.0, "Kaolin, ideal": 25.9, "Silica": 54.0}
    total = sum(printed.values())
    assert amounts == pytest.approx({m: 100 * a / total for m, a in printed.items()}, abs=0.15)
    steps = result.options[0].steps
    assert [s.material for s in steps] == ["Potash feldspar, ideal", "Whiting", "Kaolin, ideal", "Silica"]
    assert [s.weight / 2 for s in steps] == pytest.approx([printed[s.material] for s in steps], rel=0.004)
    usual = resolve_batch(target, bench(), USUAL_SHELF, SETTING, resolution_g=0.1)
    assert "Na2O" in {s.oxide for s in usual.options[0].not_matched}  # no feldspar as sold is free of soda


def test_what_must_not_be_used_is_not_and_limits_hold() -> None:
    book, _ = read_recipe(str(RECIPES / "rock-pool.txt"))
    assert book is not None
    stock, _ = shelf_of(STUDIO)
    wishes = Wishes(without=("Dolomite",), limit=(("Kaolin", 12.0),), at_most=7)
    for option in resolve_batch(book, bench(), stock, SETTING, wishes=wishes, resolution_g=0.1).options:
        amounts = {line.material: line.amount for line in option.recipe.lines}
        assert "Dolomite" not in amounts
        assert amounts.get("Kaolin", 0.0) <= 12.1
        assert len(amounts) <= 7


def test_what_cannot_be_had_is_named() -> None:
    book, _ = read_recipe(str(RECIPES / "rock-pool.txt"))
    assert book is not None
    result = resolve_batch(book, bench(), ("Potash feldspar", "Silica", "Whiting", "Kaolin"), SETTING, resolution_g=0.1)
    best = result.options[0]
    assert not best.exact
    assert {"B2O3", "MgO"} <= {s.oxide for s in best.not_matched}
    assert "B2O3" in result.sentence


def test_a_jar_has_no_formula_and_an_empty_shelf_is_said() -> None:
    jar = Recipe(name="jar", kind="bought")
    with pytest.raises(ProblemsError) as stop:
        resolve_batch(jar, bench(), USUAL_SHELF, SETTING)
    assert stop.value.problems[0].code == "no-formula"
    book, _ = read_recipe(str(RECIPES / "rock-pool.txt"))
    assert book is not None
    with pytest.raises(ProblemsError) as stop:
        resolve_batch(book, bench(), (), SETTING)
    assert stop.value.problems[0].code == "no-material"


@pytest.mark.parametrize("name", ["Dolomite", "Talc", "Zinc oxide", "Strontium carbonate", "Barium carbonate", "Lithium carbonate",
                                  "Red iron oxide", "Bone ash", "Titania", "Tin oxide", "Colemanite"])  # fmt: skip
def test_the_hand_method_knows_the_materials_it_is_taught_with(name: str) -> None:
    """A batch of one of them with others of them, back from its formula by hand (common practice, no source)."""
    parts = {"Whiting": 20.0, "Kaolin": 25.0, "Silica": 35.0, name: 20.0}
    batch = Recipe(name="own", lines=tuple(RecipeLine(material=m, amount=a) for m, a in parts.items()))
    found = resolve_batch(batch, bench(), tuple(parts), SETTING, wishes=Wishes(use=(name,)), resolution_g=0.1)
    steps = next((option.steps for option in found.options if option.steps), ())
    total = sum(step.weight for step in steps)
    assert {step.material: 100 * step.weight / total for step in steps} == pytest.approx(parts, abs=2.5)
