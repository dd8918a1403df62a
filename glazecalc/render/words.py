"""How many digits are shown: the interval decides, in one function, for every format."""

from __future__ import annotations

import csv
import io
import math
import re
import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Final, Literal, NamedTuple

from glazecalc.values.answers import Answer, Estimate, Problem, listed
from glazecalc.values.data import acts_as_formula, guarded
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.names import fold
from glazecalc.values.texts import UNIT_WORDS, Part, Text, parts_of
from glazecalc.values.units import convert


def decimals_for(half_width: float) -> int:
    """Decimal places to show for a number known to +- ``half_width`` (may be negative: whole tens).

    The rule of the Particle Data Group (Review of Particle Physics, section "Rounding"): of the three leading
    digits of the uncertainty, 100 to 354 keep two digits, 355 to 949 keep one, 950 to 999 round up to 1000.

    >>> [decimals_for(x) for x in (0.827, 0.119, 37.0, 0.96, 9.6)]
    [1, 2, -1, 1, 0]
    """
    if half_width <= 0:
        return 3
    power = math.floor(math.log10(half_width))
    leading = round(half_width / 10.0**power * 100)
    if leading >= 950:
        power, leading = power + 1, 100
    return -power + (1 if leading < 355 else 0)


def rounded(value: float, decimals: int) -> str:
    """``value`` to that many decimals, never ``-0``.

    >>> rounded(1234.0, -1), rounded(-0.001, 1)
    ('1230', '0.0')
    """
    number = round(value, decimals)
    text = f"{number + 0.0:.{max(decimals, 0)}f}"
    return text.lstrip("-") if not float(text) else text


def with_sign(number: float) -> str:
    """Two decimals with the sign, and none for nil.

    >>> with_sign(0.5), with_sign(-0.001)
    ('+0.50', '0.00')
    """
    return f"{number:+.2f}" if abs(number) >= 0.005 else "0.00"


def estimate_parts(estimate: Estimate) -> tuple[str, str, str]:
    """Value, low and high of an estimate as text, with the digits its interval allows."""
    half = (estimate.high - estimate.low) / 2
    decimals = decimals_for(half)
    return rounded(estimate.value, decimals), rounded(estimate.low, decimals), rounded(estimate.high, decimals)


def interval_words(estimate: Estimate) -> str:
    """Value and interval of an estimate without its unit: `6.1 (5.7 to 6.5)`."""
    value, low, high = estimate_parts(estimate)
    return f"{value} ({low} to {high})"


# Figures in the units a user reads: temperature, mass, length, volume. Conversion happens here and in read.


def fahrenheit(degC: float) -> float:
    """A temperature in degF.

    >>> fahrenheit(100.0)
    212.0
    """
    return convert(degC, "degC", "degF", "temperature")


def both_degrees(degC: float) -> tuple[str, str]:
    """A temperature in whole degC and in whole degF.

    >>> both_degrees(100.0)
    ('100', '212')
    """
    return rounded(degC, 0), rounded(fahrenheit(degC), 0)


def in_units(estimate: Estimate, units: UnitChoice) -> Estimate:
    """The estimate in the user's units; unchanged where its quantity has no choice."""
    if estimate.unit == "degC" and units.temperature == "F":
        low, value, high = (fahrenheit(x) for x in (estimate.low, estimate.value, estimate.high))
        return replace(estimate, value=value, low=low, high=high, unit="degF")
    return estimate


# Masses, volumes and lengths in the units a potter chose to read, with the digits their scale can show.


def decimals_of_step(step: float) -> int:
    """Decimals that show a step: 0.1 needs one, 1 none, 0.25 two.

    >>> [decimals_of_step(s) for s in (1.0, 0.1, 0.05, 5.0)]
    [0, 1, 2, 0]
    """
    return max(0, next((d for d in range(7) if abs(round(step, d) - step) < 1e-9 * max(step, 1)), 6))


