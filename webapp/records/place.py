"""Places: where wood dries or is kept, and the air there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from enum import StrEnum
from typing import NamedTuple
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column, relationship

from webapp.records.database import one_of, unique_while_live
from webapp.records.record import Record


class PlaceKind(StrEnum):
    """How open to the weather a place is."""

    OPEN_SHED = "open_shed"
    OUTDOORS = "outdoors"
    UNHEATED = "unheated"
    HEATED = "heated"
    CHAMBER = "chamber"


class AirOf(StrEnum):
    """Whether a place's months tell of the air in it, or of a weather station near it."""

    PLACE = "place"
    STATION = "station"


class Place(Record):
    """A place where stacks stand."""

    __tablename__ = "place"
    __table_args__ = (
        unique_while_live("place", "name"),
        one_of("kind", PlaceKind),
        one_of("air_of", AirOf),
    )

    name: Mapped[str]
    kind: Mapped[str]
    air_of: Mapped[str] = mapped_column(default=AirOf.PLACE)

    months: Mapped[list[PlaceMonth]] = relationship(
        back_populates="place", order_by="PlaceMonth.month"
    )


class PlaceMonth(Record):
    """The mean air of one calendar month at a place."""

    __tablename__ = "place_month"
    __table_args__ = (
        unique_while_live("place_month", "place_id", "month"),
        CheckConstraint("month BETWEEN 1 AND 12", name="month"),
        CheckConstraint("rh_pct BETWEEN 0 AND 100", name="rh_pct"),
    )

    place_id: Mapped[int] = mapped_column(ForeignKey("place.id"))
    month: Mapped[int]
    temperature_c: Mapped[float]
    rh_pct: Mapped[float]

    place: Mapped[Place] = relationship(back_populates="months")


class Air(Record):
    """The air once measured at a place or in a stack."""

    __tablename__ = "air"
    __table_args__ = (
        CheckConstraint("(place_id IS NULL) <> (stack_id IS NULL)", name="one_subject"),
        CheckConstraint("rh_pct BETWEEN 0 AND 100", name="rh_pct"),
    )

    place_id: Mapped[int | None] = mapped_column(ForeignKey("place.id"), index=True)
    stack_id: Mapped[int | None] = mapped_column(ForeignKey("stack.id"), index=True)
    at: Mapped[datetime]
    temperature_c: Mapped[float]
    rh_pct: Mapped[float]

    place: Mapped[Place | None] = relationship()


def place_named(session: Session, name: str) -> Place | None:
    """Bring the live place of this name."""
    return session.scalars(select(Place).where(Place.live(), Place.name == name)).one_or_none()


def place_known_as(session: Session, uid: UUID) -> Place | None:
    """Bring the place of an outer key, struck or not."""
    return session.scalars(select(Place).where(Place.uid == uid)).one_or_none()


def live_places(session: Session) -> Sequence[Place]:
    """List the live places by name."""
    return session.scalars(select(Place).where(Place.live()).order_by(Place.name)).all()


def months_of(session: Session, place: Place) -> Sequence[PlaceMonth]:
    """List the live months of a place, January first."""
    wanted = select(PlaceMonth).where(PlaceMonth.live(), PlaceMonth.place_id == place.id)
    return session.scalars(wanted.order_by(PlaceMonth.month)).all()


def air_at(session: Session, place: Place) -> Sequence[Air]:
    """List the live measurements of the air at a place, oldest first."""
    wanted = select(Air).where(Air.live(), Air.place_id == place.id)
    return session.scalars(wanted.order_by(Air.at, Air.id)).all()


class AirThere(NamedTuple):
    """The air once measured at a place, as far as it counts for a drawing."""

    at: datetime
    temperature_c: float
    rh_pct: float


def air_log_of(session: Session, place: Place) -> list[AirThere]:
    """List what was measured at a place, oldest first, light enough for years of a logger."""
    wanted = select(Air.at, Air.temperature_c, Air.rh_pct)
    wanted = wanted.where(Air.live(), Air.place_id == place.id).order_by(Air.at, Air.id)
    return [AirThere(*row) for row in session.execute(wanted)]
