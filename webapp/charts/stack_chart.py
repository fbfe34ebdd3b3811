"""The chart of a stack: all boards, what lies ahead, and what its place allows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from webapp.charts.day_labels import DayLabel, draw_days
from webapp.charts.house_style import ENGLISH, ChartWords, new_figure
from webapp.charts.layers import (
    band,
    board_lines,
    draw_target,
    moisture_range,
    place_line,
    reading_marks,
    witness_marks,
)

if TYPE_CHECKING:
    from collections.abc import Collection

    import plotly.graph_objects as go

    from webapp.yard.picture_stack import StackPicture

ROOM_AT_START = np.timedelta64(8, "D")  # or the first reading's mark would be cut in half
DAYS_AHEAD_SHOWN = np.timedelta64(365, "D")


def stack_chart(
    picture: StackPicture, named: Collection[str] = (), words: ChartWords = ENGLISH
) -> go.Figure:
    """Draw a stack; the named boards stand out, the others are thin pencil lines."""
    figure = new_figure(words)
    marks = list(picture.curves)
    figure.add_traces(_range_ahead(picture))
    figure.add_trace(place_line(picture, words))
    for turn, mark in enumerate(marks):
        bold = mark in named
        figure.add_traces(board_lines(picture, mark, words, bold=bold))
        readings = [reading for reading in picture.readings if reading.board == mark]
        if readings:
            figure.add_trace(reading_marks(readings, mark, turn, words, bold=bold))
    return finish(figure, picture, marks, words)


def finish(
    figure: go.Figure, picture: StackPicture, marks: list[str], words: ChartWords
) -> go.Figure:
    """Add what every chart of a stack or board shares: witness, target, days, axes."""
    if picture.witness:
        figure.add_trace(witness_marks(picture, words))
    if picture.target_pct is not None:
        draw_target(figure, picture.target_pct, words)
    figure.update_yaxes(range=moisture_range(picture, marks))
    if len(picture.days):
        shown = picture.days[0] - ROOM_AT_START, _last_shown(picture)
        figure.update_xaxes(range=[str(day) for day in shown])
        days = [DayLabel(picture.as_of, words.today, "solid")]
        days += [DayLabel(moved_on, place, "dashdot") for moved_on, place in picture.moves]
        draw_days(figure, days, shown)
    return figure


def _last_shown(picture: StackPicture) -> np.datetime64:
    """Return the last day on show: a year ahead, so that what was read keeps most of the width."""
    return min(picture.days[-1], np.datetime64(picture.as_of, "D") + DAYS_AHEAD_SHOWN)


def _range_ahead(picture: StackPicture) -> list[go.Scatter]:
    """Return the band that holds every board's likely range from today on."""
    ahead = picture.days >= np.datetime64(picture.as_of, "D")
    if not picture.curves or not ahead.any():
        return []
    low = np.nanmin([low[ahead] for _mean, low, _high in picture.curves.values()], axis=0)
    high = np.nanmax([high[ahead] for _mean, _low, high in picture.curves.values()], axis=0)
    return band(picture.days[ahead], low, high)
