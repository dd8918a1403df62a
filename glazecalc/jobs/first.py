"""The job behind `first`: of a small set of bases the one that `check` itself judges best for this clay, cone, kiln
and shelf; 100 g of it on this scale, and four tiles.

The bases are composed for this project (``materials/first_glazes.csv``) and are made of plain materials. A material of
the shelf stands in for one of the same kind and nearly the same analysis.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Final, NamedTuple

from glazecalc.files.studio import NOT_WEIGHED_G
from glazecalc.jobs.amount import coat_on, slurry_figure
from glazecalc.jobs.body import usual_cone
from glazecalc.jobs.check import before_it_is_plugged_in, check
from glazecalc.jobs.materials import Pantry, difference_percent
from glazecalc.jobs.reach import ceiling_of, reaches
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.tile_places import TEST_TILE
from glazecalc.values.answers import Answer, Problem, ProblemsError, error, remark
from glazecalc.values.cones import Cone
from glazecalc.values.data import read_table
from glazecalc.values.inputs import ConeRange, Material, Piece, Recipe, RecipeLine, Studio
from glazecalc.values.names import kiln_command, quoted, studio_option
from glazecalc.values.results.weigh import Candidate, FirstGlaze, FirstTile, WeighResult
from glazecalc.values.texts import phrase

BATCH_G: Final = 100.0
"""Dry glaze of the first batch [g]."""
CARD: Final = "first-glaze.txt"
_ALIKE_PERCENT: Final = 6.0
"""Weight % of a material that may be other oxides than those of the one it stands in for (a judgement)."""
_BY_WARE: Final = {"earthenware": "04", "terracotta": "04", "raku": "06", "stoneware": "6", "porcelain": "6"}
"""Cone of a clay of which no more is known than its sort (common practice, no source)."""


class Base(NamedTuple):
    """One of the bases to begin with: its card, and what it should look like."""

    recipe: Recipe
    looks: str


@cache
def bases() -> tuple[Base, ...]:
    """The bases, in the order of the table."""
    found = []
    citations = {known["id"]: known["citation"] for known in read_table("sources")}
    for row in read_table("first_glazes"):
        lines = []
        for part in row["batch"].split("; "):
            name, _, amount = part.removeprefix("+ ").rpartition(" ")
            lines.append(RecipeLine(material=name, amount=float(amount), addition=part.startswith("+ ")))
        cones = ConeRange(low=Cone(row["cone_low"]), high=Cone(row["cone_high"]))
        source = citations[row["source"]]
        recipe = Recipe(name=row["name"], cone=cones, surface=row["surface"], source=source, lines=tuple(lines))
        found.append(Base(recipe, row["looks"]))
    return tuple(found)


# Which cone, where none is asked for: one that the clay is made for and the kiln gets to.


def cone_to_begin_at(setup: Setup, studio: Studio, asked: Cone | None) -> tuple[Cone, tuple[Problem, ...]]:
    """The cone asked for; else the clay's usual one, or a cooler one of the bases where the kiln does not reach it; and
    a remark where it is not the usual one.

    Raises
    ------
    ProblemsError
        if neither clay nor studio says anything of a cone.
    """
    if asked is not None:
        return asked, ()
    clay, ware = setup.body, None if setup.body is None else setup.body.ware
    usual = studio.defaults.cone if clay is None else usual_cone(clay, studio.defaults.cone)
    remarks: tuple[Problem, ...] = ()
    if usual is None and ware in _BY_WARE:
        usual = Cone(_BY_WARE[ware])
        text = f"no cone is known for this clay: cone {usual} counts, as is usual for {ware}"
        remarks = (remark("first-cone", text, phrase("the bag says it; name it| with --cone|")),)
    if usual is None:
        hint = "name one| with --cone|: 06 or 04 for earthenware, 6 for most stoneware in a small kiln; the bag says it"
        raise ProblemsError([error("no-cone", "it is not known which cone to fire to", phrase(hint))])
    found, level = ceiling_of(setup), setup.limits.reach_percent / 100.0
    if setup.kiln is None or found is None or reaches(found, usual, level):
        return usual, remarks
    cones = {c for base in bases() if base.recipe.cone for c in (base.recipe.cone.low, base.recipe.cone.high)}
    low = None if clay is None else clay.cone_low
    within = [c for c in sorted(cones, reverse=True) if c < usual and (low is None or c >= low)]
    cooler = next((c for c in within if reaches(found, c, level)), None)
    if cooler is None:
        return usual, remarks
    text = f"{setup.kiln.name} does not surely reach cone {usual}: cone {cooler} counts, which it does"
    return cooler, (*remarks, remark("aimed-lower", text, "--cone asks for another"))


# What stands on the shelf, and what may stand in for what.


class Shelf:
    """The materials on the shelf with their grams."""

    def __init__(self, stock: Sequence[str], studio: Studio, pantry: Pantry) -> None:
        self._pantry = pantry
        weighed = ((pantry.find(name), grams) for name, grams in studio.stock if grams > NOT_WEIGHED_G)
        self._grams = {m.name: grams for m, grams in weighed if m is not None}
        self._there = {m.name: m for name in stock if (m := pantry.find(name)) is not None}

    def made_of(self, recipe: Recipe) -> tuple[Recipe, tuple[str, ...]]:
        """The recipe of what is there, and the materials it lacks."""
        lines, missing = [], []
        whole = recipe.base_total + recipe.addition_total
        for line in recipe.lines:
            least = BATCH_G * line.amount / whole
            material = self._stands_for(line.material, least)
            if material is None:
                missing.append(line.material)
            lines.append(line if material is None else line.model_copy(update={"material": material.name}))
        return recipe.model_copy(update={"lines": tuple(lines)}), tuple(missing)

    def _stands_for(self, name: str, least_g: float) -> Material | None:
        wanted = self._pantry.find(name)
        if wanted is None:
            return None
        enough = [m for m in self._there.values() if self._grams.get(m.name, least_g) >= least_g]
        if wanted.name in {m.name for m in enough}:
            return self._there[wanted.name]
        alike = [(difference_percent(m, wanted), m) for m in enough if m.family in ("", wanted.family)]
        return min(
            ((d, m) for d, m in alike if d <= _ALIKE_PERCENT), key=lambda pair: (pair[0], pair[1].name),
            default=(0.0, None),
        )[1]  # fmt: skip


# Which base, and what to do with it.

Weigher = Callable[[Recipe], tuple[WeighResult, tuple[Problem, ...]]]


def candidates(setup: Setup, shelf: Shelf, pantry: Pantry) -> tuple[Candidate, ...]:
    """Every base made of what is on the shelf, as `check` judges it, the best first."""
    found = []
    for base in bases():
        recipe, missing = shelf.made_of(base.recipe)
        result = check(recipe, pantry, setup)
        faults = [result.estimate(name) for name in ("crazing_probability", "shivering_probability")]
        known = [e.value for e in faults if e is not None]
        sound = max(1.0 - sum(known), 0.0) if len(known) == len(faults) else None
        found.append(Candidate(recipe, result, sound, missing, base.looks))

    def place(one: Candidate) -> tuple[float, ...]:
        answers = [v.answer for v in one.check.verdicts]
        against, open_ = answers.count(Answer.DOES_NOT_FIT), answers.count(Answer.CANNOT_SAY)
        return against, bool(one.missing), open_, -(one.sound or 0.0), len(one.recipe.lines)

    return tuple(sorted(found, key=place))


def tiles_of(solids_density: float, tile: Piece | None) -> tuple[FirstTile, ...]:
    """Four tiles, each with its dry glaze: thin, usual, thick, and one more where the kiln is coolest."""
    usual = slurry_figure("dry_coat")
    plan = (
        (usual.value / 2, "the middle of the shelf", "whether a thin coat is enough"),
        (usual.value, "the middle of the shelf", "how the glaze looks and fits: shock this one hot and cold"),
        (usual.value * 1.5, "upright in a dish of old clay", "whether it runs or crawls where it is thick"),
        (usual.value, "the coolest place: beside the door or low down", "whether it melts there too"),
    )
    return tuple(
        FirstTile(number, coat, coat_on(tile or TEST_TILE, solids_density, coat), place, tells)
        for number, (coat, place, tells) in enumerate(plan, start=1)
    )


def propose(
    found: Sequence[Candidate], cone: Cone, batch: Weigher, tile: Piece | None, folder: str,
    problems: tuple[Problem, ...],
) -> FirstGlaze:  # fmt: skip
    """The proposal from the bases as they were judged."""
    best = found[0]
    if best.answer is Answer.DOES_NOT_FIT:
        sentence = (
            f"None of the {len(found)} glazes to begin with will do at cone {cone}. The nearest: " + best.check.sentence
        )
        return FirstGlaze(
            best.answer, sentence, str(cone), None, tuple(found), None, (), (), _where_none_fits(best, folder), problems
        )
    sheet, of_scale = batch(best.recipe)
    tiles = tiles_of(sheet.water.solids_density.value, tile)
    lacking = (
        "" if not best.missing else f" Not on the shelf: {', '.join(best.missing)}; buy it before you weigh the batch."
    )
    return FirstGlaze(
        answer=best.answer,
        sentence=phrase("Begin with {}{}", best.check.sentence, lacking),
        cone=str(cone),
        chosen=best,
        others=tuple(found[1:]),
        batch=sheet,
        tiles=tiles,
        cautions=best.check.cautions,
        next_steps=_next(best, cone, folder),
        problems=(*problems, *of_scale, *best.check.problems),
    )


def _next(best: Candidate, cone: Cone, folder: str) -> tuple[str, ...]:
    kiln, on = best.check.kiln, "" if best.check.body is None else f" --body {quoted(best.check.body)}"
    plug_in = [] if kiln is None else before_it_is_plugged_in(best.check.verdicts, kiln_command(kiln, folder))
    where = studio_option(folder)
    path = CARD if folder in ("", ".") else f"{folder}/{CARD}"
    down = "Write each tile down as it comes out|: glazecalc record tile {}{} --cone {} --result RESULT|"
    return (
        phrase("Keep it as a card|: glazecalc first --cone {}{}{} -o {}|", cone, on, where, quoted(path)),
        phrase("Weigh the {100 g} with a fitted P100 or P3 respirator on")
        + ", stir it into the water, sieve it twice, "
        "glaze four bisque tiles and scratch their marks into the foot",
        *plug_in,
        phrase("Plan the firing|: glazecalc firing --cone {}{}|", cone, where),
        phrase(down, quoted(path), on, cone),
    )


def _where_none_fits(best: Candidate, folder: str) -> tuple[str, ...]:
    rules = {v.rule for v in best.check.verdicts if v.answer is Answer.DOES_NOT_FIT}
    steps = []
    if "clay_range" in rules:
        choose = "Choose a cone within the clay's own range| (--cone)|, or a clay made for this cone| (--body)|"
        steps.append(phrase(choose))
    if "kiln_reaches" in rules:
        steps.append(phrase("See what the kiln reaches|: glazecalc kiln{}|", studio_option(folder)))
    if "fit" in rules:
        steps.append("A clay of the same cone with another expansion may take it: ask its maker, or try --body")
    return (*steps, "Or begin with a jar glaze made for this clay and cone, and fire a tile of it")
