"""Check that stays hold together, and that readings lie within them, after days were changed."""

from datetime import date

from sqlalchemy import ColumnElement, Select, and_, exists, or_, select
from sqlalchemy.orm import Session, aliased

from webapp.problems import Conflict
from webapp.records import Batch, Board, BoardStay, Reading, Round, Stack, StackStay
from webapp.records.batch import changed_in

Keys = Select[int]


def check_stays(session: Session, batch: Batch) -> None:
    """Refuse if what a batch changed leaves a board or a reading without its stack."""
    boards, stacks = _boards(batch), _stacks(batch)
    _check_standing(session, stacks)
    _check_boards(session, boards)
    _check_readings(session, boards)
    _check_rounds(session, boards)


def _stacks(batch: Batch) -> Keys:
    return select(StackStay.stack_id).where(StackStay.uid.in_(changed_in(batch, "stack_stay")))


def _boards(batch: Batch) -> Keys:
    """Select the boards whose stays, stacks or readings the batch changed."""
    moved = BoardStay.uid.in_(changed_in(batch, "board_stay"))
    with_stack = BoardStay.stack_id.in_(_stacks(batch))
    read = select(Reading.board_id).where(Reading.uid.in_(changed_in(batch, "reading")))
    lying = select(BoardStay.board_id).where(or_(moved, with_stack))
    return select(Board.id).where(Board.live(), or_(Board.id.in_(lying), Board.id.in_(read)))


def _check_standing(session: Session, stacks: Keys) -> None:
    later = aliased(StackStay)
    wanted = (
        select(Stack.mark, later.from_on)
        .join(StackStay, StackStay.stack_id == Stack.id)
        .join(later, and_(later.stack_id == Stack.id, later.from_on == StackStay.until_on))
        .where(Stack.live(), Stack.id.in_(stacks))
        .where(StackStay.live(), later.struck_at.is_(None))
        .where(later.place_id == StackStay.place_id)
    )
    for mark, day in session.execute(wanted.limit(1)):
        raise Conflict(f"Stack “{mark}” would be moved on {day} to where it stands already.")


def _check_boards(session: Session, boards: Keys) -> None:
    stands = exists().where(
        StackStay.live(),
        StackStay.stack_id == BoardStay.stack_id,
        StackStay.from_on <= BoardStay.from_on,
    )
    wanted = (
        select(Board.mark, Stack.mark, BoardStay.from_on)
        .join(BoardStay, BoardStay.board_id == Board.id)
        .join(Stack, BoardStay.stack_id == Stack.id)
        .where(BoardStay.live(), Board.id.in_(boards), ~stands)
        .order_by(BoardStay.from_on, Board.mark)
    )
    for board, stack, day in session.execute(wanted.limit(1)):
        raise Conflict(
            f"Board “{board}” lies in stack “{stack}” since {day}; the stack would begin later."
        )


def _check_readings(session: Session, boards: Keys) -> None:
    lay = exists().where(BoardStay.stack_id.is_not(None), _covers())
    wanted = _readings(boards).where(~lay)
    for shown, mark, day in session.execute(wanted):
        raise Conflict(
            f"“{mark}” showed {shown} on {day}; on that day it would lie in none of the yard's "
            "stacks."
        )


def _check_rounds(session: Session, boards: Keys) -> None:
    lay = exists().where(BoardStay.stack_id == Round.stack_id, _covers())
    wanted = _readings(boards).join(Reading.round).where(Round.live(), ~lay)
    for shown, mark, day in session.execute(wanted):
        raise Conflict(
            f"“{mark}” showed {shown} on {day} in a round of a stack where it would not lie then."
        )


def _readings(boards: Keys) -> Select[str, str, date]:
    """Select readings in the form they are told, struck ones too: files carry them as well."""
    wanted = select(Reading.shown, Board.mark, Reading.read_on).join(Reading.board)
    wanted = wanted.join(Reading.batch).where(Batch.undone_at.is_(None))
    return wanted.where(Reading.board_id.in_(boards)).order_by(Reading.id).limit(1)


def _covers() -> ColumnElement[bool]:
    """Select stays over a reading's day; on the day of a move, both."""
    return and_(
        BoardStay.live(),
        BoardStay.board_id == Reading.board_id,
        BoardStay.from_on <= Reading.read_on,
        or_(BoardStay.until_on.is_(None), BoardStay.until_on >= Reading.read_on),
    )
