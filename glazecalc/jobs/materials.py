"""What a material is: which one a word on a card means, what hurts in it, what is known of it, what is on the shelf."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import (
    MaterialTable,
    fired_mass,
    material_table,
    moles_per_gram,
    typical_spread_percent,
)
from glazecalc.chemistry.formulas import FormulaError
from glazecalc.chemistry.oxides import MOLAR_MASSES, OXIDES
from glazecalc.jobs.cautions import AT_THE_BENCH, DRY_POWDER, EVERY_POWDER, hazard_sentence
from glazecalc.jobs.naming import MOST_OFFERED, asks_for, forms_of, offered, words_of
from glazecalc.values.answers import Problem, did_you_mean, error, remark, stop_at_errors
from glazecalc.values.arrays import Array
from glazecalc.values.data import read_table, sources
from glazecalc.values.inputs import Material, OxideAmount, Recipe, RecipeLine, Studio
from glazecalc.values.names import fold
from glazecalc.values.results.formula import MaterialFacts
from glazecalc.values.texts import begun, phrase, typed

FAR_BEYOND: Final = 1.5
"""How many times beyond its usual range an amount is remarked on."""
FAR_BEYOND_COLOUR: Final = 1.2
"""The same, above the range of a colourant or an opacifier, which are strong and some of them poisonous."""


# What hurts in a material: what is written of it, and what follows from its analysis.

POISONS_OF: Final[dict[str, tuple[float, tuple[str, ...]]]] = {
    "PbO": (0.05, ("lead_dust", "lead_food", "lead_firing")),
    "CdO": (0.02, ("cadmium_dust", "cadmium_food", "cadmium_firing")),
    "As2O3": (0.05, ("arsenic_dust", "arsenic_food")),
    "BeO": (0.02, ("beryllium_dust",)),
    "BaO": (1.0, ("barium_dust", "barium_food")),
    "Sb2O3": (0.5, ("antimony_dust", "antimony_food")),
    "V2O5": (0.5, ("vanadium_dust", "vanadium_food")),
    "NiO": (0.5, ("nickel_dust", "nickel_food")),
    "CoO": (0.5, ("cobalt_dust", "cobalt_food")),
    "Cr2O3": (0.5, ("chrome_dust", "chromate_firing")),
    "MnO": (1.0, ("manganese_dust", "manganese_firing")),
    "CuO": (0.5, ("copper_dust", "copper_food")),
    "Li2O": (1.0, ("lithium_dust", "lithium_food")),
    "ZnO": (5.0, ("zinc_firing", "zinc_food")),
}
"""Oxide: the weight % of a material from which it counts (common practice, no source), and the rows of ``hazards.csv``
that follow."""
UNINVITED: Final = ("lead", "cadmium", "arsenic", "beryllium", "barium", "antimony", "vanadium", "chromate", "nickel",
                    "manganese")  # fmt: skip
"""Metals of ``hazards.csv`` that no change brings into a recipe unless the potter names the material, the worst first.
"""


def metals_in(hazards: Iterable[str]) -> set[str]:
    """The metals that rows of ``hazards.csv`` are about."""
    wanted = set(hazards)
    return {row["metal"] for row in read_table("hazards") if row["id"] in wanted and row["metal"]}


def hazards_of(material: Material) -> tuple[str, ...]:
    """The hazards of a material: those written of it, and those that follow from its analysis."""
    grams = _grams(material)
    percent = {} if grams is None else dict(zip(OXIDES, grams.tolist(), strict=True))
    return (*hazards_by_analysis(percent, material.hazards), *material.hazards)


def _grams(material: Material) -> Array | None:
    """Oxides in 100 g of a material [g], (k,); None where its formula cannot be read."""
    try:
        return np.asarray(100 * moles_per_gram(material) * MOLAR_MASSES)
    except FormulaError:
        return None


def hazards_by_analysis(percent: Mapping[str, float], written: Sequence[str] = ()) -> tuple[str, ...]:
    """Rows of ``hazards.csv`` that follow from oxides in weight %, beyond those ``written`` already."""
    known = metals_in(written)
    return tuple(
        row
        for oxide, (least, rows) in POISONS_OF.items()
        if percent.get(oxide, 0.0) >= least and known.isdisjoint(metals_in(rows))
        for row in rows
    )


def guarded(material: Material) -> Material:
    """The material with the hazards that follow from its analysis."""
    hazards = hazards_of(material)
    return material if hazards == material.hazards else material.model_copy(update={"hazards": hazards})


def poisonous(material: Material) -> bool:
    """Whether a material holds what no change brings into a recipe uninvited."""
    return not metals_in(hazards_of(material)).isdisjoint(UNINVITED)


_GRAINS: Final = re.compile(r"\b(?:sand|grog|chamotte|gravel|grit|pebbles?|coarse|granular)\b", re.IGNORECASE)
_GROUND: Final = re.compile(r"\b(?:ground|milled|powder(?:ed)?|flour|fine|\d{2,4} ?mesh)\b", re.IGNORECASE)


def coarse(material: Material) -> bool:
    """Whether a material is grains by its name, as sand and grog are: they hardly melt into a glaze, so no change
    brings them in uninvited (common practice, no source)."""
    return bool(_GRAINS.search(material.name)) and not _GROUND.search(material.name)


def hazard_lines(ids: tuple[str, ...]) -> tuple[str, ...]:
    """The hazard statements of those ids, each with its advice, in the table's order; then what all powders ask."""
    wanted = set(ids)
    rows = [row for row in read_table("hazards") if row["id"] in wanted]
    named = (row for row in rows if row["id"] not in EVERY_POWDER)
    lines = tuple(begun(hazard_sentence(row)) for row in named)
    return (*lines, DRY_POWDER) if any(row["when"] in AT_THE_BENCH for row in rows) else lines


