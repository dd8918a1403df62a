"""How many digits are shown: the interval decides, in one function, for every format."""

from __future__ import annotations

import math

from glazecalc.values.estimate import Estimate


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


def estimate_parts(estimate: Estimate) -> tuple[str, str, str]:
    """Value, low and high of an estimate as text, with the digits its interval allows."""
    half = (estimate.high - estimate.low) / 2
    decimals = decimals_for(half)
    return rounded(estimate.value, decimals), rounded(estimate.low, decimals), rounded(estimate.high, decimals)
