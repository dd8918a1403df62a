"""The SVG holds every mark where the figure has it; the PNG has the mark's colour there, dashes included."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path as FilePath

import pytest
from PIL import Image, ImageColor

from glazecalc.render.figures.drawing import (
    LIGHT,
    SIZES,
    STYLES,
    Box,
    DataTable,
    Disc,
    Figure,
    Path,
    Strokes,
    Words,
    inline_svg,
)
from glazecalc.render.figures.png import write_png
from glazecalc.render.page import figure_of
from glazecalc.values.inputs import UnitChoice
from tests.render import samples

KINDS = list(samples.every("x"))
SPACE = "{http://www.w3.org/2000/svg}"


def near(text: str | None, value: float) -> bool:
    return text is not None and abs(float(text) - value) <= 0.051


def points(course: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", course)]


@pytest.mark.parametrize("kind", KINDS)
def test_each_mark_is_one_element_in_its_place(kind: str) -> None:
    figure = figure_of(samples.every("Shoal clear")[kind], UnitChoice())
    root = ET.fromstring(inline_svg(figure, "p1-"))
    left, top, wide, tall = (float(x) for x in (root.get("viewBox") or "").split())
    assert left < 0 and (wide, tall) == (figure.width - 2 * left, figure.height - 2 * top), "the same rim all round"
    assert root.get("aria-labelledby") == f"p1-{figure.name}-title p1-{figure.name}-desc"
    drawn = [e for e in root if e.tag not in (f"{SPACE}title", f"{SPACE}desc")]
    assert len(drawn) == len(figure.marks)
    for element, mark in zip(drawn, figure.marks, strict=True):
        tag, of = element.tag.removeprefix(SPACE), element.get
        if isinstance(mark, Words):
            assert tag == "text" and near(of("x"), mark.x) and near(of("y"), mark.y) and float(of("font-size") or 0) == SIZES[mark.size] and (element.text or "") == mark.text
            assert (of("text-anchor") or "start", of("font-weight") == "600", "halo" in (of("class") or "")) == (mark.anchor, mark.bold, mark.halo)
            assert mark.colour == "ink" or f"t-{mark.colour}" in (of("class") or "").split()
        elif isinstance(mark, Box):
            assert tag == "rect" and all(near(of(k), v) for k, v in (("x", mark.x), ("y", mark.y), ("width", mark.width), ("height", mark.height)))
            assert (of("rx") is None) == (not mark.radius) and of("class") == f"m-{mark.style}"
        elif isinstance(mark, Disc):
            assert tag == "circle" and all(near(of(k), v) for k, v in (("cx", mark.x), ("cy", mark.y), ("r", mark.radius))) and of("class") == f"m-{mark.style}"
        else:
            wanted = [p for s in mark.segments for p in s] if isinstance(mark, Strokes) else list(mark.points)
            found = points(of("d") or "")
            assert tag == "path" and of("class") == f"m-{mark.style}" and len(found) == len(wanted)
            assert all(math.dist(a, b) < 0.08 for a, b in zip(found, wanted, strict=True))
            assert isinstance(mark, Strokes) or (of("d") or "").endswith("Z") == mark.closed
            assert (of("d") or "").count("M") == (len(mark.segments) if isinstance(mark, Strokes) else 1)


def test_a_turned_text_is_turned_about_its_place() -> None:
    turned = Words(50, 80, "hours", turn_deg=-90)
    drawn = ET.fromstring(inline_svg(Figure("t", "A title", "Words of it", 100, 100, (turned,), DataTable((), ()))))
    assert drawn[-1].get("transform") == "rotate(-90 50 80)"


RIM, FINE = 6, 2
"""The picture's rim, and dots a unit."""


def dots(marks: tuple[object, ...], tmp_path: FilePath) -> Image.Image:
    write_png(Figure("x", "A title", "Words of it", 200, 100, marks, DataTable((), ())), tmp_path / "x.png")  # type: ignore[arg-type]
    return Image.open(tmp_path / "x.png").convert("RGB")


def dot(image: Image.Image, x: float, y: float) -> tuple[int, ...]:
    return image.getpixel((round((x + RIM) * FINE), round((y + RIM) * FINE)))  # type: ignore[return-value]


