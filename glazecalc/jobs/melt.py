"""One step of the check: does the glaze mature at the cone?"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import Final, NamedTuple

from glazecalc.chemistry.composition import Composition
from glazecalc.jobs.estimates import firing_range_of, possible
from glazecalc.jobs.setup import Case, no_cone
from glazecalc.models.cones import cone_position, cone_temperature, nearest_cone, temperature_degC
from glazecalc.models.firing import (
    SURE,
    FiringRange,
    crystalline,
    crystals_probability,
    firing_range_row,
    maturity,
)
from glazecalc.models.firing import Maturing as State
from glazecalc.values.answers import Answer, Basis, Estimate, Problem, Verdict, percent_words, remark
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import ConeRange
from glazecalc.values.texts import phrase

# Does the glaze mature at the cone: by the melt's estimated fluidity, and by what its recipe or label states.

RULE: Final = "melts"
_CATCH: Final = "Fire any tile of it in a catch tray of old clay, on a shelf with kiln wash."
EVIDENCE: Final = ("firing_range", "mature_cone")


class Stated(StrEnum):
    """Where the cone lies against the one the recipe states."""

    SAME = "same"
    NEAR = "near"
    COOLER = "cooler"
    HOTTER = "hotter"
    NONE = "none"


class Chances(NamedTuple):
    """How likely the glaze is underfired, matures, runs [fraction] at the cone; ``sure`` is the level of a statement.

    ``cones`` names the range by chemistry alone in words, ``with_card`` that with the card's cone where it narrows it.
    """

    underfired: float
    matures: float
    runs: float
    sure: float
    cones: str
    with_card: str = ""


RIGHT: Final = 6.0
"""Odds that a card's cone gives to maturing there: six in seven cards are right to a cone (a judgement)."""
WRONG: Final = 10.0
"""Odds that it gives to underfiring where the firing is cooler than the card says by two cones or more, and to running
where it is hotter (a judgement)."""
_WEIGHTS: Final = {
    Stated.SAME: (1.0, RIGHT, 1.0),
    Stated.COOLER: (WRONG, 1.0, 1.0 / WRONG),
    Stated.HOTTER: (1.0 / WRONG, 1.0, WRONG),
}
_STATES: Final = ("underfired", "matures", "runs")


def weighed(stated: ConeRange | None, cone: Cone, chances: Chances) -> Chances:
    """The chances with the card's cone as evidence beside the chemistry; a cone either side of it says nothing."""
    weights = _WEIGHTS.get(compare(stated, cone), (1.0, 1.0, 1.0))
    parts = [w * c for w, c in zip(weights, chances[:3], strict=True)]
    total = max(sum(parts), 1e-12)
    return chances._replace(underfired=parts[0] / total, matures=parts[1] / total, runs=parts[2] / total)


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
    words, alone = _estimated(chances, cone, stated)
    against = compare(stated, cone)
    if stated is None or against is Stated.NEAR:
        if stated is None or alone is not Answer.CANNOT_SAY:
            return Verdict(RULE, alone, f"{words} {_stated_words(stated)}".rstrip(), EVIDENCE)
        return Verdict(RULE, alone, f"{judge_stated_cone(stated, cone).message} {words}", EVIDENCE)
    both = weighed(stated, cone, chances)
    state, before = _state(both), _state(chances)
    said = {Stated.SAME: "matures", Stated.COOLER: "underfired"}.get(against, "runs")
    if state is not None and state == before:
        runs = state == "runs" != said
        off = f" {_stated_words(stated)[:-1]}, but the chemistry is too far off.{f' {_CATCH}' if runs else ''}"
        tail = "" if state == said else off
        agreed = f" {_stated_words(stated)}" if state == said and state != "matures" else ""
        return Verdict(RULE, _ANSWERS[state], f"{words}{agreed}{tail}", EVIDENCE, tray=runs)
    alone_words = words if before is None else f"By chemistry alone: {words[:1].lower()}{words[1:]}"
    if state is None or state != said:
        message = f"{_stated_words(stated)} {alone_words} Fire a tile to see which is right."
        return Verdict(RULE, Answer.CANNOT_SAY, message, EVIDENCE)
    likely = percent_words(getattr(both, state))
    told = _TOGETHER[state].format(cone=cone, card=_cards(stated))
    return Verdict(RULE, _ANSWERS[state], f"{likely[:1].upper()}{likely[1:]} likely to {told} {alone_words}", EVIDENCE)


