"""What is said of a whole stack, from what is said of its boards."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.verdict import SURE, Fit, State, Verdict

if TYPE_CHECKING:
    from collections.abc import Sequence

TROUBLES = (State.GETTING_WETTER, State.STALLED)
# With fewer boards in trouble than this share, the boards are named and the stack is not.
SHARE_IN_TROUBLE = 0.25
SHARE_WET = 0.25
EVEN = 0.5


@dataclass(frozen=True)
class StackFinding:
    """A stack on one day; ``spokesman`` is the board whose reason stands for the stack's.

    ``ready_*`` are days since 1970-01-01 by which nine boards in ten are there, NaN where
    that is not in sight.
    """

    state: State
    spokesman: int
    troubled: tuple[int, ...]
    fit: Fit
    boards_fit: int
    ready_on: float
    ready_from: float
    ready_to: float


def _state(states: Sequence[State]) -> State:
    """The state of a stack whose read boards are in these states."""
    count, whole = Counter(states), len(states)
    for trouble in TROUBLES:
        if (
            count[trouble]
            and (count[trouble] > 1 or whole == 1)
            and (count[trouble] >= SHARE_IN_TROUBLE * whole)
        ):
            return trouble
    if count[State.LEVELLED_OFF] >= SURE * whole:
        return State.LEVELLED_OFF
    if count[State.WET] > SHARE_WET * whole:
        return State.WET
    if count[State.READ_AGAIN] > EVEN * whole:
        return State.READ_AGAIN
    moving = (State.DRYING, State.SLOW_SEASON)
    return (
        max(moving, key=lambda state: count[state])
        if any(count[state] for state in moving)
        else count.most_common(1)[0][0]
    )


def _spokesman(verdicts: Sequence[Verdict], among: Sequence[int], state: State) -> int:
    """The wettest board in the stack's state, else the wettest of all."""
    in_state = [n for n in among if verdicts[n].state is state]
    return max(in_state or among, key=lambda n: verdicts[n].moisture_pct)


def _fit(fits: Sequence[Fit]) -> Fit:
    """Whether nine in ten are fit; unknown while the doubtful ones could tip it."""
    count, whole = Counter(fits), len(fits)
    if count[Fit.YES] >= SURE * whole:
        return Fit.YES
    return Fit.UNKNOWN if count[Fit.YES] + count[Fit.UNKNOWN] >= SURE * whole else Fit.NO


def _nine_in_ten(days: Sequence[float]) -> float:
    """The day by which nine boards in ten are there; NaN counts as never."""
    ordered = sorted(math.inf if math.isnan(day) else day for day in days)
    day = ordered[max(math.ceil(SURE * len(ordered)) - 1, 0)]
    return day if math.isfinite(day) else math.nan


def judge_stack(verdicts: Sequence[Verdict], read: Sequence[bool]) -> StackFinding:
    """Say how a stack stands.

    Parameters
    ----------
    verdicts : sequence of Verdict
        Its boards, at least one.
    read : sequence of bool
        Which of them have been read at all; the others do not vote.

    Returns
    -------
    StackFinding
        A stack takes a trouble when several of its boards (a quarter of those read) are in
        it; it has levelled off, and is fit, when nine in ten of its read boards have or are.
    """
    voters = [n for n, seen in enumerate(read) if seen]
    among = voters or list(range(len(verdicts)))
    state = _state([verdicts[n].state for n in among])
    troubled = tuple(n for n in among if verdicts[n].state in TROUBLES)
    late = [verdicts[n].ready_to for n in among]
    open_ended = any(math.isinf(day) for day in late)
    ready_on = _nine_in_ten([verdicts[n].ready_on for n in among])
    ready_to = _nine_in_ten(late)
    return StackFinding(
        state=state,
        spokesman=_spokesman(verdicts, among, state),
        troubled=troubled,
        fit=_fit([verdicts[n].fit for n in voters]) if voters else Fit.UNKNOWN,
        boards_fit=sum(verdicts[n].fit is Fit.YES for n in voters),
        ready_on=ready_on,
        ready_from=_nine_in_ten([verdicts[n].ready_from for n in among]),
        ready_to=np.inf
        if open_ended and math.isnan(ready_to) and not math.isnan(ready_on)
        else ready_to,
    )
