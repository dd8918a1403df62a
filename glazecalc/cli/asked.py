"""Quantities of the command line: each option's text becomes a number in the unit of the house, or a clear
error.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TypeVar

from glazecalc.files.numbers import read_quantity
from glazecalc.files.problems import Findings
from glazecalc.jobs.amount import Cup
from glazecalc.jobs.materials import fold
from glazecalc.values.answers import did_you_mean, refuse, stop_at_errors
from glazecalc.values.inputs import Container, Piece, Scale, Studio
from glazecalc.values.results.weigh import WeighResult
from glazecalc.values.units import dimensions_of

_PAIR = re.compile(r"(.{1,200}?)\s*[:=]\s*([^:=]{1,40})", re.DOTALL)
Named = TypeVar("Named", Piece, Container)


def quantity(text: str | None, dimension: str, unit: str, option: str) -> float | None:
    """The quantity of an option in ``unit``, above zero; None where the option was not given.

    Raises
    ------
    ProblemsError
        if the text is no quantity of that dimension.
    """
    if text is None:
        return None
    found = Findings(None)
    value = read_quantity(text, dimension, unit, option, found)
    if value is not None and not value > 0:
        found.error("not-positive", f"{option} must be above zero", f"write it as {option} 500{unit}")
    stop_at_errors(found.problems)
    return value


def mass_g(text: str | None, option: str) -> float | None:
    """A mass [g]."""
    return quantity(text, "mass", "g", option)


def volume_mL(text: str | None, option: str) -> float | None:
    """A volume [mL]."""
    return quantity(text, "volume", "mL", option)


def mass_or_volume(text: str, option: str) -> tuple[float | None, float | None]:
    """A mass [g] or a volume [mL], told by its unit; the other is None. A bare number is refused."""
    known = _dimensions(text)
    if "volume" in known:
        return None, volume_mL(text, option)
    if "mass" not in known:
        refuse("unit", f"{option} {text!r} needs a unit of mass or volume", f"such as {option} 3L or {option} 4.2kg")
    return mass_g(text, option), None


def _dimensions(text: str) -> tuple[str, ...]:
    """What the unit behind a figure may measure."""
    return dimensions_of(re.sub(r"^[-+]?[\d.,/\s]*", "", text.strip()))


SG_RANGE = (0.9, 3.0)
"""Specific gravities [g/mL] between which any glaze slurry lies (common practice, no source)."""


def cup(text: str | None) -> Cup | None:
    """``EMPTY:FULL:WATER`` (grams; the same cup full of water) or ``EMPTY:FULL:100mL`` (its volume)."""
    if text is None:
        return None
    parts = [part.strip() for part in text.split(":")]
    hint = "weigh a cup empty, full of slurry, full of water: --cup 31g:185g:131g (or its volume: --cup 31g:185g:100mL)"
    if len(parts) != 3:
        refuse("cup", f"--cup {text!r} is not three figures", hint)
    empty, full = mass_g(parts[0], "--cup"), mass_g(parts[1], "--cup")
    volume = volume_mL(parts[2], "--cup") if "volume" in _dimensions(parts[2]) else None
    assert empty is not None and full is not None
    if volume is None:
        water = mass_g(parts[2], "--cup")
        assert water is not None
        volume = water - empty
    if not (full > empty and volume > 0):
        refuse("cup", "the full cup must weigh more than the empty one", hint)
    gravity = (full - empty) / volume
    if not SG_RANGE[0] <= gravity <= SG_RANGE[1]:
        refuse("cup", f"that makes a specific gravity of {gravity:.3g}, which no glaze slurry has", hint)
    return Cup(empty, full, volume)


THICKEST_COAT_MM = 5.0


def coat_mm(text: str | None) -> float | None:
    """Thickness of a dry coat [mm]; more than any coat is refused."""
    value = quantity(text, "length", "mm", "--coat")
    if value is not None and value > THICKEST_COAT_MM:
        refuse("coat", f"--coat {text!r} is thicker than any coat of glaze", "write --coat 1mm")
    return value


def pairs(texts: Sequence[str], option: str, of: str) -> list[tuple[str, str]]:
    """``NAME:AMOUNT`` or ``NAME=AMOUNT`` of a repeated option, or several parted by semicolons."""
    found = []
    for text in (part for whole in texts for part in whole.split(";") if part.strip()):
        match = _PAIR.fullmatch(text.strip())
        if match is None:
            refuse("pair", f"{option} {text!r} is not a name and {of}", f'write {option} "NAME:{of}"')
        found.append((match[1], match[2]))
    return found


def pieces(texts: Sequence[str], studio: Studio) -> tuple[tuple[Piece, int], ...]:
    """``mug:8`` as a piece of the studio and how many."""
    found = []
    for name, count in pairs(texts, "--pieces", "how many"):
        if not (count.isascii() and count.isdigit() and 0 < int(count) <= 10_000):
            refuse("pieces", f"--pieces {name}: {count!r} is not how many", "write --pieces mug:8")
        found.append((thing(studio.pieces, name, "piece", studio), int(count)))
    return tuple(found)


def thing(things: Sequence[Named], name: str, what: str, studio: Studio) -> Named:
    """The piece or container of that name. Raises ProblemsError with suggestions if there is none."""
    wanted = (name.casefold(), name.casefold().removesuffix("s"))
    found = next((t for t in things if t.name.casefold() in wanted), None)
    if found is None:
        known = [t.name for t in things]
        hint = did_you_mean(name, known) or (
            f"there are: {', '.join(known)}" if known else f"add a [[{what}]] to studio.toml"
        )
        refuse(f"no-{what}", f"no {what} is called {name!r}", hint, studio.file)
    return found


def percent(text: str, option: str) -> float:
    """A percentage from 0 to 100."""
    found = Findings(None)
    value = read_quantity(text if "%" in text else f"{text}%", "percent", "%", option, found)
    if value is None or not 0 <= value <= 100:
        stop_at_errors(found.problems)
        refuse("percent", f"{option} {text!r} is not a percentage", "write 2 or 2%")
    return value


def scales(texts: Sequence[str]) -> tuple[Scale, ...]:
    """``0.1g``, or ``0.1g:2kg`` with the most it bears, or ``0.1g:2kg:1g`` with the least it weighs well."""
    found = []
    for i, text in enumerate(texts, start=1):
        step, capacity, least = ([mass_g(part, "--scale") for part in text.split(":")] + [None, None])[:3]
        if step is None or len(text.split(":")) > 3 or step > 1000:
            refuse("scale", f"--scale {text!r} is not a scale", "write --scale 0.1g or --scale 0.1g:2kg:1g")
        if capacity is not None and capacity < 50 * step:
            hint = "a scale carries far more than its smallest step: write --scale 0.1g:2kg"
            refuse("scale", f"--scale {text!r} is not a scale", hint)
        name = f"scale {i}" if len(texts) > 1 else "scale"
        found.append(Scale(name=name, resolution_g=step, capacity_g=capacity, minimum_g=least))
    return tuple(found)


def went_in(name: str, text: str, result: WeighResult) -> float:
    """What went in of a line [g]: ``0`` (left out), ``120g``, or ``2x`` (doubled) its target."""
    times = re.fullmatch(r"(?:x\s*([\d.]{1,12})|([\d.]{1,12})\s*x)", text.strip(), re.IGNORECASE)
    if times:
        target = next((x.target_g for x in result.lines if fold(name) in (fold(x.material), fold(x.written))), 0.0)
        try:
            return float(times[1] or times[2]) * target
        except ValueError:
            refuse("recover", f"--recover {name}: {text!r} is not how much went in", "0, 120g or 2x")
    if re.fullmatch(r"0+(?:\.0*)?\s*(?:g|grams?)?", text.strip()):
        return 0.0
    grams = mass_g(text, "--recover")
    assert grams is not None
    return grams
