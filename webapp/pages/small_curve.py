"""Small curves as SVG paths, worked out here so that a page needs no script to show them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.drying.arrays import Array

WIDTH, HEIGHT = 100.0, 28.0
_EDGE = 3.0
# A curve flatter than this is drawn flat, not blown up until it looks like news.
_LEAST_SPAN = 4.0


@dataclass(frozen=True)
class Frame:
    """A rectangle of a drawing and the values at its left, right, lower and upper edge."""

    x: tuple[float, float]
    y: tuple[float, float]
    along: tuple[float, float]
    up: tuple[float, float]

    def at(self, along: float, up: float) -> tuple[float, float]:
        """Place a value in the drawing."""
        x = np.interp(along, self.along, self.x)
        y = np.interp(up, self.up, (self.y[1], self.y[0]))
        return round(float(x), 1), round(float(y), 1)

    def path(self, along: Sequence[float] | Array, up: Array) -> str:
        """Draw a line through the values, broken where one is missing."""
        steps = []
        pen_down = False
        for place, value in zip(along, up, strict=True):
            known = bool(np.isfinite(value))
            if known:
                x, y = self.at(float(place), float(value))
                steps.append(f"{'L' if pen_down else 'M'}{x:g} {y:g}")
            pen_down = known
        return "".join(steps)


def small_path(values: Array, low: float | None = None, high: float | None = None) -> str:
    """Draw evenly spaced values into the frame of a small curve; empty if none is known."""
    if not np.isfinite(values).any():
        return ""
    least = float(np.nanmin(values)) if low is None else low
    most = float(np.nanmax(values)) if high is None else high
    slack = max(_LEAST_SPAN - (most - least), 0.0) / 2.0
    frame = Frame(
        x=(_EDGE, WIDTH - _EDGE),
        y=(_EDGE, HEIGHT - _EDGE),
        along=(0.0, max(len(values) - 1.0, 1.0)),
        up=(least - slack, most + slack),
    )
    return frame.path(np.arange(len(values), dtype=float), values)
