"""One step of the check: does the glaze mature at the cone, by the melt's estimated fluidity, and by what its recipe or
label states?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from glazecalc.chemistry.composition import Composition
from glazecalc.jobs.estimates import firing_range_of, possible
from glazecalc.jobs.setup import no_cone
from glazecalc.models.cones import cone_position, cone_temperature, nearest_cone, temperature_degC
from glazecalc.models.firing import (
    SURE,
    FiringRange,
    crystalline,
    crystals_probability,
    firing_range_row,
    maturity,
)
from glazecalc.values.answers import Answer, Basis, Estimate, Problem, Verdict, percent_words, remark
from glazecalc.values.arrays import Array
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import ConeRange, Recipe
from glazecalc.values.texts import begun, phrase

RULE: Final = "melts"
EVIDENCE: Final = ("firing_range", "mature_cone")
_CATCH: Final = "Fire any tile of it in a catch tray of old clay, on a shelf with kiln wash."
_CERTAINLY: Final = 0.95
_CRYSTALS_WORTH_SAYING: Final = 0.5
_RUNNING_WORTH_SAYING: Final = 0.25
"""Chance of running from which it is cautioned against: a shelf costs more than a dish of old clay (a judgement)."""


class Chances(NamedTuple):
    """How likely the glaze is underfired, matures, runs [fraction] at the cone.

    ``cones`` names the range by chemistry alone in words, ``with_card`` that with the card's cone where it narrows it.
    """

    underfired: float
    matures: float
    runs: float
    cones: str
    with_card: str = ""

    @property
    def state(self) -> str:
        """The state that is sure enough, or nothing."""
        return next((name for name in self._fields[:3] if getattr(self, name) >= SURE), "")


@dataclass(frozen=True, slots=True, eq=False)
class Melt:
    """The melting of one glaze that the models know, to be judged at ``cone``; ``mole_fractions`` (1, k)."""

    range: FiringRange
    mole_fractions: Array
    cone: Cone | None

    @property
    def ends(self) -> tuple[float, float]:
        """The ends of the firing range by chemistry alone [degC]."""
        return float(self.range.low.value[0]), float(self.range.high.value[0])

    def at(self, cone: Cone) -> Chances:
        """What chemistry says of the glaze at a cone."""
        states = maturity(self.range, temperature_degC(cone))
        chances = (float(states.underfired[0]), float(states.matures[0]), float(states.runs[0]))
        return Chances(*chances, cones=in_cones(*self.ends))

    @property
    def never(self) -> bool:
        """Whether it is underfired at its cone for certain: then it is no coat of glass."""
        return self.cone is not None and self.at(self.cone).underfired >= _CERTAINLY


def melt_of(composition: Composition | None, cone: Cone | None) -> Melt | None:
    """The melting of a glaze (n = 1); None where nothing is known, or only from outside the models' data."""
    if composition is None:
        return None
    range_ = firing_range_of(composition.mole_fractions, composition.relative_sd)
    known = all(possible("firing_range", float(end.value[0])) for end in (range_.low, range_.high))
    return Melt(range_, composition.mole_fractions, cone) if known and not range_.low.extrapolated[0] else None


def maturing(
    recipe: Recipe, composition: Composition | None, melt: Melt | None, cone: Cone | None
) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """The firing range, the verdict on melting, and a remark where estimate and statement disagree."""
    stated = recipe.cone
    if melt is None and composition is not None:
        return (), unknown_melt(stated, cone), ()
    if melt is None:
        says = "Its label" if recipe.kind == "bought" else "The card"
        return () if stated is None else (_stated_range(stated),), judge_stated_cone(stated, cone, says), ()
    chances = None if cone is None else melt.at(cone)
    firing, words = firing_range_row(melt.range), in_cones(*melt.ends)
    ends = with_card(melt, stated)
    if ends is not None:
        why = f"with the card's cone {stated}; by chemistry alone {words}"
        low, high = ends
        firing = replace(firing, value=0.5 * (low + high), low=low, high=high, caveats=(why, *firing.caveats))
        words = in_cones(low, high)
        if chances is not None and words != chances.cones:
            chances = chances._replace(with_card=words)
    if cone is not None and chances is not None and crystalline(melt.mole_fractions)[0]:
        verdict = judge_crystalline(stated, cone, chances)
    else:
        verdict = judge_melting(stated, cone, chances)
    return (firing, _mature_cone(firing, words)), verdict, _disagreement(recipe, melt)


