"""The drawing layer: colours that can be told apart, letters that fit, marks that are well-formed."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageColor

from glazecalc.render.figures.drawing import (
    DARK,
    LETTERS,
    LIGHT,
    PRINT,
    STYLES,
    AxisScale,
    Box,
    DataTable,
    Disc,
    Figure,
    Strokes,
    Words,
    hatch,
    inline_svg,
    printable,
    shortened,
    svg_file,
    text_width,
    ticks,
    wrapped,
)
from glazecalc.render.figures.png import write_png
from tests.render.samples import HOSTILE

DECORATION = ("faint", "wash", "paper")


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours. Source: W3C, Web Content Accessibility Guidelines 2.2, relative luminance."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize(("theme", "ground"), list(product((LIGHT, DARK, PRINT), ("paper", "wash"))))
def test_letters_and_marks_stand_out(theme: dict[str, str], ground: str) -> None:
    for name in LETTERS:
        assert contrast(theme[name], theme[ground]) >= 4.5, name
    for name in {colour for s in STYLES.values() for colour in (s.line, s.fill)} - {None, *DECORATION}:
        assert contrast(theme[name], theme[ground]) >= 3.0, name


def test_print_is_black_on_white() -> None:
    assert PRINT["paper"] == "#ffffff" and PRINT["ink"] == PRINT["muted"] == "#000000"


def test_themes_and_styles_use_the_same_colours() -> None:
    assert set(LIGHT) == set(DARK) == set(PRINT)
    used = {colour for style in STYLES.values() for colour in (style.line, style.fill) if colour}
    assert used <= set(LIGHT)


HELVETICA = """
    278 278 355 556 556 889 667 222 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 278
    584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 667 944
    667 667 611 278 278 278 469 556 222 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500
    278 556 500 722 500 500 500 334 260 334 584
"""
"""Advance widths [1/1000 em] of the signs 32 to 126. Source: Adobe Core 14 AFM files, Helvetica.afm."""


def test_text_is_measured_as_the_font_is_cut() -> None:
    widths = {chr(32 + i): int(w) / 1000 for i, w in enumerate(HELVETICA.split())}
    assert len(widths) == 95
    for sign, width in widths.items():
        assert width * 0.99 <= text_width(sign, 1.0) <= width * 1.2 + 0.02, sign


@given(st.text(max_size=120), st.floats(20, 400), st.floats(5, 20))
def test_shortened_and_wrapped_text_fits(text: str, width: float, size: float) -> None:
    short = shortened(text, width, size)
    assert text_width(short, size) <= width or short in (text, "...")
    widest = max((text_width(c, size) for c in text), default=0.0)
    for line in wrapped(text, width, size):
        assert text_width(line, size) <= max(width, widest)
    assert "".join(wrapped(text, width, size)) == "".join(text.split()) or " " in " ".join(text.split())


@given(st.text(max_size=80))
def test_wrapping_loses_no_letter(text: str) -> None:
    assert "".join("".join(wrapped(text, 60, 10)).split()) == "".join(text.split())


@given(st.floats(-90, 90), st.floats(3, 20), st.floats(20, 200), st.floats(10, 100))
def test_hatching_stays_inside(angle: float, spacing: float, width: float, height: float) -> None:
    found = hatch(((0, 0), (width, 0), (width, height), (0, height)), "hatch", angle, spacing)
    for ends in found.segments:
        for x, y in ends:
            assert -1e-6 <= x <= width + 1e-6 and -1e-6 <= y <= height + 1e-6


@given(st.floats(-1e4, 1e4), st.floats(0.01, 1e4))
def test_ticks_are_round_and_inside(low: float, span: float) -> None:
    found = ticks(low, low + span, 6)
    assert 1 <= len(found) <= 8
    assert all(low - span * 1e-6 <= t <= low + span * (1 + 1e-6) for t in found)


def test_scale_is_linear() -> None:
    scale = AxisScale(0, 10, 100, 200)
    assert (scale(0), scale(5), scale(10), scale.held(20)) == (100, 150, 200, 200)


def drawing() -> Figure:
    marks = (
        Box(0, 0, 100, 50, "glaze", 3), Disc(20, 20, 4, "clay-open"), Strokes((((0, 0), (9, 9)),), "grid"),
        Words(5, 40, HOSTILE + "\x00\ud800 $x$"),
    )  # fmt: skip
    return Figure("sample", f"Title {HOSTILE}", f"Words {HOSTILE}", 200, 60, marks, DataTable((), ()))


def test_svg_is_well_formed_described_and_escaped() -> None:
    for text in (inline_svg(drawing()), svg_file(drawing()).split("\n", 1)[1]):
        root = ET.fromstring(text)
        space = "{http://www.w3.org/2000/svg}"
        assert root.get("role") == "img"
        named = (root.get("aria-labelledby") or "").split()
        title, desc = root.find(f"{space}title"), root.find(f"{space}desc")
        assert title is not None and desc is not None
        assert [title.get("id"), desc.get("id")] == named
        assert HOSTILE in (title.text or "") and HOSTILE in (desc.text or "")
        assert not list(root.iter(f"{space}script"))
        assert any(HOSTILE in (t.text or "") for t in root.iter(f"{space}text"))


def test_png_holds_the_same_picture(tmp_path: Path) -> None:
    path = tmp_path / "x.png"
    write_png(drawing(), path)
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(data[16:20], "big") == 2 * (200 + 12)
    written = Image.open(path)
    image = written.convert("RGB")
    glaze, clay = ImageColor.getrgb(LIGHT["glaze"]), ImageColor.getrgb(LIGHT["clay"])
    assert image.getpixel((2 * (6 + 50), 2 * (6 + 10))) == glaze
    assert image.getpixel((2, 2)) == (255, 255, 255)
    assert clay in {colour for _, colour in image.crop((40, 40, 64, 64)).getcolors() or ()}
    assert written.text["Title"] == printable(f"Title {HOSTILE}")
