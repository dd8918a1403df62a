"""What the tiles taught of a clay, as a person reads it."""

from __future__ import annotations

from textwrap import wrap

from glazecalc.render.text.formula import estimate_line, formula_block
from glazecalc.render.words import (
    heading,
    in_units,
    interval_bar,
    interval_words,
    labelled,
    paragraph,
    rounded,
    table,
    worded,
)
from glazecalc.values.answers import Estimate
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.learn import ClayReport, Lesson, NextTile, TileLine, WetSize
from glazecalc.values.texts import joined, phrase
from glazecalc.values.units import convert

HOW_TO_TEST = (
    "A tile says most once it was tested: a night in the freezer, then boiling water, three times; ink shows fine "
    "lines. Record it with: glazecalc record tile --id MARK{studio} --result RESULT --after \"freezer and boil x3\" "
    "(RESULT: sound, crazed at once, crazed later, shivered). Gloves and goggles: a frozen tile can burst in boiling "
    "water."
)  # fmt: skip

_WORDS = ((0.3, "much"), (0.1, "some"), (0.0, "little"))
"""From how many bits on a tile is said to tell much, some, little (a judgement); a toss of a coin tells one bit."""


def lesson_text(lesson: Lesson, units: UnitChoice, studio: str = "") -> str:
    """A whole `learn` answer at 80 columns; ``studio`` is the option that names the studio, where it is needed."""
    prior, posterior = lesson.learned.prior, lesson.learned.posterior
    used = [tile for tile in lesson.tiles if tile.weight is not None]
    where = f" at cone {lesson.cone}" if lesson.cone else ""
    parts = [paragraph(learned_sentence(lesson, len(used), where)), "", *_bars(prior, posterior, units)]
    if lesson.tiles:
        parts += ["", heading("Tiles"), _tiles(lesson.tiles)]
    for clash in lesson.learned.contradictions:
        text = (
            f"Tile {clash.tile} disagrees with the others ({100 * clash.chance:.0f} % likely), most with "
            f"{clash.against}. Look at both again: another jar, a thick coat, another clay?"
        )
        parts += ["", paragraph(text)]
    waiting = [tile.id for tile in lesson.tiles if tile.result == "waiting"]
    if waiting:
        text = (
            f"{', '.join(waiting)} {'waits' if len(waiting) == 1 else 'wait'} for a result: fire and record these "
            f"before any other, with: glazecalc record tile --id {waiting[0]} --result RESULT{studio}"
        )
        parts += ["", heading("Waiting tiles first"), paragraph(text)]
    if lesson.next_tiles:
        title = heading("Then fire" if waiting else "Fire next")
        parts += ["", title, _next(lesson.next_tiles), "", paragraph(HOW_TO_TEST.format(studio=studio))]
    if lesson.tiles_per_firing is not None:
        parts.append(paragraph(f"About {lesson.tiles_per_firing} test tiles go into one firing of this kiln."))
    parts += [paragraph(remark) for remark in lesson.remarks]
    return "\n".join(parts)


def learned_sentence(lesson: Lesson, used: int, where: str) -> str:
    """What is known of the clay by now, from ``used`` tiles."""
    expansion = interval_words(lesson.learned.posterior)
    if not used:
        return (
            f"Nothing is learned of {lesson.body}{where} yet: until then its expansion is {expansion} x 1e-6/K. Glaze "
            "test tiles and write down how they come out."
        )
    prior = lesson.learned.prior
    times = (prior.high - prior.low) / (lesson.learned.posterior.high - lesson.learned.posterior.low)
    told = f"the range is now {times:.1f} times narrower" if times >= 1.05 else "the range is no narrower yet"
    return (
        f"{lesson.body}{where} expands by {expansion} x 1e-6/K, learned from {used} "
        f"tile{'s' if used > 1 else ''}: {told}. The check uses it from now on."
    )


def _bars(prior: Estimate, posterior: Estimate, units: UnitChoice) -> list[str]:
    start, end = min(prior.low, posterior.low) - 0.3, max(prior.high, posterior.high) + 0.3
    lines = []
    for name, estimate in (("before", prior), ("now", posterior)):
        bar = interval_bar(estimate.low, estimate.value, estimate.high, start, end, 40)
        lines.append(labelled(name, f"{bar}  {interval_words(estimate)}", 8))
    return [*lines, labelled("", f"{worded(joined(', ', posterior.caveats), units)}; 90 % intervals, 1e-6/K", 8)]