# What to know of a material that comes into a recipe: whether it dissolves in the slip, what it does to people.

EVERYDAY_DUST: Final = frozenset({"silica_dust", "inert_dust", "frit_dust"})
"""Hazards of nearly every glaze powder, said under the cautions of the whole recipe and not for each newcomer."""


def newcomers(materials: Sequence[Material], before: Array, after: Array) -> tuple[str, ...]:
    """Warnings about materials with nothing in ``before`` (m,) and something in ``after`` (m,)."""
    new = [materials[int(i)] for i in np.flatnonzero((after > 0) & (before <= 0))]
    lines = dict.fromkeys(line for m in new for line in material_warnings(m))
    return (*(line for line in lines if line != DRY_POWDER), *((DRY_POWDER,) if DRY_POWDER in lines else ()))


def material_warnings(material: Material) -> list[str]:
    """Warnings about one material coming into a recipe."""
    warnings = []
    if material.solubility == "soluble":
        warnings.append(
            f"{material.name} dissolves in the glaze water: it moves as the coat dries and upsets the slip."
        )
    if material.solubility == "partly":
        warnings.append(f"{material.name} is partly soluble: a slip that stands for weeks may thicken or set.")
    known = tuple(h for h in material.hazards if h not in EVERYDAY_DUST)
    warnings += [
        line if line == DRY_POWDER else f"{material.name}: {line[:1].lower()}{line[1:]}" for line in hazard_lines(known)
    ]
    return warnings


# What hurts in a material of which only an analysis is known: what follows from its kind and oxides, marked so.

FROM_KIND: Final = "from_kind"
"""The row of ``hazards.csv`` that marks hazards nobody read on a sheet."""
ALIKE_PERCENT: Final = 8.0
"""Weight % by which an analysis may differ from that of the kind it is taken for (a judgement)."""


def with_hazards(material: Material, built_in: Iterable[Material]) -> tuple[Material, tuple[Problem, ...]]:
    """The material with the hazards of its kind, told by its name or its analysis, and of the oxides it holds; and a
    remark. One with hazards of its own, or of no known kind and with no poison, is left as it is."""
    if material.hazards:
        return material, ()
    kind = kind_of_material(material, tuple(built_in))
    borrowed = () if kind is None else kind.hazards
    hazards = tuple(dict.fromkeys((*hazards_of(material), *borrowed)))
    if not hazards:
        return material, ()
    update = {"hazards": (*hazards, FROM_KIND), "family": material.family or ("" if kind is None else kind.family)}
    as_what = "from its analysis" if kind is None else f"as for {kind.name}"
    text = f"{material.name}: its hazards are filled in {as_what} ({', '.join(hazards)}) and marked so"
    hint = "put what the supplier's safety data sheet says into the column hazards of materials.csv"
    return material.model_copy(update=update), (remark("hazards-from-kind", text, hint),)


