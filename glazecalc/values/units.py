"""Every unit a potter may write or read, and the one place where units are converted.

Factors are exact by definition: the international inch (25.4 mm) and avoirdupois pound (453.59237 g) of 1959, the US
gallon of 231 cubic inches, 0 degC = 273.15 K. Source: NIST SP 811 (2008), appendix B (from memory).
A temperature and a difference of temperatures are two dimensions: 10 degC is 50 degF, a rise of 10 degC is one of 18.
"""

from __future__ import annotations

from typing import Final, NamedTuple

_INCH_MM = 25.4
_FOOT_MM = 12 * _INCH_MM
_POUND_G = 453.59237
_GALLON_ML = 231 * (_INCH_MM / 10) ** 3
_CUBIC_FOOT_M3 = (_FOOT_MM / 1000) ** 3


class Unit(NamedTuple):
    """One unit: ``value_in_base = (value + offset) * factor``, the base being the unit of factor 1 of its dimension."""

    symbol: str
    dimension: str
    factor: float
    spellings: tuple[str, ...] = ()
    offset: float = 0.0


UNITS: Final[tuple[Unit, ...]] = (
    Unit("g", "mass", 1.0, ("gm", "gms", "gr", "grm", "gram", "grams", "gramme", "grammes")),
    Unit("kg", "mass", 1000.0, ("kilo", "kilos", "kilogram", "kilograms", "kgs")),
    Unit("mg", "mass", 0.001, ("milligram", "milligrams")),
    Unit("oz", "mass", _POUND_G / 16, ("ounce", "ounces", "ozs")),
    Unit("lb", "mass", _POUND_G, ("lbs", "pound", "pounds", "#")),
    Unit("mm", "length", 1.0, ("millimetre", "millimetres", "millimeter", "millimeters")),
    Unit("cm", "length", 10.0, ("centimetre", "centimetres", "centimeter", "centimeters")),
    Unit("m", "length", 1000.0, ("metre", "metres", "meter", "meters")),
    Unit("in", "length", _INCH_MM, ("inch", "inches", '"', "''", "\N{RIGHT DOUBLE QUOTATION MARK}")),
    Unit("ft", "length", _FOOT_MM, ("foot", "feet", "'", "\N{RIGHT SINGLE QUOTATION MARK}")),
    Unit("yd", "length", 3 * _FOOT_MM, ("yard", "yards")),
    Unit("cm2", "area", 1.0, ("sq cm", "cm^2", "cm\N{SUPERSCRIPT TWO}")),
    Unit("m2", "area", 10_000.0, ("sq m", "m^2", "m\N{SUPERSCRIPT TWO}")),
    Unit("in2", "area", (_INCH_MM / 10) ** 2, ("sq in", "sqin", "in^2")),
    Unit("mL", "volume", 1.0, ("ml", "cc", "cm3", "cm^3", "millilitre", "millilitres", "milliliter", "milliliters")),
    Unit("L", "volume", 1000.0, ("l", "litre", "litres", "liter", "liters")),
    Unit("m3", "volume", 1e6, ("m^3", "cu m", "cubic metre", "cubic metres", "cubic meters", "m\N{SUPERSCRIPT THREE}")),
    Unit("fl oz", "volume", _GALLON_ML / 128, ("floz", "fl. oz", "fl. oz.", "fluid ounce", "fluid ounces")),
    Unit("pint", "volume", _GALLON_ML / 8, ("pt", "pints", "pts")),
    Unit("quart", "volume", _GALLON_ML / 4, ("qt", "quarts", "qts")),
    Unit("gallon", "volume", _GALLON_ML, ("gal", "gallons", "gals")),
    Unit("cuft", "volume", _CUBIC_FOOT_M3 * 1e6,
         ("cu ft", "cu. ft.", "cu.ft.", "cubic foot", "cubic feet", "ft3", "ft^3", "cf", "ft\N{SUPERSCRIPT THREE}")),
    Unit("cuin", "volume", (_INCH_MM / 10) ** 3, ("cu in", "cubic inch", "cubic inches", "in3", "in^3")),
    Unit("degC", "temperature", 1.0, ("C", "\N{DEGREE SIGN}C", "deg C", "celsius", "centigrade")),
    Unit("degF", "temperature", 5 / 9, ("F", "\N{DEGREE SIGN}F", "deg F", "fahrenheit"), -32.0),
    Unit("K", "temperature", 1.0, ("kelvin",), -273.15),
    Unit("delta degC", "temperature difference", 1.0,
         ("C", "degC", "\N{DEGREE SIGN}C", "deg C", "celsius", "K", "kelvin")),
    Unit("delta degF", "temperature difference", 5 / 9, ("F", "degF", "\N{DEGREE SIGN}F", "deg F", "fahrenheit")),
    Unit("degC/h", "rate", 1.0, ("C/h", "C/hr", "C per hour", "\N{DEGREE SIGN}C/h", "\N{DEGREE SIGN}C/hr", "K/h")),
    Unit("degF/h", "rate", 5 / 9, ("F/h", "F/hr", "F per hour", "\N{DEGREE SIGN}F/h", "\N{DEGREE SIGN}F/hr")),
    Unit("degC/min", "rate", 60.0, ("C/min", "K/min")),
    Unit("h", "time", 1.0, ("hr", "hrs", "hour", "hours")),
    Unit("min", "time", 1 / 60, ("mins", "minute", "minutes")),
    Unit("s", "time", 1 / 3600, ("sec", "secs", "second", "seconds")),
    Unit("A", "current", 1.0, ("amp", "amps", "ampere", "amperes")),
    Unit("V", "potential", 1.0, ("volt", "volts", "VAC")),
    Unit("W", "power", 1.0, ("watt", "watts")),
    Unit("kW", "power", 1000.0, ("kilowatt", "kilowatts", "kw")),
    Unit("kWh", "energy", 1.0, ("kwh", "kilowatt hour", "kilowatt hours")),
    Unit("MJ", "energy", 1 / 3.6),
    Unit("m3/h", "flow", 1.0, ("m^3/h", "m3/hr", "m\N{SUPERSCRIPT THREE}/h")),
    Unit("cfm", "flow", _CUBIC_FOOT_M3 * 60, ("cu ft/min", "cuft/min", "ft3/min", "CFM")),
    Unit("L/s", "flow", 3.6, ("l/s",)),
    Unit("1e-6/K", "expansion", 1.0, ("e-6/K", "x10-6/K", "10^-6/K", "1e-6/C", "e-6", "ppm/K", "ppm/C", "um/m/K")),
    Unit("1e-7/K", "expansion", 0.1, ("e-7/K", "x10-7/K", "10^-7/K", "1e-7/C", "e-7")),
    Unit("1/K", "expansion", 1e6, ("/K", "/C", "1/C")),
    Unit("%", "percent", 1.0, ("percent", "per cent", "pct")),
    Unit("g/cm3", "density", 1.0, ("g/mL", "g/ml", "g/cc", "kg/L", "g/cm^3")),
    Unit("kg/m3", "density", 0.001, ("kg/m^3",)),
    Unit("AWG", "wire", 1.0, ("awg", "gauge", "ga")),
)  # fmt: skip

