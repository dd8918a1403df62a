"""A firing as a person reads it: the segments to enter, the cones, the switch, what to mind."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.render.text.kiln import both, difference, hours_words, rate_words
from glazecalc.render.words import (
    Paint,
    bullets,
    heading,
    interval_words,
    labelled,
    paragraph,
    table,
    unpainted,
    worded,
)
from glazecalc.values.answers import Answer, Estimate, Verdict, percent_words
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.firing import KEEP_CHANCE, FiringReport
from glazecalc.values.texts import tells
from glazecalc.values.units import clock

SHORT_CONES: Final = 2
"""Cones next to the peak that the short answer tells, beside the first that stands."""


def firing_text(report: FiringReport, units: UnitChoice, paint: Paint = unpainted, full: bool = True) -> str:
    """The whole answer at 80 columns; without ``full`` what a potter acts on, in fifty lines on the demo."""
    lead = paragraph(worded(report.sentence, units))
    parts = [paint(lead, report.answer) if report.answer else lead]
    parts += bullets(worded(v.message, units) for v in _untold(report, full))
    parts += [paragraph(f"({worded(note, units)})", 2) for note in report.notes]
    if not report.segments and not report.turn_ups:
        return "\n".join(parts)
    if report.segments:
        parts += ["", heading("Segments"), _segments(report, units, full)]
        parts.append(f"  {hours_words(report.total_h)} in all, without the cooling that is left to itself")
        parts += _slower(report, units, full)
    if report.turn_ups:
        parts += ["", heading("With the switch"), *_switch(report, units)]
    parts += ["", heading("Cones"), *_cones(report, units, full)]
    if report.estimates and full:
        parts += ["", heading("What it takes"), *_estimates(report)]
    elif report.estimates:
        parts.append(paragraph(_energy(report.estimates), 2))
    title = "Cautions" if full else "Cautions (--full tells all of them by stage, and every cone)"
    rows = [paragraph(f"{stage}: {text}", 2, 2) for stage, text in safety_rows(report, units, full)]
    return "\n".join([*parts, "", heading(title), *rows])


def _untold(report: FiringReport, full: bool) -> list[Verdict]:
    """The verdicts that the sentence does not tell; in short those alone that it does not rest on."""
    left = [v for v in report.verdicts if not tells(report.sentence, v.message)]
    return left if full else [v for v in left if v.rule != "heat_work" or v.answer is not Answer.FITS]


def _segments(report: FiringReport, units: UnitChoice, full: bool) -> str:
    rows = [("", "rate", "to", "hold", "done at")]
    cells = segment_rows(report, units)
    rows += [(number, rate, to, hold or "-", done) for number, rate, to, hold, done, _ in cells]
    whys = [paragraph(f"{row[0]}: {row[-1]}", 4, 3) for row in cells]
    return "\n".join([table(rows, "rrrrr"), *(whys if full else ())])


def segment_rows(report: FiringReport, units: UnitChoice) -> list[tuple[str, str, str, str, str, str]]:
    """Segments to enter in a controller: number, rate, end, hold, when it is done, why."""
    return [
        (
            str(i), rate_words(s.rate_degC_per_h, units), both(s.to_degC, units),
            hours_words(s.hold_h) if s.hold_h else "", clock(s.ends_at_h), worded(s.why, units),
        )
        for i, s in enumerate(report.segments, start=1)
    ]  # fmt: skip


def witness_words(cones: Sequence[Cone]) -> str:
    """Which cones to set out beside the ware."""
    return f"Set out witness cones {', '.join(map(str, cones))}; they decide, not the pyrometer."


def safety_rows(report: FiringReport, units: UnitChoice, full: bool = True) -> list[tuple[str, str]]:
    """Cautions of a firing, stage by stage; in short those of fire, poisonous gas, mains and burns."""
    return [(worded(note.stage, units), worded(note.text, units)) for note in report.safety if full or note.first]


def _slower(report: FiringReport, units: UnitChoice, full: bool) -> list[str]:
    """Where the kiln is slower than was wanted; the same findings as ``cannot_follow``, in both scales. In short the
    rates that it hardly keeps alone: those slowed for it stand in the table, and what that gains in a note.
    """
    lines, start = [], 20.0
    for s in report.segments:
        span = f"from {both(start, units)} to {both(s.to_degC, units)}"
        share = f"in about {percent_words(s.kept)} of the likely cases" if s.kept is not None else ""
        if s.asked_degC_per_h is not None:
            wanted, asked = rate_words(s.asked_degC_per_h, units), rate_words(s.rate_degC_per_h, units)
            lines += [f"{span}: slowed from {wanted} to {asked}, which {report.kiln} keeps {share}"] if full else []
        elif s.kept is not None and s.kept < KEEP_CHANCE and s.to_degC > start:
            lines.append(f"{span} {report.kiln} keeps {rate_words(s.rate_degC_per_h, units)} only {share}")
        start = s.to_degC
    return bullets(lines, mark="!")


def _switch(report: FiringReport, units: UnitChoice) -> list[str]:
    lines = []
    for act in report.turn_ups:
        when = f"{clock(act.at_h)} h" + (f", about {both(act.degC, units)}" if act.degC is not None else "")
        lines.append(paragraph(f"{when}: {worded(act.text, units)}", 2, 2))
    return lines


def _cones(report: FiringReport, units: UnitChoice, full: bool) -> list[str]:
    lines = []
    if report.reached_cone is None:
        lines.append(paragraph("No cone comes down in this firing.", 2))
    else:
        span = f" (cone {report.cone_low or 'none'} to {report.cone_high} within a cone's reading range)"
        lines.append(paragraph(f"Hottest cone down: {report.reached_cone}{span}", 2))
    down = [c for c in report.cones if c.bends_at_h is not None][-(6 if full else SHORT_CONES) :]
    rows = [["cone", "bends at", "hours"]]
    for c in down:
        assert c.bends_at_degC is not None and c.bends_at_h is not None
        rows.append([str(c.cone), both(c.bends_at_degC, units), clock(c.bends_at_h)])
    standing = next((c for c in report.cones if c.bends_at_h is None), None)
    if standing is not None:
        rows.append([str(standing.cone), f"stands, {100 * standing.done:.0f} % of its heat-work", "-"])
    lines.append(table(rows, "rrr"))
    if report.witness_cones:
        lines.append(paragraph(witness_words(report.witness_cones), 2))
    if report.hold_worth_K and full:
        lines.append(
            paragraph(f"The hold at the peak is worth {difference(report.hold_worth_K, units)} of a hotter peak.", 2)
        )
    return lines


def _energy(estimates: Sequence[Estimate]) -> str:
    """Energy and cost in one line."""
    return f"It takes {', '.join(f'{interval_words(e)} {e.unit}' for e in estimates if e.name != 'duty_factor')}."


def _estimates(report: FiringReport) -> list[str]:
    names = {"energy_per_firing": "energy", "cost_per_firing": "cost", "duty_factor": "duty factor"}
    lines = []
    for e in report.estimates:
        unit = "of full power" if e.unit == "1" else e.unit
        lines.append(labelled(names.get(e.name, e.name), f"{interval_words(e)} {unit}", 16))
    return lines
