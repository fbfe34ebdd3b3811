import numpy as np
import pytest

from webapp.entry.surprise import is_surprising, surprise_sentence

NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize(
    ("value", "low", "high", "over", "expected"),
    [
        (113, 11, 12, NAN, "ask"),
        (113, NAN, NAN, 30, "ask"),
        (113, NAN, NAN, NAN, "take it"),
        (1.2, 11, 12, 30, "ask"),
        (14, 11, 12, 30, "take it"),
        (80.5, INF, INF, NAN, "take it"),
        (12, INF, INF, NAN, "take it"),
        (18, 30, 30, 30, "take it"),
        (11.5, 55.6, INF, NAN, "take it"),
        (60, 25, 28, NAN, "take it"),
    ],
)
def test_what_is_surprising(
    value: float, low: float, high: float, over: float, expected: str
) -> None:
    assert ("ask" if is_surprising(value, low, high, over) else "take it") == expected


def test_many_at_once() -> None:
    found = is_surprising(
        np.array([11.0, 113.0]), np.array([11.0, 11.0]), np.array([12.0, 12.0]), NAN
    )
    assert found.tolist() == [False, True]


def test_the_sentence_says_why_and_what_may_have_been_meant() -> None:
    near = surprise_sentence("113", 113, 11, 12, NAN)
    assert near == "113 is far from this board's other readings (11 to 12); was 11.3 meant?"
    over = surprise_sentence("2.7", 2.7, 27, INF, NAN)
    assert over.startswith("2.7 is far from this board's other readings (27 to over range)")
    beyond = surprise_sentence("113", 113, NAN, NAN, 30)
    assert beyond == "113 is more than this meter can show (30)"
