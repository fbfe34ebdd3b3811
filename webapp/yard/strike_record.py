"""Strike a record that was entered by mistake, with what is part of it."""

from collections.abc import Callable, Iterable
from typing import Any

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records import Air, Board, Log, Place, Reading, Record, Round, Stack
from webapp.records.batch import Batch
from webapp.records.board import stays_of_board
from webapp.records.event import events_of
from webapp.records.place import air_at, months_of
from webapp.records.stack import stays_of_stack
from webapp.yard.checks import short_text
from webapp.yard.hanging import refuse_hanging
from webapp.yard.naming import named, sentence

Parts = Callable[[Session, Any], Iterable[Record]]


def strike_record(session: Session, batch: Batch, record: Record, why: str) -> None:
    """Strike a record out: it stays to be seen, and counts no more.

    Raises Conflict while others hang on it or if it is struck already, Refused without a reason.
    """
    if not record.is_live:
        raise Conflict(f"{sentence(named(record))} is already struck out.")
    told = short_text(why)
    with session.begin_nested():
        for part in (*_PARTS.get(type(record), _none)(session, record), record):
            part.strike(batch.at, batch.person, told)
        session.flush()
        refuse_hanging(session, batch, "Strike {them} out first.")


def _none(_session: Session, _record: Record) -> Iterable[Record]:
    return ()


def _of_place(session: Session, place: Place) -> Iterable[Record]:
    return (*months_of(session, place), *air_at(session, place))


def _of_stack(session: Session, stack: Stack) -> Iterable[Record]:
    """Bring its stays, its air, what happened to it, and the rounds in which nothing was read."""
    was_read = exists().where(Reading.live(), Reading.round_id == Round.id)
    empty = select(Round).where(Round.live(), Round.stack_id == stack.id, ~was_read)
    air = select(Air).where(Air.live(), Air.stack_id == stack.id)
    return (
        *stays_of_stack(session, stack),
        *events_of(session, stack),
        *session.scalars(air),
        *session.scalars(empty),
    )


def _of_board(session: Session, board: Board) -> Iterable[Record]:
    return (*stays_of_board(session, board), *events_of(session, board))


_PARTS: dict[type[Record], Parts] = {
    Board: _of_board,
    Log: events_of,
    Place: _of_place,
    Stack: _of_stack,
}
