"""Batches: who brought records in, when and how; and the changes made to records already there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, Select, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.database import Base
from webapp.records.record import Record, new_uid


class Batch(Base):
    """One sitting: a form sent, a folder imported, the demo made, another batch taken back.

    `undone_at` is set while it is undone; `undoes_uid` names the batch that this one undoes.
    """

    __tablename__ = "batch"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[UUID] = mapped_column(unique=True, default=new_uid)
    kind: Mapped[str]
    person: Mapped[str | None]
    at: Mapped[datetime]
    file_hash: Mapped[str | None] = mapped_column(index=True)
    undone_at: Mapped[datetime | None]
    undoes_uid: Mapped[UUID | None] = mapped_column(index=True)


class Change(Base):
    """An edit or strike of a record: the columns that changed, before and after."""

    __tablename__ = "change"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[UUID] = mapped_column(unique=True, default=new_uid)
    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"), index=True)
    table_name: Mapped[str]
    row_uid: Mapped[UUID] = mapped_column(index=True)
    before: Mapped[dict[str, Any]]
    after: Mapped[dict[str, Any]]

    batch: Mapped[Batch] = relationship()


def open_batch(
    session: Session,
    kind: str,
    person: str | None,
    at: datetime,
    file_hash: str | None = None,
    uid: UUID | None = None,
) -> Batch:
    """Open the batch that everything this session writes from now on belongs to.

    A form gives its own outer key, so that the same form sent twice is known again.
    """
    batch = Batch(uid=uid or new_uid(), kind=kind, person=person, at=at, file_hash=file_hash)
    session.add(batch)
    session.flush()
    session.info["batch"] = batch
    return batch


def batch_of(session: Session) -> Batch:
    """Bring the batch this session writes in; one must have been opened."""
    batch: Batch | None = session.info.get("batch")
    if batch is None:
        raise LookupError("records are written in a batch: call open_batch first")
    return batch


def batch_known_as(session: Session, uid: UUID) -> Batch | None:
    """Bring the batch with this outer key."""
    return session.scalars(select(Batch).where(Batch.uid == uid)).one_or_none()


def latest_batches(session: Session, limit: int) -> Sequence[Batch]:
    """List the latest batches, newest first, without those that only take another one back."""
    wanted = select(Batch).where(Batch.undoes_uid.is_(None))
    return session.scalars(wanted.order_by(Batch.id.desc()).limit(limit)).all()


def batch_undoing(session: Session, batch: Batch) -> Batch | None:
    """Bring the batch by which this one is undone now."""
    wanted = select(Batch).where(Batch.undoes_uid == batch.uid, Batch.undone_at.is_(None))
    return session.scalars(wanted.order_by(Batch.id.desc()).limit(1)).one_or_none()


def batch_begun(session: Session, batch: Batch) -> Batch:
    """Bring what an undoing, or the undoing of an undoing, is about in the end."""
    found: Batch | None = batch
    while found is not None and found.undoes_uid is not None:
        batch, found = found, batch_known_as(session, found.undoes_uid)
    return found or batch


def changed_in(batch: Batch, table_name: str) -> Select[UUID]:
    """Select the outer keys of a table's rows that a batch changed."""
    return select(Change.row_uid).where(
        Change.batch_id == batch.id, Change.table_name == table_name
    )


def changes_of(session: Session, record: Record) -> list[Change]:
    """List what happened to a record since it was written down, oldest first."""
    wanted = select(Change).where(
        Change.table_name == record.__tablename__, Change.row_uid == record.uid
    )
    return list(session.scalars(wanted.order_by(Change.id)))
