import json
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import plotly.graph_objects as go
import pytest

from webapp.charts.house_style import BOLD, DARK, LIGHT, ChartWords, recolouring
from webapp.charts.layers import DOUBTFUL, OVER, SYMBOLS, TOP_PCT, UNDER
from webapp.charts.stack_chart import stack_chart
from webapp.yard.picture_stack import StackPicture


def traces(figure: go.Figure, name: str, mode: str) -> list[Any]:
    return [trace for trace in figure.data if trace.name == name and trace.mode == mode]


def days_of(trace: go.Scatter) -> np.ndarray:
    if trace.x is not None:
        return np.asarray(trace.x, dtype="datetime64[D]")
    step = np.timedelta64(int(trace.dx), "ms")
    return (np.datetime64(trace.x0) + np.arange(len(trace.y)) * step).astype("datetime64[D]")


def test_every_board_has_its_curve_drawn_through_till_today_and_dotted_ahead(
    picture: StackPicture,
) -> None:
    figure = stack_chart(picture)
    today = np.datetime64(picture.as_of)
    for mark, (mean, _low, _high) in picture.curves.items():
        past, ahead = traces(figure, mark, "lines")
        assert (past.line.dash, ahead.line.dash) == ("solid", "dot")
        assert days_of(past)[-1] <= today
        assert days_of(ahead)[0] == days_of(past)[-1]
        assert days_of(ahead)[-1] == picture.days[-1]
        assert np.allclose(np.concatenate([past.y, ahead.y[1:]]), mean, atol=0.01)


def test_readings_stand_at_their_corrected_value_and_name_what_was_shown(
    picture: StackPicture,
) -> None:
    (marks,) = traces(stack_chart(picture), "W1", "markers")
    assert list(marks.x) == ["2024-06-03", "2024-09-02"]
    assert list(marks.y) == [30.0, 25.25]
    assert marks.customdata[1] == "meter showed 24.5"
    assert marks.customdata[0] == "meter showed >30, over the meter's range"


def test_readings_out_of_range_and_doubtful_ones_have_shapes_of_their_own(
    picture: StackPicture,
) -> None:
    figure = stack_chart(picture)
    (first,), (second,) = (traces(figure, mark, "markers") for mark in ("W1", "W2"))
    assert list(first.marker.symbol) == [OVER, SYMBOLS[0]]
    assert list(second.marker.symbol) == [DOUBTFUL, UNDER]
    assert not {OVER, UNDER, DOUBTFUL} & set(SYMBOLS)


def test_the_range_ahead_holds_every_board(picture: StackPicture) -> None:
    figure = stack_chart(picture)
    low, high = figure.data[0], figure.data[1]
    ahead = picture.days >= np.datetime64(picture.as_of)
    assert (low.name, high.name, high.fill) == ("low", "likely", "tonexty")
    assert np.allclose(low.y, picture.curves["W2"][1][ahead], atol=0.01)
    assert np.allclose(high.y, picture.curves["W1"][2][ahead], atol=0.01)


def test_place_target_witness_moves_and_today_are_drawn(picture: StackPicture) -> None:
    figure = stack_chart(picture)
    (place,) = traces(figure, "place", "lines")
    assert place.line.dash == "dash"
    assert np.allclose(place.y, 13.5)
    (witness,) = traces(figure, "witness", "lines+markers")
    assert list(witness.y) == [13.0, 13.4]
    written = {annotation.text for annotation in figure.layout.annotations}
    assert {"target 12 %", "heated store", "today"} <= written
    ruled = {(str(shape.x0), str(shape.y0)) for shape in figure.layout.shapes}
    assert ("2024-11-02", "0") in ruled
    assert ("2025-03-12", "0") in ruled
    assert any(y == "12.0" for _x, y in ruled)


