"""A pyrometric cone is a name, ordered from the coolest to the hottest, never a number."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import total_ordering
from typing import Final

CONE_NAMES: Final[tuple[str, ...]] = (
    *(f"0{n}" for n in range(22, 5, -1)), "05.5", *(f"0{n}" for n in range(5, 0, -1)),
    *(str(n) for n in range(1, 6)), "5.5", *(str(n) for n in range(6, 15)),
)  # fmt: skip
_POSITION: Final[dict[str, int]] = {name: i for i, name in enumerate(CONE_NAMES)}
_SPELLING = re.compile(
    r"(?:cone|c|\^|\N{MODIFIER LETTER CIRCUMFLEX ACCENT}|△|▵)?\s*\.?\s*(0?[0-9]{1,2})\s*(\.5|½|1/2)?", re.IGNORECASE
)


@total_ordering
@dataclass(frozen=True, slots=True)
class Cone:
    """A cone of the self-supporting series 022 to 14.

    >>> Cone("06") < Cone("6")
    True
    >>> str(Cone.parse("cone 5 1/2"))
    '5.5'

    Raises
    ------
    ValueError
        if the name is not in the series.
    """

    name: str

    def __post_init__(self) -> None:
        if self.name not in _POSITION:
            raise ValueError(f"{self.name!r} is not a cone of the series 022 to 14")

    @classmethod
    def parse(cls, text: str) -> Cone:
        """The cone written in ``text``: ``06``, ``cone 6``, ``^6``, ``5 1/2``. Raises ValueError otherwise."""
        match = _SPELLING.fullmatch(text.strip())
        if match is None:
            raise ValueError(f"{text.strip()[:40]!r} is not a cone")
        return cls(match[1] + (".5" if match[2] else ""))

    @property
    def position(self) -> int:
        """Place in the series, the coolest cone being 0."""
        return _POSITION[self.name]

    def __lt__(self, other: Cone) -> bool:
        return self.position < other.position

    def __str__(self) -> str:
        return self.name


ALL_CONES: Final[tuple[Cone, ...]] = tuple(Cone(name) for name in CONE_NAMES)
