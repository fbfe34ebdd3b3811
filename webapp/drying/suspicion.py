"""Which troubles are worth supposing of a stack, and from which day on.

A trouble shows from one visit to the next. Each kind is supposed at first from days spread
over a stack's past, then from the visits close to the likeliest, and at last as something
that has ended since.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.priors import SHUT, TroubleBelief

if TYPE_CHECKING:
    from webapp.drying.arrays import Array, Index
    from webapp.drying.stacks import Boards, Readings


class Kind(IntEnum):
    """What may be wrong."""

    NOTHING = 0
    AIR_BLOCKED = 1
    DAMP = 2
    WETTED = 3


# Blocked air slows a stack to a fifth, give or take a factor of two; damp from a leaking
# cover or wet ground keeps it some points wetter; a wetting pours in far more for some weeks.
BELIEFS = {
    Kind.NOTHING: TroubleBelief(0.0, SHUT, 0.0, SHUT),
    Kind.AIR_BLOCKED: TroubleBelief(-2.0, 1.0, 0.0, SHUT),
    Kind.DAMP: TroubleBelief(0.0, 0.2, 4.0, 2.5),
    Kind.WETTED: TroubleBelief(0.0, 0.5, 15.0, 8.0),
}
# One stack in three meets a trouble in a year (common practice, no source).
TROUBLES_PER_YEAR = 0.35
# One in twenty stands damp from the day it is built: wet ground, a hollow (common practice, no
# source). Poor air from the first day is part of the spread of rates.
WRONG_FROM_THE_START = {Kind.AIR_BLOCKED: 0.0, Kind.DAMP: 0.05, Kind.WETTED: 0.0}
SHARE_OF_KIND = {Kind.AIR_BLOCKED: 0.35, Kind.DAMP: 0.35, Kind.WETTED: 0.3}
ENDS_PER_YEAR = 1.0
YEAR_DAYS = 365.25
WETTED_DAYS = 28.0
SETTLING_DAYS = 14.0
SHORTEST_TROUBLE_DAYS = 45.0
DAYS_TRIED = 8
MOST_ENDS_TRIED = 8
RECENT_DAYS = 100.0
NEIGHBOURS = 2
KNOWN_GAP_DAYS = 30.0
# A supposition this much less likely than "nothing wrong" is not looked at any closer.
LEAST_LOG_ODDS = -3.0


@dataclass(frozen=True)
class Suspicion:
    """One supposed course of events in one stack."""

    stack: int
    kind: Kind
    from_day: float
    until_day: float
    log_prior: float


def _visit_days(boards: Boards, readings: Readings, stack: int) -> Array:
    """Days from which a change in a stack would show: soon after stacking, and after visits."""
    mine = boards.stack[readings.board] == stack
    days = np.unique(readings.day[mine])[:-1] + 1.0
    settled = boards.stays.first_day[boards.stack == stack].min() + SETTLING_DAYS
    return np.concatenate([[settled], days[days > settled]])


def _spread_out(days: Array, today: float) -> Index:
    """Some of the days, evenly through the past, and all of the last months."""
    even = np.unique(np.linspace(0, len(days) - 1, DAYS_TRIED).round().astype(np.intp))
    recent = np.flatnonzero(days > today - RECENT_DAYS)
    return np.union1d(even, recent)


def _supposed(stack: int, kind: Kind, days: Array, which: Index) -> list[Suspicion]:
    """Suspicions of one kind from some of a stack's days."""
    gaps = np.diff(days, append=days[-1] + KNOWN_GAP_DAYS)
    found = []
    for n in which:
        until = days[n] + WETTED_DAYS if kind is Kind.WETTED else np.inf
        chance = TROUBLES_PER_YEAR * SHARE_OF_KIND[kind] * max(gaps[n], 1.0) / YEAR_DAYS
        chance += WRONG_FROM_THE_START[kind] if n == 0 else 0.0
        found.append(Suspicion(stack, kind, float(days[n]), float(until), float(np.log(chance))))
    return found


def first_look(boards: Boards, readings: Readings, today: float) -> list[Suspicion]:
    """Suppose all kinds of trouble from days spread over every stack's past.

    Parameters
    ----------
    boards, readings : Boards, Readings
        All stacks; readings up to today only. A stack nobody read is not suspected.
    today : float
        Days since 1970-01-01; visits of the last months are all looked at.

    Returns
    -------
    list of Suspicion
        With the logarithm of the chance that such a trouble begins there.
    """
    found: list[Suspicion] = []
    for stack in np.unique(boards.stack[readings.board]):
        days = _visit_days(boards, readings, int(stack))
        for kind in SHARE_OF_KIND:
            found += _supposed(int(stack), kind, days, _spread_out(days, today))
    return found


def closer_look(
    looked: list[Suspicion], score: Array, boards: Boards, readings: Readings
) -> list[Suspicion]:
    """Suppose the likeliest of each kind in each stack, and the visits next to it.

    Parameters
    ----------
    looked : list of Suspicion
        What was looked at first.
    score : array
        Log odds of each against "nothing wrong"; hopeless ones are dropped.
    boards, readings : Boards, Readings
        All stacks.

    Returns
    -------
    list of Suspicion
        At most five days of each kind for a stack.
    """
    best: dict[tuple[int, Kind], int] = {}
    for n, s in enumerate(looked):
        key = s.stack, s.kind
        if score[n] > LEAST_LOG_ODDS and score[n] > score[best.get(key, n)] - 1e-9:
            best[key] = n
    found: list[Suspicion] = []
    for (stack, kind), n in best.items():
        days = _visit_days(boards, readings, stack)
        at = int(np.searchsorted(days, looked[n].from_day))
        near = np.arange(max(at - NEIGHBOURS, 0), min(at + NEIGHBOURS + 1, len(days)))
        found += _supposed(stack, kind, days, near)
    return found


def since_ended(
    suspicions: list[Suspicion], score: Array, boards: Boards, readings: Readings
) -> list[Suspicion]:
    """Suppose that the likeliest lasting trouble of each stack ended at one of its last visits.

    Parameters
    ----------
    suspicions : list of Suspicion
        Troubles that last.
    score : array
        Log odds of each.
    boards, readings : Boards, Readings
        All stacks.

    Returns
    -------
    list of Suspicion
        The same troubles with an end; such an end is expected about once a year.
    """
    best: dict[int, int] = {}
    for n, s in enumerate(suspicions):
        lasting = s.kind in (Kind.AIR_BLOCKED, Kind.DAMP)
        if lasting and score[n] >= score[best.get(s.stack, n)]:
            best[s.stack] = n
    log_chance = float(np.log(ENDS_PER_YEAR * KNOWN_GAP_DAYS / YEAR_DAYS))
    ended = []
    for stack, n in best.items():
        s = suspicions[n]
        days = _visit_days(boards, readings, stack)
        days = days[days > s.from_day + SHORTEST_TROUBLE_DAYS][-MOST_ENDS_TRIED:]
        prior = s.log_prior + log_chance
        ended += [replace(s, until_day=float(end), log_prior=prior) for end in days]
    return ended
