from datetime import date, timedelta
from typing import Any

import pytest

from tests.make_lines import AS_OF, made_line
from webapp.drying.verdict import Fit, State

MAY, JULY = date(2025, 5, 25), date(2025, 7, 4)


def test_one_board_in_trouble_is_named_on_its_stacks_line() -> None:
    assert made_line([State.DRYING] * 7 + [State.STALLED]).odd_boards == "W8 stalled"
    many = made_line([State.STALLED] * 4 + [State.DRYING] * 16 + [State.GETTING_WETTER])
    assert many.odd_boards == "4 boards stalled; W21 getting wetter"


def test_a_stack_in_trouble_does_not_name_its_boards_as_well() -> None:
    assert made_line([State.STALLED] * 2, state=State.STALLED).odd_boards == ""


def test_the_wettest_board_is_named_where_another_one_speaks() -> None:
    numbers = {"moisture_pct": 15.6, "still_to_lose_pct": 3.0, "per_month_pct": 1.0}
    line = made_line([State.DRYING, State.SLOW_SEASON], [15.6, 16.1], numbers=numbers)
    assert line.why.endswith(" The wettest board, W2, holds 16.1 %.")
    spoken_by_the_wettest = made_line([State.DRYING] * 2, [15.6, 15.2], numbers=numbers)
    assert "wettest" not in spoken_by_the_wettest.why


def test_a_line_says_when_or_why_not() -> None:
    window: dict[str, Any] = {"ready_from": MAY, "ready_to": JULY}
    assert made_line(target_pct=8.0, **window).ready == "late May to July"
    again = made_line(state=State.READ_AGAIN, fit=Fit.UNKNOWN, **window)
    assert again.ready == "no date till it is read again"
    never = made_line(state=State.READ_AGAIN, last_read_on=None, **window)
    assert never.ready == "no date till it is read"
    there = made_line(target_pct=8.0, use="heated room", fit=Fit.YES, **window)
    assert there.ready == "fit for a heated room (8 %)"
    beyond = made_line(target_pct=8.0, reason="out_of_reach")
    assert beyond.ready == "8 % is out of reach here"


@pytest.mark.parametrize(
    ("use", "fit", "words"),
    [
        ("heated room", Fit.YES, "2 of 2 fit for a heated room (8 %)"),
        ("toy chests", Fit.YES, "2 of 2 fit for 8 %"),
        ("kiln", Fit.NO, ""),
    ],
)
def test_counts_name_the_use(use: str, fit: Fit, words: str) -> None:
    line = made_line(
        [State.DRYING] * 2, target_pct=8.0, use=use, fit=fit, boards_fit=2 * (fit is Fit.YES)
    )
    assert line.counts == words


def test_without_a_target_nothing_is_called_fit() -> None:
    line = made_line([State.LEVELLED_OFF], fit=Fit.YES, boards_fit=1, state=State.LEVELLED_OFF)
    assert line.counts == "1 of 1 levelled off"
    assert line.ready == "air-dry"
    assert line.for_what == ""


def test_advice_is_for_the_place_it_stands_at() -> None:
    stalled: dict[str, Any] = {"state": State.STALLED, "reason": "stalled_airflow"}
    assert "weeds" in made_line(**stalled).next_step
    assert "weeds" not in made_line(kind="heated", **stalled).next_step
    assert "weeds" in made_line(place=None, **stalled).next_step


def test_where_the_day_of_sawing_is_not_known_the_stacking_counts() -> None:
    lately, long_ago = AS_OF - timedelta(days=12), AS_OF - timedelta(days=90)
    assert made_line(sawn_on=lately, stacked_on=lately).sawn_words == "sawn 12 days ago"
    stacked = made_line(stacked_on=lately)
    assert stacked.young
    assert stacked.sawn_words == "stacked 12 days ago"
    # Sawn long before it was stacked: old.
    assert not made_line(sawn_on=long_ago, stacked_on=lately).young
    assert not made_line().young
