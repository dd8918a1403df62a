"""A kiln's set-up check as a person reads it: the answer, the circuits, the reach, cost and size, the
place.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.render.words import (
    Paint,
    answer_word,
    bullets,
    decimals_for,
    fahrenheit,
    heading,
    interval_bar,
    interval_words,
    labelled,
    painted,
    paragraph,
    rounded,
    section,
    table,
    unpainted,
    worded,
)
from glazecalc.values.answers import Answer, Basis, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.mains import CircuitResult, Reason
from glazecalc.values.results.kiln import (
    FULL_POWER_H,
    Ceiling,
    ConeReach,
    KilnLearned,
    KilnReport,
    PlaceResult,
    StackCount,
)
from glazecalc.values.texts import joined, phrase, tells

# Temperatures, rates and hours of a firing in words, in both scales where a potter needs both.


def both(degC: float, units: UnitChoice | None = None) -> str:
    """A temperature in both scales, the chosen one first.

    >>> both(1222.0), both(1222.0, UnitChoice(temperature="F"))
    ('1222 degC (2232 degF)', '2232 degF (1222 degC)')
    """
    return _in_both(f"{degC:.0f} degC", f"{fahrenheit(degC):.0f} degF", units)


def _in_both(celsius: str, other: str, units: UnitChoice | None) -> str:
    return f"{other} ({celsius})" if units is not None and units.temperature == "F" else f"{celsius} ({other})"


def rate_words(degC_per_h: float, units: UnitChoice | None = None) -> str:
    """A rate in both scales, the chosen one first.

    >>> rate_words(60.0)
    '60 degC/h (108 degF/h)'
    """
    return _in_both(f"{degC_per_h:.0f} degC/h", f"{degC_per_h * 9 / 5:.0f} degF/h", units)


def difference(K: float, units: UnitChoice | None = None) -> str:
    """A difference of temperatures in both scales, the chosen one first.

    >>> difference(20.0), difference(20.0, UnitChoice(temperature="F"))
    ('20 degC (36 degF)', '36 degF (20 degC)')
    """
    return _in_both(f"{K:.0f} degC", f"{K * 9 / 5:.0f} degF", units)


def span(low_degC: float, high_degC: float, units: UnitChoice | None = None) -> str:
    """From one temperature to another in both scales, the chosen one first.

    >>> span(450.0, 650.0)
    '450 to 650 degC (842 to 1202 degF)'
    """
    other = f"{fahrenheit(low_degC):.0f} to {fahrenheit(high_degC):.0f} degF"
    return _in_both(f"{low_degC:.0f} to {high_degC:.0f} degC", other, units)


def numbered(steps: Sequence[str], units: UnitChoice) -> list[str]:
    """Steps under one another, each with its number."""
    return [paragraph(f"{i}. {worded(step, units)}", 2, 3) for i, step in enumerate(steps, 1)]


def hours_words(hours: float) -> str:
    """Hours and minutes.

    >>> hours_words(1.5), hours_words(0.1667), hours_words(12.0)
    ('1 h 30 min', '10 min', '12 h')
    """
    whole, minutes = divmod(round(hours * 60), 60)
    if whole and minutes:
        return f"{whole} h {minutes:02d} min"
    return f"{whole} h" if whole else f"{minutes} min"


_RULES = {
    "circuit_carries": "circuit carries it", "kiln_reaches": "reaches the cone", "element_wear": "elements hold up",
}  # fmt: skip
_MARKS = {Answer.FITS: "-", Answer.CANNOT_SAY: "?", Answer.DOES_NOT_FIT: "X", Answer.NOT_ASKED: "-"}
_BASIS_WORDS = {
    Basis.MODEL: "from the plate", Basis.LEARNED: "learned from its firings", Basis.STATED: "the plate's cone alone",
}  # fmt: skip
FEW_REASONS = 3
DEFERS = "[US code ...] names the clause a line rests on, in our words; your local code and an electrician decide."
BORNE = "hotter than its elements can stand"
"""What a stall that is cut off is told as: it may lie anywhere above, and no figure is shown."""
_OTHER_VOLTS = ("voltage_class", "voltage_208")


def kiln_text(report: KilnReport, units: UnitChoice, paint: Paint = unpainted, full: bool = True) -> str:
    """The whole answer at 80 columns; without ``full`` what a potter acts on, in fifty lines on the demo."""
    if not full:
        return _in_short(report, units, paint)
    parts = _answer(report, units, paint)
    parts += ["", heading("Circuits, the best first")]
    parts += [_circuit(c, paint, c.name == report.circuit) for c in report.circuits]
    parts.append(paragraph(DEFERS if report.circuits else "No circuit is in studio.toml: add a [[circuit]].", 2))
    if report.ceiling is not None:
        parts += ["", heading("How hot it gets"), _reach(report.ceiling, report.circuit, units)]
    parts += ["", heading("Cost and size"), *_cost(report.estimates, units), *_stacks(report.stacks)]
    if report.place is not None:
        parts += ["", heading("Where it stands"), _place(report.place, paint, units)]
    parts += ["", heading("Cautions"), *bullets(report.cautions)]
    return "\n".join([*parts, *section("Next", numbered(report.next_steps, units))])


def _answer(report: KilnReport, units: UnitChoice, paint: Paint) -> list[str]:
    """The sentence, and each verdict that it does not tell already."""
    parts = [paint(paragraph(worded(report.sentence, units)), report.answer), ""]
    for verdict in report.verdicts:
        label = f"{_RULES.get(verdict.rule, verdict.rule)}: {answer_word(verdict.answer)}"
        if tells(report.sentence, verdict.message):
            parts.append(paint("  " + label, verdict.answer))
            continue
        parts.append(painted(labelled(label, worded(verdict.message, units), 32), label, paint(label, verdict.answer)))
    return parts


# The short answer: the sentence, three reasons, the next step, then what a potter acts on.

_SAID_BY_FIGURES = "breaker_carries"
"""The amps of kiln and breaker stand in the line of figures already."""


def _in_short(report: KilnReport, units: UnitChoice, paint: Paint) -> str:
    mine = next((c for c in report.circuits if c.name == report.circuit), None)
    parts = [paint(paragraph(worded(report.sentence, units)), report.answer), ""]
    parts += _verdicts_in_short(report, mine, units, paint)
    if mine is not None:
        parts += ["", *_why(mine, report.sentence)]
    parts += section("Next", numbered(report.next_steps[:1], units))
    parts += ["", heading("What to count on (--full shows all, and how it was found)")]
    if report.ceiling is not None:
        parts += _reach_in_short(report.ceiling, report.cone, units)
    parts += _cost_in_short(report.estimates, report.cone)
    if report.stacks:
        parts.append(labelled("a load", ", ".join(f"{s.piece}: {s.per_firing}" for s in report.stacks), 16))
    if report.place is not None:
        parts += _place_in_short(report.place, report.sentence, paint)
    hazards = report.place.hazards if report.place is not None else ()
    parts += ["", heading("Cautions"), *bullets((*report.cautions, *hazards))]
    return "\n".join(parts)


def _why(mine: CircuitResult, sentence: str) -> list[str]:
    """The figures of the circuit and the weightiest reasons that the sentence does not tell."""
    figures = _figures(mine)
    lines = [heading(f"Why, on {mine.name}"), *([paragraph("; ".join(figures), 2, 2)] if figures else [])]
    left = [r for r in mine.reasons if not tells(sentence, r.message) and r.code != _SAID_BY_FIGURES]
    left += [r for r in mine.reasons if r.code == _SAID_BY_FIGURES and not figures]
    told = left[: FEW_REASONS - sum(tells(sentence, r.message) for r in mine.reasons)]
    more = [f"  (and {len(left) - len(told)} more: --full)"] if len(left) > len(told) else []
    return [*lines, *_reasons(told, 2), *more]


def _verdicts_in_short(report: KilnReport, mine: CircuitResult | None, units: UnitChoice, paint: Paint) -> list[str]:
    """The verdicts that the sentence tells in one line, with the clause they rest on; the others with their reasons."""
    labels = {v: f"{_RULES.get(v.rule, v.rule)}: {answer_word(v.answer)}" for v in report.verdicts}
    told = [paint(label, v.answer) for v, label in labels.items() if tells(report.sentence, v.message)]
    rests = [_clause(r) for r in mine.reasons if tells(report.sentence, r.message)] if mine is not None else []
    lines = [f"  {'; '.join(told)}{''.join(rests)}"] if told else []
    for v, label in labels.items():
        if not tells(report.sentence, v.message):
            reason = paragraph(f"{label}. {worded(v.message, units)}", 2, 2)
            lines.append(painted(reason, label, paint(label, v.answer)))
    return lines


def _reach_in_short(ceiling: Ceiling, cone: Cone | None, units: UnitChoice) -> list[str]:
    if not ceiling.rated and ceiling.proven is None:
        return [labelled("ceiling", UNRATED, 16)]
    mine = [f"{_chance(c)} within {FULL_POWER_H:g} h, {_hours(c)}" for c in ceiling.cones if c.cone == cone]
    return [*_ceiling(ceiling, units), *(labelled(f"cone {cone}", words, 16) for words in mine)]


def _cost_in_short(estimates: Sequence[Estimate], cone: Cone | None) -> list[str]:
    known = {e.name: e for e in estimates}
    lines = []
    if (energy := known.get("energy_per_firing")) is not None:
        cost = known.get("cost_per_firing")
        costs = f", {interval_words(cost)} {cost.unit}" if cost is not None else ""
        to = f", cone {cone}" if cone is not None else ""
        lines.append(labelled("energy", f"{interval_words(energy)} kWh{costs}{to}", 16))
    if (cools := known.get("hours_to_cool")) is not None:
        lines.append(labelled("cools in", f"{interval_words(cools)} h; open it no sooner", 16))
    return lines


def _place_in_short(place: PlaceResult, sentence: str, paint: Paint) -> list[str]:
    """What the room leaves open, and that fumes go outside, whether or not the gases are known."""
    label = f"{place.room or 'the room'}: {answer_word(place.answer)}"
    against = [r for r in place.reasons if r.answer is not Answer.FITS]
    left = [r for r in against if not tells(sentence, r.message)]
    lines = [] if against and not left else [paint(f"  {label}", place.answer), *_reasons(left[:FEW_REASONS], 4)]
    gases = ", ".join(dict.fromkeys(r.gas for r in place.releases)) or "smoke, steam"
    told = f"! A firing gives off {gases} and carbon monoxide"
    return [*lines, paragraph(f"{told}: fumes go outside. Nobody stays in the room.", 2, 2)]


def _circuit(result: CircuitResult, paint: Paint, meant: bool) -> str:
    """One circuit; of those not meant only the weightiest reasons are told."""
    lead = f"{result.name}: {answer_word(result.answer)}"
    volts = next((r for r in result.reasons if r.code in _OTHER_VOLTS), None)
    if volts is not None and not meant:
        return paint(paragraph(f"{lead}, {volts.message}", 2, 2), result.answer)
    figures, bar = _figures(result), _amps_bar(result)
    shown = result.reasons if meant else result.reasons[:FEW_REASONS]
    more = len(result.reasons) - len(shown)
    return "\n".join([
        paint(f"  {lead}", result.answer), *([paragraph("; ".join(figures), 4)] if figures else []),
        *([bar] if bar else []), *_reasons(shown, 4),
        *([paragraph(f'(and {more} more: --circuit "{result.name}")', 4)] if more else []),
    ])  # fmt: skip


_BAR: Final = 40


def _amps_bar(result: CircuitResult) -> str:
    """The load against the breaker, with a mark at what it may carry for hours; empty where one is not known."""
    load, limit, breaker = result.load_A, result.continuous_limit_A, result.breaker_A
    if load is None or limit is None or breaker is None:
        return ""
    most = max(load, breaker)
    bar = list(interval_bar(0.0, load, load, 0.0, most, _BAR))
    bar[round(limit / most * (_BAR - 1))] = "!"
    return f"    0 [{''.join(bar)}] {most:g} A (! is the most for hours)"


def _figures(result: CircuitResult) -> list[str]:
    """Amps, volts and power in words, as far as they are known."""
    known = (
        (result.load_A, "draws {:.1f} A"), (result.continuous_limit_A, "may carry {:g} A for hours"),
        (result.minimum_breaker_A, "needs a {:g} A breaker"), (result.voltage_drop_V, "wire loses {:.1f} V"),
        (None if result.power_fraction is None else 100 * result.power_fraction, "{:.0f} % of full power"),
    )  # fmt: skip
    return [words.format(figure) for figure, words in known if figure is not None]


def _reasons(reasons: Sequence[Reason], indent: int) -> list[str]:
    return [paragraph(f"{_MARKS[r.answer]} {r.message}{_clause(r)}", indent, 2) for r in reasons]


def _clause(reason: Reason) -> str:
    return f" [{reason.clause}]" if reason.clause else ""


UNRATED = "not known: copy the highest cone or temperature from the plate or manual (cone, max_degC)"


def _ceiling(ceiling: Ceiling, units: UnitChoice) -> list[str]:
    """The ceiling as a cone and in degrees, with its interval."""
    e = ceiling.estimate
    cones = f"; 90 % cone {ceiling.cone_low} to {ceiling.cone_high}" if ceiling.cone_low != ceiling.cone_high else ""
    capped = " by heat alone"
    if ceiling.rated:
        capped = ", the maker's rating" if ceiling.cone == ceiling.cone_high else ""
    told = f"cone {ceiling.cone or 'below 022'}{capped}{cones}"
    return [
        labelled("ceiling", f"{told}, {_BASIS_WORDS.get(e.basis, e.basis.value)}", 16),
        labelled("", f"{both(e.value, units)}; {both(e.low, units)} to {both(e.high, units)}", 16),
    ]


def _chance(c: ConeReach) -> str:
    return f"{min(99.0, max(1.0, 100 * c.chance)):.0f} %"


def _hours(c: ConeReach) -> str:
    """Hours at full power with their interval."""
    return "likely never" if c.hours is None else f"{interval_words(c.hours)} h at full power"


def _reach(ceiling: Ceiling, circuit: str | None, units: UnitChoice) -> str:
    lines = [*_ceiling(ceiling, units), labelled("", f"on {circuit}" if circuit else "at the volts of its plate", 16)]
    if ceiling.stall is not None:
        lines += _stall(ceiling, ceiling.stall, units)
    lines += [labelled("", f"({worded(caveat, units)})", 16) for caveat in (*ceiling.estimate.caveats, *ceiling.notes)]
    rows = [[str(c.cone), _chance(c), _hours(c)] for c in ceiling.cones if "." not in c.cone.name][-8:]
    if rows:
        heads = ["cone", f"chance within {FULL_POWER_H:g} h", "hours, 90 % interval"]
        lines += ["", table([heads, *rows], "rrr")]
    return "\n".join(lines)


def _stall(ceiling: Ceiling, stall: Estimate, units: UnitChoice) -> list[str]:
    """Where the climb ends, and how that goes with the ceiling: heat-work goes on where the temperature stands."""
    value, low, high = (both(x, units) for x in (stall.value, stall.low, stall.high))
    cut = ceiling.stall_cut
    beyond = cut and stall.value >= stall.high
    told = f"about {value}; {low} to {BORNE if cut else high}"
    if beyond:
        told = BORNE if stall.low >= stall.high else f"{BORNE}; from {low} up"
    lines = [labelled("levels off", told, 16)]
    if ceiling.cone is not None and not beyond and stall.value < ceiling.estimate.value:
        text = (
            f"(cone {ceiling.cone} by long heat: {FULL_POWER_H:g} h work like a peak of"
            f" {both(ceiling.estimate.value, units)}, though it levels off near {value})"
        )
        lines.append(labelled("", text, 16))
    return lines


def _cost(estimates: Sequence[Estimate], units: UnitChoice) -> list[str]:
    names = {
        "energy_per_firing": "energy a firing", "cost_per_firing": "cost a firing", "duty_factor": "duty factor",
        "hours_to_cool": "cools in",
    }  # fmt: skip
    lines = []
    for e in estimates:
        if e.name in names:
            caveats = worded(joined("; ", e.caveats), units)
            unit = "of full power" if e.name == "duty_factor" else e.unit
            lines.append(labelled(names[e.name], f"{interval_words(e)} {unit}; {caveats}", 20))
    return lines


def _stacks(stacks: Sequence[StackCount]) -> list[str]:
    if not stacks:
        return [paragraph("What it holds is not worked out: the inside is not known.", 2)]
    rows = [["piece", "on a level", "levels", "in a firing"]]
    rows += [[s.piece, str(s.per_level), str(s.levels), str(s.per_firing)] for s in stacks]
    roomy = [s for s in stacks if s.levels_by_height > s.levels]
    more = [f"with more shelves {s.per_level * s.levels_by_height} of {s.piece}" for s in roomy]
    return ["", table(rows, "lrrr"), *([paragraph(f"({'; '.join(more)})", 2)] if more else [])]


def _place(place: PlaceResult, paint: Paint, units: UnitChoice) -> str:
    lines = [paint(f"  {place.room or 'no room named'}: {answer_word(place.answer)}", place.answer)]
    lines += _reasons(place.reasons, 4)
    for e in place.estimates:
        if e.unit == "K":
            value, low, high = (difference(x, units) for x in (e.value, e.low, e.high))
            lines.append(labelled("air warms by up to", f"{value}; {low} to {high}", 22, 4))
            continue
        lines.append(labelled("heat to the room", f"{interval_words(e)} {e.unit}", 22, 4))
    for r in place.releases:
        when = f"mostly {span(r.from_degC, r.to_degC, units)}, from {r.of} of a full load"
        mass, caution = worded(_grams(r.low_g, r.high_g), units), worded(r.caution, units)
        lines.append(labelled(r.gas, f"{mass}, {when}; {caution}", 22, 4))
    return "\n".join([*lines, *bullets((*place.hazards, *place.cautions), 4)])


def _grams(low_g: float, high_g: float) -> str:
    """A mass of gas: a range with the digits it allows, one figure of two digits where the recipe tells it exactly."""
    digits = decimals_for(max((high_g - low_g) / 4, 0.05))
    low, high = rounded(low_g, digits), rounded(high_g, digits)
    if high_g - low_g > 0.02 * high_g:
        return phrase("{:s g}", (low, high))
    return phrase("about {:g g}", float(f"{high_g:.2g}"))


# What recorded firings taught of a kiln, as a person reads it and as JSON.


def kiln_learned_text(learned: KilnLearned, units: UnitChoice) -> str:
    """A whole `learn --kiln` answer at 80 columns."""
    parts = [paragraph(learned.sentence), "", heading("From its firings, each with its 90 % interval")]
    for estimate in learned.estimates:
        name = estimate.name.replace("_", " ")
        parts.append(labelled(name, f"{interval_words(estimate)}, {estimate.basis.value}", 22))
        parts += [labelled("", f"({caveat})", 22) for caveat in estimate.caveats]
    for title, hot in (("ceiling before", learned.ceiling_before), ("ceiling now", learned.ceiling)):
        if hot is not None:
            cone = f"; cone {hot.cone}" if hot.cone is not None else ""
            value, low, high = (both(x, units) for x in (hot.estimate.value, hot.estimate.low, hot.estimate.high))
            basis = _BASIS_WORDS.get(hot.estimate.basis, hot.estimate.basis.value)
            parts.append(labelled(title, f"{value}; {low} to {high}{cone}, {basis}", 22))
    if learned.wear is not None:
        parts += ["", paragraph(learned.wear.verdict.message)]
    for title, firings in (("Used", learned.used), ("Left out", learned.left_out)):
        parts += section(title, [labelled(id_, why, 8) for id_, why in firings])
    return "\n".join([*parts, *section("Next", numbered(learned.next_steps, units))])