def mass_text(grams: float, units: UnitChoice, step_g: float = 0.1, extra: int = 0) -> str:
    """A mass in the chosen unit without its name, to the step of the scale and ``extra`` decimals more."""
    step = convert(step_g, "g", units.mass, "mass")
    places = decimals_of_step(float(f"{step:.6g}"))
    if places > 4:
        places = max(0, math.ceil(-math.log10(step)))
    return rounded(convert(grams, "g", units.mass, "mass"), places + extra)


def with_unit(grams: float, units: UnitChoice, step_g: float = 0.1, extra: int = 0) -> str:
    """A mass in the chosen unit with its name.

    >>> with_unit(453.59237, UnitChoice(mass="lb")), with_unit(120.0, UnitChoice(), 1.0)
    ('1.0000 lb', '120 g')
    """
    return f"{mass_text(grams, units, step_g, extra)} {units.mass}"


def amount(grams: float, units: UnitChoice) -> str:
    """A mass to read rather than to weigh: three digits or whole grams, whichever is more."""
    return f"{_three_digits(convert(grams, 'g', units.mass, 'mass'))} {units.mass}"


def volume_text(mL: float, units: UnitChoice) -> str:
    """A volume in the chosen unit with its name; millilitres become litres from one litre on.

    >>> volume_text(1500.0, UnitChoice()), volume_text(3785.411784, UnitChoice(volume="gallon"))
    ('1.50 L', '1.00 gallon')
    """
    unit = "L" if units.volume == "mL" and mL >= 1000 else units.volume
    return f"{_three_digits(convert(mL, 'mL', unit, 'volume'))} {unit}"


def _three_digits(value: float) -> str:
    return rounded(value, 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2)


def length_text(mm: float, units: UnitChoice) -> str:
    """A length in the chosen unit with its name."""
    value = convert(mm, "mm", units.length, "length")
    return f"{rounded(value, 0 if units.length == 'mm' else 1)} {units.length}"


_OTHERS: Final = {
    "degC": ("temperature", "temperature", "degF", ".0f"), "K/h": ("temperature", "rate", "degF/h", ".0f"),
    "K": ("temperature", "temperature difference", "degF", ".0f"), "mm": ("length", "length", "in", ".2g"),
    "cm2": ("length", "area", "in2", ".3g"), "g": ("mass", "mass", "", ".3g"), "mL": ("volume", "volume", "", ".3g"),
}  # fmt: skip
"""Units of figures: which choice of the reader's rules them, their dimension, the other unit (else it is the choice
itself) and how a figure in it is shown."""


def worded(text: str, units: UnitChoice) -> str:
    """A text with each of its figures in the reader's unit, and in its own behind that.

    >>> from glazecalc.values.texts import phrase
    >>> us = UnitChoice(temperature="F", length="in", mass="oz", volume="fl oz")
    >>> worded(phrase("below {:.0f degC}, by {:.0f K} per hour", (450, 650), 60), us)
    'below 842 to 1202 degF (450 to 650 degC), by 108 degF (60 degC) per hour'
    >>> worded(phrase("no less than {100 g}|: --dry {100 g}|"), us)
    'no less than 3.53 oz (100 g): --dry 3.6oz'
    """
    return Text(*(Part(_part_in(units, part), typed=part.typed) for part in parts_of(text)))


def _part_in(units: UnitChoice, part: Part) -> str:
    ruled_by, dimension, to, shown = _OTHERS.get(part.unit, ("", "", "", ""))
    choice = getattr(units, ruled_by, "")
    if choice in ("", "C", "mm", "g", "mL", "L"):
        return part.words
    figures = [convert(float(figure), part.unit, to or choice, dimension) for figure in part.figures]
    if part.typed:  # a mass is rounded up, for it is the least that will do
        return f"{math.ceil(figures[0] * 10) / 10:g}{choice}" if part.unit == "g" else f"{figures[0]:.0f}{choice}"
    own = f"{' to '.join(part.figures)} {UNIT_WORDS[part.unit]}"
    return f"{' to '.join(f'{figure:{shown}}' for figure in figures)} {to or choice} ({own})"


# The unit of the scale at hand: what is weighed is told in it, whatever else is read in.

