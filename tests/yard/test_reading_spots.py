from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from tests.make import (
    A_DAY,
    A_MOMENT,
    make_board,
    make_meter,
    make_reading,
    make_round,
    make_stack,
)
from webapp.records.batch import open_batch
from webapp.yard.move_board import move_board
from webapp.yard.reading_spots import MeterUse, Shallow, reading_spots
from webapp.yard.strike_reading import strike_reading

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

LATER = A_DAY + timedelta(days=30)
TODAY = A_DAY + timedelta(days=40)


def test_spots_depths_and_meters_are_counted(session: Session) -> None:
    stack = make_stack(session, board_count=60)
    one, two = make_board(session, stack), make_board(session, stack)
    pins = make_meter(session, name="pins", needle_mm=12.0, insulated=True)
    make_reading(session, one, spot="end", meter=pins)
    make_reading(session, two, spot="end", meter=pins)
    make_reading(session, one, spot="face", depth="quarter", read_on=LATER, meter=pins)
    make_reading(session, two, read_on=LATER)
    found = reading_spots(session, stack, TODAY)
    assert found.board_count == 60
    assert found.last
    assert found.every
    assert (found.last.boards, found.last.readings, found.last.last_on) == (2, 2, LATER)
    assert found.last.spots == {"face": 1, "": 1}
    assert found.last.depths == {"quarter": 1, "": 1}
    assert found.last.at_sides == 0
    assert MeterUse("pins", "pin", 12.0, True, 1) in found.last.meters  # noqa: FBT003
    assert MeterUse(None, None, None, None, 1) in found.last.meters
    assert (found.every.readings, found.every.boards, found.every.days) == (4, 2, 2)
    assert found.every.spots == {"end": 2, "face": 1, "": 1}
    assert list(found.every.spots) == ["end", "face", ""]
    assert found.every.at_sides == 2


def test_a_round_over_two_days_is_one(session: Session) -> None:
    stack = make_stack(session)
    visit = make_round(session, stack)
    make_reading(session, make_board(session, stack), read_on=LATER, round=visit)
    day_after = LATER + timedelta(days=1)
    make_reading(session, make_board(session, stack), read_on=day_after, round=visit)
    make_reading(session, make_board(session, stack), read_on=A_DAY)
    found = reading_spots(session, stack, TODAY)
    assert found.last
    assert (found.last.boards, found.last.last_on) == (2, day_after)


def test_hits_of_one_reading_count_once(session: Session) -> None:
    stack = make_stack(session)
    board = make_board(session, stack)
    for hit in (1, 2, 3):
        make_reading(session, board, spot="face", hit=hit)
    make_reading(session, board, spot="end", hit=1)
    make_reading(session, board, spot="face")
    found = reading_spots(session, stack, TODAY)
    assert found.every
    assert found.every.readings == 3


def test_struck_and_later_readings_and_boards_gone_do_not_count(session: Session) -> None:
    stack, other = make_stack(session, board_count=1), make_stack(session)
    stays, goes = make_board(session, stack), make_board(session, stack)
    make_reading(session, goes)
    make_reading(session, stays, read_on=TODAY + timedelta(days=1))
    struck = make_reading(session, stays)
    kept = make_reading(session, stays, spot="edge")
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=30))
    strike_reading(session, batch, struck, "wrong board")
    move_board(session, batch, goes, other, LATER)
    found = reading_spots(session, stack, TODAY)
    assert found.every
    assert found.every.spots == {"edge": 1}
    assert found.every.last_on == kept.read_on
    assert found.board_count == 1


def test_a_short_needle_in_a_thick_board_reads_the_outside(session: Session) -> None:
    stack = make_stack(session)
    short = make_meter(session, needle_mm=8.0)
    thick = make_board(session, stack, thickness_mm=52.0)
    thin = make_board(session, stack, thickness_mm=32.0)
    make_reading(session, thick, meter=short)
    make_reading(session, thin, meter=short)
    make_reading(session, thick, meter=short, spot="nails")
    found = reading_spots(session, stack, TODAY)
    assert found.every
    assert found.every.shallow == Shallow(1, 8.0, 52.0)


def test_a_noted_depth_counts_more_than_the_needle(session: Session) -> None:
    stack = make_stack(session)
    short, long = make_meter(session, needle_mm=8.0), make_meter(session, needle_mm=40.0)
    board = make_board(session, stack, thickness_mm=52.0)
    make_reading(session, board, meter=short, depth="core")
    make_reading(session, board, meter=long, depth="shell")
    make_reading(session, board, meter=long)
    make_reading(session, board)
    found = reading_spots(session, stack, TODAY)
    assert found.every
    assert found.every.shallow == Shallow(1)


def test_what_a_meter_cannot_tell_is_counted(session: Session) -> None:
    stack = make_stack(session)
    board = make_board(session, stack)
    make_reading(session, board, shown=">30", value=30.0, over=True)
    make_reading(session, board, shown="41", value=41.0)
    make_reading(session, board, shown=">", value=None, over=True)
    make_reading(session, board, shown="<6", value=6.0, under=True)
    make_reading(session, board, shown="29", value=29.0)
    found = reading_spots(session, stack, TODAY)
    assert found.every
    assert found.every.over == 3


def test_nothing_read(session: Session) -> None:
    stack = make_stack(session)
    make_board(session, stack)
    found = reading_spots(session, stack, TODAY)
    assert (found.board_count, found.last, found.every) == (1, None, None)
