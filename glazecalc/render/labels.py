"""Labels laid out on sheets: type shrinks or wraps until it fits, so that nothing is cut off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Final

from glazecalc.render.figures.drawing import text_width, wrapped
from glazecalc.render.page import filled
from glazecalc.render.words import with_unit
from glazecalc.values.inputs import LabelSheet, UnitChoice
from glazecalc.values.results.page import PAGE_MM, Label, LabelHazards, LabelRun

_PAD_MM: Final = 2.0
_LEAD: Final = 1.18
"""Line height over letter size."""
_NAME_MM: Final = (8.0, 7.0, 6.0, 5.2, 4.6, 4.0, 3.5, 3.1, 2.8, 2.4, 2.0, 1.7)
_TEXT_MM: Final = (2.8, 2.5, 2.2, 2.0, 1.7)
"""Sizes tried for the name and for the rest [mm], largest first; 2.1 mm is six points."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a label: text, letter size and distance of its top from the label's [mm]."""

    text: str
    size_mm: float
    top_mm: float
    bold: bool

    @property
    def width_mm(self) -> float:
        """How wide it is to be, in whatever letters the printer has [mm]."""
        return round(text_width(self.text, self.size_mm, bold=self.bold), 2)


@dataclass(frozen=True, slots=True)
class PlacedLabel:
    """A label on its sheet [mm]; ``complete`` is false where some text had to be left out."""

    left_mm: float
    top_mm: float
    lines: tuple[Line, ...]
    complete: bool


def labels_html(run: LabelRun, units: UnitChoice) -> str:
    """Sheets of labels as one HTML page that prints at true size."""
    width, height = PAGE_MM[run.sheet.page]
    return filled("labels.html", sheets=sheets(run, units), sheet=run.sheet, page_width=width, page_height=height)


def sheets(run: LabelRun, units: UnitChoice) -> list[list[PlacedLabel]]:
    """The labels of each sheet; the first begins at the run's start."""
    per_sheet = run.sheet.columns * run.sheet.rows
    found: list[list[PlacedLabel]] = []
    for i, label in enumerate(run.labels, start=run.start - 1):
        if i % per_sheet == 0 or not found:
            found.append([])
        found[-1].append(_place(label, i % per_sheet, run.sheet, units))
    return found


def crowded(run: LabelRun, units: UnitChoice) -> list[str]:
    """Names of the labels whose text does not all fit, even at the smallest size."""
    placed = (label for sheet in sheets(run, units) for label in sheet)
    return list(dict.fromkeys(label.name for label, at in zip(run.labels, placed, strict=True) if not at.complete))


def _place(label: Label, position: int, sheet: LabelSheet, units: UnitChoice) -> PlacedLabel:
    row, column = divmod(position, sheet.columns)
    lines, complete = fitted(label, sheet.width_mm - 2 * _PAD_MM, sheet.height_mm - 2 * _PAD_MM, units)
    return PlacedLabel(
        left_mm=sheet.left_mm + column * (sheet.width_mm + sheet.gap_x_mm) + sheet.offset_x_mm,
        top_mm=sheet.top_mm + row * (sheet.height_mm + sheet.gap_y_mm) + sheet.offset_y_mm,
        lines=lines, complete=complete,
    )  # fmt: skip


def fitted(label: Label, width_mm: float, height_mm: float, units: UnitChoice) -> tuple[tuple[Line, ...], bool]:
    """The label's lines at the largest sizes that fit, and whether all of them do."""
    head = label.id if label.kind == "tile" and label.id else label.name
    rest = list(rest_of(label, units))
    for text_mm, name_mm in product(_TEXT_MM, _NAME_MM):  # the text stays readable before the name grows
        if name_mm < text_mm:
            continue
        lines = _stack(head, name_mm, rest, text_mm, width_mm)
        last = lines[-1]
        if last.top_mm + last.size_mm * _LEAD <= height_mm:
            return lines, True
    kept = tuple(line for line in lines if line.top_mm + line.size_mm * _LEAD <= height_mm)
    return kept or lines[:1], False


def _stack(head: str, name_mm: float, rest: list[str], text_mm: float, width_mm: float) -> tuple[Line, ...]:
    texts = [(text, name_mm, True) for text in wrapped(head, width_mm, name_mm, bold=True) or [" "]]
    texts += [(text, text_mm, False) for paragraph in rest for text in wrapped(paragraph, width_mm, text_mm)]
    lines: list[Line] = []
    top = 0.0
    for text, size_mm, bold in texts:
        lines.append(Line(text, size_mm, round(top, 2), bold))
        top += size_mm * _LEAD
    return tuple(lines)


def hazard_words(holds: LabelHazards) -> str:
    """What a label warns of, in one line; the whole statements are in the cautions of a check.

    >>> hazard_words(LabelHazards("dry", ("lead",), ("silica dust",)))
    'POISON: lead. NOT FOR FOOD OR DRINK. Hazards: silica dust. Dry: fitted P100 or P3 respirator.'
    """
    named = (*holds.deadly, *holds.others)
    if holds.of == "jar":
        return "Hazards: see the jar's own label and data sheet."
    if holds.of == "fired":
        return f"Holds {', '.join(named)}." if named else ""
    if not named:
        return "Dry: dust mask. Keep away from children and food."
    first = f"POISON: {', '.join(holds.deadly)}. NOT FOR FOOD OR DRINK. " if holds.deadly else ""
    more = f"Hazards: {', '.join(holds.others)}. " if holds.others else ""
    return f"{first}{more}Dry: fitted P100 or P3 respirator."


def rest_of(label: Label, units: UnitChoice) -> Iterator[str]:
    """The lines under a label's name, each as one text."""
    holds = "" if label.holds is None else hazard_words(label.holds)
    poison = label.holds is not None and bool(label.holds.deadly)
    if poison:
        yield holds
    tile = label.kind == "tile"
    yield from filter(None, (
        ", ".join(filter(None, (
            label.name if tile and label.id else "", f"no. {label.id}" if label.id and not tile else "",
            f"cone {label.cone}" if label.cone else "", label.body, label.date,
        ))),
        ", ".join(filter(None, (
            f"specific gravity {label.density:.2f}" if label.density is not None else "",
            f"dry {with_unit(label.dry_g, units, 1.0)}" if label.dry_g is not None else "",
            f"bucket empty {with_unit(label.tare_g, units, 1.0)}" if label.tare_g is not None else "",
        ))),
        "" if poison else holds,
        label.warning,
    ))  # fmt: skip
