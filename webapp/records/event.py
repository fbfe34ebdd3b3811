"""Events: what happened to a log, a board or a stack."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.board import Board
from webapp.records.log import Log
from webapp.records.record import Record
from webapp.records.stack import Stack

_ONE_SUBJECT = (
    "(CASE WHEN log_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN board_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN stack_id IS NULL THEN 0 ELSE 1 END) = 1"
)


class Event(Record):
    """Something done or seen on a day: sealed, covered, a leak, a fan moved."""

    __tablename__ = "event"
    __table_args__ = (CheckConstraint(_ONE_SUBJECT, name="one_subject"),)

    log_id: Mapped[int | None] = mapped_column(ForeignKey("log.id"), index=True)
    board_id: Mapped[int | None] = mapped_column(ForeignKey("board.id"), index=True)
    stack_id: Mapped[int | None] = mapped_column(ForeignKey("stack.id"), index=True)
    kind: Mapped[str]
    on_date: Mapped[date]
    detail: Mapped[dict[str, Any] | None]
    changes_air: Mapped[bool] = mapped_column(default=False)

    log: Mapped[Log | None] = relationship()
    board: Mapped[Board | None] = relationship()
    stack: Mapped[Stack | None] = relationship()


def events_of(session: Session, subject: Log | Board | Stack) -> Sequence[Event]:
    """List the live events of a log, a board or a stack, oldest first."""
    column = {Log: Event.log_id, Board: Event.board_id, Stack: Event.stack_id}[type(subject)]
    wanted = select(Event).where(Event.live(), column == subject.id)
    return session.scalars(wanted.order_by(Event.on_date, Event.id)).all()
