"""A small bar beneath an estimate, in ASCII: where its interval lies on an axis that its kind shares."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.show.layout import interval_bar
from glazecalc.show.numbers import rounded
from glazecalc.values.estimate import Estimate

_WIDTH: Final = 31
_STRESS_AXIS: Final = (-300.0, 200.0)
_ON_THE_RULER: Final = ("firing_range", "kiln_ceiling", "liquidus_temperature")


def bar_beneath(estimate: Estimate, among: Sequence[Estimate]) -> str | None:
    """The bar of one of the estimates ``among``, or None for a kind that has no axis of its own.

    >>> from glazecalc.values.estimate import Basis
    >>> chance = Estimate("crazing_probability", 0.5, 0.5, 0.5, "1", Basis.MODEL)
    >>> bar_beneath(chance, [chance])
    '0 [===============|...............] 100 %'
    """
    if estimate.unit == "1":
        return f"0 [{interval_bar(0.0, estimate.value, estimate.value, 0.0, 1.0, _WIDTH)}] 100 %"
    if estimate.name == "layer_stress":
        low, high = _STRESS_AXIS
        bar = interval_bar(estimate.low, estimate.value, estimate.high, low, high, _WIDTH)
        return f"squeezed [{_with_zero(bar, low, high)}] pulled"
    if estimate.name in _ON_THE_RULER:
        shown = [e for e in among if e.name in _ON_THE_RULER and e.unit == estimate.unit]
        low = min(e.low for e in shown)
        high = max(e.high for e in shown)
        room = max(0.15 * (high - low), 10.0)
        low, high = round((low - room) / 10) * 10, round((high + room) / 10) * 10
        bar = interval_bar(estimate.low, estimate.value, estimate.high, low, high, _WIDTH)
        return f"{rounded(low, -1)} [{bar}] {rounded(high, -1)} {estimate.unit}"
    return None


def _with_zero(bar: str, low: float, high: float) -> str:
    """The bar with a 0 where no stress lies, unless its value lies there."""
    place = round((0.0 - low) / (high - low) * (len(bar) - 1))
    return bar if bar[place] == "|" else f"{bar[:place]}0{bar[place + 1 :]}"
