"""Witness boards: long-dry offcuts that show what this air, meter and wood call dry today."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.database import unique_while_live
from webapp.records.place import Place
from webapp.records.record import Record


class WitnessBoard(Record):
    """An old, long-dry offcut lying at a place."""

    __tablename__ = "witness_board"
    __table_args__ = (
        unique_while_live("witness_board", "mark"),
        CheckConstraint("thickness_mm > 0", name="thickness_mm"),
    )

    mark: Mapped[str]
    place_id: Mapped[int] = mapped_column(ForeignKey("place.id"), index=True)
    species: Mapped[str]
    thickness_mm: Mapped[float]
    known_dry_since: Mapped[date | None]
    note: Mapped[str | None]

    place: Mapped[Place] = relationship()


def witness_board_marked(session: Session, mark: str) -> WitnessBoard | None:
    """Bring the live witness board with this mark."""
    wanted = select(WitnessBoard).where(WitnessBoard.live(), WitnessBoard.mark == mark)
    return session.scalars(wanted).one_or_none()


def witness_board_known_as(session: Session, uid: UUID) -> WitnessBoard | None:
    """Bring the witness board with this outer key, struck or not."""
    return session.scalars(select(WitnessBoard).where(WitnessBoard.uid == uid)).one_or_none()


def live_witness_boards(session: Session) -> Sequence[WitnessBoard]:
    """List the live witness boards by mark."""
    wanted = select(WitnessBoard).where(WitnessBoard.live())
    return session.scalars(wanted.order_by(WitnessBoard.mark)).all()


def witness_boards_at(session: Session, place: Place) -> Sequence[WitnessBoard]:
    """List the live witness boards that lie at a place, by mark."""
    wanted = select(WitnessBoard).where(WitnessBoard.live(), WitnessBoard.place_id == place.id)
    return session.scalars(wanted.order_by(WitnessBoard.mark)).all()