def alike(one: tuple[int, ...], two: tuple[int, ...], far: int = 60) -> bool:
    return max(abs(a - b) for a, b in zip(one, two, strict=True)) <= far


def test_a_box_and_a_disc_are_filled_as_far_as_they_reach(tmp_path: FilePath) -> None:
    image = dots((Box(20, 10, 60, 30, "glaze", 8), Disc(140, 50, 20, "glaze")), tmp_path)
    glaze, paper = ImageColor.getrgb(LIGHT["glaze"]), ImageColor.getrgb(LIGHT["paper"])
    assert image.size == (2 * (200 + 12), 2 * (100 + 12))
    for x, y in ((22, 25), (78, 25), (50, 12), (50, 38), (140, 50), (122, 50), (158, 50), (140, 32), (140, 68), (153, 63), (127, 37)):
        assert dot(image, x, y) == glaze, (x, y)
    for x, y in ((17, 25), (83, 25), (50, 7), (50, 43), (20.5, 10.5), (79.5, 39.5), (79.5, 10.5), (20.5, 39.5), (117, 50), (163, 50), (140, 27), (140, 73), (156, 66), (124, 34)):
        assert dot(image, x, y) == paper, (x, y)


@pytest.mark.parametrize("style", [name for name, look in STYLES.items() if look.dash and look.line])
def test_dashes_run_on_with_their_own_lengths(style: str, tmp_path: FilePath) -> None:
    look = STYLES[style]
    image = dots((Path(((10, 50), (190, 50)), style),), tmp_path)
    line, paper = ImageColor.getrgb(LIGHT[look.line or ""]), ImageColor.getrgb(LIGHT["paper"])
    at, part = 10.0, 0
    while at + look.dash[part % len(look.dash)] < 188:
        length = look.dash[part % len(look.dash)]
        if length >= 2.5:
            assert alike(dot(image, at + length / 2, 50), line if part % 2 == 0 else paper, 110), (style, at)
        at, part = at + length, part + 1
    assert part > 4


def test_a_closed_path_is_filled_and_an_open_one_is_not(tmp_path: FilePath) -> None:
    corners = ((20.0, 20.0), (80.0, 20.0), (80.0, 80.0), (20.0, 80.0))
    shifted = tuple((x + 90, y) for x, y in corners)
    image = dots((Path(corners, "glaze", closed=True), Path(shifted, "glaze-line")), tmp_path)
    assert dot(image, 50, 50) == ImageColor.getrgb(LIGHT["glaze"]) and dot(image, 140, 50) == ImageColor.getrgb(LIGHT["paper"])
    assert alike(dot(image, 140, 20), ImageColor.getrgb(LIGHT[STYLES["glaze-line"].line or ""]), 110)


@pytest.mark.parametrize(("anchor", "left", "right"), [("start", 100, 160), ("middle", 70, 130), ("end", 40, 100)])
def test_text_is_set_from_its_anchor_on_its_line(anchor: str, left: float, right: float, tmp_path: FilePath) -> None:
    image = dots((Words(100, 60, "HHHHHH", "label", anchor),), tmp_path)  # type: ignore[arg-type]
    ink = [(x, y) for x in range(image.width) for y in range(image.height) if alike(image.getpixel((x, y)), ImageColor.getrgb(LIGHT["ink"]), 90)]  # type: ignore[arg-type]
    xs, ys = [x / FINE - RIM for x, _ in ink], [y / FINE - RIM for _, y in ink]
    assert left - 4 <= min(xs) and max(xs) <= right + 4 and abs((min(xs) + max(xs)) / 2 - (left + right) / 2) < 14
    assert abs(max(ys) - 60) <= 1.5 and 5 < max(ys) - min(ys) < SIZES["label"], "capitals stand on the line"


def test_a_veil_lets_what_is_below_shine_through(tmp_path: FilePath) -> None:
    thin = next(name for name, look in STYLES.items() if look.fill and look.opacity < 1)
    image = dots((Box(10, 10, 100, 60, thin),), tmp_path)
    look = STYLES[thin]
    over, paper = ImageColor.getrgb(LIGHT[look.fill or ""]), ImageColor.getrgb(LIGHT["paper"])
    mixed = tuple(round(look.opacity * a + (1 - look.opacity) * b) for a, b in zip(over, paper, strict=True))
    assert alike(dot(image, 60, 40), mixed, 3)
