"""Estimates as a pandas frame."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from glazecalc.jobs.screening.estimates import BASES, Estimated

if TYPE_CHECKING:
    import pandas as pd
    from pandas import DataFrame as Frame


KINDS: Final = ("glaze", "glass")


def frame_of(found: Estimated, index: pd.Index) -> Frame:
    """A column per figure and per basis, under ``index``.

    What is no figure is a category, always of the same categories, so that frames of parts of a table go together.
    """
    import pandas as pd

    columns: dict[str, Any] = {name: found.figures[:, at] for at, name in enumerate(found.figure_names)}
    for name, codes in found.basis_codes().items():
        columns[name] = pd.Categorical.from_codes(codes, list(BASES))
    for name, kind in found.interval_columns().items():
        columns[name] = pd.Categorical.from_codes(np.full(len(found), KINDS.index(kind), dtype=np.int8), list(KINDS))
    return pd.DataFrame(columns, index=index)
