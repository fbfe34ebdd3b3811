"""Volume of boards: cubic metres by size, board feet by nominal size."""

from __future__ import annotations

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats
from webapp.wood.units import board_feet_from_m3

_MM3_PER_M3 = 1e9


def board_volume_m3(
    thickness_mm: ArrayLike,
    width_mm: ArrayLike,
    length_mm: ArrayLike,
    width_end_mm: ArrayLike = np.nan,
) -> FloatArray:
    """Give the volume of a board, square-edged or live-edge.

    A live-edge board is taken as tapering evenly from one width to the other, so the mean of
    the two counts.

    Parameters
    ----------
    thickness_mm, width_mm, length_mm : array_like
        Rough size, mm.
    width_end_mm : array_like, optional
        Width at the other end, mm; NaN for a board of one width.

    Returns
    -------
    ndarray
        Volume in m3; NaN where a size is not known.

    References
    ----------
    .. [1] Geometry: a prism on a trapezium. Measure the face without bark and wane.
    """
    width = as_floats(width_mm)
    end = as_floats(width_end_mm)
    mean_width = (width + np.where(np.isnan(end), width, end)) / 2.0
    return as_floats(thickness_mm) * mean_width * as_floats(length_mm) / _MM3_PER_M3


def board_feet(
    thickness_mm: ArrayLike,
    width_mm: ArrayLike,
    length_mm: ArrayLike,
    width_end_mm: ArrayLike = np.nan,
) -> FloatArray:
    """Give board feet, ``thickness (in) width (in) length (ft) / 12``.

    Parameters
    ----------
    thickness_mm, width_mm, length_mm, width_end_mm : array_like
        Size in mm. Hardwood is sold by nominal thickness: put that in (25.4 for 4/4), and not
        the shrunk or planed one; see `units.mm_from_quarters`.

    Returns
    -------
    ndarray
        Board feet, not rounded; NaN where a size is not known.

    References
    ----------
    .. [1] Public sawmill and extension texts (second-hand), ``BF = T W L / 12``.

    Examples
    --------
    >>> round(float(board_feet(76.2, 203.2, 3048.0)), 6)
    20.0
    """
    return board_feet_from_m3(board_volume_m3(thickness_mm, width_mm, length_mm, width_end_mm))
