"""Opens what a command names: the studio, its pantry, its recipe cards and its journal; every problem in one pass."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from glazecalc.files.card import names_on, read_recipe
from glazecalc.files.card_head import is_sheet
from glazecalc.files.materials import built_in_materials
from glazecalc.files.studio import find_studio, read_studio
from glazecalc.files.writing import journal_exists
from glazecalc.jobs.aliases import aliases_said, remember
from glazecalc.jobs.materials import Pantry, pantry, resolve
from glazecalc.values.answers import Problem, ProblemsError, did_you_mean, error, remark
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Body, Circuit, Kiln, Material, Recipe, Scale, Studio, UnitChoice
from glazecalc.values.names import fold
from glazecalc.values.texts import phrase

if TYPE_CHECKING:
    from glazecalc.chemistry.composition import Composition
    from glazecalc.files.journal import Journal
    from glazecalc.values.records import FiringRecord, TileRecord

R = TypeVar("R")


@dataclass(frozen=True)
class Bench:
    """A studio opened for one command, with what its journal and cards teach of its clays and kilns."""

    studio: Studio
    pantry: Pantry
    recipes: tuple[Recipe, ...]
    problems: tuple[Problem, ...]

    @property
    def folder(self) -> Path:
        """The studio's folder."""
        return Path(self.studio.folder)

    def recorded(self, read: Callable[[Journal], tuple[R, ...]]) -> tuple[R, ...]:
        """What is read from the studio's journal; nothing where there is none."""
        if not journal_exists(self.folder):
            return ()
        from glazecalc.files.journal import Journal

        with Journal(self.folder) as journal:
            return read(journal)

    def tiles(self, body: Body) -> tuple[TileRecord, ...]:
        """What speaks of a clay: its recorded tiles, and its ``known_good`` glazes, each as one tile that stayed sound.

        Raises ProblemsError for a known good glaze without a card that can be used.
        """
        tiles = self.recorded(lambda journal: journal.tiles())
        own = (tile for tile in tiles if tile.body.casefold() == body.name.casefold())
        return (*own, *(_known_good(name, body, self.folder, self.pantry) for name in body.known_good))

    def firings(self, kiln: Kiln) -> tuple[FiringRecord, ...]:
        """The firings recorded of a kiln; one that names no kiln is taken as its only where the studio has no other."""
        own = ("", kiln.name.casefold()) if len(self.studio.kilns) == 1 else (kiln.name.casefold(),)
        return tuple(f for f in self.recorded(lambda journal: journal.firings()) if f.kiln.casefold() in own)

    def card_of(self, body: Body) -> tuple[Recipe | None, tuple[Problem, ...]]:
        """The clay's own card, named by ``recipe`` in studio.toml; a remark where it is not there or cannot be read."""
        if body.recipe is None:
            return None, ()
        path = self.folder / body.recipe
        path = path if path.is_file() else self.folder / f"{body.recipe}.txt"
        if not path.is_file():
            message = f"{body.name}: there is no recipe card {body.recipe!r}"
            return None, (remark("no-recipe", message, "write one with the line: kind: body", line=body.line),)
        recipe, problems = read_recipe(str(path))
        if recipe is None or any(p.is_error for p in problems):
            return None, (remark("card-left-out", f"{body.name}: its recipe card cannot be read", "", str(path)),)
        return recipe, problems

    def composition(self, body: Body) -> Composition | None:
        """The fired composition of the clay (n = 1) by its own card; None where there is none that can be used."""
        recipe, _ = self.card_of(body)
        if recipe is None:
            return None
        from glazecalc.jobs.formula import compose_recipe

        return compose_recipe(recipe, self.pantry)[0]