_ANSWERS: Final = {"underfired": Answer.DOES_NOT_FIT, "matures": Answer.FITS, "runs": Answer.DOES_NOT_FIT}
_TOGETHER: Final = {
    "matures": "melt well at cone {cone}: {card}.",
    "underfired": "be underfired at cone {cone}: {card}.",
    "runs": "run, blister or lose its surface at cone {cone}: {card}.",
}


def _state(chances: Chances) -> str | None:
    """The state that is sure enough, or None."""
    return next((name for name in _STATES if getattr(chances, name) >= chances.sure), None)


def judge_crystalline(stated: ConeRange | None, cone: Cone, chances: Chances) -> Verdict:
    """Verdict on a glaze made to grow large crystals: it is meant to be so fluid that it runs, and is caught."""
    fluid = chances._replace(matures=chances.matures + chances.runs, runs=0.0)
    verdict = judge_melting(stated, cone, fluid)
    if verdict.answer is not Answer.FITS:
        return verdict
    text = f"Melts at cone {cone}, and is meant to be very fluid, so that large crystals grow: it runs. {_CATCH}"
    return Verdict(RULE, Answer.FITS, f"{text} {_stated_words(stated)}".rstrip(), EVIDENCE)


def unknown_melt(stated: ConeRange | None, cone: Cone | None) -> Verdict:
    """Verdict on a melt outside what the models know: a card's cone alone makes no glass of clay or silica."""
    if cone is None:
        return no_cone(RULE)
    card = "" if stated is None else f"{_stated_words(stated)[:-1]}, but "
    text = "this glaze is outside what the estimates know: fire a tile in a dish of old clay."
    return Verdict(RULE, Answer.CANNOT_SAY, f"{card}{text if card else text[:1].upper() + text[1:]}", EVIDENCE)


def _estimated(chances: Chances, cone: Cone, stated: ConeRange | None) -> tuple[str, Answer]:
    """What chemistry says, in words; where the card states the cone, its range is told as that of chemistry alone."""
    if chances.matures >= chances.sure:
        likely = percent_words(chances.matures)
        if compare(stated, cone) is Stated.SAME:
            narrowed = f"with it {chances.with_card}, " if chances.with_card else ""
            text = f"Matures at cone {cone} ({likely} likely): {_cards(stated)}; {narrowed}by chemistry alone"
            return f"{text} {chances.cones}.", Answer.FITS
        return f"Matures at cone {cone} ({likely} likely; a rough estimate: {chances.cones}).", Answer.FITS
    if chances.underfired >= chances.sure:
        text = f"Underfired at cone {cone} ({percent_words(chances.underfired)} likely)"
        return f"{text}: estimated to mature at {chances.cones}.", Answer.DOES_NOT_FIT
    if chances.runs >= chances.sure:
        text = f"Runs at cone {cone} ({percent_words(chances.runs)} likely)"
        return f"{text}: estimated to mature at {chances.cones}.", Answer.DOES_NOT_FIT
    told = sorted(((getattr(chances, state), words) for state, words in _OPEN.items()), reverse=True)
    shares = ", ".join(f"{percent_words(share)} {words}" for share, words in told if share >= _WORTH_TELLING)
    text = f"The chemistry alone leaves it open: {shares} ({chances.cones})."
    return text, Answer.CANNOT_SAY


_OPEN: Final = {"underfired": "underfired", "matures": "melts well", "runs": "runs"}
_WORTH_TELLING: Final = 0.005
"""A chance below this, under 1 % as it is told, is left out."""


def _stated_words(stated: ConeRange | None) -> str:
    return "" if stated is None else f"T{_cards(stated)[1:]}."


def _cards(stated: ConeRange | None) -> str:
    """What the card says, or each of the cards that a blend lies between."""
    if stated is None or not stated.cards:
        return f"the card says cone {stated}"
    many = "two" if len(stated.cards) == 2 else f"{len(stated.cards)}"
    return f"the {many} cards say cone {', cone '.join(stated.cards[:-1])} and cone {stated.cards[-1]}"


