"""Where to go and look today, and when the next round is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from webapp import wording
from webapp.drying.verdict import State

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.pages.stack_lines import StackLine
    from webapp.yard.judge_stack import StackVerdict

VISIT_DAYS = 30
AT_ONCE = frozenset({State.STALLED, State.GETTING_WETTER})


@dataclass(frozen=True)
class Stop:
    """The stacks to look at in one place."""

    place: str
    lines: tuple[StackLine, ...]


@dataclass(frozen=True)
class Walk:
    """One walk through the yard, and the day of the next where none is due."""

    stops: tuple[Stop, ...]
    next_on: date | None


def walk_of(lines: Sequence[StackLine], as_of: date) -> Walk:
    """Gather the stacks that are due, place by place."""
    days = [(due_on(line.said, line.stack.visit_days or VISIT_DAYS), line) for line in lines]
    due = [line for day, line in days if day is not None and day <= as_of]
    ahead = [day for day, _line in days if day is not None and day > as_of]
    return Walk(_by_place(due), min(ahead, default=None))


def due_on(said: StackVerdict, visit_days: int) -> date | None:
    """Tell when a stack wants its next round; none where nothing more is to be learnt."""
    if said.last_read_on is None or said.state in AT_ONCE or said.reason == "doubtful":
        return said.as_of
    if said.state is State.LEVELLED_OFF:
        return None
    usual = said.last_read_on + timedelta(days=visit_days)
    if said.state is State.SLOW_SEASON:
        moves_on = said.numbers.get("moves_on")
        day = wording.day_of(moves_on) if isinstance(moves_on, float) else None
        return max(usual, day) if day else usual
    return usual


def _by_place(lines: Sequence[StackLine]) -> tuple[Stop, ...]:
    ordered = sorted(lines, key=_place_name)
    return tuple(Stop(place, tuple(there)) for place, there in groupby(ordered, key=_place_name))


def _place_name(line: StackLine) -> str:
    return line.place.name if line.place else ""