MassUnit = Literal["g", "oz", "lb"]
_UNITS: Final[tuple[MassUnit, ...]] = ("g", "oz", "lb")
_STEPS: Final = (1.0, 1.25, 2.0, 2.5, 5.0, 6.25, 10.0)
"""First digits of the steps that scales show: ones, twos, fives, quarters, eighths and sixteenths (common practice)."""
_ROUND: Final = 0.002
"""A step within this share of such a one was meant to be it: 2.835 g is 0.1 oz."""


def at_the_scale(units: UnitChoice, steps_g: Iterable[float]) -> UnitChoice:
    """``units`` with masses in the unit of the scales that show these steps [g]: the chosen one where they are steps
    of it, and where they are steps of none.

    >>> us = UnitChoice(mass="oz", volume="fl oz")
    >>> [at_the_scale(us, [step]).mass for step in (0.1, 2.8349523125)]
    ['g', 'oz']
    """
    steps = tuple(steps_g)

    def shows(mass: MassUnit) -> bool:
        first = [step / 10.0 ** math.floor(math.log10(step)) for step in (convert(s, "g", mass, "mass") for s in steps)]
        return all(any(abs(digit - usual) <= _ROUND * usual for usual in _STEPS) for digit in first)

    for mass in (units.mass, *_UNITS):
        if shows(mass):
            return units.model_copy(update={"mass": mass})
    return units


def scale_note(asked: UnitChoice, told: UnitChoice) -> str:
    """Says that weights are told in another unit than was asked for; empty where they are not."""
    if asked.mass == told.mass:
        return ""
    return f"Weights are in {told.mass}, the unit of this scale, not in {asked.mass}."


# Text for a stream that cannot write every sign: ASCII spellings instead of a crash.

_STEERING: Final = re.compile(
    r"\x1b(?!\[(?:0|3[123])m)|[\x00-\x08\x0b-\x1a\x1c-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]"
)
SPELLINGS: Final[dict[str, str]] = {
    "\N{DEGREE SIGN}": "deg", "\N{MULTIPLICATION SIGN}": "x", "\N{PLUS-MINUS SIGN}": "+/-", "\N{MICRO SIGN}": "u",
    "\N{RIGHTWARDS ARROW}": "->", "\N{EN DASH}": "-", "\N{EM DASH}": "-", "\N{MINUS SIGN}": "-",
    "\N{LESS-THAN OR EQUAL TO}": "<=", "\N{GREATER-THAN OR EQUAL TO}": ">=", "\N{VULGAR FRACTION ONE HALF}": " 1/2",
    "\N{BULLET}": "*", "\N{MIDDLE DOT}": ".", "\N{HORIZONTAL ELLIPSIS}": "...", "\N{NO-BREAK SPACE}": " ",
    "\N{LEFT SINGLE QUOTATION MARK}": "'", "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": '"', "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
}  # fmt: skip


def harmless(text: str, coloured: bool = False) -> str:
    """``text`` without the signs that steer a terminal or turn its direction; ``coloured`` keeps the answers' colours.

    >>> harmless("a\x1b]0;x\x07b\u202ec")
    'a]0;xbc'
    """
    kept = _STEERING.sub("", text)
    return kept if coloured else kept.replace("\x1b", "")


_DEGREES: Final = re.compile(r"(?<![\w\"'])deg(?=[CF]\b)")


def signed(text: str) -> str:
    """``text`` as it is laid out for a reader, ``degC`` and ``degF`` with the sign; :func:`encodable` takes it back.

    >>> signed("rate_degC_per_h: 60 degC/h") == "rate_degC_per_h: 60 \N{DEGREE SIGN}C/h"
    True
    """
    return _DEGREES.sub("\N{DEGREE SIGN}", text)


def encodable(text: str, encoding: str | None) -> str:
    """``text`` with every sign that ``encoding`` lacks spelt in ASCII, or shown as its code.

    >>> encodable("20 \N{DEGREE SIGN}C \N{RIGHTWARDS ARROW} 30", "ascii")
    '20 degC -> 30'
    """
    encoding = encoding or "ascii"
    try:
        text.encode(encoding)
        return text
    except (UnicodeEncodeError, LookupError):
        spelt = "".join(SPELLINGS.get(c, c) for c in text)
        return spelt.encode(encoding if encoding.isascii() else "ascii", "backslashreplace").decode(encoding)


