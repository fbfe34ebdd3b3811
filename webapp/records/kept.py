"""What was worked out and is kept only to save time: it may be thrown away and made anew."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import UniqueConstraint, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.records.database import Base


class YardEffect(Base):
    """What the whole yard teaches the model, as of a day, by one version of the model."""

    __tablename__ = "yard_effect"
    __table_args__ = (UniqueConstraint("version", "as_of"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[str]
    as_of: Mapped[date]
    inputs_hash: Mapped[str | None]
    made_at: Mapped[datetime]
    effects: Mapped[dict[str, Any]]


def yard_effect_for(session: Session, version: str, as_of: date) -> YardEffect | None:
    """Bring the latest effects of this version that use nothing later than a day."""
    wanted = select(YardEffect).where(YardEffect.version == version, YardEffect.as_of <= as_of)
    return session.scalars(wanted.order_by(YardEffect.as_of.desc()).limit(1)).one_or_none()