def open_bench(
    recipes: Sequence[str] = (),
    studio_option: Path | None = None,
    strict: bool = False,
    units: str | None = None,
    needs_studio: bool = True,
    named: Sequence[str] = (),
) -> Bench:
    """The studio and the cards a command names; ``needs_studio`` False leaves its absence unsaid.

    ``named`` says what words on the cards mean, each as `NAME=MATERIAL`; the studio remembers them.

    Raises
    ------
    ProblemsError
        with every problem found, if one of them is an error (or any, when ``strict``).
    """
    problems: list[Problem] = []
    folder = studio_folder(recipes, studio_option)
    studio, found = open_studio(folder, studio_option is not None)
    problems += [p for p in found if needs_studio or p.code != "no-studio"]
    cards: list[Recipe] = []
    for name in recipes:
        path = _card_path(name, folder)
        card, found = read_recipe(path)
        problems += found
        if card is not None:
            cards.append(card)
        elif any(p.line is not None for p in found):
            problems += _names_to_ask(path, studio)
    if any(p.is_error for p in problems) or (strict and problems):
        raise ProblemsError(problems)
    if units is not None:
        studio = studio.model_copy(update={"units": _units(units)})
    shelf = studio_pantry(studio)
    if named:
        pairs = aliases_said(named, shelf)
        kept = remember(folder, [pair for pair in pairs if pair not in studio.aliases])
        problems += () if strict else kept
        studio = studio.model_copy(update={"aliases": (*studio.aliases, *pairs)})
        shelf = studio_pantry(studio)
    return Bench(studio, shelf, tuple(cards), tuple(problems))


def studio_pantry(studio: Studio) -> Pantry:
    """The materials a studio knows: its own, the built-in ones, and its own words for them."""
    return pantry(built_in_materials(), studio.materials, studio.aliases)


def _names_to_ask(path: str, studio: Studio) -> list[Problem]:
    """The questions about unknown names of a card that has other faults too, so that all is told in one pass."""
    partly = names_on(path)
    found = () if partly is None else resolve(partly, studio_pantry(studio))[1]
    return [p for p in found if p.code == "unknown-material"]


def studio_folder(recipes: Sequence[str], studio_option: Path | None) -> Path:
    """The named folder; else the studio beside the first card; else the current folder."""
    first = next((name for name in recipes if name != "-" and _is(Path(name).is_file)), None)
    folder = find_studio(first, studio_option) or (Path(first).parent if first else Path())
    return Path() if folder == Path.cwd() else folder


def open_studio(folder: Path, must_exist: bool) -> tuple[Studio, tuple[Problem, ...]]:
    """What a studio folder says; a folder without a studio.toml is an empty studio, unless it was named."""
    if must_exist and not _is((folder / "studio.toml").is_file):
        what = "that folder has no studio.toml" if _is(folder.is_dir) else "there is no such folder"
        raise ProblemsError([error("no-studio", what, phrase("make one with|: glazecalc start DIR|"), str(folder))])
    return read_studio(folder)


def card_names(folder: Path) -> list[str]:
    """The recipe cards of a studio by the names a command takes; a data sheet that lies among them is none."""
    return sorted(path.stem for path in folder.glob("*.txt") if not is_sheet(path))


def _card_path(name: str, folder: Path) -> str:
    if name == "-" or _is(Path(name).is_file):
        return name
    for inside in (folder / f"{name}.txt", folder / name):
        if _is(inside.is_file):
            return str(inside)
    if _is(Path(name).exists):
        return name
    called = _called(name, folder)
    if called is not None:
        return called
    if "/" not in name and "\\" not in name and not name.endswith(".txt"):
        hint = did_you_mean(name, card_names(folder)) or f"cards are looked for in {folder.resolve()}"
        raise ProblemsError([error("no-recipe", f"no recipe card is called {name!r}", hint)])
    return name


def _called(name: str, folder: Path) -> str | None:
    """The card of a studio that bears ``name`` as written in it, or None. Raises ProblemsError where two do."""
    wanted = fold(name)
    cards = [folder / f"{stem}.txt" for stem in card_names(folder)] if wanted and _is(folder.is_dir) else []
    found = [path for path in cards if (card := read_recipe(path)[0]) is not None and fold(card.name) == wanted]
    if len(found) > 1:
        files = " and ".join(path.name for path in found)
        raise ProblemsError([error("several-cards", f"two cards are called {name!r}: {files}", "name the file")])
    return str(found[0]) if found else None


def _is(asked: Callable[[], bool]) -> bool:
    """The answer of the file system; a name that no file can have names none."""
    try:
        return asked()
    except (OSError, ValueError):
        return False


def _units(name: str) -> UnitChoice:
    choices = {"metric": UnitChoice(), "us": UnitChoice(temperature="F", mass="oz", length="in", volume="fl oz")}
    if name not in choices:
        raise ProblemsError([error("units", f"--units {name!r} is not known", "choose metric or us")])
    return choices[name]


