"""Readings: what the meter showed, never changed, only struck."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from enum import StrEnum
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, Select, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.board import Board
from webapp.records.database import one_of
from webapp.records.meter import Meter
from webapp.records.record import Record
from webapp.records.round import Round
from webapp.records.witness_board import WitnessBoard


class Depth(StrEnum):
    """How deep in the board the meter felt."""

    SHELL = "shell"
    QUARTER = "quarter"
    CORE = "core"
    MEAN = "mean"


class Reading(Record):
    """One hit of a meter on a board or a witness board: its text as shown, and the number in it."""

    __tablename__ = "reading"
    __table_args__ = (
        CheckConstraint("(board_id IS NULL) <> (witness_board_id IS NULL)", name="one_subject"),
        CheckConstraint('NOT ("over" AND under)', name="one_side"),
        CheckConstraint('value IS NOT NULL OR "over" OR under', name="something_shown"),
        one_of("depth", Depth),
        Index("ix_reading_board_id_read_on", "board_id", "read_on"),
    )

    board_id: Mapped[int | None] = mapped_column(ForeignKey("board.id"))
    witness_board_id: Mapped[int | None] = mapped_column(ForeignKey("witness_board.id"), index=True)
    round_id: Mapped[int | None] = mapped_column(ForeignKey("round.id"), index=True)
    meter_id: Mapped[int | None] = mapped_column(ForeignKey("meter.id"))
    read_on: Mapped[date]
    read_at: Mapped[datetime | None]
    phone_at: Mapped[datetime | None]
    shown: Mapped[str]
    value: Mapped[float | None]
    over: Mapped[bool] = mapped_column(default=False)
    under: Mapped[bool] = mapped_column(default=False)
    wood_temperature_c: Mapped[float | None]
    depth: Mapped[str | None]
    spot: Mapped[str | None]
    hit: Mapped[int | None]
    note: Mapped[str | None]
    read_by: Mapped[str | None]
    replaces_id: Mapped[int | None] = mapped_column(ForeignKey("reading.id"))
    struck_on: Mapped[date | None]

    board: Mapped[Board | None] = relationship()
    witness_board: Mapped[WitnessBoard | None] = relationship()
    round: Mapped[Round | None] = relationship()
    meter: Mapped[Meter | None] = relationship()
    replaces: Mapped[Reading | None] = relationship(remote_side="Reading.id")


def readings_of(
    session: Session, board: Board | WitnessBoard, *, struck_too: bool = False
) -> Sequence[Reading]:
    """List the readings of a board or witness board, oldest first."""
    wanted = _of(board).order_by(Reading.read_on, Reading.read_at, Reading.id)
    if not struck_too:
        wanted = wanted.where(Reading.live())
    return session.scalars(wanted).all()


def last_reading_of(
    session: Session, board: Board | WitnessBoard, until: date | None = None
) -> Reading | None:
    """Bring the latest live reading of a board, not later than a day if one is given."""
    wanted = _of(board).where(Reading.live())
    if until is not None:
        wanted = wanted.where(Reading.read_on <= until)
    newest = (Reading.read_on.desc(), Reading.read_at.desc().nulls_last(), Reading.id.desc())
    return session.scalars(wanted.order_by(*newest).limit(1)).one_or_none()


def reading_known_as(session: Session, uid: UUID) -> Reading | None:
    """Bring the reading with this outer key, struck or not."""
    return session.scalars(select(Reading).where(Reading.uid == uid)).one_or_none()


def _of(board: Board | WitnessBoard) -> Select[Reading]:
    subject = Reading.board_id if isinstance(board, Board) else Reading.witness_board_id
    return select(Reading).where(subject == board.id)
