"""Where a glaze is to work: the clay, the kiln on its circuit, the cone; chosen from options and the
studio's defaults.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import TYPE_CHECKING, TypeVar

from glazecalc.chemistry.composition import Composition
from glazecalc.files.numbers import read_cone_range
from glazecalc.files.problems import Findings
from glazecalc.values.answers import Estimate, ProblemsError, did_you_mean, error
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Circuit, ConeRange, Defaults, Kiln, Limits, Recipe, Room, Studio, UnitChoice

if TYPE_CHECKING:
    from glazecalc.values.records import FiringRecord, TileRecord


Thing = TypeVar("Thing", Body, Kiln, Circuit, Room)


@dataclass(frozen=True, slots=True)
class Setting:
    """The clay, the kiln on its circuit, the cone to judge at, the levels at which a verdict turns.

    ``learned`` is the clay's expansion from the recorded ``tiles``, ``reasoned`` that from the body's own recipe.
    ``firings`` are those recorded of the kiln, ``circuits`` the studio's, on which they were fired. ``room`` is where
    the kiln stands, ``folder`` the studio's, ``units`` those it reads.
    """

    body: Body | None = None
    kiln: Kiln | None = None
    circuit: Circuit | None = None
    cone: Cone | None = None
    limits: Limits = field(default_factory=Limits)
    learned: Estimate | None = None
    reasoned: Estimate | None = None
    tiles: tuple[TileRecord, ...] = ()
    firings: tuple[FiringRecord, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    room: Room | None = None
    folder: str = "."
    units: UnitChoice = field(default_factory=UnitChoice)


@dataclass(frozen=True, slots=True)
class Question:
    """What one step of the check is asked: the card, its fired composition if it has one (n = 1), the estimates so far,
    and where the glaze is to work."""

    recipe: Recipe
    composition: Composition | None
    estimates: Mapping[str, Estimate]
    setting: Setting


def setting_for(
    studio: Studio,
    recipe: Recipe,
    *,
    body: str | None = None,
    kiln: str | None = None,
    circuit: str | None = None,
    cone: str | None = None,
) -> Setting:
    """The setting a recipe is judged in, from names and the studio's defaults.

    The default circuit is where the default kiln stands; another kiln has a circuit only where one is named.

    Raises
    ------
    ProblemsError
        for a name the studio does not have, or a cone that is none.
    """
    defaults = studio.defaults
    chosen = pick(studio.kilns, kiln, defaults.kiln, "kiln", studio)
    usual = chosen is not None and defaults.kiln is not None and chosen.name.casefold() == defaults.kiln.casefold()
    return Setting(
        body=_clay(studio, recipe, body),
        kiln=chosen,
        circuit=pick(studio.circuits, circuit, defaults.circuit, "circuit", studio) if circuit or usual else None,
        cone=firing_cone(recipe, cone_named(cone), defaults),
        limits=studio.limits,
        circuits=studio.circuits,
        room=pick(studio.rooms, None, defaults.room, "room", studio) if usual else None,
        folder=studio.folder,
        units=studio.units,
    )


def _clay(studio: Studio, recipe: Recipe, asked: str | None) -> Body | None:
    """The clay asked for or usual; for a clay's own card, the body of the studio that names it, if there is one."""
    if recipe.kind != "body" or asked is not None:
        return pick(studio.bodies, asked, studio.defaults.body, "body", studio)
    card = PurePath(recipe.file or "").stem
    return next((b for b in studio.bodies if b.recipe is not None and PurePath(b.recipe).stem == card), None)


def firing_cone(recipe: Recipe, asked: Cone | None, defaults: Defaults) -> Cone | None:
    """The cone to judge at: the one asked for; else the recipe's, the studio's where that lies in its
    range.
    """
    if asked is not None:
        return asked
    if recipe.cone is None:
        return defaults.cone
    if defaults.cone is not None and recipe.cone.low <= defaults.cone <= recipe.cone.high:
        return defaults.cone
    return recipe.cone.high


def pick(things: Sequence[Thing], name: str | None, default: str | None, what: str, studio: Studio) -> Thing | None:
    """The thing of that name; else the default; else the only one there is; else None.

    Raises
    ------
    ProblemsError
        if the name, or the default of studio.toml, is not there.
    """
    wanted = name if name is not None else default
    if wanted is None:
        return things[0] if len(things) == 1 else None
    for thing in things:
        if thing.name.casefold() == wanted.casefold():
            return thing
    known = [thing.name for thing in things]
    listed = f"there are: {', '.join(known)}" if known else f"add a [[{what}]] to studio.toml"
    hint = did_you_mean(wanted, known) or listed
    raise ProblemsError([error(f"no-{what}", f"no {what} is called {wanted!r}", hint, studio.file)])


NEIGHBOURS = 2
"""A range of more steps than this names no cone to judge at."""


def cones_between(text: str | None) -> ConeRange | None:
    """The range that a ``--cone`` such as `5/6` names, of neighbours at most; None for one cone, or none."""
    cones = None if text is None else read_cone_range(text, Findings(None), None)
    if cones is None or cones.low == cones.high or cones.high.position - cones.low.position > NEIGHBOURS:
        return None
    return cones


def cone_named(text: str | None) -> Cone | None:
    """The cone of a ``--cone`` option, the hotter of a range. Raises ProblemsError if it is not a cone."""
    if text is None:
        return None
    between = cones_between(text)
    if between is not None:
        return between.high
    try:
        return Cone.parse(text)
    except ValueError as exc:
        hint = "cones run from 022 (coolest) to 14 (hottest); 06 is not 6"
        raise ProblemsError([error("cone", f"--cone: {exc}", hint)]) from None


# Commands in a message as they can be typed: names with spaces quoted, the studio named where it is elsewhere.


def quoted(word: str) -> str:
    """A word of a command, in quotes where a shell would split it.

    >>> quoted("Shed kiln")
    '"Shed kiln"'
    """
    return f'"{word}"' if not word or any(c in word for c in " '&;()|<>*?#~`!") else word


def studio_option(folder: str) -> str:
    """The option that names a studio, with a leading space; nothing where it is the current folder."""
    return "" if folder in ("", ".") else f" --studio {quoted(folder)}"


def kiln_command(kiln: str, folder: str) -> str:
    """The command that judges outlet, reach and room of a kiln."""
    return f"glazecalc kiln {quoted(kiln)}{studio_option(folder)}"