def _known_good(name: str, body: Body, folder: Path, shelf: Pantry) -> TileRecord:
    from glazecalc.jobs.lesson import freeze
    from glazecalc.values.records import TileRecord, TileResult

    path = folder / (name if name.endswith(".txt") else f"{name}.txt")
    recipe, problems = read_recipe(str(path)) if path.is_file() else (None, ())
    if recipe is None or any(p.is_error for p in problems):
        message = f"{body.name}: no card of the known good glaze {name!r} can be read"
        hint = did_you_mean(name, card_names(folder)) or "known_good names recipe cards of the studio"
        raise ProblemsError([error("no-recipe", message, hint, line=body.line)])
    frozen, _ = freeze(recipe, shelf)
    cone = "" if recipe.cone is None else recipe.cone.high.name
    return TileRecord(
        id=f"known good: {recipe.name}", recipe=frozen, glaze=recipe.name, body=body.name, cone=cone,
        results=(TileResult.SOUND,), after_days=365.0,
    )  # fmt: skip


# Says of an answer that it rests on what the demo invented - recipe, clay, kiln, outlet, scale - left as shipped.

Thing = Body | Kiln | Circuit | Scale
_NAMES: Final = frozenset({
    "Harbour stoneware", "Dune earthenware", "Gull porcelain", "Shed kiln", "Guild kiln", "Shed outlet",
    "Kitchen outlet", "Far end of the garden", "Guild wall", "Guild wall, 208 volts", "bench scale",
})  # fmt: skip
"""What the demo calls its things; a studio with other names is not compared with it."""
_CARDS: Final = {
    "Brine crackle": "brine-crackle", "Driftwood matte": "driftwood-matte", "Glasswort": "glasswort",
    "Gull porcelain body": "gull-porcelain", "Seafoam, from a jar": "jar-seafoam",
    "Kelp celadon": "kelp-celadon", "Lagoon blue": "lagoon-blue", "Lighthouse white": "lighthouse-white",
    "Night harbour": "night-harbour", "Old pier limestone": "old-pier", "Rock pool, from a book": "rock-pool",
    "Shoal clear": "shoal-clear", "Spray clear": "spray-clear", "Spring tide": "spring-tide",
    "Verdigris satin": "verdigris",
}  # fmt: skip
"""Name of each of the demo's cards, with the stem of its file."""
_SOURCE: Final = "invented for the demo"
"""What the demo's own materials name as their source."""


def demo_remark(*things: Thing | Recipe | Material | None) -> tuple[Problem, ...]:
    """A remark that names the things which are the demo's, unchanged; none where there are none."""
    untouched = [t.name for t in things if t is not None and _is_shipped(t)]
    if not untouched:
        return ()
    names = "; ".join(dict.fromkeys(untouched))
    text = f"invented for the demo and left as it was: {names}; this answer is not about your own things"
    return (remark("demo-data", text, phrase("answer a few questions about your own|: glazecalc start DIR|")),)


def _is_shipped(thing: Thing | Recipe | Material) -> bool:
    if isinstance(thing, Recipe):
        return thing.name in _CARDS and _batch(thing) == _card(_CARDS[thing.name])
    if isinstance(thing, Material):
        return thing.source == _SOURCE
    return thing.name in _NAMES and _plain(thing) in _shipped()


@cache
def _shipped() -> tuple[Thing, ...]:
    demo: Studio = read_studio(data_root() / "recipes")[0]
    things: tuple[Thing, ...] = (*demo.bodies, *demo.kilns, *demo.circuits, *demo.scales)
    return tuple(_plain(thing) for thing in things)


def _plain(thing: Thing) -> Thing:
    """The thing without the line it stands on."""
    return thing if isinstance(thing, Scale) else thing.model_copy(update={"line": None})


@cache
def _card(stem: str) -> tuple[object, ...]:
    recipe = read_recipe(data_root() / "recipes" / f"{stem}.txt")[0]
    return () if recipe is None else _batch(recipe)


def _batch(recipe: Recipe) -> tuple[object, ...]:
    """What a card is made of, wherever it stands."""
    lines = tuple((line.material, line.amount, line.addition) for line in recipe.lines)
    return (lines, tuple((oxide.oxide, oxide.amount) for oxide in recipe.composition))