def melt_cautions(melt: Melt | None) -> tuple[str, ...]:
    """A caution where the glaze may well run off the pot, and one where the melt may grow crystals on cooling, because
    its liquidus is likely above the peak."""
    if melt is None or melt.cone is None:
        return ()
    lines = []
    runs = melt.at(melt.cone).runs
    if runs >= _RUNNING_WORTH_SAYING:
        lines.append(
            f"May run at cone {melt.cone} ({percent_words(runs)} likely): fire the tile upright in a dish of old clay, "
            "leave the foot bare, put kiln wash on the shelf. Drips of glaze are as sharp as glass."
        )
    crystals = float(crystals_probability(melt.mole_fractions, temperature_degC(melt.cone))[0])
    if crystals >= _CRYSTALS_WORTH_SAYING:
        lines.append(
            f"The liquidus is likely above cone {melt.cone} ({percent_words(crystals)}): on a slow cooling the surface "
            "may turn matte or grow crystals."
        )
    return tuple(lines)


RIGHT: Final = 6.0
"""Odds that a card's cone gives to maturing there: six in seven cards are right to a cone (a judgement)."""
WRONG: Final = 10.0
"""Odds that it gives to underfiring where the firing is cooler than the card says by two cones or more, and to running
where it is hotter (a judgement)."""


def weighed(stated: ConeRange, cone: Cone, chances: Chances) -> Chances:
    """The chances with the card's cone as evidence beside the chemistry; a cone either side of it says nothing."""
    off = cones_off(stated, cone)
    cooler = 1.0 if abs(off) < 2 else WRONG if off < 0 else 1.0 / WRONG
    weights = (cooler, RIGHT if off == 0 else 1.0, 1.0 / cooler)
    parts = [w * c for w, c in zip(weights, chances[:3], strict=True)]
    total = max(sum(parts), 1e-12)
    return chances._replace(underfired=parts[0] / total, matures=parts[1] / total, runs=parts[2] / total)


def with_card(melt: Melt, stated: ConeRange | None) -> tuple[float, float] | None:
    """Ends of one glaze's firing range [degC] with the card's cone as evidence; None without one or against it.

    They reach from the card's cone to where the glaze is likelier underfired, or running, than not, by the odds of
    :func:`weighed`, and no further than the chemistry's own.
    """
    if stated is None or any(weighed(stated, c, melt.at(c)).state != "matures" for c in (stated.low, stated.high)):
        return None
    cool, hot, last = stated.low.position, stated.high.position, len(ALL_CONES) - 1
    while cool > 0 and weighed(stated, ALL_CONES[cool - 1], melt.at(ALL_CONES[cool - 1])).underfired < 0.5:
        cool -= 1
    while hot < last and weighed(stated, ALL_CONES[hot + 1], melt.at(ALL_CONES[hot + 1])).runs < 0.5:
        hot += 1
    low, high = melt.ends
    low = min(max(low, temperature_degC(ALL_CONES[cool])), temperature_degC(stated.low))
    highest = high if hot == last else min(high, temperature_degC(ALL_CONES[hot]))
    return low, max(highest, temperature_degC(stated.high))


