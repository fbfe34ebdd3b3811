"""Where to go and look today, and when the next round is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from webapp import wording
from webapp.drying.verdict import STALE_DAYS, State
from webapp.pages.template_words import TROUBLED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.pages.stack_lines import StackLine
    from webapp.yard.judge_stack import StackVerdict

_ = wording.translation.gettext

VISIT_DAYS = 30
YOUNG_VISIT_DAYS = 7
# From here on the month is enough: nobody marks a day half a year off.
MONTH_IS_ENOUGH_DAYS = 60


@dataclass(frozen=True)
class Visit:
    """A stack to look at, on which day, and why."""

    line: StackLine
    on: date
    why: str


@dataclass(frozen=True)
class Stop:
    """The stacks to look at in one place."""

    place: str
    visits: tuple[Visit, ...]


@dataclass(frozen=True)
class Walk:
    """One walk through the yard; what cannot wait for a round of its own but is not due yet.

    ``next_on`` is the day of the next round where none is due today; ``next_month`` names its
    month where that says enough.
    """

    stops: tuple[Stop, ...]
    soon: tuple[Visit, ...]
    next_on: date | None
    next_month: str


def walk_of(lines: Sequence[StackLine], as_of: date) -> Walk:
    """Gather the stacks that are due, place by place, and those to be read again in time."""
    visits = [Visit(line, day, why_of(line)) for line, day in ((x, due_of(x)) for x in lines)]
    due = [visit for visit in visits if visit.on <= as_of]
    ahead = [visit for visit in visits if visit.on > as_of]
    soon = [visit for visit in ahead if _is_awaited(visit.line)]
    next_on = min((visit.on for visit in ahead), default=None)
    return Walk(
        stops=_by_place(due),
        soon=tuple(sorted(soon, key=lambda visit: visit.on)),
        next_on=None if due else next_on,
        next_month="" if next_on is None else far_month(next_on, as_of),
    )


def due_of(line: StackLine) -> date:
    """Tell when a stack wants its next look."""
    if line.odd_boards:
        return line.said.as_of
    usual = YOUNG_VISIT_DAYS if _is_young_and_wet(line) else VISIT_DAYS
    return due_on(line.said, line.stack.visit_days or usual)


def due_on(said: StackVerdict, visit_days: int) -> date:
    """Tell when a stack wants its next round, by what is said of it.

    What has not been read for half a year is to be read again, whatever was said of it.
    """
    if said.last_read_on is None or said.state in TROUBLED or said.reason == "doubtful":
        return said.as_of
    usual = said.last_read_on + timedelta(days=visit_days)
    stale = said.last_read_on + timedelta(days=int(STALE_DAYS))
    if said.state is State.LEVELLED_OFF:
        return stale
    if said.state is State.SLOW_SEASON:
        moves_on = said.numbers.get("moves_on")
        day = wording.day_of(moves_on) if isinstance(moves_on, float) else None
        return min(max(usual, day), stale) if day else usual
    return usual


def why_of(line: StackLine) -> str:
    """Say why a stack is looked at; of a stack in trouble its state, the rest is said there."""
    said = line.said
    if said.state in TROUBLED:
        return wording.state_word(said.state)
    words = [line.odd_boards, _read_words(line)]
    if line.young:
        words.append(line.sawn_words)
    return ", ".join(word for word in words if word)


def _read_words(line: StackLine) -> str:
    """Say when it was last read, and what was wrong with that."""
    said = line.said
    pattern = {"one_reading": _("read only once, %s"), "doubtful": _("last reading doubtful, %s")}
    if said.last_read_on is None or said.reason not in pattern:
        return line.read_words
    return pattern[said.reason] % wording.days_ago((said.as_of - said.last_read_on).days)


def far_month(day: date, as_of: date) -> str:
    """Name the month of a far day; empty where the day itself is wanted."""
    far = (day - as_of).days > MONTH_IS_ENOUGH_DAYS
    return wording.month_name(day, as_of) if far else ""


def _is_young_and_wet(line: StackLine) -> bool:
    """Tell whether stain and mould may still come: freshly sawn and wetter than a meter tells."""
    wet = line.said.state is State.WET or line.said.wettest > wording.WETTEST_TOLD_PCT
    return line.young and wet


def _is_awaited(line: StackLine) -> bool:
    return line.said.state is State.READ_AGAIN or _is_young_and_wet(line)


def _by_place(visits: Sequence[Visit]) -> tuple[Stop, ...]:
    ordered = sorted(visits, key=_place_name)
    return tuple(Stop(place, tuple(there)) for place, there in groupby(ordered, key=_place_name))


def _place_name(visit: Visit) -> str:
    return visit.line.place.name if visit.line.place else ""
