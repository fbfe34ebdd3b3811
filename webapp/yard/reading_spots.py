"""Where, how deep and with what the boards of a stack were read: counts, to judge what they tell.

References
----------
.. [1] Parabolic moisture profile of a drying board: its mean lies 0.211 of the thickness below
   the face, where 1 - (1 - 2x)^2 = 2/3. "Insulated needles at 1/5 to 1/4 of the thickness read
   the average" (James 1988, FPL-GTR-6; remembered) agrees.
.. [2] Batista et al. 2017, Floresta e Ambiente: depths of 0.25 and 0.5 of the thickness, to see
   the gradient of air-dried 40 mm teak (seen).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from sqlalchemy import select

from webapp.drying.reading_error import HIGHEST_NUMBER_PCT
from webapp.records.board import Board, boards_of
from webapp.records.meter import Meter
from webapp.records.reading import Depth, Reading
from webapp.yard.correct_readings import SIDE_SPOTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.records.stack import Stack

# A needle that ends above this share of the thickness feels the outside of the board [1]_.
MEAN_AT_SHARE = 0.211
# Nails driven in for good reach deeper than the needles of the meter that is put to them.
FIXED_NAILS = "nails"


@dataclass(frozen=True)
class MeterUse:
    """A meter and how many readings were taken with it; without a name it was not noted."""

    name: str | None
    kind: str | None
    needle_mm: float | None
    insulated: bool | None
    readings: int


@dataclass(frozen=True)
class Shallow:
    """Readings of the outside: how many, and the thickest board with its needle, if it is known."""

    readings: int
    needle_mm: float | None = None
    thickness_mm: float | None = None


@dataclass(frozen=True)
class Taken:
    """Some readings, counted; a spot or depth that nobody noted counts under an empty word."""

    last_on: date
    days: int
    boards: int
    readings: int
    spots: Mapping[str, int]
    depths: Mapping[str, int]
    meters: tuple[MeterUse, ...]
    at_sides: int
    over: int
    shallow: Shallow


@dataclass(frozen=True)
class ReadingSpots:
    """The readings of a stack's boards: those of the last round, and all."""

    board_count: int
    last: Taken | None
    every: Taken | None


class _Read(NamedTuple):
    """One reading as it counts here."""

    board_id: int
    read_on: date
    round_id: int | None
    spot: str | None
    depth: str | None
    hit: int | None
    meter_id: int | None
    thickness_mm: float
    meter: str | None
    kind: str | None
    needle_mm: float | None
    insulated: bool | None
    over: bool
    value: float | None

    @property
    def once(self) -> tuple[object, ...]:
        """What hits of one reading have in common."""
        return self.board_id, self.read_on, self.round_id, self.spot, self.depth, self.meter_id

    @property
    def beyond(self) -> bool:
        """Whether the board was wetter than a meter can tell, whatever it showed."""
        return self.over or (self.value is not None and self.value > HIGHEST_NUMBER_PCT)

    @property
    def of_the_outside(self) -> bool:
        """Whether it tells of the outside of the board."""
        if self.depth is not None or self.spot == FIXED_NAILS:
            return self.depth == Depth.SHELL
        return self.needle_mm is not None and self.needle_mm < MEAN_AT_SHARE * self.thickness_mm


def reading_spots(session: Session, stack: Stack, as_of: date) -> ReadingSpots:
    """Count the live readings of the boards that lie in a stack, none after the day."""
    lying = boards_of(session, stack, as_of)
    count = max(stack.board_count or 0, len(lying))
    read = _readings(session, [board.id for board in lying], as_of)
    if not read:
        return ReadingSpots(count, None, None)
    newest = max(row.read_on for row in read)
    rounds = {row.round_id for row in read if row.read_on == newest} - {None}
    last = [row for row in read if row.read_on == newest or row.round_id in rounds]
    return ReadingSpots(count, _counted(last), _counted(read))


def _readings(session: Session, boards: Sequence[int], as_of: date) -> list[_Read]:
    """Bring the readings, several hits of one reading once."""
    wanted = (
        select(
            Reading.board_id,
            Reading.read_on,
            Reading.round_id,
            Reading.spot,
            Reading.depth,
            Reading.hit,
            Reading.meter_id,
            Board.thickness_mm,
            Meter.name,
            Meter.kind,
            Meter.needle_mm,
            Meter.insulated,
            Reading.over,
            Reading.value,
        )
        .join(Board, Reading.board_id == Board.id)
        .outerjoin(Meter, Reading.meter_id == Meter.id)
        .where(Reading.live(), Reading.board_id.in_(boards), Reading.read_on <= as_of)
        .order_by(Reading.read_on, Reading.id)
    )
    rows = [_Read._make(row) for row in session.execute(wanted)]
    hits = {row.once: row for row in rows if row.hit is not None}
    return [row for row in rows if row.hit is None] + list(hits.values())


def _counted(rows: Sequence[_Read]) -> Taken:
    """Count some readings, at least one."""
    return Taken(
        last_on=max(row.read_on for row in rows),
        days=len({row.read_on for row in rows}),
        boards=len({row.board_id for row in rows}),
        readings=len(rows),
        spots=_often(row.spot for row in rows),
        depths=_often(row.depth for row in rows),
        meters=_meters(rows),
        at_sides=sum(row.spot in SIDE_SPOTS for row in rows),
        over=sum(row.beyond for row in rows),
        shallow=_shallow([row for row in rows if row.of_the_outside]),
    )


def _often(words: Iterable[str | None]) -> dict[str, int]:
    """Count words, the most frequent first."""
    return dict(Counter(word or "" for word in words).most_common())


def _meters(rows: Sequence[_Read]) -> tuple[MeterUse, ...]:
    """Count the meters, the most used first."""
    used = Counter((row.meter, row.kind, row.needle_mm, row.insulated) for row in rows)
    return tuple(MeterUse(*meter, count) for meter, count in used.most_common())


def _shallow(rows: Sequence[_Read]) -> Shallow:
    """Sum up the readings of the outside."""
    by_needle = [row for row in rows if row.depth is None]
    if not by_needle:
        return Shallow(len(rows))
    worst = max(by_needle, key=lambda row: (row.thickness_mm, -(row.needle_mm or 0.0)))
    return Shallow(len(rows), worst.needle_mm, worst.thickness_mm)
