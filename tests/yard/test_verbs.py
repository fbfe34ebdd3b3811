"""The verbs on a small yard: each does its work, and refuses what cannot be."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from sqlalchemy.orm import Session

from webapp.entry.entries import (
    AirEntry,
    BoardEntry,
    LogEntry,
    MeterEntry,
    PlaceEntry,
    StackEntry,
    WitnessEntry,
)
from webapp.entry.reading_form import ReadingEntry
from webapp.entry.reading_text import hits
from webapp.problems import Conflict, NotFound, Refused
from webapp.records import Batch, Board, Place, Stack
from webapp.records.batch import batch_of, changes_of
from webapp.records.board import boards_of, stack_of
from webapp.records.event import events_of
from webapp.records.reading import readings_of
from webapp.records.round import rounds_of
from webapp.records.stack import place_of
from webapp.yard.add_boards import add_boards
from webapp.yard.build_stack import build_stack
from webapp.yard.keep_air import keep_air
from webapp.yard.keep_log import keep_log
from webapp.yard.keep_witness import keep_witness
from webapp.yard.log_reading import log_reading, log_witness_reading
from webapp.yard.move_board import move_board
from webapp.yard.move_stack import move_stack
from webapp.yard.note_event import note_event
from webapp.yard.set_up_meter import set_up_meter
from webapp.yard.set_up_place import set_up_place
from webapp.yard.strike_reading import strike_reading

# The fixture's batch is of 4 May 2024.
STACKED, READ, TOMORROW = date(2024, 3, 1), date(2024, 5, 1), date(2024, 5, 6)
SHED = PlaceEntry("shed", "open_shed", (5.0,) * 12, (70.0,) * 12)
BOARD = BoardEntry("W7", "White Oak", 32.0, STACKED)
READING = ReadingEntry("W7", READ, hits("13.5"))


@pytest.fixture
def batch(session: Session) -> Batch:
    return batch_of(session)


@pytest.fixture
def shed(session: Session, batch: Batch) -> Place:
    return set_up_place(session, batch, SHED)


@pytest.fixture
def loft(session: Session, batch: Batch) -> Place:
    return set_up_place(session, batch, replace(SHED, place="loft", kind="unheated"))


@pytest.fixture
def stack(session: Session, batch: Batch, shed: Place) -> Stack:
    return build_stack(session, batch, StackEntry("A", "shed", STACKED, stickers_mm=20))


@pytest.fixture
def board(session: Session, batch: Batch, stack: Stack) -> Board:
    return add_boards(session, batch, stack, [BOARD])[0]


def test_a_place_has_twelve_months(session: Session, batch: Batch, shed: Place) -> None:
    assert [month.month for month in shed.months] == list(range(1, 13))
    with pytest.raises(Refused, match="twelve months"):
        set_up_place(session, batch, replace(SHED, place="barn", rh_pct=(70.0,) * 11))
    with pytest.raises(Conflict, match="already a place “shed”"):
        set_up_place(session, batch, SHED)


def test_a_stack_and_its_boards(session: Session, batch: Batch, stack: Stack, board: Board) -> None:
    assert board.species == "white oak"
    assert stack_of(session, board, STACKED) is stack
    assert boards_of(session, stack, READ) == [board]
    assert len({stack.code, board.code}) == 2
    assert {stack.batch_id, board.batch_id, board.stays[0].batch_id} == {batch.id}


@pytest.mark.parametrize(
    ("entry", "trouble", "sentence"),
    [
        (
            replace(BOARD, stacked_on=date(2024, 2, 1)),
            Refused,
            "the stack was set up on 2024-03-01",
        ),
        (replace(BOARD, stacked_on=TOMORROW), Refused, "in the future"),
        (replace(BOARD, species="oak"), Refused, "white oak"),
        (replace(BOARD, log="L1"), NotFound, "no log “L1”"),
    ],
)
def test_a_board_that_cannot_be(
    session: Session,
    batch: Batch,
    stack: Stack,
    entry: BoardEntry,
    trouble: type[Exception],
    sentence: str,
) -> None:
    with pytest.raises(trouble, match=sentence):
        add_boards(session, batch, stack, [entry])


def test_a_mark_is_taken_once(session: Session, batch: Batch, stack: Stack) -> None:
    with pytest.raises(Conflict, match="already a board “W7”"):
        add_boards(session, batch, stack, [BOARD, BOARD])
    with pytest.raises(Conflict, match="already a stack “A”"):
        build_stack(session, batch, StackEntry("A", "shed", STACKED))
    with pytest.raises(NotFound, match="no place “barn”"):
        build_stack(session, batch, StackEntry("B", "barn", STACKED))


def test_a_stack_moves(
    session: Session, batch: Batch, stack: Stack, shed: Place, loft: Place
) -> None:
    move_stack(session, batch, stack, loft, READ)
    assert place_of(session, stack, READ - timedelta(days=1)) is shed
    assert place_of(session, stack, READ) is loft
    first = stack.stays[0]
    assert [change.after for change in changes_of(session, first)] == [{"until_on": "2024-05-01"}]
    with pytest.raises(Refused, match="already stands at “loft”"):
        move_stack(session, batch, stack, loft, READ + timedelta(days=1))
    with pytest.raises(Refused, match="came to “loft” on 2024-05-01"):
        move_stack(session, batch, stack, shed, READ)
    with pytest.raises(Refused, match="in the future"):
        move_stack(session, batch, stack, shed, TOMORROW)


def test_a_board_moves_and_leaves(
    session: Session, batch: Batch, stack: Stack, board: Board
) -> None:
    other = build_stack(session, batch, StackEntry("B", "shed", date(2024, 4, 1)))
    with pytest.raises(Refused, match="the stack was set up on 2024-04-01"):
        move_board(session, batch, board, other, date(2024, 3, 15))
    move_board(session, batch, board, other, date(2024, 4, 2))
    assert stack_of(session, board, date(2024, 4, 2)) is other
    with pytest.raises(Refused, match="came to “B” on 2024-04-02"):
        move_board(session, batch, board, stack, date(2024, 4, 2))
    with pytest.raises(Refused, match="already is in stack “B”"):
        move_board(session, batch, board, other, date(2024, 4, 3))
    left = move_board(session, batch, board, None, date(2024, 4, 3), why="set aside")
    assert (left.stack_id, left.why) == (None, "set aside")
    with pytest.raises(Refused, match="already is out of the yard's stacks: set aside"):
        move_board(session, batch, board, None, date(2024, 4, 5), why="set aside")
    sold = move_board(session, batch, board, None, date(2024, 4, 5), why="sold")
    assert (left.until_on, sold.why) == (date(2024, 4, 5), "sold")
    with pytest.raises(Refused, match="lay in none of the yard's stacks"):
        log_reading(session, batch, READING)


def test_a_board_does_not_leave_before_it_was_read(
    session: Session, batch: Batch, board: Board
) -> None:
    log_reading(session, batch, READING)
    with pytest.raises(Conflict, match="on that day it would lie in none of the yard's stacks"):
        move_board(session, batch, board, None, READ - timedelta(days=1), why="sold")


def test_a_reading_is_kept_as_shown_in_the_round_of_its_day(
    session: Session, batch: Batch, stack: Stack, board: Board
) -> None:
    set_up_meter(session, batch, MeterEntry("m1"))
    kept = log_reading(session, batch, replace(READING, hits=hits("13,5 >30"), meter="m1"))
    assert [(hit.shown, hit.value, hit.over, hit.hit) for hit in kept] == [
        ("13,5", 13.5, False, 1),
        (">30", 30, True, 2),
    ]
    again = log_reading(session, batch, READING)
    assert again[0].hit is None
    assert [visit.mark for visit in rounds_of(session, stack)] == ["A 2024-05-01"]
    assert {hit.round_id for hit in kept + again} == {rounds_of(session, stack)[0].id}
    assert len(readings_of(session, board)) == 3


def test_a_reading_sent_twice_is_kept_once(session: Session, batch: Batch, board: Board) -> None:
    entry = replace(READING, hits=hits("13 14"), uid=uuid4())
    first = log_reading(session, batch, entry)
    assert log_reading(session, batch, entry) == first
    with pytest.raises(Conflict, match="under this id"):
        log_reading(session, batch, replace(entry, hits=hits("13 15")))
    assert len(readings_of(session, board)) == 2


@pytest.mark.parametrize(
    ("entry", "trouble", "sentence"),
    [
        (replace(READING, board="X"), NotFound, "no board “X”"),
        (replace(READING, meter="m9"), NotFound, "no meter “m9”"),
        (replace(READING, read_on=date(2024, 2, 1)), Refused, "was stacked on 2024-03-01"),
        (replace(READING, read_on=TOMORROW), Refused, "in the future"),
    ],
)
def test_a_reading_that_cannot_be(
    session: Session,
    batch: Batch,
    board: Board,
    entry: ReadingEntry,
    trouble: type[Exception],
    sentence: str,
) -> None:
    with pytest.raises(trouble, match=sentence):
        log_reading(session, batch, entry)


def test_a_round_mark_that_is_taken_is_passed_over(
    session: Session, batch: Batch, stack: Stack, board: Board
) -> None:
    log_reading(session, batch, READING)[0].round.stack = build_stack(  # type: ignore[union-attr]
        session, batch, StackEntry("B", "shed", STACKED)
    )
    session.flush()
    log_reading(session, batch, READING)
    assert [visit.mark for visit in rounds_of(session, stack)] == ["A 2024-05-01 2"]


def test_a_reading_is_struck_and_stays(session: Session, batch: Batch, board: Board) -> None:
    reading = log_reading(session, batch, READING)[0]
    with pytest.raises(Refused, match="a text of one line"):
        strike_reading(session, batch, reading, "  ")
    strike_reading(session, batch, reading, " slip ")
    assert readings_of(session, board) == []
    assert readings_of(session, board, struck_too=True) == [reading]
    assert (reading.struck_on, reading.struck_why) == (batch.at.date(), "slip")
    with pytest.raises(Conflict, match="already struck"):
        strike_reading(session, batch, reading, "slip")


def test_a_witness_board_is_read(session: Session, batch: Batch, shed: Place) -> None:
    witness = keep_witness(session, batch, WitnessEntry("Z1", "shed", "white oak", 32))
    entry = replace(READING, board="Z1", uid=uuid4())
    assert log_witness_reading(session, batch, entry) == log_witness_reading(session, batch, entry)
    assert [reading.shown for reading in readings_of(session, witness)] == ["13.5"]
    with pytest.raises(Conflict, match="already a witness board"):
        keep_witness(session, batch, WitnessEntry("Z1", "shed", "white oak", 32))


def test_a_log_and_its_board(session: Session, batch: Batch, stack: Stack) -> None:
    log = keep_log(session, batch, LogEntry("L1", "Quercus alba", felled_on=date(2024, 1, 5)))
    board = add_boards(session, batch, stack, [replace(BOARD, log="L1", turn="3 of 9")])[0]
    assert (board.log, log.species) == (log, "white oak")
    with pytest.raises(Refused, match="not in the species table"):
        keep_log(session, batch, LogEntry("L2", "xyzzy"))


def test_a_meters_limits_are_in_order(session: Session, batch: Batch) -> None:
    with pytest.raises(Refused, match="below its over-range"):
        set_up_meter(session, batch, MeterEntry("m1", over_range_pct=10, under_range_pct=12))


def test_air_and_events(session: Session, batch: Batch, shed: Place, stack: Stack) -> None:
    air = keep_air(session, batch, AirEntry("shed", datetime(2024, 5, 1, 12, tzinfo=UTC), 12.5, 71))
    assert air.place is shed
    with pytest.raises(Refused, match="future"):
        keep_air(session, batch, AirEntry("shed", datetime(2024, 5, 9, tzinfo=UTC), 12.5, 71))
    note_event(session, batch, stack, "leak", READ, detail={"what": "torn sheet"}, changes_air=True)
    assert [event.kind for event in events_of(session, stack)] == ["leak"]