def _tiles(tiles: tuple[TileLine, ...]) -> str:
    rows = [("mark", "glaze", "its expansion", "result", "share counted")]
    for tile in tiles:
        expansion = "" if tile.expansion is None else f"{tile.expansion:.1f}"
        weight = tile.reason or ("" if tile.weight is None else f"{100 * tile.weight:.0f} %")
        rows.append((tile.id, tile.glaze[:24], expansion, tile.result[:20], weight))
    return table(rows, "llrll", indent=0)


def _next(tiles: tuple[NextTile, ...]) -> str:
    rows = [("glaze", "tells", "range after", "likely")]
    outcomes = [
        ", ".join(f"{r.value} {100 * p:.0f} %" for r, p in sorted(tile.outcomes, key=lambda o: -o[1])[:2])
        for tile in tiles
    ]
    room = 80 - len("  little  range after  ") - max(map(len, outcomes))
    for tile, likely in zip(tiles, outcomes, strict=True):
        name, *more = wrap(tile.name, room, subsequent_indent="  ")
        worth = next(word for least, word in _WORDS if tile.information_bits >= least)
        rows.append((name, worth, f"{tile.width_after:.1f}", likely))
        rows += [(rest, "", "", "") for rest in more]
    commands = [paragraph(f"{tile.name}: {tile.how}", 2, 4) for tile in tiles if tile.how]
    ranges = paragraph("Range after: how wide the range of the clay's expansion is likely to be then, 1e-6/K.")
    return "\n".join([table(rows, "llrl", indent=0), ranges, *(["", "To mix them:", *commands] if commands else [])])


# What is known of a clay, as a person reads it.

_NAMES = {
    "body_expansion": "expansion", "prior_expansion": "before any tile", "reasoned_expansion": "from its recipe",
    "absorption": "absorption", "shrinkage": "shrinkage",
}  # fmt: skip


def clay_text(report: ClayReport, units: UnitChoice) -> str:
    """A whole `body` answer at 80 columns."""
    kind = ", ".join(word for word in (report.colour, report.ware if report.ware != "other" else "") if word)
    at = f" at cone {report.cone}" if report.cone else ""
    sold = f"sold for cone {report.cone_range}" if report.cone_range else "cone range not known"
    parts = [paragraph(f"{report.body}{at}: {kind or 'class not known'}, {sold}."), ""]
    parts += [labelled("", verdict.message, 2) for verdict in report.verdicts]
    if report.wet_size is not None:
        parts += ["", paragraph(_wet(report.wet_size, units))]
    parts += ["", heading("Figures, each with its 90 % interval")]
    for estimate in report.estimates:
        if estimate.name == "prior_expansion" and not report.tiles:
            continue
        parts.append(labelled(_NAMES[estimate.name], estimate_line(in_units(estimate, units)), 18))
        parts += [labelled("", f"({worded(caveat, units)})", 18) for caveat in estimate.caveats]
    if report.lines:
        parts += ["", heading("By cone"), _cones(report)]
    if report.formula is not None:
        parts += ["", formula_block(report.formula)]
    if report.missing:
        parts += ["", heading("Not known, and how to find out")]
        for figure in report.missing:
            standard = f" ({figure.standard})" if figure.standard else ""
            line = phrase("- {}{}: {}. {}", figure.what, standard, figure.how, figure.arithmetic)
            parts.append(paragraph(worded(line, units), 2, 2))
    return "\n".join(parts)


def _wet(size: WetSize, units: UnitChoice) -> str:
    """How big to make it wet; inches to a hundredth, which is a quarter of a millimetre."""

    def shown(mm: float) -> str:
        return rounded(convert(mm, "mm", units.length, "length"), 0 if units.length == "mm" else 2)

    fired, wet, low, high = map(shown, (size.fired_mm, size.wet_mm, size.wet_low_mm, size.wet_high_mm))
    text = f"For {fired} {units.length} fired, make it {wet} {units.length} wet ({low} to {high} {units.length})."
    return text if size.dry_mm is None else f"{text} Bone dry it is then {shown(size.dry_mm)} {units.length}."


def _cones(report: ClayReport) -> str:
    def cell(percent: float | None) -> str:
        return "" if percent is None else f"{percent:g} %"

    rows = [(line.cone, cell(line.absorption_percent), cell(line.shrinkage_percent)) for line in report.lines]
    return table([("cone", "absorption", "shrinkage"), *rows], "rrr")
