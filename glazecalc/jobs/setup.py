"""Where a glaze is to work: the clay, the kiln on its circuit, the cone, the room, and what was recorded of them;
chosen from options and the studio's defaults.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import PurePath
from typing import TYPE_CHECKING, TypedDict, TypeVar, Unpack

from glazecalc.files.numbers import read_cone_range
from glazecalc.files.problems import Findings
from glazecalc.jobs.bench import Bench
from glazecalc.values.answers import Answer, Estimate, ProblemsError, Verdict, did_you_mean, error
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import (
    Body,
    Circuit,
    ConeRange,
    Defaults,
    Kiln,
    Limits,
    Piece,
    Recipe,
    Room,
    Studio,
    UnitChoice,
)
from glazecalc.values.texts import phrase

if TYPE_CHECKING:
    from glazecalc.models.kiln_reach import KilnDraws
    from glazecalc.values.records import FiringRecord, TileRecord


Thing = TypeVar("Thing", Body, Kiln, Circuit, Room)


class Where(TypedDict, total=False):
    """Names in the studio and a cone's name; each is the studio's default where it is left out or None."""

    body: str | None
    kiln: str | None
    circuit: str | None
    cone: str | None


@dataclass(frozen=True)
class Setup:
    """The clay, the kiln on its circuit, the cone to judge at, the levels at which a verdict turns.

    ``circuits`` are the studio's, on which its firings were made, ``room`` is where the kiln stands, ``pieces`` what is
    set in it, ``folder`` the studio's, ``units`` those it reads; ``bench`` is the opened studio, where it counts what
    its journal and cards teach of clay and kiln.
    """

    body: Body | None = None
    kiln: Kiln | None = None
    circuit: Circuit | None = None
    cone: Cone | None = None
    limits: Limits = field(default_factory=Limits)
    circuits: tuple[Circuit, ...] = ()
    room: Room | None = None
    pieces: tuple[Piece, ...] = ()
    folder: str = "."
    units: UnitChoice = field(default_factory=UnitChoice)
    bench: Bench | None = None

    @property
    def things(self) -> tuple[Body | Kiln | Circuit | None, ...]:
        """What of the studio an answer rests on."""
        return self.body, self.kiln, self.circuit

    @cached_property
    def tiles(self) -> tuple[TileRecord, ...]:
        """The tiles that speak of the clay. Raises ProblemsError for a known good glaze without a usable card."""
        return () if self.body is None or self.bench is None else self.bench.tiles(self.body)

    @cached_property
    def firings(self) -> tuple[FiringRecord, ...]:
        """The firings recorded of the kiln."""
        return () if self.kiln is None or self.bench is None else self.bench.firings(self.kiln)

    @cached_property
    def reasoned(self) -> Estimate | None:
        """The clay's expansion as its own recipe suggests it."""
        if self.body is None or self.bench is None or (composition := self.bench.composition(self.body)) is None:
            return None
        from glazecalc.jobs.estimates import reasoned_body_expansion

        return reasoned_body_expansion(composition, self.body.ware, self.cone)

    @cached_property
    def learned(self) -> Estimate | None:
        """The clay's expansion as its tiles teach it."""
        if self.body is None or not self.tiles:
            return None
        from glazecalc.jobs.tiled import learned_body_expansion

        return learned_body_expansion(self.body, self.tiles, self.cone, self.reasoned)

    @cached_property
    def draws(self) -> KilnDraws | None:
        """The kiln as its recorded firings teach it, where there are any."""
        if self.kiln is None or not self.firings:
            return None
        from glazecalc.jobs.learn_kiln import learned_draws

        return learned_draws(self.kiln, self.firings, self.circuits)


def setup_for(
    studio: Studio,
    recipe: Recipe | None = None,
    *,
    room: str | None = None,
    bench: Bench | None = None,
    **where: Unpack[Where],
) -> Setup:
    """The setup of a job, from names and the studio's defaults; the cone is also the recipe's, where there is one.

    The default circuit and room are where the default kiln stands; another kiln has a circuit only where one is named,
    and a room where it is named or the only one.

    Raises
    ------
    ProblemsError
        for a name the studio does not have, or a cone that is none.
    """
    defaults = studio.defaults
    kiln = kiln_of(studio, where.get("kiln"))
    asked = cone_named(where.get("cone"))
    return Setup(
        body=_clay(studio, recipe, where.get("body")),
        kiln=kiln,
        circuit=circuit_of(studio, kiln, where.get("circuit")),
        cone=asked or defaults.cone if recipe is None else firing_cone(recipe, asked, defaults),
        limits=studio.limits,
        circuits=studio.circuits,
        room=pick(studio.rooms, room, defaults.room if is_usual(studio, kiln) else None, "room", studio),
        pieces=studio.pieces,
        folder=studio.folder,
        units=studio.units,
        bench=bench,
    )


def kiln_of(studio: Studio, name: str | None) -> Kiln | None:
    """The kiln of that name, or the usual one."""
    return pick(studio.kilns, name, studio.defaults.kiln, "kiln", studio)


def circuit_of(studio: Studio, kiln: Kiln | None, name: str | None) -> Circuit | None:
    """The circuit of that name; else the default one where the usual kiln stands; another kiln has none."""
    if not name and not is_usual(studio, kiln):
        return None
    return pick(studio.circuits, name, studio.defaults.circuit, "circuit", studio)


def is_usual(studio: Studio, kiln: Kiln | None) -> bool:
    """Whether this is the studio's default kiln, where its default circuit and room are."""
    usual = studio.defaults.kiln
    return kiln is not None and usual is not None and kiln.name.casefold() == usual.casefold()


def _clay(studio: Studio, recipe: Recipe | None, asked: str | None) -> Body | None:
    """The clay asked for or usual; for a clay's own card, the body of the studio that names it, if there is one."""
    if recipe is None or recipe.kind != "body" or asked is not None:
        return pick(studio.bodies, asked, studio.defaults.body, "body", studio)
    card = PurePath(recipe.file or "").stem
    return next((b for b in studio.bodies if b.recipe is not None and PurePath(b.recipe).stem == card), None)


def firing_cone(recipe: Recipe, asked: Cone | None, defaults: Defaults) -> Cone | None:
    """The cone to judge at: the one asked for; else the recipe's, the studio's where that lies in its range."""
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
        raise ProblemsError([error("cone", phrase("|--cone: |{}", exc), hint)]) from None


def no_cone(rule: str) -> Verdict:
    """The verdict of a rule on a cone where none is named."""
    return Verdict(rule, Answer.CANNOT_SAY, phrase("No cone is named to fire to|: add --cone|."))
