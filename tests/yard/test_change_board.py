"""A board changed or struck out, and all of it undone."""

from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy.orm import Session

from tests.yard.undoing import (
    BOARD,
    LOFT,
    READING,
    SHED,
    STACK,
    STACKED,
    done,
    exported,
    sitting,
    undo,
)
from webapp.entry.entries import BoardEntry, LogEntry
from webapp.problems import Conflict, NotFound, Problem, Refused
from webapp.records import Board, Stack
from webapp.records.board import board_marked, stays_of_board
from webapp.records.stack import stack_marked
from webapp.yard.add_boards import add_boards
from webapp.yard.build_stack import build_stack
from webapp.yard.change_board import change_board
from webapp.yard.keep_log import keep_log
from webapp.yard.log_reading import log_reading
from webapp.yard.move_board import move_board
from webapp.yard.note_event import note_event
from webapp.yard.set_up_place import set_up_place
from webapp.yard.strike_record import strike_record

CHANGED = replace(
    BOARD,
    board="W9",
    species="Fraxinus americana",
    thickness_mm=40.0,
    width_mm=180.0,
    width_end_mm=210.0,
    length_mm=2400.0,
    grain="quarter",
    sawn_on=date(2024, 2, 20),
    log="L1",
    turn="3 of 9",
    target_pct=12.0,
    borate="dipped",
    stacked_on=date(2024, 3, 5),
)


@pytest.fixture
def yard(session: Session) -> Session:
    """Two stacks, the later one empty; one board, and another beside it."""
    for place in (SHED, LOFT):
        done(session, set_up_place, place)
    for entry in (STACK, replace(STACK, stack="B", place="loft", stacked_on=date(2024, 4, 1))):
        done(session, build_stack, entry)
    done(session, keep_log, LogEntry("L1", "white ash"))
    done(session, add_boards, _stack(session, "A"), [BOARD, replace(BOARD, board="W8")])
    return session


def test_a_board_is_changed_and_that_is_undone(yard: Session) -> None:
    before, board = exported(yard), _board(yard)
    batch = done(yard, change_board, board, CHANGED)
    assert (board.mark, board.species, board.thickness_mm) == ("W9", "white ash", 40.0)
    assert (board.width_mm, board.width_end_mm, board.length_mm) == (180.0, 210.0, 2400.0)
    assert (board.turn, board.target_pct, board.borate) == ("3 of 9", 12.0, "dipped")
    assert board.log is not None
    assert board.log.mark == "L1"
    assert stays_of_board(yard, board)[0].from_on == date(2024, 3, 5)
    undo(yard, batch)
    assert exported(yard) == before


def test_a_log_is_taken_away_again(yard: Session) -> None:
    board = _board(yard)
    done(yard, change_board, board, replace(BOARD, log="L1", species="white ash"))
    done(yard, change_board, board, BOARD)
    assert (board.log, board.species) == (None, "white oak")


@pytest.mark.parametrize(
    ("entry", "trouble", "sentence"),
    [
        (replace(BOARD, board="W8"), Conflict, "already a board “W8”"),
        (replace(BOARD, species="oak"), Refused, "white oak"),
        (replace(BOARD, log="L9"), NotFound, "no log “L9”"),
        (replace(BOARD, stacked_on=date(2024, 2, 1)), Refused, "set up on 2024-03-01"),
        (replace(BOARD, stacked_on=date(2024, 4, 5)), Refused, "“W7” moved on 2024-04-05"),
        (replace(BOARD, stacked_on=date(2024, 6, 1)), Refused, "lies in the future"),
        (replace(BOARD, stacked_on=date(2024, 4, 2)), Conflict, "“W7” showed 13.5 on 2024-04-01"),
    ],
)
def test_what_a_board_cannot_be_is_refused(
    yard: Session, entry: BoardEntry, trouble: type[Problem], sentence: str
) -> None:
    done(yard, log_reading, READING)
    done(yard, move_board, _board(yard), _stack(yard, "B"), date(2024, 4, 5))
    with pytest.raises(trouble, match=sentence):
        change_board(yard, sitting(yard), _board(yard), entry)


def test_a_board_is_struck_out_with_its_stays_and_comes_back(yard: Session) -> None:
    board = _board(yard)
    done(yard, move_board, board, _stack(yard, "B"), date(2024, 4, 5))
    done(yard, note_event, board, "wetted", date(2024, 4, 6))
    before = exported(yard)
    batch = done(yard, strike_record, board, "counted twice")
    assert not board.is_live
    assert not stays_of_board(yard, board)
    assert exported(yard) != before
    undo(yard, batch)
    assert exported(yard) == before


def test_the_stays_fixed_on_the_day_are_left_alone(yard: Session) -> None:
    board = _board(yard)
    stay = stays_of_board(yard, board)[0]
    stay.layer, stay.position = 3, 2
    done(yard, change_board, board, replace(BOARD, turn="1 of 4"))
    assert (stay.layer, stay.position, stay.from_on) == (3, 2, STACKED)


def _board(session: Session, mark: str = "W7") -> Board:
    board = board_marked(session, mark)
    assert board is not None
    return board


def _stack(session: Session, mark: str) -> Stack:
    stack = stack_marked(session, mark)
    assert stack is not None
    return stack
