"""Hours per firing over a kiln's life: when they creep up, the elements are wearing out."""

from __future__ import annotations

from glazecalc.show.figures.ink import SIZES, WIDTH, DataTable, Disc, Figure, Mark, Path, Words, heading
from glazecalc.show.figures.lettering import shortened, text_width
from glazecalc.show.figures.scales import Scale, axis_left
from glazecalc.show.numbers import rounded
from glazecalc.values.pictures import HoursPicture

_TOP, _BOTTOM, _LEFT = 76.0, 226.0, 30.0


def hours_figure(picture: HoursPicture) -> Figure:
    """Draw the picture."""
    count = len(picture.firings)
    across = Scale(1, max(count, 2), _LEFT + 18, WIDTH - 20)
    longest = max((f.hours for f in picture.firings), default=1.0)
    up = Scale(0, longest * 1.15, _BOTTOM, _TOP)
    title = shortened(f"Hours per firing of {picture.kiln}", WIDTH, SIZES["title"], True)
    marks = heading(title, shortened(picture.words, WIDTH, SIZES["small"]))
    marks += axis_left(up, _LEFT, WIDTH - 4, "hours", 5)
    if picture.usual_hours is not None:
        y = up(picture.usual_hours)
        marks += [
            Path(((_LEFT, y), (WIDTH - 4, y)), "edge"),
            Words(WIDTH - 6, y + 14, "as it was at first", "small", "end", halo=True),
        ]
    places = [(across(i), up(f.hours)) for i, f in enumerate(picture.firings, start=1)]
    if count > 1:
        marks.append(Path(tuple(places), "kiln-thin"))
    marks += [Disc(x, y, 4, "kiln-open") for x, y in places]
    marks += _days(picture, places)
    return Figure("hours", title, _description(picture), WIDTH, _BOTTOM + 30, tuple(marks), _table(picture))


def _days(picture: HoursPicture, places: list[tuple[float, float]]) -> list[Mark]:
    marks: list[Mark] = []
    last = -1e9
    for firing, (x, _) in zip(picture.firings, places, strict=True):
        width = text_width(firing.label, SIZES["small"])
        left = min(max(x - width / 2, 0.0), WIDTH - width)
        if left > last + 8:
            marks.append(Words(left, _BOTTOM + 18, firing.label, "small", colour="muted"))
            last = left + width
    return marks


def _description(picture: HoursPicture) -> str:
    return f"{len(picture.firings)} firings of {picture.kiln}. {picture.words}"


def _table(picture: HoursPicture) -> DataTable:
    return DataTable(
        ("firing", "hours", "cone"), tuple((f.label, rounded(f.hours, 1), f.cone) for f in picture.firings)
    )
