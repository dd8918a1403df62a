"""The texts of a printed page, section by section: figures rounded and in the reader's units, nothing computed."""

from __future__ import annotations

from typing import Final

from glazecalc.render.text.firing import safety_rows as safety_rows
from glazecalc.render.text.firing import segment_rows as segment_rows
from glazecalc.render.text.firing import witness_words
from glazecalc.render.text.formula import estimate_line, ratio_words
from glazecalc.render.text.formula import unity_columns as columns_of
from glazecalc.render.text.kiln import both, span
from glazecalc.render.text.tiles import chance_cell, told
from glazecalc.render.text.weigh import cost_words, line_notes, split_ways
from glazecalc.render.words import (
    ANSWER_WORDS,
    amount,
    estimate_name,
    in_units,
    length_text,
    mass_text,
    rounded,
    rule_words,
    volume_text,
    with_unit,
    worded,
)
from glazecalc.values.answers import Answer
from glazecalc.values.inputs import Body, Circuit, Kiln, UnitChoice
from glazecalc.values.results.check import Batch, CheckResult, Formula
from glazecalc.values.results.firing import FiringReport
from glazecalc.values.results.page import Page
from glazecalc.values.results.tiles import TilesResult
from glazecalc.values.results.weigh import WeighResult
from glazecalc.values.texts import joined, unstopped
from glazecalc.values.units import clock, convert

Row = tuple[str, ...]

BIG_ANSWER: Final = {
    Answer.FITS: "Fits", Answer.DOES_NOT_FIT: "Does not fit", Answer.CANNOT_SAY: "Cannot say",
    Answer.NOT_ASKED: "Not asked",
}  # fmt: skip
SMALL_ANSWER: Final = ANSWER_WORDS


def where_line(check: CheckResult) -> str:
    """On what, at which cone, in which kiln: one line."""
    more = [f"in {check.kiln}" if check.kiln else "", f"plugged into {check.circuit}" if check.circuit else ""]
    return ", ".join(filter(None, (short_where(check), *more)))


def short_where(check: CheckResult) -> str:
    """On what and at which cone."""
    parts = [f"on {check.body}" if check.body else "", f"cone {check.cone}" if check.cone else ""]
    return ", ".join(filter(None, parts))


def reasons(check: CheckResult) -> list[tuple[str, Answer, str]]:
    """Rule, answer and sentence of every verdict."""
    return [(rule_words(v.rule), v.answer, v.message) for v in check.verdicts]


def estimate_rows(check: CheckResult, units: UnitChoice) -> list[Row]:
    """Name, figure with interval and basis of every estimate; what they rest on stands under the assumptions."""
    return [(estimate_name(e, units), estimate_line(in_units(e, units))) for e in check.estimates]


def assumption_lines(page: Page) -> list[str]:
    """What the page rests on, each line once: the caveats under the estimates' plain names, then the card's own."""
    named: dict[str, list[str]] = {}
    for estimate in page.check.estimates:
        for caveat in estimate.caveats:
            named.setdefault(worded(caveat, page.units), []).append(estimate_name(estimate, page.units))
    lines = [f"{', '.join(dict.fromkeys(names))}: {caveat}" for caveat, names in named.items()]
    return list(dict.fromkeys((*lines, *(worded(line, page.units) for line in page.assumptions))))


def unity_columns(formula: Formula) -> list[tuple[str, list[Row]]]:
    """The classical columns: title, then oxide, moles and interval of each."""
    return [
        (title, [(oxide, rounded(moles, 3), _between(line.unity_low, line.unity_high)) for oxide, moles, line in lines])
        for title, lines in columns_of(formula)
    ]


def _between(low: float | None, high: float | None) -> str:
    """An interval of moles, to a third decimal where two would show nothing; empty where both ends read alike.

    >>> _between(0.0021, 0.0042), _between(0.18, 0.21), _between(0.0021, 0.0022)
    ('0.002 to 0.004', '0.18 to 0.21', '')
    """
    assert low is not None and high is not None, "what has moles has their interval"
    decimals = 2 if high >= 0.095 else 3
    ends = rounded(low, decimals), rounded(high, decimals)
    return "" if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def composition_rows(formula: Formula) -> list[Row]:
    """Oxide, mole % and weight %."""
    return [(line.oxide, rounded(line.mole_percent, 2), rounded(line.weight_percent, 2)) for line in formula.lines]


