"""Checked answers: one dataclass for each thing a person writes down."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID


@dataclass(frozen=True)
class PlaceEntry:
    """A place and the mean air of its twelve months, January first."""

    place: str
    kind: str
    temperature_c: tuple[float, ...]
    rh_pct: tuple[float, ...]
    air_of: str = "place"
    uid: UUID | None = None


@dataclass(frozen=True)
class AirEntry:
    """The air once measured at a place."""

    place: str
    at: datetime
    temperature_c: float
    rh_pct: float
    uid: UUID | None = None


@dataclass(frozen=True)
class MeterEntry:
    """A meter and how it is set."""

    meter: str
    kind: str = "pin"
    scale: str = "as_shown"
    temperature: str = "compensated"
    over_range_pct: float | None = None
    under_range_pct: float | None = None
    needle_mm: float | None = None
    insulated: bool | None = None
    uid: UUID | None = None


@dataclass(frozen=True)
class LogEntry:
    """A log before sawing."""

    log: str
    species: str
    stood_at: str | None = None
    stood_as: str | None = None
    felled_on: date | None = None
    sawn_on: date | None = None
    length_mm: float | None = None
    diameter_mm: float | None = None
    ends_sealed_on: date | None = None
    bark_off_on: date | None = None
    insects: str | None = None
    metal: str | None = None
    decision: str | None = None
    note: str | None = None
    uid: UUID | None = None


@dataclass(frozen=True)
class StackEntry:
    """A stack, and where and when it was first set up."""

    stack: str
    place: str
    stacked_on: date
    name: str | None = None
    stickers_mm: float | None = None
    spacing_mm: float | None = None
    kept_as: str | None = None
    held_by: str | None = None
    board_count: int | None = None
    target_pct: float | None = None
    use: str | None = None
    visit_days: int | None = None
    note: str | None = None
    uid: UUID | None = None


@dataclass(frozen=True)
class BoardEntry:
    """A board as it is laid in a stack; sizes rough, as sawn."""

    board: str
    species: str
    thickness_mm: float
    stacked_on: date
    width_mm: float | None = None
    width_end_mm: float | None = None
    length_mm: float | None = None
    sawn_on: date | None = None
    grain: str | None = None
    log: str | None = None
    turn: str | None = None
    target_pct: float | None = None
    borate: str | None = None
    layer: int | None = None
    position: int | None = None
    uid: UUID | None = None


@dataclass(frozen=True)
class WitnessEntry:
    """A witness board: a long-dry offcut kept at a place."""

    board: str
    place: str
    species: str
    thickness_mm: float
    known_dry_since: date | None = None
    note: str | None = None
    uid: UUID | None = None
