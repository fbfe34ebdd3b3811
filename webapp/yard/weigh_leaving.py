"""Weigh leaving a stack where it is against taking it elsewhere, from its recalled verdict."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.leave import SIX_WEEKS_DAYS, YEAR_DAYS, StackAhead, with_steady_room
from webapp.drying.verdict import State
from webapp.records.place import PlaceKind, live_places
from webapp.wood.sorption import equilibrium_moisture_pct
from webapp.yard.lay_out import EPOCH, day_number
from webapp.yard.work_out import work_out

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.drying.arrays import Index
    from webapp.drying.leave import Course
    from webapp.records.stack import Stack

# Assumption, and said to be one: a lived-in room in the heating season, all year.
ROOM_C, ROOM_RH_PCT = 20.0, 45.0
# With this probability something is said to hold the stack up.
LIKELY = 0.6
IN_TROUBLE = frozenset({State.STALLED, State.GETTING_WETTER})
# Of fewer boards there is no middle one.
FEWEST_WITH_A_MIDDLE = 3


@dataclass(frozen=True)
class BoardThen:
    """One board today and on a later day, percent of moisture; ``off_pct`` in points."""

    mark: str
    now_pct: float
    moisture_pct: float
    low_pct: float
    high_pct: float

    @property
    def off_pct(self) -> float:
        """What it would lose; negative for a gain."""
        return self.now_pct - self.moisture_pct


@dataclass(frozen=True)
class Prospect:
    """What may be done with a stack, and where its middle and its wettest board would be then.

    ``place`` is none for where it is, and for the room that is only assumed.
    """

    on: date
    middle: BoardThen
    wettest: BoardThen
    place: str | None = None
    kind: str | None = None


@dataclass(frozen=True)
class Leaving:
    """What leaving a stack or taking it elsewhere for six weeks would take off.

    ``driest`` is the driest day of the coming year if it is left as it stands; ``mended`` the
    driest once the likely trouble is gone, none where there is none; ``summer`` tells whether
    a summer lies before that day, ``summer_ahead`` whether one comes within the year. Of the
    yard's other places the one that takes most off stands first; ``assumed`` is a heated room
    that the yard does not have.
    """

    as_of: date
    kind: str
    boards: int
    read: bool
    thickest_mm: float
    target_pct: float | None
    six_weeks: Prospect
    driest: Prospect
    year_on: Prospect
    summer: bool
    summer_ahead: bool
    mended: Prospect | None
    elsewhere: tuple[Prospect, ...]
    assumed: Prospect | None
    room_pct: float


@dataclass(frozen=True)
class _Chosen:
    """The two boards that speak for a stack, by their row in it."""

    middle: int
    wettest: int
    marks: tuple[str, ...]

    def prospect(
        self, course: Course, place: str | None = None, kind: str | None = None
    ) -> Prospect:
        """Give the two boards of a course of events."""
        on = EPOCH + timedelta(days=round(course.day))
        middle, wettest = (self._board(course, row) for row in (self.middle, self.wettest))
        return Prospect(on, middle, wettest, place, kind)

    def _board(self, course: Course, row: int) -> BoardThen:
        numbers = (course.now_pct, course.moisture_pct, course.low_pct, course.high_pct)
        return BoardThen(self.marks[row], *(float(number[row]) for number in numbers))


def weigh_leaving(session: Session, stack: Stack, as_of: date) -> Leaving | None:
    """Tell what staying, or six weeks in each other place, would do; none without boards."""
    worked = work_out(session, as_of)
    layout = worked.layout
    rows = np.flatnonzero(layout.table["stack_id"] == stack.id)
    if worked.judgement is None or len(rows) == 0:
        return None
    today = day_number(as_of)
    ahead = StackAhead(worked.judgement, int(layout.table["group"].iloc[rows[0]]), today)
    read = np.isin(rows, layout.readings.board)
    now = np.array([worked.judgement.verdicts[row].moisture_pct for row in rows])
    chosen = _choose(tuple(layout.table["board"].iloc[rows]), now, read)
    driest = ahead.driest_day()
    verdicts = worked.judgement.verdicts
    wrong = any(verdicts[row].state in IN_TROUBLE for row in rows)
    mended = _mended(ahead, chosen) if wrong and ahead.held_up >= LIKELY else None
    days = np.array([today + SIX_WEEKS_DAYS, driest, today + YEAR_DAYS])
    six_weeks, lowest, year_on = (chosen.prospect(course) for course in ahead.left(days))
    kinds = {place.id: (place.name, place.kind) for place in live_places(session)}
    places = [kinds[key] for key in layout.places]
    # A cellar beside a boiler knows a warm season too, but nobody calls it summer.
    open_air = places[ahead.place][1] not in {PlaceKind.HEATED, PlaceKind.CHAMBER}
    elsewhere, assumed = _elsewhere(ahead, places, chosen)
    targets = layout.boards.target_pct[rows]
    return Leaving(
        as_of=as_of,
        kind=places[ahead.place][1],
        boards=len(rows),
        read=bool(read.any()),
        thickest_mm=float(layout.boards.thickness_mm[rows].max()),
        target_pct=float(np.nanmin(targets)) if np.isfinite(targets).any() else None,
        six_weeks=six_weeks,
        driest=lowest,
        year_on=year_on,
        summer=open_air and ahead.summer_before(day_number(mended.on) if mended else driest),
        summer_ahead=open_air and ahead.summer_before(today + YEAR_DAYS),
        mended=mended,
        elsewhere=elsewhere,
        assumed=assumed,
        room_pct=float(equilibrium_moisture_pct(ROOM_C, ROOM_RH_PCT)),
    )


def _choose(marks: tuple[str, ...], now: np.ndarray, read: np.ndarray) -> _Chosen:
    """Choose the wettest board of those read, of all where none was, and the middle one."""
    among = np.flatnonzero(read) if read.any() else np.arange(len(now))
    wettest_first = among[np.argsort(-now[among], kind="stable")]
    few = len(among) < FEWEST_WITH_A_MIDDLE
    middle = wettest_first[0 if few else len(among) // 2]
    return _Chosen(int(middle), int(wettest_first[0]), marks)


def _mended(ahead: StackAhead, chosen: _Chosen) -> Prospect:
    day = ahead.driest_day(mended=True)
    return chosen.prospect(ahead.left(np.array([day]), mended=True)[0])


def _elsewhere(
    ahead: StackAhead, places: list[tuple[str, str]], chosen: _Chosen
) -> tuple[tuple[Prospect, ...], Prospect | None]:
    """Send the stack to every other place, and to a room where none is heated."""
    others = [n for n in range(len(places)) if n != ahead.place]
    air, room = ahead.air, None
    if PlaceKind.HEATED not in {kind for _name, kind in places}:
        air, room = with_steady_room(ahead.air, ROOM_C, ROOM_RH_PCT)
    to: Index = np.array([*others, *([] if room is None else [room])], dtype=np.intp)
    if len(to) == 0:
        return (), None
    courses = ahead.moved(to, ahead.today + SIX_WEEKS_DAYS, air)
    there = [
        chosen.prospect(course, *places[n]) for n, course in zip(others, courses, strict=False)
    ]
    there.sort(key=lambda prospect: -prospect.middle.off_pct)
    assumed = chosen.prospect(courses[-1], None, PlaceKind.HEATED) if room is not None else None
    return tuple(there), assumed
