"""What every record has: its keys, when and with which batch it came, and how it was struck."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING
from uuid import UUID

import uuid_utils.compat
from sqlalchemy import ColumnElement, ForeignKey
from sqlalchemy.orm import Mapped, declared_attr, mapped_column, relationship

from webapp.records.database import Base

if TYPE_CHECKING:
    from webapp.records.batch import Batch


def new_uid() -> UUID:
    """Make an outer key that sorts by the time it was made (UUIDv7)."""
    return uuid_utils.compat.uuid7()


class Record(Base):
    """Something a person wrote down; never deleted, only struck."""

    __abstract__ = True

    id: Mapped[int] = mapped_column(primary_key=True, sort_order=-9)
    uid: Mapped[UUID] = mapped_column(unique=True, default=new_uid, sort_order=-8)
    created_at: Mapped[datetime] = mapped_column(sort_order=-7)
    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"), index=True, sort_order=-6)
    struck_at: Mapped[datetime | None] = mapped_column(sort_order=90)
    struck_by: Mapped[str | None] = mapped_column(sort_order=91)
    struck_why: Mapped[str | None] = mapped_column(sort_order=92)

    @declared_attr
    @classmethod
    def batch(cls) -> Mapped[Batch]:
        """The batch it came in with."""
        return relationship("Batch")

    @classmethod
    def live(cls) -> ColumnElement[bool]:
        """Select what was not struck."""
        return cls.struck_at.is_(None)

    @property
    def is_live(self) -> bool:
        """Whether it still counts."""
        return self.struck_at is None

    def strike(self, at: datetime, by: str | None, why: str) -> None:
        """Strike it out: it stays to be seen, and counts no more."""
        self.struck_at, self.struck_by, self.struck_why = at, by, why
