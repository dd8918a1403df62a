"""What an unknown name on a card is met with: what fits its form and place, never a poison, and doubt where it is little.

That three initials are mostly a kaolin's and a letter with a number a feldspar's is common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.adjust import adjust
from glazecalc.jobs.aliases import aliases_said, answers_to, names_to_ask
from glazecalc.jobs.check import check, doubt_of, hinges
from glazecalc.jobs.labels import held_dry
from glazecalc.jobs.materials import meant_by, pantry, poisonous, resolve
from glazecalc.jobs.naming import offered
from glazecalc.jobs.palette import Wishes
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.swap import swap
from glazecalc.render.labels import hazard_words
from glazecalc.render.text.changes import adjust_text, swap_text
from glazecalc.values.answers import Answer, ProblemsError
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, GivenExpansion, Recipe, UnitChoice

SHELF = pantry(built_in_materials())
REST = "Potash feldspar 40\nSilica 20\nWhiting 20\n"


def card(lines: str) -> Recipe:
    recipe, problems = read_recipe_text(f"name: Test card\ncone: 6\n\n{lines}")
    assert recipe is not None, problems
    return recipe


def kinds_of(line: str, rest: str = REST) -> tuple[str, ...]:
    recipe = card(f"{rest}{line}\n")
    return meant_by(recipe, recipe.lines[-1], SHELF)


@pytest.mark.parametrize(
    ("line", "rest", "first"),
    [
        ("QVK 20", REST, "Kaolin"),
        ("P-31 40", "Kaolin 20\nSilica 20\nWhiting 20\n", "Potash feldspar"),
        ("P-31 spar 40", "Kaolin 20\nSilica 20\nWhiting 20\n", "Potash feldspar"),
        ("Frit 90210 40", "Kaolin 20\nSilica 40\n", "Frit, high-calcium borosilicate"),
        ("Old mill kaolin 20", REST, "Kaolin"),
        ("Valley ball 20", REST, "Ball clay"),
    ],
)
def test_what_is_offered_fits_the_form_and_the_place(line: str, rest: str, first: str) -> None:
    assert kinds_of(line, rest)[0] == first


def test_a_number_in_a_small_place_is_offered_colours() -> None:
    assert "Red iron oxide" in offered("90417", ["Kaolin", "Silica"], 6, True)
    assert offered("90417", ["Kaolin", "Silica"], 30, False)[0].startswith("Frit")


HARMLESS = (
    "Leadless frit", "Lead-free frit", "Non-lead frit", "Unleaded frit", "White led", "Whit lead free", "Barum",
    "Frit", "Frit 90210", "Yellow stain", "Kalk", "Soda", "QVK", "Manganes", "Blue", "Bright red 4", "Mystery", "Galina",
    "Letharge free glaze", "Baryta free frit", "No lead borosilicate",
)  # fmt: skip


@pytest.mark.parametrize("name", HARMLESS)
@pytest.mark.parametrize("amount", ["4", "40"])
def test_no_poison_is_offered_for_a_harmless_name(name: str, amount: str) -> None:
    kinds = kinds_of(f"{name} {amount}")
    recipe = card(f"{REST}{name} {amount}\n")
    if SHELF.find(name) is None:
        hints = " ".join(
            p.hint + p.message for p in resolve(recipe, SHELF)[1] if p.code == "unknown-material"
        ).casefold()
        for kind in kinds:
            material = SHELF.find(kind)
            assert material is not None and not (poisonous(material) and "mangan" not in name.casefold()), kind
        assert not re.search(
            r"lead (?:bi|mono|boro)|litharge|galena|white lead|red lead", hints.replace(name.casefold(), "")
        )


def test_a_lead_frit_is_offered_where_lead_is_asked_for() -> None:
    assert any("lead" in kind.casefold() for kind in kinds_of("Lead bisilicat frit 40"))


@pytest.mark.parametrize(
    ("word", "material"),
    [
        ("neph sy", "Nepheline syenite"), ("silica 325", "Silica"), ("chrome ox", "Chrome oxide"), ("spod", "Spodumene"),
        ("Epsom", "Epsom salt"), ("zirc opac", "Zircon"), ("zircon opacifier", "Zircon"), ("cu carb", "Copper carbonate"),
        ("cobalt ox", "Cobalt oxide"), ("red iron", "Red iron oxide"), ("mang diox", "Manganese dioxide"),
        ("k-spar", "Potash feldspar"), ("feldspar, potash", "Potash feldspar"), ("mag carb", "Magnesium carbonate"),
        ("boro-calcite", "Colemanite"), ("ulex", "Ulexite"), ("Ilmenite, granular", "Ilmenite"), ("bent", "Bentonite"),
        ("strontium carb", "Strontium carbonate"), ("titanium diox", "Titania"), ("wollast.", "Wollastonite"),
        ("Tin oxide (SnO2)", "Tin oxide"), ("Silica (325 mesh)", "Silica"),
    ],
)  # fmt: skip
def test_the_plain_shorthand_of_the_trade_is_known(word: str, material: str) -> None:
    found = SHELF.find(word)
    assert found is not None and found.name == material


# Each short word of the trade in a name it is used in, and names in French, German and Spanish as a dictionary gives them:
# common practice, no source.
WRITTEN = {
    "Potash feldspar": "k feldspar; pot felds; pot. fspar; potash feld; potash fsp; potash felspar; kspar; feldspath potassique; Kalifeldspat; feldespato potásico",
    "Soda feldspar": "na feldspar; sod spar; naspar; soda felds; feldspath sodique; Natronfeldspat; feldespato sódico",
    "Nepheline syenite": "neph; nephel sye; neph. syen; nepheline sya; nephsy; nepsy; nsy; Nephelinsyenit",
    "Silica": "sil; silic; silice; Quarz; Quarzmehl; cuarzo; sílice; flint, superfine; potter's flint; quartz, ground; pure silica; silica powder; dry silica; silica fine",
    "Kaolin": "kaol; kao; caolín; kaolin, washed; kaolin, finely ground; ceramic grade kaolin; pottery kaolin",
    "Ball clay": "ball; ballclay; ball clay, powdered; ball clay, sieved; ball clay, screened",
    "Bentonite": "bent; Bentonit; bentonite powd",
    "Whiting": "whit; whtg; ca carb; cal carb; calc carb; craie; Kreide; carbonato de calcio; glaze whiting",
    "Dolomite": "dolo; dol; Dolomit; dolomita; dolomite, coarse; dolomite, milled",
    "Talc": "talc; Talkum; talco; potters talc",
    "Wollastonite": "woll; wolla; wollast; Wollastonit",
    "Spodumene": "spod", "Petalite": "petal", "Lepidolite": "lepid", "Colemanite": "colem; borocalcite; boro calcite",
    "Ulexite": "ulex; soda calcium borate ore", "Borate ore, mixed": "borate ore; mixed borate ore; calcium borate ore",
    "Ilmenite": "ilm; ilmenite gran; granular ilmenite", "Rutile": "rut; Rutil", "Bone ash": "bone; Knochenasche",
    "Zinc oxide": "zn ox; zinc oxd; zn oxide; oxyde de zinc; Zinkoxid; óxido de zinc",
    "Tin oxide": "sn ox; tin white; oxyde d'étain; Zinnoxid; óxido de estaño",
    "Titania": "ti; ti ox; titan diox; titanium dix; ti dioxd; titanium ox",
    "Zircon": "zirc; zirc opac; zr sil; zirc sil; zircon opac; zirconium opacifier",
    "Red iron oxide": "ferric; red iron; red fe ox; oxyde de fer rouge; Eisenoxid rot; óxido de hierro rojo",
    "Black iron oxide": "blk iron ox; black fe ox", "Yellow iron oxide": "yel iron ox; yellow iron",
    "Cobalt oxide": "co ox; cob ox; cobt ox; oxyde de cobalt; Kobaltoxid; óxido de cobalto", "Cobalt carbonate": "co carb; cob. carb.; cobalt crb",
    "Copper carbonate": "cu carb; cop carb; cop carbon; carbonate de cuivre; carbonato de cobre", "Copper oxide": "cu ox; cop ox",
    "Manganese dioxide": "mang; mn diox; mang ox; manganese ox", "Manganese carbonate": "mn carb; mang carb",
    "Chrome oxide": "chrom; cr ox; chrom ox", "Nickel oxide": "ni ox", "Epsom salt": "epsom; epsoms",
    "Magnesium carbonate": "mag carb; mg carb", "Lithium carbonate": "li carb; lith carb", "Strontium carbonate": "sr carb; stront carb",
    "Barium carbonate": "ba carb; bar carb", "Alumina hydrate": "alum hyd; alumina hyd", "Window glass cullet": "ground glass",
}  # fmt: skip


@pytest.mark.parametrize(("word", "material"), [(w, m) for m, words in WRITTEN.items() for w in words.split("; ")])
def test_short_and_foreign_names_mean_their_material(word: str, material: str) -> None:
    found = SHELF.find(word)
    assert found is not None and found.name == material


def test_every_name_of_the_table_still_means_its_own_material() -> None:
    for material in built_in_materials():
        found = SHELF.find(material.name)
        assert found is not None and found.name == material.name


@pytest.mark.parametrize("line", ["Gum 0.5", "Hardener 1", "Stain 90417 5", "Deflocculant 0.3", "Anything 4"])
def test_a_little_of_the_unknown_stops_no_check_and_widens_it(line: str) -> None:
    base = REST + "Kaolin 20\n"
    known, doubtful = card(base), card(f"{base}{line}\n")
    setting = Setup(cone=Cone("6"))
    sure, unsure = check(known, SHELF, setting), check(doubtful, SHELF, setting)
    assert [p.code for p in unsure.problems if not p.is_error and p.code == "unknown-share"] == ["unknown-share"]
    one, other = sure.estimate("expansion"), unsure.estimate("expansion")
    assert one is not None and other is not None
    assert other.low <= one.low and other.high >= one.high
    assert unsure.batch is not None and [x.known for x in unsure.batch.lines] == [True] * 4 + [False]


def test_the_interval_holds_each_of_what_the_unknown_may_be() -> None:
    recipe = card(REST + "Kaolin 20\nQX 6\n")
    doubt = doubt_of(recipe, SHELF)
    assert doubt is not None and len(doubt.cards) >= 4
    wide = check(recipe, SHELF, Setup(cone=Cone("6"))).estimate("expansion")
    assert wide is not None
    for _, other in doubt.cards:
        found = check(other, SHELF, Setup(cone=Cone("6"))).estimate("expansion")
        assert found is not None and wide.low <= found.low and found.high <= wide.high


def test_much_of_the_unknown_is_a_question_and_no_answer() -> None:
    with pytest.raises(ProblemsError) as stop:
        check(card(REST + "QVK 20\n"), SHELF, Setup(cone=Cone("6")))
    told = next(p for p in stop.value.problems if p.code == "unknown-material")
    assert "Kaolin; Ball clay" in told.message and '--as "QVK=' in told.hint


def test_a_word_is_asked_about_once_and_understood() -> None:
    recipe = card(REST + "QVK 10\nQVK 10\n+ Zz 3\n")
    asked = names_to_ask([recipe], SHELF)
    assert [a.word for a in asked] == ["QVK", "Zz"]
    shown: list[str] = []
    typed = iter(["99", "nonsense", "2", ""])
    assert list(answers_to(asked, SHELF, shown.append, lambda: next(typed))) == [f"QVK={asked[0].kinds[1]}"]
    assert any("nonsense" in line for line in shown)
    shelf = pantry(built_in_materials(), (), aliases_said([f"QVK={asked[0].kinds[1]}"], SHELF))
    found = shelf.find("qvk")
    assert found is not None and found.name == asked[0].kinds[1]


@pytest.mark.parametrize("text", ["QVK", "=Kaolin", "QVK=", "QVK=Nothing at all"])
def test_an_alias_that_says_nothing_is_refused(text: str) -> None:
    with pytest.raises(ProblemsError):
        aliases_said([text], SHELF)


def test_a_stain_is_offered_the_stains_of_the_shelf_first() -> None:
    stain = SHELF.materials[0].model_copy(update={"name": "Stain, pink", "aliases": (), "hazards": ()})
    shelf = pantry(built_in_materials(), (stain,))
    recipe = card(REST + "Stain 90417 8\n")
    assert meant_by(recipe, recipe.lines[-1], shelf)[0] == "Stain, pink"


def test_a_label_of_a_bucket_with_a_little_of_the_unknown_says_so() -> None:
    told = hazard_words(held_dry(card(REST + "Kaolin 20\nStain 90417 5\n"), SHELF))
    assert "not entered" in told


STOCK = ("Silica", "Kaolin", "Talc", "Frit, high-calcium borosilicate", "Zinc oxide")
CLAY = Body(name="Hill clay", ware="stoneware", expansion=GivenExpansion(value=5.5), cone_low=Cone("5"))
ON_CLAY = Setup(body=CLAY, cone=Cone("6"))
CRAZES = "Nepheline syenite 28\nSilica 30\nWhiting 6\nKaolin 20\nFrit, high-calcium borosilicate 25\n"


@pytest.mark.parametrize("line", ["Mystery 4", "+ Gum 0.5"])
def test_a_change_leaves_a_little_of_the_unknown_as_it_is(line: str) -> None:
    recipe = card(f"{CRAZES}{line}\n")
    result = adjust(recipe, SHELF, STOCK, ON_CLAY)
    word = recipe.lines[-1].material
    assert result.options and word in result.notes[0]
    for option in result.options:
        kept = [x for x in option.recipe.lines if x.material == word]
        assert [(x.amount, x.addition) for x in kept] == [(recipe.lines[-1].amount, recipe.lines[-1].addition)]
    assert result.answer is (Answer.CANNOT_SAY if hinges(result.options[0].after.verdicts) else Answer.FITS)
    again = check(result.options[0].recipe, SHELF, ON_CLAY)
    assert again.answer is result.options[0].after.answer
    assert word in adjust_text(result, UnitChoice())


def test_a_change_holds_whatever_the_unknown_is_or_says_that_it_does_not() -> None:
    result = adjust(card(f"{CRAZES}Mystery 4\n"), SHELF, STOCK, ON_CLAY)
    fit = next(v for v in result.options[0].after.verdicts if v.rule == "fit")
    told = doubt_of(result.options[0].recipe, SHELF)
    assert told is not None
    answers = {
        next(v.answer for v in check(other, SHELF, ON_CLAY).verdicts if v.rule == "fit") for _, other in told.cards
    }
    assert (answers == {fit.answer}) is (result.answer is Answer.FITS)


def test_the_unknown_may_be_left_out_but_never_added_to() -> None:
    recipe = card(f"{CRAZES}Mystery 4\n")
    without = adjust(recipe, SHELF, STOCK, ON_CLAY, wishes=Wishes(without=("mystery",)))
    assert all("Mystery" not in [x.material for x in o.recipe.lines] for o in without.options) and without.options
    more = adjust(recipe, SHELF, STOCK, ON_CLAY, wishes=Wishes(use=("Mystery",)))
    assert all(x.amount == 4 for o in more.options for x in o.recipe.lines if x.material == "Mystery")


def test_a_swap_goes_on_beside_a_little_of_the_unknown() -> None:
    recipe = card("Nepheline syenite 40\nSilica 20\nWhiting 20\nKaolin 20\n+ QX 3\n")
    result = swap(recipe, SHELF, STOCK, ON_CLAY, "Whiting", ["Wollastonite"])
    assert "QX" in result.notes[0] and "QX" in swap_text(result, UnitChoice(), full=False)
    assert all(any(x.material == "QX" and x.addition for x in o.recipe.lines) for o in result.options)


@pytest.mark.parametrize(("lines", "old"), [(f"{REST}QVK 20\n", "Whiting"), (f"{REST}Kaolin 20\nQVK 3\n", "QVK")])
def test_a_swap_asks_where_it_cannot_go_on(lines: str, old: str) -> None:
    with pytest.raises(ProblemsError) as stop:
        swap(card(lines), SHELF, STOCK, ON_CLAY, old, ["Wollastonite"])
    assert [p.code for p in stop.value.problems] == ["unknown-material"]
    assert "which of these is it" in stop.value.problems[0].message


def test_a_change_asks_where_too_much_is_unknown() -> None:
    with pytest.raises(ProblemsError) as stop:
        adjust(card(f"{REST}QVK 20\n"), SHELF, STOCK, ON_CLAY)
    assert "which of these is it" in stop.value.problems[0].message


# What a word in an unknown name mostly means at the bench, the likeliest first: common practice, no source.
SAYS = {
    "Old kaolin; Blue china; Some porcelain": ("Kaolin", "Ball clay; Kaolin, plastic; Kaolin, calcined; Bentonite"),
    "Valley ball": ("Ball clay", "Ball clay, siliceous; Ball clay, dark"),
    "Brown clay; Old earth": ("Kaolin", "Ball clay; Kaolin, plastic; Red clay; Stoneware clay; Fireclay"),
    "Odd spar": ("Potash feldspar", "Soda feldspar; Feldspar, mixed; Nepheline syenite; Cornish stone"),
    "Frit of the shed": ("Frit, high-calcium borosilicate", "Frit, soda-lime borosilicate; Frit, calcium borosilicate with alumina; Frit, high-alkali; Frit, soda-alumina borosilicate; Frit, potash borosilicate"),
    "Some borate; Old borax bag; Boro stuff": ("Colemanite", "Ulexite; Borate ore, mixed; Calcium borate; Borax"),
    "Opac bag; White bag; Zirc thing": ("Zircon", "Tin oxide; Titania"),
    "My gum; CMC jar; Binder; Suspender; Hardener; Flocculant": ("CMC gum", "Bentonite; Epsom salt; Sodium silicate"), "Ash of the stove": ("Wood ash", "Bone ash"),
    "Stain 5; Inclusion pink; Bright colour; Color 7": ("Red iron oxide", "Rutile; Cobalt carbonate; Copper carbonate; Zircon; Tin oxide"),
    "QVK": ("Kaolin", "Ball clay; Kaolin, plastic; Potash feldspar; Soda feldspar; Feldspar, mixed"), "P-31": ("Potash feldspar", "Soda feldspar; Feldspar, mixed; Nepheline syenite; Kaolin; Ball clay"),
}  # fmt: skip


@pytest.mark.parametrize(("name", "first", "others"), [(n, first, others) for names, (first, others) in SAYS.items() for n in names.split("; ")])
def test_what_an_unknown_name_may_be_is_of_its_kind(name: str, first: str, others: str) -> None:
    found = offered(name, ["Silica", "Kaolin"], 20, False)
    assert found[0] == first and set(found[1:]) == set(others.split("; ")) and all(SHELF.find(kind) is not None for kind in found)


@pytest.mark.parametrize(
    ("others", "percent", "lacks"),
    [(["Silica", "Potash feldspar", "Whiting"], 20, ("Kaolin", "Ball clay")), (["Kaolin", "Silica", "Whiting"], 20, ("Potash feldspar", "Soda feldspar", "Nepheline syenite")),
     (["Kaolin", "Potash feldspar", "Whiting"], 20, ("Silica",)), (["Kaolin", "Silica", "Potash feldspar"], 20, ("Whiting", "Dolomite", "Talc")),
     (["Kaolin", "Silica", "Potash feldspar", "Whiting"], 2, ("Red iron oxide", "Rutile", "Cobalt carbonate", "Zircon", "Tin oxide", "CMC gum"))],
)  # fmt: skip
def test_a_name_that_says_nothing_is_taken_for_what_the_recipe_lacks(others: list[str], percent: float, lacks: tuple[str, ...]) -> None:
    found = offered("Mystery", others, percent, False)
    assert found[: len(lacks)] == lacks and len(found) <= 6 and len(set(found)) == len(found)
