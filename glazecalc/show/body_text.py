"""What is known of a clay, as a person reads it and as JSON."""

from __future__ import annotations

from typing import Any

from glazecalc.show.formula_text import estimate_line, formula_block
from glazecalc.show.json_form import estimates_json, formula_json, verdict_json
from glazecalc.show.layout import heading, labelled, paragraph, table
from glazecalc.show.numbers import rounded
from glazecalc.show.units import in_units
from glazecalc.values.clay import ClayReport, WetSize
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.units import convert

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
        parts += [labelled("", f"({caveat})", 18) for caveat in estimate.caveats]
    if report.lines:
        parts += ["", heading("By cone"), _cones(report)]
    if report.formula is not None:
        parts += ["", formula_block(report.formula)]
    if report.missing:
        parts += ["", heading("Not known, and how to find out")]
        for figure in report.missing:
            standard = f" ({figure.standard})" if figure.standard else ""
            parts.append(paragraph(f"- {figure.what}{standard}: {figure.how}. {figure.arithmetic}", 2, 2))
    return "\n".join(parts)


def _wet(size: WetSize, units: UnitChoice) -> str:
    """How big to make it wet; inches to a hundredth, which is a quarter of a millimetre."""
    places = 0 if units.length == "mm" else 2
    fired, wet, low, high = (
        rounded(convert(mm, "mm", units.length, "length"), places)
        for mm in (size.fired_mm, size.wet_mm, size.wet_low_mm, size.wet_high_mm)
    )
    text = f"For {fired} {units.length} fired, make it {wet} {units.length} wet ({low} to {high} {units.length})."
    if size.dry_mm is None:
        return text
    dry = rounded(convert(size.dry_mm, "mm", units.length, "length"), places)
    return f"{text} Bone dry it is then {dry} {units.length}."


def _cones(report: ClayReport) -> str:
    rows = [("cone", "absorption", "shrinkage")]
    for line in report.lines:
        soaks = "" if line.absorption_percent is None else f"{line.absorption_percent:g} %"
        shrinks = "" if line.shrinkage_percent is None else f"{line.shrinkage_percent:g} %"
        rows.append((line.cone, soaks, shrinks))
    return table(rows, "rrr")


def clay_json(report: ClayReport) -> dict[str, Any]:
    """A `body` result."""
    wet = report.wet_size
    return {
        "body": report.body, "ware": report.ware, "colour": report.colour, "cone": report.cone,
        "cone_range": report.cone_range, **formula_json(report.formula),
        "phases": None if report.phases is None else {
            "glass": report.phases.glass, "mullite": report.phases.mullite, "quartz": report.phases.quartz,
        },
        "estimates": estimates_json(report.estimates),
        "by_cone": [
            {"cone": c.cone, "absorption_percent": c.absorption_percent, "shrinkage_percent": c.shrinkage_percent}
            for c in report.lines
        ],
        "wet_size": None if wet is None else {
            "fired_mm": wet.fired_mm, "wet_mm": wet.wet_mm,
            "wet_low_mm": wet.wet_low_mm, "wet_high_mm": wet.wet_high_mm, "dry_mm": wet.dry_mm,
        },
        "verdicts": [verdict_json(v) for v in report.verdicts],
        "missing": [
            {"what": m.what, "standard": m.standard, "how": m.how, "arithmetic": m.arithmetic} for m in report.missing
        ],
        "tiles": report.tiles, "sources": list(report.sources),
    }  # fmt: skip
