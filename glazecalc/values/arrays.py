"""The arrays that models and jobs hand to one another."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
"""Floating-point numbers; the docstring that takes or gives one says its shape and unit."""
