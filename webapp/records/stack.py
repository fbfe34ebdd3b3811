"""Stacks: boards on stickers, and the places they stood at."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING
from uuid import UUID

from sqlalchemy import ColumnElement, ForeignKey, and_, or_, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.database import in_order, not_negative, unique_while_live
from webapp.records.place import Place
from webapp.records.record import Record

if TYPE_CHECKING:
    from webapp.records.board import BoardStay


class Stack(Record):
    """A stack; its boards may be listed one by one, or only counted."""

    __tablename__ = "stack"
    __table_args__ = (
        unique_while_live("stack", "mark"),
        not_negative("stickers_mm"),
        not_negative("spacing_mm"),
        not_negative("board_count"),
        not_negative("target_pct"),
    )

    mark: Mapped[str]
    code: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str | None]
    stickers_mm: Mapped[float | None]
    spacing_mm: Mapped[float | None]
    kept_as: Mapped[str | None]
    held_by: Mapped[str | None]
    board_count: Mapped[int | None]
    target_pct: Mapped[float | None]
    use: Mapped[str | None]
    visit_days: Mapped[int | None]
    note: Mapped[str | None]

    stays: Mapped[list[StackStay]] = relationship(
        back_populates="stack", order_by="StackStay.from_on, StackStay.id"
    )
    board_stays: Mapped[list[BoardStay]] = relationship(
        back_populates="stack", order_by="BoardStay.from_on, BoardStay.id"
    )


class StackStay(Record):
    """A stack at a place, from a day until another (empty: it still stands there)."""

    __tablename__ = "stack_stay"
    # An open stay is closed, and the closing flushed, before the next one begins.
    __table_args__ = (
        unique_while_live("stack_stay", "stack_id", also=" AND until_on IS NULL"),
        in_order("from_on", "until_on"),
    )

    stack_id: Mapped[int] = mapped_column(ForeignKey("stack.id"), index=True)
    place_id: Mapped[int] = mapped_column(ForeignKey("place.id"), index=True)
    from_on: Mapped[date]
    until_on: Mapped[date | None]

    stack: Mapped[Stack] = relationship(back_populates="stays")
    place: Mapped[Place] = relationship()

    @classmethod
    def holds_on(cls, day: date) -> ColumnElement[bool]:
        """Select the live stays that cover a day; on the day of a move, the new one."""
        still = or_(cls.until_on.is_(None), cls.until_on > day)
        return and_(cls.live(), cls.from_on <= day, still)


def stack_marked(session: Session, mark: str) -> Stack | None:
    """Bring the live stack with this mark."""
    return session.scalars(select(Stack).where(Stack.live(), Stack.mark == mark)).one_or_none()


def stack_coded(session: Session, code: str) -> Stack | None:
    """Bring the live stack with this label code, however its letters are typed."""
    wanted = select(Stack).where(Stack.live(), Stack.code == code.strip().upper())
    return session.scalars(wanted).one_or_none()


def stack_known_as(session: Session, uid: UUID) -> Stack | None:
    """Bring the stack with this outer key, struck or not."""
    return session.scalars(select(Stack).where(Stack.uid == uid)).one_or_none()


def live_stacks(session: Session) -> Sequence[Stack]:
    """List the live stacks by mark."""
    return session.scalars(select(Stack).where(Stack.live()).order_by(Stack.mark)).all()


def stays_of_stack(session: Session, stack: Stack) -> Sequence[StackStay]:
    """List where a stack has stood, oldest first."""
    wanted = select(StackStay).where(StackStay.live(), StackStay.stack_id == stack.id)
    return session.scalars(wanted.order_by(StackStay.from_on, StackStay.id)).all()


def stays_at(session: Session, place: Place) -> Sequence[StackStay]:
    """List what stood or stands at a place, oldest first."""
    wanted = select(StackStay).where(StackStay.live(), StackStay.place_id == place.id)
    return session.scalars(wanted.order_by(StackStay.from_on, StackStay.id)).all()


def place_of(session: Session, stack: Stack, day: date) -> Place | None:
    """Bring the place where a stack stands on a day."""
    stay = select(StackStay.place_id).where(StackStay.holds_on(day), StackStay.stack_id == stack.id)
    return session.scalars(select(Place).where(Place.id.in_(stay))).one_or_none()


def places_on(session: Session, day: date) -> dict[int, Place]:
    """Bring the places where all stacks stand on a day, by the stacks' keys."""
    wanted = select(StackStay.stack_id, Place).join(Place).where(StackStay.holds_on(day))
    return dict(session.execute(wanted).all())
