"""The table of raw materials, tested as data."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from glazecalc.chemistry.formulas import fired_mineral
from glazecalc.chemistry.oxides import element_mass
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.materials import fold
from glazecalc.values.data import data_root, read_table
from glazecalc.values.inputs import Material
from glazecalc.values.oxides import SYMBOLS

ROWS = read_table("materials")
MATERIALS = {m.name: m for m in built_in_materials()}
BY_WORD = {word.casefold(): m.name for m in MATERIALS.values() for word in (m.name, *m.aliases)}
FAMILIES = {
    "clay",
    "feldspar",
    "silica",
    "carbonate",
    "frit",
    "colourant",
    "opacifier",
    "flux",
    "boron",
    "body",
    "other",
}
TEXT_COLUMNS = ["name", "aliases", "kind", "formula"]
LAST_COLUMNS = ["loi", "density", "spread_percent", "hazards", "family", "plastic", "usual_low", "usual_high",
                "volatile", "source", "notes", "solubility", "slow_melting"]  # fmt: skip
# Half an atom of oxygen stands for one of fluorine: the analysts' "less O for F".
OXYGEN_FOR_FLUORINE = element_mass("O") / 2 / element_mass("F")


def oxides(material: Material) -> dict[str, float]:
    return {a.oxide: a.amount for a in material.analysis}


def analysis_sum(material: Material) -> float:
    found = oxides(material)
    return sum(found.values()) - found.get("F", 0.0) * OXYGEN_FOR_FLUORINE + (material.loi or 0.0)


def of_kind(kind: str) -> list[str]:
    return [m.name for m in MATERIALS.values() if m.kind == kind]


def test_columns_are_as_documented() -> None:
    columns = list(ROWS[0])
    oxide_columns = columns[len(TEXT_COLUMNS) : -len(LAST_COLUMNS)]
    assert columns[: len(TEXT_COLUMNS)] == TEXT_COLUMNS
    assert columns[-len(LAST_COLUMNS) :] == LAST_COLUMNS
    assert oxide_columns == [s for s in SYMBOLS if s in oxide_columns], "oxides in the fixed order, none unknown"


def test_no_cell_has_slipped_out_of_its_column() -> None:
    text = (data_root() / "materials" / "materials.csv").read_text(encoding="utf-8")
    assert text.isascii()
    for row in ROWS:
        assert None not in row and None not in row.values(), row["name"]
        assert all(cell == cell.strip() for cell in row.values()), row["name"]


def test_the_sums_of_the_oxide_columns_are_fixed() -> None:
    """A shifted or lost cell changes these sums; whoever changes a row on purpose changes them with it."""
    sums = {
        s: round(sum(float(r[s] or 0) for r in ROWS), 2) for s in ("SiO2", "Al2O3", "B2O3", "K2O", "Na2O", "CaO", "loi")
    }
    assert sums == SUMS


# Sums of the columns as shipped [weight %].
SUMS = {"SiO2": 6301.75, "Al2O3": 2140.81, "B2O3": 466.5, "K2O": 271.37, "Na2O": 370.66, "CaO": 985.41, "loi": 2015.13}


def test_there_are_enough_materials_of_every_kind() -> None:
    assert len(MATERIALS) == len(ROWS) >= 110
    assert {m.kind for m in MATERIALS.values()} == {"ideal", "certified", "published", "typical"}
    assert {m.family for m in MATERIALS.values()} == FAMILIES
    assert sum(m.family == "frit" and m.name.startswith("Frit,") for m in MATERIALS.values()) >= 15


def test_names_and_aliases_are_unique_whatever_the_capitals() -> None:
    words = [w.casefold() for m in MATERIALS.values() for w in (m.name, *m.aliases)]
    twice = {w for w in words if words.count(w) > 1}
    assert not twice
    folded: dict[str, str] = {}
    for m in MATERIALS.values():
        for word in (m.name, *m.aliases):
            assert folded.setdefault(fold(word), m.name) == m.name, f"{word} without punctuation"
    assert all(re.fullmatch(r"[\w .,:;()/'+-]+", w) for w in words)


def test_ids_resolve() -> None:
    sources = {row["id"] for row in read_table("sources")}
    hazards = {row["id"] for row in read_table("hazards")}
    for m in MATERIALS.values():
        assert m.source in sources, m.name
        assert set(m.hazards) <= hazards, m.name


@pytest.mark.parametrize("name", of_kind("typical"))
def test_typical_analyses_close_with_loss_on_ignition(name: str) -> None:
    assert analysis_sum(MATERIALS[name]) == pytest.approx(100.0, abs=0.01)


@pytest.mark.parametrize("name", of_kind("certified"))
def test_certified_analyses_add_up(name: str) -> None:
    # Complete rows of the NBS certificates add to 99.3-100.1 % with loss on ignition (re-summed here). Short rows:
    # 98b is certified as elements without its loss (about 7.5), 69b without its minor oxides.
    low = {"Clay, plastic (certified standard 98b)": 98.8, "Bauxite (certified standard 69b)": 98.4}.get(name, 99.3)
    assert low <= analysis_sum(MATERIALS[name]) <= 100.2


# Sums transcribed with the analyses from Polytechnisches Journal (Dingler; volume and article in sources.csv), some
# to a tenth only; sulphur, left out of our rows, is taken off.
PRINTED_SUMS = {
    "Feldspar, potash (published 1886)": 99.79, "Kaolin (published 1886)": 100.05,
    "Quartz (published 1886)": 100.00, "Marble (published 1886)": 100.02,
    "Feldspar, soda (published 1889)": 100.25, "Kaolin 1 (published 1889)": 100.33,
    "Kaolin 2 (published 1889)": 100.24, "Kaolin (published 1877)": 99.83,
    "Kaolin (published 1878)": 99.68, "Clay 1 (published 1889)": 99.88 - 0.036,
    "Clay 1 (published 1890)": 100.0 - 0.26, "Clay 2 (published 1890)": 100.1 - 0.08,
    "Clay 2 (published 1889)": 100.21, "Fireclay (published 1890)": 99.0,
    "Slate clay (published 1892)": 100.34, "Fireclay 1 (published 1892)": 100.33,
    "Fireclay 2 (published 1892)": 100.37, "Fireclay 3 (published 1892)": 100.39,
    "Red-burning clay (published 1892)": 99.74, "Quartz sand (published 1892)": 100.32,
    "Kaolinic sand (published 1897)": 100.0, "Steatite, yellow (published 1884)": 100.0,
    "Steatite, white (published 1884)": 100.0, "Dolomite (published 1882)": 100.0,
    "Limestone (published 1879)": 99.12, "Bauxite (published 1877)": 99.14,
    "Glaze stone 1 (China, published 1876)": 100.74, "Glaze stone 2 (China, published 1876)": 100.26,
    "Pegmatite (published 1876)": 99.6, "Pegmatite glaze (published 1878)": 100.06,
}  # fmt: skip


@pytest.mark.parametrize("name", of_kind("published"))
def test_published_analyses_add_up_as_transcribed(name: str) -> None:
    assert analysis_sum(MATERIALS[name]) == pytest.approx(PRINTED_SUMS[name], abs=0.06)


@pytest.mark.parametrize("name", of_kind("ideal"))
def test_ideal_rows_are_formulas_that_can_be_fired(name: str) -> None:
    material = MATERIALS[name]
    assert material.formula and not material.analysis and material.loi is None
    fired = fired_mineral(material.formula)
    assert set(material.volatile) == {s for s, n in fired.volatiles if n > 0 and s != "O2"}


def test_a_formula_alias_is_the_materials_own_formula() -> None:
    for m in MATERIALS.values():
        if m.kind != "ideal" or m.formula is None:
            continue
        whole = fired_mineral(m.formula)
        for alias in m.aliases:
            if alias == "CuCO3":  # what a potter calls so is the basic carbonate
                continue
            if re.fullmatch(r"[A-Z][A-Za-z0-9.()]*[0-9)][A-Za-z0-9.()]*", alias):
                other = fired_mineral(alias)
                share = [n / whole.raw_g_per_mol for n in whole.moles]
                assert [n / other.raw_g_per_mol for n in other.moles] == pytest.approx(share), alias


@pytest.mark.parametrize("name", list(MATERIALS))
def test_figures_are_within_reason(name: str) -> None:
    m = MATERIALS[name]
    assert m.density is not None and 1.2 <= m.density <= 9.6
    assert m.usual_low is not None and m.usual_high is not None and 0 < m.usual_low < m.usual_high <= 100
    assert m.spread_percent is None or 0.2 <= m.spread_percent <= 30
    assert m.plastic <= (m.family == "clay"), "only clays are plastic"
    assert all(0 < a.amount <= 100 for a in m.analysis)
    assert not m.analysis or m.loi is not None or "no loss on ignition given" in m.notes


# Densities [g/mL]: CRC Handbook of Chemistry and Physics, 97th ed., through a public transcription.
CRC_DENSITY = {
    "Silica": 2.648, "Alumina": 3.95, "Whiting": 2.710, "Magnesite": 3.037, "Barium carbonate": 4.286,
    "Strontium carbonate": 3.500, "Siderite": 3.944, "Soda ash": 2.532, "Pearl ash": 2.428, "Fluorspar": 3.180,
    "Tricalcium phosphate": 3.140, "Borax, anhydrous": 2.367, "Boric oxide": 2.460, "Titania": 4.230,
    "Zinc oxide": 5.606, "Red iron oxide": 5.242, "Black iron oxide": 5.170, "Copper oxide": 6.310,
    "Cobalt(II) oxide": 6.440, "Nickel oxide": 6.670, "Chrome oxide": 5.220, "Magnesia": 3.580, "Quicklime": 3.340,
    "Silicon carbide": 3.210,
}  # fmt: skip


def test_densities_agree_with_the_handbook() -> None:
    for name, density in CRC_DENSITY.items():
        assert MATERIALS[name].density == pytest.approx(density, abs=0.006), name
        assert MATERIALS[name].source == "formula_crc"
    assert {m.name for m in MATERIALS.values() if m.source == "formula_crc"} == set(CRC_DENSITY)


# A typical row must be near a certified standard of the same rock [weight %, absolute].
# NBS standard reference materials 70a, 99a, 97a, 98a, 88b, 1d, 679: certificates, from memory.
@pytest.mark.parametrize(
    ("typical", "certified", "within"),
    [
        ("Potash feldspar", "Feldspar, potash (certified standard 70a)", 1.0),
        ("Soda feldspar", "Feldspar, soda (certified standard 99a)", 3.1),
        ("Dolomite", "Dolomitic limestone (certified standard 88b)", 0.6),
        ("Limestone", "Limestone, clayey (certified standard 1d)", 3.2),
        ("Ball clay", "Clay, plastic (certified standard 98a)", 5.2),
        ("Kaolin", "Kaolin (published 1886)", 0.9),
        ("Talc", "Steatite, white (published 1884)", 4.4),
    ],
)
def test_typical_analyses_are_like_measured_ones(typical: str, certified: str, within: float) -> None:
    one, other = oxides(MATERIALS[typical]), oxides(MATERIALS[certified])
    for symbol in {*one, *other}:
        assert one.get(symbol, 0) == pytest.approx(other.get(symbol, 0), abs=within), symbol


# Soda-lime glass of NBS 1830 (float) and 621 (container), weight %: certificates, from memory.
@pytest.mark.parametrize(
    ("name", "measured", "within"),
    [
        ("Window glass cullet", {"SiO2": 73.07, "CaO": 8.56, "MgO": 3.90, "Na2O": 13.75, "Al2O3": 0.12}, 0.8),
        ("Bottle glass cullet", {"SiO2": 71.13, "CaO": 10.71, "MgO": 0.27, "Na2O": 12.74, "Al2O3": 2.76}, 1.3),
    ],
)
def test_cullet_is_like_standard_glass(name: str, measured: dict[str, float], within: float) -> None:
    for symbol, percent in measured.items():
        assert oxides(MATERIALS[name])[symbol] == pytest.approx(percent, abs=within), symbol


def test_certified_lithium_minerals() -> None:
    # NBS 181 spodumene 6.39 %, 182 petalite 4.34 %, 183 lepidolite 4.12 % Li2O (withdrawn standards, from memory)
    for name, percent, within in [("Spodumene", 6.39, 1.1), ("Petalite", 4.34, 0.3), ("Lepidolite", 4.12, 0.3)]:
        assert oxides(MATERIALS[name])["Li2O"] == pytest.approx(percent, abs=within)


# Words a potter writes and the material meant: common practice, no source.
@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("china clay", "Kaolin"), ("flint", "Silica"), ("quartz", "Silica"), ("silica 325 mesh", "Silica"),
        ("calcium carbonate", "Whiting"), ("chalk", "Whiting"), ("neph sy", "Nepheline syenite"),
        ("potash spar", "Potash feldspar"), ("k-spar", "Potash feldspar"), ("feldspar", "Potash feldspar"),
        ("rio", "Red iron oxide"), ("ferric oxide", "Red iron oxide"), ("magnetite", "Black iron oxide"),
        ("zinc", "Zinc oxide"), ("tin", "Tin oxide"), ("potash", "Pearl ash"), ("washing soda", "Washing soda"),
        ("cornwall stone", "Cornish stone"), ("gibbsite", "Alumina hydrate"), ("cobalt carb", "Cobalt carbonate"),
        ("copper carb", "Copper carbonate"), ("manganese", "Manganese dioxide"), ("zirconium silicate", "Zircon"),
        ("borax", "Borax"), ("ash", "Wood ash"), ("lithium carb", "Lithium carbonate"), ("titanium dioxide", "Titania"),
        ("saltpetre", "Potassium nitrate"), ("plaster of paris", "Plaster"), ("caco3", "Whiting"), ("sio2", "Silica"),
    ],
)  # fmt: skip
def test_a_potters_word_finds_its_material(word: str, name: str) -> None:
    assert BY_WORD[word] == name


def required() -> Iterator[str]:
    yield from (
        "kaolin", "ball clay", "stoneware clay", "red clay", "bentonite", "potash feldspar", "soda feldspar",
        "nepheline syenite", "quartz", "whiting", "dolomite", "magnesite", "talc", "wollastonite", "zinc oxide",
        "barium carbonate", "strontium carbonate", "lithium carbonate", "spodumene", "petalite", "lepidolite",
        "bone ash", "colemanite", "ulexite", "borax", "boric acid", "alumina", "alumina hydrate", "titania", "rutile",
        "ilmenite", "zircon", "tin oxide", "red iron oxide", "black iron oxide", "yellow iron oxide", "ochre", "umber",
        "cobalt oxide", "copper oxide", "manganese dioxide", "chrome oxide", "nickel oxide", "cryolite", "fluorspar",
        "pearl ash", "soda ash", "wood ash", "volcanic ash", "pumice", "cornish stone", "granite", "basalt",
        "slip clay", "calcined kaolin", "ideal kaolin", "pyrophyllite", "kyanite", "gypsum", "epsom salt",
        "sodium silicate", "anorthite", "sand", "grog", "white lead", "litharge", "red lead", "galena",
        "silicon carbide", "graphite", "cullet", "high-calcium borosilicate frit", "soda-lime borosilicate frit",
        "alkali frit", "strontium frit", "alkali borosilicate frit", "polyacrylate deflocculant", "hectorite",
        "gum tragacanth", "xanthan gum", "dextrin", "chrome-tin stain", "vanadium-zircon stain", "praseodymium yellow",
        "encapsulated cadmium red", "cobalt aluminate", "black stain", "iron-manganese slip clay",
    )  # fmt: skip


def test_the_shelf_holds_what_the_trade_uses() -> None:
    assert [word for word in required() if word not in BY_WORD] == []


def test_what_is_harmful_says_so() -> None:
    # An oxide or element that can harm, and the hazard its materials must name: common practice, no source.
    needs = {"PbO": "lead_dust", "CdO": "cadmium_dust", "BaO": "barium", "CoO": "cobalt_dust", "NiO": "nickel_dust",
             "V2O5": "vanadium_dust", "Sb2O3": "antimony_dust", "CuO": "copper_dust"}  # fmt: skip
    for m in MATERIALS.values():
        held = (
            {o: n for o, n in zip(SYMBOLS, fired_mineral(m.formula).moles, strict=True) if n}
            if m.formula
            else {o: a for o, a in oxides(m).items() if a > 1}
        )
        for symbol, hazard in needs.items():
            if symbol in held and m.name != "Barium sulphate":
                assert any(h.startswith(hazard) for h in m.hazards), (m.name, hazard)
        if m.family in ("clay", "feldspar", "silica"):
            dusts = {"silica_dust", "lithium_dust", "glass_silica_dust"}
            assert dusts & set(m.hazards) or "ash" in m.name, m.name


def test_glass_is_not_told_to_be_crystalline() -> None:
    """Cullet and fused silica are glasses (common practice, no source)."""
    for name in ("Window glass cullet", "Bottle glass cullet", "Green bottle glass cullet", "Fused silica"):
        assert "silica_dust" not in MATERIALS[name].hazards and MATERIALS[name].hazards


@pytest.mark.parametrize(
    ("name", "hazards"),
    [
        ("Molybdenum trioxide", {"molybdenum_dust", "molybdenum_firing"}), ("Vanadium pentoxide", {"vanadium_firing"}),
        ("Stain, encapsulated cadmium red", {"cadmium_capsule", "cadmium_dust", "cadmium_food", "cadmium_firing"}),
        ("Stain, vanadium-zircon blue", {"vanadium_dust", "vanadium_firing"}),
        ("Slip clay, iron-manganese", {"manganese_dust", "manganese_firing", "silica_dust"}),
    ],
)  # fmt: skip
def test_what_the_classes_and_the_kiln_make_of_it(name: str, hazards: set[str]) -> None:
    """Regulation (EC) 1272/2008 (CLP), Annex VI: molybdenum trioxide, carcinogenic category 2 (from memory)."""
    assert hazards <= set(MATERIALS[name].hazards)


def test_the_grade_of_the_respirator_is_named() -> None:
    """P100 (NIOSH, 42 CFR 84) or P3 (EN 143, EN 149 FFP3) filters hold fine dust (from memory)."""
    from glazecalc.jobs.cautions import DRY_POWDER

    assert "P100 or P3 respirator" in DRY_POWDER


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        ("Frit, soda with little boron", {"Na2O": 14, "B2O3": 1}, {"Na2O": 16, "B2O3": 5}),
        ("Frit, boron-rich soda borosilicate", {"Na2O": 9, "B2O3": 26}, {"Na2O": 11, "B2O3": 28}),
        ("Slip clay, iron-manganese", {"Fe2O3": 15, "MnO": 2}, {"Fe2O3": 30, "MnO": 8}),
        ("Magnesium clay suspender", {"MgO": 20}, {"MgO": 30}),
    ],
)
def test_kinds_of_which_a_potter_needs_the_figures(words: str, low: dict[str, float], high: dict[str, float]) -> None:
    held = oxides(MATERIALS[words])
    assert all(low[o] <= held[o] <= high[o] for o in low)


def test_nothing_bears_a_makers_number() -> None:
    for m in MATERIALS.values():
        if m.name.startswith("Frit,"):
            assert not re.search(r"\d", " ".join((m.name, *m.aliases))), m.name
