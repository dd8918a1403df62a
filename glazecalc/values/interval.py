"""The interval of every estimate: central, 90 %."""

from __future__ import annotations

from typing import Final

NINETY: Final = 1.6448536269514722
"""Half width of a central 90 % interval of a normal quantity in standard deviations: the 95 % point of the standard
normal distribution."""