DIMENSIONS: Final[frozenset[str]] = frozenset(unit.dimension for unit in UNITS)


_EXACT: Final[dict[tuple[str, str], Unit]] = {}
_FOLDED: Final[dict[tuple[str, str], Unit]] = {}
for _unit in UNITS:
    for _spelling in (_unit.symbol, *_unit.spellings):
        _EXACT.setdefault((_unit.dimension, _spelling), _unit)
        _FOLDED.setdefault((_unit.dimension, _spelling.casefold()), _unit)


def find_unit(text: str, dimension: str) -> Unit | None:
    """The unit of ``dimension`` spelt ``text``, or None.

    >>> find_unit("inches", "length").symbol, find_unit("F", "temperature difference").symbol
    ('in', 'delta degF')
    >>> find_unit("kg", "length") is None
    True
    """
    spelling = " ".join(text.split())
    unit = _EXACT.get((dimension, spelling)) or _FOLDED.get((dimension, spelling.casefold()))
    if unit is None and spelling.endswith("."):
        return find_unit(spelling.rstrip("."), dimension)
    return unit


def dimensions_of(text: str) -> tuple[str, ...]:
    """The dimensions in which ``text`` is a unit: ``kg`` is a mass, ``F`` a temperature and a difference."""
    return tuple(sorted(d for d in DIMENSIONS if find_unit(text, d)))


def convert(value: float, unit: str, to: str, dimension: str) -> float:
    """``value`` in ``unit`` expressed in the unit ``to``, both of ``dimension``.

    >>> round(convert(2232, "F", "C", "temperature"), 1), round(convert(18, "F", "C", "temperature difference"), 6)
    (1222.2, 10.0)

    Raises
    ------
    ValueError
        if either is not a unit of that dimension.
    """
    source, target = find_unit(unit, dimension), find_unit(to, dimension)
    if source is None or target is None:
        raise ValueError(f"{(unit if source is None else to)!r} is not a unit of {dimension}")
    if source is target:
        return value
    return (value + source.offset) * source.factor / target.factor - target.offset


def units_of(dimension: str) -> tuple[str, ...]:
    """Symbols of the units of a dimension, for a hint."""
    return tuple(unit.symbol for unit in UNITS if unit.dimension == dimension)


def clock(hours: float) -> str:
    """Hours [h] as hours and minutes.

    >>> clock(2.5), clock(0.1), clock(11.9999)
    ('2:30', '0:06', '12:00')
    """
    whole, minutes = divmod(round(hours * 60), 60)
    return f"{whole}:{minutes:02d}"
