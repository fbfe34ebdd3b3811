"""Finding from when something is wrong with a stack, and what: air, damp or a wetting.

All boards of a stack speak together. A first fit supposes nothing wrong; then, for every
visit, one evaluation tells how much a change from that day would explain. The most
telling days are fitted in full, each kind of trouble with its own belief, and weighed by
their evidence against "nothing wrong". Nothing is thrown away: every later statement is
an average over what may be the case.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from webapp.drying import curve
from webapp.drying.air import AirCourses
from webapp.drying.curve import DryingCurve
from webapp.drying.fit import Posterior, fit
from webapp.drying.priors import SHUT, TroubleBelief, YardEffect
from webapp.drying.stacks import Boards, Changes, Readings, Selection, select_stacks

Array = NDArray[np.float64]
Index = NDArray[np.intp]


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
    Kind.AIR_BLOCKED: TroubleBelief(-1.6, 0.7, 0.0, SHUT),
    Kind.DAMP: TroubleBelief(-0.5, 0.7, 5.0, 3.0),
    Kind.WETTED: TroubleBelief(0.0, 0.5, 15.0, 8.0),
}
# One stack in three meets a trouble in a year (common practice, no source).
TROUBLES_PER_YEAR = 0.35
SHARE_OF_KIND = {Kind.AIR_BLOCKED: 0.35, Kind.DAMP: 0.35, Kind.WETTED: 0.3}
ENDS_PER_YEAR = 1.0
YEAR_DAYS = 365.25
WETTED_DAYS = 28.0
SETTLING_DAYS = 14.0
SHORTEST_TROUBLE_DAYS = 45.0
DAYS_FITTED = 3
LEAST_GAIN = 1.5
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
    each stack; ``board_source`` [boards of the fit] tells which board each is a copy of.
    """

    suspicions: tuple[Suspicion, ...]
    posterior: Posterior
    weight: Array
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


def _visits(boards: Boards, readings: Readings) -> tuple[Index, Array]:
    """Every stack and day on which a change would show: all visits but the first."""
    stack = boards.stack[readings.board]
    pairs = np.unique(np.column_stack([stack, readings.day]), axis=0)
    again = np.concatenate([[False], pairs[1:, 0] == pairs[:-1, 0]]) if len(pairs) else []
    before = np.concatenate([[0.0], pairs[:-1, 1]]) if len(pairs) else np.zeros(0)
    first = np.full(boards.stacks, np.inf)
    np.minimum.at(first, boards.stack, boards.stays.first_day)
    kept = np.asarray(again, dtype=bool)
    which = pairs[kept, 0].astype(np.intp)
    # The change came some time between two visits: take the day after the earlier one.
    day = np.maximum(before[kept] + 1.0, first[which] + SETTLING_DAYS)
    return which, day


def _gain(
    nothing: Posterior, air: AirCourses, copies: Selection, changes: Changes, kind: Kind
) -> Array:
    """How much a change would raise the log posterior, by one Newton step [suspicions].

    The step is taken in the troubles' leading parameter (rate, or offset) with all other
    parameters free to follow, and only in the direction that such a trouble has.
    """
    mode, readings = nothing.mode, copies.readings
    drying = DryingCurve(copies.boards, air, changes)
    member, group = mode.member[copies.board_source], mode.group[copies.stack_source]
    moisture, slopes = drying.moisture(member, group, readings.board, readings.day)
    error = nothing.error
    sd = _copied_sd(nothing, copies)
    cost = type(error)(readings, sd)(moisture)
    leading = curve.TROUBLE_RATE if kind is Kind.AIR_BLOCKED else curve.TROUBLE_OFFSET
    column = curve.MEMBER_PARAMETERS + leading
    others = [i for i in range(slopes.shape[1]) if i < column - (leading - curve.TROUBLE_RATE)]
    count, stack = len(copies.stack_source), copies.boards.stack
    pull = np.bincount(stack[readings.board], cost.slope * slopes[:, column], count)
    weighted = slopes[:, others] * (cost.curvature * slopes[:, column])[:, None]
    own = np.bincount(stack[readings.board], cost.curvature * slopes[:, column] ** 2, count)
    by_board = np.stack(
        [np.bincount(readings.board, w, len(copies.boards)) for w in weighted.T], axis=1
    )
    own -= _followed(nothing, copies, by_board)
    belief = BELIEFS[kind]
    sd_of = belief.rate_sd if kind is Kind.AIR_BLOCKED else belief.offset_sd_pct
    mean = belief.rate if kind is Kind.AIR_BLOCKED else belief.offset_pct
    curvature = np.maximum(own, 1e-9) + sd_of**-2.0
    step = (mean / sd_of**2 - pull) / curvature
    fits = np.sign(step) == np.sign(mean)
    return np.where(fits, 0.5 * step**2 * np.maximum(own, 0.0), 0.0)


def _copied_sd(nothing: Posterior, copies: Selection) -> Array:
    """The spread of each copied reading, taken over from the first fit."""
    readings = nothing.error.readings
    per_board = np.bincount(readings.board, minlength=len(nothing.curve.boards))
    first = np.cumsum(per_board) - per_board
    counts = per_board[copies.board_source]
    before = np.cumsum(counts) - counts
    rows = np.arange(counts.sum()) - np.repeat(before - first[copies.board_source], counts)
    return np.asarray(nothing.error.sd_pct[rows])


