"""A sentence made of parts: plain words, figures with their unit, and what is typed in a terminal.

Read as any text it stands in degC, grams and millimetres, commands included; render words its figures in the unit the
reader chose, and a room of the page leaves out what is typed. An f-string and ``str.join`` would keep the words alone:
fill in with :func:`phrase`, join with ``+`` or :func:`joined`. The tests stop an f-string that loses a part.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from string import Formatter
from typing import Any, Final, NamedTuple

from glazecalc.values.units import convert

UNIT_WORDS: Final = {
    "degC": "degC", "K": "degC", "K/h": "degC/h", "g": "g", "mL": "mL", "mm": "mm", "cm2": "cm2",
}  # fmt: skip
"""Units of figures, and how they are written; ``degC`` is a temperature, ``K`` a difference of two."""


class Part(NamedTuple):
    """Some words of a text; where they are figures, these as they are shown, and whether they are for a terminal."""

    words: str
    unit: str = ""
    figures: tuple[str, ...] = ()
    typed: bool = False


class Text(str):
    """A text that knows its parts."""

    parts: tuple[Part, ...]

    def __new__(cls, *parts: Part | str) -> Text:
        """A text of these parts."""
        self = super().__new__(cls, "".join(part.words if isinstance(part, Part) else part for part in parts))
        flat = (one for part in parts for one in ((part,) if isinstance(part, Part) else parts_of(part)))
        self.parts = tuple(part for part in flat if part.words)
        return self

    def __add__(self, other: str) -> Text:
        return Text(*self.parts, other)

    def __radd__(self, other: str) -> Text:
        return Text(other, *self.parts)


def parts_of(text: str) -> tuple[Part, ...]:
    """The parts of a text; of a bare one, its words."""
    return text.parts if isinstance(text, Text) else (Part(text),)


def phrase(template: str, *values: object) -> str:
    """``template`` filled in as by ``str.format``, each text with its parts, and each figure with its unit.

    A unit of :data:`UNIT_WORDS` stands behind the format of its figure; a pair is a range, and ``both`` before the unit
    of a temperature tells it in either scale whatever is chosen. A figure that is always the same stands in the
    template. What is typed in a terminal stands between bars.

    >>> phrase("{} falls by {:.0f K} per hour from {:.0f degC}", "Shed kiln", 60.0, (650.0, 450.0))
    'Shed kiln falls by 60 degC per hour from 650 to 450 degC'
    >>> parts_of(phrase("above {:.0f both degC}, most from {300 to 500 degC}", 100.0))[1]
    Part(words='100 degC (212 degF)', unit='degC', figures=('100',), typed=False)
    >>> step = phrase("Weigh it|: glazecalc weigh {} --dry {100 g}|.", "clear.txt")
    >>> step, untyped(step)
    ('Weigh it: glazecalc weigh clear.txt --dry 100g.', 'Weigh it.')
    """
    left = iter(values)
    pieces = (_filled_in(piece, left) for piece in template.split("|"))
    return Text(*(typed(piece) if i % 2 else piece for i, piece in enumerate(pieces)))


def _filled_in(template: str, values: Iterator[object]) -> Text:
    parts: list[str | Part] = []
    for words, field, spec, conversion in Formatter().parse(template):
        parts.append(words)
        if field:
            figures, _, unit = field.rpartition(" ")
            parts.append(Part(f"{figures} {UNIT_WORDS[unit]}", unit, tuple(figures.split(" to "))))
        elif field is not None:
            parts.append(_shown(Formatter().convert_field(next(values), conversion), spec or ""))
    return Text(*parts)


def _shown(value: Any, spec: str) -> str | Part:
    shown, *both, unit = spec.split(" ") if " " in spec else (spec, "")
    if not unit:
        return value if isinstance(value, str) else format(value, spec)
    figures = value if isinstance(value, tuple) else (value,)
    words = tuple(format(figure, shown) for figure in figures)
    dimension = "temperature" if unit == "degC" else "temperature difference"
    more = f" ({convert(figures[0], 'degC', 'degF', dimension):.0f} degF)" if both else ""
    return Part(f"{' to '.join(words)} {UNIT_WORDS[unit]}{more}", unit, words)


def typed(text: str) -> str:
    """What is typed in a terminal, with the signs around it that go where it is left out; figures take no space."""
    return Text(*(
        part._replace(words=part.figures[0] + part.unit.removeprefix("deg") if part.unit else part.words, typed=True)
        for part in parts_of(text)
    ))  # fmt: skip


def untyped(text: str) -> str:
    """A text without what is typed in a terminal; empty where nothing else is left of it."""
    return Text(*(part for part in parts_of(text) if not part.typed))


def joined(between: str, texts: Iterable[str]) -> str:
    """Texts in a row, each with its parts.

    >>> joined(", ", ["warm", "cold"]), joined(", ", [])
    ('warm, cold', '')
    """
    return Text(*[part for text in texts for part in (Part(between), *parts_of(text))][1:])


def begun(text: str) -> str:
    """A text with its first letter large, the others as they are.

    >>> begun("a slight change of SiO2"), begun("")
    ('A slight change of SiO2', '')
    """
    first, *rest = parts_of(text) or (Part(""),)
    return Text(first._replace(words=first.words[:1].upper() + first.words[1:]), *rest)


def unstopped(text: str) -> str:
    """A text without the full stop at its end, to go on in a row of others.

    >>> unstopped("It stays dry."), unstopped("dry")
    ('It stays dry', 'dry')
    """
    parts = parts_of(text) or (Part(""),)
    return Text(*parts[:-1], parts[-1]._replace(words=parts[-1].words.rstrip(".")))


def tells(text: str, other: str) -> bool:
    """Whether a text was made with all the parts of another, so that the other need not be told again.

    >>> why = "the floor can burn"
    >>> tells(phrase("Not here: {}.", why), why), tells("Not here: the floor can burn.", why)
    (True, False)
    """
    return set(parts_of(other)) <= set(parts_of(text))
