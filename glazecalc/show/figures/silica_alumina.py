"""The silica-alumina map: this glaze, the studio's others, and soft fields of surface with their source and cone."""

from __future__ import annotations

import itertools

from glazecalc.show.figures.hatching import hatch
from glazecalc.show.figures.ink import SIZES, WIDTH, DataTable, Disc, Figure, Mark, Path, Point, Words, diamond, heading
from glazecalc.show.figures.lettering import shortened, text_width
from glazecalc.show.figures.scales import Scale, axis_below, axis_left
from glazecalc.show.numbers import rounded
from glazecalc.values.pictures import GlazePoint, RatioField, SilicaAluminaPicture

_TOP, _BOTTOM, _LEFT = 76.0, 352.0, 30.0
_Rect = tuple[float, float, float, float]


def silica_alumina_figure(picture: SilicaAluminaPicture) -> Figure:
    """Draw the picture."""
    top_silica = max(6.0, max((p.silica for p in picture.points), default=0.0) * 1.08)
    top_alumina = max(0.8, max((p.alumina for p in picture.points), default=0.0) * 1.12)
    across, up = Scale(0, top_silica, _LEFT, WIDTH - 4), Scale(0, top_alumina, _BOTTOM, _TOP)
    marks = heading(
        "Silica and alumina: where the surface usually lies", shortened(picture.guide, WIDTH, SIZES["small"])
    )
    marks += _doubts(across, up, picture.fields)
    marks += axis_left(up, _LEFT, WIDTH - 4, "alumina, moles per mole of flux")
    taken: list[_Rect] = []
    spots = [(across(p.silica), up(p.alumina)) for p in picture.points]
    marks += _field_names(across, up, picture.fields, spots, taken)
    marks += axis_below(across, _BOTTOM, "silica, moles per mole of flux")
    marks += _points(across, up, picture.points, taken)
    return Figure(
        "silica-alumina",
        "Silica-alumina map",
        _description(picture),
        WIDTH,
        _BOTTOM + 42,
        tuple(marks),
        _table(picture),
    )


def _at_ratio(across: Scale, up: Scale, ratio: float) -> Point:
    """Where the line of a silica to alumina ratio leaves the map."""
    if ratio * up.high <= across.high:
        return across(ratio * up.high), up.end
    return across.end, up(across.high / ratio)


def _doubts(across: Scale, up: Scale, fields: tuple[RatioField, ...]) -> list[Mark]:
    """The stretches between neighbouring fields, hatched: there either may happen."""
    marks: list[Mark] = []
    origin = (across.start, up.start)
    for field, following in itertools.pairwise(fields):
        if field.to_ratio is None or following.from_ratio is None:
            continue
        low, high = _at_ratio(across, up, field.to_ratio), _at_ratio(across, up, following.from_ratio)
        corner: tuple[Point, ...] = ()
        if low[1] == up.end and high[0] == across.end and low[0] < across.end and high[1] > up.end:
            corner = ((across.end, up.end),)
        marks.append(hatch((origin, low, *corner, high), "hatch", 20, 7))
        marks += [Path((origin, low), "edge"), Path((origin, high), "edge")]
    return marks


def _field_names(
    across: Scale, up: Scale, fields: tuple[RatioField, ...], spots: list[Point], taken: list[_Rect]
) -> list[Mark]:
    """Each field's name far out along its middle, moved inwards while it would cover a glaze."""
    marks: list[Mark] = []
    for field in fields:
        low, high = field.from_ratio or 0.0, field.to_ratio or 30.0
        x, y = _at_ratio(
            across, up, (low + high) / 2 if low and field.to_ratio else high * 0.6 if low == 0 else low * 1.3
        )
        width = text_width(field.words, SIZES["label"], bold=True)
        for inwards in (0.97, 0.9, 0.83, 0.76, 0.69, 0.62):
            middle = across.start + (x - across.start) * inwards
            left = min(max(middle - width / 2, across.start + 4), across.end - width - 2)
            base = max(up.start + (y - up.start) * inwards + 4, up.end + 14)
            spot = (left - 3, base - 13, left + width + 3, base + 5)
            if not any(spot[0] - 7 < px < spot[2] + 7 and spot[1] - 7 < py < spot[3] + 7 for px, py in spots):
                break
        taken.append(spot)
        marks.append(Words(left, base, field.words, "label", bold=True, colour="muted", halo=True))
    return marks