def compare(stated: ConeRange | None, cone: Cone) -> Stated:
    """Where ``cone`` lies against the stated one; a cone either side is near."""
    if stated is None:
        return Stated.NONE
    if stated.low <= cone <= stated.high:
        return Stated.SAME
    if cone < stated.low:
        return Stated.NEAR if cones_apart(cone, stated.low) == 1 else Stated.COOLER
    return Stated.NEAR if cones_apart(stated.high, cone) == 1 else Stated.HOTTER


def cones_apart(cool: Cone, hot: Cone) -> int:
    """How many cones two different cones lie apart: half cones are no step of their own.

    >>> [cones_apart(Cone(cool), Cone("6")) for cool in ("5.5", "5", "4")]
    [1, 1, 2]
    """
    between = ALL_CONES[cool.position + 1 : hot.position + 1]
    return max(1, sum("." not in c.name for c in between))


def judge_stated_cone(stated: ConeRange | None, cone: Cone | None, says: str = "The card") -> Verdict:
    """Verdict on maturing at ``cone`` from the stated cone alone; a cone either side of it cannot be judged."""
    if cone is None:
        return no_cone(RULE)
    against = compare(stated, cone)
    if stated is None:
        return Verdict(RULE, Answer.CANNOT_SAY, f"{says} says no cone, so melting cannot be judged from it.")
    if against is Stated.SAME:
        return Verdict(RULE, Answer.FITS, f"{says} says cone {stated}; you fire to cone {cone}.")
    cooler = cone < stated.low
    steps = cones_apart(cone, stated.low) if cooler else cones_apart(stated.high, cone)
    consequence = "likely underfired: rough, dull or not melted" if cooler else "may run, blister or lose its surface"
    message = (
        f"{says} says cone {stated}; cone {cone} is {steps} cone{'s' if steps > 1 else ''} "
        f"{'cooler' if cooler else 'hotter'}: {consequence}."
    )
    return Verdict(RULE, Answer.CANNOT_SAY if against is Stated.NEAR else Answer.DOES_NOT_FIT, message)


_CERTAINLY: Final = 0.95
_CRYSTALS_WORTH_SAYING: Final = 0.5
_RUNNING_WORTH_SAYING: Final = 0.25
"""Chance of running from which it is cautioned against: a shelf costs more than a dish of old clay (a judgement)."""


def maturing(case: Case) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """The firing range, the verdict on melting, and a remark where estimate and statement disagree."""
    recipe, cone = case.recipe, case.setup.cone
    range_ = _range(case.composition)
    if range_ is None and case.composition is not None:
        return (), unknown_melt(recipe.cone, cone), ()
    if range_ is None:
        stated = () if recipe.cone is None else (_stated_range(recipe.cone),)
        says = "Its label" if recipe.kind == "bought" else "The card"
        return stated, judge_stated_cone(recipe.cone, cone, says), ()
    chances = None if cone is None else _chances(range_, cone)
    firing, words = firing_range_row(range_), _cones_in_words(range_)
    ends = with_card(range_, recipe.cone)
    if ends is not None:
        firing = _narrowed(firing, ends, f"with the card's cone {recipe.cone}; by chemistry alone {words}")
        words = in_cones(*ends)
        if chances is not None and words != chances.cones:
            chances = chances._replace(with_card=words)
    estimates = (firing, _mature_cone(firing, words))
    verdict = judge_melting(recipe.cone, cone, chances)
    if cone is not None and chances is not None and crystalline(range_.low.mole_fractions)[0]:
        verdict = judge_crystalline(recipe.cone, cone, chances)
    return estimates, verdict, _disagreement(case, range_)


def crystals(composition: Composition | None, cone: Cone | None) -> tuple[str, ...]:
    """A caution where the melt may grow crystals on cooling, because its liquidus is likely above the peak."""
    if composition is None or cone is None or _range(composition) is None:
        return ()
    chance = float(crystals_probability(composition.mole_fractions, temperature_degC(cone))[0])
    if not chance >= _CRYSTALS_WORTH_SAYING:
        return ()
    return (
        f"The liquidus is likely above cone {cone} ({percent_words(chance)}): on a slow cooling the surface may turn "
        "matte or grow crystals.",
    )


