"""What pushes the expansion: a bar for each oxide of the glaze, up to the right, down to the left."""

from __future__ import annotations

from glazecalc.show.figures.hatching import hatched_box
from glazecalc.show.figures.ink import SIZES, WIDTH, Box, DataTable, Figure, Mark, Strokes, Words, heading
from glazecalc.show.figures.lettering import text_width, wrapped
from glazecalc.show.figures.scales import Scale
from glazecalc.show.numbers import rounded
from glazecalc.values.pictures import PushPicture

_TOP, _ROW, _BAR = 76.0, 22.0, 13.0
_MOST_ROWS = 14


def pushes_figure(picture: PushPicture) -> Figure:
    """Draw the picture: for the oxides in the glaze, what one mole % more in place of silica would do."""
    here = [p for p in picture.pushes if p.one_more is not None and p.mole_percent >= 0.05]
    shown = sorted(((p, p.one_more) for p in here if p.one_more is not None), key=lambda pair: -pair[1])[:_MOST_ROWS]
    most = max((abs(more) for _, more in shown), default=1.0) or 1.0
    lowest = min(0.0, *(more for _, more in shown)) if shown else 0.0
    scale = Scale(min(lowest, -0.25 * most), most, 170, WIDTH - 150)
    reference = wrapped(picture.reference, WIDTH, SIZES["small"])[:3]
    top = _TOP + 14 * (len(reference) - 1)
    bottom = top + _ROW * len(shown) + 4
    marks = heading("What pushes the expansion")
    marks += [Words(0, 34 + 14 * i, line, "small", colour="muted") for i, line in enumerate(reference)]
    marks += [
        Words(scale(0) + 8, top - 12, "one more raises it", "small", "start", "muted"),
        Words(scale(0) - 8, top - 12, "lowers it", "small", "end", "muted"),
        Words(WIDTH, top - 12, "push", "small", "end", "muted"),
    ]
    for i, (push, more) in enumerate(shown):
        y = top + i * _ROW
        marks.append(Words(0, y + 13, push.oxide))
        marks.append(Words(112, y + 13, f"{rounded(push.mole_percent, 1)} mol %", "small", "end", "muted"))
        marks += _bar(scale, y, more)
        marks.append(Words(WIDTH, y + 13, _signed(push.push), "small", "end"))
    marks.append(Strokes((((scale(0), top - 6), (scale(0), bottom)),), "axis"))
    return Figure(
        "pushes", f"What pushes the expansion of {picture.recipe}", _description(picture), WIDTH, bottom + 6,
        tuple(marks), _table(picture),
    )  # fmt: skip


def _signed(number: float) -> str:
    """Two decimals with the sign, and none for nil."""
    return f"{number:+.2f}" if abs(number) >= 0.005 else "0.00"


def _bar(scale: Scale, y: float, push: float) -> list[Mark]:
    zero, end = scale(0), scale(push)
    text = _signed(push)
    room = text_width(text, SIZES["small"])
    if push >= 0:
        return [Box(zero, y + 2, max(end - zero, 0.5), _BAR, "glaze"), Words(end + 6, y + 13, text, "small")]
    marks: list[Mark] = [Box(end, y + 2, zero - end, _BAR, "glaze-open")]
    marks.append(hatched_box(end, y + 2, zero - end, _BAR, "glaze-band", 45, 5))
    return [*marks, Words(max(end - 6, 116 + room), y + 13, text, "small", "end")]


def _description(picture: PushPicture) -> str:
    parts = "; ".join(f"{p.oxide} {_signed(p.push)}" for p in picture.pushes)
    return f"{picture.reference} In millionths per kelvin: {parts}."


def _table(picture: PushPicture) -> DataTable:
    rows = tuple(
        (p.oxide, rounded(p.mole_percent, 2), _signed(p.push), "" if p.one_more is None else _signed(p.one_more))
        for p in picture.pushes
    )
    return DataTable(("oxide", "mole %", "push, 1e-6/K", "one more mole %, 1e-6/K"), rows)