def _points(across: Scale, up: Scale, points: tuple[GlazePoint, ...], taken: list[_Rect]) -> list[Mark]:
    marks: list[Mark] = []
    ordered = sorted(points, key=lambda p: not p.this)
    for point in ordered:
        x, y = across(point.silica), up(point.alumina)
        taken.append((x - 6, y - 6, x + 6, y + 6))
    for point in ordered:
        marks += _label(across, across(point.silica), up(point.alumina), point, taken)
    for point in reversed(ordered):
        x, y = across(point.silica), up(point.alumina)
        marks.append(diamond(x, y, 9, "glaze") if point.this else Disc(x, y, 4.5, "other"))
    return marks


def _label(across: Scale, x: float, y: float, point: GlazePoint, taken: list[_Rect]) -> list[Mark]:
    """The name beside its point, further off on a leader where it is crowded; none where nothing is free."""
    size = SIZES["label"] if point.this else SIZES["small"]
    text = shortened(point.name, 170, size, point.this)
    width, near = text_width(text, size, point.this), 12.0 if point.this else 8.0
    for off in (near, 20.0, 32.0, 46.0):
        for left, base in _places(x, y, width, off):
            spot = (left, base - size, left + width, base + 3)
            inside = left >= across.start + 2 and left + width <= across.end and base - 8 > _TOP and base < _BOTTOM - 2
            if inside and not any(_overlap(spot, other) for other in taken):
                taken.append(spot)
                leader = [Path(((x, y), (min(max(x, left), left + width), base - 4)), "leader")] if off > near else []
                colour = "glaze" if point.this else "ink"
                words = Words(left, base, text, "label" if point.this else "small", "start", colour, point.this, True)
                return [*leader, words]
    return []


def _places(x: float, y: float, width: float, off: float) -> list[Point]:
    """Where a name may stand about its point, best first: beside, above and below, then at the corners."""
    return [
        (x + off, y + 4), (x - off - width, y + 4), (x - width / 2, y - off), (x - width / 2, y + off + 9),
        (x + off - 2, y - off + 2), (x + off - 2, y + off + 7), (x - off - width, y - off),
        (x - off - width, y + off + 7),
    ]  # fmt: skip


def _overlap(a: _Rect, b: _Rect) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _description(picture: SilicaAluminaPicture) -> str:
    this = [p for p in picture.points if p.this]
    lead = "; ".join(f"{p.name}: silica {rounded(p.silica, 2)}, alumina {rounded(p.alumina, 2)}" for p in this)
    count = len(picture.points) - len(this)
    others = f"; {count} other glazes of the studio are shown" if count else ""
    return f"{lead or 'Glazes of the studio'}{others}. {picture.guide}"


def _table(picture: SilicaAluminaPicture) -> DataTable:
    rows = [
        (p.name, rounded(p.silica, 2), rounded(p.alumina, 3), rounded(p.silica / p.alumina, 1) if p.alumina > 0 else "")
        for p in sorted(picture.points, key=lambda p: (not p.this, p.name))
    ]
    for f in picture.fields:
        low = "" if f.from_ratio is None else rounded(f.from_ratio, 1)
        high = "" if f.to_ratio is None else rounded(f.to_ratio, 1)
        rows.append(
            (f"field: {f.words}", "", "", f"{low or 'below'} {'to ' if low and high else ''}{high or 'and above'}")
        )
    return DataTable(("glaze", "SiO2", "Al2O3", "SiO2 : Al2O3"), tuple(rows))
