"""Every picture: its elements and labels, nothing cut off, words for who cannot see it, its figures in a table."""

from __future__ import annotations

import math

import pytest

from glazecalc.render.figures.drawing import LETTERS, SIZES, STYLES, Box, Disc, Figure, Path, Strokes, Words, text_width
from glazecalc.render.page import figure_of, section_of
from glazecalc.values.inputs import UnitChoice
from tests.render import samples
from tests.render.samples import HOSTILE, LONG

UNITS = UnitChoice()
KINDS = list(samples.every("x"))


def draw(kind: str, name: str = "Shoal clear", units: UnitChoice = UNITS) -> Figure:
    return figure_of(samples.every(name)[kind], units)


def texts(figure: Figure) -> list[str]:
    return [m.text for m in figure.marks if isinstance(m, Words)]


def reach(words: Words) -> tuple[float, float]:
    width = text_width(words.text, SIZES[words.size], words.bold)
    left = words.x - {"start": 0.0, "middle": width / 2, "end": width}[words.anchor]
    return left, left + width


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["Shoal clear", LONG, HOSTILE, "\N{SNOWMAN}" * 60, "x"])
def test_nothing_is_cut_off(kind: str, name: str) -> None:
    figure = draw(kind, name)
    for mark in figure.marks:
        if isinstance(mark, Words):
            left, right = reach(mark)
            assert left >= -2 and right <= figure.width + 2, mark
            assert 0 <= mark.y <= figure.height, mark
        elif isinstance(mark, Box):
            assert mark.width >= 0 and mark.height >= 0
            assert mark.x >= -2 and mark.x + mark.width <= figure.width + 2, mark
        elif isinstance(mark, Disc):
            assert -2 <= mark.x <= figure.width + 2
        elif isinstance(mark, Path):
            assert all(-2 <= x <= figure.width + 2 and -2 <= y <= figure.height + 2 for x, y in mark.points), mark
        else:
            assert all(math.isfinite(c) for s in mark.segments for p in s for c in p)


@pytest.mark.parametrize("kind", KINDS)
def test_every_style_and_colour_is_known(kind: str) -> None:
    for mark in draw(kind).marks:
        if isinstance(mark, Words):
            assert mark.colour in LETTERS
        else:
            assert mark.style in STYLES


@pytest.mark.parametrize("kind", KINDS)
def test_title_description_and_table(kind: str) -> None:
    figure = draw(kind, HOSTILE)
    assert len(figure.title) > 5 and len(figure.description) > 40
    assert figure.table.rows and all(len(row) == len(figure.table.headings) for row in figure.table.rows)
    assert section_of(samples.every("x")[kind]) in {"formula", "fit", "firing", "tiles"}


def test_expansion_names_its_zones_and_bars() -> None:
    figure = draw("expansion")
    words = texts(figure)
    assert {"likely to shiver", "likely to stay sound", "likely to craze"} <= set(words)
    assert "6.3 (5.6 to 7.0)" in words and "glaze: Shoal clear" in words and "clay: Shoal clear" in words
    glaze = [m for m in figure.marks if isinstance(m, Box) and m.style == "glaze"]
    clay = [m for m in figure.marks if isinstance(m, Box) and m.style == "clay-open"]
    assert len(glaze) == len(clay) == 1
    assert glaze[0].width / clay[0].width == pytest.approx((7.0 - 5.6) / (7.5 - 6.9))
    assert sum(isinstance(m, Strokes) and m.style == "clay-hatch" for m in figure.marks) == 1
    assert [row[0] for row in figure.table.rows if row[0].startswith("zone")] == [
        "zone for the glaze: likely to shiver", "zone for the glaze: in doubt",
        "zone for the glaze: likely to stay sound", "zone for the glaze: in doubt",
        "zone for the glaze: likely to craze",
    ]  # fmt: skip


def test_ruler_has_both_scales_and_the_cone_fired_to() -> None:
    figure = draw("ruler")
    words = texts(figure)
    assert "\N{DEGREE SIGN}C" in words and "\N{DEGREE SIGN}F" in words
    assert "6" in words and "fired to" in words
    assert any(m.style == "kiln-hatch" for m in figure.marks if isinstance(m, Strokes))
    # 1222 degC is 2232 degF (exact: 2231.6), by the definition of the scales
    assert ("cone 6", "fired to", "1222", "2232", "1222", "2232") in figure.table.rows


def test_pushes_point_both_ways_and_keep_their_lengths() -> None:
    figure = draw("pushes")
    up = [m for m in figure.marks if isinstance(m, Box) and m.style == "glaze"]
    down = [m for m in figure.marks if isinstance(m, Box) and m.style == "glaze-open"]
    assert up[0].width / up[1].width == pytest.approx(0.4 / 0.1), "soda against lime, the strongest first"
    assert down[0].x + down[0].width == pytest.approx(up[0].x)
    assert down[0].width / up[0].width == pytest.approx(0.2 / 0.4)
    assert "SiO2" not in texts(figure), "silica is what the others take the place of"
    assert {row[0] for row in figure.table.rows} == {"SiO2", "Na2O", "CaO", "TiO2"}


def test_the_strip_of_surface_marks_this_glaze_alone() -> None:
    figure = draw("map")
    assert sum(isinstance(m, Path) and m.style == "glaze" for m in figure.marks) == 1
    assert not any(isinstance(m, Disc) for m in figure.marks)
    assert {"Matte or glossy? A rough sign", "matte", "satin", "glossy", "often crazed or milky"} <= set(texts(figure))


def test_heating_tells_its_lines_apart_without_colour() -> None:
    figure = draw("heating")
    lines = {m.style: STYLES[m.style].dash for m in figure.marks if isinstance(m, Path) and not m.closed}
    assert len({lines[s] for s in ("kiln-line", "glaze-line", "clay-line")}) == 3
    assert {"full power", "planned", "recorded", "cone 6", "the maker's limit: cone 8"} <= set(texts(figure))


def test_blend_writes_the_parts_in_each_cell() -> None:
    line, triangle = draw("line"), draw("triangle")
    assert {"A 100", "A 75  B 25", "B 100"} <= set(texts(line))
    assert len([m for m in triangle.marks if isinstance(m, Box) and m.style == "cell"]) == 15
    tops = {round(m.y) for m in triangle.marks if isinstance(m, Box)}
    assert len(tops) == 5, "five rows"


def test_shelf_is_to_scale() -> None:
    figure = draw("shelf")
    mugs = [m for m in figure.marks if isinstance(m, Disc)]
    wall = next(m for m in figure.marks if isinstance(m, Path) and m.style == "plain")
    across = max(x for x, _ in wall.points) - min(x for x, _ in wall.points)
    assert 2 * mugs[0].radius / across == pytest.approx(85 / 290)
    assert "100 mm" in texts(figure)
    assert "4.0 in" in texts(draw("shelf", units=UnitChoice(length="in")))


def test_learned_shows_before_after_and_every_tile() -> None:
    figure = draw("learned")
    words = texts(figure)
    assert any(w.startswith("now 7.0") for w in words) and any(w.startswith("before 7.3") for w in words)
    assert {"stayed sound", "crazed", "shivered"} <= set(words)


def test_hours_has_a_mark_per_firing() -> None:
    figure = draw("hours")
    assert sum(isinstance(m, Disc) for m in figure.marks) == 16
    assert len(figure.table.rows) == 16
