from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from tests.make import (
    A_DAY,
    A_MOMENT,
    make_air,
    make_board,
    make_event,
    make_log,
    make_meter,
    make_place,
    make_reading,
    make_round,
    make_stack,
    make_witness_board,
)
from webapp.records import Board, BoardStay, Record, Stack, StackStay, YardEffect
from webapp.records.board import (
    board_coded,
    board_marked,
    boards_of,
    ever_filled,
    first_stacked,
    live_boards,
    stack_of,
    stays_of_board,
)
from webapp.records.event import events_of
from webapp.records.kept import yard_effect_for
from webapp.records.label_code import ALPHABET, fresh_code, fresh_codes
from webapp.records.log import live_logs, log_marked
from webapp.records.meter import live_meters, meter_named
from webapp.records.place import air_at, live_places, months_of, place_named
from webapp.records.reading import last_reading_of, reading_known_as, readings_of
from webapp.records.record import new_uid
from webapp.records.round import round_marked, rounds_of
from webapp.records.stack import (
    live_stacks,
    place_of,
    places_on,
    stack_coded,
    stack_marked,
    stays_of_stack,
)
from webapp.records.witness_board import (
    live_witness_boards,
    witness_board_marked,
    witness_boards_at,
)

DAY = timedelta(days=1)


def _strike(session: Session, record: Record) -> None:
    record.strike(A_MOMENT, "keeper", "a mistake")
    session.flush()


def test_places(session: Session) -> None:
    loft, barn, gone = (make_place(session, name=name) for name in ("Loft", "Barn", "Gone"))
    _strike(session, gone)
    assert live_places(session) == [barn, loft]
    assert place_named(session, "Loft") is loft
    assert place_named(session, "Gone") is None
    _strike(session, loft.months[2])
    assert [month.month for month in months_of(session, loft)] == [1, 2, *range(4, 13)]


def test_air(session: Session) -> None:
    place = make_place(session)
    late, early = make_air(session, place=place), make_air(session, place=place, at=A_MOMENT - DAY)
    make_air(session)
    _strike(session, make_air(session, place=place))
    assert air_at(session, place) == [early, late]


def test_logs_and_meters(session: Session) -> None:
    log, meter = make_log(session, mark="L1"), make_meter(session, name="m1")
    _strike(session, make_log(session, mark="L2"))
    _strike(session, make_meter(session, name="m2"))
    assert (live_logs(session), log_marked(session, "L1")) == ([log], log)
    assert (live_meters(session), meter_named(session, "m1")) == ([meter], meter)
    assert log_marked(session, "L2") is None
    assert meter_named(session, "m2") is None


def test_witness_boards(session: Session) -> None:
    place = make_place(session)
    board = make_witness_board(session, place, mark="V1")
    elsewhere = make_witness_board(session, mark="V2")
    _strike(session, make_witness_board(session, place, mark="V3"))
    assert live_witness_boards(session) == [board, elsewhere]
    assert witness_boards_at(session, place) == [board]
    assert witness_board_marked(session, "V1") is board
    assert witness_board_marked(session, "V3") is None


def test_stacks_by_mark_and_by_label(session: Session) -> None:
    stack = make_stack(session, mark="W", code="47CDF")
    _strike(session, make_stack(session, mark="X", code="47CDH"))
    assert live_stacks(session) == [stack]
    assert stack_marked(session, "W") is stack
    assert stack_marked(session, "X") is None
    assert stack_coded(session, " 47cdf ") is stack
    assert stack_coded(session, "47CDH") is None


def test_boards_by_mark_and_by_label(session: Session) -> None:
    board = make_board(session, mark="W7", code="47CDF")
    _strike(session, make_board(session, mark="W8", code="47CDH"))
    assert live_boards(session) == [board]
    assert board_marked(session, "W7") is board
    assert board_marked(session, "W8") is None
    assert board_coded(session, "47cdf") is board
    assert board_coded(session, "47CDH") is None


def test_where_a_stack_stands_on_a_day(session: Session) -> None:
    shed, loft = make_place(session), make_place(session)
    stack = make_stack(session, shed, A_DAY)
    stack.stays[0].until_on = A_DAY + 10 * DAY
    session.flush()
    session.add(StackStay(stack=stack, place=loft, from_on=A_DAY + 10 * DAY))
    session.flush()
    assert place_of(session, stack, A_DAY - DAY) is None
    assert place_of(session, stack, A_DAY) is shed
    assert place_of(session, stack, A_DAY + 9 * DAY) is shed
    assert place_of(session, stack, A_DAY + 10 * DAY) is loft
    assert [stay.place for stay in stays_of_stack(session, stack)] == [shed, loft]
    assert places_on(session, A_DAY) == {stack.id: shed}
    assert places_on(session, A_DAY + 10 * DAY) == {stack.id: loft}


def test_where_a_board_lies_on_a_day(session: Session) -> None:
    first, second = make_stack(session), make_stack(session)
    board, other = make_board(session, first, mark="B"), make_board(session, first, mark="A")
    board.stays[0].until_on = A_DAY + 10 * DAY
    session.flush()
    sold_on = A_DAY + 20 * DAY
    session.add(BoardStay(board=board, stack=second, from_on=A_DAY + 10 * DAY, until_on=sold_on))
    session.add(BoardStay(board=board, from_on=sold_on, why="sold"))
    session.flush()
    assert boards_of(session, first, A_DAY) == [other, board]
    assert boards_of(session, first, A_DAY + 10 * DAY) == [other]
    assert boards_of(session, second, A_DAY + 10 * DAY) == [board]
    assert boards_of(session, second, sold_on) == []
    assert stack_of(session, board, A_DAY + 10 * DAY) is second
    assert stack_of(session, board, sold_on) is None
    assert [stay.why for stay in stays_of_board(session, board)] == [None, None, "sold"]


