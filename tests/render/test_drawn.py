"""Pictures read back as an eye reads them, by the ticks of their own axes, against the figures they were drawn from."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from glazecalc.render.figures.drawing import (
    SIZES,
    Box,
    Disc,
    Figure,
    Path,
    Strokes,
    Words,
    marks_css,
    svg_file,
    text_width,
    themes_css,
)
from glazecalc.render.figures.expansion import small_figures
from glazecalc.render.page import figure_of
from glazecalc.values.inputs import Interior, UnitChoice
from glazecalc.values.results.pictures import (
    BlendCell,
    BlendPicture,
    ConeMark,
    Leaning,
    PlacedPiece,
    RulerBand,
    ShelfPicture,
)
from tests.render import samples
from tests.render.samples import CONES, ZONES

KINDS = list(samples.every("x"))


def draw(kind: str, name: str = "Shoal clear", units: UnitChoice | None = None) -> Figure:
    return figure_of(samples.every(name)[kind], units or UnitChoice())


def words(figure: Figure, *texts: str) -> list[Words]:
    return [next(m for m in figure.marks if isinstance(m, Words) and m.text == text) for text in texts]


def paths(figure: Figure, style: str, closed: bool) -> list[Path]:
    return [m for m in figure.marks if isinstance(m, Path) and m.style == style and m.closed == closed]


def boxes(figure: Figure, *styles: str) -> list[Box]:
    return [m for m in figure.marks if isinstance(m, Box) and m.style in styles]


def is_figure(text: str) -> bool:
    return text.replace(".", "", 1).replace("-", "", 1).isdigit()


class Axes:
    """What a place on the paper says, by the ticks below and the grid beside."""

    def __init__(self, figure: Figure) -> None:
        self.below, self.beside = [], []
        for mark in figure.marks:
            if isinstance(mark, Strokes) and mark.style == "axis" and len(mark.segments) > 2:
                (x1, y1), (x2, y2) = mark.segments[0]
                if abs(y1 - y2) < 1e-9 and abs(x1 - x2) > 100:
                    ticks = [x for (x, _), _ in mark.segments[1:]]
                    named = [m.text for m in figure.marks if isinstance(m, Words) and m.size == "small" and abs(m.y - y1 - 18) < 1 and is_figure(m.text)]
                    assert len(ticks) == len(named), "every tick has its figure"
                    self.below.append((ticks, [float(text) for text in named], y1))
            elif isinstance(mark, Strokes) and mark.style == "grid":
                flat = [a[1] for a, b in mark.segments if abs(a[1] - b[1]) < 1e-9]
                left = mark.segments[0][0][0]
                named = [m for m in figure.marks if isinstance(m, Words) and m.anchor == "end" and abs(m.x - left + 6) < 1 and is_figure(m.text)]
                if flat:
                    assert len(flat) == len(named) and all(abs(w.y - y - 4) < 1 for w, y in zip(named, flat, strict=True))
                    self.beside = [flat, [float(w.text) for w in named]]

    def x(self, place: float, which: int = 0) -> float:
        ticks, values, _ = self.below[which]
        slope, start = np.polyfit(ticks, values, 1)
        assert np.allclose(np.polyval((slope, start), ticks), values, atol=1e-6 * max(map(abs, values)))
        return float(start + slope * place)

    def y(self, place: float) -> float:
        slope, start = np.polyfit(*self.beside, 1)
        assert np.allclose(np.polyval((slope, start), self.beside[0]), self.beside[1], atol=1e-6 * max(self.beside[1]))
        return float(start + slope * place)


def spot(path: Path) -> tuple[float, float]:
    """The middle of a diamond."""
    return float(np.mean([x for x, _ in path.points])), float(np.mean([y for _, y in path.points]))


def extent(mark: Words) -> tuple[float, float, float, float]:
    width = text_width(mark.text, SIZES[mark.size], mark.bold)
    left = mark.x - {"start": 0.0, "middle": width / 2, "end": width}[mark.anchor]
    return left, left + width, mark.y - 0.7 * SIZES[mark.size], mark.y


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("units", [UnitChoice(), UnitChoice(temperature="F", length="in")])
def test_no_two_texts_lie_on_each_other(kind: str, units: UnitChoice) -> None:
    texts = [m for m in draw(kind, units=units).marks if isinstance(m, Words) and m.text]
    for one, two in itertools.combinations(texts, 2):
        (l1, r1, t1, b1), (l2, r2, t2, b2) = extent(one), extent(two)
        assert min(r1, r2) - max(l1, l2) <= 1 or min(b1, b2) - max(t1, t2) <= 1, (one.text, two.text)


@pytest.mark.parametrize("kind", KINDS)
def test_title_leads_then_how_to_read_it(kind: str) -> None:
    first = [m for m in draw(kind).marks if isinstance(m, Words)][:2]
    assert (first[0].size, first[0].bold, first[0].x) == ("title", True, 0) and first[0].y < first[1].y
    assert first[1].x == 0 and first[1].colour == "muted"
    assert all(m.y > 34 for m in draw(kind).marks if isinstance(m, Words) and m not in first) or kind in ("line", "triangle")


def test_bars_and_zones_of_expansion_stand_at_their_figures() -> None:
    figure = draw("expansion")
    at = Axes(figure)
    glaze, clay = boxes(figure, "glaze")[0], boxes(figure, "clay-open")[0]
    assert (at.x(glaze.x), at.x(glaze.x + glaze.width)) == pytest.approx((5.6, 7.0))
    assert (at.x(clay.x), at.x(clay.x + clay.width)) == pytest.approx((6.9, 7.5))
    assert at.x(next(m.x for m in figure.marks if isinstance(m, Disc))) == pytest.approx(6.3)
    assert at.x(spot(paths(figure, "clay-open", True)[0])[0]) == pytest.approx(7.2)
    edges = next(m for m in figure.marks if isinstance(m, Strokes) and m.style == "edge")
    assert [at.x(a[0]) for a, _ in edges.segments] == pytest.approx([5.2, 6.1, 7.5, 8.0])
    for zone in ("likely to shiver", "likely to stay sound", "likely to craze"):
        lies = next(z for z in ZONES if z.words == zone)
        left, right, _, below = extent(words(figure, zone)[0])
        assert lies.low < at.x((left + right) / 2) < lies.high and below < glaze.y
    for name, bar in (("glaze: Shoal clear", glaze), ("clay: Shoal clear", clay)):
        assert 0 < bar.y - words(figure, name)[0].y <= 16, "a bar's name stands on it"
    assert glaze.y + glaze.height < clay.y < at.below[0][2]


def test_bands_and_cones_of_the_ruler_stand_at_their_heat_in_both_scales() -> None:
    figure = draw("ruler")
    at = Axes(figure)
    found = {m.style: (at.x(m.x), at.x(m.x + m.width)) for m in boxes(figure, "glaze", "clay-open", "kiln", "kiln-open")}
    assert found["glaze"] == pytest.approx((1195, 1262)) and found["clay-open"] == pytest.approx((1186, 1239))
    assert found["kiln"][1] == pytest.approx(1228) and found["kiln-open"] == pytest.approx((1228, 1275)), "sure to its low end, open beyond it"
    assert at.x(paths(figure, "asked", False)[0].points[0][0]) == pytest.approx(1222)
    for cone in ("5", "6", "7", "8", "10"):
        assert at.x(words(figure, cone)[0].x) == pytest.approx(next(c.degC for c in CONES if c.cone == cone)), cone
    for degF in (2150, 2300, 2400):  # degF = 9/5 degC + 32
        assert at.x(words(figure, str(degF))[0].x) == pytest.approx((degF - 32) * 5 / 9)
    told = figure.description
    assert all(text in told for text in ("1222", "1195 to 1262", "1186 to 1239", "up to 1228 surely, 1275 at most", "cone 6")), told
    assert words(figure, "The three bands should meet at the cone fired to. Cones as they bend when heated at 60 \N{DEGREE SIGN}C per hour at the end.")
    assert "60 \N{DEGREE SIGN}C per hour" in next(m.text for m in figure.marks if isinstance(m, Words) and "per hour" in m.text)
    other = draw("ruler", units=UnitChoice(temperature="F"))
    assert "108 \N{DEGREE SIGN}F per hour" in next(m.text for m in other.marks if isinstance(m, Words) and "per hour" in m.text)


def test_pushes_are_bars_from_one_line_with_their_figures_at_their_ends() -> None:
    figure = draw("pushes")
    line = next(m for m in figure.marks if isinstance(m, Strokes) and m.style == "axis").segments[0][0][0]
    scale = None
    for oxide, push, total in (("Na2O", 0.4, "+1.24"), ("CaO", 0.1, "+0.66"), ("TiO2", -0.2, "0.00")):
        name, share, figure_text, sum_text = (words(figure, t)[0] for t in (oxide, {"Na2O": "4.0 mol %", "CaO": "8.0 mol %", "TiO2": "0.1 mol %"}[oxide], f"{push:+.2f}", total))
        bar = next(b for b in boxes(figure, "glaze", "glaze-open") if b.y < name.y < b.y + b.height + 2)
        assert name.y == share.y == figure_text.y == sum_text.y, "one row"
        near, far = (bar.x, bar.x + bar.width) if push > 0 else (bar.x + bar.width, bar.x)
        assert near == pytest.approx(line) and 0 < abs(figure_text.x - far) <= 10
        scale = scale or (far - line) / push
        assert (far - line) / push == pytest.approx(scale)
    assert words(figure, "one more raises it")[0].x > line > words(figure, "lowers it")[0].x


def test_the_strip_has_its_fields_and_its_glaze_in_their_places() -> None:
    figure = draw("map")
    at = Axes(figure)
    shown = [(at.x(b.x), at.x(b.x + b.width)) for b in boxes(figure, "wash")]
    assert shown == [pytest.approx(pair, abs=1e-6) for pair in ((3.0, 4.5), (5.5, 6.0), (7.0, 10.0), (12.0, 16.0))], "open fields go to the ends of the strip"
    mark = paths(figure, "glaze", True)[0]
    assert at.x(spot(mark)[0]) == pytest.approx(8.4)
    assert words(figure, "Shoal clear")[0].x == pytest.approx(spot(mark)[0])
    strip = boxes(figure, "wash")[0]
    assert strip.y < spot(mark)[1] < strip.y + strip.height
    for field, (low, high) in {"satin": (5.5, 6.0), "glossy": (7.0, 10.0)}.items():
        assert at.x(words(figure, field)[0].x) == pytest.approx((low + high) / 2) and 0 < strip.y - words(figure, field)[0].y < 14
    assert figure.table.rows == (("Shoal clear", "8.4"), ("matte", "below 4.5"), ("satin", "5.5 to 6.0"), ("glossy", "7.0 to 10.0"), ("often crazed or milky", "12.0 and above"))


def test_the_curve_of_the_melt_stands_at_its_figures() -> None:
    figure = draw("viscosity")
    at = Axes(figure)
    for x, y in paths(figure, "glaze-line", False)[0].points:
        degC = at.x(x)
        assert at.y(y) == pytest.approx(-2.5 + 4500 / (degC - 350), abs=1e-6)
    band = paths(figure, "glaze-band", True)[0].points
    outline = {(round(at.x(x)), round(at.y(y) - (-2.5 + 4500 / (at.x(x) - 350)), 2)) for x, y in band}
    assert {off for _, off in outline} == {-0.35, 0.35}
    level = boxes(figure, "wash")[0]
    assert (at.y(level.y + level.height), at.y(level.y)) == pytest.approx((2.3, 3.4))
    assert at.x(paths(figure, "asked", False)[0].points[0][0]) == pytest.approx(1222)
    for cone in ("06", "1", "6", "10"):
        above = next(m for m in figure.marks if isinstance(m, Words) and m.text == cone and m.anchor == "middle")
        assert at.x(above.x) == pytest.approx(next(c.degC for c in CONES if c.cone == cone)), cone
    stiff, levels, runs = (at.y(words(figure, text)[0].y) for text in ("still stiff", "levels and stays put", "likely to run"))
    assert stiff > 3.4 > levels > 2.3 > runs
    assert all(0 < words(figure, text)[0].x - level.x <= 12 for text in ("still stiff", "levels and stays put", "likely to run")), "at the band's left end"
    bare = figure_of(replace(samples.viscosity(), window=None), UnitChoice())
    # -2.5 + 4500/(900 - 350) is 5.7, -2.5 + 4500/(1340 - 350) is 2.0
    assert "falls from 5.7 at 900" in bare.description and "to 2.0 at 1340" in bare.description and not boxes(bare, "wash")
    name = words(figure, "Shoal clear")[0]
    assert min(math.dist((name.x, name.y), point) for point in paths(figure, "glaze-line", False)[0].points) < 25, "the curve's name stands beside it"
    # -2.5 + 4500/(t - 350) is 3.4 at 1113 degC and 2.3 at 1288 degC; the curve is given every 20 degC.
    assert "2.3 and 3.4" in figure.description and "1120 to 1280" in figure.description
    fahrenheit = draw("viscosity", units=UnitChoice(temperature="F"))
    assert {row[0] for row in fahrenheit.table.rows} >= {"1652", "2192"}, "900 and 1200 degC"


def test_the_heating_curves_stand_at_their_hours_and_heat() -> None:
    figure = draw("heating")
    at = Axes(figure)

    def read(points: object) -> list[tuple[float, float]]:
        return [(at.x(x), at.y(y)) for x, y in points]  # type: ignore[attr-defined]

    plan = [(0, 20), (2, 220), (6.5, 1120), (8.2, 1222), (8.5, 1222)]
    kept = [(0, 20), (2, 210), (4, 640), (6, 1010), (8, 1190), (9, 1219)]
    assert np.array(read(paths(figure, "glaze-line", False)[0].points)) == pytest.approx(np.array(plan), abs=1e-6)
    assert np.array(read(paths(figure, "clay-line", False)[0].points)) == pytest.approx(np.array(kept), abs=1e-6)
    assert np.array(read(map(spot, paths(figure, "clay-open", True)))) == pytest.approx(np.array(kept), abs=1e-6)
    for hour, heat in read(paths(figure, "kiln-line", False)[0].points):
        assert heat == pytest.approx(20 + 1230 * (1 - math.exp(-4 * hour / 9.2)), abs=1e-6)
    discs = [m for m in figure.marks if isinstance(m, Disc)]
    assert np.array([(at.x(m.x), at.y(m.y)) for m in discs]) == pytest.approx(np.array([(6.2, 1063), (7.6, 1187), (8.3, 1222)]), abs=1e-6)
    for cone, disc in zip(("cone 04", "cone 5", "cone 6"), discs, strict=True):
        assert 0 < words(figure, cone)[0].x - disc.x < 14 and abs(words(figure, cone)[0].y - disc.y) < 20
    assert at.y(paths(figure, "edge", False)[0].points[0][1]) == pytest.approx(1249)
    assert 0 < paths(figure, "edge", False)[0].points[0][1] - words(figure, "the maker's limit: cone 8")[0].y < 12
    for degF in (500, 1000, 2000):
        beside = next(m for m in figure.marks if isinstance(m, Words) and m.text == str(degF) and m.anchor == "start")
        assert at.y(beside.y - 4) == pytest.approx((degF - 32) * 5 / 9)
    for text, style in (("planned", "glaze-line"), ("recorded", "clay-line"), ("full power", "kiln-line")):
        name, line = words(figure, text)[0], paths(figure, style, False)[0].points
        steps = [(x1 + (x2 - x1) * t / 20, y1 + (y2 - y1) * t / 20) for (x1, y1), (x2, y2) in itertools.pairwise(line) for t in range(21)]
        assert min(math.dist((name.x, name.y), step) for step in steps) < 20, text


def test_a_shelf_s_pieces_handles_and_scale_are_drawn_in_one_measure() -> None:
    figure = draw("shelf")
    wall = paths(figure, "plain", True)[0].points
    middle = (min(x for x, _ in wall) + max(x for x, _ in wall)) / 2, (min(y for _, y in wall) + max(y for _, y in wall)) / 2
    per_mm = (max(x for x, _ in wall) - min(x for x, _ in wall)) / 290
    assert len(wall) == 8 and max(y for _, y in wall) - min(y for _, y in wall) == pytest.approx(290 * per_mm)
    mugs = [m for m in figure.marks if isinstance(m, Disc)]
    placed = [((m.x - middle[0]) / per_mm, (middle[1] - m.y) / per_mm, m.radius / per_mm) for m in mugs]
    assert np.array(placed) == pytest.approx(np.array([(-70, 60, 42.5), (60, 70, 42.5), (-70, -50, 42.5)]))
    handles = [m.segments[0] for m in figure.marks if isinstance(m, Strokes) and m.style == "handle"]
    for (start, end), mug, turn in zip(handles, mugs, (0, 180, 90), strict=True):
        assert math.dist(start, (mug.x, mug.y)) == pytest.approx(0, abs=1e-6)
        assert math.dist(start, end) / per_mm == pytest.approx(42.5 + 30)
        assert math.degrees(math.atan2(start[1] - end[1], end[0] - start[0])) % 360 == pytest.approx(turn)
    bar = next(m for m in figure.marks if isinstance(m, Strokes) and m.style == "axis").segments[0]
    assert math.dist(*bar) / per_mm == pytest.approx(100)
    clear = paths(figure, "edge", True)[0].points
    assert (min(x for x, _ in clear) - min(x for x, _ in wall)) / per_mm == pytest.approx(13, abs=2.5)
    assert figure.table.rows == (("mug", "-70", "60", "85", "85"), ("mug", "60", "70", "85", "85"), ("mug", "-70", "-50", "85", "85"))


def test_what_was_learned_peaks_where_it_is_said_and_tiles_stand_at_their_expansion() -> None:
    figure = draw("learned")
    at = Axes(figure)
    after, before = (min(paths(figure, style, False)[0].points, key=lambda p: p[1]) for style in ("clay-solid", "clay-line"))
    assert at.x(after[0]) == pytest.approx(7.0, abs=0.011) and at.x(before[0]) == pytest.approx(7.3, abs=0.011)
    foot = paths(figure, "clay-band", True)[0].points[0][1]
    assert (foot - after[1]) / (foot - before[1]) == pytest.approx(0.45 / 0.2, rel=0.01), "both hold the same whole"
    assert at.x(next(m.x for m in figure.marks if isinstance(m, Disc))) == pytest.approx(6.4)
    assert [at.x(spot(cross)[0]) for cross in paths(figure, "cross", False)] == pytest.approx([8.2, 8.2])
    assert at.x(spot(paths(figure, "glaze-open", True)[0])[0]) == pytest.approx(5.6)
    for text, place in (("stayed sound", next(m.y for m in figure.marks if isinstance(m, Disc))), ("crazed", spot(paths(figure, "cross", False)[0])[1]), ("shivered", spot(paths(figure, "glaze-open", True)[0])[1])):
        assert 0 <= words(figure, text)[0].y - place < 8, "each sort of result has its row"


def test_hours_stand_at_their_height_under_their_dates() -> None:
    figure = draw("hours")
    at = Axes(figure)
    discs = [m for m in figure.marks if isinstance(m, Disc)]
    assert [at.y(m.y) for m in discs] == pytest.approx([6 + 0.1 * i for i in range(16)])
    assert [(m.x, m.y) for m in discs] == [pytest.approx(p) for p in paths(figure, "kiln-thin", False)[0].points]
    assert at.y(paths(figure, "edge", False)[0].points[0][1]) == pytest.approx(6.1)
    for day in (1, 7, 15):
        left, right, _, _ = extent(words(figure, f"2026-01-{day:02d}")[0])
        assert (left + right) / 2 == pytest.approx(discs[day - 1].x, abs=1)


def test_cells_of_a_blend_lie_in_rows_and_hold_their_own_words() -> None:
    for kind, count in (("line", 5), ("triangle", 15)):
        figure = draw(kind)
        cells = boxes(figure, "cell", "cell-doubt")
        assert len(cells) == count and len({round(c.width, 6) for c in cells}) == 1
        marks = [words(figure, f"{kind[0].upper()}{i + 1}")[0] for i in range(count)]
        for cell, mark in zip(cells, marks, strict=True):
            assert cell.x < mark.x < cell.x + cell.width and cell.y < mark.y < cell.y + cell.height
        for one, two in itertools.combinations(cells, 2):
            assert abs(one.x - two.x) >= one.width or abs(one.y - two.y) >= one.height, "no cell lies on another"
    rows = sorted({round(c.y, 3) for c in boxes(draw("triangle"), "cell")})
    assert [sum(round(c.y, 3) == row for c in boxes(draw("triangle"), "cell")) for row in rows] == [1, 2, 3, 4, 5]
    assert list(draw("line").table.rows) == [
        ("L1", "100", "0", "sound"), ("L2", "75", "25", "doubtful"), ("L3", "50", "50", "crazes"), ("L4", "25", "75", "shivers"), ("L5", "0", "100", "out of range"),
    ]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_every_mark_of_the_file_has_a_rule_of_style_and_every_colour_a_value(kind: str) -> None:
    drawn, rules = svg_file(draw(kind)), marks_css("svg") + themes_css("svg")
    used = {name for names in re.findall(r'class="([^"]+)"', drawn) for name in names.split() if name[:2] in ("m-", "t-")}
    assert used and all(f".{name}{{" in rules for name in used), used
    assert set(re.findall(r"var\((--gc-[a-z-]+)\)", rules)) <= set(re.findall(r"(--gc-[a-z-]+):#", rules))


# 11.4 in is 290 mm, 9.1 in 230 mm; degF = 9/5 degC + 32.
HEADINGS = {
    "expansion": ("what", "1e-6/K", "from", "to", "how it is known"), "ruler": ("band", "how it is known", "from \N{DEGREE SIGN}C", "from \N{DEGREE SIGN}F", "to \N{DEGREE SIGN}C", "to \N{DEGREE SIGN}F"),
    "pushes": ("oxide", "mole %", "push, 1e-6/K", "one more mole %, 1e-6/K"), "map": ("glaze or surface", "silica per alumina"),
    "viscosity": ("\N{DEGREE SIGN}C", "log10 viscosity", "from", "to"), "heating": ("what", "hours", "\N{DEGREE SIGN}C", "\N{DEGREE SIGN}F", "90 % interval, \N{DEGREE SIGN}C"),
    "line": ("tile", "A", "B", "expected"), "triangle": ("tile", "A", "B", "C", "expected"),
    "shelf": ("piece", "mm right of the middle", "mm behind the middle", "width, mm", "depth, mm"), "learned": ("what", "1e-6/K", "from", "to", "came out"), "hours": ("firing", "hours", "cone"),
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_the_figures_of_a_picture_stand_in_a_table_with_their_units(kind: str) -> None:
    table = draw(kind).table
    assert table.headings == HEADINGS[kind] and all(any(cell for cell in row) for row in table.rows)


def test_the_tables_hold_what_is_drawn() -> None:
    heating = draw("heating").table.rows
    assert ("planned: cone 6", "6.5", "1120", "2048", "") in [(w, h, c, f, i) for w, h, c, f, i in heating] or ("planned", "6.5", "1120", "2048", "") in heating, heating
    assert ("recorded", "4.0", "640", "1184", "") in heating and any(row[0] == "cone 5 bends" or row[0] == "cone 5" for row in heating)
    full = [row for row in heating if row[0] == "full power"]
    assert full[0] == ("full power", "0.0", "20", "68", "20 to 20") and all(20 <= float(row[2]) <= 1250 for row in full)
    learned = draw("learned").table.rows
    assert learned[:2] == (("clay, before", "7.3", "6.5", "8.1", ""), ("clay, after", "7.00", "6.70", "7.30", ""))
    assert [(row[1], row[4]) for row in learned[2:]] == [("6.40", "sound"), ("8.20", "crazed at once"), ("5.60", "shivered")]
    pushes = draw("pushes").table.rows
    assert pushes == (("SiO2", "70.00", "-2.10", ""), ("Na2O", "4.00", "+1.24", "+0.40"), ("CaO", "8.00", "+0.66", "+0.10"), ("TiO2", "0.10", "0.00", "-0.20"))
    ruler = draw("ruler").table.rows
    assert ruler[0] == ("glaze: Shoal clear", "cone 6 by its card", "1195", "2183", "1262", "2304") and ruler[2][:2] == ("kiln: Shoal clear", "by its plate")
    assert [row[1] for row in draw("hours").table.rows] == [f"{6 + 0.1 * i:.1f}" for i in range(16)]


def test_small_pictures_of_several_recipes_share_their_axes() -> None:
    other = replace(samples.expansion("Other"), glaze=samples.estimate(7.9, 7.4, 8.6))
    kiln = replace(samples.ruler("Other"), bands=(RulerBand("glaze", "glaze: Other", "by its card", 1090, 1130), *samples.ruler().bands[1:]), asked=ConeMark("1", 1137))
    pages = [SimpleNamespace(pictures=(samples.expansion(), samples.ruler())), SimpleNamespace(pictures=(other, kiln)), SimpleNamespace(pictures=())]
    first, second, bare = (SimpleNamespace(fit=fit, firing=firing) for fit, firing in small_figures(pages))  # type: ignore[arg-type]
    assert (bare.fit, bare.firing) == (None, None) and first.fit and second.fit and first.firing and second.firing

    def bar(figure: Figure, style: str) -> tuple[float, float]:
        return next((m.x, m.x + m.width) for m in figure.marks if isinstance(m, Box) and m.style == style)

    glaze, clay, hot = bar(first.fit, "glaze"), bar(first.fit, "clay-open"), bar(second.fit, "glaze")
    slope, start = np.polyfit([5.6, 7.0], glaze, 1)
    assert clay == pytest.approx((start + slope * 6.9, start + slope * 7.5)) and hot == pytest.approx((start + slope * 7.4, start + slope * 8.6))
    assert next(m.x for m in first.fit.marks if isinstance(m, Disc)) == pytest.approx(start + slope * 6.3)
    assert spot(paths(first.fit, "clay-open", True)[0])[0] == pytest.approx(start + slope * 7.2)
    assert bar(first.fit, "wash") == pytest.approx((start + slope * 6.1, start + slope * 7.5)), "the zone that stays sound"
    assert first.fit.description == "glaze 6.3 (5.6 to 7.0), clay 7.20 (6.90 to 7.50), 1e-6/K" and first.fit.title == "Fit of Shoal clear"
    slope, start = np.polyfit([1195, 1262], bar(first.firing, "glaze"), 1)
    assert bar(second.firing, "glaze") == pytest.approx((start + slope * 1090, start + slope * 1130)) and bar(first.firing, "clay-open") == pytest.approx((start + slope * 1186, start + slope * 1239))
    assert bar(first.firing, "kiln") == pytest.approx((0, start + slope * 1228)) and bar(first.firing, "kiln-open") == pytest.approx((start + slope * 1228, start + slope * 1275))
    assert paths(first.firing, "asked", False)[0].points[0][0] == pytest.approx(start + slope * 1222) and paths(second.firing, "asked", False)[0].points[0][0] == pytest.approx(start + slope * 1137)
    assert first.firing.description == "glaze 1195 to 1262; clay 1186 to 1239; kiln 1228 to 1275 degrees Celsius"
    for figure in (first.fit, first.firing, second.fit, second.firing):
        tall = [(m.y, m.y + m.height) for m in figure.marks if isinstance(m, Box) and m.style != "wash"]
        assert all(0 <= low < high <= figure.height for low, high in tall) and figure.width == 220
        rows = sorted(set(tall))
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(rows)), "no bar lies on another"


@pytest.mark.parametrize(("shape", "corners", "depth"), [("square", 4, None), ("box", 4, 400.0), ("octagon", 8, None), ("decagon", 10, None), ("dodecagon", 12, None), ("round", 24, None)])
def test_the_wall_of_each_shape_of_kiln_is_drawn_to_scale(shape: str, corners: int, depth: float | None) -> None:
    inside = Interior(shape=shape, width_mm=290.0, height_mm=230.0, depth_mm=depth)  # type: ignore[arg-type]
    figure = figure_of(ShelfPicture("K", inside, 13.0, (PlacedPiece("tile", "square", 10, -20, 100, 60, 0, 0),), "One tile."), UnitChoice())
    wall = paths(figure, "plain", True)
    if wall:
        xs, ys = [x for x, _ in wall[0].points], [y for _, y in wall[0].points]
    else:
        disc = max((m for m in figure.marks if isinstance(m, Disc)), key=lambda m: m.radius)
        xs, ys = [disc.x - disc.radius, disc.x + disc.radius], [disc.y - disc.radius, disc.y + disc.radius]
    per_mm = (max(xs) - min(xs)) / 290
    assert not wall or shape == "round" or len(wall[0].points) == corners
    tall = 290 / math.cos(math.pi / 10) if shape == "decagon" else depth or 290.0  # five pairs of walls: two corners lie fore and aft
    assert (max(ys) - min(ys)) / per_mm == pytest.approx(tall, rel=0.001)
    tile = next(b for b in boxes(figure, "clay-open"))
    assert (tile.width / per_mm, tile.height / per_mm) == pytest.approx((100, 60))
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    assert ((tile.x + tile.width / 2 - middle[0]) / per_mm, (middle[1] - tile.y - tile.height / 2) / per_mm) == pytest.approx((10, -20))
    if shape in ("octagon", "decagon", "dodecagon"):
        sides = [math.dist(a, b) for a, b in itertools.pairwise([*wall[0].points, wall[0].points[0]])]
        assert max(sides) == pytest.approx(min(sides)) and sides[0] / per_mm == pytest.approx(290 * math.tan(math.pi / corners)), "a regular one, measured wall to wall"


@pytest.mark.parametrize(("kind", "says"), [("line", "Line blend: 4 tiles"), ("triangle", "Triaxial blend: 4 tiles"), ("square", "Square blend: 4 tiles")])
def test_a_blend_is_called_by_its_plan(kind: str, says: str) -> None:
    cells = tuple(BlendCell(f"S{i}", i % 2, i // 2, (25.0, 25.0, 25.0, 25.0), Leaning.NONE, "") for i in range(4))
    figure = figure_of(BlendPicture(kind, ("a", "b", "c", "d"), cells), UnitChoice())  # type: ignore[arg-type]
    assert words(figure, says)[0].size == "title" and figure.title == says
