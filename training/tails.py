"""Shape of the errors against the stated interval: a core narrower than the normal, and tails that reach further.

From left-out papers of the fit since 1985 alone. The held-out sets (after 2009, papers about glazes) are never looked
at, nor are the glazes set apart for the in-practice allowance, which may size that one number. The result stands in
``materials/strengths.csv``, rows ``error_core_width``, ``error_core_share`` and ``error_tail_width``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, minimize
from scipy.stats import norm

from glazecalc.values.answers import NINETY
from training.calibrate import MODERN_YEAR
from training.data import Array, Glasses
from training.fit import PROPERTIES, fit_property
from training.kinship import likeliest, papers

_MOST: Final = 4.8
"""Errors beyond this many stated deviations count as this many: slips of records, not errors of a glaze."""


@dataclass(frozen=True, slots=True)
class Tails:
    """A mixture of two normal parts: widths in stated standard deviations, and the share of the core."""

    core_width: float
    core_share: float
    tail_width: float

    def within(self, x: float) -> float:
        """Probability that an error lies within ``x`` stated deviations."""
        parts = ((self.core_width, self.core_share), (self.tail_width, 1.0 - self.core_share))
        return float(sum(share * (2.0 * norm.cdf(x / width) - 1.0) for width, share in parts))

    def density(self, z: Array) -> Array:
        """Density at ``z`` stated deviations, same shape."""
        core, tail = self.core_width, self.tail_width
        return np.asarray(self.core_share * norm.pdf(z, 0, core) + (1.0 - self.core_share) * norm.pdf(z, 0, tail))


def fit_tails(errors: Array) -> Tails:
    """The likeliest mixture for standardised errors (n,).

    The width of the tails follows from the stated interval's holding 90 %.
    """
    held = np.clip(errors, -_MOST, _MOST)

    def loss(at: Array) -> float:
        return -float(np.log(_with_ninety(*at).density(held)).mean())

    found = minimize(loss, (0.7, 0.8), method="Nelder-Mead", bounds=((0.3, 0.95), (0.55, 0.97))).x
    return _with_ninety(*found)


def _with_ninety(core_width: float, core_share: float) -> Tails:
    def excess(width: float) -> float:
        return Tails(core_width, core_share, width).within(NINETY) - 0.90

    widest = 50.0
    width = widest if excess(widest) > 0.0 else float(brentq(excess, core_width, widest))
    return Tails(core_width, core_share, width)


def standardised(glasses: Glasses) -> tuple[Array, Array, NDArray[np.int64]]:
    """Errors of the expansion in stated deviations on modern papers of the fit, each left out in turn, (n,); with the
    compositions (n, k) and papers (n,) of the glasses."""
    outcome = fit_property(glasses, PROPERTIES[0])
    rows = outcome.rows
    modern = rows.core & (rows.year >= MODERN_YEAR)
    errors = np.asarray(outcome.errors[modern] / outcome.half_width[modern] * NINETY)
    return errors, rows.composition[modern], rows.paper[modern]


def tails_as_text(glasses: Glasses) -> str:
    """The three figures for the table, the quantiles they reproduce, and the width of kinship, in plain columns."""
    left_out, composition, paper = standardised(glasses)
    found = fit_tails(left_out)
    held = np.clip(left_out, -_MOST, _MOST)
    kin = likeliest(papers(held - held.mean(), composition, paper))
    shown = (0.5, 1.0, NINETY, 2.5)
    lines = [
        f"core width {found.core_width:.2f}, share {found.core_share:.2f}, tail width {found.tail_width:.2f}",
        "share within, in stated deviations      0.5    1.0    1.645  2.5",
        f"{f'left-out papers, {len(left_out)}':38} "
        + "  ".join(f"{np.mean(np.abs(left_out) <= x):5.3f}" for x in shown),
        f"{'mixture':38} " + "  ".join(f"{found.within(x):5.3f}" for x in shown),
        "kinship: width and what its log likelihood lacks of the best",
        "  ".join(f"{width:g}: {lacks:.1f}" for width, lacks in kin),
    ]
    return "\n".join(lines)
