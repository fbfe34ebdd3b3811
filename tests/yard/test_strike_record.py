"""Records entered by mistake: struck with what is part of them, unless others hang on them."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from sqlalchemy.orm import Session

from tests.make import make_air, make_round
from tests.yard.undoing import (
    BOARD,
    LOFT,
    READING,
    SHED,
    STACK,
    done,
    exported,
    sitting,
    undo,
)
from webapp.entry.entries import AirEntry, LogEntry, MeterEntry, WitnessEntry
from webapp.problems import Conflict, Refused
from webapp.records import Batch, Place, Record, Stack
from webapp.records.batch import batch_of
from webapp.records.board import stays_of_board
from webapp.records.event import events_of
from webapp.records.place import air_at, months_of
from webapp.records.round import rounds_of
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
from webapp.yard.strike_record import strike_record

WHY = "entered twice"
LATER = date(2024, 4, 10)


@pytest.fixture
def shed(session: Session) -> Place:
    return set_up_place(session, batch_of(session), SHED)


@pytest.fixture
def stack(session: Session, shed: Place) -> Stack:
    return build_stack(session, batch_of(session), STACK)


def _strike(session: Session, record: Record) -> Batch:
    return done(session, strike_record, record, WHY)


def _refused(session: Session, record: Record, sentence: str) -> None:
    """See that it is not struck, nor anything that is part of it."""
    before = exported(session)
    with pytest.raises(Conflict, match=sentence):
        _strike(session, record)
    assert exported(session) == before
    assert record.is_live


def test_a_place_goes_with_its_months_and_air(session: Session, shed: Place) -> None:
    done(session, keep_air, AirEntry("shed", datetime(2024, 4, 1, tzinfo=UTC), 12.0, 60.0))
    before = exported(session)
    struck = _strike(session, shed)
    assert (shed.struck_at, shed.struck_why) == (struck.at, WHY)
    assert (months_of(session, shed), air_at(session, shed)) == ([], [])
    undo(session, struck)
    assert exported(session) == before
    _strike(session, shed)
    # Its name is free again.
    set_up_place(session, sitting(session), SHED)


def test_a_stack_goes_with_where_it_stood_and_what_happened(session: Session, stack: Stack) -> None:
    loft = set_up_place(session, sitting(session), LOFT)
    done(session, move_stack, stack, loft, LATER)
    done(session, note_event, stack, "covered", LATER)
    make_round(session, stack)
    make_air(session, stack_id=stack.id)
    before = exported(session)
    struck = _strike(session, stack)
    after = exported(session)
    assert (events_of(session, stack), rounds_of(session, stack)) == ([], [])
    assert after["moves.csv"].count(b"\n") == 1
    undo(session, struck)
    assert exported(session) == before
    assert len(events_of(session, stack)) == 1


def test_a_board_goes_with_where_it_lay(session: Session, stack: Stack) -> None:
    (board,) = add_boards(session, sitting(session), stack, [BOARD])
    done(session, note_event, board, "end check", LATER)
    before = exported(session)
    struck = _strike(session, board)
    assert (stays_of_board(session, board), events_of(session, board)) == ([], [])
    # Nothing holds the stack any more.
    undo(session, _strike(session, stack))
    undo(session, struck)
    assert exported(session) == before


def test_single_records(session: Session, stack: Stack) -> None:
    batch = sitting(session)
    air = keep_air(session, batch, AirEntry("shed", datetime(2024, 4, 1, tzinfo=UTC), 12.0, 60.0))
    event = note_event(session, batch, stack, "covered", LATER)
    meter = set_up_meter(session, batch, MeterEntry("m1"))
    log = keep_log(session, batch, LogEntry("L1", "white oak"))
    witness = keep_witness(session, batch, WitnessEntry("Z", "shed", "white oak", 32.0))
    for record in (air, event, meter, log, witness):
        struck = _strike(session, record)
        assert not record.is_live
        undo(session, struck)
        assert record.is_live


def test_a_place_where_stacks_stood(session: Session, shed: Place, stack: Stack) -> None:
    _refused(session, shed, "The stack “A” stood at the place “shed”. Strike it out first.")
    loft = set_up_place(session, sitting(session), LOFT)
    done(session, move_stack, stack, loft, LATER)
    build_stack(session, sitting(session), replace(STACK, stack="B"))
    _refused(session, shed, "The stack “A” and 1 more stood at the place “shed”. Strike them out")


def test_a_place_where_witness_boards_lie(session: Session, shed: Place) -> None:
    witness = keep_witness(session, sitting(session), WitnessEntry("Z", "shed", "white oak", 32.0))
    _refused(session, shed, "The witness board “Z” lies at the place “shed”")
    _strike(session, witness)
    _strike(session, shed)


def test_a_stack_in_which_boards_ever_lay(session: Session, stack: Stack) -> None:
    boards = add_boards(
        session, sitting(session), stack, [replace(BOARD, board=f"W{n}") for n in range(12)]
    )
    done(session, move_board, boards[0], None, LATER)
    _refused(session, stack, "The board “W0” and 11 more lay in the stack “A”. Strike them out")
    for board in boards:
        _strike(session, board)
    _strike(session, stack)


def test_what_was_read(session: Session, stack: Stack) -> None:
    (board,) = add_boards(session, sitting(session), stack, [BOARD])
    meter = set_up_meter(session, sitting(session), MeterEntry("m1"))
    witness = keep_witness(session, sitting(session), WitnessEntry("Z", "shed", "white oak", 32.0))
    (reading,) = log_reading(session, sitting(session), replace(READING, meter="m1"))
    (other,) = log_witness_reading(session, sitting(session), replace(READING, board="Z"))
    said = "The reading 13.5 of “W7” on 2024-04-01 "
    _refused(session, board, said + "belongs to the board “W7”. Strike it out first.")
    _refused(session, meter, said + "was taken with the meter “m1”")
    _refused(session, witness, "The reading 13.5 of “Z” on 2024-04-01 belongs to the witness board")
    for struck in (reading, other):
        done(session, strike_reading, struck, "slip")
    for record in (board, meter, witness):
        _strike(session, record)


def test_a_log_whose_boards_are_in_the_yard(session: Session, stack: Stack) -> None:
    log = keep_log(session, sitting(session), LogEntry("L1", "white oak"))
    done(session, note_event, log, "ends sealed", LATER)
    (board,) = add_boards(session, sitting(session), stack, [replace(BOARD, log="L1")])
    _refused(session, log, "The board “W7” came from the log “L1”")
    _strike(session, board)
    _strike(session, log)
    assert events_of(session, log) == []


def test_striking_twice_and_without_a_reason(session: Session, stack: Stack) -> None:
    with pytest.raises(Refused, match="a text of one line"):
        done(session, strike_record, stack, " ")
    assert stack.is_live
    _strike(session, stack)
    with pytest.raises(Conflict, match="The stack “A” is already struck out"):
        _strike(session, stack)