def kind_of_material(material: Material, built_in: tuple[Material, ...]) -> Material | None:
    """The built-in material whose name is in this one's, the longest; else the one of nearest analysis, if near.

    One of that name that holds other oxides is passed over: `lead` in a name does not make it lead.
    """
    words = set(fold(material.name).split())
    named = [
        (len(parts), m)
        for m in built_in
        for name in (m.name, *m.aliases)
        if (parts := fold(name).split())
        and words.issuperset(parts)
        and difference_percent(m, material) <= 3 * ALIKE_PERCENT
    ]
    if named:
        return max(named, key=lambda pair: pair[0])[1]
    least, kind = min(((difference_percent(material, m), m) for m in built_in), key=lambda pair: pair[0])
    return kind if least <= ALIKE_PERCENT else None


def difference_percent(one: Material, other: Material) -> float:
    """Weight % of a material that is other oxides, or loss, than in another; 100 where one cannot be worked out."""
    here, there = _grams(one), _grams(other)
    return 100.0 if here is None or there is None else float(np.abs(here - there).sum() / 2)


# Which material a word means.

_BRACKETS: Final = re.compile(r"([^()]{2,80})\(([^()]{2,80})\)")
_FINENESS: Final = re.compile(r"\d{2,4} ?(?:m|mesh)|powder(?:ed)?|ground|fine|granular", re.IGNORECASE)


@dataclass(frozen=True)
class Pantry:
    """Every material that can be meant, by its folded names."""

    materials: tuple[Material, ...]
    _by_name: dict[str, Material] = field(repr=False, compare=False)
    _guarded: dict[str, Material] = field(default_factory=dict, repr=False, compare=False)

    def find(self, name: str) -> Material | None:
        """The material of that name or alias, or None.

        A plural, a mesh size, the order of words and the trade's abbreviations are forgiven.
        """
        for candidate in forms_of(name):
            material = self._by_name.get(candidate)
            if material is None and any(word.isalpha() and len(word) > 2 for word in candidate.split()):
                material = self._by_words.get(words_of(candidate))
            if material is not None:
                if candidate not in self._guarded:
                    self._guarded[candidate] = guarded(material)
                return self._guarded[candidate]
        return self._both(name)

    def _both(self, name: str) -> Material | None:
        """The material of a name with brackets, `Tin oxide (SnO2)`, where what is in them is the same or a mesh."""
        match = _BRACKETS.fullmatch(name.strip())
        if match is None:
            return None
        outer, inner = self.find(match[1]), self.find(match[2])
        return outer if outer is not None and (inner is outer or _FINENESS.fullmatch(match[2].strip())) else None

    @cached_property
    def _by_words(self) -> dict[str, Material]:
        """The materials by the bag of words of a name; a bag that two of them share is left out."""
        bags: dict[str, Material | None] = {}
        for folded, material in self._by_name.items():
            bag = words_of(folded)
            bags[bag] = material if bags.get(bag, material) is material else None
        return {bag: material for bag, material in bags.items() if material is not None}

    def holding(self, words: str) -> tuple[Material, ...]:
        """Every material of which the name or an alias holds all of ``words``, whole or as the beginning of a word."""
        wanted = fold(words).split()

        def holds(name: str) -> bool:
            return all(any(word.startswith(start) for word in fold(name).split()) for start in wanted)

        return tuple(m for m in self.materials if wanted and any(map(holds, (m.name, *m.aliases))))

    def names(self) -> list[str]:
        """Every name and alias, for suggestions."""
        return [name for m in self.materials for name in (m.name, *m.aliases)]


def pantry(
    built_in: Iterable[Material], own: Sequence[Material] = (), aliases: Sequence[tuple[str, str]] = ()
) -> Pantry:
    """A pantry in which an own material beats a built-in one of the same name or alias.

    ``aliases`` are the potter's own words, each with the name of a material; they beat both.
    """
    own_names = {fold(m.name) for m in own}
    materials = tuple(own) + tuple(m for m in built_in if fold(m.name) not in own_names)
    by_name: dict[str, Material] = {}
    for name, material in ((m.name, m) for m in materials):
        by_name.setdefault(fold(name), material)
    for name, material in ((alias, m) for m in materials for alias in m.aliases):
        by_name.setdefault(fold(name), material)
    shelf = Pantry(materials, by_name)
    known = {fold(word): meant for word, name in aliases if (meant := shelf.find(name)) is not None}
    return Pantry(materials, by_name | known) if known else shelf


