"""The chart of one board: its readings, its curve and its likely range."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp.charts.house_style import ENGLISH, ChartWords, new_figure
from webapp.charts.layers import band, board_lines, place_line, reading_marks
from webapp.charts.stack_chart import finish

if TYPE_CHECKING:
    import plotly.graph_objects as go

    from webapp.yard.picture_stack import StackPicture


def drying_chart(picture: StackPicture, mark: str, words: ChartWords = ENGLISH) -> go.Figure:
    """Draw one board out of the picture of its stack."""
    figure = new_figure(words)
    if mark in picture.curves:
        _mean, low, high = picture.curves[mark]
        figure.add_traces(band(picture.days, low, high))
        figure.add_traces(board_lines(picture, mark, words, bold=True))
    figure.add_trace(place_line(picture, words))
    readings = [reading for reading in picture.readings if reading.board == mark]
    if readings:
        figure.add_trace(reading_marks(readings, mark, 0, words, bold=True))
    return finish(figure, picture, [mark] if mark in picture.curves else [], words)
