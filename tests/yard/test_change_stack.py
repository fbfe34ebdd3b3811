"""A stack changed: its facts, and where and when it was first set up."""

from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.yard.undoing import BOARD, READING, STACK, STACKED, begin, done, exported, sitting, undo
from webapp.entry.entries import StackEntry
from webapp.problems import Problem
from webapp.records import Change, Stack
from webapp.records.batch import changes_of
from webapp.records.stack import stack_marked, stays_of_stack
from webapp.yard.change_board import change_board
from webapp.yard.change_stack import change_stack
from webapp.yard.log_reading import log_reading
from webapp.yard.move_stack import move_stack

CHANGED = replace(
    STACK,
    stack="A2",
    name="storm oak",
    stickers_mm=25.0,
    spacing_mm=600.0,
    kept_as="racked",
    held_by="straps",
    board_count=60,
    target_pct=12.0,
    use="furniture",
    visit_days=30,
    note="north side",
)


@pytest.fixture
def stack(session: Session) -> Stack:
    """Stack A of two boards, one of them read on 1 April."""
    begin(session)
    done(session, log_reading, READING)
    found = stack_marked(session, "A")
    assert found
    return found


def test_its_facts(session: Session, stack: Stack) -> None:
    before = exported(session)
    batch = done(session, change_stack, stack, CHANGED)
    assert stack_marked(session, "A2") is stack
    facts = {name: getattr(stack, name) for name in ("name", "stickers_mm", "use", "board_count")}
    assert facts == {
        "name": "storm oak",
        "stickers_mm": 25.0,
        "use": "furniture",
        "board_count": 60,
    }
    assert (stack.held_by, stack.visit_days, stack.note) == ("straps", 30, "north side")
    undo(session, batch)
    assert exported(session) == before


def test_saved_as_it_was_it_leaves_no_change(session: Session, stack: Stack) -> None:
    done(session, change_stack, stack, STACK)
    assert session.scalars(select(Change)).all() == []


def test_where_and_when_it_was_first_set_up(session: Session, stack: Stack) -> None:
    mended = replace(STACK, place="loft", stacked_on=date(2024, 2, 20))
    done(session, change_stack, stack, mended)
    (first,) = stays_of_stack(session, stack)
    assert (first.place.name, first.from_on) == ("loft", date(2024, 2, 20))
    (change,) = changes_of(session, first)
    assert change.before["from_on"] == "2024-03-01"
    # Its boards lie where they lay.
    assert {stay.from_on for stay in stack.board_stays} == {STACKED}


@pytest.mark.parametrize(
    ("entry", "sentence"),
    [
        (replace(STACK, stack="B"), "already a stack “B”"),
        (replace(STACK, place="barn"), "no place “barn”"),
        (replace(STACK, stacked_on=date(2024, 5, 6)), "in the future"),
        (replace(STACK, stacked_on=date(2024, 3, 2)), "lies in stack “A” since 2024-03-01"),
    ],
)
def test_what_cannot_be(session: Session, stack: Stack, entry: StackEntry, sentence: str) -> None:
    with pytest.raises(Problem, match=sentence):
        done(session, change_stack, stack, entry)


def test_not_after_it_moved_nor_to_where_it_moved(session: Session, stack: Stack) -> None:
    loft = stays_of_stack(session, stack)[0].place
    done(session, change_stack, stack, replace(STACK, place="loft"))
    done(session, move_stack, stack, loft, date(2024, 4, 10))
    with pytest.raises(Problem, match="moved on 2024-04-10; it was set up before that day"):
        done(session, change_stack, stack, replace(STACK, stacked_on=date(2024, 4, 10)))
    with pytest.raises(Problem, match="moved on 2024-04-10 to where it stands already"):
        done(session, change_stack, stack, replace(STACK, place="shed"))


def test_a_reading_keeps_its_board_in_the_stack(session: Session, stack: Stack) -> None:
    board = stack.board_stays[0].board
    with pytest.raises(Problem, match=r"“W7” showed 13\.5 on 2024-04-01; on that day it would lie"):
        done(session, change_board, board, replace(BOARD, stacked_on=date(2024, 4, 2)))


def test_both_at_once_by_one_batch(session: Session, stack: Stack) -> None:
    batch = sitting(session)
    change_stack(session, batch, stack, replace(STACK, stacked_on=date(2024, 2, 1)))
    board = stack.board_stays[0].board
    change_board(session, batch, board, replace(BOARD, stacked_on=date(2024, 2, 1)))
    assert board.stays[0].from_on == date(2024, 2, 1)
