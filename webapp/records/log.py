"""Logs: pieces of trunk or limb before sawing."""

from collections.abc import Sequence
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Mapped, Session

from webapp.records.database import not_negative, unique_while_live
from webapp.records.record import Record


class Log(Record):
    """One log: what it is, where its tree stood, when it was felled, sealed and sawn."""

    __tablename__ = "log"
    __table_args__ = (
        unique_while_live("log", "mark"),
        not_negative("length_mm"),
        not_negative("diameter_mm"),
    )

    mark: Mapped[str]
    species: Mapped[str]
    stood_at: Mapped[str | None]
    stood_as: Mapped[str | None]
    felled_on: Mapped[date | None]
    sawn_on: Mapped[date | None]
    length_mm: Mapped[float | None]
    diameter_mm: Mapped[float | None]
    ends_sealed_on: Mapped[date | None]
    bark_off_on: Mapped[date | None]
    insects: Mapped[str | None]
    metal: Mapped[str | None]
    decision: Mapped[str | None]
    note: Mapped[str | None]


def log_marked(session: Session, mark: str) -> Log | None:
    """Bring the live log with this mark."""
    return session.scalars(select(Log).where(Log.live(), Log.mark == mark)).one_or_none()


def live_logs(session: Session) -> Sequence[Log]:
    """List the live logs by mark."""
    return session.scalars(select(Log).where(Log.live()).order_by(Log.mark)).all()
