"""Blends: which parts of which corner go into each tile, and what the mixture of corners is.

A plan is an array of whole parts, shape (n, c), a row for each tile in pouring order and a column for each corner.
Mixing is linear: the amounts of a tile are its parts times the corners' amounts, so the mixture of the corners is
the corner-weighted recipe.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Parts = NDArray[np.int64]


def line_parts(members: int) -> Parts:
    """A line from the first corner to the second in equal steps, shape (members, 2).

    >>> line_parts(3).tolist()
    [[2, 0], [1, 1], [0, 2]]
    """
    _at_least("a line", members, 2)
    second = np.arange(members)
    return np.column_stack([members - 1 - second, second])


def triaxial_parts(members: int) -> Parts:
    """A triangle with ``members`` on an edge, row by row from the first corner; n (n + 1) / 2 tiles, shape (_, 3).

    >>> triaxial_parts(2).tolist()
    [[1, 0, 0], [0, 1, 0], [0, 0, 1]]
    """
    _at_least("a triangle", members, 2)
    whole = members - 1
    rows = [(whole - row, row - third, third) for row in range(members) for third in range(row + 1)]
    return np.array(rows)


def square_parts(rows: int, columns: int) -> Parts:
    """A rectangle between four corners (top left, top right, bottom left, bottom right), shape (rows x columns, 4).

    Bilinear: the parts of a tile are whole and sum to (rows - 1)(columns - 1).

    >>> square_parts(2, 3).tolist()[1]
    [1, 1, 0, 0]
    """
    _at_least("a square", min(rows, columns), 2)
    down, across = rows - 1, columns - 1
    places = [(i, j) for i in range(rows) for j in range(columns)]
    return np.array([((down - i) * (across - j), (down - i) * j, i * (across - j), i * j) for i, j in places])


def addition_parts(*levels: Sequence[float]) -> Parts:
    """A base with every combination of additions [% of the base]: whole parts of base and of each addition.

    The last material changes fastest. The base's parts are 100, or the least multiple that makes every part whole.

    >>> addition_parts([0, 0.5, 2]).tolist()
    [[200, 0], [200, 1], [200, 4]]
    """
    exact = [[Fraction(str(level)) for level in each] for each in levels]
    if not exact or any(not each or min(each) < 0 for each in exact):
        raise ValueError("additions are percentages from 0 up")
    scale = math.lcm(*(level.denominator for each in exact for level in each))
    grids = np.meshgrid(*([int(level * scale) for level in each] for each in exact), indexing="ij")
    columns = [grid.ravel() for grid in grids]
    return np.column_stack([np.full(len(columns[0]), 100 * scale), *columns])


def _at_least(what: str, given: int, least: int) -> None:
    if given < least:
        raise ValueError(f"{what} needs at least {least} tiles on an edge")


def mix(parts: ArrayLike, corners: ArrayLike) -> Array:
    """Amounts of the materials in each tile: ``parts`` (n, c) times the corners' amounts (c, m), shape (n, m)."""
    return np.asarray(parts, dtype=float) @ np.asarray(corners, dtype=float)


def shares(parts: ArrayLike, weights: ArrayLike | None = None) -> Array:
    """Parts as fractions that sum to one in each row, shape of ``parts``; ``weights`` (c,) is what one part weighs."""
    weighed = np.asarray(parts, dtype=float) * (1.0 if weights is None else np.asarray(weights, dtype=float))
    return np.asarray(weighed / weighed.sum(axis=1, keepdims=True))


def dry_shares_by_volume(parts: ArrayLike, dry_per_mL: ArrayLike) -> Array:
    """Shares of the dry matter when the parts are volumes of slurries, shape (n, c).

    ``dry_per_mL`` (c,) is the dry content of each corner's slurry [g/mL]. Where they are equal the shares are the
    parts; where they differ the denser one weighs more than its parts.
    """
    return shares(parts, dry_per_mL)


def corner_totals(tile_shares: ArrayLike, dry_g_each: float, waste_percent: float = 0.0) -> Array:
    """Dry matter of each corner that the whole plan takes [g], shape (c,)."""
    taken = np.asarray(tile_shares, dtype=float).sum(axis=0) * dry_g_each
    return np.asarray(taken * (1 + waste_percent / 100))


def pot_additions(levels: Sequence[float], base_g: float, tile_g: float) -> list[float]:
    """What to add to one pot between tiles [g], so that it passes through rising ``levels`` [% of the base].

    The pot starts with ``base_g`` of base [dry g]; before each tile the addition to its level goes in, and each tile
    takes ``tile_g`` of the mixture with it, base and addition alike. One figure per level.

    Raises
    ------
    ValueError
        if the levels do not rise, or the pot runs dry.
    """
    base, added, found = base_g, 0.0, []
    for level in levels:
        extra = base * level / 100 - added
        if extra < -1e-9 * base_g:
            raise ValueError("the levels must rise")
        added += max(extra, 0.0)
        found.append(max(extra, 0.0))
        left = 1 - tile_g / (base + added)
        if left <= 0:
            raise ValueError("the pot is too small for so many tiles")
        base, added = base * left, added * left
    return found
