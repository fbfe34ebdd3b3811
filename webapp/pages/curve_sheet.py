"""A drawing of moisture over time with its axes, for places where a chart would be too much."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from webapp.pages.small_curve import Frame

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.drying.arrays import Array

WIDTH, HEIGHT = 340, 212
# Above it stands what is measured, left of it the figures, below it the months.
_LEFT, _RIGHT, _TOP, _BOTTOM = 44.0, 334.0, 28.0, 182.0
_GRID_PCT = 5.0
_ROOM_PCT = 0.5
_NOTHING_KNOWN = (5.0, 20.0)


@dataclass(frozen=True)
class CurveSheet:
    """What the template draws, in units of the drawing.

    ``path`` is the curve and ``usual`` one to compare it with; ``dots`` are points, of which
    ``now`` stands out. ``rows`` are heights with their figures, ``columns`` places along the
    time with their words. ``label`` tells whoever cannot see it.
    """

    path: str
    rows: list[tuple[float, str]]
    columns: list[tuple[float, str]]
    label: str
    usual: str = ""
    dots: list[tuple[float, float]] = field(default_factory=list)
    now: tuple[float, float] | None = None


def frame_of(values: Array, along: tuple[float, float]) -> Frame:
    """Lay a frame around moistures: whole fives below and above, ten points apart at least."""
    low, high = _NOTHING_KNOWN
    if np.isfinite(values).any():
        below = np.floor((np.nanmin(values) - _ROOM_PCT) / _GRID_PCT) * _GRID_PCT
        above = np.ceil((np.nanmax(values) + _ROOM_PCT) / _GRID_PCT) * _GRID_PCT
        low = max(float(below), 0.0)
        high = max(float(above), low + 2 * _GRID_PCT)
    return Frame(x=(_LEFT, _RIGHT), y=(_TOP, _BOTTOM), along=along, up=(low, high))


def rows_of(frame: Frame) -> list[tuple[float, str]]:
    """Rule the sheet at every fifth percent."""
    low, high = frame.up
    figures = np.arange(low, high + _GRID_PCT / 2, _GRID_PCT)
    return [(frame.at(frame.along[0], pct)[1], f"{pct:g} %") for pct in figures]


def columns_of(
    frame: Frame, at: Sequence[float] | Array, words: list[str]
) -> list[tuple[float, str]]:
    """Put words below the sheet."""
    return [(frame.at(float(x), frame.up[0])[0], word) for x, word in zip(at, words, strict=True)]
