from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pandas as pd
import pytest

from tests.make import A_DAY, make_board, make_meter, make_reading, make_round, make_witness_board
from webapp.records import Reading
from webapp.wood.meter_correction import correct
from webapp.yard.correct_readings import (
    OVER_RANGE_PCT,
    SIDE_SPOT_SD_PCT,
    UNDER_RANGE_PCT,
    corrected,
    one_by_hits,
    readings_frame,
)

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def _all(session: Session) -> pd.DataFrame:
    frame = readings_frame(session, Reading.board_id.is_not(None))
    return corrected(frame, pd.Series(["white oak"] * len(frame)))


def test_a_meter_nobody_described_is_taken_at_its_word(session: Session) -> None:
    make_reading(session, shown="13,5", value=13.5)
    row = _all(session).iloc[0]
    assert (row["value_pct"], row["extra_sd"], row["shown"]) == (13.5, 0.0, "13,5")


def test_a_meter_that_does_not_allow_for_temperature_is_corrected(session: Session) -> None:
    meter = make_meter(session, temperature="not_compensated")
    make_reading(session, meter=meter, value=13.5, wood_temperature_c=3.0)
    expected = correct(
        13.5,
        scale="as_shown",
        temperature_kind="not_compensated",
        wood_temperature_c=3.0,
        species="white oak",
    )
    row = _all(session).iloc[0]
    assert row["value_pct"] == pytest.approx(float(expected.moisture_pct))
    assert row["value_pct"] > 15
    assert row["extra_sd"] == pytest.approx(float(expected.extra_sd))


def test_over_range_takes_its_limit_from_the_display_else_from_the_meter(session: Session) -> None:
    board = make_board(session)
    meter = make_meter(session, over_range_pct=28.0)
    make_reading(session, board, shown=">35", value=35.0, over=True, meter=meter)
    make_reading(session, board, shown=">", value=None, over=True, meter=meter)
    make_reading(session, board, shown=">", value=None, over=True)
    assert _all(session)["value_pct"].tolist() == [35.0, 28.0, OVER_RANGE_PCT]


def test_under_range_takes_its_limit_from_the_display_else_from_the_meter(
    session: Session,
) -> None:
    board, meter = make_board(session), make_meter(session, under_range_pct=7.0)
    make_reading(session, board, shown="<5", value=5.0, under=True, meter=meter)
    make_reading(session, board, shown="<", value=None, under=True, meter=meter)
    make_reading(session, board, shown="<", value=None, under=True)
    assert _all(session)["value_pct"].tolist() == [5.0, 7.0, UNDER_RANGE_PCT]


def test_a_limit_is_corrected_as_a_number_is(session: Session) -> None:
    board, meter = make_board(session), make_meter(session, temperature="not_compensated")
    given = {"meter": meter, "wood_temperature_c": 3.0, "value": 28.0}
    make_reading(session, board, **given)
    make_reading(session, board, shown=">28", over=True, **given)
    number, limit = _all(session)["value_pct"]
    assert limit == number > 28.5


def test_an_edge_or_an_end_never_decides_alone(session: Session) -> None:
    board = make_board(session)
    for spot in ("face", "edge", "end"):
        make_reading(session, board, spot=spot)
    doubt = _all(session)["extra_sd"].tolist()
    assert doubt == [0.0, SIDE_SPOT_SD_PCT, SIDE_SPOT_SD_PCT]


def test_struck_readings_and_witness_boards_are_left_out(session: Session) -> None:
    board = make_board(session)
    kept = make_reading(session, board)
    struck = make_reading(session, board)
    struck.strike(struck.created_at, "keeper", "wrong board")
    make_reading(session, make_witness_board(session))
    session.flush()
    assert _all(session)["reading_id"].tolist() == [kept.id]


def test_hits_are_one_reading_and_plain_readings_stay_apart(session: Session) -> None:
    board = make_board(session)
    visit = make_round(session)
    for hit, value in enumerate((13.5, 14.0, 13.0), start=1):
        make_reading(session, board, round=visit, hit=hit, shown=f"{value:g}", value=value)
    later = A_DAY + timedelta(days=30)
    for value in (12.0, 12.4):
        make_reading(session, board, read_on=later, shown=str(value), value=value)
    joined = one_by_hits(_all(session)).sort_values(["read_on", "value_pct"])
    assert joined["value_pct"].tolist() == [13.5, 12.0, 12.4]
    assert joined["shown"].tolist()[0] == "13.5 14 13"


def test_hits_are_told_in_their_order_however_they_were_edited(session: Session) -> None:
    board, visit = make_board(session), make_round(session)
    # Numbers whose sum hangs on their order, in the last digit.
    hits = [
        make_reading(session, board, round=visit, hit=hit, shown=f"{value:g}", value=value)
        for hit, value in enumerate((13.1, 14.3, 13.7), start=1)
    ]
    before = one_by_hits(_all(session))
    # PostgreSQL puts an edited row behind the others.
    hits[0].shown = "13,1"
    session.flush()
    after = one_by_hits(_all(session))
    assert after["shown"].tolist() == ["13,1 14.3 13.7"]
    assert after["value_pct"].tolist() == before["value_pct"].tolist()


def test_hits_of_other_spots_visits_and_meters_stay_apart(session: Session) -> None:
    board, visit = make_board(session), make_round(session)
    one, other = make_meter(session), make_meter(session)
    make_reading(session, board, round=visit, hit=1, value=14.0, meter=one)
    for apart in (
        {"spot": "end", "meter": one},
        {"meter": other},
        {"round": make_round(session), "meter": one},
        {"read_on": A_DAY + timedelta(days=1), "meter": one},
    ):
        make_reading(session, board, **{"round": visit, "hit": 2, "value": 20.0} | apart)
    assert len(one_by_hits(_all(session))) == 5
    make_reading(session, board, round=visit, hit=2, value=15.0, meter=one)
    joined = one_by_hits(_all(session))
    assert sorted(joined["value_pct"]) == [14.5, 20.0, 20.0, 20.0, 20.0]


def test_half_of_the_hits_over_range_is_over_range(session: Session) -> None:
    board, visit = make_board(session), make_round(session)
    make_reading(session, board, round=visit, hit=1, shown=">30", value=30.0, over=True)
    make_reading(session, board, round=visit, hit=2, value=26.0)
    joined = one_by_hits(_all(session))
    assert joined[["over", "value_pct"]].to_numpy().tolist() == [[True, 30.0]]


@pytest.mark.parametrize(
    ("over", "expected"),
    [((True, True, False), (True, 30.0)), ((True, False, False), (False, 26.5))],
)
def test_hits_are_over_range_when_most_are(
    session: Session, over: tuple[bool, ...], expected: tuple[bool, float]
) -> None:
    board, visit = make_board(session), make_round(session)
    for hit, (beyond, value) in enumerate(zip(over, (30.0, 26.0, 27.0), strict=True), start=1):
        given = {"value": 30.0, "over": True, "shown": ">30"} if beyond else {"value": value}
        make_reading(session, board, round=visit, hit=hit, **given)
    joined = one_by_hits(_all(session))
    assert len(joined) == 1
    assert (bool(joined["over"][0]), joined["value_pct"][0]) == expected
