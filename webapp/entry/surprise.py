"""Readings that look like a slip of the finger: worth asking about, never a reason to refuse."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from webapp.entry.reading_text import ShownReading

_JUMP_UP = 2.5
_JUMP_DOWN = 3.0
_SHIFTED_POINT = 10.0
_NEAR = 1.6
# Wetter wood may well halve, or lose two thirds, from one round to the next.
_HALVES_ABOVE_PCT = 20.0
_FAST_ABOVE_PCT = 40.0
# Common practice, no source: displays seldom go further, and a lost point is common.
MORE_THAN_METERS_SHOW_PCT = 100.0
_NOT_KNOWN = float("nan")


def is_surprising(
    value: ArrayLike, lowest_near: ArrayLike, highest_near: ArrayLike, over_range_pct: ArrayLike
) -> NDArray[np.bool_]:
    """Tell readings above what the meter can show, or far off the same board's others near in time.

    All in percent; NaN stands for what is not known, infinity for a neighbour over range.
    """
    with np.errstate(invalid="ignore"):
        value = np.asarray(value, dtype=float)
        beyond_meter = value > np.asarray(over_range_pct, dtype=float)
        low, high = np.asarray(lowest_near, dtype=float), np.asarray(highest_near, dtype=float)
        jumped_up = (value >= _JUMP_UP * high) & (high <= _HALVES_ABOVE_PCT)
        jumped_down = (value <= low / _JUMP_DOWN) & (low <= _FAST_ABOVE_PCT)
        return np.asarray(beyond_meter | jumped_up | jumped_down, dtype=np.bool_)


def surprise_sentence(
    shown: str, value: float, lowest_near: float, highest_near: float, over_range_pct: float
) -> str:
    """Say why a reading is surprising, and what may have been meant."""
    meant = [
        other
        for other in (value / _SHIFTED_POINT, value * _SHIFTED_POINT)
        if lowest_near / _NEAR <= other <= highest_near * _NEAR
    ]
    asked = f"; was {meant[0]:.3g} meant?" if meant else ""
    if value > over_range_pct:
        return f"{shown} is more than this meter can show ({over_range_pct:.3g}){asked}"
    near = f"{lowest_near:.3g}"
    if highest_near != lowest_near:
        near += " to over range" if math.isinf(highest_near) else f" to {highest_near:.3g}"
    return f"{shown} is far from this board's other readings ({near}){asked}"


def question_of(
    shown: Sequence[ShownReading] | None,
    near: tuple[float, float] | None,
    over_range_pct: float | None,
) -> str | None:
    """Ask about the first surprising hit of a reading; None where none is.

    `near` holds the lowest and the highest of the same board's readings near in time.
    """
    low, high = near or (_NOT_KNOWN, _NOT_KNOWN)
    limit = _NOT_KNOWN if over_range_pct is None else over_range_pct
    for hit in shown or ():
        if hit.value is None or hit.over or hit.under:
            continue
        if is_surprising(hit.value, low, high, limit):
            return surprise_sentence(hit.shown, hit.value, low, high, limit)
        if hit.value > MORE_THAN_METERS_SHOW_PCT:
            point = hit.value / _SHIFTED_POINT
            return f"{hit.shown} is more than most meters show; was {point:.3g} meant?"
    return None
