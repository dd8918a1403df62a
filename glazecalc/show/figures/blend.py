"""A blend as it lies on the table: a line, a triangle or a square of cells, the parts written in each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.show.figures.expansion import HATCH_ANGLE
from glazecalc.show.figures.hatching import hatched_box
from glazecalc.show.figures.ink import SIZES, WIDTH, Box, DataTable, Figure, Mark, Words, heading
from glazecalc.show.figures.lettering import shortened, text_width
from glazecalc.values.pictures import BlendCell, BlendPicture, Leaning

_GAP: Final = 6.0
_LETTERS: Final = "ABCDEFGH"


def blend_figure(picture: BlendPicture) -> Figure:
    """Draw the picture."""
    columns = max((cell.column for cell in picture.cells), default=0) + 1
    rows = max((cell.row for cell in picture.cells), default=0) + 1
    corners = [f"{letter} {name}" for letter, name in zip(_LETTERS, picture.corners, strict=False)]
    key = _key(corners)
    width = min(150.0, (WIDTH - _GAP * (columns - 1)) / columns)
    lines = max((len(_parts(cell, picture.corners, width)) for cell in picture.cells), default=1)
    worded = any(cell.words for cell in picture.cells)
    height = 22 + 14.0 * lines + (15 if worded else 0)
    top = max((words.y for words in key), default=18.0) + 16
    marks: list[Mark] = [*heading(_title(picture)), *key]
    for cell in picture.cells:
        indent = (rows - 1 - cell.row) * (width + _GAP) / 2 if picture.kind == "triangle" else 0.0
        marks += _cell(
            cell, picture, indent + cell.column * (width + _GAP), top + cell.row * (height + _GAP), width, height
        )
    bottom = top + rows * (height + _GAP)
    return Figure("blend", _title(picture), _description(picture), WIDTH, bottom, tuple(marks), _table(picture))


def _title(picture: BlendPicture) -> str:
    what = {"line": "Line blend", "triangle": "Triaxial blend", "square": "Square blend"}.get(picture.kind, "Blend")
    return f"{what}: {len(picture.cells)} tiles"


def _key(corners: Sequence[str]) -> list[Words]:
    """Names of the corners, on as many lines as they need."""
    marks: list[Words] = []
    x, y = 0.0, 36.0
    for corner in corners:
        text = shortened(corner, 300, SIZES["label"])
        width = text_width(text, SIZES["label"])
        if x and x + width > WIDTH:
            x, y = 0.0, y + 16
        marks.append(Words(x, y, text, "label", colour="muted"))
        x += width + 22
    return marks


def _parts(cell: BlendCell, corners: Sequence[str], width: float) -> list[str]:
    """The parts of a cell, as many to a line as fit."""
    texts = [f"{letter} {part:g}" for letter, part in zip(_LETTERS, cell.parts, strict=False) if part]
    lines: list[str] = []
    for text in texts:
        joined = f"{lines[-1]}  {text}" if lines else text
        if lines and text_width(joined, SIZES["small"]) <= width - 12:
            lines[-1] = joined
        else:
            lines.append(text)
    return lines or [" "]


def _cell(cell: BlendCell, picture: BlendPicture, x: float, y: float, width: float, height: float) -> list[Mark]:
    angle = HATCH_ANGLE.get(cell.leaning)
    style = "wash" if cell.leaning is Leaning.SOUND else "paper"
    marks: list[Mark] = [Box(x, y, width, height, style, 4)]
    if angle is not None:
        marks.append(hatched_box(x + 1, y + 1, width - 2, height - 2, "hatch", angle, 9))
    dashed = cell.leaning in (Leaning.DOUBTFUL, Leaning.OUT)
    marks.append(Box(x, y, width, height, "cell-doubt" if dashed else "cell", 4))
    marks.append(
        Words(x + 7, y + 16, shortened(cell.id, width - 14, SIZES["label"], True), "label", bold=True, halo=True)
    )
    if cell.leaning is Leaning.OUT:
        marks.append(Words(x + width - 7, y + 16, "x", "label", "end", bold=True, halo=True))
    for i, line in enumerate(_parts(cell, picture.corners, width)):
        marks.append(Words(x + 7, y + 31 + 14 * i, line, "small", halo=True))
    if cell.words:
        words = shortened(cell.words, width - 12, SIZES["small"])
        marks.append(Words(x + 7, y + height - 7, words, "small", colour="muted", halo=True))
    return marks


def _description(picture: BlendPicture) -> str:
    corners = ", ".join(f"{letter} is {name}" for letter, name in zip(_LETTERS, picture.corners, strict=False))
    return f"{_title(picture)}. {corners}. Each cell has the tile's mark, its parts and what is expected of it."


def _table(picture: BlendPicture) -> DataTable:
    letters = tuple(_LETTERS[: len(picture.corners)])
    rows = tuple(
        (
            cell.id,
            *(f"{part:g}" for part in cell.parts),
            cell.words or ("" if cell.leaning is Leaning.NONE else cell.leaning.value),
        )
        for cell in picture.cells
    )
    return DataTable(("tile", *letters, "expected"), rows)