def judge_melting(stated: ConeRange | None, cone: Cone | None, chances: Chances | None) -> Verdict:
    """Verdict on maturing at ``cone``.

    The card's cone is evidence with a weight (:func:`weighed`), not a veto: a chemistry that is certain stands against
    it. Where chemistry and card pull opposite ways nothing can be said. None for ``chances`` where nothing can be
    estimated.
    """
    if cone is None:
        return no_cone(RULE)
    if chances is None:
        return judge_stated_cone(stated, cone)
    words, before = _estimated(chances, cone, stated), chances.state
    if stated is None:
        return Verdict(RULE, _ANSWERS[before], words, EVIDENCE)
    off, card = cones_off(stated, cone), f"T{_cards(stated)[1:]}."
    if abs(off) == 1:
        text = f"{words} {card}" if before else f"{judge_stated_cone(stated, cone).message} {words}"
        return Verdict(RULE, _ANSWERS[before], text, EVIDENCE)
    both = weighed(stated, cone, chances)
    state, claim = both.state, "matures" if off == 0 else "underfired" if off < 0 else "runs"
    if state and state == before:
        runs = state == "runs" != claim
        against = f"{card[:-1]}, but the chemistry is too far off.{f' {_CATCH}' if runs else ''}"
        beside = against if state != claim else card if state != "matures" else ""
        return Verdict(RULE, _ANSWERS[state], f"{words} {beside}".rstrip(), EVIDENCE, tray=runs)
    alone = f"By chemistry alone: {words[:1].lower()}{words[1:]}" if before else words
    if state != claim:
        message = f"{card} {alone} Fire a tile to see which is right."
        return Verdict(RULE, Answer.CANNOT_SAY, message, EVIDENCE)
    likely = percent_words(getattr(both, state))
    text = f"{begun(likely)} likely to {_TOGETHER[state]} at cone {cone}: {_cards(stated)}. {alone}"
    return Verdict(RULE, _ANSWERS[state], text, EVIDENCE)


_ANSWERS: Final = {
    "underfired": Answer.DOES_NOT_FIT, "matures": Answer.FITS, "runs": Answer.DOES_NOT_FIT, "": Answer.CANNOT_SAY,
}  # fmt: skip
_TOGETHER: Final = {"matures": "melt well", "underfired": "be underfired", "runs": "run, blister or lose its surface"}
_OPEN: Final = {"underfired": "underfired", "matures": "melts well", "runs": "runs"}
_WORTH_TELLING: Final = 0.005
"""A chance below this, under 1 % as it is told, is left out."""


def _estimated(chances: Chances, cone: Cone, stated: ConeRange | None) -> str:
    """What chemistry says, in words; where the card states the cone, its range is told as that of chemistry alone."""
    if not chances.state:
        shares = sorted(((getattr(chances, state), words) for state, words in _OPEN.items()), reverse=True)
        listed = ", ".join(f"{percent_words(share)} {words}" for share, words in shares if share >= _WORTH_TELLING)
        return f"The chemistry alone leaves it open: {listed} ({chances.cones})."
    likely = f"{chances.state.capitalize()} at cone {cone} ({percent_words(getattr(chances, chances.state))} likely"
    if chances.state != "matures":
        return f"{likely}): estimated to mature at {chances.cones}."
    if stated is None or cones_off(stated, cone):
        return f"{likely}; a rough estimate: {chances.cones})."
    narrowed = f"with it {chances.with_card}, " if chances.with_card else ""
    return f"{likely}): {_cards(stated)}; {narrowed}by chemistry alone {chances.cones}."


def judge_crystalline(stated: ConeRange | None, cone: Cone, chances: Chances) -> Verdict:
    """Verdict on a glaze made to grow large crystals: it is meant to be so fluid that it runs, and is caught."""
    fluid = chances._replace(matures=chances.matures + chances.runs, runs=0.0)
    verdict = judge_melting(stated, cone, fluid)
    if verdict.answer is not Answer.FITS:
        return verdict
    text = f"Melts at cone {cone}, and is meant to be very fluid, so that large crystals grow: it runs. {_CATCH}"
    return Verdict(RULE, Answer.FITS, text if stated is None else f"{text} T{_cards(stated)[1:]}.", EVIDENCE)


def unknown_melt(stated: ConeRange | None, cone: Cone | None) -> Verdict:
    """Verdict on a melt outside what the models know: a card's cone alone makes no glass of clay or silica."""
    if cone is None:
        return no_cone(RULE)
    this = "This" if stated is None else f"T{_cards(stated)[1:]}, but this"
    text = f"{this} glaze is outside what the estimates know: fire a tile in a dish of old clay."
    return Verdict(RULE, Answer.CANNOT_SAY, text, EVIDENCE)


