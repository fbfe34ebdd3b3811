"""Finding from when something is wrong with a stack, and what: air, damp or a wetting.

All boards of a stack speak together. A first fit supposes nothing wrong; then each kind of
trouble is supposed to have begun after some of the visits, at first spread over the past
and then close to the likeliest, and weighed by its evidence against "nothing wrong". Nothing
is thrown away: every later statement is an average over what may be the case.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying import curve
from webapp.drying.fit import Posterior, fit
from webapp.drying.priors import SHUT, TroubleBelief, YardEffect
from webapp.drying.stacks import Boards, Changes, Readings, Selection, select_stacks

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.arrays import Array, Index


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
# Steps of the fit that suffice to rank suppositions, at first and when looked at closer.
GLANCE, LOOK = 6, 10
DAYS_TRIED = 8
MOST_ENDS_TRIED = 8
RECENT_DAYS = 100.0
NEIGHBOURS = 2
KNOWN_GAP_DAYS = 30.0
# A supposition this much less likely than "nothing wrong" is not looked at any closer.
LEAST_LOG_ODDS = -3.0
LEAST_WEIGHT = 0.02


@dataclass(frozen=True)
class Suspicion:
    """One supposed course of events in one stack."""

    stack: int
    kind: Kind
    from_day: float
    until_day: float
    log_prior: float


@dataclass(frozen=True)
class Findings:
    """All courses of events worth keeping, with their fits and weights.

    The fit's stacks are the suspicions, in order; ``weight`` [suspicions] sums to 1 for
    each stack; the sources tell which reading, board and stack each one of the fit is a copy
    of.
    """

    suspicions: tuple[Suspicion, ...]
    posterior: Posterior
    weight: Array
    reading_source: Index
    board_source: Index
    stack_source: Index

    @property
    def kind(self) -> Index:
        """The kind of each suspicion."""
        return np.array([s.kind for s in self.suspicions], dtype=np.intp)

    @property
    def weight_of_board(self) -> Array:
        """The weight of each board's copy [boards of the fit]."""
        return self.weight[self.posterior.curve.boards.stack]


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


def _first_look(boards: Boards, readings: Readings, today: float) -> list[Suspicion]:
    """All kinds of trouble from days spread over every stack's past."""
    found: list[Suspicion] = []
    for stack in np.unique(boards.stack[readings.board]):
        days = _visit_days(boards, readings, int(stack))
        for kind in SHARE_OF_KIND:
            found += _supposed(int(stack), kind, days, _spread_out(days, today))
    return found


def _closer_look(
    looked: list[Suspicion], score: Array, boards: Boards, readings: Readings
) -> list[Suspicion]:
    """The best of each kind in each stack, with the visits next to it."""
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


def _fit_suspicions(
    suspicions: list[Suspicion],
    boards: Boards,
    readings: Readings,
    air: AirCourses,
    effect: YardEffect,
    start: Posterior,
    *,
    steps: int | None = None,
) -> tuple[Posterior, Selection]:
    """Fit one copy of its stack for every suspicion, each kind with its belief."""
    chosen = np.array([s.stack for s in suspicions], dtype=np.intp)
    copies = select_stacks(boards, readings, chosen)
    changes = Changes(
        np.array([s.from_day for s in suspicions]), np.array([s.until_day for s in suspicions])
    )
    beliefs = [BELIEFS[s.kind] for s in suspicions]
    belief = TroubleBelief(
        *(np.array([getattr(b, name) for b in beliefs]) for name in TroubleBelief.__annotations__)
    )
    member = start.mode.member[copies.board_source]
    # From what is expected of the stack, not from a fit that has bent to hide the trouble.
    troubled = np.isfinite(changes.from_day)
    group = np.where(troubled[:, None], start.prior.group_mean[chosen], start.mode.group[chosen])
    group[:, curve.TROUBLE_RATE] = belief.rate
    group[:, curve.TROUBLE_OFFSET] = belief.offset_pct
    found = fit(
        copies.readings,
        copies.boards,
        air,
        effect.of(chosen),
        changes,
        belief,
        (member, group),
        rough_steps=steps,
    )
    return found, copies


def _ended(suspicions: list[Suspicion], found: Posterior, today: float) -> list[Suspicion]:
    """The likeliest lasting trouble of each stack, supposed to have ended at some visit."""
    best: dict[int, tuple[float, Suspicion]] = {}
    for evidence, s in zip(found.log_evidence, suspicions, strict=True):
        lasting = s.kind in (Kind.AIR_BLOCKED, Kind.DAMP)
        if lasting and evidence + s.log_prior > best.get(s.stack, (-np.inf, s))[0]:
            best[s.stack] = (float(evidence + s.log_prior), s)
    boards, readings = found.curve.boards, found.error.readings
    day_of = {s.stack: np.zeros(0) for s in suspicions}
    for row, s in enumerate(suspicions):
        day_of[s.stack] = np.unique(readings.day[boards.stack[readings.board] == row])
    ended = []
    for _, s in best.values():
        visits = day_of[s.stack]
        ends = visits[(visits > s.from_day + SHORTEST_TROUBLE_DAYS) & (visits < today)]
        for end in ends[-MOST_ENDS_TRIED:]:
            chance = ENDS_PER_YEAR * 30.0 / YEAR_DAYS
            prior = s.log_prior + np.log(chance)
            ended.append(Suspicion(s.stack, s.kind, s.from_day, float(end) + 1.0, prior))
    return ended


def weigh(
    readings: Readings, boards: Boards, air: AirCourses, effect: YardEffect, today: float
) -> Findings:
    """Fit all stacks with and without troubles and weigh the courses of events.

    Parameters
    ----------
    readings, boards, air, effect
        As for `fit`; readings up to today only.
    today : float
        Day from which one looks back.

    Returns
    -------
    Findings
        Every course of events with a weight of 2 % or more in its stack.
    """
    nothing = fit(readings, boards, air, effect)
    everything = [
        Suspicion(stack, Kind.NOTHING, np.inf, np.inf, 0.0) for stack in range(boards.stacks)
    ]
    looked = _first_look(boards, readings, today)
    if looked:
        seen, _ = _fit_suspicions(looked, boards, readings, air, effect, nothing, steps=GLANCE)
        score = seen.log_evidence + np.array([s.log_prior for s in looked])
        score -= nothing.log_evidence[[s.stack for s in looked]]
        closer = _closer_look(looked, score, boards, readings)
        if closer:
            seen, _ = _fit_suspicions(closer, boards, readings, air, effect, nothing, steps=LOOK)
            everything += closer + _ended(closer, seen, today)
    found, _ = _fit_suspicions(everything, boards, readings, air, effect, nothing, steps=LOOK)
    weight = _weights(everything, found, boards.stacks)
    kept = [s for s, w in zip(everything, weight, strict=True) if w >= LEAST_WEIGHT]
    found, copies = _fit_suspicions(kept, boards, readings, air, effect, nothing)
    weight = _weights(kept, found, boards.stacks)
    return Findings(
        tuple(kept),
        found,
        weight,
        copies.reading_source,
        copies.board_source,
        copies.stack_source,
    )


def _weights(suspicions: list[Suspicion], found: Posterior, stacks: int) -> Array:
    """Posterior probability of each course of events in its stack."""
    stack = np.array([s.stack for s in suspicions], dtype=np.intp)
    log_weight = found.log_evidence + np.array([s.log_prior for s in suspicions])
    top = np.full(stacks, -np.inf)
    np.maximum.at(top, stack, log_weight)
    weight = np.exp(log_weight - top[stack])
    return np.asarray(weight / np.bincount(stack, weight, stacks)[stack])
