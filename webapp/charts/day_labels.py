"""Days ruled down a chart, their words above it in rows, so that no two overlap."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from webapp.charts.house_style import LIGHT, ROW_HEIGHT, THIN, TOP_MARGIN, plain_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    import plotly.graph_objects as go

MOST_ROWS = 4
LONGEST = 24
# On a phone; on a wider screen the same words are only further apart.
PLOT_WIDTH, SIGN_WIDTH, GAP = 280.0, 8.0, 8.0


@dataclass(frozen=True)
class DayLabel:
    """A day to rule, what it is called, and the dash of its line."""

    on: date
    text: str
    dash: str


@dataclass(frozen=True)
class _Placed:
    anchor: str
    left: float
    right: float

    def clear_of(self, other: _Placed) -> bool:
        return self.right + GAP <= other.left or other.right + GAP <= self.left


def draw_days(
    figure: go.Figure, labels: Sequence[DayLabel], shown: tuple[np.datetime64, np.datetime64]
) -> None:
    """Rule days down the chart; the first named get the lowest rows, words too many are left out.

    The chart's own words stand in a row above them all.
    """
    rows: list[list[_Placed]] = []
    for label in labels:
        share = (np.datetime64(label.on, "D") - shown[0]) / (shown[1] - shown[0])
        if not 0.0 <= share <= 1.0:
            continue
        _rule(figure, label)
        text = label.text if len(label.text) <= LONGEST else f"{label.text[: LONGEST - 1]}…"
        placed = _place(float(share), len(text))
        row = next((n for n, there in enumerate(rows) if _clear(placed, there)), len(rows))
        if row == MOST_ROWS:
            continue
        rows[row:] = [[*rows[row], placed] if row < len(rows) else [placed], *rows[row + 1 :]]
        _write(figure, label.on, plain_text(text), placed.anchor, row)
    _make_room(figure, len(rows))


def _clear(placed: _Placed, row: Sequence[_Placed]) -> bool:
    return all(placed.clear_of(other) for other in row)


def _place(share: float, signs: int) -> _Placed:
    """Centre words over their day; at an edge of the chart they run inwards from it."""
    at, width = share * PLOT_WIDTH, signs * SIGN_WIDTH
    if at - width / 2 < 0.0:
        return _Placed("left", at, at + width)
    if at + width / 2 > PLOT_WIDTH:
        return _Placed("right", at - width, at)
    return _Placed("center", at - width / 2, at + width / 2)


def _rule(figure: go.Figure, label: DayLabel) -> None:
    day = label.on.isoformat()
    line = {"color": LIGHT.ink, "width": THIN, "dash": label.dash}
    figure.add_shape(type="line", x0=day, x1=day, yref="paper", y0=0, y1=1, line=line)


def _write(figure: go.Figure, on: date, text: str, anchor: str, row: int) -> None:
    place: dict[str, Any] = {"x": on.isoformat(), "y": 1, "yref": "paper", "xanchor": anchor}
    shift = ROW_HEIGHT * row
    figure.add_annotation(**place, yanchor="bottom", yshift=shift, text=text, showarrow=False)


def _make_room(figure: go.Figure, rows: int) -> None:
    figure.update_layout(margin_t=TOP_MARGIN + ROW_HEIGHT * rows)
    figure.layout.annotations[0].yshift = ROW_HEIGHT * rows