def ratio_rows(formula: Formula) -> list[Row]:
    """The ratios potters read off a formula."""
    rows: list[Row] = [(n, f"{figure} B2O3" if n == "boron" else figure) for n, figure in ratio_words(formula)]
    loss = formula.loss_on_ignition_percent
    return rows if loss is None else [*rows, ("lost in firing", f"{rounded(loss, 1)} % of the batch")]


def batch_rows(batch: Batch) -> list[Row]:
    """Material, the card's amount and the percent form; additions with a plus sign after the base's total."""

    def row(name: str, amount_: float, percent: float) -> Row:
        return name, f"{amount_:g}", rounded(percent, 2)

    rows = [row(line.material, line.amount, line.percent) for line in batch.lines if not line.addition]
    if batch.base_total:
        rows.append(("base total", f"{batch.base_total:g}", "100.00"))
    return rows + [row(f"+ {line.material}", line.amount, line.percent) for line in batch.lines if line.addition]


def weigh_rows(sheet: WeighResult, units: UnitChoice) -> list[dict[str, str]]:
    """The lines in the order of weighing: what the scale shows, what is in the pot after it, what is a hazard."""
    return [
        {
            "material": line.material, "hazard": "hazard" if line.hazards else "",
            "addition": "addition" if line.addition else "",
            "grams": mass_text(line.scale_g, units, line.resolution_g),
            "running": mass_text(line.running_total_g, units, line.resolution_g),
            "off": f"{line.error_percent:+.1f} %" if abs(line.error_percent) >= 0.05 else "",
            "notes": line_notes(line, "too small for this scale, see below", "out of tolerance, see below"),
        }
        for line in sheet.in_weighing_order()
    ]  # fmt: skip


def weigh_facts(sheet: WeighResult, units: UnitChoice) -> list[Row]:
    """What stands above and below the lines of a batch sheet."""
    step = min(line.resolution_g for line in sheet.lines)
    water, gravity = sheet.water, sheet.water.specific_gravity
    facts: list[Row] = [
        ("batch", f"{with_unit(sheet.dry_g, units, step)} dry"),
        ("water", f"{amount(water.water_to_add_g, units)}, for {volume_text(water.slurry_mL, units)} of slurry"),
        ("specific gravity", f"{gravity:.2f} ({_litre(1000 * gravity, units)})"),
    ]
    if sheet.smallest_batch_g is not None:
        smallest = with_unit(sheet.smallest_batch_g, units, step)
        facts.append(("smallest batch", f"{smallest} keeps every line within {sheet.tolerance_percent:g} %"))
    if sheet.cost is not None:
        facts.append(("materials", cost_words(sheet.cost, sheet.cost_is_complete, sheet.currency)))
    return facts


def _litre(grams: float, units: UnitChoice) -> str:
    """What a litre of slurry weighs; a pint where no litres are read."""
    if units.volume in ("mL", "L"):
        return f"a litre weighs {amount(grams, units)}"
    return f"a pint weighs {amount(grams * convert(1.0, 'pint', 'L', 'volume'), units)}"


def split_sentences(sheet: WeighResult, units: UnitChoice) -> list[str]:
    """How to bring in a line that is too small for the scale."""
    step = min(line.resolution_g for line in sheet.lines)
    return [
        f"{split.material}, {way}: {words} (within {off} %)."
        for split in sheet.splits
        for way, words, off in split_ways(split, units, step)
    ]


def tile_rows(plan: TilesResult, units: UnitChoice) -> list[dict[str, str]]:
    """Each tile in pouring order: parts and what they weigh, what is expected, where it stands."""
    rows = []
    for point in sorted(plan.points, key=lambda p: p.number):
        measures = [
            f"{volume_text(m, units) if plan.by == 'volume' else amount(m, units)} {letter}"
            for letter, m in zip("ABCDEFGH", point.measures, strict=False)
            if m > 0
        ]
        place = point.place
        where = "" if place is None else f"firing {place.firing}, shelf {place.shelf}, place {place.spot}"
        marks = joined("; ", map(unstopped, point.marks))
        crazing = chance_cell(told(point.check, "crazing_probability"))
        rows.append({
            "id": point.id, "parts": ":".join(str(part) for part in point.parts), "measures": " + ".join(measures),
            "place": where, "crazes": crazing, "marks": worded(marks, units),
        })  # fmt: skip
    return rows


