"""Labels: everything fits its label, part-used sheets begin where they are told, nothing is taken for markup."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.render.figures.drawing import text_width
from glazecalc.render.labels import crowded, fitted, labels_html, rest_of, sheets
from glazecalc.values.inputs import LabelSheet, UnitChoice
from glazecalc.values.results.page import Label, LabelHazards, LabelRun, page_overrun_mm
from tests.render.samples import HOSTILE, LONG

UNITS = UnitChoice()


def bucket(name: str = "Shoal clear") -> Label:
    return Label(
        kind="bucket", name=name, id="B12", cone="6", date="2026-01-01", density=1.5, dry_g=1500.0, tare_g=240.0,
        holds=LabelHazards("dry", (), ("silica dust", "cobalt")), warning="Not tested for food.",
    )  # fmt: skip


@pytest.mark.parametrize("name", ["Shoal clear", LONG, HOSTILE, "W" * 60, "x"])
@pytest.mark.parametrize(("width", "height"), [(66.0, 25.4), (100.0, 60.0), (38.0, 21.0)])
def test_text_shrinks_or_wraps_and_is_never_cut_off(name: str, width: float, height: float) -> None:
    lines, complete = fitted(bucket(name), width - 4, height - 4, UNITS)
    for line in lines:
        assert text_width(line.text, line.size_mm, line.bold) <= width - 4 + 1e-9
        assert line.top_mm + line.size_mm <= height - 4
    if complete:
        shown = "".join("".join(line.text for line in lines).split())
        assert "".join(name.split()) in shown and "Nottestedforfood." in shown


def test_a_short_name_is_larger_than_a_long_one() -> None:
    short, _ = fitted(bucket("Ash"), 62, 21.4, UNITS)
    long, _ = fitted(bucket(LONG), 62, 21.4, UNITS)
    assert short[0].size_mm > long[0].size_mm


@given(st.text(min_size=1, max_size=200))
def test_any_name_fits_or_is_told(name: str) -> None:
    run = LabelRun((bucket(name),), LabelSheet(), 1)
    placed = sheets(run, UNITS)[0][0]
    assert placed.complete or crowded(run, UNITS) == [name]


def test_a_part_used_sheet_begins_where_it_is_told_and_runs_over() -> None:
    sheet = LabelSheet(columns=3, rows=10)
    found = sheets(LabelRun((bucket(),) * 5, sheet, 28), UNITS)
    assert [len(s) for s in found] == [3, 2]
    first = found[0][0]
    assert (first.left_mm, first.top_mm) == pytest.approx((5.0, 12.7 + 9 * 25.4))
    assert (found[1][0].left_mm, found[1][0].top_mm) == pytest.approx((5.0, 12.7))


def test_the_printer_offset_moves_every_label() -> None:
    plain = sheets(LabelRun((bucket(),), LabelSheet(), 1), UNITS)[0][0]
    moved = sheets(LabelRun((bucket(),), LabelSheet(offset_x_mm=1.5, offset_y_mm=-2.0), 1), UNITS)[0][0]
    assert (moved.left_mm - plain.left_mm, moved.top_mm - plain.top_mm) == pytest.approx((1.5, -2.0))


def test_a_sheet_that_runs_off_its_paper_is_found() -> None:
    assert page_overrun_mm(LabelSheet(columns=4)) == pytest.approx((5 + 4 * 66 + 9 - 215.9, 0.0))
    assert page_overrun_mm(LabelSheet(page="A4", rows=12)) == pytest.approx((0.0, 12.7 + 12 * 25.4 - 297.0))


def test_names_are_text_and_us_units_are_kept() -> None:
    html = labels_html(LabelRun((bucket(HOSTILE),), LabelSheet(width_mm=90, columns=2), 1), UnitChoice(mass="lb"))
    assert "<script" not in html and "&lt;script&gt;" in html
    assert " lb" in html and "http" not in html


def test_a_bucket_bears_its_number_and_a_tile_its_name_under_its_mark() -> None:
    bucket, tile = Label(kind="bucket", name="Shoal clear", id="B3", cone="6"), Label(kind="tile", name="Shoal clear", id="L2", cone="6")
    told = [next(iter(rest_of(label, UnitChoice()))) for label in (bucket, tile)]
    assert told == ["no. B3, cone 6", "Shoal clear, cone 6"]
    assert next(iter(rest_of(Label(kind="jar", name="x", density=1.5, dry_g=1500.0, tare_g=240.0), UnitChoice()))) == "specific gravity 1.50, dry 1500 g, bucket empty 240 g"
