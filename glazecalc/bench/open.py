"""Opens what a command names: the studio, its pantry, its recipe cards; every problem found in one pass."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from glazecalc.read.materials import built_in_materials
from glazecalc.read.recipe import read_recipe
from glazecalc.read.studio import find_studio, read_studio
from glazecalc.values.inputs import Recipe, Studio, UnitChoice
from glazecalc.values.problem import Problem, ProblemsError, did_you_mean, error
from glazecalc.work.pantry import Pantry, pantry


@dataclass(frozen=True, slots=True)
class Bench:
    """A studio opened for one command."""

    studio: Studio
    pantry: Pantry
    recipes: tuple[Recipe, ...]
    problems: tuple[Problem, ...]


def open_bench(
    recipes: Sequence[str] = (),
    studio_option: Path | None = None,
    strict: bool = False,
    units: str | None = None,
    needs_studio: bool = True,
) -> Bench:
    """The studio and the cards a command names; ``needs_studio`` False leaves its absence unsaid.

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
        card, found = read_recipe(_card_path(name, folder))
        problems += found
        if card is not None:
            cards.append(card)
    if any(p.is_error for p in problems) or (strict and problems):
        raise ProblemsError(problems)
    if units is not None:
        studio = studio.model_copy(update={"units": _units(units)})
    return Bench(studio, pantry(built_in_materials(), studio.materials), tuple(cards), tuple(problems))


def studio_folder(recipes: Sequence[str], studio_option: Path | None) -> Path:
    """The named folder; else the studio beside the first card; else the current folder."""
    first = next((name for name in recipes if name != "-" and _is(Path(name).is_file)), None)
    found = find_studio(first, studio_option) or (Path(first).parent if first else Path())
    return Path() if found == Path.cwd() else found


def open_studio(folder: Path, must_exist: bool) -> tuple[Studio, tuple[Problem, ...]]:
    """What a studio folder says; a folder without a studio.toml is an empty studio, unless it was named."""
    if must_exist and not _is((folder / "studio.toml").is_file):
        what = "that folder has no studio.toml" if _is(folder.is_dir) else "there is no such folder"
        raise ProblemsError([error("no-studio", what, "make one with: glazecalc start DIR", str(folder))])
    return read_studio(folder)


def card_names(folder: Path) -> list[str]:
    """The recipe cards of a studio by the names a command takes."""
    return sorted(path.stem for path in folder.glob("*.txt"))


def _card_path(name: str, folder: Path) -> str:
    if name == "-" or _is(Path(name).exists):
        return name
    beside = folder / f"{name}.txt"
    if _is(beside.is_file):
        return str(beside)
    inside = folder / name
    if _is(inside.is_file):
        return str(inside)
    if "/" not in name and "\\" not in name and not name.endswith(".txt"):
        hint = did_you_mean(name, card_names(folder)) or f"cards are looked for in {folder.resolve()}"
        raise ProblemsError([error("no-recipe", f"no recipe card is called {name!r}", hint)])
    return name


def _is(asked: Callable[[], bool]) -> bool:
    """The answer of the file system; a name that no file can have names none."""
    try:
        return asked()
    except (OSError, ValueError):
        return False


def _units(name: str) -> UnitChoice:
    if name == "metric":
        return UnitChoice()
    if name == "us":
        return UnitChoice(temperature="F", mass="oz", length="in", volume="fl oz")
    raise ProblemsError([error("units", f"--units {name!r} is not known", "choose metric or us")])