def _followed(nothing: Posterior, copies: Selection, by_board: Array) -> Array:
    """What the other parameters take of the curvature when they follow [suspicions].

    ``by_board`` [boards, 2 + shared] couples the change with each board's parameters and
    with what its stack shares.
    """
    mode, count, stack = nothing.mode, len(copies.stack_source), copies.boards.stack
    own, shared_by_board = np.split(by_board, [curve.MEMBER_PARAMETERS], axis=1)
    width = shared_by_board.shape[1]
    shared = np.stack([np.bincount(stack, c, count) for c in shared_by_board.T], axis=1)
    cov_group = mode.cov_group[copies.stack_source][:, :width, :width]
    between = mode.cov_between[copies.board_source][:, :, :width]
    alone = mode.cov_member[copies.board_source]
    follow = np.einsum("bl,bls->bs", own, between)
    follow = np.stack([np.bincount(stack, c, count) for c in follow.T], axis=1)
    # Boards are tied to each other only through what they share: their own blocks suffice
    # here, since this is a ranking and the full fit follows.
    apart = np.bincount(stack, np.einsum("bl,blm,bm->b", own, alone, own), count)
    tied = np.einsum("gs,gst,gt->g", shared, cov_group, shared)
    return np.asarray(apart + tied + 2.0 * np.einsum("gs,gs->g", follow, shared))


def _best_days(
    stack: Index, from_day: Array, until_day: Array, gain: Array, kind: Kind, log_prior: Array
) -> list[Suspicion]:
    """The most telling days of each stack, not all of them next to each other."""
    found = []
    for which in np.unique(stack[gain > LEAST_GAIN]):
        rows = np.flatnonzero((stack == which) & (gain > LEAST_GAIN))
        for row in rows[np.argsort(-gain[rows])][:DAYS_FITTED]:
            found.append(
                Suspicion(
                    int(which), kind, float(from_day[row]), float(until_day[row]),
                    float(log_prior[row]),
                )
            )
    return found


def _log_prior(stack: Index, day: Array, kind: Kind) -> Array:
    """How likely such a trouble begins between two visits [suspicions]."""
    gap = np.full(len(day), 30.0)
    same = np.concatenate([stack[1:] == stack[:-1], [False]])
    gap[same] = np.diff(day, append=0.0)[same]
    chance = TROUBLES_PER_YEAR * SHARE_OF_KIND[kind] * np.maximum(gap, 1.0) / YEAR_DAYS
    return np.log(chance)


def suspect(nothing: Posterior, air: AirCourses) -> list[Suspicion]:
    """For every stack the troubles worth a fit: which kind, from which visit on.

    Parameters
    ----------
    nothing : Posterior
        All stacks fitted with nothing wrong.
    air : AirCourses
        The air it was fitted with.

    Returns
    -------
    list of Suspicion
        At most three days of each kind for a stack; none where nothing speaks for any.
    """
    boards, readings = nothing.curve.boards, nothing.error.readings
    stack, day = _visits(boards, readings)
    if len(stack) == 0:
        return []
    copies = select_stacks(boards, readings, stack)
    found: list[Suspicion] = []
    for kind in (Kind.AIR_BLOCKED, Kind.DAMP, Kind.WETTED):
        until = day + WETTED_DAYS if kind is Kind.WETTED else np.full(len(day), np.inf)
        gain = _gain(nothing, air, copies, Changes(day, until), kind)
        found += _best_days(stack, day, until, gain, kind, _log_prior(stack, day, kind))
    return found


def _fit_suspicions(
    suspicions: list[Suspicion],
    boards: Boards,
    readings: Readings,
    air: AirCourses,
    effect: YardEffect,
    start: Posterior,
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
    group = start.mode.group[chosen].copy()
    group[:, curve.TROUBLE_RATE] = belief.rate
    group[:, curve.TROUBLE_OFFSET] = belief.offset_pct
    found = fit(
        copies.readings, copies.boards, air, effect.of(chosen), changes, belief, (member, group)
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
        for end in visits[(visits > s.from_day + SHORTEST_TROUBLE_DAYS) & (visits < today)]:
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
    plain = [
        Suspicion(stack, Kind.NOTHING, np.inf, np.inf, 0.0) for stack in range(boards.stacks)
    ]
    suspicions = suspect(nothing, air)
    lasting: list[Suspicion] = []
    if suspicions:
        found, _ = _fit_suspicions(suspicions, boards, readings, air, effect, nothing)
        lasting = _ended(suspicions, found, today)
    everything = plain + suspicions + lasting
    found, copies = _fit_suspicions(everything, boards, readings, air, effect, nothing)
    weight = _weights(everything, found, boards.stacks)
    kept = weight >= LEAST_WEIGHT
    if not kept.all():
        everything = [s for s, keep in zip(everything, kept, strict=True) if keep]
        found, copies = _fit_suspicions(everything, boards, readings, air, effect, nothing)
        weight = _weights(everything, found, boards.stacks)
    return Findings(tuple(everything), found, weight, copies.board_source, copies.stack_source)


def _weights(suspicions: list[Suspicion], found: Posterior, stacks: int) -> Array:
    """Posterior probability of each course of events in its stack."""
    stack = np.array([s.stack for s in suspicions], dtype=np.intp)
    log_weight = found.log_evidence + np.array([s.log_prior for s in suspicions])
    top = np.full(stacks, -np.inf)
    np.maximum.at(top, stack, log_weight)
    weight = np.exp(log_weight - top[stack])
    return np.asarray(weight / np.bincount(stack, weight, stacks)[stack])
