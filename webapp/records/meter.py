"""Moisture meters and how they are set."""

from collections.abc import Sequence
from enum import StrEnum
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Mapped, Session

from webapp.records.database import in_order, not_negative, one_of, unique_while_live
from webapp.records.record import Record


class MeterKind(StrEnum):
    """How a meter feels the wood."""

    PIN = "pin"
    PINLESS = "pinless"


class MeterScale(StrEnum):
    """What a meter's numbers are counted for: as they stand, or Douglas-fir."""

    AS_SHOWN = "as_shown"
    DOUGLAS_FIR = "douglas_fir"


class MeterTemperature(StrEnum):
    """Whether the meter itself allows for the wood's temperature."""

    COMPENSATED = "compensated"
    NOT_COMPENSATED = "not_compensated"


class Meter(Record):
    """One instrument."""

    __tablename__ = "meter"
    __table_args__ = (
        unique_while_live("meter", "name"),
        one_of("kind", MeterKind),
        one_of("scale", MeterScale),
        one_of("temperature", MeterTemperature),
        in_order("under_range_pct", "over_range_pct"),
        not_negative("needle_mm"),
    )

    name: Mapped[str]
    kind: Mapped[str]
    scale: Mapped[str]
    temperature: Mapped[str]
    over_range_pct: Mapped[float | None]
    under_range_pct: Mapped[float | None]
    needle_mm: Mapped[float | None]
    insulated: Mapped[bool | None]
    note: Mapped[str | None]


def meter_named(session: Session, name: str) -> Meter | None:
    """Bring the live meter of this name."""
    return session.scalars(select(Meter).where(Meter.live(), Meter.name == name)).one_or_none()


def meter_known_as(session: Session, uid: UUID) -> Meter | None:
    """Bring the meter with this outer key, struck or not."""
    return session.scalars(select(Meter).where(Meter.uid == uid)).one_or_none()


def live_meters(session: Session) -> Sequence[Meter]:
    """List the live meters by name."""
    return session.scalars(select(Meter).where(Meter.live()).order_by(Meter.name)).all()