@dataclass(frozen=True, slots=True)
class ResolvedLine:
    """A line of a recipe and the material it means, or what stands in for one that is not ``known``."""

    line: RecipeLine
    material: Material
    known: bool = True


MOST_UNKNOWN: Final = 10.0
"""Percent of a batch that may be of unknown materials without stopping a job; it is doubt in the answer (judgement)."""


def unknown_lines(recipe: Recipe, shelf: Pantry) -> tuple[RecipeLine, ...]:
    """The lines whose materials are not known."""
    return tuple(line for line in recipe.lines if shelf.find(line.material) is None)


def unknown_percent(recipe: Recipe, unknown: Sequence[RecipeLine]) -> float:
    """The share of some lines in the whole batch [%]."""
    return 100.0 * sum(line.amount for line in unknown) / ((recipe.base_total + recipe.addition_total) or 1.0)


def only_doubt(recipe: Recipe, shelf: Pantry) -> bool:
    """Whether the unknown materials of a glaze are so little that an answer is only less sure for them."""
    unknown = unknown_lines(recipe, shelf)
    return (
        0 < len(unknown) < len(recipe.lines)
        and recipe.kind == "glaze"
        and unknown_percent(recipe, unknown) <= MOST_UNKNOWN
    )


def stand_in(name: str) -> Material:
    """What stands in a batch for a material that is not known: it is weighed, and leaves nothing in the fire."""
    ash = (OxideAmount(oxide="SiO2", amount=0.01),)
    return Material(name=name, kind="typical", analysis=ash, loi=99.99, hazards=("not_entered",), family="unknown")


def is_stand_in(material: Material) -> bool:
    """Whether a material stands in for one that is not known."""
    return material.family == "unknown"


def resolve(
    recipe: Recipe, shelf: Pantry, *, doubt: bool = False
) -> tuple[tuple[ResolvedLine, ...], tuple[Problem, ...]]:
    """The materials of a recipe's lines, and every problem with them found in one pass.

    With ``doubt`` a small share of unknown materials is a remark, and each has a stand-in.
    """
    resolved: list[ResolvedLine] = []
    problems: list[Problem] = []
    lenient = doubt and only_doubt(recipe, shelf)
    for line in recipe.lines:
        material = shelf.find(line.material)
        if material is not None:
            problems += (*_formula_problem(material), *_unusual_amount(recipe, line, material))
            resolved.append(ResolvedLine(line, material))
        elif lenient:
            problems.append(_in_doubt(recipe, line, shelf))
            resolved.append(ResolvedLine(line, stand_in(line.material), known=False))
        else:
            problems.append(_unknown(recipe, line, shelf, len(problems) < MOST_ADVISED))
    return tuple(resolved), tuple(problems)


VERY_CLOSE: Final = 0.75
"""Likeness (0 to 1: letters changed, dropped, doubled or swapped, against the length of the longer name) from which a
name is taken for a slip of another; of 600 made slips it finds 97 in 100, where difflib's matching found 95."""
SAME_WORD: Final = 0.6
"""Likeness of the first word from which a spar or clay is taken for a slip of another: brands are not."""
_KINDS: Final = frozenset({"spar", "feldspar", "felspar", "clay"})
_ADD: Final = "glazecalc materials --add SHEET.csv"
_TRADE_NAME: Final = (
    "if it is a trade name, the bag says what kind it is (kaolin, potash feldspar, a frit...): write the kind, or add "
    "the bag's analysis" + typed(f": {_ADD}")
)