def test_a_struck_stay_does_not_count(session: Session) -> None:
    stack = make_stack(session)
    board = make_board(session, stack)
    _strike(session, board.stays[0])
    assert boards_of(session, stack, A_DAY) == []
    assert stack_of(session, board, A_DAY) is None


def test_readings_of_a_board(session: Session) -> None:
    board = make_board(session)
    late = make_reading(session, board, read_on=A_DAY + DAY)
    early = make_reading(session, board, read_on=A_DAY)
    struck = make_reading(session, board, read_on=A_DAY + 2 * DAY)
    _strike(session, struck)
    make_reading(session)
    assert readings_of(session, board) == [early, late]
    assert readings_of(session, board, struck_too=True) == [early, late, struck]
    assert last_reading_of(session, board) is late
    assert last_reading_of(session, board, until=A_DAY) is early
    assert last_reading_of(session, board, until=A_DAY - DAY) is None


def test_readings_of_a_witness_board_with_the_same_key(session: Session) -> None:
    board, witness = make_board(session, id=7), make_witness_board(session, id=7)
    of_board, of_witness = make_reading(session, board), make_reading(session, witness)
    assert readings_of(session, board) == [of_board]
    assert readings_of(session, witness) == [of_witness]
    assert last_reading_of(session, witness) is of_witness


def test_the_last_reading_of_a_day_is_the_one_entered_last(session: Session) -> None:
    board = make_board(session)
    make_reading(session, board)
    at_noon = make_reading(session, board, read_at=datetime(2024, 5, 4, 12, tzinfo=UTC))
    make_reading(session, board, read_at=datetime(2024, 5, 4, 8, tzinfo=UTC))
    assert last_reading_of(session, board) is at_noon


def test_a_reading_is_known_by_its_outer_key_even_when_struck(session: Session) -> None:
    reading = make_reading(session)
    _strike(session, reading)
    assert reading_known_as(session, reading.uid) is reading
    assert reading_known_as(session, new_uid()) is None


def test_rounds(session: Session) -> None:
    stack = make_stack(session)
    second = make_round(session, stack, mark="R2", started_at=A_MOMENT + DAY)
    first = make_round(session, stack, mark="R1")
    _strike(session, make_round(session, stack, mark="R3"))
    make_round(session)
    assert rounds_of(session, stack) == [first, second]
    assert round_marked(session, "R1") is first
    assert round_marked(session, "R3") is None


def test_events(session: Session) -> None:
    log, board, stack = make_log(session), make_board(session), make_stack(session)
    sealed = make_event(session, log, kind="ends sealed")
    leak = make_event(session, stack, kind="leak", detail={"where": "north", "boards": [1, 2]})
    covered = make_event(session, stack, on_date=date(2024, 1, 1), changes_air=True)
    _strike(session, make_event(session, board))
    assert events_of(session, log) == [sealed]
    assert events_of(session, stack) == [covered, leak]
    assert events_of(session, board) == []
    session.expire(leak)
    assert leak.detail == {"where": "north", "boards": [1, 2]}


def test_the_effects_that_use_nothing_later(session: Session) -> None:
    for version, day in (("1", 1), ("1", 20), ("2", 10)):
        as_of = date(2024, 5, day)
        session.add(
            YardEffect(version=version, as_of=as_of, made_at=A_MOMENT, effects={"day": day})
        )
    session.flush()
    for day, expected in ((1, 1), (19, 1), (20, 20), (31, 20)):
        found = yard_effect_for(session, "1", date(2024, 5, day))
        assert found is not None
        assert found.effects == {"day": expected}
    assert yard_effect_for(session, "1", date(2024, 4, 30)) is None
    assert yard_effect_for(session, "3", date(2024, 5, 31)) is None


def test_codes_are_short_and_hold_nothing_that_looks_alike(session: Session) -> None:
    codes = fresh_codes(session, Board, 1200)
    assert len(set(codes)) == len(codes) == 1200
    assert {len(code) for code in codes} == {5}
    assert not set("".join(codes)) & set("01258OILQSZBGUAE")
    assert fresh_codes(session, Stack, 0) == []


def test_a_code_in_use_is_not_made_again(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    make_board(session, code="33333")
    drawn = iter("33333444443333344444")
    monkeypatch.setattr("webapp.records.label_code.secrets.choice", lambda _: next(drawn))
    assert fresh_code(session, Board) == "44444"
    assert fresh_code(session, Stack) == "33333"
    assert {"3", "4"} <= set(ALPHABET)


def test_the_day_a_board_was_first_stacked_outlives_its_moves(session: Session) -> None:
    board = make_board(session, from_on=A_DAY)
    board.stays[0].until_on = A_DAY + 9 * DAY
    session.flush()
    session.add(BoardStay(board=board, stack=make_stack(session), from_on=A_DAY + 9 * DAY))
    session.flush()
    assert first_stacked(session) == {board.id: A_DAY}


def test_a_stack_was_filled_even_if_its_boards_have_left(session: Session) -> None:
    bare, emptied, mistaken = (make_stack(session) for _n in range(3))
    board = make_board(session, emptied)
    board.stays[0].until_on = A_DAY + DAY
    _strike(session, make_board(session, mistaken))
    assert bare.id not in ever_filled(session)
    assert ever_filled(session) == {emptied.id}
