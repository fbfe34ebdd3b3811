"""Rounds: visits to a stack, with the air that day."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.database import in_order, unique_while_live
from webapp.records.record import Record
from webapp.records.stack import Stack


class Round(Record):
    """One visit to one stack."""

    __tablename__ = "round"
    __table_args__ = (
        unique_while_live("round", "mark"),
        in_order("started_at", "ended_at"),
        CheckConstraint("rh_pct BETWEEN 0 AND 100", name="rh_pct"),
    )

    mark: Mapped[str]
    stack_id: Mapped[int] = mapped_column(ForeignKey("stack.id"), index=True)
    started_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    temperature_c: Mapped[float | None]
    rh_pct: Mapped[float | None]
    person: Mapped[str | None]
    device: Mapped[str | None]

    stack: Mapped[Stack] = relationship()


def round_marked(session: Session, mark: str) -> Round | None:
    """Bring the live round with this mark."""
    return session.scalars(select(Round).where(Round.live(), Round.mark == mark)).one_or_none()


def rounds_of(session: Session, stack: Stack) -> Sequence[Round]:
    """List the live rounds of a stack, oldest first."""
    wanted = select(Round).where(Round.live(), Round.stack_id == stack.id)
    return session.scalars(wanted.order_by(Round.started_at, Round.id)).all()