def very_close(name: str, choices: Iterable[str]) -> tuple[str, ...]:
    """The names of which ``name`` is likely a slip, best first; none where it only looks a little like them.

    >>> very_close("Whitting", ["Whiting", "Talc"]), very_close("Valley spar", ["Soda spar"])
    (('Whiting',), ())
    """
    from rapidfuzz import process
    from rapidfuzz.distance import DamerauLevenshtein

    folded: dict[str, str] = {}
    for choice in choices:
        folded.setdefault(fold(choice), choice)
    alike = DamerauLevenshtein.normalized_similarity
    near = process.extract(fold(name)[:80], list(folded), scorer=alike, score_cutoff=VERY_CLOSE, limit=3)
    close = [match[0] for match in near]
    words = fold(name).split()
    if words and words[-1] in _KINDS:
        close = [f for f in close if alike(words[0], f.split()[0]) >= SAME_WORD]
        close.sort(key=lambda f: "soda" in f or "sodium" in f)
    return tuple(folded[f] for f in close)


def _poison_for_harmless(name: str, offered: Material | None) -> bool:
    """Whether a poisonous material would be offered for a name that does not ask for the poison: lead for leadless."""
    if offered is None:
        return False
    held = metals_in(hazards_of(offered)).intersection(UNINVITED)
    return bool(held) and not any(asks_for(name, metal) for metal in held)


def near_names(name: str, shelf: Pantry) -> tuple[str, ...]:
    """The names of which ``name`` is likely a slip, else those that hold its words; no poison for what is harmless."""
    near = very_close(name, shelf.names()) or tuple(m.name for m in shelf.holding(name)[:3])
    return tuple(n for n in near if not _poison_for_harmless(name, shelf.find(n)))


def what_to_write(name: str, shelf: Pantry) -> str:
    """The hint for a material that is not known: the names it is a slip of, the names that hold its words, or how to
    bring in a trade name."""
    near = near_names(name, shelf)
    if near:
        return phrase("did you mean {}? Or add its analysis|: {}|", " or ".join(near), _ADD)
    return _TRADE_NAME


def not_known(name: str, shelf: Pantry, option: str = "") -> Problem:
    """A name that no material bears, given to ``option`` of a command."""
    hint = did_you_mean(name, shelf.names()) or phrase("list them with|: glazecalc materials|")
    return error("unknown-material", f"{option and f'{option}: '}no material is called {name!r}", hint)


MOST_ADVISED: Final = 20
"""Unknown names of one card for which near names are looked up; looking for a thousand takes many seconds."""


def meant_by(recipe: Recipe, line: RecipeLine, shelf: Pantry) -> tuple[str, ...]:
    """What an unknown name of a recipe may be: the names it is a slip of, else what fits its form and its place.

    No poison is among them unless the name asks for it.
    """
    near = near_names(line.material, shelf)
    if near:
        return near
    others = [known.name for other in recipe.lines if (known := shelf.find(other.material)) is not None]
    percent = 100 * line.amount / (recipe.base_total or recipe.addition_total or 1.0)
    stains = [m for m in shelf.materials if fold(m.name).startswith("stain")] if "stain" in fold(line.material) else []
    kinds = [*stains[:MOST_OFFERED], *map(shelf.find, offered(line.material, others, percent, line.addition))]
    names = (k.name for k in kinds if k is not None and not _poison_for_harmless(line.material, k))
    return tuple(dict.fromkeys(names))[:MOST_OFFERED]


def _unknown(recipe: Recipe, line: RecipeLine, shelf: Pantry, advised: bool) -> Problem:
    message = f"no material is called {line.material!r}"
    near = near_names(line.material, shelf) if advised else ()
    kinds = near or (meant_by(recipe, line, shelf) if advised else ())
    meant = f"{line.material}={kinds[0] if len(kinds) == 1 else 'MATERIAL'}".replace("'", "")
    say = phrase('say it| with --as| "{}"', meant)
    if near:
        hint = phrase("did you mean {}? {}, or add its analysis|: {}|", " or ".join(near), begun(say), _ADD)
        return error("unknown-material", message, hint, recipe.file, line.line)
    if kinds:
        message += f"; which of these is it: {'; '.join(kinds)}?"
    return error("unknown-material", message, say + "; " + _TRADE_NAME, recipe.file, line.line)


def _in_doubt(recipe: Recipe, line: RecipeLine, shelf: Pantry) -> Problem:
    percent = unknown_percent(recipe, (line,))
    text = f"{line.material!r} is not known: its {percent:.2g} % of the batch is counted as doubt in the answer"
    kinds = meant_by(recipe, line, shelf)
    asked = f"which of these is it: {'; '.join(kinds)}? " if kinds else ""
    hint = phrase('{}Say it| with --as| "{}=MATERIAL"', asked, line.material)
    return remark("unknown-share", text, hint, recipe.file, line.line)