# What an estimate is called where a person reads it, on the terminal and on the page alike.

_NAMES: Final = {
    "expansion": "glaze expansion",
    "expansion_to_setting": "glaze expansion from setting",
    "body_expansion": "clay expansion",
    "youngs_modulus": "Young's modulus",
    "mature_cone": "firing range, cones",
    "layer_stress": "stress in the glaze",
    "crazing_probability": "likely to craze",
    "shivering_probability": "likely to shiver",
    "kiln_ceiling": "kiln, up to its rating",
}


def estimate_name(estimate: Estimate, units: UnitChoice) -> str:
    """The estimate's name in plain words."""
    if estimate.name == "expansion":
        return f"glaze expansion, {'68-572 degF' if units.temperature == 'F' else '20-300 degC'}"
    return _NAMES.get(estimate.name, estimate.name.replace("_", " "))


# Answers in words, on the terminal and on the page alike.

ANSWER_WORDS: Final = {
    Answer.FITS: "yes", Answer.DOES_NOT_FIT: "no", Answer.CANNOT_SAY: "cannot say", Answer.NOT_ASKED: "not asked",
}  # fmt: skip
RULE_WORDS: Final = {
    "fit": "fits the clay", "melts": "melts", "kiln_reaches": "kiln reaches it", "clay_range": "clay's own range",
}  # fmt: skip
Paint = Callable[[str, Answer], str]


def answer_word(answer: Answer) -> str:
    """An answer on a terminal, where a no stands in capitals."""
    return ANSWER_WORDS[answer].upper() if answer is Answer.DOES_NOT_FIT else ANSWER_WORDS[answer]


def rule_words(rule: str) -> str:
    """What a rule of `check` asks.

    >>> rule_words("fit"), rule_words("element_wear")
    ('fits the clay', 'element wear')
    """
    return RULE_WORDS.get(rule, rule.replace("_", " "))


def unpainted(text: str, answer: Answer) -> str:
    """The text as it is, where no colour is wanted."""
    return text


# Plain text at 80 columns: wrapped paragraphs, aligned tables, a bar for an interval.

WIDTH = 80


def paragraph(text: str, indent: int = 0, hanging: int = 0) -> str:
    """``text`` wrapped at 80 columns, ``hanging`` further in from its second line on."""
    return textwrap.fill(
        signed(text), WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + hanging),
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def poison_line(held: Sequence[str]) -> str:
    """What stands first where a poisonous glaze is told or weighed; nothing for one that holds no poison.

    >>> poison_line(["lead", "cadmium"])
    'Holds lead and cadmium: do not weigh or mix this at home.'
    """
    return f"Holds {listed(held)}: do not weigh or mix this at home." if held else ""


def heading(text: str) -> str:
    """A section's title, underlined."""
    text = signed(text)
    return f"{text}\n{'-' * len(text)}"


def bullets(lines: Iterable[str], indent: int = 2, mark: str = "-") -> list[str]:
    """Each line behind a mark."""
    return [paragraph(f"{mark} {line}", indent, 2) for line in lines]


def section(title: str, lines: Sequence[str]) -> list[str]:
    """A blank line, a title and what stands under it; nothing where that is nothing."""
    return ["", heading(title), *lines] if lines else []


def labelled(label: str, text: str, width: int = 16, indent: int = 2) -> str:
    """A label and a wrapped text beside it."""
    label = signed(label)
    room = WIDTH - indent - width
    lines = textwrap.wrap(signed(text), room, break_long_words=False, break_on_hyphens=False) or [""]
    first = f"{' ' * indent}{label:<{width - 1}} {lines[0]}"
    return "\n".join([first.rstrip(), *(" " * (indent + width) + line for line in lines[1:])])


def painted(laid_out: str, label: str, paint: str, indent: int = 2) -> str:
    """Lines that begin with a label, which was laid out bare for its width, with it as it is ``paint``-ed."""
    return laid_out[:indent] + paint + laid_out[indent + len(label) :]


