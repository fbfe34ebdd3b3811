"""The one kind of number used in this package: 64-bit floats, alone or in arrays."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    from collections.abc import Iterable

FloatArray = NDArray[np.float64]

__all__ = ["ArrayLike", "FloatArray", "as_floats", "spread_together"]


def as_floats(values: ArrayLike) -> FloatArray:
    """Numbers, lists or arrays as an array of floats; nothing is copied without need."""
    return np.asarray(values, dtype=np.float64)


def spread_together(values: Iterable[ArrayLike]) -> list[FloatArray]:
    """Several inputs as float arrays of one common shape."""
    return list(np.broadcast_arrays(*(as_floats(value) for value in values)))