def running(composition: Composition | None, cone: Cone | None) -> tuple[str, ...]:
    """A caution where the glaze may well run off the pot."""
    range_ = _range(composition)
    if range_ is None or cone is None or (chances := _chances(range_, cone)).runs < _RUNNING_WORTH_SAYING:
        return ()
    return (
        f"May run at cone {cone} ({percent_words(chances.runs)} likely): fire the tile upright in a dish of old clay, "
        "leave the foot bare, put kiln wash on the shelf. Drips of glaze are as sharp as glass.",
    )


def never_melts(composition: Composition | None, cone: Cone | None) -> bool:
    """Whether the glaze is underfired at the cone for certain, by its chemistry: then it is no coat of glass."""
    range_ = _range(composition)
    return range_ is not None and cone is not None and _chances(range_, cone).underfired >= _CERTAINLY


def _range(composition: Composition | None) -> FiringRange | None:
    """The firing range; None where nothing is known, or only from outside the models' data."""
    if composition is None:
        return None
    found = firing_range_of(composition.mole_fractions, composition.relative_sd)
    known = all(possible("firing_range", float(end.value[0])) for end in (found.low, found.high))
    return found if known and not found.low.extrapolated[0] else None


def _chances(range_: FiringRange, cone: Cone) -> Chances:
    found = maturity(range_, temperature_degC(cone))
    return Chances(
        underfired=float(found.underfired[0]),
        matures=float(found.matures[0]),
        runs=float(found.runs[0]),
        sure=SURE,
        cones=_cones_in_words(range_),
    )


def with_card(range_: FiringRange, stated: ConeRange | None) -> tuple[float, float] | None:
    """Ends of one glaze's firing range [degC] with the card's cone as evidence; None without one or against it.

    They reach from the card's cone to where the glaze is likelier underfired, or running, than not, by the odds of
    :func:`weighed`, and no further than the chemistry's own.
    """
    if stated is None:
        return None
    if any(_state(weighed(stated, c, _chances(range_, c))) != "matures" for c in (stated.low, stated.high)):
        return None
    cool, hot = stated.low.position, stated.high.position
    while cool > 0 and weighed(stated, ALL_CONES[cool - 1], _chances(range_, ALL_CONES[cool - 1])).underfired < 0.5:
        cool -= 1
    last = len(ALL_CONES) - 1
    while hot < last and weighed(stated, ALL_CONES[hot + 1], _chances(range_, ALL_CONES[hot + 1])).runs < 0.5:
        hot += 1
    low, high = float(range_.low.value[0]), float(range_.high.value[0])
    low = min(max(low, temperature_degC(ALL_CONES[cool])), temperature_degC(stated.low))
    highest = high if hot == last else min(high, temperature_degC(ALL_CONES[hot]))
    return low, max(highest, temperature_degC(stated.high))


def _narrowed(firing: Estimate, ends: tuple[float, float], why: str) -> Estimate:
    low, high = ends
    return replace(firing, value=0.5 * (low + high), low=low, high=high, caveats=(why, *firing.caveats))


_PAST_LAST_K: Final = 20.0
"""So far above the last cone of the chart a temperature is no longer that cone [K]: about half a step."""


def _cones_in_words(range_: FiringRange) -> str:
    return in_cones(float(range_.low.value[0]), float(range_.high.value[0]))


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


def _disagreement(case: Case, range_: FiringRange) -> tuple[Problem, ...]:
    stated = case.recipe.cone
    if stated is None:
        return ()
    states = {maturity(range_, temperature_degC(c)).state[0] for c in (stated.low, stated.high)}
    for state, words in ((State.UNDERFIRED, "is underfired"), (State.LIKELY_TO_RUN, "is likely to run")):
        if states == {state}:
            message = f"{_cards(stated)}; by its chemistry it {words} there ({_cones_in_words(range_)})"
            return (remark("cone-disagrees", message, "fire a tile beside a witness cone", case.recipe.file),)
    return ()
