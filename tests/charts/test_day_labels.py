"""Words above a chart: none on another, none cut off, at a phone's width."""

from datetime import date, timedelta

import numpy as np
import plotly.graph_objects as go
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.charts.day_labels import LONGEST, MOST_ROWS, PLOT_WIDTH, DayLabel, draw_days
from webapp.charts.house_style import ENGLISH, ROW_HEIGHT, TOP_MARGIN, new_figure

FIRST, LAST = date(2024, 1, 1), date(2025, 1, 1)
SHOWN = (np.datetime64(FIRST), np.datetime64(LAST))
NARROWEST_SIGN = 6.5  # what system fonts of 14 px need on average


def drawn(*labels: tuple[date, str]) -> go.Figure:
    figure = new_figure(ENGLISH)
    draw_days(figure, [DayLabel(on, text, "solid") for on, text in labels], SHOWN)
    return figure


def words(figure: go.Figure) -> dict[str, tuple[str, float]]:
    return {note.text: (note.xanchor, note.yshift) for note in figure.layout.annotations[1:]}


def reach(note: go.layout.Annotation) -> tuple[float, float]:
    at = (date.fromisoformat(note.x) - FIRST) / (LAST - FIRST) * PLOT_WIDTH
    width = len(note.text) * NARROWEST_SIGN
    left = {"left": at, "center": at - width / 2, "right": at - width}[note.xanchor]
    return left, left + width


def test_far_days_share_a_row_and_near_ones_do_not() -> None:
    figure = drawn((date(2024, 6, 1), "today"), (date(2024, 6, 20), "store"), (FIRST, "shed"))
    assert words(figure) == {
        "today": ("center", 0),
        "store": ("center", ROW_HEIGHT),
        "shed": ("left", 0),
    }
    chart_word = figure.layout.annotations[0]
    assert (chart_word.text, chart_word.yshift) == ("moisture, %", 2 * ROW_HEIGHT)
    assert figure.layout.margin.t == TOP_MARGIN + 2 * ROW_HEIGHT


def test_at_the_right_edge_words_run_inwards() -> None:
    assert words(drawn((date(2024, 12, 20), "heated store"))) == {"heated store": ("right", 0)}


def test_days_out_of_sight_are_not_drawn() -> None:
    figure = drawn((date(2023, 6, 1), "long ago"), (date(2026, 6, 1), "ahead"))
    assert words(figure) == {}
    assert not figure.layout.shapes


def test_a_long_name_is_cut_short() -> None:
    (said,) = words(drawn((date(2024, 6, 1), "the long shed behind the old mill")))
    assert len(said) == LONGEST
    assert said.endswith("…")


def test_too_many_moves_keep_their_lines() -> None:
    figure = drawn(*((date(2024, 6, day), f"place {day}") for day in range(1, 10)))
    assert len(figure.layout.shapes) == 9
    assert len(words(figure)) == MOST_ROWS


@given(
    st.lists(
        st.tuples(st.integers(0, 366), st.text("abcdefgh", min_size=1, max_size=40)), max_size=8
    )
)
def test_no_words_overlap_or_leave_the_chart(days: list[tuple[int, str]]) -> None:
    figure = drawn(*((FIRST + timedelta(days=day), text) for day, text in days))
    notes = figure.layout.annotations[1:]
    reaches = [(note.yshift, *reach(note)) for note in notes]
    for n, (row, left, right) in enumerate(reaches):
        assert left >= -1e-6
        assert right <= PLOT_WIDTH + 1e-6
        for other_row, other_left, other_right in reaches[:n]:
            assert row != other_row or right <= other_left or other_right <= left
    assert all(note.yshift < figure.layout.annotations[0].yshift for note in notes)


@pytest.mark.parametrize("count", [0, 1])
def test_room_above_grows_with_the_rows(count: int) -> None:
    figure = drawn(*[(date(2024, 6, 1), "today")] * count)
    assert figure.layout.margin.t == TOP_MARGIN + count * ROW_HEIGHT