def test_what_people_typed_is_neither_markup_nor_a_value(picture: StackPicture) -> None:
    mark = "<b>%{y}&"
    odd = replace(
        picture,
        curves={mark: picture.curves["W1"]},
        readings=[replace(picture.readings[-1], board=mark)],
        moves=[(picture.moves[0][0], mark)],
    )
    figure = stack_chart(odd)
    (marks,) = traces(figure, mark, "markers")
    assert marks.hovertemplate.startswith("&lt;b>%&#123;y}&amp; %{y:.1f} %")
    assert marks.customdata[0].startswith("meter showed &lt;6")
    assert "&lt;b>%&#123;y}&amp;" in {note.text for note in figure.layout.annotations}


def test_a_chart_writes_days_in_the_order_it_is_given(picture: StackPicture) -> None:
    figure = stack_chart(picture, (), ChartWords(day="%Y-%m-%d"))
    told = [trace.hovertemplate for trace in figure.data if trace.hovertemplate]
    assert len(told) == 8
    assert all("<br>%{x|%Y-%m-%d}<" in template for template in told)


def test_what_is_not_there_is_not_drawn(picture: StackPicture) -> None:
    bare = replace(picture, target_pct=None, moves=[], witness=[], readings=[])
    figure = stack_chart(bare)
    assert {annotation.text for annotation in figure.layout.annotations} == {"moisture, %", "today"}
    assert not [trace for trace in figure.data if trace.mode != "lines"]


def test_a_stack_without_boards_gives_an_empty_chart(picture: StackPicture) -> None:
    empty = replace(
        picture,
        days=picture.days[:0],
        curves={},
        equilibrium=picture.equilibrium[:0],
        readings=[],
        witness=[],
    )
    assert len(stack_chart(empty).data) == 1


def test_named_boards_stand_out_by_more_than_colour(picture: StackPicture) -> None:
    figure = stack_chart(picture, named=["W2"])
    assert traces(figure, "W2", "lines")[0].line.width == BOLD
    assert traces(figure, "W1", "lines")[0].line.width < BOLD
    sizes = [traces(figure, mark, "markers")[0].marker.size for mark in ("W1", "W2")]
    assert sizes[0] < sizes[1]


def test_wet_curves_run_out_of_the_top(picture: StackPicture) -> None:
    low, high = stack_chart(picture).layout.yaxis.range
    assert high == TOP_PCT
    assert 0 <= low < 6.0


def test_days_with_a_gap_are_kept_as_they_are(picture: StackPicture) -> None:
    kept = np.delete(np.arange(len(picture.days)), [10, 11])
    curves = {
        mark: (mean[kept], low[kept], high[kept])
        for mark, (mean, low, high) in picture.curves.items()
    }
    gapped = replace(
        picture, days=picture.days[kept], curves=curves, equilibrium=picture.equilibrium[kept]
    )
    (place,) = traces(stack_chart(gapped), "place", "lines")
    assert np.array_equal(days_of(place), gapped.days)


def test_all_colours_are_those_that_night_knows(picture: StackPicture) -> None:
    written = json.loads(stack_chart(picture).to_json())
    found: set[str] = set()

    def gather(part: object) -> None:
        if isinstance(part, dict):
            for key, value in part.items():
                if isinstance(value, str) and "color" in key:
                    found.add(value)
                gather(value)
        elif isinstance(part, list):
            for one in part:
                gather(one)

    gather(written)
    assert found
    assert found <= set(recolouring())
    assert not found & (set(vars(DARK).values()) - set(vars(LIGHT).values()))


def test_a_chart_speaks_the_language_it_is_given(picture: StackPicture) -> None:
    words = ChartWords(today="heute", target="Ziel")
    written = {annotation.text for annotation in stack_chart(picture, (), words).layout.annotations}
    assert {"heute", "Ziel 12 %"} <= written


@pytest.mark.parametrize("count", [60])
def test_a_large_stack_stays_small_on_the_page(picture: StackPicture, count: int) -> None:
    curves = {f"B{number}": picture.curves["W1"] for number in range(count)}
    many = replace(picture, curves=curves, moves=[(date(2024, 8, 1), "shed")])
    assert len(stack_chart(many).to_json()) < 300_000
