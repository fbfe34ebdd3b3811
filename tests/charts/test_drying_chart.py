import numpy as np

from webapp.charts.drying_chart import drying_chart
from webapp.yard.picture_stack import StackPicture


def test_a_board_stands_alone_with_its_own_range(picture: StackPicture) -> None:
    figure = drying_chart(picture, "W2")
    boards = {trace.meta["board"] for trace in figure.data if trace.meta}
    assert boards == {"W2"}
    low, high = figure.data[0], figure.data[1]
    assert np.allclose(low.y, picture.curves["W2"][1], atol=0.01)
    assert np.allclose(high.y, picture.curves["W2"][2], atol=0.01)
    (marks,) = [trace for trace in figure.data if trace.mode == "markers"]
    assert list(marks.y) == [11.0, 6.0]


def test_a_board_without_a_curve_still_shows_its_place(picture: StackPicture) -> None:
    figure = drying_chart(picture, "W9")
    assert [trace.name for trace in figure.data] == ["place", "witness"]