def table(rows: Sequence[Sequence[str]], align: str, indent: int = 2, gap: int = 2) -> str:
    """Rows of cells in columns; ``align`` has a letter per column, ``l`` or ``r``.

    >>> print(table([["a", "1"], ["bb", "10"]], "lr", indent=0))
    a    1
    bb  10
    """
    rows = [[signed(cell) for cell in row] for row in rows]
    widths = [max(len(row[i]) for row in rows) for i in range(len(align))]
    lines = []
    for row in rows:
        cells = [c.rjust(w) if a == "r" else c.ljust(w) for c, w, a in zip(row, widths, align, strict=True)]
        lines.append(" " * indent + (" " * gap).join(cells).rstrip())
    return "\n".join(lines)


def interval_bar(low: float, value: float, high: float, start: float, end: float, width: int = 30) -> str:
    """An interval on an axis from ``start`` to ``end``: ``....===|===.....``, in ASCII.

    >>> interval_bar(4, 5, 6, 0, 10, 11)
    '....=|=....'
    """

    def place(x: float) -> int:
        return round(min(max((x - start) / (end - start), 0.0), 1.0) * (width - 1))

    cells = ["."] * width
    for i in range(place(low), place(high) + 1):
        cells[i] = "="
    cells[place(value)] = "|"
    return "".join(cells)


# A problem as a person reads it.


def problem_text(problem: Problem) -> str:
    """``file:line: error: what is wrong [code]``, the hint on a line of its own; ``note:`` where it stops nothing."""
    line = f"{problem.line}:" if problem.line else ""
    place = f"{problem.file}:{line} " if problem.file else ""
    lead = "error: " if problem.is_error else "note: "
    hint = f"\n    {signed(problem.hint)}" if problem.hint else ""
    return f"{place}{lead}{signed(problem.message)} [{problem.code}]{hint}"


# CSV that is safe to open in a spreadsheet: no cell can act as a formula.

Cell = str | float | int | bool | None


def safe_cell(cell: Cell) -> str:
    """A cell as text that no spreadsheet runs.

    >>> safe_cell("=1+1"), safe_cell(-0.5), safe_cell("Silica"), safe_cell(None)
    ("'=1+1", '-0.5', 'Silica', '')
    """
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return repr(cell) if math.isfinite(cell) else ""
    text = "".join(" " if ord(c) < 32 or c in "\x7f\x85\u2028\u2029" else c for c in cell)
    kept = guarded(text)
    return f"'{kept}" if kept == text and acts_as_formula(text) else kept


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table as CSV: one header line, every cell safe, comma and quotes as in RFC 4180."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow([safe_cell(name) for name in header])
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return stream.getvalue()


# How the lines of a card were read: each amount and material, and the word that stood there.


class LineRead(NamedTuple):
    """A line as read: the word on the card, the material it means, its amount in words, and whether it is known."""

    written: str
    material: str
    amount: str
    addition: bool
    known: bool = True

    @property
    def plain(self) -> bool:
        """Whether the word on the card is the material's own name."""
        return self.known and fold(self.written) == fold(self.material)

    def words(self) -> str:
        """The line in words: `36 Nepheline syenite (neph sy)`."""
        what = f"{self.amount} {self.material}".strip()
        return f"{what} (NOT KNOWN)" if not self.known else what if self.plain else f"{what} ({self.written})"


def read_words(lines: Sequence[LineRead], always: bool = False) -> str:
    """The lines as read, where a word is not the material's own name; nothing where all are, unless ``always``.

    >>> read_words([LineRead("neph sy", "Nepheline syenite", "40", False), LineRead("tin", "Tin oxide", "5", True)])
    'Read as: 40 Nepheline syenite (neph sy); over the base 5 Tin oxide (tin).'
    """
    if all(line.plain for line in lines) and not always:
        return ""
    base = ", ".join(line.words() for line in lines if not line.addition)
    added = ", ".join(line.words() for line in lines if line.addition)
    return f"Read as: {base}{'; over the base ' if base and added else ''}{added}." if base or added else ""