def judge_stated_cone(stated: ConeRange | None, cone: Cone | None, says: str = "The card") -> Verdict:
    """Verdict on maturing at ``cone`` from the stated cone alone; a cone either side of it cannot be judged."""
    if cone is None:
        return no_cone(RULE)
    if stated is None:
        return Verdict(RULE, Answer.CANNOT_SAY, f"{says} says no cone, so melting cannot be judged from it.")
    off = cones_off(stated, cone)
    if not off:
        return Verdict(RULE, Answer.FITS, f"{says} says cone {stated}; you fire to cone {cone}.")
    side, consequence = "hotter", "may run, blister or lose its surface"
    if off < 0:
        side, consequence = "cooler", "likely underfired: rough, dull or not melted"
    steps = f"{abs(off)} cone{'s' if abs(off) > 1 else ''}"
    message = f"{says} says cone {stated}; cone {cone} is {steps} {side}: {consequence}."
    return Verdict(RULE, Answer.CANNOT_SAY if abs(off) == 1 else Answer.DOES_NOT_FIT, message)


def cones_off(stated: ConeRange, cone: Cone) -> int:
    """How many cones ``cone`` is above the stated range, below nil for cooler; half cones are no step of their own.

    >>> [cones_off(ConeRange(low=Cone("5"), high=Cone("6")), Cone(name)) for name in ("4", "5.5", "6", "7", "8")]
    [-1, 0, 0, 1, 2]
    """
    if stated.low <= cone <= stated.high:
        return 0
    cool, hot = (cone, stated.low) if cone < stated.low else (stated.high, cone)
    steps = max(1, sum("." not in c.name for c in ALL_CONES[cool.position + 1 : hot.position + 1]))
    return -steps if cone < stated.low else steps


def _cards(stated: ConeRange) -> str:
    """What the card says, or each of the cards that a blend lies between."""
    if not stated.cards:
        return f"the card says cone {stated}"
    many = "two" if len(stated.cards) == 2 else f"{len(stated.cards)}"
    return f"the {many} cards say cone {', cone '.join(stated.cards[:-1])} and cone {stated.cards[-1]}"


_PAST_LAST_K: Final = 20.0
"""So far above the last cone of the chart a temperature is no longer that cone [K]: about half a step."""


def in_cones(low_degC: float, high_degC: float) -> str:
    """Two ends of a firing range [degC] as cones at 60 degC/h, in words."""
    low, high = nearest_cone(low_degC), nearest_cone(high_degC)
    past = temperature_degC(ALL_CONES[-1]) + _PAST_LAST_K
    if low_degC > past:
        return f"a heat above cone {ALL_CONES[-1]}"
    if high_degC > past:
        return f"cone {low} and hotter"
    return f"cone {low}" if low == high else f"cone {low} to {high}"


def _mature_cone(firing: Estimate, words: str) -> Estimate:
    """The range as places in the series of cones (0 is cone 022), so that it can be compared with a cone."""
    middle, low, high = (cone_position(x) for x in (firing.value, firing.low, firing.high))
    return Estimate(
        "mature_cone", middle, min(low, middle), max(high, middle), "place in the cone series, 022 being 0",
        firing.basis, firing.sources, (phrase("{} at {60 K/h} without a hold", words),),
    )  # fmt: skip


def _stated_range(stated: ConeRange) -> Estimate:
    low, high = cone_temperature(stated.low), cone_temperature(stated.high)
    return Estimate(
        "firing_range", (low.value + high.value) / 2, low.low, high.high, "degC", Basis.STATED, low.sources,
        (f"cone {stated} as the card says",),
    )  # fmt: skip


def _disagreement(recipe: Recipe, melt: Melt) -> tuple[Problem, ...]:
    if recipe.cone is None:
        return ()
    states = {melt.at(c).state for c in (recipe.cone.low, recipe.cone.high)}
    words = {"underfired": "is underfired", "runs": "is likely to run"}.get(states.pop()) if len(states) == 1 else None
    if words is None:
        return ()
    message = f"{_cards(recipe.cone)}; by its chemistry it {words} there ({in_cones(*melt.ends)})"
    return (remark("cone-disagrees", message, "fire a tile beside a witness cone", recipe.file),)