def corner_rows(plan: TilesResult, units: UnitChoice) -> list[Row]:
    """What to weigh out for each corner of a plan."""
    rows: list[Row] = []
    for letter, corner in zip("ABCDEFGH", plan.corners, strict=False):
        step = min(line.resolution_g for line in corner.sheet.lines)
        lines = ", ".join(
            f"{line.material} {with_unit(line.scale_g, units, line.resolution_g)}"
            for line in corner.sheet.in_weighing_order()
        )
        water = f"{amount(corner.sheet.water.water_to_add_g, units)} water"
        rows.append((f"{letter} {corner.name}", f"{with_unit(corner.batch_g, units, step)} dry: {lines}; {water}", ""))
    return rows


def switch_rows(report: FiringReport, units: UnitChoice) -> list[Row]:
    """Acts at a kiln with a switch: when, at about what heat, what to do."""
    return [
        (clock(act.at_h), "" if act.degC is None else both(act.degC, units), worded(act.text, units))
        for act in report.turn_ups
    ]


def firing_notes(report: FiringReport, units: UnitChoice) -> list[str]:
    """Witness cones, what the kiln cannot follow, and what was assumed."""
    notes = [witness_words(report.witness_cones)] if report.witness_cones else []
    return [*notes, *(worded(note, units) for note in (*report.cannot_follow, *report.notes))]


def input_rows(page: Page) -> list[Row]:
    """What the answer rests on, as the studio gave it."""
    recipe = page.check.recipe
    rows: list[Row] = [("recipe", _and(f"{recipe.name} ({recipe.kind})", recipe.surface, recipe.atmosphere,
                        f"card says cone {recipe.cone}" if recipe.cone else "", recipe.source))]  # fmt: skip
    if page.body is not None:
        rows.append(("clay", _body(page.body, page.units)))
    if page.kiln is not None:
        rows.append(("kiln", _kiln(page.kiln, page.units)))
    if page.circuit is not None:
        rows.append(("circuit", _circuit(page.circuit, page.units)))
    return [
        *rows, ("a yes means", f"{page.limits.sound_percent:g} % likely to stay sound"),
        ("a no means", f"more than {page.limits.against_percent:g} % likely to craze, or to shiver"),
    ]  # fmt: skip


def _body(body: Body, units: UnitChoice) -> str:
    given = body.expansion
    expansion = ""
    if given is not None:
        spread = f" ({given.low:g} to {given.high:g})" if given.low is not None and given.high is not None else ""
        reach = f", {span(given.from_degC, given.to_degC, units)}" if given.to_degC is not None else ""
        expansion = f"expansion {given.value:g}{spread} 1e-6/K{reach}"
    cones = f"cone {body.cone_low} to {body.cone_high}" if body.cone_low and body.cone_high else ""
    absorbs = ", ".join(f"{a.percent:g} % at cone {a.cone}" for a in body.absorption_percent)
    wall = f"wall {length_text(body.wall_mm, units)}" if body.wall_mm else ""
    return _and(f"{body.name} ({body.ware})", expansion, cones, f"absorbs {absorbs}" if absorbs else "", wall)


def _kiln(kiln: Kiln, units: UnitChoice) -> str:
    plate = " ".join(f"{x:g} {u}" for x, u in ((kiln.volts, "V"), (kiln.amps, "A"), (kiln.watts, "W")) if x is not None)
    room = kiln.interior
    inside = ""
    if room is not None:
        inside = f"{room.shape} {length_text(room.width_mm, units)} across, {length_text(room.height_mm, units)} high"
    used = f"{kiln.firings_on_elements} firings on the elements" if kiln.firings_on_elements is not None else ""
    rated = f"rated cone {kiln.cone}" if kiln.cone else ""
    most = f"highest {both(kiln.max_degC, units)}" if kiln.max_degC else ""
    return _and(kiln.name, plate, rated, most, inside, used)


def _circuit(circuit: Circuit, units: UnitChoice) -> str:
    volts = f"{circuit.volts:g} V" if circuit.volts is not None else ""
    breaker = f"{circuit.breaker_A:g} A breaker" if circuit.breaker_A is not None else ""
    wire = f"wire AWG {circuit.wire_awg}" if circuit.wire_awg is not None else ""
    run = circuit.length_m
    length = "" if run is None else f"{rounded(run / 0.3048, 0)} ft long" if units.length == "in" else (
        f"{rounded(run, 0)} m long")  # fmt: skip
    return _and(circuit.name, volts, breaker, circuit.receptacle or "", wire, length)


def _and(*parts: str) -> str:
    return "; ".join(filter(None, parts))