def _formula_problem(material: Material) -> list[Problem]:
    try:
        moles_per_gram(material)
    except FormulaError as exc:
        return [error("formula", f"{material.name}: {exc}", exc.hint, material.file, material.line)]
    return []


def _unusual_amount(recipe: Recipe, line: RecipeLine, material: Material) -> list[Problem]:
    if recipe.kind != "glaze" or not recipe.base_total:
        return []
    percent = 100 * line.amount / recipe.base_total
    low, high = material.usual_low, material.usual_high
    beyond = FAR_BEYOND_COLOUR if material.family in ("colourant", "opacifier") else FAR_BEYOND
    text, at = f"{line.material} at {percent:.3g} % of the base is", ("check the decimal point", recipe.file, line.line)
    if high is not None and percent > high * beyond:
        return [remark("unusual-amount", f"{text} more than is usual ({high:g} % at most)", *at)]
    if low is not None and percent < low / FAR_BEYOND:
        return [remark("unusual-small-amount", f"{text} less than is usual ({low:g} % at least)", *at)]
    return []


def table_of(lines: Sequence[ResolvedLine]) -> MaterialTable:
    """The materials of resolved lines as arrays, a row per line."""
    return material_table([r.material for r in lines])


# What is known of one raw material: analysis, unity form, loss, hazards, source.


def material_facts(material: Material) -> MaterialFacts:
    """The facts of one material.

    Raises
    ------
    ProblemsError
        if its formula cannot be read.
    """
    stop_at_errors(_formula_problem(material))
    moles = moles_per_gram(material)
    grams = 100 * moles * MOLAR_MASSES
    stated = material.spread_percent
    left = 100 * (1 - float(fired_mass(moles)))
    return MaterialFacts(
        material=material,
        oxides=tuple((OXIDES[i], float(grams[i])) for i in range(len(OXIDES)) if grams[i] > 0),
        moles_per_100g=tuple((OXIDES[i], 100 * float(moles[i])) for i in range(len(OXIDES)) if moles[i] > 0),
        loss_on_ignition_percent=left if material.loi is None or not material.analysis else material.loi,
        left_by_oxides_percent=left,
        spread_percent=typical_spread_percent(material.kind) if stated is None else stated,
        hazards=hazard_lines(hazards_of(material)),
        source=sources().get(material.source, material.source),
    )


# What is on the shelf: the studio's stock and its own materials, or what most potters have.

USUAL_SHELF: Final = (
    "Silica", "Kaolin", "Ball clay", "Potash feldspar", "Soda feldspar", "Nepheline syenite", "Whiting", "Dolomite",
    "Talc", "Wollastonite", "Zinc oxide", "Frit, high-calcium borosilicate", "Spodumene", "Strontium carbonate",
)  # fmt: skip
"""Taken where a studio says nothing of its shelf (common practice, no source)."""
MOST_STRANGE: Final = 10
"""Unknown names in stock.csv that are told one by one."""


def shelf_of(studio: Studio, pantry: Pantry | None = None) -> tuple[tuple[str, ...], tuple[Problem, ...]]:
    """Names of the materials on the shelf, and a remark where they had to be assumed, or where ``pantry`` does not
    know one."""
    stock, own = tuple(name for name, grams in studio.stock if grams > 0), tuple(m.name for m in studio.materials)
    if stock:
        strange = [name for name in stock if pantry is not None and pantry.find(name) is None][:MOST_STRANGE]
        hint = typed(f"write it as glazecalc materials lists it, or add its analysis: {_ADD}")
        left_out = "in stock.csv is no material that is known: it is left out"
        return stock + own, tuple(remark("stock-unknown", f"{name[:60]!r} {left_out}", hint) for name in strange)
    message = "no stock.csv in the studio: a usual potter's shelf is assumed beside the recipe's own materials"
    hint = phrase("list yours in stock.csv (name,grams), or name them| with --use|")
    return (*USUAL_SHELF, *own), (remark("no-stock", message, hint),)
