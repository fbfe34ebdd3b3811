"""Boards: sawn pieces, and the stacks they lay in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sqlalchemy import CheckConstraint, ColumnElement, ForeignKey, and_, func, or_, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.database import in_order, not_negative, unique_while_live
from webapp.records.log import Log
from webapp.records.record import Record
from webapp.records.stack import Stack

_AT_ONCE = 500


class Board(Record):
    """One sawn piece; its sizes are rough, as sawn."""

    __tablename__ = "board"
    __table_args__ = (
        unique_while_live("board", "mark"),
        CheckConstraint("thickness_mm > 0", name="thickness_mm"),
        not_negative("width_mm"),
        not_negative("width_end_mm"),
        not_negative("length_mm"),
        not_negative("target_pct"),
    )

    mark: Mapped[str]
    code: Mapped[str] = mapped_column(unique=True)
    species: Mapped[str]
    thickness_mm: Mapped[float]
    width_mm: Mapped[float | None]
    width_end_mm: Mapped[float | None]
    length_mm: Mapped[float | None]
    grain: Mapped[str | None]
    sawn_on: Mapped[date | None]
    log_id: Mapped[int | None] = mapped_column(ForeignKey("log.id"), index=True)
    turn: Mapped[str | None]
    target_pct: Mapped[float | None]
    borate: Mapped[str | None]

    log: Mapped[Log | None] = relationship()
    stays: Mapped[list[BoardStay]] = relationship(
        back_populates="board", order_by="BoardStay.from_on, BoardStay.id"
    )


class BoardStay(Record):
    """A board in a stack from a day on, and why it came; no stack: it lies in none here."""

    __tablename__ = "board_stay"
    # An open stay is closed, and the closing flushed, before the next one begins.
    __table_args__ = (
        unique_while_live("board_stay", "board_id", also=" AND until_on IS NULL"),
        in_order("from_on", "until_on"),
    )

    board_id: Mapped[int] = mapped_column(ForeignKey("board.id"), index=True)
    stack_id: Mapped[int | None] = mapped_column(ForeignKey("stack.id"), index=True)
    from_on: Mapped[date]
    until_on: Mapped[date | None]
    layer: Mapped[int | None]
    position: Mapped[int | None]
    why: Mapped[str | None]

    board: Mapped[Board] = relationship(back_populates="stays")
    stack: Mapped[Stack | None] = relationship(back_populates="board_stays")

    @classmethod
    def holds_on(cls, day: date) -> ColumnElement[bool]:
        """Select the live stays that cover a day; on the day of a move, the new one."""
        still = or_(cls.until_on.is_(None), cls.until_on > day)
        return and_(cls.live(), cls.from_on <= day, still)


def board_marked(session: Session, mark: str) -> Board | None:
    """Bring the live board with this mark."""
    return session.scalars(select(Board).where(Board.live(), Board.mark == mark)).one_or_none()


def boards_marked(session: Session, marks: Sequence[str]) -> dict[str, Board]:
    """Bring the live boards with any of these marks, by mark."""
    found: dict[str, Board] = {}
    for start in range(0, len(marks), _AT_ONCE):
        some = marks[start : start + _AT_ONCE]
        wanted = select(Board).where(Board.live(), Board.mark.in_(some))
        found |= {board.mark: board for board in session.scalars(wanted)}
    return found


def board_coded(session: Session, code: str) -> Board | None:
    """Bring the live board with this label code, however its letters are typed."""
    wanted = select(Board).where(Board.live(), Board.code == code.strip().upper())
    return session.scalars(wanted).one_or_none()


def live_boards(session: Session) -> Sequence[Board]:
    """List the live boards by mark."""
    return session.scalars(select(Board).where(Board.live()).order_by(Board.mark)).all()


def marks_in_use(session: Session) -> frozenset[str]:
    """Bring the marks of all live boards."""
    return frozenset(session.scalars(select(Board.mark).where(Board.live())))


def boards_of(session: Session, stack: Stack, day: date) -> Sequence[Board]:
    """List the live boards that lie in a stack on a day, by mark."""
    stay = select(BoardStay.board_id).where(BoardStay.holds_on(day), BoardStay.stack_id == stack.id)
    wanted = select(Board).where(Board.live(), Board.id.in_(stay))
    return session.scalars(wanted.order_by(Board.mark)).all()


def stays_of_board(session: Session, board: Board) -> Sequence[BoardStay]:
    """List where a board has lain, oldest first."""
    wanted = select(BoardStay).where(BoardStay.live(), BoardStay.board_id == board.id)
    return session.scalars(wanted.order_by(BoardStay.from_on, BoardStay.id)).all()


def stack_of(session: Session, board: Board, day: date) -> Stack | None:
    """Bring the stack a board lies in on a day."""
    stay = select(BoardStay.stack_id).where(BoardStay.holds_on(day), BoardStay.board_id == board.id)
    return session.scalars(select(Stack).where(Stack.id.in_(stay))).one_or_none()


def first_stacked(session: Session) -> dict[int, date]:
    """Bring the day each board first lay in a stack, by the boards' keys."""
    wanted = select(BoardStay.board_id, func.min(BoardStay.from_on)).where(
        BoardStay.live(), BoardStay.stack_id.is_not(None)
    )
    return dict(session.execute(wanted.group_by(BoardStay.board_id)).all())


def ever_filled(session: Session) -> set[int]:
    """Bring the keys of the stacks that a live board has lain in, or will."""
    wanted = select(BoardStay.stack_id).join(Board).where(BoardStay.live(), Board.live())
    return {key for key in session.scalars(wanted.distinct()) if key is not None}
